"""The advice, read from an outcome at expected values; it is as ready to say no as yes.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> case = Case(evaluate(prepare(load(demo_files()["wrenfold"]))), None, Wording("us", "USD"))
>>> advise(case).label
'Start only if your time is free.'
"""

from collections.abc import Callable

import numpy as np
from msgspec import Struct

from econ.ground.units import LITRES_PER_GALLON
from econ.ground.wording import Wording
from econ.model.outcome import Outcome

# A plan smaller than this teaches little and cannot carry fixed costs; common practice.
SMALL_PLAN = 300 * LITRES_PER_GALLON
# The fuel price must stand this far above break-even before the full plan is advised.
HEADROOM = 1.10
# Above this share of the blend in machines under caution, a trial comes first.
CAUTION_SHARE = 0.25
# Below this chance of a positive worth with one's time paid, a trial comes first. A stricter
# line would be decided by how far fuel prices are drawn back, which no record can tell from 0.
CHANCE = 0.5


class Kind(Struct, frozen=True):
    """One advice."""

    key: str
    label: str


KINDS = (
    Kind("do not start", "Do not start."),
    Kind("start only if your time is free", "Start only if your time is free."),
    Kind("try small first", "Try small first."),
    Kind("start", "Start."),
)


class Odds(Struct, frozen=True):
    """What draws add to the advice."""

    mean_paid: float
    """Mean over the draws of the worth with one's time paid. [currency]"""
    chance_paid: float
    """Chance that the worth with one's time paid is above zero. [-]"""
    one_in_twenty: float
    """The worth with one's time paid that one farm in twenty falls below, each free to stop at
    the end of any year. [currency]"""


class Case(Struct, frozen=True):
    """What a rule of the advice looks at."""

    outcome: Outcome
    odds: Odds | None
    wording: Wording

    def measure(self, ledger: str, key: str) -> float:
        """Return one measure of one ledger."""
        return float(self.outcome.ledgers[ledger].measures[key])

    def fuel(self, key: str) -> float:
        """Return one volume of the typical year. [L]"""
        return float(self.outcome.typical.fuel[key])


class Rule(Struct, frozen=True):
    """One rule of the advice: the first kind that any rule gives stands."""

    key: str
    kind: str
    reason: Callable[[Case], str | None]
    """The reason with its figure, or None where the rule does not bind."""


def _no_fuel(case: Case) -> str | None:
    if case.fuel("fuel_replaced") > 0.0:
        return None
    return "No fuel would be made: " + _why_none(case)


def _why_none(case: Case) -> str:
    if case.fuel("oil_collected") <= 0.0:
        return "no oil comes in."
    if all(machine.fit.key == "excluded" for machine in case.outcome.inputs.machines):
        return "every machine must stay on pump fuel."
    return "no machine takes any blend."


def _loses_free(case: Case) -> str | None:
    worth = case.measure("time_free", "npv")
    if worth > 0.0:
        return None
    return (
        f"Even with your time free the plan loses: it is worth {case.wording.money(worth)} in"
        " today's money."
    )


def _pay(case: Case) -> str:
    pay = float(case.outcome.pay_per_hour)
    wage = float(case.outcome.inputs.labour.wage)
    if np.isnan(pay):
        return ""
    return (
        f" An hour of your time earns {case.wording.cents(pay)}; your wage is"
        f" {case.wording.cents(wage)}."
    )


def _loses_paid(case: Case) -> str | None:
    worth = case.measure("time_paid", "npv")
    if worth > 0.0:
        return None
    return (
        f"Paying you for your time the plan is worth {case.wording.money(worth)} in today's"
        f" money.{_pay(case)}"
    )


def _all_hired(case: Case) -> str | None:
    if float(case.outcome.inputs.labour.hired_share) < 1.0:
        return None
    return _loses_paid(case)


def _near_break_even(case: Case) -> str | None:
    price = float(case.outcome.ledgers["time_paid"].ledger.mean_price)
    floor = case.measure("time_paid", "break_even_fuel_price")
    if np.isnan(floor) or price >= HEADROOM * floor:
        return None
    above = price / floor - 1.0
    return (
        f"The fuel replaced costs {case.wording.price(price)}, only {case.wording.percent(above)}"
        f" above the {case.wording.price(floor)} at which the plan stops paying for your time."
    )


def _small(case: Case) -> str | None:
    replaced = case.fuel("fuel_replaced")
    if replaced >= SMALL_PLAN:
        return None
    return (
        f"Only {case.wording.volume(replaced)} of fuel a year would be replaced, less than"
        f" {case.wording.volume(SMALL_PLAN)}."
    )


def _under_caution(case: Case) -> str | None:
    total = case.fuel("blend")
    held = sum(
        float(year.blend)
        for machine, year in zip(
            case.outcome.inputs.machines, case.outcome.typical.machines, strict=True
        )
        if machine.fit.key == "caution"
    )
    if total <= 0.0 or held <= CAUTION_SHARE * total:
        return None
    return f"{case.wording.percent(held / total)} of the blend goes to machines under caution."


def _loses_drawn(case: Case) -> str | None:
    if case.odds is None or case.odds.mean_paid > 0.0:
        return None
    return (
        f"Over many farms like this one the plan is worth {case.wording.money(case.odds.mean_paid)}"
        " on average with their time paid, though not at average values."
    )


def _unsure(case: Case) -> str | None:
    if case.odds is None or case.odds.chance_paid >= CHANCE:
        return None
    in_hundred = round(100 * case.odds.chance_paid)
    return f"In 100 farms like this about {in_hundred} come out ahead with their time paid."


def _deep_loss(case: Case) -> str | None:
    if case.odds is None:
        return None
    kit = float(case.outcome.kit_cost)
    if -case.odds.one_in_twenty <= kit:
        return None
    return (
        f"One farm in twenty loses {case.wording.money(-case.odds.one_in_twenty)} or more in"
        f" today's money even when free to stop, beyond the {case.wording.money(kit)} the kit"
        " costs."
    )


RULES = (
    Rule("no_fuel", "do not start", _no_fuel),
    Rule("loses_free", "do not start", _loses_free),
    Rule("all_hired", "do not start", _all_hired),
    Rule("loses_paid", "start only if your time is free", _loses_paid),
    Rule("near_break_even", "try small first", _near_break_even),
    Rule("small", "try small first", _small),
    Rule("under_caution", "try small first", _under_caution),
    Rule("loses_drawn", "try small first", _loses_drawn),
    Rule("unsure", "try small first", _unsure),
    Rule("deep_loss", "try small first", _deep_loss),
)


class Advice(Struct, frozen=True):
    """What to do, and why."""

    key: str
    label: str
    reasons: tuple[str, ...]


def stands_without_chances(advice: Advice) -> bool:
    """Say whether advice given without draws is the same with them.

    Draws only ever speak for trying small first: they can hold back a start, and turn nothing
    else.

    Parameters
    ----------
    advice : Advice
        Given on average values alone.

    Returns
    -------
    bool
    """
    return advice.key != KINDS[-1].key


def _why_start(case: Case) -> str:
    worth = case.measure("time_paid", "npv")
    floor = case.measure("time_paid", "break_even_fuel_price")
    text = (
        f"Paying you for your time the plan is worth {case.wording.money(worth)} in today's money"
    )
    if np.isnan(floor):
        return text + "."
    return f"{text}, and fuel would have to fall to {case.wording.price(floor)} to end that."


def advise(case: Case) -> Advice:
    """Return the advice for an outcome at expected values.

    Parameters
    ----------
    case : Case
        The outcome at expected values (shape ``()``), what draws add, and the file's units.

    Returns
    -------
    Advice
        The first kind that any rule gives, with every reason that speaks for that kind.
    """
    for kind in KINDS:
        reasons = tuple(
            text for rule in RULES if rule.kind == kind.key and (text := rule.reason(case))
        )
        if reasons:
            # A plan without fuel also loses money: for a no, the first reason says it all.
            given = reasons[:1] if kind is KINDS[0] else reasons
            return Advice(kind.key, kind.label, given)
    last = KINDS[-1]
    return Advice(last.key, last.label, (_why_start(case),))
