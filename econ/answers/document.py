"""From outcomes to the JSON document; the only place that turns NaN into null.

Numbers are in the file's units: volumes in gallons or litres, prices for each, money in the
file's currency, payback in years, shares and rates as fractions.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> document(load(demo_files()["wrenfold"]))["advice"]["key"]
'start only if your time is free'
>>> number(float("nan")) is None
True
"""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, cast

import numpy as np
from msgspec import Struct

from econ.advice.cautions import Farm, ShownCaution, cautions
from econ.advice.verdict import Advice as Advice
from econ.advice.verdict import Case, Odds, advise
from econ.answers.caution_keys import CautionDocument
from econ.answers.reserve_document import reserve_document
from econ.farm.planned import as_planned
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.recent import Recent
from econ.ground.records import replace
from econ.ground.units import LITRES_PER_GALLON, Floats
from econ.ground.wording import Wording
from econ.model.costs import COST_LINES, RUNGS
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.loan import Loan, loan_of
from econ.model.measures import MEASURES, lost_if_stopped, price_factor, stop_below
from econ.model.months import BOTTLENECKS
from econ.model.outcome import LedgerResult, Month, Outcome, Year

if TYPE_CHECKING:
    # Its declarations import what a document alone does not need.
    from econ.answers.decision_keys import AverageDocument

Json = dict[str, Any]

_VOLUMES = (
    "blend",
    "oil_used",
    "oil_collected",
    "oil_processed",
    "thinner",
    "fuel_replaced",
    "fuel_without_plan",
)
_MONTH_VOLUMES = (
    "wanted",
    "collected",
    "processed",
    "raw_end",
    "clean_end",
    "oil_used",
    "thinner",
    "blend",
    "fuel_replaced",
)


class Answer(Struct, frozen=True):
    """A scenario worked through: at expected and at likely values, with the advice."""

    scenario: Scenario
    expected: Outcome
    """What every surface shows, called "on average"."""
    at_likely: Inputs
    """The farm at likely values, with the same burn order and fit."""
    advice: Advice
    wording: Wording

    @property
    def likely(self) -> Outcome:
        """Worked through at likely values, for whatever shows that beside the average."""
        return _LIKELY.of((self.at_likely,), lambda: evaluate(self.at_likely))


# A step of a slider shows averages alone, so likely values are worked out when asked for.
_LIKELY: Recent[Outcome] = Recent(4)


def answer(scenario: Scenario, odds: Odds | None = None) -> Answer:
    """Work a scenario through at expected and at likely values and advise.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    odds : Odds, optional
        What draws add to the advice.

    Returns
    -------
    Answer

    Raises
    ------
    ScenarioError
        If only the blend physics can refuse the scenario.
    """
    expected, likely = evaluate(prepare(scenario)), prepare(scenario, at="likely")
    wording = Wording(scenario.scenario.units, scenario.scenario.currency)
    return Answer(
        as_planned(scenario), expected, likely, advise(Case(expected, odds, wording)), wording
    )


def with_odds(worked: Answer, odds: Odds) -> Answer:
    """Advise anew on a farm that has been worked through, what draws say counted.

    Parameters
    ----------
    worked : Answer
        From `answer`, no draws counted.
    odds : Odds
        What draws add to the advice.

    Returns
    -------
    Answer
    """
    advice = advise(Case(worked.expected, odds, worked.wording))
    return replace(worked, scenario=as_planned(worked.scenario), advice=advice)


def number(value: Floats | float) -> float | None:
    """Return a plain number, None where it is undefined or without bound.

    Parameters
    ----------
    value : float or ndarray, shape ()
        [any]
    """
    plain = float(value)
    return plain if np.isfinite(plain) else None


class _Units(Struct, frozen=True):
    """What one file-unit of volume is, in litres."""

    litres: float

    def volume(self, litres: Floats | float) -> float | None:
        return number(np.asarray(litres) / self.litres)

    def price(self, per_litre: Floats | float) -> float | None:
        return number(np.asarray(per_litre) * self.litres)


def _units(scenario: Scenario) -> _Units:
    return _Units(LITRES_PER_GALLON if scenario.scenario.units == "us" else 1.0)


def _fuel(year: Year, units: _Units) -> Json:
    return {
        key: units.volume(value) if key in _VOLUMES else number(value)
        for key, value in year.fuel.items()
    }


def _amounts(amounts: dict[str, Floats]) -> Json:
    return {key: number(value) for key, value in amounts.items()}


def _rungs(year: Year, units: _Units) -> Json:
    return {
        name: {rung.key: units.price(by_rung[rung.key]) for rung in RUNGS}
        for name, by_rung in (
            ("per_blend", year.per_blend),
            ("per_replaced", year.per_replaced),
        )
    }


def _month(month: Month, units: _Units) -> Json:
    gathered: Json = {"month": month.month}
    for key in _MONTH_VOLUMES:
        gathered[key] = units.volume(getattr(month, key))
    gathered["hours"] = number(month.hours)
    gathered["bottleneck"] = BOTTLENECKS[int(month.bottleneck)]
    return gathered


def _measures(result: LedgerResult, outcome: Outcome, units: _Units) -> Json:
    gathered: Json = {}
    for row in MEASURES:
        value = result.measures[row.key]
        if row.dimension == "price_per_volume":
            gathered[row.key] = units.price(value)
        elif row.dimension == "flag":
            gathered[row.key] = None if np.isnan(value) else bool(value)
        else:
            gathered[row.key] = number(value)
    factor = price_factor(result.ledger)
    replaced = {
        machine.replaces
        for machine, year in zip(outcome.inputs.machines, outcome.typical.machines, strict=True)
        if year.fuel_replaced > 0.0
    }
    gathered["break_even_by_fuel"] = {
        fuel: units.price(price * factor)
        for fuel, price in outcome.inputs.prices.items()
        if fuel in replaced
    }
    gathered["lost_if_stopped"] = [number(value) for value in lost_if_stopped(result.ledger)]
    gathered["stop_below"] = [units.price(value) for value in stop_below(result.ledger)]
    gathered["flows"] = _series(result.ledger.flows)
    gathered["lines"] = {key: _series(series) for key, series in result.ledger.lines.items()}
    return gathered


def _series(series: Iterable[Floats]) -> list[float | None]:
    return [number(value) for value in series]


def _loan(loan: Loan | None) -> Json | None:
    """Write a loan; its series begin with year 1."""
    if loan is None:
        return None
    return {
        "payment": number(loan.payment),
        "payment_per_year": number(loan.payment_per_year),
        "interest": _series(loan.interest[1:]),
        "left_after_payment": {
            key: _series(left[1:]) for key, left in loan.left_after_payment.items()
        },
        "cover": number(loan.cover),
        "npv_change": number(loan.npv_change),
    }


def _ledgers(outcome: Outcome, units: _Units) -> Json:
    return {key: _measures(result, outcome, units) for key, result in outcome.ledgers.items()}


def _machines(outcome: Outcome, units: _Units) -> list[Json]:
    winter = any(outcome.inputs.winter_months)
    gathered = []
    for machine, year, (mild, cold) in zip(
        outcome.inputs.machines, outcome.typical.machines, outcome.blends, strict=True
    ):
        mild_share = None if bool(mild.too_thick) else number(mild.thinner_share)
        cold_share = None if bool(cold.too_thick) or not winter else number(cold.thinner_share)
        gathered.append(
            {
                "name": machine.name,
                "fit": machine.fit.key,
                "reasons": list(machine.fit.reasons),
                "thinner_share": mild_share,
                "thinner_share_winter": cold_share,
                "oil_used": units.volume(year.oil_used),
                "blend": units.volume(year.blend),
                "fuel_replaced": units.volume(year.fuel_replaced),
                "saving": number(year.saving),
            }
        )
    return gathered


def _year(year: Year, units: _Units) -> Json:
    return {
        "fuel": _fuel(year, units),
        "costs": _amounts({line.key: year.costs[line.key] for line in COST_LINES}),
        "savings": _amounts(year.savings),
    }


def _typical(outcome: Outcome, units: _Units) -> Json:
    """Write the typical year, with what its worth a year adds to its savings."""
    gathered = _year(outcome.typical, units)
    gathered["savings"] |= {
        "pay_per_hour": number(outcome.pay_per_hour),
        "tax_and_timing": _amounts(outcome.tax_and_timing),
    }
    return gathered


def shown_cautions(gathered: Answer) -> tuple[ShownCaution, ...]:
    """Return the cautions of an answer, the gravest first.

    Parameters
    ----------
    result : Answer
        From `answer`.

    Returns
    -------
    tuple of ShownCaution
    """
    header = gathered.scenario.scenario
    return cautions(
        Farm(header.units, header.currency, gathered.expected.inputs, gathered.expected)
    )


def caution_row(shown: ShownCaution) -> CautionDocument:
    """Return a caution as every document has it.

    Parameters
    ----------
    shown : ShownCaution
        From `shown_cautions`.

    Returns
    -------
    CautionDocument
        ``short`` is one line; ``gravity`` runs from 1 to 99, and rows come by it.
    """
    return {
        "key": shown.key,
        "severity": shown.severity,
        "gravity": shown.gravity,
        "short": shown.brief,
        "text": shown.text,
        "basis": shown.basis,
    }


def to_json(gathered: Answer) -> "AverageDocument":
    """Return the JSON document of an answer.

    Parameters
    ----------
    gathered : Answer
        From `answer`.

    Returns
    -------
    AverageDocument
        Plain numbers, text, lists and None, in the file's units; beside the keys declared there,
        those of the registries of measures and flow lines.
    """
    return cast("AverageDocument", with_likely(on_average(gathered), gathered))


def with_likely(average: Json, gathered: Answer) -> Json:
    """Put the figures at likely values into a document that has those on average.

    Parameters
    ----------
    average : dict
        From `on_average`.
    gathered : Answer
        The same.

    Returns
    -------
    dict
        As `to_json`.
    """
    units = _units(gathered.scenario)
    likely = {**_typical(gathered.likely, units), "ledgers": _ledgers(gathered.likely, units)}
    result = {**average, "likely": likely}
    # What is said of the figures stands below all of them.
    return result | {key: result.pop(key) for key in ("advice", "cautions")}


def on_average(gathered: Answer) -> Json:
    """Return the JSON document of an answer but for what it is at likely values.

    Parameters
    ----------
    gathered : Answer
        From `answer`.

    Returns
    -------
    dict
        As `to_json`, without "likely".
    """
    units = _units(gathered.scenario)
    outcome, header = gathered.expected, gathered.scenario.scenario
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        **_typical(outcome, units),
        "rungs": _rungs(outcome.typical, units),
        "first_year": _year(outcome.first_year, units),
        "months": [_month(month, units) for month in outcome.typical.months],
        "kit_cost": number(outcome.kit_cost),
        "kit_to_buy": number(outcome.kit_to_buy),
        "ledgers": _ledgers(outcome, units),
        "loan": _loan(loan_of(outcome)),
        "machines": _machines(outcome, units),
        "reserve": reserve_document(outcome, gathered.wording.numbers),
        "advice": {"key": gathered.advice.key, "reasons": list(gathered.advice.reasons)},
        "cautions": [caution_row(shown) for shown in shown_cautions(gathered)],
    }


def document(scenario: Scenario, odds: Odds | None = None) -> "AverageDocument":
    """Work a scenario through and give its JSON document.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    odds : Odds, optional
        What draws add to the advice.

    Returns
    -------
    AverageDocument
        As `to_json`.

    Raises
    ------
    ScenarioError
        As `answer`.
    """
    return to_json(answer(scenario, odds))
