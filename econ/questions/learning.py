"""What is known now: each guess weighed by its records, for expected values, draws and swings.

Every run starts from the first guess and the whole log; nothing learnt is written back.

Examples
--------
>>> round(years_to_tell(0.1, 0.5), 1)
59.9
"""

import math

from msgspec import Struct

from econ.farm.known import Known, known_from, pinned_at
from econ.farm.prepare import Path
from econ.numbers.posterior import (
    Posterior,
    Prior,
    Ratios,
    count_likelihood,
    ratio_likelihood,
    weigh,
)
from econ.numbers.surprise import count_chance, ratio_chance
from econ.questions.observed import Count, Seen

# A record rarer than this under the guess does not fit it.
_RARE = 0.01
# Fewer ratios than this say nothing of the guess.
_LEAST_RATIOS = 3


class Learned(Struct, frozen=True):
    """One number with its guess, its record and what both say together."""

    seen: Seen
    posterior: Posterior | None
    """None for a certain number, which is not moved."""
    fits: bool
    """False where a record as far off had a chance below 1 in 100 under the guess."""

    @property
    def guess(self) -> tuple[float, float, float]:
        """The guess's mean, low and high."""
        prior = self.seen.prior
        return (self.seen.guess,) * 3 if prior is None else (prior.mean, prior.low, prior.high)

    @property
    def record(self) -> tuple[float, float, float | None]:
        """How many, over how much, and their mean; None where nothing was burned."""
        record = self.seen.record
        if isinstance(record, Count):
            rate = record.count / record.exposure if record.exposure > 0.0 else None
            return record.count, record.exposure, rate
        return float(record.count), self.seen.over, record.mean

    @property
    def now(self) -> tuple[float, float, float]:
        """The mean and the 1-in-20 levels with the records in."""
        if self.posterior is None:
            return (self.guess[0],) * 3
        result = self.posterior
        return result.mean, result.quantile(0.05), result.quantile(0.95)


def _centre(record: Count | Ratios, prior: Prior) -> tuple[float, float]:
    """Return where a record's likelihood peaks and how wide about."""
    if isinstance(record, Ratios):
        return record.mean, record.spread(prior) / math.sqrt(record.count)
    if record.exposure <= 0.0:
        return prior.high, prior.high - prior.low
    return record.count / record.exposure, math.sqrt(max(record.count, 1.0)) / record.exposure


def _fits(record: Count | Ratios, prior: Prior) -> bool:
    if isinstance(record, Ratios):
        return record.count < _LEAST_RATIOS or ratio_chance(prior, record) >= _RARE
    return record.exposure <= 0.0 or count_chance(prior, record.count, record.exposure) >= _RARE


def learn(seen: Seen) -> Learned:
    """Weigh one guess by its record.

    Parameters
    ----------
    seen : Seen
        The guess and the record.

    Returns
    -------
    Learned
    """
    prior, record = seen.prior, seen.record
    if prior is None:
        return Learned(seen, None, fits=True)
    if isinstance(record, Ratios):
        likelihood = ratio_likelihood(record, prior)
    else:
        likelihood = count_likelihood(record.count, record.exposure)
    return Learned(seen, weigh(prior, likelihood, [_centre(record, prior)]), _fits(record, prior))


def known(learned: tuple[Learned, ...]) -> dict[Path, Known]:
    """Return what each field's guess has become, for `with_known`.

    Parameters
    ----------
    learned : tuple of Learned
        From `learn`.

    Returns
    -------
    dict of path to Known
        In the file's units; certain numbers are not in it.
    """
    result: dict[Path, Known] = {}
    for one in learned:
        if one.posterior is None:
            continue
        result[one.seen.path] = known_from(one.posterior, one.seen.scale)
        if one.seen.pinned is not None:
            path, value = one.seen.pinned
            result[path] = pinned_at(value, result[one.seen.path])
    return result


def years_to_tell(prior_mean: float, thousands_a_year: float) -> float | None:
    """Return the years without a failure after which a part may be called better than guessed.

    Parameters
    ----------
    prior_mean : float
        The guess's mean. [failures per thousand volumes]
    thousands_a_year : float
        Oil burned in the machine. [thousand volumes/yr]

    Returns
    -------
    float or None
        ``ln 20 / (mean x thousands a year)``: none at all would then be a chance of 1 in 20.
        None where nothing is burned. [yr]
    """
    rate = prior_mean * thousands_a_year
    return math.log(20.0) / rate if rate > 0.0 else None
