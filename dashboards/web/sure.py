"""What takes longer than a keystroke: chances, what matters most, sources, tank, defaults."""

import json
import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from dashboards.web.results import Results
from econ.chances import chances
from econ.comparison_document import oils_document
from econ.evaluate import evaluate
from econ.inputs import Inputs
from econ.outlook import Repair, chances_json, largest_repair
from econ.review import Note, assumed, defaults_used, odd_outcome, odd_values
from econ.schema import Scenario
from econ.sensitivity import Learning, Swing, learning, swings
from econ.units import from_canonical
from econ.verdict import Advice, Case, Odds, advise

Json = dict[str, Any]
# A page is not the place for a million draws: the command line is.
MOST_DRAWS = 20_000
_ROOMS = np.asarray([0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0])


@dataclass(frozen=True, slots=True)
class Sure:
    """How sure the answer is, for a farm as its file has it (no lever turned)."""

    odds: Odds
    chances: Json
    swings: tuple[Swing, ...]
    learning: tuple[Learning, ...]
    sources: Json
    tanks: list[tuple[float, float]]
    room: float
    repair: Repair | None
    notes: tuple[tuple[str, tuple[Note, ...]], ...]


def _tanks(inputs: Inputs, units: str) -> tuple[list[tuple[float, float]], float]:
    """Give the year's saving at some sizes of all tanks together, and today's size."""
    process = inputs.process
    bigger = replace(
        process,
        raw_storage=process.raw_storage * _ROOMS,
        clean_storage=process.clean_storage * _ROOMS,
    )
    outcome = evaluate(replace(inputs, process=bigger), by_month=False)
    savings = np.broadcast_to(outcome.typical.savings["after_labour"], _ROOMS.shape)
    now = float(from_canonical(process.raw_storage + process.clean_storage, "volume", units))
    return [(now * float(f), float(s)) for f, s in zip(_ROOMS, savings, strict=True)], now


def _worked(scenario: Scenario, found: Results) -> Sure:
    drawn = chances(scenario, draws=min(scenario.uncertainty.draws, MOST_DRAWS))
    points, room = _tanks(found.inputs, scenario.scenario.units)
    outcome = found.answer.likely
    return Sure(
        odds=drawn.odds,
        chances=chances_json(scenario, drawn),
        swings=swings(scenario, drawn.choices, drawn.kept.sampler.guesses),
        learning=learning(drawn.kept.sampler, drawn.kept.uniforms, drawn.kept.npv["time_paid"]),
        sources=oils_document(scenario),
        tanks=points,
        room=room,
        repair=largest_repair(outcome),
        notes=(
            ("Looks odd", (*odd_values(scenario), *odd_outcome(scenario, outcome))),
            ("Usual values stand in", assumed(scenario)),
            ("Left out of the file", defaults_used(scenario)),
        ),
    )


_LOCK = threading.Lock()
_KEPT: OrderedDict[str, Sure] = OrderedDict()


def sure_of(found: Results, factors: Mapping[str, float]) -> Sure | None:
    """Give how sure a farm's answer is; None while levers are turned.

    Parameters
    ----------
    found : Results
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
    if factors:
        return None
    key = json.dumps(found.scenario.merged, default=str, sort_keys=True)
    with _LOCK:
        if key not in _KEPT:
            _KEPT[key] = _worked(found.scenario, found)
            if len(_KEPT) > 8:
                _KEPT.popitem(last=False)
        return _KEPT[key]


def advice_of(found: Results, sure: Sure | None) -> Advice:
    """Give the advice, chances counted where they are known."""
    if sure is None:
        return found.answer.advice
    return advise(Case(found.answer.expected, sure.odds, found.answer.wording))
