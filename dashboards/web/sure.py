"""How sure each open farm's answer is, worked out once while pages look at it."""

from collections.abc import Mapping

from dashboards.web.decided import decided
from dashboards.web.last_few import LastFew
from dashboards.web.log_folder import farm_key
from econ.answers.document import Advice
from econ.answers.sure import Sure, how_sure
from econ.answers.talk import Talk, talk
from econ.answers.turned import Results


def _sure(result: Results) -> Sure:
    return how_sure(result, decided(result))


_SURE = LastFew(_sure, 4)


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
    return None if factors else _SURE.of(farm_key(result.scenario), result)


def ahead_of(result: Results) -> dict[str, float]:
    """Look up the chance of coming out ahead, by ledger, no lever turned. [-]"""
    return decided(result).chances["ahead"]


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
    return result.answer.advice if factors else decided(result).answer.advice


def talk_of(result: Results, factors: Mapping[str, float]) -> Talk:
    """Answer what the other one asks, chances counted unless levers are turned.

    Parameters
    ----------
    result : Results
        Of the farm.
    factors : mapping of str to float
        Of the levers that are turned.

    Returns
    -------
    Talk

    Raises
    ------
    ScenarioError
        As `chances`.
    """
    chances = None if factors else decided(result).chances
    return talk(result, advice_of(result, factors), chances)
