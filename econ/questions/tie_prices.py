"""The price at which two thinners change places, found on the model itself.

One thinner's price is moved, and with it any fuel it is tied to; what the plan is worth a year,
one's time paid, is worked out for every offer at all prices in one evaluation each. At a tie
the model, run again, gives both offers the same worth.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from econ.ground.units import Floats
from econ.model.changes import with_prices
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.questions.thinners import Row, Scope

# Prices are tried from nothing to this many times the dearest of today.
REACH = 10.0
_POINTS = 9
_STEPS = 60
# By then a bracket is as narrow as prices can be told apart.
_HALVINGS = 64
# A zero is found when it is this small beside the largest value on the grid.
_CLOSE = 1e-13


@dataclass(frozen=True, slots=True)
class Tie:
    """Where one offer's price makes it keep as much as another."""

    moved: str
    """The offer whose price is moved."""
    against: str | None
    """The other one; None: no blend at all in the scope."""
    price: Floats
    """NaN where they never tie from nothing to `REACH` times the dearest price. [currency/L]"""
    now: Floats
    """Today's price of the offer that is moved. [currency/L]"""
    keeps_more_below: bool
    """Whether the moved offer keeps more at prices below the tie."""


def crossings(function: Callable[[Floats], Floats], points: Floats) -> Floats:
    """Return the first place at which each of several functions changes sign.

    Parameters
    ----------
    function : callable
        From places, shape ``(functions, n)``, to values of the same shape.
    points : ndarray, shape (n,)
        Rising places between which changes of sign are looked for.

    Returns
    -------
    ndarray, shape (functions,)
        By bracketing, then the Illinois form of the false position and at last halving, all at
        once; NaN where a function keeps its sign over the points or is zero throughout.

    Examples
    --------
    >>> crossings(lambda x: x**2 - [[0.25], [9.0]], np.array([0.0, 1.0, 2.0])).round(12)
    array([0.5, nan])
    """
    values = function(points[None, :])
    rows = np.arange(len(values))
    # A grid point that is itself a zero ends the bracket before it.
    turns = (np.sign(values[:, :-1]) * np.sign(values[:, 1:]) <= 0.0) & (
        (values[:, :-1] != 0.0) | (values[:, 1:] != 0.0)
    )
    first = np.argmax(turns, axis=1)
    gathered = turns.any(axis=1)
    low, high = points[first], points[first + 1]
    size = np.max(np.abs(values), axis=1)
    narrowed = _narrow(
        function, (low, high), (values[rows, first], values[rows, first + 1]), size, gathered
    )
    return np.where(gathered, narrowed, np.nan)


def _narrow(
    function: Callable[[Floats], Floats],
    ends: tuple[Floats, Floats],
    values: tuple[Floats, Floats],
    size: Floats,
    live: NDArray[np.bool_],
) -> Floats:
    """Narrow brackets to their zeros; those not live are left where they are."""
    (a, b), (fa, fb) = ends, values
    at = np.where(fa == 0.0, a, b)
    done = ~live | (fa == 0.0) | (fb == 0.0)
    for step in range(_STEPS + _HALVINGS):
        # Savings come in steps of their last digit, and a price finer than that ties nowhere
        # exactly: a bracket as narrow as prices can be told apart holds the tie.
        done = done | (np.abs(b - a) <= 2.0 * np.spacing(np.maximum(np.abs(a), np.abs(b))))
        if done.all():
            break
        rise = np.where(done, 1.0, fb - fa)
        along = fb * (b - a) / rise if step < _STEPS else 0.5 * (b - a)
        at = np.where(done, at, b - along)
        here = function(at[:, None])[:, 0]
        crossed = here * fb < 0.0
        a, fa = np.where(crossed, b, a), np.where(crossed, fb, 0.5 * fa)
        b, fb = at, here
        done = done | (np.abs(here) <= _CLOSE * size)
    return at


def worth_at(inputs: Inputs, moved: NDArray[np.int_], prices: Floats) -> Floats:
    """Return what a farm's plan is worth a year, one's time paid, at prices of some thinners.

    Parameters
    ----------
    inputs : Inputs
        The farm, its burn order settled.
    moved : ndarray of int, shape (n,)
        Whose price is moved, and with it the fuel it is tied to.
    prices : ndarray, shape (n,)
        [currency/L]

    Returns
    -------
    ndarray, shape (n,)
        [currency/yr]
    """
    gathered = evaluate(with_prices(inputs, moved, prices), by_month=False, measures=())
    return np.broadcast_to(gathered.per_year("time_paid"), prices.shape)


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Offers of a scope and which of them are held against which."""

    farms: tuple[Inputs | None, ...]
    """One for each offer, then the farm without blend in the scope; None: no plan at all."""
    moved: NDArray[np.int_]
    """By pair: the thinner whose price is moved."""
    one: NDArray[np.int_]
    other: NDArray[np.int_]
    """By pair: indices into `farms`."""

    def differences(self, places: Floats) -> Floats:
        """Return what one keeps above the other, by pair and place. [currency/yr]"""
        shape = (len(self.one), places.shape[1])
        prices = np.broadcast_to(places, shape).ravel()
        moved = np.repeat(self.moved, shape[1])
        savings = np.stack(
            [
                np.zeros(prices.shape) if farm is None else worth_at(farm, moved, prices)
                for farm in self.farms
            ]
        ).reshape(-1, *shape)
        pairs = np.arange(shape[0])
        return savings[self.one, pairs] - savings[self.other, pairs]


def _pairs(scope: Scope, able: list[Row]) -> _Pairs:
    """Hold each listed offer against each other one, and against no blend."""
    gathered = [
        (row.offer.listed, one, other)
        for one, row in enumerate(able)
        if row.offer.listed is not None
        for other in range(len(able) + 1)
        if other != one
    ]
    moved, ones, others = (np.asarray(column, dtype=int) for column in zip(*gathered, strict=True))
    return _Pairs((*(row.inputs for row in able), scope.without), moved, ones, others)


def tie_prices(scope: Scope) -> tuple[Tie, ...]:
    """Return the price at which each offer changes places with each other, and with no blend.

    Parameters
    ----------
    scope : Scope
        From `compare`.

    Returns
    -------
    tuple of Tie
        Of each offer that the file lists. Prices tied to a fuel move with it, and so does the
        fuel that is replaced. None where no oil is left for the scope.
    """
    able = [row for row in scope.rows if row.result is not None]
    if not scope.reached or all(row.offer.listed is None for row in able):
        return ()
    inputs = able[0].inputs
    today = (*inputs.prices.values(), *(entry.price for entry in inputs.thinners))
    prices = np.linspace(0.0, REACH * max(float(price) for price in today), _POINTS)
    pairs = _pairs(scope, able)
    gathered = crossings(pairs.differences, prices)
    free = pairs.differences(np.zeros((1, 1)))[:, 0]
    names = [*(row.offer.name for row in able), None]
    return tuple(
        Tie(
            moved=able[pairs.one[k]].offer.name,
            against=names[pairs.other[k]],
            price=np.asarray(gathered[k]),
            now=inputs.thinners[pairs.moved[k]].price,
            keeps_more_below=bool(free[k] > 0.0),
        )
        for k in range(len(gathered))
    )
