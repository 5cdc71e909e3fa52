"""From a farm being edited, and levers turned, to the model's answer; once for each farm."""

import json
import threading
from collections import OrderedDict
from collections.abc import Mapping
from typing import Any, TypeVar

from dashboards.web.draft import checked, unread
from dashboards.web.draft import factors as factors_of
from dashboards.web.log_folder import known_farm, log_stamp
from econ.answers.turned import Prepared, Results
from econ.ground.errors import Problem, ScenarioError

Json = dict[str, Any]
_KEPT = 32


class _Kept:
    """The last few farms read and prepared, and their answers with levers turned."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._farms: OrderedDict[str, Prepared | tuple[Problem, ...]] = OrderedDict()
        self._worked: OrderedDict[str, Results | tuple[Problem, ...]] = OrderedDict()

    def of(self, draft: Json, factors: Mapping[str, float]) -> Results | tuple[Problem, ...]:
        """Return a farm's results, worked out at most once, or its faults."""
        farm = json.dumps([draft["document"], draft["name"], log_stamp(draft)])
        key = json.dumps([farm, sorted(factors.items())])
        with self._lock:
            if farm not in self._farms:
                _keep(self._farms, farm, _prepared(draft))
            if key not in self._worked:
                _keep(self._worked, key, _worked(self._farms[farm], factors))
            return self._worked[key]


Kind = TypeVar("Kind")


def _keep(rows: OrderedDict[str, Kind], key: str, value: Kind) -> None:
    rows[key] = value
    if len(rows) > _KEPT:
        rows.popitem(last=False)


def _prepared(draft: Json) -> Prepared | tuple[Problem, ...]:
    if draft["unread"]:
        return unread(draft)
    try:
        return Prepared.of(known_farm(draft))
    except ScenarioError as error:
        return error.problems


def _worked(
    farm: Prepared | tuple[Problem, ...], factors: Mapping[str, float]
) -> Results | tuple[Problem, ...]:
    if not isinstance(farm, Prepared):
        return farm
    try:
        return farm.at(factors)
    except ScenarioError as error:
        return error.problems


_KEPT_RESULTS = _Kept()


def results(draft: Json, factors: Mapping[str, float]) -> Results | tuple[Problem, ...]:
    """Work a farm being edited through.

    Parameters
    ----------
    draft : dict
        Checked.
    factors : mapping of str to float
        Of the levers that are turned.

    Returns
    -------
    Results or tuple of Problem
        The model's own messages where the farm has faults.
    """
    return _KEPT_RESULTS.of(draft, factors)


def settled_of(
    settled: object,
) -> tuple[Results | tuple[Problem, ...], dict[str, float]] | None:
    """Return the results of a farm that has stopped changing; None before one is open.

    Parameters
    ----------
    settled : object
        Draft and levers, as the browser sent them.

    Returns
    -------
    (Results or tuple of Problem, dict) or None
        And the levers that are turned.
    """
    if not isinstance(settled, dict):
        return None
    turned = factors_of(settled.get("levers"))
    return results(checked(settled.get("draft")), turned), turned
