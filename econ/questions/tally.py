"""Figures of very many draws in bounded memory: the first as they are, all in fine bins.

Counts add up in any order, so neither chunks nor workers change a level.

>>> import numpy as np
>>> worth = np.arange(101.0)
>>> edges = edges_of({"worth": worth})
>>> [round(level, 9) for level in spread_of("worth", worth, edges, {}, 101).levels]
[5.0, 50.0, 95.0]
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.ground.units import Floats
from econ.numbers.quantiles import levels_of

BINS = 1 << 16
LEVELS = (0.05, 0.50, 0.95)
_BATCHES = 8

# Half as wide as what adds them up, as they travel between processes; a bin's draws fit.
Counts = dict[str, NDArray[np.uint32]]
# As wide as the bins.
Places = NDArray[np.uint16]
Levels = tuple[float, float, float]


class Spread(Struct, frozen=True):
    """One figure over all draws."""

    levels: Levels
    """1 in 20 worse, middle, 1 in 20 better; NaN where undefined that often."""
    errors: Levels
    """Convergence error of each level, one standard error."""
    defined: float
    """Share of draws in which the figure exists. [-]"""


class Edges(Struct, frozen=True):
    """Even bins of every figure, wide enough for what the first draws showed."""

    low: dict[str, float]
    width: dict[str, float]

    def places(self, key: str, values: Floats) -> Places:
        """Say in which bin each defined value of a figure lies.

        Parameters
        ----------
        key : str
            Which figure.
        values : ndarray, shape (n,)
            NaN where undefined. [any]

        Returns
        -------
        ndarray of int, shape (defined values,)
        """
        known = np.isfinite(values)
        place = (values if known.all() else values[known]) - self.low[key]
        place /= self.width[key]
        np.clip(place, 0, BINS - 1, out=place)
        return place.astype(np.uint16)

    def level(self, key: str, counts: NDArray[np.uint32], level: float) -> float:
        """Return a quantile from counts, straight within its bin; NaN without any.

        Parameters
        ----------
        key : str
            Which figure.
        counts : ndarray of int, shape (BINS,)
            From `counts_of`, added up.
        level : float
            From 0 to 1. [-]

        Returns
        -------
        float
        """
        total = np.cumsum(counts, dtype=np.int64)
        if total[-1] == 0:
            return np.nan
        wanted = level * float(total[-1])
        place = int(np.searchsorted(total, wanted))
        before = float(total[place - 1]) if place else 0.0
        within = (wanted - before) / max(float(counts[place]), 1.0)
        return self.low[key] + self.width[key] * (place + within)


def counts_of(places: Sequence[Places]) -> NDArray[np.uint32]:
    """Count how many values lie in each bin.

    Parameters
    ----------
    places : sequence of ndarray of int
        From `Edges.places`.

    Returns
    -------
    ndarray of int, shape (BINS,)
    """
    return np.bincount(np.concatenate(places), minlength=BINS).astype(np.uint32)


def edges_of(kept: dict[str, Floats]) -> Edges:
    """Lay even bins over what the first draws showed, with room at both ends.

    Parameters
    ----------
    kept : dict of str to ndarray, shape (n,)
        The first draws, by figure. [any]

    Returns
    -------
    Edges
    """
    low, width = {}, {}
    for key, values in kept.items():
        known = values[np.isfinite(values)]
        start, end = (known.min(), known.max()) if known.size else (0.0, 1.0)
        room = 0.25 * (end - start) or 1.0
        low[key], width[key] = start - room, (end - start + 2.0 * room) / BINS
    return Edges(low, width)


def _errors(values: Floats, draws: int) -> Levels:
    """Return the standard error of each level, from batches of the kept draws.

    Consecutive batches of a Sobol sequence are each less even than the whole, so this errs on
    the wide side.
    """
    known = values[np.isfinite(values)]
    size = len(known) // _BATCHES
    if size < 2:
        return (np.nan, np.nan, np.nan)
    batches = known[: size * _BATCHES].reshape(_BATCHES, size)
    spread = np.std(levels_of(batches, LEVELS), axis=1, ddof=1)
    shrink = np.sqrt(size / max(draws, size))
    first, middle, last = (float(error * shrink) for error in spread)
    return (first, middle, last)


def spread_of(key: str, values: Floats, edges: Edges, bins: Counts, draws: int) -> Spread:
    """Sum one figure up: exactly while all draws are kept, else from its bins.

    Parameters
    ----------
    key : str
        Which figure.
    values : ndarray, shape (kept draws,)
        The first draws. [any]
    edges : Edges
        Of the bins.
    bins : dict of str to ndarray of int
        All draws counted; empty while all are kept.
    draws : int
        In all.

    Returns
    -------
    Spread
    """
    errors = _errors(values, draws)
    if key in bins:
        first, middle, last = (edges.level(key, bins[key], level) for level in LEVELS)
        return Spread((first, middle, last), errors, float(bins[key].sum()) / draws)
    known = values[np.isfinite(values)]
    if not known.size:
        return Spread((np.nan, np.nan, np.nan), errors, 0.0)
    first, middle, last = (float(level) for level in levels_of(known, LEVELS))
    return Spread((first, middle, last), errors, known.size / draws)
