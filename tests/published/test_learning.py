"""Learning from records, against worked examples in print and a high-precision reference."""

import math
from collections.abc import Callable
from typing import Any

import mpmath
import numpy as np
import pytest
from scipy import stats
from simulated_records import SPREADS, counts, learned_ratio, ratios

from econ.ground.units import Floats
from econ.numbers.posterior import (
    Posterior,
    Prior,
    Ratios,
    beta_with,
    count_likelihood,
    pert,
    ratio_likelihood,
    ratios_of,
    weigh,
)
from econ.numbers.quantiles import pert_table, table_quantile
from econ.numbers.surprise import count_chance, ratio_chance, student_within


def _with_prior(log_prior: Callable[[Floats], Floats], high: float, likelihood: Any) -> Posterior:
    """Weigh a prior of any form: an even beta on a wide range, times it."""
    wide = Prior(0.0, high, 1.0, 1.0)
    return weigh(wide, lambda x: log_prior(x) + likelihood(x), [(3.5, 0.5), (5.78, 0.1)])


def test_gamma_and_poisson_give_the_book_s_gamma() -> None:
    # Bayes Rules! (bayes_rules), 5.2: Gamma(10, 2) and 11 calls in 4 days give Gamma(21, 6),
    # mean 3.5, mode 3.333, variance 0.583.
    result = _with_prior(lambda x: 9.0 * np.log(x) - 2.0 * x, 60.0, count_likelihood(11.0, 4.0))

    assert result.mean == pytest.approx(3.5, rel=1e-9)
    for p in (0.05, 0.5, 0.95):
        exact = stats.gamma(21.0, scale=1.0 / 6.0).ppf(p)
        assert result.quantile(p) == pytest.approx(exact, rel=1e-9)


def test_normal_and_normal_give_the_book_s_normal() -> None:
    # Bayes Rules! (bayes_rules), 5.3: Normal(6.5, 0.4^2), n 25, mean 5.735, sigma 0.5 give
    # Normal(5.78, 0.009^...): mean 5.78, standard deviation 0.097.
    def likelihood(x: Floats) -> Floats:
        return -0.5 * 25.0 * ((x - 5.735) / 0.5) ** 2

    result = _with_prior(lambda x: -0.5 * ((x - 6.5) / 0.4) ** 2, 20.0, likelihood)

    assert result.mean == pytest.approx(5.78, abs=0.005)
    spread = (result.quantile(stats.norm.cdf(1.0)) - result.quantile(stats.norm.cdf(-1.0))) / 2.0
    assert spread == pytest.approx(0.097, abs=0.0005)


def _reference(prior: Prior, log: Callable[[Any], Any], places: list[float]) -> tuple[Any, Any]:
    """Integrate with 20 digits; give the mean and the distribution function."""
    mpmath.mp.dps = 20
    low, width = mpmath.mpf(prior.low), mpmath.mpf(prior.high) - mpmath.mpf(prior.low)
    a, b = mpmath.mpf(prior.alpha), mpmath.mpf(prior.beta)

    def density(t: Any) -> Any:
        if t <= 0 or t >= 1:
            return mpmath.mpf(0)
        value = (a - 1) * mpmath.log(t) + (b - 1) * mpmath.log(1 - t) + log(low + width * t)
        return mpmath.exp(value - peak)

    peak = mpmath.mpf(0)
    cuts = sorted({mpmath.mpf(0), mpmath.mpf(1), *(mpmath.mpf(p) for p in places)})
    peak = max(
        (a - 1) * mpmath.log(t) + (b - 1) * mpmath.log(1 - t) + log(low + width * t)
        for t in (mpmath.mpf(k) / 97 for k in range(1, 97))
    )
    whole = mpmath.quad(density, cuts)
    mean = low + width * mpmath.quad(lambda t: t * density(t), cuts) / whole

    def below(value: float) -> Any:
        end = (mpmath.mpf(value) - low) / width
        inner = [c for c in cuts if c < end] + [end]
        return mpmath.quad(density, inner) / whole

    return mean, below


def _check(result: Posterior, log: Callable[[Any], Any], places: list[float]) -> None:
    """Hold mean and quantiles to 1e-6 of the range."""
    prior = result.prior
    mean, below = _reference(prior, log, places)
    width = prior.high - prior.low
    assert result.mean == pytest.approx(float(mean), abs=1e-6 * width)
    for p in (0.05, 0.95):
        value = result.quantile(p)
        assert math.isfinite(value)
        step = 1e-6 * width
        assert float(below(max(value - step, prior.low))) <= p <= float(below(value + step))


COUNTS = [
    # (low, likely, high), count, exposure: low = 0, low = likely, likely = high, a thousand.
    ((0.0, 0.025, 0.0875), 1.0, 4.0),
    ((0.0, 0.0, 0.5), 0.0, 30.0),
    ((0.1, 0.1, 0.5), 2.5, 10.0),
    ((0.1, 0.5, 0.5), 0.5, 1.0),
    ((0.5, 2.0, 9.0), 1000.0, 250.0),
    ((0.5, 2.0, 9.0), 1000.0, 20.0),
    ((0.0, 2.0, 9.0), 1000.0, 1e6),
]


@pytest.mark.parametrize(("points", "count", "exposure"), COUNTS)
def test_counts_agree_with_twenty_digits(
    points: tuple[float, float, float], count: float, exposure: float
) -> None:
    prior = pert(*points)
    rate = count / exposure
    result = weigh(
        prior, count_likelihood(count, exposure), [(rate, max(count, 1.0) ** 0.5 / exposure)]
    )

    def log(x: Any) -> Any:
        return (count * mpmath.log(x) if count else 0) - x * exposure

    near = [
        (rate + k * max(count, 1.0) ** 0.5 / exposure - prior.low) / (prior.high - prior.low)
        for k in range(-9, 10, 3)
    ]
    ends = [1.0 - 2.0**-k for k in (1, 4, 8)] + [2.0**-k for k in (4, 8)]
    _check(result, log, [p for p in near + ends if 0.0 < p < 1.0])


BATCHES = [
    # guess, ratios: all equal, a single one, outside the guess, many that hardly differ.
    ((0.04, 0.08, 0.14), [0.07, 0.07, 0.07]),
    ((0.04, 0.08, 0.14), [0.11]),
    ((0.04, 0.08, 0.14), [0.31, 0.29, 0.33, 0.30]),
    ((0.04, 0.04, 0.14), [0.05, 0.06]),
    ((0.04, 0.14, 0.14), [0.05, 0.06]),
    ((0.0, 0.08, 0.14), [0.1 + 1e-6 * k for k in range(400)]),
    ((0.0, 0.08, 0.14), [-0.02, 0.0, 0.01]),
]


@pytest.mark.parametrize(("points", "batches"), BATCHES)
def test_ratios_agree_with_twenty_digits(
    points: tuple[float, float, float], batches: list[float]
) -> None:
    prior = pert(*points)
    seen = ratios_of(batches, [1.0] * len(batches))
    result = learned_ratio(prior, seen)
    n = len(batches)
    # The formula written out once more.
    mean = math.fsum(batches) / n
    variance = math.fsum((y - mean) ** 2 for y in batches) / (n - 1) if n > 1 else 0.0
    square = ((n - 1) * variance + 4.0 * prior.variance) / n

    def log(x: Any) -> Any:
        return -mpmath.mpf(n + 1) / 2 * mpmath.log(1 + (mean - x) ** 2 / mpmath.mpf(square))

    width = prior.high - prior.low
    near = [(mean + k * (square / n) ** 0.5 - prior.low) / width for k in range(-9, 10, 3)]
    _check(result, log, [p for p in [*near, 0.5] if 0.0 < p < 1.0])


def test_without_any_weight_a_guess_stays_what_it_was() -> None:
    for points in ((0.0, 0.3, 1.0), (0.0, 0.0, 1.0), (2.0, 5.0, 5.0)):
        prior = pert(*points)
        result = weigh(prior, np.zeros_like, [])

        assert result.mean == pytest.approx(prior.mean, rel=1e-12)
        u = np.linspace(1e-6, 1.0 - 1e-6, 999)
        exact = stats.beta(prior.alpha, prior.beta).ppf(u)
        np.testing.assert_allclose(table_quantile(u, result.table()), exact, atol=5e-8)
        place = (points[1] - points[0]) / (points[2] - points[0])
        np.testing.assert_allclose(
            table_quantile(u, result.table()), table_quantile(u, pert_table(place)), atol=1e-7
        )


def test_a_table_gives_the_quantiles_and_never_falls() -> None:
    prior = pert(0.04, 0.08, 0.14)
    for batches in ([0.13, 0.13, 0.13, 0.13], [0.31] * 40, [0.05]):
        result = learned_ratio(prior, ratios_of(batches, [1.0] * len(batches)))
        table = result.table()
        u = np.sort(np.random.default_rng(0).random(4000))
        values = table_quantile(u, table)
        assert np.all(np.diff(values) >= -1e-15)
        for p in (0.001, 0.05, 0.3, 0.7, 0.95, 0.999):
            exact = (result.quantile(p) - prior.low) / (prior.high - prior.low)
            assert table_quantile(np.array([p]), table)[0] == pytest.approx(exact, abs=1e-6)


def test_a_beta_of_given_mean_and_variance_has_them() -> None:
    prior = beta_with(55.0, 90.0, 10.0, 120.0)

    assert prior.mean == pytest.approx(55.0, rel=1e-12)
    assert prior.variance == pytest.approx(90.0, rel=1e-12)
    # A PERT's own mean and variance give that PERT.
    same = pert(10.0, 40.0, 120.0)
    again = beta_with(same.mean, same.variance, 10.0, 120.0)
    assert (again.alpha, again.beta) == pytest.approx((same.alpha, same.beta), rel=1e-12)


def test_student_s_t_is_scipy_s() -> None:
    t = np.linspace(0.0, 9.0, 50)
    for degrees in (1, 2, 3, 4, 5, 30, 501):
        exact = 1.0 - 2.0 * stats.t(degrees).sf(t)
        np.testing.assert_allclose(student_within(t, degrees), exact, atol=1e-13)


def test_the_chance_of_a_record_is_what_simulated_records_show() -> None:
    rng = np.random.default_rng(3)
    prior = pert(0.5, 2.0, 9.0)
    rates = prior.low + (prior.high - prior.low) * rng.beta(prior.alpha, prior.beta, 200_000)
    seen = rng.poisson(rates * 1.5)
    for count in (0, 4, 10, 14):
        simulated = np.mean(np.abs(seen - prior.mean * 1.5) >= abs(count - prior.mean * 1.5) - 1e-9)
        # Standard error of a share of 200,000 is at most 0.0011.
        assert count_chance(prior, count, 1.5) == pytest.approx(float(simulated), abs=0.005)
    ratio = Ratios(6.5, 4, 1.0)
    scale = ratio.spread(prior) / 2.0
    means = rates + scale * stats.t(4).rvs(200_000, random_state=rng)
    simulated = np.mean(np.abs(means - prior.mean) >= abs(6.5 - prior.mean))
    assert ratio_chance(prior, ratio) == pytest.approx(float(simulated), abs=0.005)


def test_a_low_count_of_a_rare_part_never_raises_an_alarm() -> None:
    # Rare: under the guess, none at all is to be expected in at least 1 farm of 100.
    rng = np.random.default_rng(4)
    for _ in range(50):
        low, likely, high = np.sort(rng.random(3)) * 0.2
        prior = pert(float(low), float(likely), float(high))
        exposure = float(rng.uniform(0.1, 20.0))
        assert count_chance(prior, 0.0, exposure) >= math.exp(-prior.mean * exposure) * 0.99


@pytest.mark.parametrize("spread", SPREADS)
def test_intervals_hold_the_truth_of_sound_guesses(spread: float) -> None:
    # `python tests/simulated_records.py 10000`: never below 87 of 100, alarms below 2 of 100.
    tally = ratios(spread, 100, seed=1)

    # Three standard errors of a share of 100 below 0.87.
    assert tally.held >= (0.87 - 3.0 * (0.87 * 0.13 / 100) ** 0.5) * tally.truths
    assert tally.alarms <= (0.02 + 3.0 * (0.02 * 0.98 / 100) ** 0.5) * tally.truths


def test_intervals_of_counts_hold_the_truth_in_nine_of_ten() -> None:
    tally = counts(150, seed=2)
    error = 3.0 * (0.9 * 0.1 / 150) ** 0.5

    assert (0.89 - error) * 150 <= tally.held <= (0.91 + error) * 150
    assert tally.alarms <= (0.02 + 3.0 * (0.02 * 0.98 / 150) ** 0.5) * 150


def test_likelihoods_are_those_stated() -> None:
    prior = pert(0.04, 0.08, 0.14)
    seen = ratios_of([3.0, 5.0, 10.0], [50.0, 60.0, 120.0])

    # Ratio of sums, 18/230; sample variance of 0.06, 0.08333, 0.08333.
    assert seen.mean == pytest.approx(18.0 / 230.0, rel=1e-14)
    assert seen.variance == pytest.approx(1.8148148148e-4, rel=1e-9)
    square = (2.0 * seen.variance + 4.0 * prior.variance) / 3.0
    value = ratio_likelihood(seen, prior)(np.array([0.1]))[0]
    assert value == pytest.approx(-2.0 * math.log(1.0 + (seen.mean - 0.1) ** 2 / square))
    assert count_likelihood(2.5, 4.0)(np.array([0.5]))[0] == pytest.approx(
        2.5 * math.log(0.5) - 2.0
    )
