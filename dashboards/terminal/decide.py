"""The decision on a terminal: advice first, then what it rests on. Reads only the document."""

import math
from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.chances import summary
from dashboards.terminal.layout import bullet, columns, heading, page, paragraph
from econ.advice.cautions import CLOSING
from econ.advice.verdict import KINDS
from econ.answers.chance_keys import ChancesDocument
from econ.answers.document import Answer, Json, shown_cautions, to_json
from econ.ground.labels import BOTTLENECKS, FITS, FUEL, FUELS, MONTHS
from econ.ground.written import Numbers
from econ.model.costs import COST_LINES, RUNGS, SAVINGS
from econ.model.ledger import LEDGERS
from econ.model.measures import MEASURES

# On the first screen; the others stay in the JSON document.
_SHOWN = (
    "npv", "irr", "sir", "equivalent_annual", "simple_payback", "discounted_payback",
    "break_even_fuel_price",
)  # fmt: skip


def _advice(doc: Json, found: Answer) -> Iterator[RenderableType]:
    label = next(kind.label for kind in KINDS if kind.key == doc["advice"]["key"])
    first, *others = doc["advice"]["reasons"]
    yield paragraph(doc["title"], indent=0, style="bold")
    header = found.scenario.scenario
    day = f"Prices of {header.priced_on:%Y-%m-%d}, in" if header.priced_on else "Money in"
    yield paragraph(f"{day} {header.currency}. {found.scenario.path.name}", indent=0, style="dim")
    yield paragraph(f"\n{label} {first}", indent=0, style="bold")
    for reason in others:
        yield bullet(reason)


def _left_out(doc: Json, show: Numbers) -> str:
    """Say in plain words what the cheap-gallon figure leaves out."""
    rungs = doc["rungs"]["per_replaced"]
    if rungs["quoted"] is None:
        return "No fuel is made, so no gallon has a cost."
    biggest = sorted(
        (line for line in COST_LINES if line.rung != "quoted" and doc["costs"][line.key]),
        key=lambda line: -doc["costs"][line.key],
    )
    names = ", ".join(line.label.lower() for line in biggest[:6])
    return (
        f"The figure people quote, {show.price(rungs['quoted'])}, counts only filters and power."
        f" It leaves out: {names}."
    )


def _ladder(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading(f"What {show.a_volume} costs")
    burned, replaced = doc["rungs"]["per_blend"], doc["rungs"]["per_replaced"]
    rows = [
        (rung.label, show.price(burned[rung.key]), show.price(replaced[rung.key])) for rung in RUNGS
    ]
    rows.append(("Pump fuel it replaces", "", show.price(_mean_price(doc))))
    yield columns(("", "of blend burned", "of fuel replaced"), rows, bold=(len(rows) - 1,))
    yield paragraph(_left_out(doc, show))


def _mean_price(doc: Json) -> float | None:
    replaced = doc["fuel"]["fuel_replaced"]
    return doc["savings"]["fuel_not_bought"] / replaced if replaced else None


def _year(doc: Json, show: Numbers, wage: float) -> Iterator[RenderableType]:
    yield heading("A typical year, at today's prices")
    rows = [(row.label, show.of(row.dimension, doc["fuel"][row.key])) for row in FUEL]
    yield columns(("", "on average"), rows)
    steps, bold = _money_rows(doc, show)
    yield columns(("", "on average"), steps, bold=bold)
    yield paragraph(_pay(doc, show, wage))
    yield paragraph("On average: guesses weighed by their range; the advice rests on these.")


def _money_rows(doc: Json, show: Numbers) -> tuple[list[tuple[str, ...]], list[int]]:
    """Give the waterfall from fuel not bought to what is left, leaving out zero lines."""
    after = {"quoted": None, "cash": "cash", "wear": "after_wear", "kit": "after_kit",
             "full": "after_labour"}  # fmt: skip
    labels = {saving.key: saving.label for saving in SAVINGS}

    def saving(key: str) -> tuple[str, ...]:
        return (labels[key], show.money(doc["savings"][key]))

    rows, bold = [saving("fuel_not_bought")], [0]
    for rung in RUNGS:
        for line in COST_LINES:
            amount = doc["costs"][line.key]
            if line.rung == rung.key and amount:
                rows.append((f"  less {line.label.lower()}", show.money(-amount)))
        key = after[rung.key]
        if key is not None:
            bold.append(len(rows))
            rows.append(saving(key))
    timing = doc["savings"]["tax_and_timing"]["time_paid"]
    rows.append(("  tax, first year, prices that grow apart", show.money(timing)))
    bold.append(len(rows))
    worth = doc["ledgers"]["time_paid"]["equivalent_annual"]
    rows.append(("Worth per year, your time paid", show.money(worth)))
    return rows, bold


def _pay(doc: Json, show: Numbers, wage: float) -> str:
    pay, hours = doc["savings"]["pay_per_hour"], doc["fuel"]["own_hours"]
    if pay is None:
        return "No hour of your own goes into it."
    return (
        f"Pay for an hour of your time: {show.cents(pay)}, beside the wage of"
        f" {show.cents(wage)} you gave, for {hours:,.0f} hours a year."
    )


def _ledgers(doc: Json, show: Numbers, years: int) -> Iterator[RenderableType]:
    yield heading(f"Over {years} years")
    both = [doc["ledgers"][kind.key] for kind in LEDGERS]
    rows = [
        (row.label, *(show.of(row.dimension, led[row.key]) for led in both))
        for row in MEASURES
        if row.key in _SHOWN
    ]
    rows += [
        (f"  {FUELS[fuel]}", *(show.price(led["break_even_by_fuel"][fuel]) for led in both))
        for fuel in both[0]["break_even_by_fuel"]
    ]
    rows += [
        (
            f"Lost by stopping after year {year}",
            *(show.money(led["lost_if_stopped"][year - 1]) for led in both),
        )
        for year, _ in enumerate(both[0]["lost_if_stopped"], start=1)
    ]
    yield columns(("", *(kind.label for kind in LEDGERS)), rows)
    owned = doc["kit_cost"] - doc["kit_to_buy"]
    yield paragraph(
        f"Kit: {show.money(doc['kit_cost'])}, of which {show.money(doc['kit_to_buy'])} to buy"
        + (f" and {show.money(owned)} already there." if owned else ".")
    )


def _share(machine: Json, show: Numbers) -> str:
    mild, cold = machine["thinner_share"], machine["thinner_share_winter"]
    if mild is None and cold is None:
        return "too thick"
    text = "too thick" if mild is None else show.percent(mild)
    if cold is not None and cold != mild:
        text += f", winter {show.percent(cold)}"
    return text


def _machines(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading("Machines, in a typical year")
    rows = [
        (machine["name"], FITS[machine["fit"]], _share(machine, show),
         show.volume(machine["oil_used"]), show.money(machine["saving"]))
        for machine in doc["machines"]
    ]  # fmt: skip
    yield columns(("", "fit", "thinner in the mix", "oil", "saves"), rows, left=(0, 1, 2))
    for machine in doc["machines"]:
        for reason in machine["reasons"]:
            yield bullet(f"{machine['name']}: {reason}")


def _months(doc: Json, show: Numbers) -> Iterator[RenderableType]:
    yield heading(f"Month by month ({show.volume_unit} of clean oil)")
    rows = [
        (MONTHS[month["month"] - 1], f"{month['wanted']:,.0f}", f"{month['oil_used']:,.0f}",
         f"{month['raw_end']:,.0f}", f"{month['clean_end']:,.0f}", f"{month['hours']:,.1f}",
         BOTTLENECKS[month["bottleneck"]])
        for month in doc["months"]
    ]  # fmt: skip
    heads = ("", "wanted", "burned", "raw left", "clean left", "hours", "held back by")
    yield columns(heads, rows, left=(0, 6))


def _reserve(doc: Json) -> Iterator[RenderableType]:
    """Give the days that the machines that must run last, by month, and in words."""
    found = doc["reserve"]
    if found is None:
        return
    yield heading("When nothing is delivered, days by the month's end")
    both = (("with what is held back", "days"), ("with nothing held back", "days_without"))
    rows = [
        (label, *(f"{math.floor(found[key][k] + 1e-9):,}" for k in half))
        for half in (range(6), range(6, 12))
        for label, key in both
    ]
    yield columns(("", *MONTHS[:6]), rows[:2])
    yield columns(("", *MONTHS[6:]), rows[2:])
    for text in found["sentences"]:
        yield bullet(text)


_SEVERITIES = {
    "grave": "Before you do any of it: grave",
    "serious": "Before you do any of it: serious",
    "note": "Also to know",
}


def _cautions(found: Answer) -> Iterator[RenderableType]:
    shown = shown_cautions(found)
    for severity, title in _SEVERITIES.items():
        rows = [caution for caution in shown if caution.severity == severity]
        if rows:
            yield heading(title)
        for caution in rows:
            yield bullet(caution.text, mark="!")
            yield paragraph(f"Basis: {caution.basis}", indent=4, style="dim")
    if shown:
        yield paragraph(CLOSING, indent=0)


def render(found: Answer, odds: ChancesDocument) -> RenderableType:
    """Give the decision as a page for the terminal.

    Parameters
    ----------
    found : Answer
        A scenario worked through.
    odds : ChancesDocument
        Its chances as plain numbers.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    doc = to_json(found)
    show = Numbers(doc["units"], doc["currency"])
    wage = float(found.expected.inputs.labour.wage)
    parts = [
        *_advice(doc, found),
        *_ladder(doc, show),
        *_year(doc, show, wage),
        *_ledgers(doc, show, found.expected.inputs.finance.years),
        *summary(odds),
        *_machines(doc, show),
        *_months(doc, show),
        *_reserve(doc),
        *_cautions(found),
    ]
    return page(parts)
