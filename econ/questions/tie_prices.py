"""The price at which two thinners change places, found on the model itself.

One thinner's price is moved, and with it any fuel it is tied to; what the plan is worth a year,
one's time paid, is worked out for every offer at all prices, all in one batch. Volumes do not
depend on prices, and every cost, tax and ledger is in proportion to them: two prices tell where
a line crosses. At a tie the model, run again, gives both offers the same worth.
"""

from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.ground.units import Floats
from econ.model.changes import with_prices
from econ.model.evaluate import at_prices, evaluate
from econ.model.inputs import Inputs
from econ.model.variants import Batch, blocks_of, rows_of
from econ.questions.thinners import Scope

# Prices are tried from nothing to this many times the dearest of today.
REACH = 10.0
_POINTS = 2
_STEPS = 60
# By then a bracket is as narrow as prices can be told apart.
_HALVINGS = 64
# A zero is found when it is this small beside the largest value on the grid.
_CLOSE = 1e-13


class Tie(Struct, frozen=True):
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
        Rising places between which changes of sign are looked for. [any]

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


class _Pair(Struct, frozen=True):
    """Two offers of a scope, or one and no blend there, held against each other."""

    scope: int
    moved: int
    """The thinner whose price is moved."""
    one: int
    other: int | None
    """Rows of the batch; None: no plan at all."""
    names: tuple[str, str | None]


def _pairs(number: int, scope: Scope) -> list[_Pair]:
    """Hold each listed offer against each other one, and against no blend."""
    able = [(row.offer, row.place) for row in scope.rows if row.place is not None]
    if not scope.reached:
        return []
    against = [(offer.name, place) for offer, place in able]
    return [
        _Pair(number, offer.listed, place, other, (offer.name, name))
        for offer, place in able
        if offer.listed is not None
        for name, other in [*against, (None, scope.place_without)]
        if other != place
    ]


def _worths(batch: Batch, cases: NDArray[np.int64], prices: Floats) -> Floats:
    """Return the worth a year of variants of a batch at moved prices.

    `cases` has the row and the thinner whose price is moved, shape (2, n). Volumes do not
    depend on prices, and stand.
    """
    result = np.empty(prices.shape)
    for some in blocks_of(prices.size, len(batch.inputs.machines)):
        rows, moved = cases[:, some]
        inputs = with_prices(rows_of(batch.inputs, rows), moved, prices[some])
        outcome = at_prices(inputs, rows_of(batch.volumes, rows), measures=())
        result[some] = outcome.per_year("time_paid")
    return result


def _differences(batch: Batch, pairs: list[_Pair], places: Floats) -> Floats:
    """Return what one of each pair keeps above the other, by pair and place. [currency/yr]"""
    count = places.shape[1]
    sides = [(pair.one, pair.moved) for pair in pairs]
    sides += [(pair.other, pair.moved) for pair in pairs if pair.other is not None]
    if places.shape[0] == 1:
        # The same prices for all: each row meets each thinner's price once.
        known = {case: k for k, case in enumerate(dict.fromkeys(sides))}
        where = np.array([known[case] for case in sides])
        cases, prices = list(known), np.broadcast_to(places, (len(known), count))
    else:
        behind = np.array([pair.other is not None for pair in pairs])
        where, cases = np.arange(len(sides)), sides
        prices = np.concatenate([places, places[behind]])
    listed = np.repeat(np.array(cases, dtype=np.int64).T, count, axis=1)
    worths = _worths(batch, listed, prices.ravel()).reshape(-1, count)[where]
    result: Floats = worths[: len(pairs)].copy()
    result[[pair.other is not None for pair in pairs]] -= worths[len(pairs) :]
    return result


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
    return tie_prices_of((scope,))[0]


def tie_prices_of(scopes: Sequence[Scope]) -> tuple[tuple[Tie, ...], ...]:
    """Return the ties of several scopes of one comparison, all worked out together.

    Parameters
    ----------
    scopes : sequence of Scope
        From one `compare`.

    Returns
    -------
    tuple of tuple of Tie
        As `tie_prices`, one a scope.
    """
    pairs = [pair for number, scope in enumerate(scopes) for pair in _pairs(number, scope)]
    result: list[list[Tie]] = [[] for _ in scopes]
    batch = next((scope.batch for scope in scopes if scope.batch is not None), None)
    if batch is None or not pairs:
        return tuple(tuple(ties) for ties in result)
    offered = next(row.inputs for scope in scopes for row in scope.rows if row.place is not None)
    today = (*offered.prices.values(), *(entry.price for entry in offered.thinners))
    prices = np.linspace(0.0, REACH * max(float(price) for price in today), _POINTS)

    def differences(places: Floats) -> Floats:
        return _differences(batch, pairs, places)

    gathered = crossings(differences, prices)
    free = differences(np.zeros((1, 1)))[:, 0]
    for pair, price, above in zip(pairs, gathered, free, strict=True):
        now = offered.thinners[pair.moved].price
        tie = Tie(*pair.names, np.asarray(price), now, keeps_more_below=bool(above > 0.0))
        result[pair.scope].append(tie)
    return tuple(tuple(ties) for ties in result)
