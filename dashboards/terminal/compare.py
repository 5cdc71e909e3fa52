"""Plans side by side, on a terminal. Reads only the document."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from econ.answers.compare import COSTS, BesideDocument, Changed, CompareDocument
from econ.ground.labels import FUEL
from econ.ground.written import Numbers

_SHOWN_CHANGES = 24
_MEASURES = ("npv", "equivalent_annual", "simple_payback", "irr", "sir", "break_even_fuel_price")
_SHOWN = (
    *(label.key for label in FUEL if label.key in ("fuel_replaced", "own_hours")),
    "after_wear",
    "after_labour",
    "pay_per_hour",
    "kit_to_buy",
    *(f"{ledger}.{key}" for ledger in ("time_paid", "time_free") for key in _MEASURES[:3]),
)

# "of which your own" stands below all hours elsewhere; here it stands alone.
_LABELS = {"own_hours": "Your own hours"}


def _place(row: Changed) -> str:
    entry = f" {row['entry']}:" if row["entry"] else ""
    return f"{row['table']}{entry} {row['label'][0].lower()}{row['label'][1:]}"


def _changes(beside: BesideDocument) -> Iterator[RenderableType]:
    """List what differs, prices first; all of it stands in the JSON."""
    rows = beside["changed"]
    if not rows:
        yield paragraph("No input differs.")
    for row in rows[:_SHOWN_CHANGES]:
        unit = f" {row['unit']}" if row["unit"] else ""
        mark = "!" if row["table"] == "prices" else "-"
        yield bullet(f"{_place(row)}: {row['before']} -> {row['after']}{unit}", mark=mark)
    if len(rows) > _SHOWN_CHANGES:
        yield bullet(f"and {len(rows) - _SHOWN_CHANGES} more: see --json")


def _budget(beside: BesideDocument, numbers: Numbers) -> RenderableType:
    """Lay the year's budget of changing over out."""
    budget = beside["budget"]
    rows = []

    def add(what: str, amount: float) -> None:
        if abs(amount) >= 0.5:
            rows.append((what, numbers.money(amount)))

    add("more fuel not bought", budget["added_returns"])
    for key, amount in budget["reduced_costs"].items():
        add(f"less: {COSTS[key]}", amount)
    add("less fuel not bought", -budget["reduced_returns"])
    for key, amount in budget["added_costs"].items():
        add(f"more: {COSTS[key]}", -amount)
    rows.append(("left after your time", numbers.money(budget["net"])))
    return columns(("A typical year", "changes by"), rows, bold=[len(rows) - 1])


def _increment(beside: BesideDocument, numbers: Numbers, years: int) -> Iterator[RenderableType]:
    """Lay the measures of the bigger kit's increment out."""
    result = beside["increment"]
    if result["kit_cost"] < 0.5:
        return
    paid, free = result["measures"]["time_paid"], result["measures"]["time_free"]
    names = (
        ("npv", "money", f"worth in today's money, {years} years"),
        ("sir", "ratio", "savings to investment"),
        ("airr", "rate", "average yearly return"),
        ("irr", "rate", "internal rate of return"),
        ("simple_payback", "years", "paid back in"),
        ("discounted_payback", "years", "paid back in, with interest"),
    )
    rows = [
        (label, numbers.of(dimension, paid[key]), numbers.of(dimension, free[key]))
        for key, dimension, label in names
    ]
    extra = numbers.money(result["kit_cost"])
    yield paragraph(f"{extra} more kit, {result['bigger']} less {result['smaller']}:")
    yield columns(("The increment", "time paid", "time free"), rows)


def _figures(doc: CompareDocument, numbers: Numbers) -> RenderableType:
    """Set the main figures side by side."""
    known = {row["key"]: row for row in doc["figures"]}
    rows = [
        (
            _LABELS.get(key, known[key]["label"]),
            *(numbers.of(known[key]["dimension"], value) for value in known[key]["values"]),
        )
        for key in _SHOWN
    ]
    return columns(("Side by side", *(plan["name"] for plan in doc["plans"])), rows)


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
        parts += _increment(beside, numbers, doc["years"])
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
    parts.append(
        paragraph(
            f"Figures are on average; chances are of {doc['draws']:,} draws that all plans share."
            " Another price of fuel or another guess moves all of them together."
        )
    )
    return page(parts)
