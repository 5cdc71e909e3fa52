"""The list of every key that the commands print as JSON, made from the documents' types."""

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, page, paragraph
from econ.answers.result_keys import rows_of


def render(command: str | None, units: str) -> RenderableType:
    """Return the keys of one command, or of all.

    Parameters
    ----------
    command : str or None
        First word of a command that prints JSON; None for all.
    units : {"us", "metric"}
        Unit system of the units.

    Returns
    -------
    RenderableType

    Raises
    ------
    ScenarioError
        If no command of that name prints JSON.
    """
    parts: list[RenderableType] = [
        paragraph(
            "Keys of what --json prints. [] stands for each of a list, {} for a name or a key"
            " of the farm."
        )
    ]
    for printed, rows in rows_of(command, units).items():
        parts.append(heading(printed))
        for row in rows:
            unit = f" [{row['unit']}]" if row["unit"] else ""
            parts.append(bullet(f"{row['key']}: {row['meaning']}.{unit}"))
    return page(parts)
