"""The decision on one screen of a terminal; everything else behind `--all`."""

import math
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from msgspec import Struct
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.measure import Measurement
from rich.table import Table
from rich.text import Text

from dashboards.terminal.chances import summary
from dashboards.terminal.layout import (
    bullet,
    columns,
    heading,
    one_screen,
    page,
    paragraph,
    shown_rows,
)
from dashboards.terminal.notices import gravest
from econ.answers.decision import Decision, Json
from econ.answers.rows import (
    CLOSING,
    COST_LINES,
    LEDGERS,
    MEASURES,
    RUNGS,
    SAVINGS,
    SEVERITIES,
)
from econ.ground.labels import BOTTLENECKS, FITS, FUEL, FUELS, MONTHS
from econ.ground.written import Numbers

# Rows of machines on the one screen, at most; the others are counted.
_MACHINES = 7
_CAUTION_HEADS = {
    "grave": "Before you do any of it: grave",
    "serious": "Before you do any of it: serious",
    "note": "Also to know",
}

Row = tuple[str, str]


def _title(decision: Decision) -> Iterator[RenderableType]:
    screen, doc = decision.first_screen, decision.document
    flag = "  EXAMPLE, not your farm" if screen["example"] else ""
    yield paragraph(f"{doc['title']}{flag}", indent=0, style="bold")
    yield paragraph(
        f"{screen['prices_of']}, in {doc['currency']}. {decision.scenario.path.name}",
        indent=0,
        style="dim",
    )


def _advice(decision: Decision) -> Iterator[RenderableType]:
    screen = decision.first_screen
    yield paragraph(f"{screen['advice']} {screen['year']}", indent=0, style="bold")


def _gallon_rows(doc: Json, numbers: Numbers) -> list[Row]:
    """List the rungs of the ladder and the pump's price, for fuel replaced."""
    replaced = doc["rungs"]["per_replaced"]
    rows = [(rung.label, numbers.price(replaced[rung.key])) for rung in RUNGS]
    return [*rows, *_pump(doc, numbers)]


def _pump(doc: Json, numbers: Numbers) -> list[Row]:
    """Return the mean price of the fuel replaced; nothing where none is."""
    volume = doc["fuel"]["fuel_replaced"]
    if not volume:
        return []
    return [("At the pump", numbers.price(doc["savings"]["fuel_not_bought"] / volume))]


def _year_rows(doc: Json, numbers: Numbers) -> list[Row]:
    """List the year's steps, ending on the figures that decide."""
    rows = [(row.label, numbers.money(doc["savings"][row.key])) for row in SAVINGS]
    rows += [
        (f"Worth a year, {kind.short.lower()}", numbers.money(ledger["equivalent_annual"]))
        for kind in LEDGERS
        for ledger in (doc["ledgers"][kind.key],)
    ]
    return rows


def _pair_of_tables(left: tuple[str, Sequence[Row]], right: tuple[str, Sequence[Row]]) -> Table:
    """Set two tables of figures side by side."""
    table = Table(box=None, padding=(0, 1), pad_edge=False, expand=False, header_style="bold")
    table.add_column(left[0], overflow="fold")
    table.add_column("", justify="right", no_wrap=True)
    table.add_column(right[0], overflow="fold")
    table.add_column("", justify="right", no_wrap=True)
    for one, two in zip_longest(left[1], right[1], fillvalue=("", "")):
        table.add_row(*(Text(cell) for cell in (*one, *two)))
    return table


class _SideBySide(Struct, frozen=True):
    """Two tables of figures beside each other, or one below the other where that is too wide."""

    left: tuple[str, Sequence[Row]]
    right: tuple[str, Sequence[Row]]

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Draw them in the room there is."""
        pair = _pair_of_tables(self.left, self.right)
        widest = Measurement.get(console, options.update(max_width=1000), pair).maximum
        if widest <= options.max_width:
            yield pair
            return
        for head, rows in (self.left, self.right):
            yield columns((head, ""), rows)


def _money(decision: Decision, numbers: Numbers) -> Iterator[RenderableType]:
    doc = decision.document
    left = (f"{numbers.a_volume.capitalize()} of fuel replaced", _gallon_rows(doc, numbers))
    right = ("A typical year", _year_rows(doc, numbers))
    yield _SideBySide(left, right)


def _outlook(decision: Decision) -> Iterator[RenderableType]:
    screen = decision.first_screen
    ahead = screen["ahead"]
    yield paragraph(f"{ahead['title']}: {', '.join(ahead['lines'])}.", indent=0)
    for box in screen["boxes"]:
        yield paragraph(f"{box['label']}: {box['figure']}, {box['note']}.", indent=0)
    if screen["price"] is not None:
        yield paragraph(
            f"{screen['price']['line']} (Mean price of {decision.numbers.a_volume} replaced.)",
            indent=0,
        )
    reserve = decision.document["reserve"]
    if reserve is not None:
        yield paragraph(reserve["sentences"][0], indent=0)
    if decision.smaller is not None:
        yield paragraph(f"{decision.smaller['line']} See: drumworth plan.", indent=0)
    if decision.document["loan"] is not None:
        yield paragraph(f"Loan: {screen['loan']}", indent=0)


def _machine_rows(doc: Json, numbers: Numbers) -> list[tuple[str, ...]]:
    return [
        (
            machine["name"],
            FITS[machine["fit"]],
            _share(machine, numbers),
            numbers.volume(machine["fuel_replaced"]),
            numbers.money(machine["saving"]),
        )
        for machine in doc["machines"]
    ]


def _share(machine: Json, numbers: Numbers) -> str:
    mild, cold = machine["thinner_share"], machine["thinner_share_winter"]
    if machine["fit"] == "excluded":
        return "none"
    if mild is None and cold is None:
        return "too thick"
    text = "too thick" if mild is None else numbers.percent(mild)
    if cold is not None and cold != mild:
        text += f" ({numbers.percent(cold)})"
    return text


def _machines(doc: Json, numbers: Numbers, most: int | None) -> Iterator[RenderableType]:
    heads = ("Machine", "fit", "thinner (winter)", "replaced", "saves a year")
    rows, more = shown_rows(_machine_rows(doc, numbers), most)
    yield columns(heads, rows, left=(0, 1, 2))
    if more:
        yield paragraph(f"and {more} more")


def _gravest(decision: Decision) -> Iterator[RenderableType]:
    shown = decision.first_screen["cautions"]
    return gravest(
        shown["rows"],
        f"All {shown['all']} cautions and the rest:"
        f" drumworth decide {decision.scenario.path.name} --all",
    )


def _costs(doc: Json, numbers: Numbers) -> Iterator[RenderableType]:
    """Show the waterfall from fuel not bought to what is left, leaving out zero lines."""
    yield heading("A typical year on average, at today's prices")
    fuel = [(row.label, numbers.of(row.dimension, doc["fuel"][row.key])) for row in FUEL]
    yield columns(("", ""), fuel)
    after = {"cash": "cash", "wear": "after_wear", "kit": "after_kit", "full": "after_labour"}
    labels = {saving.key: saving.label for saving in SAVINGS}
    rows: list[Row] = [
        (labels["fuel_not_bought"], numbers.money(doc["savings"]["fuel_not_bought"]))
    ]
    bold = [0]
    for rung in RUNGS:
        for line in COST_LINES:
            amount = doc["costs"][line.key]
            if line.rung == rung.key and amount:
                rows.append((f"  less {line.label.lower()}", numbers.money(-amount)))
        if rung.key in after:
            bold.append(len(rows))
            rows.append((labels[after[rung.key]], numbers.money(doc["savings"][after[rung.key]])))
    for kind in LEDGERS:
        rows.append(
            (
                f"  tax and timing, {kind.short.lower()}",
                numbers.money(doc["savings"]["tax_and_timing"][kind.key]),
            )
        )
        bold.append(len(rows))
        rows.append(
            (
                f"Worth a year, {kind.short.lower()}",
                numbers.money(doc["ledgers"][kind.key]["equivalent_annual"]),
            )
        )
    yield columns(("", ""), rows, bold=bold)


def _ladder(doc: Json, numbers: Numbers) -> Iterator[RenderableType]:
    yield heading(f"What {numbers.a_volume} costs")
    burned, replaced = doc["rungs"]["per_blend"], doc["rungs"]["per_replaced"]
    rows = [(r.label, numbers.price(burned[r.key]), numbers.price(replaced[r.key])) for r in RUNGS]
    rows += [(label, "", price) for label, price in _pump(doc, numbers)]
    yield columns(("", "of blend burned", "of fuel replaced"), rows)


def _ledgers(decision: Decision, numbers: Numbers) -> Iterator[RenderableType]:
    doc, years = decision.document, decision.scenario.finance.years
    yield heading(f"Over {years} years")
    both = [doc["ledgers"][kind.key] for kind in LEDGERS]
    rows: list[tuple[str, ...]] = [
        (row.label, *(numbers.of(row.dimension, ledger[row.key]) for ledger in both))
        for row in MEASURES
        if row.on("terminal")
    ]
    for fuel in both[0]["break_even_by_fuel"]:
        prices = (numbers.price(ledger["break_even_by_fuel"][fuel]) for ledger in both)
        rows.append((f"Do not start below, {FUELS[fuel]}", *prices))
    for year, _ in enumerate(both[0]["stop_below"], start=1):
        prices = (numbers.price(ledger["stop_below"][year - 1]) for ledger in both)
        rows.append((f"After year {year}, carry on down to", *prices))
    for year, _ in enumerate(both[0]["lost_if_stopped"], start=1):
        lost = (numbers.money(ledger["lost_if_stopped"][year - 1]) for ledger in both)
        rows.append((f"Lost by stopping after year {year}", *lost))
    yield columns(("", *(kind.label for kind in LEDGERS)), rows)


def _months(decision: Decision, numbers: Numbers) -> Iterator[RenderableType]:
    yield heading(f"Month by month ({numbers.volume_unit} of clean oil; hours with upkeep)")
    hours = decision.first_screen["months"]
    rows = [
        (
            MONTHS[month["month"] - 1],
            f"{month['wanted']:,.0f}",
            f"{month['oil_used']:,.0f}",
            f"{month['raw_end']:,.0f}",
            f"{month['clean_end']:,.0f}",
            f"{own['hours']:,.1f}",
            BOTTLENECKS[month["bottleneck"]],
        )
        for month, own in zip(decision.document["months"], hours, strict=True)
    ]
    heads = ("", "wanted", "burned", "raw left", "clean left", "own hours", "held back by")
    yield columns(heads, rows, left=(0, 6))


def _reserve(doc: Json) -> Iterator[RenderableType]:
    """Show the days that the machines that must run last, by month, and in words."""
    reserve = doc["reserve"]
    if reserve is None:
        return
    yield heading("When nothing is delivered, days by the month's end")
    both = (("with what is held back", "days"), ("with nothing held back", "days_without"))
    rows = [
        (label, *(f"{math.floor(reserve[key][k] + 1e-9):,}" for k in half))
        for half in (range(6), range(6, 12))
        for label, key in both
    ]
    yield columns(("", *MONTHS[:6]), rows[:2])
    yield columns(("", *MONTHS[6:]), rows[2:])
    for text in reserve["sentences"]:
        yield bullet(text)


def _reasons(doc: Json) -> Iterator[RenderableType]:
    for machine in doc["machines"]:
        for reason in machine["reasons"]:
            yield bullet(f"{machine['name']}: {reason}")


def _cautions(decision: Decision) -> Iterator[RenderableType]:
    for severity in SEVERITIES:
        rows = [row for row in decision.document["cautions"] if row["severity"] == severity]
        if rows:
            yield heading(_CAUTION_HEADS[severity])
        for caution in rows:
            yield bullet(caution["text"], mark="!")
            yield paragraph(f"Basis: {caution['basis']}", indent=4, style="dim")
    yield paragraph(CLOSING, indent=0)


def render(decision: Decision) -> RenderableType:
    """Lay the decision out on one screen.

    Parameters
    ----------
    decision : Decision
        A farm worked through.

    Returns
    -------
    RenderableType
        At most forty lines at 80 columns.
    """
    numbers = decision.numbers

    def parts(rows: int) -> Iterator[RenderableType]:
        yield from _title(decision)
        yield Text()
        yield from _advice(decision)
        yield Text()
        yield from _money(decision, numbers)
        yield Text()
        yield from _outlook(decision)
        yield Text()
        yield from _machines(decision.document, numbers, rows)
        yield from _gravest(decision)

    return one_screen(parts, _MACHINES)


def render_all(decision: Decision) -> RenderableType:
    """Lay everything out, ending on the advice.

    Parameters
    ----------
    decision : Decision
        A farm worked through.

    Returns
    -------
    RenderableType
        As long as it is.
    """
    doc, numbers = decision.document, decision.numbers
    return page(
        [
            *_title(decision),
            *_cautions(decision),
            *_months(decision, numbers),
            *_reserve(doc),
            *_ladder(doc, numbers),
            *_costs(doc, numbers),
            *_ledgers(decision, numbers),
            heading("Machines, in a typical year"),
            *_machines(doc, numbers, None),
            *_reasons(doc),
            *summary(decision.chances),
            Text(),
            *_outlook(decision),
            Text(),
            *_advice(decision),
            *(bullet(reason) for reason in doc["advice"]["reasons"]),
        ]
    )
