"""The list of every field that a farm file may have, in words."""

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, page, paragraph
from econ.answers.field_list import field_list


def render(table: str | None, units: str, currency: str = "USD") -> RenderableType:
    """Return the fields of one table, or of all.

    Parameters
    ----------
    table : str or None
        Name of a table; None for all.
    units : {"us", "metric"}
        Unit system of units and ranges.
    currency : str
        ISO 4217 code, for units of money.

    Returns
    -------
    RenderableType

    Raises
    ------
    ScenarioError
        If there is no such table.
    """
    parts: list[RenderableType] = []
    for row in field_list(table, units, currency):
        parts.append(heading(f"[[{row.name}]]" if row.is_list else f"[{row.name}]"))
        parts.append(paragraph(row.meaning))
        parts += [bullet(line) for line in row.fields]
    return page(parts)
