"""The rate at which a series of flows is worth nothing, and how many such rates there are.

With v = 1/(1 + r) a series is a polynomial in v. Its roots in an interval are counted by
Descartes' rule of signs after a Moebius map of the interval onto the positive axis: no change
of sign, no root; one change, one root; more, and the interval is halved (Vincent's method).
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from econ.units import Floats

# Rates from 0 to 1,000 % a year, and from -99 % to 0, as v.
_GAINS = (1.0 / 11.0, 1.0)
_LOSSES = (1.0, 100.0)
# Halvings after which two roots are one to the eye.
_DEEPEST = 44
_STEPS = 60
_HALVINGS = 3
_CLOSE = 4e-16

_Rows = NDArray[np.intp]


@lru_cache(maxsize=256)
def _map(years: int, low: float, high: float) -> Floats:
    """Give the matrix that maps flows to coefficients of (1+x)^N p((low + high x)/(1 + x))."""
    columns = []
    for t in range(years + 1):
        column = np.ones(1)
        for _ in range(t):
            column = np.convolve(column, (low, high))
        for _ in range(years - t):
            column = np.convolve(column, (1.0, 1.0))
        columns.append(column)
    return np.stack(columns, axis=1)


def _sign_changes(coefficients: Floats) -> NDArray[np.int_]:
    """Count changes of sign down the first axis, zeros skipped."""
    changes = np.zeros(coefficients.shape[1], dtype=np.int_)
    last = np.zeros(coefficients.shape[1])
    for row in np.sign(coefficients):
        changes += row * last < 0.0
        last = np.where(row == 0.0, last, row)
    return changes


def _value(flows: Floats, v: Floats | float) -> Floats:
    """Evaluate the polynomial by Horner's rule."""
    total = flows[-1]
    for amount in flows[-2::-1]:
        total = total * v + amount
    return np.asarray(total)


class _Found:
    """Roots met so far: how many, and where the last one lies. Local to one call."""

    def __init__(self, rows: int) -> None:
        self.count = np.zeros(rows, dtype=np.int_)
        self.low = np.full(rows, np.nan)
        self.high = np.full(rows, np.nan)

    def add(self, rows: _Rows, low: float, high: float) -> None:
        """Note one more root of some rows, between `low` and `high`."""
        self.count[rows] += 1
        self.low[rows] = low
        self.high[rows] = high


def _search(flows: Floats, rows: _Rows, low: float, high: float, found: _Found) -> None:
    """Count roots strictly inside an interval, halving it where signs leave a doubt."""
    waiting = [(rows, low, high, 0)]
    years = flows.shape[0] - 1
    while waiting:
        held, a, b, depth = waiting.pop()
        changes = _sign_changes(_map(years, a, b) @ flows[:, held])
        found.add(held[changes == 1], a, b)
        doubt = held[changes > 1]
        # Two roots are enough to know that there is not one.
        doubt = doubt[found.count[doubt] < 2]
        if not doubt.size:
            continue
        middle = 0.5 * (a + b)
        if depth == _DEEPEST:
            found.add(doubt, middle, middle)
            continue
        found.add(doubt[_value(flows[:, doubt], middle) == 0.0], middle, middle)
        waiting += [(doubt, a, middle, depth + 1), (doubt, middle, b, depth + 1)]


def _polish(flows: Floats, low: Floats, high: Floats) -> Floats:
    """Narrow brackets of one root each to the root: halvings, then guarded Newton steps."""
    years = flows.shape[0] - 1
    slopes = flows[1:] * np.arange(1, years + 1)[:, None]
    rising = _value(flows, low)
    ends = _value(flows, high)
    # A root on the low end hides the sign there: take the other end's.
    side = np.where(rising == 0.0, -np.sign(ends), np.sign(rising))
    v = 0.5 * (low + high)
    for step in range(_STEPS):
        value = _value(flows, v)
        below = np.sign(value) == side
        low, high = np.where(below, v, low), np.where(below, high, v)
        middle = 0.5 * (low + high)
        if step < _HALVINGS:
            v = middle
            continue
        slope = _value(slopes, v)
        newton = v - value / np.where(slope == 0.0, 1.0, slope)
        inside = (newton >= low) & (newton <= high) & (slope != 0.0)
        following = np.where(value == 0.0, v, np.where(inside, newton, middle))
        done = np.abs(following - v) <= _CLOSE * v
        v = following
        if done.all():
            break
    return v


def only_rate(flows: Floats) -> Floats:
    """Give the only rate in [0, 10], else the only one in (-0.99, 0), else NaN.

    Parameters
    ----------
    flows : ndarray, shape (years + 1, rows)
        [currency]

    Returns
    -------
    ndarray, shape (rows,)
        [1/yr]
    """
    rows = flows.shape[1]
    size = np.max(np.abs(flows), axis=0)
    scaled = flows / np.where(size > 0.0, size, 1.0)
    live = np.flatnonzero(size > 0.0)
    gains, losses = _Found(rows), _Found(rows)
    for end in _GAINS:
        gains.add(live[_value(scaled[:, live], end) == 0.0], end, end)
    _search(scaled, live, *_GAINS, gains)
    none = live[gains.count[live] == 0]
    if none.size:
        _search(scaled, none, *_LOSSES, losses)
    found = np.full(rows, np.nan)
    for kind in (gains, losses):
        one = np.flatnonzero(kind.count == 1)
        if one.size:
            v = _polish(scaled[:, one], kind.low[one], kind.high[one])
            found[one] = 1.0 / v - 1.0
    return found
