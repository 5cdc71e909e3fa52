"""The JSON document of a farm's chances, in the file's units.

>>> in_units(100.0, "volume", "metric"), in_units(float("nan"), "volume", "metric")
(100.0, None)
"""

import numpy as np

from econ.advice.chance_words import (
    STOPPING,
    ahead_sentence,
    bad_year_sentence,
    history_note,
    history_sentence,
    large_bill_sentence,
    prices_note,
    stopping_sentence,
    worth_sentence,
)
from econ.answers.chance_keys import (
    ChancesDocument,
    ChanceWords,
    HistoryDocument,
    SpreadDocument,
    StoppingDocument,
)
from econ.answers.document import number
from econ.farm.schema import Scenario
from econ.ground.sources import SOURCES
from econ.ground.units import DIMENSIONS, LITRES_PER_GALLON, from_canonical
from econ.ground.written import Numbers
from econ.model.headlines import HEADLINES
from econ.model.ledger import LEDGERS
from econ.questions.chances import Chances, Stopping
from econ.questions.history import SOURCES as RECORD_SOURCES
from econ.questions.history import History, price_record, real_prices
from econ.questions.tally import LEVELS, Spread


def in_units(value: float, dimension: str, units: str) -> float | None:
    """Return a canonical number in a file's units, None where it is undefined.

    Parameters
    ----------
    value : float
        In the dimension's canonical unit. [any]
    dimension : str
        What it measures.
    units : {"us", "metric"}
        The file's unit system.

    Returns
    -------
    float or None
    """
    if dimension not in DIMENSIONS:
        return number(value)
    return number(from_canonical(value, dimension, units))


def _spread(spread: Spread, dimension: str, units: str) -> SpreadDocument:
    return {
        "levels": [in_units(level, dimension, units) for level in spread.levels],
        "errors": [in_units(error, dimension, units) for error in spread.errors],
        "defined": spread.defined,
    }


def _stopping(stopping: Stopping) -> StoppingDocument:
    return {
        "mean": stopping.mean,
        "levels": [number(level) for level in stopping.spread.levels],
        "ahead": stopping.ahead,
        "stopped": list(stopping.stopped),
    }


def _stand_in(scenario: Scenario) -> bool:
    return scenario.scenario.currency != "USD"


def _history(scenario: Scenario, history: History | None) -> HistoryDocument | None:
    if history is None:
        return None
    volume = 1.0 if scenario.scenario.units == "us" else LITRES_PER_GALLON
    keys = [kind.key for kind in LEDGERS]
    return {
        "years": history.years,
        "stretches": [
            {"begun": year, "npv": {key: float(history.npv[key][k]) for key in keys}}
            for k, year in enumerate(history.begun)
        ],
        "ahead": {key: history.ahead(key) for key in keys},
        "worst": {key: history.worst(key) for key in keys},
        "best": {key: history.best(key) for key in keys},
        "prices": [
            {"year": row.year, "price": float(price) / volume}
            for row, price in zip(price_record(), real_prices(), strict=True)
        ],
        "stand_in": _stand_in(scenario),
        "sources": [SOURCES[key] for key in RECORD_SOURCES],
    }


def _history_words(scenario: Scenario, history: History | None, numbers: Numbers) -> list[str]:
    record = price_record()
    if history is None:
        return [f"The price record of {len(record)} years is shorter than this plan."]
    return [
        history_sentence(
            numbers,
            stretches=len(history.begun),
            years=history.years,
            ahead=(history.ahead("time_free"), history.ahead("time_paid")),
            worst=history.worst("time_free"),
            best=history.best("time_free"),
        ),
        history_note(record[0].year, record[-1].year, stand_in=_stand_in(scenario)),
    ]


def _words(scenario: Scenario, chances: Chances) -> ChanceWords:
    numbers = Numbers(scenario.scenario.units, scenario.scenario.currency)
    bad = chances.bad_year
    between = None if bad.per_year <= 0.0 else 1.0 / bad.per_year
    worth, stopping = [], [STOPPING]
    for kind in LEDGERS:
        low, _, high = chances.spreads[f"{kind.key}.npv"].levels
        mean, free = chances.mean[kind.key], chances.stopping[kind.key]
        worth.append(worth_sentence(numbers, kind.label, low, mean, high))
        stopping.append(
            stopping_sentence(numbers, kind.label, free.mean - mean, free.spread.levels[0], low)
        )
    return {
        "ahead": ahead_sentence(chances.ahead["time_free"], chances.ahead["time_paid"]),
        "worth": worth,
        "prices": prices_note(scenario.uncertainty.fuel_price_swing),
        "stopping": stopping,
        "history": _history_words(scenario, chances.history, numbers),
        "bad_year": [
            bad_year_sentence(numbers, bad.rounded, bad.error),
            large_bill_sentence(numbers, bad.large, between),
        ],
    }


def chances_json(scenario: Scenario, chances: Chances) -> ChancesDocument:
    """Return the chances alone as plain numbers, in the file's units.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    chances : Chances
        From `chances`.

    Returns
    -------
    ChancesDocument
        Levels are 5, 50 and 95 %; undefined numbers are None.
    """
    units = scenario.scenario.units
    bad = chances.bad_year
    return {
        "draws": chances.draws,
        "seed": chances.seed,
        "mean": dict(chances.mean),
        "ahead": dict(chances.ahead),
        "ahead_error": dict(chances.ahead_error),
        "payback_within": {
            key: {str(limit): chance for limit, chance in rows.items()}
            for key, rows in chances.payback.items()
        },
        "levels": list(LEVELS),
        "spreads": {
            row.key: _spread(chances.spreads[row.key], row.dimension, units) for row in HEADLINES
        },
        "running_balance": {
            key: [[number(level) for level in year] for year in years]
            for key, years in chances.fan.items()
        },
        "with_stopping": {key: _stopping(stopping) for key, stopping in chances.stopping.items()},
        "bad_year": bad.rounded,
        "bad_year_error": 0.0 if np.isnan(bad.error) else bad.error,
        "large_bill": {
            "above": bad.large,
            "years_between": None if bad.per_year <= 0.0 else 1.0 / bad.per_year,
        },
        "history": _history(scenario, chances.history),
        "words": _words(scenario, chances),
    }
