"""The comparison of thinners that a page looks into, and the curves beside it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> _, shares = temperatures(thinner_view(load(demo_files()["wrenfold"]), {}), 1)["curves"][0]
>>> needed = [share for share in shares if share is not None]
>>> needed == sorted(needed, reverse=True)
True
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
from msgspec import Struct

from econ.answers.buying_keys import ThinnersDocument
from econ.answers.comparison_document import compared_document
from econ.farm.prepare import prepare_whole
from econ.farm.schema import Scenario
from econ.ground.units import Floats, from_canonical
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.levers import turned
from econ.questions.mixes import limit_of, shares_by_warmth
from econ.questions.thinners import Comparison, Row, Scope, compare
from econ.questions.tie_prices import worth_at

Json = dict[str, Any]
_POINTS = 41
_DEAREST = 2.5
"""Prices run from nothing to this many times today's. [-]"""
_STEPS = (0.8, 0.9, 1.0, 1.1, 1.2)


class ThinnerView(Struct, frozen=True):
    """A farm's comparison: the document, and the model's own records for curves."""

    document: ThinnersDocument
    comparison: Comparison
    units: str


def thinner_view(scenario: Scenario, factors: Mapping[str, float]) -> ThinnerView:
    """Compare a farm's thinners with levers turned.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    factors : mapping of str to float
        By key of a lever. [-]

    Returns
    -------
    ThinnerView

    Raises
    ------
    ScenarioError
        As `thinners_document`.
    """
    whole = turned(prepare_whole(scenario), factors)
    made = compare(whole)
    return ThinnerView(compared_document(scenario, whole, made), made, scenario.scenario.units)


def _able(scope: Scope) -> list[Row]:
    return [row for row in scope.rows if row.result is not None]


def moved(view: ThinnerView, scope: int, name: str) -> Json | None:
    """Return the year's saving of each offer as the price of one of them moves.

    Parameters
    ----------
    view : ThinnerView
        Of the farm.
    scope : int
        Which scope.
    name : str
        The thinner whose price moves.

    Returns
    -------
    dict or None
        Prices, savings by offer, crossings and today's price, in the file's units; None where
        that thinner has no price of its own to move.
    """
    rows = _able(view.comparison.scopes[scope])
    listed = next((row.offer.listed for row in rows if row.offer.name == name), None)
    if listed is None:
        return None
    now = float(np.asarray(rows[0].inputs.thinners[listed].price))
    points = np.linspace(0.0, _DEAREST * max(now, 0.1), _POINTS)
    return {
        "prices": np.asarray(from_canonical(points, "price_per_volume", view.units)).tolist(),
        "now": float(from_canonical(now, "price_per_volume", view.units)),
        "savings": [
            (row.offer.name, _worth_by_price(row, listed, points).tolist()) for row in rows
        ],
        "ties": _ties(view, scope, next(row for row in rows if row.offer.name == name), points[-1]),
    }


def _worth_by_price(row: Row, listed: int, prices: Floats) -> Floats:
    """Work out what an offer is worth a year as the price of one thinner moves. [currency/yr]"""
    return worth_at(row.inputs, np.full(prices.shape, listed), prices)


def _ties(view: ThinnerView, scope: int, row: Row, most: float) -> list[tuple[float, float, str]]:
    """List where an offer ties with others: price, worth a year, and what that means."""
    name, listed = row.offer.name, row.offer.listed
    result: list[tuple[float, float, str]] = []
    if listed is None:
        return result
    for tie in view.document["scopes"][scope]["ties"]:
        price = tie["price"]
        if tie["moved"] != name or price is None or tie["against"] is None:
            continue
        per_litre = price / float(from_canonical(1.0, "price_per_volume", view.units))
        if per_litre <= most:
            worth = float(_worth_by_price(row, listed, np.asarray([per_litre]))[0])
            result.append((price, worth, f"{name} and {tie['against']} keep the same"))
    return result


def temperatures(view: ThinnerView, scope: int) -> Json:
    """Return the share each thinner needs against the fuel's temperature, for one machine.

    Parameters
    ----------
    view : ThinnerView
        Of the farm.
    scope : int
        Which scope; the whole farm shows the first machine it serves.

    Returns
    -------
    dict
        Machine, limit [cSt], temperatures in the file's unit, and curves.
    """
    gathered = view.comparison.scopes[scope]
    inputs, index = view.comparison.inputs, gathered.machines[0]
    limit, usual = limit_of(inputs, index)
    celsius = np.linspace(-20.0, 90.0, 23)
    curves = [
        (thinner.name, shares_by_warmth(inputs, index, k, celsius))
        for k, thinner in enumerate(inputs.thinners)
    ]
    return {
        "machine": inputs.machines[index].name,
        "limit": float(limit),
        "usual": usual,
        "temperatures": [float(from_canonical(t, "temperature", view.units)) for t in celsius],
        "curves": curves,
    }


def grid(inputs: Inputs) -> Json:
    """Return the year's saving where pump price and thinner price move together or apart.

    Parameters
    ----------
    inputs : Inputs
        The farm at likely values.

    Returns
    -------
    dict
        Factors, and savings by pump price (rows) and thinner price. [currency per year]
    """
    steps = np.asarray(_STEPS)
    pump, thinner = np.repeat(steps, steps.size), np.tile(steps, steps.size)
    both = turned(inputs, {"pump_price": pump, "thinner_price": thinner})
    worth = evaluate(both, by_month=False).per_year("time_paid")
    saving = np.broadcast_to(worth, pump.shape).reshape(steps.size, steps.size)
    return {"factors": list(_STEPS), "savings": [[float(v) for v in row] for row in saving]}
