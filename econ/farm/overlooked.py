"""What a plan like this usually has and the file leaves out, and prices that need a look.

Each question is a row: the field it asks for, and the words where the farm gives cause to ask.
Nothing here is refused.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["wrenfold"])
>>> [note.where for note in odd_prices(farm, datetime.date(2028, 6, 15))]
['[scenario] priced_on = 2026-06-15']
"""

import datetime
from collections.abc import Callable, Iterable

from msgspec import Struct

from econ.farm.prepare import settle
from econ.farm.review import Note
from econ.farm.schema import Estimate, Machine, Scenario, Table
from econ.fuel.substances import as_gasoline

# Fuel prices of half a year ago are another season's. [days]
OLD_PRICES = 183


class _Farm(Struct, frozen=True):
    """What a question looks at."""

    scenario: Scenario
    burning: tuple[Machine, ...]
    """Machines that may burn blend."""


class Question(Struct, frozen=True):
    """One thing that is usually there."""

    where: str
    """The field it asks for."""
    asked: Callable[[_Farm], str | None]
    """Why, or None where this farm gives no cause."""


def _mean(value: float | Estimate | None) -> float:
    if isinstance(value, Estimate):
        return value.expected
    return 0.0 if value is None else value


def _left_out(entries: Iterable[Table], field: str) -> bool:
    """Say whether no entry gives a field."""
    return not any(field in entry.model_fields_set for entry in entries)


def _contingency(farm: _Farm) -> str | None:
    if all(item.owned for item in farm.scenario.kit):
        return None
    if not _left_out([farm.scenario.finance], "kit_contingency"):
        return None
    return (
        "nothing is added to the kit for what is forgotten: fittings, hoses, a second pump;"
        " people add a tenth to a third"
    )


def _first_year(farm: _Farm) -> str | None:
    if all(oil.own for oil in farm.scenario.oils):
        return None
    if not _left_out([farm.scenario.process], "first_year_share"):
        return None
    return "all the oil that others promise is counted from the first month, with nothing to learn"


def _resale_loss(farm: _Farm) -> str | None:
    engines = [machine for machine in farm.burning if machine.engine != "burner"]
    if not engines or not _left_out(farm.scenario.machines, "resale_loss"):
        return None
    names = ", ".join(machine.name for machine in engines)
    return f"{names}: a buyer who is told what they burned may take something off"


def _wage_taxed(farm: _Farm) -> str | None:
    taxed = (
        _mean(farm.scenario.finance.tax_rate) > 0.0
        and _mean(farm.scenario.labour.hired_share) < 1.0
    )
    if not taxed or not _left_out([farm.scenario.labour], "wage_taxed"):
        return None
    return "your hours are taken to earn taxed pay elsewhere; say false if that pay is untaxed"


def _fuel_duty(farm: _Farm) -> str | None:
    if farm.scenario.scenario.units == "us" or not _left_out([farm.scenario.prices], "fuel_duty"):
        return None
    return "no duty is counted on your own fuel; ask your tax office whether it owes any"


def _refund(farm: _Farm) -> str | None:
    off_road = {
        machine.thinner
        for machine in farm.burning
        if machine.engine != "burner" and _mean(machine.road_share) < 1.0
    }
    taxed = [
        thinner.name
        for thinner in farm.scenario.thinners
        if as_gasoline(thinner.kind)
        and thinner.name in off_road
        and "refund" not in thinner.model_fields_set
    ]
    if farm.scenario.scenario.units != "us" or not taxed:
        return None
    return (
        f"{', '.join(taxed)}: federal tax of 18.3 cents a gallon on gasoline burned off the road"
        " may be given back (26 USC 6420, 6421), and some states give theirs; if the price has it"
        " taken off already, say refund = 0"
    )


def _serves(farm: _Farm) -> str | None:
    if (
        len({machine.thinner for machine in farm.burning} - {None}) < 2
        or not farm.scenario.additives
    ):
        return None
    if not _left_out(farm.scenario.additives, "serves"):
        return None
    return "every additive is counted in all blend; name the thinners or machines it is for"


def _upkeep(farm: _Farm) -> str | None:
    if _mean(farm.scenario.labour.upkeep_hours_per_year) > 0.0:
        return None
    if any(_mean(bill.hours) > 0.0 for bill in farm.scenario.yearly):
        return None
    return "no hours go into upkeep: tanks, pumps, records, clean-up, or a bill's own hours"


def _exit(farm: _Farm) -> str | None:
    if _mean(farm.scenario.finance.exit_cost) > 0.0:
        return None
    if any(_mean(item.exit_cost) > 0.0 for item in farm.scenario.kit):
        return None
    return "ending the plan costs nothing: the last sludge, cleaned tanks, soil, kit to be cut up"


def _new_cost(farm: _Farm) -> str | None:
    replaced = [
        item.name
        for item in farm.scenario.kit
        if item.owned and item.new_cost is None and item.life_years < farm.scenario.finance.years
    ]
    if not replaced:
        return None
    return f"{', '.join(replaced)}: a new one is taken to cost what the old one would sell for"


def _loan(farm: _Farm) -> str | None:
    if farm.scenario.loan is not None or all(item.owned for item in farm.scenario.kit):
        return None
    return "the kit is paid for from savings; if it is borrowed, say so and see what is left"


QUESTIONS = (
    Question("[finance] kit_contingency", _contingency),
    Question("[process] first_year_share", _first_year),
    Question("[[machines]] resale_loss", _resale_loss),
    Question("[finance] exit_cost", _exit),
    Question("[[kit]] new_cost", _new_cost),
    Question("[labour] upkeep_hours_per_year", _upkeep),
    Question("[labour] wage_taxed", _wage_taxed),
    Question("[prices] fuel_duty", _fuel_duty),
    Question("[[thinners]] refund", _refund),
    Question("[[additives]] serves", _serves),
    Question("[loan]", _loan),
)


def overlooked(scenario: Scenario) -> tuple[Note, ...]:
    """Ask for what a plan like this usually has and the file leaves out.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    tuple of Note
        In the order of `QUESTIONS`.

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    may_burn = settle(scenario).may_burn
    burning = tuple(m for m, may in zip(scenario.machines, may_burn, strict=True) if may)
    farm = _Farm(scenario, burning)
    return tuple(
        Note(row.where, text) for row in QUESTIONS if (text := row.asked(farm)) is not None
    )


def odd_prices(scenario: Scenario, today: datetime.date) -> tuple[Note, ...]:
    """Say where prices are old, and where the plan rests on fuel getting dearer than all else.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    today : date
        To count from.

    Returns
    -------
    tuple of Note
    """
    notes = []
    priced_on = scenario.scenario.priced_on
    if priced_on is None:
        notes.append(Note("[scenario] priced_on", "nobody can tell how old these prices are"))
    elif (today - priced_on).days > OLD_PRICES:
        notes.append(
            Note(
                f"[scenario] priced_on = {priced_on:%Y-%m-%d}",
                f"these prices are {(today - priced_on).days} days old; look them up again",
            )
        )
    finance = scenario.finance
    fuel, all_else = _mean(finance.fuel_inflation), _mean(finance.inflation)
    if finance.fuel_inflation is not None and fuel > all_else:
        notes.append(
            Note(
                f"[finance] fuel_inflation = {fuel:g}",
                f"you bet on dearer fuel: it grows faster than all else ({all_else:g}), every"
                " year; see what is left with both the same",
            )
        )
    return tuple(notes)
