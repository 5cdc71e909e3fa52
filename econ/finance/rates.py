"""The rate at which a series of flows is worth nothing, where there is exactly one.

With v = 1/(1 + r) a series is a polynomial in v. Written in Bernstein form over an interval, the
changes of sign down its coefficients bound the number of roots inside (Descartes' rule): none,
no root; one, one root; more, and the interval is halved. Every coefficient carries a bound on
its rounding error, and a row with a sign in doubt is counted again in whole numbers
(`exact_rates`): what is found never hangs on rounding, nor on what else is in the batch.
"""

from functools import lru_cache
from math import comb

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.finance.exact_rates import only_exact_rate
from econ.ground.units import Flags, Floats

# Rates from 0 to 1,000 % a year, as v = 1/(1 + r); those from -99 % to 0, as 1 + r.
_GAINS = (1.0 / 11.0, 1.0)
_LOSSES = (0.01, 1.0)
_EPSILON = float(np.finfo(np.float64).eps)
# A Newton step this small leaves an error of its square.
_CLOSE = 1e-11

_Whole = NDArray[np.intp]


def _binomials(degree: int) -> Floats:
    return np.array([float(comb(degree, k)) for k in range(degree + 1)])


@lru_cache(maxsize=128)
def _bernstein(degree: int, low: float, high: float) -> Floats:
    """Return the matrix from coefficients of powers to Bernstein coefficients over an interval.

    Row k holds the coefficients of (1 + low x)^(degree - k) (1 + high x)^k, each divided by its
    binomial coefficient. All are positive, so none loses digits.
    """
    powers = np.arange(degree + 1)
    rows = [
        np.convolve(
            _binomials(degree - k) * low ** powers[: degree - k + 1],
            _binomials(k) * high ** powers[: k + 1],
        )
        for k in range(degree + 1)
    ]
    return np.stack(rows) / _binomials(degree)


@lru_cache(maxsize=64)
def _halves(degree: int) -> tuple[Floats, Floats]:
    """Return the matrices from Bernstein coefficients to those over either half."""
    left = np.zeros((degree + 1, degree + 1))
    for k in range(degree + 1):
        left[k, : k + 1] = _binomials(k) / 2.0**k
    return left, left[::-1, ::-1]


def _times(matrix: Floats, columns: Floats) -> Floats:
    """Multiply on one thread: threads of a linear algebra library cost more than they give."""
    return np.asarray(np.einsum("ij,jk->ik", matrix, columns))


def _both_halves(columns: Floats) -> Floats:
    """Return coefficients over the left halves of some intervals, then over the right ones."""
    left, right = _halves(len(columns) - 1)
    return np.concatenate([_times(left, columns), _times(right, columns)], axis=1)


def _doubtful(control: Floats, weight: Floats, error: float) -> Flags:
    """Say in which columns rounding may have turned a sign.

    `weight`, the same series with every flow positive, is the scale of rounding.
    """
    return np.asarray((np.abs(control) <= error * weight).any(axis=0))


def _doubtful_rows(matrix: Floats, powers: Floats, control: Floats, error: float) -> Flags:
    """Say the same of whole series, with a scale too large first: it clears nearly all rows."""
    amounts = np.abs(powers)
    most = np.einsum("j,jk->k", matrix.max(axis=0), amounts)
    near = np.flatnonzero(np.abs(control).min(axis=0) <= 2.0 * error * most)
    result = np.zeros(powers.shape[1], dtype=np.bool_)
    result[near] = _doubtful(control[:, near], _times(matrix, amounts[:, near]), error)
    return result


class _Pieces(Struct, frozen=True):
    """Intervals in hand, one a column: whose row each is, its ends and its coefficients."""

    rows: _Whole
    low: Floats
    high: Floats
    control: Floats

    def halved(self, held: _Whole) -> "_Pieces":
        """Return both halves of some of the intervals."""
        low, high = self.low[held], self.high[held]
        middle = 0.5 * (low + high)
        return _Pieces(
            np.tile(self.rows[held], 2),
            np.concatenate([low, middle]),
            np.concatenate([middle, high]),
            _both_halves(self.control[:, held]),
        )


class _Isolated:
    """What is known of each row's roots in an interval. Filled by one call of `_isolate`."""

    def __init__(self, rows: int) -> None:
        self.count = np.zeros(rows, dtype=np.intp)
        self.unsure = np.zeros(rows, dtype=np.bool_)
        # Of the root met last: its bracket, a first guess, and whether the series rises there.
        self.low, self.high, self.guess = np.empty((3, rows))
        self.rises = np.zeros(rows, dtype=np.bool_)

    def sort(self, pieces: _Pieces, unsure: Flags) -> _Whole:
        """Note what the signs of some intervals tell; return those to be halved."""
        self.unsure[pieces.rows[unsure]] = True
        positive = pieces.control > 0.0
        turns = positive[1:] != positive[:-1]
        changes = np.where(unsure, 0, np.count_nonzero(turns, axis=0))
        ones = np.flatnonzero(changes == 1)
        if ones.size:
            self._add(pieces, ones, turns)
        # Two roots are enough to know that there is not one.
        open_rows = (self.count < 2) & ~self.unsure
        return np.flatnonzero((changes > 1) & open_rows[pieces.rows])

    def _add(self, pieces: _Pieces, held: _Whole, turns: Flags) -> None:
        """Note one root in each of some intervals."""
        rows, low, high = pieces.rows[held], pieces.low[held], pieces.high[held]
        np.add.at(self.count, rows, 1)
        self.low[rows], self.high[rows] = low, high
        # The line from coefficient to coefficient crosses zero near the root.
        turn = np.argmax(turns[:, held], axis=0)
        before, after = pieces.control[turn, held], pieces.control[turn + 1, held]
        along = (turn + before / (before - after)) / len(turns)
        self.guess[rows] = low + (high - low) * along
        self.rises[rows] = after > 0.0


def _isolate(powers: Floats, low: float, high: float) -> _Isolated:
    """Count each row's roots in an interval: 0, 1, or 2 for several."""
    degree, rows = len(powers) - 1, powers.shape[1]
    matrix = _bernstein(degree, low, high)
    pieces = _Pieces(
        np.arange(rows), np.full(rows, low), np.full(rows, high), _times(matrix, powers)
    )
    result = _Isolated(rows)
    # The matrix, the sums and each halving add rounding errors of so many last places.
    error = 4.0 * (degree + 2) * _EPSILON
    more = result.sort(pieces, _doubtful_rows(matrix, powers, pieces.control, error))
    weight = _times(matrix, np.abs(powers[:, more]))
    while more.size:
        pieces, weight = pieces.halved(more), _both_halves(weight)
        error += 2.0 * (degree + 2) * _EPSILON
        more = result.sort(pieces, _doubtful(pieces.control, weight, error))
        weight = weight[:, more]
    return result


def _value_and_slope(powers: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Evaluate polynomials and their derivatives by Horner's rule."""
    slope = powers[-1]
    value = slope * x + powers[-2]
    for amount in powers[-3::-1]:
        slope = slope * x + value
        value = value * x + amount
    return value, slope


def _polish(powers: Floats, low: Floats, high: Floats, guess: Floats, rises: Flags) -> Floats:
    """Find the one root in each bracket: Newton's steps, halving where one leads astray."""
    result = np.empty(powers.shape[1])
    rows = np.arange(powers.shape[1])
    x, step = guess, high - low
    while True:
        value, slope = _value_and_slope(powers, x)
        above = (value > 0.0) == rises
        low, high = np.where(above, low, x), np.where(above, x, high)
        steady = (slope != 0.0) & ((slope > 0.0) == rises)
        move = value / np.where(steady, slope, 1.0)
        close = steady & (np.abs(move) <= _CLOSE * x)
        newton = x - move
        shrinks = (newton > low) & (newton < high) & (np.abs(move) <= 0.5 * step)
        following = np.where(close | (steady & shrinks), newton, 0.5 * (low + high))
        step, x = np.abs(following - x), following
        if close.all():
            result[rows] = x
            return result
        if 2 * np.count_nonzero(close) > rows.size:
            result[rows[close]] = x[close]
            rest = ~close
            powers, rows, rises = powers[:, rest], rows[rest], rises[rest]
            low, high, x, step = low[rest], high[rest], x[rest], step[rest]


def _only_root(powers: Floats, low: float, high: float) -> tuple[Floats, Flags, Flags]:
    """Return each row's one root in an interval or NaN, where it has none, and where in doubt."""
    result = _isolate(powers, low, high)
    root = np.full(powers.shape[1], np.nan)
    one = np.flatnonzero((result.count == 1) & ~result.unsure)
    if one.size:
        root[one] = _polish(
            powers[:, one], result.low[one], result.high[one], result.guess[one], result.rises[one]
        )
    return root, (result.count == 0) & ~result.unsure, result.unsure


def only_rate(flows: Floats) -> Floats:
    """Return the only rate in [0, 10], else the only one in (-0.99, 0), else NaN.

    A rate at which a series touches zero without crossing it counts once.

    Parameters
    ----------
    flows : ndarray, shape (years + 1, rows)
        [currency]

    Returns
    -------
    ndarray, shape (rows,)
        NaN too where every flow is zero. [1/yr]

    Examples
    --------
    >>> only_rate(np.array([[-100.0, -1600.0], [110.0, 10000.0], [0.0, -10000.0]])).round(12)
    array([0.1, nan])
    """
    discounts, none, unsure = _only_root(flows, *_GAINS)
    rate = 1.0 / discounts - 1.0
    lost = np.flatnonzero(none)
    if lost.size:
        growth, _, unsure[lost] = _only_root(flows[::-1, lost], *_LOSSES)
        rate[lost] = growth - 1.0
    for row in np.flatnonzero(unsure & (flows != 0.0).any(axis=0)):
        rate[row] = only_exact_rate(flows[:, row].tolist())
    return rate
