"""What takes longer than the decision itself: what moves it, which source, what size of tank.

>>> from econ import load
>>> from econ.answers.decision import decide
>>> from econ.answers.turned import Prepared
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["wrenfold"])
>>> sure = how_sure(Prepared.of(farm).at({}), decide(farm, draws=64))
>>> sure.room == farm.process.raw_storage + farm.process.clean_storage
True
"""

import numpy as np
from msgspec import Struct

from econ.advice.chance_words import NOTHING
from econ.answers.buying_keys import OilsDocument
from econ.answers.chance_keys import ChancesDocument, PastPrices
from econ.answers.check import reviewed
from econ.answers.comparison_document import oils_document
from econ.answers.decision import Decision
from econ.answers.outlook import dearest_repair, learned
from econ.answers.past_prices import past_prices
from econ.answers.turned import Results
from econ.farm.field_words import plain_words
from econ.farm.schema import Scenario
from econ.ground.units import from_canonical
from econ.model.outcome import Outcome
from econ.questions.finding_out import Learning
from econ.questions.swings import Swing, swings
from econ.questions.tank_sizes import tank_sizes


class Sure(Struct, frozen=True):
    """How sure the answer is, for a farm as its file has it (no lever turned)."""

    chances: ChancesDocument
    swings: tuple[Swing, ...]
    learning: tuple[Learning, ...]
    sources: OilsDocument
    tanks: list[tuple[float, float]]
    """Room of both stores together, in the file's units, and what the plan is then worth a year."""
    room: float
    """Today's, in the file's units."""
    repair: str | None
    """The dearest repair in words."""
    nothing_to_learn: str
    """What is said where knowing no guess is worth anything."""
    notes: list[tuple[str, list[str]]]
    """What a check lists, by heading, in the words of the form."""
    past: PastPrices | None


def _tanks(result: Results) -> tuple[list[tuple[float, float]], float]:
    """Write the stores' sizes in the file's units, with what each is worth, and today's."""
    units, process = result.scenario.scenario.units, result.inputs.process
    rooms, worths = tank_sizes(result.inputs)
    shown = np.asarray(from_canonical(rooms, "volume", units))
    now = from_canonical(process.raw_storage + process.clean_storage, "volume", units)
    pairs = zip(shown.tolist(), worths.tolist(), strict=True)
    return list(pairs), float(now)


def _noted(scenario: Scenario, outcome: Outcome) -> list[tuple[str, list[str]]]:
    """Write what a check lists without the keys of the file."""
    return [
        (
            section["title"],
            [
                f"{plain_words(row['where'])}: {plain_words(row['text'])}"
                for row in section["notes"]
            ],
        )
        for section in reviewed(scenario, outcome)
    ]


def how_sure(result: Results, decision: Decision) -> Sure:
    """Gather how sure a farm's answer is.

    Parameters
    ----------
    result : Results
        The farm, no lever turned.
    decision : Decision
        Of the same farm.

    Returns
    -------
    Sure

    Raises
    ------
    ScenarioError
        If the sources of oil cannot be compared.
    """
    scenario, outcome, drawn = result.scenario, result.answer.expected, decision.drawn
    tanks, room = _tanks(result)
    rows = swings(scenario, drawn.choices, drawn.kept.sampler.guesses)
    return Sure(
        chances=decision.chances,
        swings=rows,
        learning=learned(drawn.kept, rows)["time_paid"],
        sources=oils_document(scenario),
        tanks=tanks,
        room=room,
        repair=dearest_repair(outcome, result.write),
        nothing_to_learn=NOTHING,
        notes=_noted(scenario, outcome),
        past=past_prices(outcome, result.write),
    )
