"""A folder of farms on a terminal, a row a farm. Reads only the document."""

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from econ.answers.folder import FarmRow, FolderDocument
from econ.ground.written import Numbers


def _row(row: FarmRow) -> tuple[str, ...]:
    numbers = Numbers(row["units"] or "us", row["currency"] or "USD")
    return (
        row["file"],
        row["advice"] or "",
        numbers.money(row["worth_time_paid"]),
        numbers.money(row["worth_time_free"]),
        numbers.percent(row["ahead_time_paid"]),
    )


def render(doc: FolderDocument) -> RenderableType:
    """Lay a folder's farms out as a page for the terminal.

    Parameters
    ----------
    doc : FolderDocument
        From `folder_document`.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    decided = [row for row in doc["farms"] if not row["faults"]]
    heads = ("Farm", "advice", "worth a year,\ntime paid", "time free", "ahead,\ntime paid")
    parts: list[RenderableType] = [
        paragraph(doc["folder"], indent=0, style="bold"),
        columns(heads, [_row(row) for row in decided], left=(0, 1)),
    ]
    if doc["refused"]:
        parts.append(heading(f"Not decided: {doc['refused']}"))
    parts += [bullet(fault, mark="!") for row in doc["farms"] for fault in row["faults"]]
    return page(parts)
