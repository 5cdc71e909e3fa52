"""A bad year: repairs as they fall, not as they average out."""

from collections.abc import Iterable

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats
from econ.model.outcome import Outcome
from econ.numbers.quantiles import levels_of

OUTCOMES = 200_000
"""Years looked at, at least: draws, each repeated as often as that takes."""
LEVEL = 0.05
LARGE = 0.1
"""A bill is large above this share of what the kit costs. [-]"""
_BATCHES = 8
# Above this many failures in a block each outcome is drawn by itself, without a list of them.
_MOST_LISTED = 2_000_000


class Repairs(Struct, frozen=True):
    """A block of draws: what a year leaves before repairs, and the parts that may fail."""

    before: Floats
    """Left after every cash cost but repairs: (n,). [currency/yr]"""
    failures: tuple[Floats, ...]
    """Expected failures of each part in a year: (n,) each. [1/yr]"""
    costs: tuple[Floats, ...]
    """Of one repair: (n,) each. [currency]"""


class BadYear(Struct, frozen=True):
    """What one year in twenty falls below, and how often a large bill comes."""

    level: float
    """Left after repairs in the year that one in twenty falls below. [currency/yr]"""
    error: float
    """One standard error. [currency/yr]"""
    large: float
    """A bill above this is large. [currency]"""
    per_year: float
    """Large bills a year, all parts together, on average. [1/yr]"""

    @property
    def rounded(self) -> float:
        """Return the level rounded to its error: to the 1, 2 or 5 that is not below it."""
        return rounded_to(self.level, self.error)


def rounded_to(value: float, error: float) -> float:
    """Round a value as coarsely as its error asks.

    Parameters
    ----------
    value : float
        [any]
    error : float
        One standard error. [any]

    Returns
    -------
    float
        To the next power of ten, or 2 or 5 times one, that is not below the error; the value
        itself where there is no error.

    Examples
    --------
    >>> rounded_to(1234.5, 30.0)
    1250.0
    """
    if not error > 0.0:
        return value
    power = 10.0 ** np.floor(np.log10(error))
    step = next(power * k for k in (1.0, 2.0, 5.0, 10.0) if power * k >= error * (1.0 - 1e-12))
    return float(np.round(value / step) * step)


def repairs_of(outcome: Outcome, rows: slice) -> Repairs:
    """Read a block of draws.

    Parameters
    ----------
    outcome : Outcome
        Of some blocks.
    rows : slice
        Where the block's draws stand in it.

    Returns
    -------
    Repairs
        Without parts that never fail.
    """
    typical, count = outcome.typical, rows.stop - rows.start

    def of_block(value: Floats) -> Floats:
        return value[rows] if np.ndim(value) else np.broadcast_to(value, (count,))

    failures, costs = [], []
    for machine, used in zip(outcome.inputs.machines, typical.flows.oil_used, strict=True):
        for part in machine.wear:
            mean = of_block(used) * of_block(part.failures)
            if np.any(mean > 0.0):
                failures.append(mean)
                costs.append(of_block(part.cost))
    before = of_block(typical.savings["after_wear"] + typical.costs["wear"])
    return Repairs(before, tuple(failures), tuple(costs))


def _years(block: Repairs, repeats: int, rng: np.random.Generator) -> Floats:
    """Return what is left in each year, shape (n, repeats), failures drawn.

    The failures of a part in all repeats of a draw together are Poisson too, and each falls in
    any of the repeats alike: far fewer numbers are drawn than there are outcomes.
    """
    count = block.before.size
    starts = np.arange(0, count * repeats, repeats)
    places, bills = [np.zeros(0, dtype=np.int64)], [np.zeros(0)]
    left = np.repeat(block.before, repeats)
    for mean, cost in zip(block.failures, block.costs, strict=True):
        if float(mean.sum()) * repeats > _MOST_LISTED:
            left -= (rng.poisson(mean[:, None], (count, repeats)) * cost[:, None]).ravel()
            continue
        times = rng.poisson(mean * repeats)
        place = np.repeat(starts, times)
        place += rng.integers(repeats, size=place.size)
        places.append(place)
        bills.append(np.repeat(cost, times))
    left -= np.bincount(np.concatenate(places), weights=np.concatenate(bills), minlength=left.size)
    return left.reshape(count, repeats)


def _level(years: Floats) -> tuple[float, float]:
    """Return the level of all outcomes, and its standard error from batches of draws."""
    level = float(levels_of(years.ravel(), (LEVEL,))[0])
    if len(years) >= 8 * _BATCHES:
        size = len(years) // _BATCHES
        batches = years[: size * _BATCHES].reshape(_BATCHES, -1)
    else:
        # A few draws, each of which stands in every batch.
        size = years.shape[1] // _BATCHES
        apart = years[:, : size * _BATCHES].reshape(len(years), _BATCHES, size)
        batches = apart.transpose(1, 0, 2).reshape(_BATCHES, -1)
    each = levels_of(batches, (LEVEL,))[0]
    return level, float(each.std(ddof=1) / np.sqrt(_BATCHES))


def bad_year(blocks: Iterable[Repairs], draws: int, kit_cost: float, seed: int) -> BadYear:
    """Draw failures as they fall.

    Parameters
    ----------
    blocks : iterable of Repairs
        Of the draws looked at.
    draws : int
        In all of them.
    kit_cost : float
        All kit of the plan at its first purchase. [currency]
    seed : int
        Of NumPy's default generator, with the number of the block.

    Returns
    -------
    BadYear
    """
    repeats = -(-OUTCOMES // draws)
    large = LARGE * kit_cost
    parts, rates = [], 0.0
    for number, block in enumerate(blocks):
        parts.append(_years(block, repeats, np.random.default_rng((seed, number))))
        rates += float(
            sum(
                (
                    np.sum(mean[cost > large])
                    for mean, cost in zip(block.failures, block.costs, strict=True)
                ),
                0.0,
            )
        )
    level, error = _level(np.concatenate(parts))
    return BadYear(level, error, large, rates / draws)
