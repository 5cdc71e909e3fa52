"""Everything that chances say of one scenario, gathered, and its JSON document.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["wrenfold"])))
>>> largest_repair(outcome).cost == max(repair.cost for repair in repairs(outcome))
True
"""

import numpy as np
from msgspec import Struct

from econ.advice.chance_words import NOTHING, NOTHING_PAID, dearest_sentence, learning_sentence
from econ.advice.plain_words import stop_line
from econ.answers.chance_document import chances_json, in_units
from econ.answers.chance_keys import (
    LearningDocument,
    LineDocument,
    OutlookDocument,
    RepairDocument,
    SwingDocument,
    TipDocument,
)
from econ.answers.document import Answer, answer, number
from econ.answers.past_prices import deciding_prices, past_prices
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.written import Numbers
from econ.model.evaluate import evaluate
from econ.model.levers import LEVERS
from econ.model.outcome import Outcome
from econ.numbers.quantiles import normal_score
from econ.questions.best_thinner import best_thinners
from econ.questions.chances import Chances, Kept, Progress, chances
from econ.questions.draws import LEAN_FACTOR
from econ.questions.finding_out import Learning, learning, perfect_information
from econ.questions.guesses import dimension_of
from econ.questions.odds import likely
from econ.questions.sensitivity import Index, indices, total_variance
from econ.questions.swings import Swing, swings
from econ.questions.tipping import Tip, ZeroLine, tipping_points, zero_line

# Draws that indices and the worth of learning look at: more would not show.
_SENSITIVITY_DRAWS = 16_384
_THINNER_DRAWS = 2048
_SHOWN_LEARNING = 5
# Two levers at once: the price of pump fuel against what limits each ledger most often.
_LINES = (("time_free", "oil"), ("time_paid", "wage"))
_LINE_FACTORS = np.linspace(0.4, 2.0, 17)


class Repair(Struct, frozen=True):
    """The largest single bill that a typical year's blend may bring on."""

    machine: str
    part: str
    cost: float
    """[currency]"""
    years_between: float
    """Mean years between two of them. [yr]"""


class Outlook(Struct, frozen=True):
    """Chances, what matters, where it tips, what to learn first."""

    scenario: Scenario
    outcome: Outcome
    """At expected values."""
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

    @property
    def largest_repair(self) -> Repair | None:
        """The dearest repair that the blend may bring on."""
        return largest_repair(self.outcome)


def repairs(outcome: Outcome) -> tuple[Repair, ...]:
    """Return each part that the plan wears and how often it goes, in the file's order.

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
    """Return the dearest part that the plan wears, and how often it goes.

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


def dearest_repair(outcome: Outcome, numbers: Numbers) -> str | None:
    """Say which part that the plan wears is the dearest, and how often it goes.

    Parameters
    ----------
    outcome : Outcome
        At expected values, shape ``()``.
    numbers : Numbers
        How the file's numbers are written.

    Returns
    -------
    str or None
        None where no oil is burned in a machine with wear.
    """
    worst = largest_repair(outcome)
    if worst is None:
        return None
    return dearest_sentence(numbers, worst.part, worst.machine, worst.cost, worst.years_between)


def _moving(kept: Kept, rows: tuple[Swing, ...]) -> list[int]:
    """Return the places of guesses that change anything themselves."""
    idle = {row.guess.path for row in rows if row.idle}
    return [k for k, guess in enumerate(kept.sampler.guesses) if guess.path not in idle]


def learned(kept: Kept, rows: tuple[Swing, ...]) -> dict[str, tuple[Learning, ...]]:
    """Rank what can be found out, without guesses that change nothing themselves.

    Parameters
    ----------
    kept : Kept
        The first draws.
    rows : tuple of Swing
        Of the same guesses.

    Returns
    -------
    dict of str to tuple of Learning
        By ledger, largest first.
    """
    sampler, moving = kept.sampler, _moving(kept, rows)
    raw = kept.coordinates(_SENSITIVITY_DRAWS)
    worths = {key: still[: raw.shape[1]] for key, still in kept.still.items()}
    lean = normal_score(raw[-1]) if LEAN_FACTOR in sampler.factors else None
    guesses = tuple(sampler.guesses[k] for k in moving)
    return learning(guesses, sampler.scores(raw)[moving], worths, lean)


def _indices(kept: Kept, rows: tuple[Swing, ...]) -> dict[str, tuple[Index, ...]]:
    """Share the spread out over guesses that change anything, factors and the path."""
    sampler, moving = kept.sampler, _moving(kept, rows)
    raw = kept.coordinates(_SENSITIVITY_DRAWS)
    count = len(sampler.guesses)
    return indices(
        (*(sampler.guesses[k].name for k in moving), *sampler.factors),
        raw[[*moving, *range(count, len(raw))]],
        {key: still[: raw.shape[1]] for key, still in kept.still.items()},
        {
            key: total_variance(still, kept.fuel_products, sampler.path)
            for key, still in kept.still.items()
        },
        kept.fuel,
        sampler.path,
    )


def answer_with_odds(scenario: Scenario) -> tuple[Answer, dict[str, float]]:
    """Work a scenario through with what its advice rests on, and no more of its chances.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    (Answer, dict)
        The answer, its advice resting on the chances too, and the chance of coming out ahead by
        ledger.

    Raises
    ------
    ScenarioError
        As `likely`.
    """
    drawn = likely(scenario)
    return answer(scenario, drawn.odds), drawn.ahead


def outlook(
    scenario: Scenario,
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
    gathered = chances(scenario, draws=draws, seed=seed, progress=progress)
    outcome = evaluate(prepare(scenario))
    kept, inputs = gathered.kept, outcome.inputs
    rows = swings(scenario, gathered.choices, kept.sampler.guesses)
    by_key = {lever.key: lever for lever in LEVERS}
    return Outlook(
        scenario=scenario,
        outcome=outcome,
        chances=gathered,
        swings=rows,
        indices=_indices(kept, rows),
        learning=learned(kept, rows),
        everything={key: perfect_information(still) for key, still in kept.still.items()},
        tips=tipping_points(inputs),
        lines=tuple(
            zero_line(inputs, by_key["pump_price"], by_key[second], ledger, _LINE_FACTORS)
            for ledger, second in _LINES
        ),
        thinners=best_thinners(scenario, gathered.choices, kept.sampler, _THINNER_DRAWS),
    )


def _swing(row: Swing) -> SwingDocument:
    return {
        "name": row.guess.name,
        "low": row.guess.low,
        "high": row.guess.high,
        "dimension": dimension_of(row.guess.path),
        "equivalent_annual": {
            key: [number(value) for value in pair] for key, pair in row.equivalent_annual.items()
        },
        "npv": {key: [number(value) for value in pair] for key, pair in row.npv.items()},
    }


def _learning(row: Learning) -> LearningDocument:
    return {
        "name": row.guess.name,
        "value": number(row.value),
        "error": number(row.error),
        "tells": row.guess.learned_from,
        "matters": row.matters,
    }


def _learning_words(gathered: Outlook, numbers: Numbers) -> list[str]:
    """Say what to find out first, one's time paid; free where that decides nothing."""
    lead: list[str] = []
    for key in ("time_paid", "time_free"):
        rows = [row for row in gathered.learning[key] if row.matters][:_SHOWN_LEARNING]
        if rows:
            return lead + [
                learning_sentence(numbers, row.guess.name, row.value, row.guess.learned_from)
                for row in rows
            ]
        lead = [f"{NOTHING_PAID} If it is free:"]
    return [NOTHING]


def _tip(tip: Tip, units: str) -> TipDocument:
    return {
        "lever": tip.lever.key,
        "ledger": tip.ledger,
        "now": in_units(tip.now, tip.lever.dimension, units),
        "value": in_units(tip.value, tip.lever.dimension, units),
        "factor": number(tip.factor),
        "rises": tip.rises,
    }


def _line(line: ZeroLine, units: str) -> LineDocument:
    """Return a zero line as pairs of values in the file's units."""
    first, second = line.first.dimension, line.second.dimension
    return {
        "first": line.first.key,
        "second": line.second.key,
        "ledger": line.ledger,
        "points": [
            [in_units(a * line.now[0], first, units), in_units(b * line.now[1], second, units)]
            for a, b in line.factors
        ],
    }


def _repair(repair: Repair | None, numbers: Numbers) -> RepairDocument | None:
    if repair is None:
        return None
    return {
        "sentence": dearest_sentence(
            numbers, repair.part, repair.machine, repair.cost, repair.years_between
        ),
        "machine": repair.machine,
        "part": repair.part,
        "cost": number(repair.cost),
        "years_between": number(repair.years_between),
    }


def _stop_line(gathered: Outlook, numbers: Numbers) -> str:
    """Say when to start and down to what price a running plan goes on, one's time free."""
    start, carry_on = deciding_prices(gathered.outcome, numbers.units)
    worth = float(gathered.outcome.ledgers["time_free"].measures["npv"])
    return stop_line(numbers, start=start, carry_on=carry_on, worth=worth)


def outlook_json(gathered: Outlook) -> OutlookDocument:
    """Return an outlook as plain numbers, in the file's units.

    Parameters
    ----------
    result : Outlook
        From `outlook`.

    Returns
    -------
    OutlookDocument
    """
    header = gathered.scenario.scenario
    numbers = Numbers(header.units, header.currency)
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        **chances_json(gathered.scenario, gathered.chances),
        "stop_line": _stop_line(gathered, numbers),
        "past_prices": past_prices(gathered.outcome, numbers),
        "swings": [_swing(row) for row in gathered.swings],
        "first_order": {
            key: [{"name": row.name, "index": number(row.value)} for row in rows]
            for key, rows in gathered.indices.items()
        },
        "worth_of_learning": {
            key: [_learning(row) for row in rows] for key, rows in gathered.learning.items()
        },
        "worth_of_learning_all": {key: number(v) for key, v in gathered.everything.items()},
        "learning_words": _learning_words(gathered, numbers),
        "tipping_points": [_tip(tip, header.units) for tip in gathered.tips],
        "zero_lines": [_line(line, header.units) for line in gathered.lines],
        "best_thinner": dict(gathered.thinners),
        "largest_repair": _repair(gathered.largest_repair, numbers),
    }
