"""From a farm being edited, and levers turned, to the model's answer; once for each farm."""

import contextlib
import json
from collections.abc import Mapping
from typing import Any

from flask import Response, after_this_request, current_app

from dashboards.web.draft import checked, unread
from dashboards.web.draft import factors as factors_of
from dashboards.web.last_few import LastFew
from dashboards.web.log_folder import known_farm, log_stamp
from econ.answers.turned import Prepared, Results
from econ.ground.errors import Problem, ScenarioError

Json = dict[str, Any]
_FARMS = 32


def _prepared(draft: Json) -> Prepared | tuple[Problem, ...]:
    if draft["unread"]:
        return unread(draft)
    try:
        return Prepared.of(known_farm(draft))
    except ScenarioError as error:
        return error.problems


def _worked(
    asked: tuple[Prepared | tuple[Problem, ...], Mapping[str, float]],
) -> Results | tuple[Problem, ...]:
    farm, factors = asked
    if not isinstance(farm, Prepared):
        return farm
    try:
        return farm.at(factors)
    except ScenarioError as error:
        return error.problems


# A farm is read and prepared once for as long as only levers move.
_PREPARED = LastFew(_prepared, _FARMS)
_WORKED = LastFew(_worked, _FARMS)


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
    farm = json.dumps([draft["document"], draft["name"], log_stamp(draft)])
    key = json.dumps([farm, sorted(factors.items())])
    return _WORKED.of(key, (_PREPARED.of(farm, draft), factors))


def begin(draft: Json) -> None:
    """Work an edited farm through as soon as its answer is out: the page will ask for it next.

    Parameters
    ----------
    draft : dict
        Checked, as it is sent to the page.
    """
    app = current_app._get_current_object()  # type: ignore[attr-defined]

    def work() -> None:
        # Whatever is wrong with it is told to the page that asks.
        with app.app_context(), contextlib.suppress(Exception):
            results(draft, {})

    @after_this_request
    def _then(response: Response) -> Response:
        response.call_on_close(work)
        return response


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
