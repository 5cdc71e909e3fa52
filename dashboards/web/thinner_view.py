"""What the thinners' page reads of the model: the comparison, and curves beside it."""

import json
import threading
from collections import OrderedDict
from dataclasses import dataclass
from typing import Any

import numpy as np

from dashboards.web.log_folder import farm_key
from dashboards.web.results import Results, turn
from econ.answers.comparison_document import compared_document
from econ.farm.prepare import prepare_whole
from econ.ground.units import Floats, from_canonical
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.levers import LEVERS
from econ.questions.mixes import limit_of, shares_by_warmth
from econ.questions.thinners import Comparison, Row, Scope, compare
from econ.questions.tie_prices import worth_at

Json = dict[str, Any]
_POINTS = 41
_STEPS = (0.8, 0.9, 1.0, 1.1, 1.2)


@dataclass(frozen=True, slots=True)
class ThinnerView:
    """A farm's comparison: the document, and the model's own records for curves."""

    document: Json
    comparison: Comparison
    units: str


def _looked_at(gathered: Results) -> ThinnerView:
    factors = {row.key: row.factor for row in gathered.levers}
    whole = turn(prepare_whole(gathered.scenario), factors)
    made = compare(whole)
    document = compared_document(gathered.scenario, whole, made)
    return ThinnerView(document, made, gathered.scenario.scenario.units)


_LOCK = threading.Lock()
_KEPT: OrderedDict[str, ThinnerView] = OrderedDict()


def view_of(gathered: Results) -> ThinnerView:
    """Return a farm's comparison, levers turned as they are; worked out once while looked at."""
    turned = [(row.key, row.factor) for row in gathered.levers]
    key = json.dumps([farm_key(gathered.scenario), turned])
    with _LOCK:
        if key not in _KEPT:
            _KEPT[key] = _looked_at(gathered)
            if len(_KEPT) > 8:
                _KEPT.popitem(last=False)
        return _KEPT[key]


def _able(scope: Scope) -> list[Row]:
    return [row for row in scope.rows if row.result is not None]


def _saving(inputs: Inputs) -> Floats:
    return evaluate(inputs, by_month=False).per_year("time_paid")


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
    gathered = view.comparison.scopes[scope]
    rows = _able(gathered)
    at = next((row.offer.listed for row in rows if row.offer.name == name), None)
    if at is None:
        return None
    now = float(np.asarray(rows[0].inputs.thinners[at].price))
    points = np.linspace(0.0, 2.5 * max(now, 0.1), _POINTS)

    def curve(inputs: Inputs, prices: Floats) -> Floats:
        return worth_at(inputs, np.full(prices.shape, at), prices)

    ties = []
    for tie in view.document["scopes"][scope]["ties"]:
        price = tie["price"]
        if tie["moved"] != name or price is None or tie["against"] is None:
            continue
        per_litre = price / float(from_canonical(1.0, "price_per_volume", view.units))
        if per_litre > points[-1]:
            continue
        row = next(row for row in rows if row.offer.name == name)
        saving = float(curve(row.inputs, np.asarray([per_litre]))[0])
        ties.append((price, saving, f"{name} and {tie['against']} keep the same"))
    return {
        "prices": [float(from_canonical(p, "price_per_volume", view.units)) for p in points],
        "now": float(from_canonical(now, "price_per_volume", view.units)),
        "savings": [
            (row.offer.name, [float(v) for v in curve(row.inputs, points)]) for row in rows
        ],
        "ties": ties,
    }


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
    turns = {lever.key: lever.turn for lever in LEVERS}
    steps = np.asarray(_STEPS)
    pump, thinner = np.repeat(steps, steps.size), np.tile(steps, steps.size)
    both = turns["thinner_price"](turns["pump_price"](inputs, pump), thinner)
    saving = np.broadcast_to(_saving(both), pump.shape).reshape(steps.size, steps.size)
    return {"factors": list(_STEPS), "savings": [[float(v) for v in row] for row in saving]}
