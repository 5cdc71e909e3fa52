"""The price at which two thinners change places, found on the model itself.

One thinner's price is moved, and with it any fuel it is tied to; the year's saving after one's
own labour is worked out for all offers at all prices in one evaluation each. What a tie is
worth is shown by running the model at it: the two offers keep the same money there.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from econ.comparison import Row, Scope
from econ.evaluate import evaluate
from econ.inputs import Inputs
from econ.offers import with_price
from econ.units import Floats

# Prices are tried from nothing to this many times the dearest of today.
REACH = 10.0
_POINTS = 17
_STEPS = 40
# A tie is found when the two savings differ by less than this share of their size.
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


def crossing(difference: Callable[[Floats], Floats], points: Floats) -> float:
    """Give the first place at which a function changes sign.

    Parameters
    ----------
    difference : callable
        From an array to an array of the same shape.
    points : ndarray, shape (points,)
        Rising places between which a change of sign is looked for.

    Returns
    -------
    float
        Found by bracketing, then the Illinois form of the false position; NaN where the
        function keeps its sign or is zero throughout.

    Examples
    --------
    >>> crossing(lambda x: x - 0.25, np.array([0.0, 1.0]))
    0.25
    """
    values = difference(points)
    signs = np.sign(values)
    if not np.any(signs):
        return float("nan")
    exact = np.flatnonzero(signs == 0.0)
    changes = np.flatnonzero(signs[:-1] * signs[1:] < 0.0)
    if exact.size and (not changes.size or exact[0] <= changes[0]):
        return float(points[exact[0]])
    if not changes.size:
        return float("nan")
    k = int(changes[0])
    size = float(np.max(np.abs(values)))
    return _narrow(difference, (points[k], points[k + 1]), (values[k], values[k + 1]), size)


def _narrow(
    difference: Callable[[Floats], Floats],
    ends: tuple[float, float],
    values: tuple[float, float],
    size: float,
) -> float:
    """Narrow a bracket to its zero."""
    (a, b), (fa, fb) = ends, values
    x = a
    for _ in range(_STEPS):
        x = b - fb * (b - a) / (fb - fa)
        fx = float(difference(np.asarray([x]))[0])
        if abs(fx) <= _CLOSE * size:
            break
        if fx * fb < 0.0:
            a, fa = b, fb
        else:
            fa = 0.5 * fa
        b, fb = x, fx
    return float(x)


def _saving(inputs: Inputs, thinner: int, prices: Floats) -> Floats:
    """Give the year's saving after one's own labour at some prices of a thinner."""
    moved = with_price(inputs, thinner, prices)
    found = evaluate(moved, by_month=False).typical.savings["after_labour"]
    return np.broadcast_to(found, prices.shape)


def _no_blend(scope: Scope, thinner: int, prices: Floats) -> Floats:
    """Give the saving with the scope left on pump fuel; no plan at all saves nothing."""
    if scope.without is None:
        return np.zeros(prices.shape)
    return _saving(scope.without, thinner, prices)


def _tie(scope: Scope, row: Row, other: Row | None, prices: Floats) -> Tie:
    """Find where one offer ties with another, or with no blend."""
    thinner = row.offer.listed
    if thinner is None:
        message = "only a thinner of the file has a price of its own to move"
        raise ValueError(message)

    def difference(at: Floats) -> Floats:
        mine = _saving(row.inputs, thinner, at)
        if other is None:
            return mine - _no_blend(scope, thinner, at)
        return mine - _saving(other.inputs, thinner, at)

    price = crossing(difference, prices)
    below = bool(difference(np.asarray([0.0]))[0] > 0.0)
    return Tie(
        moved=row.offer.name,
        against=None if other is None else other.offer.name,
        price=np.asarray(price),
        now=row.inputs.thinners[thinner].price,
        keeps_more_below=below,
    )


def tie_prices(scope: Scope, *, of: Sequence[Row] | None = None) -> tuple[Tie, ...]:
    """Give the price at which each offer changes places with each other, and with no blend.

    Parameters
    ----------
    scope : Scope
        From `compare`.
    of : sequence of Row, optional
        Offers whose price is to be moved; all of the file's by default.

    Returns
    -------
    tuple of Tie
        Prices tied to a fuel move with it, and so does the fuel that is replaced.
    """
    able = [row for row in scope.rows if row.result is not None]
    if not able or not scope.reached:
        return ()
    inputs = able[0].inputs
    dearest = max(
        float(np.max(price))
        for price in (*inputs.prices.values(), *(entry.price for entry in inputs.thinners))
    )
    prices = np.linspace(0.0, REACH * dearest, _POINTS)
    moved = able if of is None else of
    return tuple(
        _tie(scope, row, other, prices)
        for row in moved
        if row.offer.listed is not None
        for other in (*(o for o in able if o is not row), None)
    )
