"""Simulated farms whose guesses are right: how often learning holds the truth, and alarms.

`python tests/simulated_records.py 10000` draws ten thousand truths for each spread of batches
and for counts, and prints a row for each; the test suite draws a few hundred.
"""

import sys
from dataclasses import dataclass

import numpy as np

from econ.numbers.posterior import (
    Posterior,
    Prior,
    Ratios,
    count_likelihood,
    pert,
    ratio_likelihood,
    ratios_of,
    weigh,
)
from econ.numbers.surprise import count_chance, ratio_chance

SPREADS = (0.25, 1.0, 2.0, 5.0)
"""Of batches, in standard deviations of the guess."""
GUESSES = (pert(0.04, 0.08, 0.14), pert(0.0, 1.0, 8.0), pert(3.0, 4.5, 7.5))
# Extra failures per thousand volumes, and thousands of volumes burned.
RATES = (pert(0.625, 2.5, 7.5), pert(0.0125, 0.0625, 0.188))
EXPOSURES = (0.3, 2.0, 8.0)
ALARM = 0.01


@dataclass(frozen=True, slots=True)
class Tally:
    """Of so many truths, how many the 90 % interval held and how many raised an alarm."""

    truths: int
    held: int
    alarms: int


def _truth(prior: Prior, rng: np.random.Generator) -> float:
    return prior.low + (prior.high - prior.low) * float(rng.beta(prior.alpha, prior.beta))


def learned_ratio(prior: Prior, ratios: Ratios) -> Posterior:
    """Weigh a guess by ratios."""
    reach = ratios.spread(prior) / ratios.count**0.5
    return weigh(prior, ratio_likelihood(ratios, prior), [(ratios.mean, reach)])


def ratios(spread: float, truths: int, seed: int) -> Tally:
    """Simulate batches of a ratio, from 1 to 30 of them."""
    rng = np.random.default_rng(seed)
    held = alarms = 0
    for k in range(truths):
        prior = GUESSES[k % len(GUESSES)]
        truth, n = _truth(prior, rng), int(rng.integers(1, 31))
        batches = truth + spread * prior.variance**0.5 * rng.standard_normal(n)
        seen = ratios_of(batches, np.ones(n))
        result = learned_ratio(prior, seen)
        held += result.quantile(0.05) <= truth <= result.quantile(0.95)
        alarms += n >= 3 and ratio_chance(prior, seen) < ALARM
    return Tally(truths, held, alarms)


def counts(truths: int, seed: int) -> Tally:
    """Simulate counts of failures."""
    rng = np.random.default_rng(seed)
    held = alarms = 0
    for k in range(truths):
        prior, exposure = RATES[k % len(RATES)], EXPOSURES[k % len(EXPOSURES)]
        truth = _truth(prior, rng)
        count = int(rng.poisson(truth * exposure))
        reach = max(count, 1) ** 0.5 / exposure
        result = weigh(prior, count_likelihood(count, exposure), [(count / exposure, reach)])
        held += result.quantile(0.05) <= truth <= result.quantile(0.95)
        alarms += count_chance(prior, count, exposure) < ALARM
    return Tally(truths, held, alarms)


if __name__ == "__main__":
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    rows = [(f"batches spread {spread:g}", ratios(spread, number, 1)) for spread in SPREADS]
    for name, tally in [*rows, ("counts", counts(number, 2))]:
        print(
            f"{name}: held {tally.held / tally.truths:.2%}, alarms "
            f"{tally.alarms / tally.truths:.2%} of {tally.truths:,}",
            flush=True,
        )
