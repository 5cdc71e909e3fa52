"""The decision of the farm that is open, worked out once and shown by every page."""

from collections.abc import Mapping

from dashboards.web.last_few import LastFew
from dashboards.web.log_folder import farm_key, today
from econ.answers.decision import Decision, at_once, decide, turned_screen
from econ.answers.first_screen import FirstScreen
from econ.answers.turned import Results

# A page is not the place for a million draws: the command line is.
MOST_DRAWS = 20_000
_FARMS = 24


def _decided(result: Results) -> Decision:
    draws = min(result.scenario.uncertainty.draws, MOST_DRAWS)
    turned = any(row.factor != 1.0 for row in result.levers)
    worked = None if turned else result.answer
    return decide(result.scenario, today=today(), draws=draws, worked=worked)


_DECIDED = LastFew(_decided, _FARMS)


def decided(result: Results) -> Decision:
    """Return the decision of a farm as its file has it, chances counted.

    Parameters
    ----------
    result : Results
        Of the farm, whatever levers are turned.

    Returns
    -------
    Decision

    Raises
    ------
    ScenarioError
        As `decide`.
    """
    return _DECIDED.of(farm_key(result.scenario), result)


def advised_now(result: Results) -> str:
    """Write the advice as it stands before chances are counted, and that they are.

    Parameters
    ----------
    result : Results
        Of the farm, levers turned or not.

    Returns
    -------
    str
    """
    said = at_once(result)
    return said.advice if said.certain else f"{said.advice} Counting the chances ..."


def first_screen_of(
    result: Results, factors: Mapping[str, float]
) -> tuple[FirstScreen, FirstScreen]:
    """Return the first screen with levers turned, and that of the file itself.

    Parameters
    ----------
    result : Results
        Of the farm, levers turned.
    factors : mapping of str to float
        Of the levers that are turned.

    Returns
    -------
    (FirstScreen, FirstScreen)
        With levers turned, chances are not counted in the first.
    """
    base = decided(result)
    if not factors:
        return base.first_screen, base.first_screen
    return turned_screen(base, result.answer, result.average), base.first_screen
