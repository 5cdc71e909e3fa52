"""The decision of the farm that is open, worked out once and shown by every page."""

import datetime
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from typing import Generic, TypeVar

from dashboards.web.log_folder import farm_key
from econ.answers.decision import Decision, decide, turned_screen
from econ.answers.first_screen import FirstScreen
from econ.answers.turned import Results

Made = TypeVar("Made")
# A page is not the place for a million draws: the command line is.
MOST_DRAWS = 20_000
_FARMS = 24


class Kept(Generic[Made]):
    """The last few farms' answers, each worked out at most once."""

    def __init__(self, make: Callable[[Results], Made], most: int) -> None:
        self._make, self._most = make, most
        self._lock = threading.Lock()
        self._found: OrderedDict[str, Made] = OrderedDict()
        self._making: dict[str, threading.Lock] = {}

    def of(self, result: Results) -> Made:
        """Work a farm out, or remember it; other farms do not wait for it."""
        key = farm_key(result.scenario)
        with self._lock:
            if key in self._found:
                self._found.move_to_end(key)
                return self._found[key]
            own = self._making.setdefault(key, threading.Lock())
        with own:
            with self._lock:
                if key in self._found:
                    return self._found[key]
            made = self._make(result)
            with self._lock:
                self._found[key] = made
                self._making.pop(key, None)
                if len(self._found) > self._most:
                    self._found.popitem(last=False)
            return made


def _decided(result: Results) -> Decision:
    draws = min(result.scenario.uncertainty.draws, MOST_DRAWS)
    today = datetime.datetime.now(tz=datetime.UTC).date()
    turned = any(row.factor != 1.0 for row in result.levers)
    worked = None if turned else result.answer
    return decide(result.scenario, today=today, draws=draws, worked=worked)


_DECIDED = Kept(_decided, _FARMS)


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
    return _DECIDED.of(result)


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
    return turned_screen(base, result.answer, result.document), base.first_screen
