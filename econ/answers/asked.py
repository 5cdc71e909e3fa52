"""The twelve questions as surfaces ask them, and what the farm that they make comes to.

>>> import datetime
>>> farm = asked_farm({"wage": "90"}, datetime.date(2026, 6, 15))
>>> len(farm.questions), advice_so_far(farm)
(12, 'Do not start.')
"""

import datetime
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from msgspec import Struct

from econ.answers.decision import Decision, decide
from econ.answers.document import answer
from econ.farm.editing import same
from econ.farm.files import from_document
from econ.farm.interview import (
    QUESTIONS,
    Blank,
    Interviewed,
    checked_answers,
    interviewed,
    unit_of,
    units_of,
    usual_text,
)
from econ.farm.reading import plain
from econ.ground.errors import RefusedError

Json = dict[str, Any]


class Box(Struct, frozen=True):
    """One box of a question, as the answers so far have it."""

    key: str
    """Its answer's key."""
    label: str
    unit: str
    """Empty for a choice."""
    usual: str
    """What stands where it is left empty, such as "usual: 8 gal/month"; empty for a choice."""
    choices: tuple[tuple[str, str], ...]
    """Value and words of what may be chosen, the first where nothing is; none for a number."""


class Asked(Struct, frozen=True):
    """One question with its boxes."""

    ask: str
    help: str
    boxes: tuple[Box, ...]


class AskedFarm(Struct, frozen=True):
    """A farm made from answers, and the questions beside it."""

    questions: tuple[Asked, ...]
    answers: dict[str, str]
    """Without empty ones."""
    made: Interviewed

    @property
    def document(self) -> Json:
        """The farm as plain JSON values."""
        result: Json = plain(self.made.document)
        return result

    def stands_in(self, document: Json) -> bool:
        """Say whether a farm being edited is still what the answers make."""
        return same(self.document, document)


def asked_farm(answers: Mapping[str, str], day: datetime.date) -> AskedFarm:
    """Make a farm from answers, with the questions that they stand in.

    Parameters
    ----------
    answers : mapping of str to str
        By the boxes' keys, as typed; every one may be missing or empty.
    day : date
        To write down for the prices.

    Returns
    -------
    AskedFarm
        It always works: what cannot be read is told in `made.faults`, by the box's key, and its
        usual value stands in.
    """
    questions = tuple(
        Asked(row.ask, row.help, tuple(_box(blank, answers) for blank in row.blanks))
        for row in QUESTIONS
    )
    given = {key: text for key, text in answers.items() if text}
    return AskedFarm(questions, given, interviewed(answers, day))


def _box(blank: Blank, answers: Mapping[str, str]) -> Box:
    unit = unit_of(blank, units_of(answers))
    return Box(blank.key, blank.label, unit, usual_text(blank, answers), blank.choices)


def asked_from(origin: Mapping[str, object]) -> AskedFarm:
    """Make a farm from answers that came from a browser.

    Parameters
    ----------
    origin : mapping
        Its "answers", and the "day" on which they were begun.

    Returns
    -------
    AskedFarm

    Raises
    ------
    RefusedError
        If they are no answers to these questions, or the day is none.
    """
    answers = checked_answers(origin.get("answers"))
    try:
        day = datetime.date.fromisoformat(str(origin.get("day")))
    except ValueError as error:
        message = "that is no day"
        raise RefusedError(message) from error
    return asked_farm(answers, day)


def advice_so_far(farm: AskedFarm) -> str:
    """Return the advice on average values alone, in the words of its rule.

    Parameters
    ----------
    farm : AskedFarm
        From the answers so far; usual values stand for all others.

    Returns
    -------
    str
    """
    return answer(from_document(farm.made.document, "your farm")).advice.label


def decided(farm: AskedFarm, path: Path) -> Decision:
    """Work the farm through with its chances.

    Parameters
    ----------
    farm : AskedFarm
        From all answers.
    path : Path
        Where the farm is to stand, for what is said of it.

    Returns
    -------
    Decision
    """
    return decide(from_document(farm.made.document, path))
