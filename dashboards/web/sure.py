"""What takes longer than a keystroke: chances, what matters most, sources, tank, defaults."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from dashboards.web.decided import Kept, decided
from dashboards.web.results import Results
from econ.advice.verdict import Advice, Case, advise
from econ.answers.chance_document import chances_json
from econ.answers.chance_keys import PastPrices
from econ.answers.comparison_document import oils_document
from econ.answers.outlook import Repair, largest_repair, learned
from econ.answers.past_prices import past_prices
from econ.farm.overlooked import overlooked
from econ.farm.review import Note, assumed, defaults_used, odd_outcome, odd_values
from econ.ground.units import from_canonical
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.questions.finding_out import Learning
from econ.questions.swings import Swing, swings

Json = dict[str, Any]
_ROOMS = np.asarray([0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0])


@dataclass(frozen=True, slots=True)
class Sure:
    """How sure the answer is, for a farm as its file has it (no lever turned)."""

    chances: Json
    swings: tuple[Swing, ...]
    learning: tuple[Learning, ...]
    sources: Json
    tanks: list[tuple[float, float]]
    room: float
    repair: Repair | None
    notes: tuple[tuple[str, tuple[Note, ...]], ...]
    past: PastPrices | None


def _tanks(inputs: Inputs, units: str) -> tuple[list[tuple[float, float]], float]:
    """Return the plan's worth a year at some sizes of all tanks together, and today's size."""
    process = inputs.process
    bigger = replace(
        process,
        raw_storage=process.raw_storage * _ROOMS,
        clean_storage=process.clean_storage * _ROOMS,
    )
    outcome = evaluate(replace(inputs, process=bigger), by_month=False)
    savings = np.broadcast_to(outcome.per_year("time_paid"), _ROOMS.shape)
    now = float(from_canonical(process.raw_storage + process.clean_storage, "volume", units))
    return [(now * float(f), float(s)) for f, s in zip(_ROOMS, savings, strict=True)], now


def _worked(result: Results) -> Sure:
    scenario, outcome = result.scenario, result.answer.expected
    drawn = decided(result).drawn
    points, room = _tanks(result.inputs, scenario.scenario.units)
    rows = swings(scenario, drawn.choices, drawn.kept.sampler.guesses)
    return Sure(
        chances=dict(chances_json(scenario, drawn)),
        swings=rows,
        learning=learned(drawn.kept, rows)["time_paid"],
        sources=oils_document(scenario),
        tanks=points,
        room=room,
        repair=largest_repair(outcome),
        notes=(
            ("Looks odd", (*odd_values(scenario), *odd_outcome(scenario, outcome))),
            ("Usually there, and left out", overlooked(scenario)),
            ("Usual values stand in", assumed(scenario)),
            ("Left out of the file", defaults_used(scenario)),
        ),
        past=past_prices(outcome, result.write),
    )


_SURE = Kept(_worked, 4)


def sure_of(result: Results, factors: Mapping[str, float]) -> Sure | None:
    """Return how sure a farm's answer is; None while levers are turned.

    Parameters
    ----------
    result : Results
        Of the farm.
    factors : mapping of str to float
        Of the levers that are turned.

    Returns
    -------
    Sure or None

    Raises
    ------
    ScenarioError
        As `chances`.
    """
    return None if factors else _SURE.of(result)


def ahead_of(result: Results) -> dict[str, float]:
    """Look up the chance of coming out ahead, by ledger, no lever turned. [-]"""
    return {key: float(share) for key, share in decided(result).drawn.ahead.items()}


def advice_of(result: Results, factors: Mapping[str, float]) -> Advice:
    """Return the advice, chances counted unless levers are turned.

    Parameters
    ----------
    result : Results
        Of the farm.
    factors : mapping of str to float
        Of the levers that are turned.

    Returns
    -------
    Advice

    Raises
    ------
    ScenarioError
        As `chances`.
    """
    if factors:
        return result.answer.advice
    odds = decided(result).drawn.odds
    return advise(Case(result.answer.expected, odds, result.answer.wording))
