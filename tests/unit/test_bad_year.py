"""A bad year: failures drawn as they fall, against plain Poisson draws and closed forms."""

import numpy as np
import pytest
from scipy import stats

from econ.questions.bad_year import OUTCOMES, Repairs, bad_year, rounded_to


def block(draws: int) -> Repairs:
    """An invented year: 1,000 before repairs, a cheap part often and a dear one seldom."""
    rng = np.random.default_rng(1)
    return Repairs(
        before=1000 + 50 * rng.standard_normal(draws),
        failures=(rng.uniform(0.2, 0.6, draws), rng.uniform(0.02, 0.08, draws)),
        costs=(rng.uniform(80, 160, draws), rng.uniform(1500, 4000, draws)),
    )


def test_the_level_is_that_of_plain_draws_of_every_part_in_every_year() -> None:
    draws = 2000
    year = block(draws)
    rng = np.random.default_rng(2)
    repeats = 1000
    plain = np.repeat(year.before, repeats)
    for mean, cost in zip(year.failures, year.costs, strict=True):
        plain = plain - rng.poisson(np.repeat(mean, repeats)) * np.repeat(cost, repeats)

    result = [bad_year([year], draws, 5000.0, seed) for seed in range(6)]

    exact = float(np.quantile(plain, 0.05))
    for one in result:
        assert one.level == pytest.approx(exact, abs=4 * one.error)
    # What moves from seed to seed is no more than what is said of it.
    assert np.std([one.level for one in result]) < 2 * np.mean([one.error for one in result])


def test_one_part_without_guesses_has_the_poisson_distributions_own_level() -> None:
    ones = np.ones(1)
    year = Repairs(1000 * ones, (2.0 * ones,), (100 * ones,))

    result = bad_year([year], 1, 5000.0, 0)

    assert result.level == 1000 - 100 * stats.poisson.ppf(0.95, 2.0)


def test_failures_without_number_are_drawn_too_and_have_a_normals_spread() -> None:
    # Poisson of a great mean is normal, mean and variance alike (any statistics text).
    mean = 1e5
    year = Repairs(np.zeros(4), (np.full(4, mean),), (np.ones(4),))

    result = bad_year([year], 4, 5000.0, 0)

    assert result.level == pytest.approx(-(mean + 1.6449 * np.sqrt(mean)), abs=5)


def test_large_bills_of_all_parts_are_counted_together_and_small_ones_not() -> None:
    draws = 500
    year = block(draws)

    result = bad_year([year], draws, 30_000.0, 0)

    expected = np.sum(np.where(year.costs[1] > 3000, year.failures[1], 0.0)) / draws
    assert result.large == 3000
    assert result.per_year == pytest.approx(expected)
    assert 0 < result.per_year < float(year.failures[1].mean())


def test_at_least_two_hundred_thousand_years_are_looked_at_in_a_steady_order() -> None:
    whole = bad_year([block(3)], 3, 5000.0, 7)

    assert whole == bad_year([block(3)], 3, 5000.0, 7)
    assert OUTCOMES == 200_000


@pytest.mark.parametrize(
    ("value", "error", "expected"),
    [
        (64.9, 12.0, 60.0),
        (64.9, 3.0, 65.0),
        (64.9, 0.9, 65.0),
        (-1234.0, 60.0, -1200.0),
        (64.9, 0.0, 64.9),
        (64.9, 1.0, 65.0),
        (64.9, float("nan"), 64.9),
        (0.123, 0.02, 0.12),
    ],
)
def test_a_figure_is_rounded_as_coarsely_as_its_error(
    value: float, error: float, expected: float
) -> None:
    assert rounded_to(value, error) == pytest.approx(expected)
