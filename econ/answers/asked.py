"""What a farm made from the twelve questions comes to: after each of them, and at the end."""

from pathlib import Path

from econ.answers.decision import Decision, decide
from econ.answers.document import answer
from econ.farm.files import from_document
from econ.farm.interview import Interviewed


def advice_so_far(made: Interviewed) -> str:
    """Return the advice on average values alone, in the words of its rule.

    Parameters
    ----------
    made : Interviewed
        From the answers so far; usual values stand for all others.

    Returns
    -------
    str

    Examples
    --------
    >>> import datetime
    >>> from econ.farm.interview import interviewed
    >>> advice_so_far(interviewed({"wage": "90"}, datetime.date(2026, 6, 15)))
    'Do not start.'
    """
    return answer(from_document(made.document, "your farm")).advice.label


def decided(made: Interviewed, path: Path) -> Decision:
    """Work the farm through with its chances.

    Parameters
    ----------
    made : Interviewed
        From all answers.
    path : Path
        Where the farm is to stand, for what is said of it.

    Returns
    -------
    Decision
    """
    return decide(from_document(made.document, path))
