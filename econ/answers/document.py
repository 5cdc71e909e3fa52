"""From outcomes to the JSON document; the only place that turns NaN into null.

Numbers are in the file's units: volumes in gallons or litres, prices for each, money in the
file's currency, payback in years, shares and rates as fractions.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np

from econ.advice.cautions import Farm, ShownCaution, cautions
from econ.advice.verdict import Advice, Case, Odds, advise
from econ.farm.planned import as_planned
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.units import LITRES_PER_GALLON, Floats
from econ.ground.wording import Wording
from econ.model.costs import COST_LINES, RUNGS
from econ.model.evaluate import evaluate
from econ.model.measures import MEASURES, lost_if_stopped, price_factor
from econ.model.months import BOTTLENECKS
from econ.model.outcome import LedgerResult, Month, Outcome, Year

Json = dict[str, Any]

_VOLUMES = (
    "blend", "oil_used", "oil_collected", "oil_processed", "thinner", "fuel_replaced",
    "fuel_without_plan",
)  # fmt: skip
_MONTH_VOLUMES = (
    "wanted", "collected", "processed", "raw_end", "clean_end", "oil_used", "thinner", "blend",
    "fuel_replaced",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Answer:
    """A scenario worked through: at likely and at expected values, with the advice."""

    scenario: Scenario
    likely: Outcome
    expected: Outcome
    advice: Advice
    wording: Wording


def answer(scenario: Scenario, odds: Odds | None = None) -> Answer:
    """Work a scenario through at likely and at expected values and advise.

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
    likely = evaluate(prepare(scenario))
    expected = evaluate(prepare(scenario, at="expected"))
    wording = Wording(scenario.scenario.units, scenario.scenario.currency)
    return Answer(
        as_planned(scenario), likely, expected, advise(Case(expected, odds, wording)), wording
    )


def number(value: Floats | float) -> float | None:
    """Give a plain number, None where it is undefined or without bound."""
    plain = float(value)
    return plain if np.isfinite(plain) else None


@dataclass(frozen=True, slots=True)
class _Units:
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
    found: Json = {"month": month.month}
    for key in _MONTH_VOLUMES:
        found[key] = units.volume(getattr(month, key))
    found["hours"] = number(month.hours)
    found["bottleneck"] = BOTTLENECKS[int(month.bottleneck)]
    return found


def _measures(result: LedgerResult, outcome: Outcome, units: _Units) -> Json:
    found: Json = {}
    for row in MEASURES:
        value = result.measures[row.key]
        if row.dimension == "price_per_volume":
            found[row.key] = units.price(value)
        elif row.dimension == "flag":
            found[row.key] = None if np.isnan(value) else bool(value)
        else:
            found[row.key] = number(value)
    factor = price_factor(result.ledger)
    replaced = {
        machine.replaces
        for machine, year in zip(outcome.inputs.machines, outcome.typical.machines, strict=True)
        if year.fuel_replaced > 0.0
    }
    found["break_even_by_fuel"] = {
        fuel: units.price(price * factor)
        for fuel, price in outcome.inputs.prices.items()
        if fuel in replaced
    }
    found["lost_if_stopped"] = [number(value) for value in lost_if_stopped(result.ledger)]
    found["flows"] = [number(value) for value in result.ledger.flows]
    return found


def _ledgers(outcome: Outcome, units: _Units) -> Json:
    return {key: _measures(result, outcome, units) for key, result in outcome.ledgers.items()}


def _machines(outcome: Outcome, units: _Units) -> list[Json]:
    winter = any(outcome.inputs.winter_months)
    found = []
    for machine, year, (mild, cold) in zip(
        outcome.inputs.machines, outcome.typical.machines, outcome.blends, strict=True
    ):
        mild_share = None if bool(mild.too_thick) else number(mild.thinner_share)
        cold_share = None if bool(cold.too_thick) or not winter else number(cold.thinner_share)
        found.append(
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
    return found


def _year(year: Year, units: _Units) -> Json:
    return {
        "fuel": _fuel(year, units),
        "costs": _amounts({line.key: year.costs[line.key] for line in COST_LINES}),
        "savings": _amounts(year.savings),
    }


def shown_cautions(found: Answer) -> tuple[ShownCaution, ...]:
    """Give the cautions of an answer, the gravest first.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    tuple of ShownCaution
    """
    header = found.scenario.scenario
    return cautions(Farm(header.units, header.currency, found.likely.inputs, found.likely))


def caution_row(shown: ShownCaution) -> Json:
    """Give a caution as every document has it.

    Parameters
    ----------
    shown : ShownCaution
        From `shown_cautions`.

    Returns
    -------
    dict
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


def to_json(found: Answer) -> Json:
    """Give the JSON document of an answer.

    Parameters
    ----------
    found : Answer
        From `answer`.

    Returns
    -------
    dict
        Plain numbers, text, lists and None, in the file's units.
    """
    units = _units(found.scenario)
    likely, header = found.likely, found.scenario.scenario
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        **_year(likely.typical, units),
        "rungs": _rungs(likely.typical, units),
        "first_year": _year(likely.first_year, units),
        "months": [_month(month, units) for month in likely.typical.months],
        "kit_cost": number(likely.kit_cost),
        "kit_to_buy": number(likely.kit_to_buy),
        "ledgers": _ledgers(likely, units),
        "machines": _machines(likely, units),
        "expected": {
            **_year(found.expected.typical, units),
            "ledgers": _ledgers(found.expected, units),
        },
        "advice": {"key": found.advice.key, "reasons": list(found.advice.reasons)},
        "cautions": [caution_row(shown) for shown in shown_cautions(found)],
    }


def document(scenario: Scenario, odds: Odds | None = None) -> Json:
    """Work a scenario through and give its JSON document.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    odds : Odds, optional
        What draws add to the advice.

    Returns
    -------
    dict
        As `to_json`.

    Raises
    ------
    ScenarioError
        As `answer`.
    """
    return to_json(answer(scenario, odds))
