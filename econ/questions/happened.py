"""The plan's months beside what the records say of them, in the file's units and money.

>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> row = Row(2, 1, datetime.date(2026, 5, 3), "burned", "Shop oil heater", volume=10.0)
>>> oil_alone = Burn(row, row.which, row.which, oil=10.0, thinner=0.0)
>>> replaced = fuel_replaced(inputs, DIESEL_HEATING_VALUE, oil_alone)
>>> round(replaced * float(inputs.machines[3].use_factor), 12)
10.0
"""

import datetime

from msgspec import Struct

from econ.farm.log import Log, Row
from econ.farm.schema import Scenario
from econ.fuel.substances import DIESEL_HEATING_VALUE
from econ.ground.units import LITRES_PER_GALLON, Numeric
from econ.model.inputs import Inputs
from econ.model.outcome import Month, Outcome, Year
from econ.questions.balances import Balances, Burn
from econ.questions.observed import month_of, months_between


class Line(Struct, frozen=True):
    """One line that is set side by side."""

    key: str
    label: str
    dimension: str


LINES = (
    Line("collected", "Used oil taken in", "volume"),
    Line("cleaned", "Used oil cleaned", "volume"),
    Line("lost", "Lost as water and sludge", "volume"),
    Line("hours", "Hours for trips and batches", "hours"),
    Line("filters", "Filter elements used", "count"),
    Line("thinner", "Thinner mixed in", "volume"),
    Line("fuel_replaced", "Pump fuel replaced", "volume"),
    Line("paid_oil", "Paid for used oil", "money"),
    Line("paid_thinner", "Paid for thinner", "money"),
    Line("paid_filters", "Paid for filters", "money"),
    Line("paid_cleaning", "Paid for tests and disposal", "money"),
    Line("paid_additives", "Paid for additives", "money"),
    Line("paid_yearly", "Paid for yearly bills", "money"),
    Line("paid_repairs", "Paid for repairs put down to the blend", "money"),
)
Amounts = dict[str, float]


class MonthBeside(Struct, frozen=True):
    """One calendar month of the log, the plan's beside it."""

    month: datetime.date
    compared: bool
    """False for a month that the log does not cover whole."""
    first_year: bool
    """Whether the plan's year 1 stands beside it, else the typical year."""
    plan: Amounts
    so_far: Amounts


class Shelf(Struct, frozen=True):
    """What was bought and is not used up."""

    name: str
    dimension: str
    left: float


class Happened(Struct, frozen=True):
    """The plan and what happened."""

    months: tuple[MonthBeside, ...]
    shelf: tuple[Shelf, ...]
    recorded: frozenset[str]
    """Lines of which the log has any figure: what is not written down is not none."""

    def sums(self) -> list[tuple[Line, float, float | None]]:
        """Add up the months that are compared: line, plan, so far (None: not recorded)."""
        kept = [month for month in self.months if month.compared]
        return [
            (
                line,
                sum(m.plan[line.key] for m in kept),
                sum(m.so_far[line.key] for m in kept) if line.key in self.recorded else None,
            )
            for line in LINES
        ]


def _litres(scenario: Scenario) -> float:
    return LITRES_PER_GALLON if scenario.scenario.units == "us" else 1.0


def _part(amount: Numeric, month: Numeric, year: Numeric) -> float:
    """Return a month's part of a year's amount, in proportion to what drives it."""
    whole = float(year)
    return float(amount) * float(month) / whole if whole > 0.0 else 0.0


def _planned(inputs: Inputs, year: Year, month: Month, litres: float) -> Amounts:
    """Return one month of the plan."""
    fuel, costs = year.fuel, year.costs
    processed = float(month.processed)
    drivers: dict[str, tuple[Numeric, Numeric, Numeric]] = {
        "paid_oil": (costs["oil"], month.collected, fuel["oil_collected"]),
        "paid_thinner": (costs["thinner"], month.thinner, fuel["thinner"]),
        "paid_filters": (costs["filters"], month.processed, fuel["oil_processed"]),
        "paid_cleaning": (
            costs["tests"] + costs["disposal"],
            month.processed,
            fuel["oil_processed"],
        ),
        "paid_additives": (costs["additives"], month.blend, fuel["blend"]),
        "paid_yearly": (costs["yearly"], 1.0, 12.0),
        "paid_repairs": (costs["wear"], month.oil_used, fuel["oil_used"]),
    }
    elements = sum(processed / float(f.volume_per_element) for f in inputs.filters)
    return {
        "collected": float(month.collected) / litres,
        "cleaned": processed / litres,
        "lost": processed * float(inputs.process.loss_share) / litres,
        "hours": float(month.hours),
        "filters": elements,
        "thinner": float(month.thinner) / litres,
        "fuel_replaced": float(month.fuel_replaced) / litres,
        **{key: _part(*driver) for key, driver in drivers.items()},
    }


def fuel_replaced(inputs: Inputs, pool_heat: float, burn: Burn) -> float:
    """Return the pump fuel that a burn stood for, by the share really mixed.

    Parameters
    ----------
    inputs : Inputs
        The farm at expected values.
    pool_heat : float
        Lower heating value of its clean oil. [MJ/L]
    burn : Burn
        Blend burned.

    Returns
    -------
    float
        Blend over ``(1 + (use_factor - 1)(1 - x)) LHV_diesel / LHV_blend``, in the burn's unit.
    """
    machine = next(m for m in inputs.machines if m.name == burn.machine)
    blend = burn.oil + burn.thinner
    if blend <= 0.0:
        return 0.0
    x = burn.thinner / blend
    thin = pool_heat
    if machine.thinner is not None:
        thin = float(inputs.thinners[machine.thinner].heating_value)
    heat = (1.0 - x) * pool_heat + x * thin
    factor = 1.0 + (float(machine.use_factor) - 1.0) * (1.0 - x)
    return blend * heat / (factor * DIESEL_HEATING_VALUE)


def _paid_as(scenario: Scenario, row: Row) -> str | None:
    """Return the line that a row's money belongs to."""
    lists = (
        ("paid_thinner", scenario.thinners),
        ("paid_filters", scenario.filters),
        ("paid_additives", scenario.additives),
        ("paid_yearly", scenario.yearly),
    )
    if row.what == "bought":
        return next(
            (key for key, entries in lists if any(entry.name == row.which for entry in entries)),
            None,
        )
    if row.what == "repaired":
        return (
            None
            if row.note.casefold().removeprefix("blend").strip(" :").startswith("no")
            else "paid_repairs"
        )
    return {"fetched": "paid_oil", "cleaned": "paid_cleaning", "tested": "paid_cleaning"}.get(
        row.what
    )


def _count_row(scenario: Scenario, row: Row, so_far: Amounts) -> None:
    """Add what one row says to its month."""
    volume, left = row.volume or 0.0, row.left or 0.0
    if row.what == "fetched":
        so_far["collected"] += volume
    if row.what == "cleaned":
        so_far["cleaned"] += volume
        so_far["lost"] += volume - left
        so_far["filters"] += row.count or 0.0
    if row.what == "mixed":
        so_far["thinner"] += left
    if row.what in ("fetched", "cleaned"):
        so_far["hours"] += row.hours or 0.0
    line = _paid_as(scenario, row)
    if line is not None:
        so_far[line] += row.money or 0.0


def _so_far(
    scenario: Scenario, log: Log, account: Balances, outcome: Outcome
) -> dict[datetime.date, Amounts]:
    """Add the log up by calendar month."""
    result: dict[datetime.date, Amounts] = {}

    def month(day: datetime.date) -> Amounts:
        return result.setdefault(month_of(day), {line.key: 0.0 for line in LINES})

    for row in log.rows:
        _count_row(scenario, row, month(row.date))
    heat = float(outcome.pool.heating_value)
    for burn in account.burns:
        amounts = month(burn.row.date)
        amounts["fuel_replaced"] += fuel_replaced(outcome.inputs, heat, burn)
        if not burn.tank:
            amounts["thinner"] += burn.thinner
    return result


def _recorded(scenario: Scenario, log: Log, account: Balances) -> frozenset[str]:
    """Return the lines of which the log has any figure."""
    result = {"thinner", "fuel_replaced"} if account.burns else set()
    for row in log.rows:
        if row.what == "fetched":
            result.add("collected")
        if row.what == "cleaned":
            result |= {"cleaned", "lost"} | ({"filters"} if row.count is not None else set())
        if row.what == "mixed":
            result.add("thinner")
        if row.what in ("fetched", "cleaned") and row.hours is not None:
            result.add("hours")
        line = _paid_as(scenario, row)
        if line is not None and row.money is not None:
            result.add(line)
    return frozenset(result)


def _shelf(scenario: Scenario, log: Log, account: Balances) -> tuple[Shelf, ...]:
    """Return what was bought and stands on the shelf: thinner all together, filters alike."""
    thinners = {thinner.name for thinner in scenario.thinners}
    filters = {entry.name for entry in scenario.filters}
    thin, elements = 0.0, 0.0
    for row in log.rows:
        if row.what == "bought" and row.which in thinners:
            thin += row.volume or 0.0
        if row.what == "bought" and row.which in filters:
            elements += 1.0 if row.count is None else row.count
        if row.what == "cleaned":
            elements -= row.count or 0.0
        if row.what == "mixed":
            thin -= row.left or 0.0
    thin -= sum(burn.thinner for burn in account.burns if not burn.tank)
    both = (Shelf("thinner", "volume", thin), Shelf("filter elements", "count", elements))
    return tuple(entry for entry in both if entry.left > 1e-9)


def happened(scenario: Scenario, log: Log, account: Balances, outcome: Outcome) -> Happened:
    """Set the log's months beside the plan's.

    Parameters
    ----------
    scenario : Scenario
        The farm.
    log : Log
        Its log.
    account : Balances
        Of that log.
    outcome : Outcome
        The plan: the first guess at expected values, with its months.

    Returns
    -------
    Happened
        The log's first twelve whole calendar months beside year 1's months of the same name,
        later ones beside the typical year's; a month that the log does not cover whole is
        shown and not compared. The plan begins in January with empty stores.
    """
    if log.first is None or log.last is None:
        return Happened((), (), frozenset())
    litres = _litres(scenario)
    whole = months_between(log.first, log.last)
    so_far = _so_far(scenario, log, account, outcome)
    months = []
    for month in sorted({*whole, *so_far}):
        first = month not in whole[12:] and (len(whole) < 13 or month < whole[12])
        year = outcome.first_year if first else outcome.typical
        months.append(
            MonthBeside(
                month=month,
                compared=month in whole,
                first_year=first,
                plan=_planned(outcome.inputs, year, year.months[month.month - 1], litres),
                so_far=so_far.get(month, {line.key: 0.0 for line in LINES}),
            )
        )
    recorded = _recorded(scenario, log, account)
    return Happened(tuple(months), _shelf(scenario, log, account), recorded)
