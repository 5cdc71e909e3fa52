"""Everything that chances say of one scenario, gathered, and its JSON document."""

from dataclasses import dataclass
from typing import Any

import numpy as np

from econ.answers.document import Answer, answer, number
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario, Table, Wear, about
from econ.ground.units import DIMENSIONS, from_canonical
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS
from econ.model.levers import LEVERS
from econ.model.outcome import Outcome
from econ.questions.best_thinner import best_thinners
from econ.questions.chances import HEADLINES, LEVELS, Chances, Progress, chances
from econ.questions.sensitivity import (
    Index,
    Learning,
    Swing,
    indices,
    learning,
    perfect_information,
    swings,
)
from econ.questions.tipping import Tip, ZeroLine, tipping_points, zero_line

Json = dict[str, Any]

_INDEX_DRAWS = 16_384
_THINNER_BLOCKS = 2
# Two levers at once: the price of pump fuel against what limits each ledger most often.
_LINES = (("time_free", "oil"), ("time_paid", "wage"))
_LINE_FACTORS = np.linspace(0.4, 2.0, 17)


@dataclass(frozen=True, slots=True)
class Repair:
    """The largest single bill that a typical year's blend may bring on."""

    machine: str
    part: str
    cost: float
    """[currency]"""
    years_between: float
    """Mean years between two of them. [yr]"""


@dataclass(frozen=True, slots=True)
class Outlook:
    """Chances, what matters, where it tips, what to learn first."""

    scenario: Scenario
    chances: Chances
    swings: tuple[Swing, ...]
    indices: dict[str, tuple[Index, ...]]
    learning: dict[str, tuple[Learning, ...]]
    everything: dict[str, float]
    """Worth of knowing every guess before deciding, by ledger. [currency]"""
    tips: tuple[Tip, ...]
    lines: tuple[ZeroLine, ...]
    thinners: dict[str, float]
    """Share of draws in which each thinner keeps most a year. [-]"""
    largest_repair: Repair | None


def repairs(outcome: Outcome) -> tuple[Repair, ...]:
    """Give each part that the plan wears and how often it goes, in the file's order.

    Parameters
    ----------
    outcome : Outcome
        At expected values, shape ``()``.

    Returns
    -------
    tuple of Repair
        Without parts that never fail for it.
    """
    return tuple(
        Repair(machine.name, part.part, float(part.cost), 1.0 / float(used * part.failures))
        for machine, used in zip(
            outcome.inputs.machines, outcome.typical.flows.oil_used, strict=True
        )
        for part in machine.wear
        if float(used * part.failures) > 0.0
    )


def largest_repair(outcome: Outcome) -> Repair | None:
    """Give the dearest part that the plan wears, and how often it goes.

    Parameters
    ----------
    outcome : Outcome
        At expected values, shape ``()``.

    Returns
    -------
    Repair or None
        None where no oil is burned in a machine with wear.
    """
    return max(repairs(outcome), key=lambda repair: repair.cost, default=None)


def _relevant(found: tuple[Learning, ...], rows: tuple[Swing, ...]) -> tuple[Learning, ...]:
    """Leave out guesses that change nothing themselves, though they move with others."""
    moving = {row.name for row in rows if row.width > 0.0 or any(
        high != low for low, high in row.npv.values())}  # fmt: skip
    return tuple(row for row in found if row.name in moving)


def answer_with_chances(scenario: Scenario) -> tuple[Answer, Json]:
    """Work a scenario through with its chances, as every surface shows it.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    (Answer, dict)
        The answer, its advice resting on the chances too, and the chances as plain numbers.

    Raises
    ------
    ScenarioError
        As `chances`.
    """
    drawn = chances(scenario)
    return answer(scenario, drawn.odds), chances_json(scenario, drawn)


def outlook(
    scenario: Scenario,
    outcome: Outcome,
    *,
    draws: int | None = None,
    seed: int | None = None,
    progress: Progress | None = None,
) -> Outlook:
    """Work out everything that chances say.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    outcome : Outcome
        At expected values.
    draws, seed : int, optional
        As the file has them, by default.
    progress : callable, optional
        Told (draws done, draws in all).

    Returns
    -------
    Outlook

    Raises
    ------
    ScenarioError
        As `chances`.
    """
    found = chances(scenario, draws=draws, seed=seed, progress=progress)
    sampler, kept = found.kept.sampler, found.kept
    rows = swings(scenario, found.choices, sampler.guesses)
    expected: Inputs = prepare(scenario)
    by_key = {lever.key: lever for lever in LEVERS}
    return Outlook(
        scenario=scenario,
        chances=found,
        swings=rows,
        indices={
            kind.key: indices(scenario, found.choices, sampler, kind.key, _INDEX_DRAWS)
            for kind in LEDGERS
        },
        learning={
            kind.key: _relevant(learning(sampler, kept.uniforms, kept.npv[kind.key]), rows)
            for kind in LEDGERS
        },
        everything={kind.key: perfect_information(kept.npv[kind.key]) for kind in LEDGERS},
        tips=tipping_points(expected),
        lines=tuple(
            zero_line(expected, by_key["pump_price"], by_key[second], ledger, _LINE_FACTORS)
            for ledger, second in _LINES
        ),
        thinners=best_thinners(scenario, found.choices, sampler, _THINNER_BLOCKS),
        largest_repair=largest_repair(outcome),
    )


def _in_units(value: float, dimension: str, units: str) -> float | None:
    if dimension not in DIMENSIONS:
        return number(value)
    return number(from_canonical(value, dimension, units))


def chances_json(scenario: Scenario, found: Chances) -> Json:
    """Give the chances alone as plain numbers, in the file's units.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    found : Chances
        From `chances`.

    Returns
    -------
    dict
        Levels are 5, 50 and 95 %; undefined numbers are None.
    """
    units = scenario.scenario.units
    spreads = {
        row.key: {
            "levels": [_in_units(v, row.dimension, units) for v in found.spreads[row.key].levels],
            "errors": [
                None if np.isnan(v) else _in_units(v, row.dimension, units)
                for v in found.spreads[row.key].errors
            ],
            "defined": found.spreads[row.key].defined,
        }
        for row in HEADLINES
    }
    return {
        "draws": found.draws,
        "seed": found.seed,
        "ahead": dict(found.ahead),
        "ahead_error": dict(found.ahead_error),
        "payback_within": {
            key: {str(limit): chance for limit, chance in rows.items()}
            for key, rows in found.payback.items()
        },
        "levels": list(LEVELS),
        "spreads": spreads,
        "running_balance": {
            key: [[number(level) for level in year] for year in years]
            for key, years in found.fan.items()
        },
        "bad_year": number(found.bad_year),
    }


def _swing_json(scenario: Scenario, row: Swing) -> Json:
    return {
        "name": row.name,
        "low": row.low,
        "high": row.high,
        "after_labour": [number(v) for v in row.after_labour],
        "npv": {key: [number(v) for v in pair] for key, pair in row.npv.items()},
        "dimension": _dimension(scenario, row),
    }


def _dimension(scenario: Scenario, row: Swing) -> str:
    """Give the dimension of the field a guess stands in."""
    field = str(row.unit_path[-1])
    if "wear" in row.unit_path:
        return about(Wear, field).dimension
    table: Any = scenario
    for step in row.unit_path[:-1]:
        table = table[step] if isinstance(step, int) else getattr(table, step)
    model: type[Table] = type(table)
    return about(model, field).dimension


def _line_json(line: ZeroLine, units: str) -> Json:
    """Give a zero line as pairs of values in the file's units."""
    first, second = line.first.dimension, line.second.dimension
    return {
        "first": line.first.key,
        "second": line.second.key,
        "ledger": line.ledger,
        "points": [
            [_in_units(a * line.now[0], first, units), _in_units(b * line.now[1], second, units)]
            for a, b in line.factors
        ],
    }


def outlook_json(found: Outlook) -> Json:
    """Give an outlook as plain numbers, in the file's units.

    Parameters
    ----------
    found : Outlook
        From `outlook`.

    Returns
    -------
    dict
    """
    units = found.scenario.scenario.units
    repair = found.largest_repair
    return {
        "title": found.scenario.scenario.title,
        "units": units,
        "currency": found.scenario.scenario.currency,
        **chances_json(found.scenario, found.chances),
        "swings": [_swing_json(found.scenario, row) for row in found.swings],
        "first_order": {
            key: [{"name": row.name, "index": number(row.value)} for row in rows]
            for key, rows in found.indices.items()
        },
        "worth_of_learning": {
            key: [
                {"name": row.name, "value": number(row.value), "error": number(row.error)}
                for row in rows
            ]
            for key, rows in found.learning.items()
        },
        "worth_of_learning_all": {key: number(v) for key, v in found.everything.items()},
        "tipping_points": [
            {
                "lever": tip.lever.key,
                "ledger": tip.ledger,
                "now": _in_units(tip.now, tip.lever.dimension, units),
                "value": _in_units(tip.value, tip.lever.dimension, units),
                "factor": number(tip.factor),
                "rises": tip.rises,
            }
            for tip in found.tips
        ],
        "zero_lines": [_line_json(line, units) for line in found.lines],
        "best_thinner": dict(found.thinners),
        "largest_repair": None
        if repair is None
        else {
            "machine": repair.machine,
            "part": repair.part,
            "cost": number(repair.cost),
            "years_between": number(repair.years_between),
        },
    }
