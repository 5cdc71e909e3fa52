"""Plans side by side, on a terminal. Reads only the document."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from econ.answers.compare_keys import BesideDocument, CompareDocument
from econ.answers.rows import CLOSING_SHORT
from econ.ground.written import Numbers

_SHOWN_CHANGES = 24


def _changes(beside: BesideDocument) -> Iterator[RenderableType]:
    """List what differs, prices first; all of it stands in the JSON."""
    rows = beside["changed"]
    if not rows:
        yield paragraph("No input differs.")
    for row in rows[:_SHOWN_CHANGES]:
        unit = f" {row['unit']}" if row["unit"] else ""
        mark = "!" if row["table"] == "prices" else "-"
        yield bullet(f"{row['place']}: {row['before']} -> {row['after']}{unit}", mark=mark)
    if len(rows) > _SHOWN_CHANGES:
        yield bullet(f"and {len(rows) - _SHOWN_CHANGES} more: see --json")


def _budget(beside: BesideDocument, numbers: Numbers) -> RenderableType:
    """Lay the year's budget of changing over out."""
    rows = [(row["label"], numbers.money(row["amount"])) for row in beside["budget"]["rows"]]
    return columns(("A typical year", "changes by"), rows, bold=[len(rows) - 1])


def _increment(beside: BesideDocument, numbers: Numbers) -> Iterator[RenderableType]:
    """Lay the measures of the bigger kit's increment out."""
    result = beside["increment"]
    if not result["rows"]:
        return
    rows = [
        (
            row["label"],
            *(numbers.of(row["dimension"], row[key]) for key in ("time_paid", "time_free")),
        )
        for row in result["rows"]
    ]
    extra = numbers.money(result["kit_cost"])
    yield paragraph(f"{extra} more kit, {result['bigger']} less {result['smaller']}:")
    yield columns(("The increment", "time paid", "time free"), rows)


def _figures(doc: CompareDocument, numbers: Numbers) -> RenderableType:
    """Set the main figures side by side."""
    rows = [
        (row["label"], *(numbers.of(row["dimension"], value) for value in row["values"]))
        for row in doc["figures"]
        if row["main"]
    ]
    return columns(("Side by side", *(plan["name"] for plan in doc["plans"])), rows)


def _cautions(doc: CompareDocument) -> Iterator[RenderableType]:
    """List the grave cautions of all plans in a line each, and say where the others stand."""
    yield heading("Before you do any of it")
    for row in doc["grave"]:
        whose = f" ({row['of']})" if row["of"] else ""
        yield bullet(row["short"] + whose, mark="!")
    yield paragraph(
        f"All {len(doc['cautions'])} cautions with their basis: --json, or decide FILE --all."
    )
    yield paragraph(CLOSING_SHORT)


def render(doc: CompareDocument) -> RenderableType:
    """Lay the comparison out as a page for the terminal.

    Parameters
    ----------
    doc : CompareDocument
        From `compare_document`.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    numbers = Numbers(doc["units"], doc["currency"])
    parts: list[RenderableType] = [
        paragraph(f"{plan['name']}: {plan['title']}", indent=0, style="bold")
        for plan in doc["plans"]
    ]
    for beside in doc["beside"]:
        parts.append(heading(f"{beside['name']}, set against {doc['against']}"))
        parts += [
            bullet(text, mark="!" if k == 0 and beside["prices_differ"] else "-")
            for k, text in enumerate(beside["says"])
        ]
        parts.append(paragraph("What differs:"))
        parts += _changes(beside)
        parts.append(_budget(beside, numbers))
        parts += _increment(beside, numbers)
    parts += _cautions(doc)
    parts += [heading("All plans"), _figures(doc, numbers)]
    rows = [
        (
            plan["name"],
            numbers.percent(plan["ahead"]["time_paid"]),
            numbers.percent(plan["ahead"]["time_free"]),
        )
        for plan in doc["plans"]
    ]
    parts.append(columns(("Draws in which it beats nothing", "time paid", "time free"), rows))
    parts.append(paragraph(doc["note"]))
    return page(parts)
