"""What plans come to, many at once, by the model itself: no shortcut, no second set of sums.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> paid = evaluate(inputs).ledgers["time_paid"].measures
>>> bool(abs(annual_factor(inputs) * paid["npv"] - paid["equivalent_annual"]) < 1e-9)
True
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.finance.worth import real_rate, recovery_factor
from econ.ground.units import Flags, Floats
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.model.side_by_side import plans_side_by_side, shares_of
from econ.questions.plan_space import Batch, Decision, Space, batch_of

LEDGER_KEYS = ("time_free", "time_paid")


class Figures(Struct, frozen=True):
    """What each of many plans comes to; arrays of shape ``(plans,)``."""

    time_free: Floats
    time_paid: Floats
    """Worth a year by ledger, in today's money. [currency/yr]"""
    npv_free: Floats
    npv_paid: Floats
    """[currency]"""
    moves_free: Floats
    moves_paid: Floats
    """What the worth a year gains when all fuel prices double, volumes held. [currency/yr]"""
    kit_to_buy: Floats
    own_hours: Floats
    """Of the typical year. [h/yr]"""
    fuel_replaced: Floats
    """Of the typical year. [L/yr]"""
    possible: Flags
    """Whether every machine's thinner is thin enough in some month."""

    def worth(self, ledger: str) -> Floats:
        """Return the worth a year by a ledger. [currency/yr]"""
        return self.time_free if ledger == "time_free" else self.time_paid

    def moves(self, ledger: str) -> Floats:
        """Return what doubled fuel prices add, by a ledger. [currency/yr]"""
        return self.moves_free if ledger == "time_free" else self.moves_paid


def annual_factor(inputs: Inputs) -> Floats:
    """Work out what turns a worth today into one a year, in today's money.

    Parameters
    ----------
    inputs : Inputs
        The farm, for its money.

    Returns
    -------
    ndarray, shape (...,)
        [1/yr]
    """
    finance = inputs.finance
    return recovery_factor(real_rate(finance.discount_rate, finance.inflation), finance.years)


def figures_of_outcome(outcome: Outcome, count: int, possible: Flags) -> Figures:
    """Read the figures of plans that were worked through.

    Parameters
    ----------
    outcome : Outcome
        Numbers of shape ``()`` or ``(plans,)``.
    count : int
        How many plans.
    possible : ndarray of bool, shape (plans,)
        Which of them can be had.

    Returns
    -------
    Figures
    """

    def spread(value: Floats) -> Floats:
        return np.broadcast_to(value, (count,))

    free, paid = (outcome.ledgers[key] for key in LEDGER_KEYS)
    annual = annual_factor(outcome.inputs)
    return Figures(
        time_free=spread(free.measures["equivalent_annual"]),
        time_paid=spread(paid.measures["equivalent_annual"]),
        npv_free=spread(free.measures["npv"]),
        npv_paid=spread(paid.measures["npv"]),
        moves_free=spread(free.ledger.fuel_worth * annual),
        moves_paid=spread(paid.ledger.fuel_worth * annual),
        kit_to_buy=spread(outcome.kit_to_buy),
        own_hours=spread(outcome.typical.fuel["own_hours"]),
        fuel_replaced=spread(outcome.typical.fuel["fuel_replaced"]),
        possible=possible,
    )


def _chosen_possible(batch: Batch, space: Space, possible: Flags) -> Flags:
    """Say which plans ask of no machine what its thinner cannot do."""
    fine = np.ones(len(batch.taken), dtype=bool)
    place = 0
    for k, way in enumerate(space.ways):
        for j in range(len(way.thinners)):
            fine &= possible[place] | (batch.picks[:, k] != j + 1)
            place += 1
    return fine


def _evaluated(space: Space, batch: Batch) -> Figures:
    """Work the plans of a batch through, those with one order of serving together."""
    inputs = space.inputs[batch.setup]
    sets, of = np.unique(batch.taken, axis=0, return_inverse=True)
    of = of.reshape(-1)
    shares = shares_of(inputs, space.ways, sets)
    orders, order_of = np.unique(shares.order, axis=0, return_inverse=True)
    order_of = order_of.reshape(-1)[of]
    possible = _chosen_possible(batch, space, shares.possible[:, of])
    count = len(batch.taken)
    result = {
        name: np.empty(count, dtype=bool if name == "possible" else np.float64)
        for name in Figures.__struct_fields__
    }
    for k, order in enumerate(orders):
        rows = np.flatnonzero(order_of == k)
        side_by_side = plans_side_by_side(
            inputs,
            space.ways,
            shares.share[:, :, of[rows]],
            batch.taken[rows],
            batch.picks[rows],
            tuple(int(place) for place in order),
        )
        outcome = evaluate(side_by_side, by_month=False, measures=())
        figures = figures_of_outcome(outcome, len(rows), possible[rows])
        for key, values in result.items():
            values[rows] = getattr(figures, key)
    return Figures(**result)


def figures_of(space: Space, batch: Batch) -> Figures:
    """Work every plan of a batch through, at expected values.

    Parameters
    ----------
    space : Space
        Of the farm.
    batch : Batch
        Plans of one set-up.

    Returns
    -------
    Figures
    """
    return _evaluated(space, batch)


def figures_of_each(space: Space, decisions: list[Decision]) -> Figures:
    """Work a list of plans through, whatever their set-ups.

    Parameters
    ----------
    space : Space
        Of the farm.
    decisions : list of Decision
        In any order.

    Returns
    -------
    Figures
        In the order given.
    """
    parts, places = [], []
    for setup in sorted({decision.setup for decision in decisions}):
        rows = [k for k, decision in enumerate(decisions) if decision.setup == setup]
        batch = batch_of(space, [decisions[k] for k in rows])
        parts.append(_evaluated(space, batch))
        places += rows
    back = np.argsort(places)
    return joined(parts, back)


def joined(parts: list[Figures], order: NDArray[np.intp] | None = None) -> Figures:
    """Put figures one after another.

    Parameters
    ----------
    parts : list of Figures
        At least one.
    order : ndarray of int, optional
        In which order the rows then stand.

    Returns
    -------
    Figures
    """
    whole = {
        name: np.concatenate([getattr(part, name) for part in parts])
        for name in Figures.__struct_fields__
    }
    if order is not None:
        whole = {key: values[order] for key, values in whole.items()}
    return Figures(**whole)
