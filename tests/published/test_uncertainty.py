"""Draws and indices against the outside world: distributions, test functions, decisions."""

from collections.abc import Callable

import numpy as np
import pytest
from printed import outside
from scipy import special, stats
from scipy.stats import qmc

from econ.farm.schema import Uncertainty
from econ.ground.units import Floats
from econ.numbers.quantiles import (
    levels_of,
    normal_cumulative,
    normal_quantile,
    normal_table,
    pert_table,
    table_quantile,
)
from econ.numbers.sobol import sobol
from econ.questions.draws import BLOCK
from econ.questions.finding_out import perfect_information, worth_of_learning
from econ.questions.history import price_record
from econ.questions.price_path import PricePath
from econ.questions.sensitivity import first_order, fitted_order, path_variance, total_variance
from econ.questions.stopping import Yearly, carrying_on, last_years

outside("A worked payoff table", [("best act of three", 9.6), ("value of information", 2.8)])
outside(
    "Dixit and Pindyck, Investment under Uncertainty (1994), chapter 2",
    [("worth of starting now", 600.0), ("worth of waiting a year", 773.0)],
)
outside(
    "An analyst's course, option to abandon",
    [("left of a good project", 988.0), ("left of a bad project", 329.0)],
)


def pert(probability: Floats, low: float, likely: float, high: float) -> Floats:
    place = (likely - low) / (high - low)
    return low + (high - low) * table_quantile(probability, pert_table(place))


def even(count: int) -> Floats:
    """Return midpoints of even cells: a quadrature of the quantile function."""
    return (np.arange(count) + 0.5) / count


# --- modified PERT ---------------------------------------------------------------------------

# Beta(1.8, 4.2) on [2, 12], the modified PERT of 2, 4, 12 with shape 4: scipy 1.17.1 beta.ppf,
# recomputed by quadrature and bisection. Mean (a + 4m + b)/6 and variance (mu - a)(b - mu)/7
# of the distribution with alpha = 1 + 4(m - a)/(b - a): PERT distribution, formulas as printed
# at probsee.com; the classic ((b - a)/6)^2 = 2.7778 is another number.
QUANTILES = [
    (0.05, 2.589774),
    (0.10, 2.899021),
    (0.50, 4.766723),
    (0.90, 7.453341),
    (0.95, 8.212767),
]


@pytest.mark.parametrize(("probability", "expected"), QUANTILES)
def test_table_quantiles_are_those_of_its_beta_distribution(
    probability: float, expected: float
) -> None:
    assert float(pert(np.asarray(probability), 2, 4, 12)) == pytest.approx(expected, abs=2e-6)


@pytest.mark.parametrize(
    ("low", "likely", "high", "mean", "variance"), [(2, 4, 12, 5.0, 3.0), (0, 5, 10, 5.0, 25 / 7)]
)
def test_pert_moments_are_those_of_its_beta_distribution(
    low: float, likely: float, high: float, mean: float, variance: float
) -> None:
    drawn = pert(even(400_000), low, likely, high)

    assert drawn.mean() == pytest.approx(mean, abs=1e-5)
    assert drawn.var() == pytest.approx(variance, abs=1e-4)


@pytest.mark.parametrize("place", [0.0, 0.013, 0.25, 0.5, 0.77, 0.98, 1.0])
def test_the_table_is_within_three_in_a_hundred_million_of_scipy(place: float) -> None:
    rng = np.random.default_rng(1)
    tails = 2.0 ** -rng.uniform(1, 31, 4000)
    u = np.concatenate([rng.random(8000), tails, 1 - tails, [0.5, 2.0**-31, 1 - 2.0**-31]])

    exact = special.betaincinv(1 + 4 * place, 5 - 4 * place, u)

    assert np.abs(table_quantile(u, pert_table(place)) - exact).max() < 3e-8


def test_normal_quantile_and_cumulative_equal_scipys() -> None:
    u = np.concatenate([even(20_000), 2.0 ** -np.arange(2, 31.0)])

    np.testing.assert_allclose(normal_quantile(u), special.ndtri(u), rtol=1e-13, atol=1e-15)
    np.testing.assert_allclose(table_quantile(u, normal_table()), special.ndtri(u), atol=1e-6)
    z = np.linspace(-8.5, 8.5, 20_001)
    np.testing.assert_allclose(normal_cumulative(z), special.ndtr(z), atol=1e-12)


def test_levels_of_values_equal_numpys_quantiles() -> None:
    rng = np.random.default_rng(12)
    for n in (1, 2, 7, 1000):
        values = rng.standard_normal((3, n))
        levels = [0.0, 0.05, 0.5, 0.95, 1.0]
        np.testing.assert_allclose(
            levels_of(values, levels), np.quantile(values, levels, axis=-1), rtol=1e-14, atol=1e-15
        )


# --- Sobol points ------------------------------------------------------------------------------


@pytest.mark.parametrize("dimensions", [1, 2, 7, 96, 760, 2048])
def test_points_equal_scipys_scrambled_sobol_bit_for_bit(dimensions: int) -> None:
    ours = sobol(dimensions, 256, np.random.default_rng(7))
    theirs = qmc.Sobol(dimensions, scramble=True, rng=np.random.default_rng(7)).random(1024)

    blocks = np.concatenate([ours.points(block) for block in range(4)], axis=1)

    np.testing.assert_array_equal(blocks, theirs.T + 2.0**-31)


def ishigami(u: Floats, a: float = 7.0, b: float = 0.1) -> Floats:
    x = np.pi * (2 * u - 1)
    return np.sin(x[0]) + a * np.sin(x[1]) ** 2 + b * x[2] ** 4 * np.sin(x[0])


def g_function(u: Floats) -> Floats:
    a = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])[:, None]
    return np.prod((np.abs(4 * u - 2) + a) / (1 + a), axis=0)


def test_sobol_points_reach_the_ishigami_mean_far_sooner_than_plain_draws() -> None:
    # Mean a/2 = 3.5 and sd sqrt(13.8446) = 3.7208: openturns.github.io, use case Ishigami.
    # Plain Monte Carlo has a root-mean-square error of sd/sqrt(n); scrambled Sobol at 4,096
    # points was seen to have 3.4e-4 (40 seeds, scipy 1.17.1).
    errors = []
    for seed in range(20):
        points = sobol(3, 4096, np.random.default_rng(seed)).points(0)
        errors.append(ishigami(points).mean() - 3.5)

    rms = float(np.sqrt(np.mean(np.square(errors))))

    assert rms < 1e-3
    assert rms < 3.7208 / np.sqrt(4096) / 50


# --- indices ---

# First-order indices. Ishigami a = 7, b = 0.1: openturns.github.io, use case Ishigami; SALib
# documentation prints 0.3139, 0.4424, 0.0. Sobol's g function, a = (0, 1, 4.5, 9, 99 x 4):
# Vi = 1/(3(1 + ai)^2), V = prod(1 + Vi) - 1; 0.7162 and 0.179 from memory.
INDICES: list[tuple[str, Callable[[Floats], Floats], int, list[float]]] = [
    ("Ishigami", ishigami, 3, [0.3139, 0.4424, 0.0]),
    ("g function", g_function, 8, [0.7162, 0.1790, 0.0237, 0.0072]),
]


@pytest.mark.parametrize(("name", "model", "d", "expected"), INDICES, ids=[r[0] for r in INDICES])
def test_first_order_indices_from_given_draws(
    name: str, model: Callable[[Floats], Floats], d: int, expected: list[float]
) -> None:
    u = np.random.default_rng(3).random((d, 65_536))

    result = first_order(u, model(u))

    np.testing.assert_allclose(result[: len(expected)], expected, atol=0.01, err_msg=name)


def test_indices_fitted_together_are_those_of_a_sum_of_polynomials() -> None:
    # Y = 3 z1 + 2 (z2^2 - 1) + z3 + (z3^2 - 1)/2 + z1 z2: Hermite polynomials of independent normal
    # scores are orthogonal with mean squares 1 and 2, so V1 = 9, V2 = 8, V3 = 1.5 and the product
    # adds 1 to the total only (Sudret, Reliability Engineering and System Safety 93 (2008) 964).
    u = qmc.Sobol(12, rng=np.random.default_rng(8)).random(4096).T
    z = special.ndtri(u)
    y = 3 * z[0] + 2 * (z[1] ** 2 - 1) + z[2] + 0.5 * (z[2] ** 2 - 1) + z[0] * z[1]

    result = fitted_order(u, y)

    np.testing.assert_allclose(result[:3], np.array([9, 8, 1.5]) / 19.5, atol=0.01)
    assert np.abs(result[3:]).max() < 1e-3


def test_a_few_draws_are_fitted_by_lines_and_fewer_are_counted_in_bins() -> None:
    rng = np.random.default_rng(9)
    u = rng.random((10, 64))
    y = 2 * special.ndtri(u[0])

    np.testing.assert_allclose(fitted_order(u, y)[0], 4.0 / y.var(), rtol=1e-5)
    np.testing.assert_array_equal(fitted_order(u[:, :16], y[:16]), first_order(u[:, :16], y[:16]))


def test_the_paths_share_of_the_spread_is_that_of_drawn_paths() -> None:
    # The worth along a path is linear in the multipliers; variance by plain drawing.
    path = PricePath(0.25, 0.1, 5)
    fuel = np.array([0.0, 400.0, 380.0, 350.0, 330.0, 300.0])
    steps = special.ndtri(qmc.Sobol(5, rng=np.random.default_rng(0)).random(2**16).T)
    drawn = fuel @ path.multipliers(path.states(steps))

    assert path_variance(fuel, path) == pytest.approx(drawn.var(), rel=0.01)


def test_the_whole_spread_is_that_of_drawn_paths_over_drawn_plans() -> None:
    # Law of total variance: Var(A + sum m B) = Var(A + sum B) + E[B' Cov(m) B], m apart from A, B.
    rng = np.random.default_rng(4)
    path = PricePath(0.2, 0.0, 3)
    size = 200_000
    fuel = np.concatenate([np.zeros((1, size)), rng.uniform(200, 600, (3, size))])
    still = 3 * fuel[1] - 500 + 80 * rng.standard_normal(size)
    m = path.multipliers(path.states(rng.standard_normal((3, size))))
    worth = still + ((m - 1) * fuel).sum(axis=0)

    result = total_variance(still, fuel @ fuel.T / size, path)

    assert result == pytest.approx(worth.var(), rel=0.01)


# --- the copula ---


@pytest.mark.parametrize(("rho", "other"), [(0.9, 0.9), (0.9, -0.3), (0.5, -0.6)])
def test_rank_correlation_of_two_scores_has_its_closed_form(rho: float, other: float) -> None:
    # Two scores on one factor with loads a and b correlate by ab; the rank correlation of a
    # Gaussian copula is 6/pi arcsin(r/2) (Kruskal, J. Am. Stat. Assoc. 53 (1958) 814; from
    # memory).
    a, b = np.sqrt(rho), (np.sqrt(rho) if other > 0 else other / np.sqrt(rho))
    points = sobol(3, 2 * BLOCK, np.random.default_rng(2)).points(0)
    factor, first, second = normal_quantile(points)
    x = a * factor + np.sqrt(1 - a * a) * first
    y = b * factor + np.sqrt(1 - b * b) * second

    result = stats.spearmanr(normal_cumulative(x), normal_cumulative(y)).statistic

    assert result == pytest.approx(6 / np.pi * np.arcsin(a * b / 2), abs=0.01)


# --- what learning is worth ---


@pytest.mark.parametrize(("mean", "spread"), [(0.0, 100.0), (50.0, 100.0), (-80.0, 60.0)])
def test_perfect_information_on_a_normal_worth_is_the_unit_normal_loss(
    mean: float, spread: float
) -> None:
    # Two acts, linear worth, normal prior: expected value of perfect information =
    # sd x L(|mean|/sd), L(d) = phi(d) - d (1 - Phi(d)). Raiffa and Schlaifer, Applied
    # Statistical Decision Theory (1961), chapter 5; L(0) = 0.3989, L(0.5) = 0.1978.
    d = abs(mean) / spread
    loss = spread * (stats.norm.pdf(d) - d * stats.norm.sf(d))
    worth = mean + spread * special.ndtri(even(200_000))

    assert perfect_information(worth) == pytest.approx(loss, rel=1e-3)


def test_the_unit_normal_loss_is_as_tabled() -> None:
    # Raiffa and Schlaifer (1961), table of the unit normal linear loss integral; from memory.
    worth = special.ndtri(even(400_000))

    assert perfect_information(worth) == pytest.approx(0.3989, abs=1e-4)
    assert perfect_information(0.5 + worth) == pytest.approx(0.1978, abs=1e-4)


def test_learning_one_of_two_normal_guesses_is_worth_its_own_share() -> None:
    # Worth = 10 + 80 z1 + 60 z2: learning z1 leaves a normal prior mean of sd 80.
    rng = np.random.default_rng(6)
    u = rng.random((2, 65_536))
    z = special.ndtri(u)
    worth = 10 + 80 * z[0] + 60 * z[1]
    expected = 80 * (stats.norm.pdf(10 / 80) - 10 / 80 * stats.norm.sf(10 / 80))

    result, error = worth_of_learning(u[0], worth)

    assert result == pytest.approx(expected, abs=max(4 * error, 0.02 * expected))
    assert 0 < error < 0.05 * expected


def test_nothing_is_learned_of_the_factor_that_a_guess_shares_with_others() -> None:
    # Worth = 10 + 80 x + 60 w with x = (g + e)/sqrt 2 and w on g too. Learning x tells of w; by
    # itself it leaves a normal mean of sd 80, the factor's own part set aside.
    rng = np.random.default_rng(6)
    u = rng.random((3, 65_536))
    g, e, d = special.ndtri(u)
    x, w = (g + e) / np.sqrt(2), (g + d) / np.sqrt(2)
    worth = 10 + 80 * x + 60 * w
    alone = 80 * (stats.norm.pdf(10 / 80) - 10 / 80 * stats.norm.sf(10 / 80))
    with_others = 110 * (stats.norm.pdf(10 / 110) - 10 / 110 * stats.norm.sf(10 / 110))

    beside, _ = worth_of_learning(special.ndtr(x), worth, u[0])
    plain, _ = worth_of_learning(special.ndtr(x), worth)

    assert beside == pytest.approx(alone, rel=0.02)
    assert plain == pytest.approx(with_others, rel=0.02)


def test_the_cubic_is_that_of_least_squares_on_the_powers() -> None:
    rng = np.random.default_rng(10)
    u = rng.random(4001)
    z = normal_quantile(u)
    worth = np.stack([50 * np.sin(z) + 20 * rng.standard_normal(4001), 5 - 30 * z])
    expected = []
    for row in worth:
        powers = np.vander(z, 4)
        fitted = powers @ np.linalg.lstsq(powers, row, rcond=None)[0]
        expected.append(np.maximum(fitted, 0).mean() - max(0.0, fitted.mean()))

    result, _ = worth_of_learning(u, worth)

    np.testing.assert_allclose(result, expected, atol=1e-4)


def test_an_umbrella_decision_has_its_textbook_value_of_information() -> None:
    # Start pays 100 with chance 0.4 and loses 50 with chance 0.6: expected 10 by starting, 40
    # with a perfect forecast, so information is worth 30. Two acts, two states, as in any
    # decision analysis text (Raiffa, Decision Analysis, 1968; from memory).
    worth = np.where(even(1000) < 0.4, 100.0, -50.0)

    assert perfect_information(worth) == pytest.approx(30.0)


def test_a_payoff_table_of_three_acts_has_its_printed_value_of_information() -> None:
    # Payoffs d1 (10, 8, 6), d2 (14, 15, 2), d3 (7, 8, 9), chances 0.2, 0.4, 0.4: the best act is
    # worth 9.6, a perfect forecast 12.4, so information 2.8 (a worked solution,
    # solvely.ai 318896182).
    payoffs = np.array([[10.0, 8.0, 6.0], [14.0, 15.0, 2.0], [7.0, 8.0, 9.0]])
    drawn = payoffs[:, [0, 1, 1, 2, 2]]

    assert drawn.mean(axis=1).max() == pytest.approx(9.6)
    assert perfect_information(drawn) == pytest.approx(2.8)


def test_waiting_a_year_for_the_price_has_its_textbook_worth() -> None:
    # A plant of 1,600, a price of 200 today and 300 or 100 for ever from next year, 10 %: 600 to
    # start now, 773 to wait and see (Dixit and Pindyck, Investment under Uncertainty, 1994, ch. 2).
    now = -1600 + 200 + 200 / 0.1
    worth_next_year = np.array([300.0, 100.0]) * (1 + 1 / 0.1) - 1600

    informed = perfect_information(worth_next_year) + worth_next_year.mean()

    assert now == pytest.approx(600)
    assert informed / 1.1 == pytest.approx(773, abs=0.5)


# --- fuel prices from year to year, and stopping ---


def test_the_usual_swing_is_that_of_thirty_years_of_diesel_prices() -> None:
    changes = np.diff(np.log([row.price for row in price_record()]))

    assert Uncertainty().fuel_price_swing == pytest.approx(changes.std(ddof=1), abs=0.01)


@pytest.mark.parametrize(("swing", "pull"), [(0.2, 0.0), (0.3, 0.25), (0.1, 1.0)])
def test_a_price_path_has_the_closed_forms_of_a_first_order_autoregression(
    swing: float, pull: float
) -> None:
    # x_y = phi x_{y-1} + s e_y: Var(x_y) = s^2 (1 - phi^(2y))/(1 - phi^2), Cov(x_y, x_z) =
    # phi^(z - y) Var(x_y); exp of a normal has mean exp(mu + v/2) and covariance
    # exp(Cov) - 1 when scaled to mean one (any text on time series; on the lognormal).
    phi = 1 - pull
    path = PricePath(swing, pull, 6)
    steps = special.ndtri(qmc.Sobol(6, rng=np.random.default_rng(0)).random(2**17).T)
    drawn = path.multipliers(path.states(steps))
    years = np.arange(7)
    closed = swing**2 * (years if pull == 0 else (1 - phi ** (2 * years)) / (1 - phi**2))

    np.testing.assert_allclose([path.variance(y) for y in years], closed, rtol=1e-12)
    np.testing.assert_allclose(drawn.mean(axis=1), 1.0, atol=1e-4)
    np.testing.assert_allclose(np.cov(drawn), path.covariance(), atol=2e-3)
    assert path.covariance()[2, 5] == pytest.approx(np.expm1(phi**3 * closed[2]))


@pytest.mark.parametrize("pull", [0.0, 0.3])
def test_the_price_expected_from_a_year_is_the_mean_of_paths_that_go_on_from_it(
    pull: float,
) -> None:
    path = PricePath(0.25, pull, 5)
    rng = np.random.default_rng(1)
    steps = rng.standard_normal((5, 400_000))
    steps[:2] = [[0.8], [-0.1]]
    states = path.states(steps)

    seen = path.expected(states[1:3, :1], 5)

    assert path.multipliers(states)[5].mean() == pytest.approx(float(seen[1, 0]), rel=3e-3)


def test_a_project_is_given_up_where_its_textbook_gives_it_up() -> None:
    # Three years at 14 %: 400 expected, from year 1 on 600 or 200; sold for 650 after a year. What
    # is left is worth 988 or 329, so only the bad case stops (abandonment example of an analyst's
    # course, analystforum.com thread 71058).
    path = PricePath(0.2, 0.0, 3)
    known = np.array([1.5, 0.5])
    # A path that stands at 1.5 or 0.5 of what was expected, as seen at the end of year 1.
    lift = np.array([[0.5 * path.variance(y)] for y in range(4)])
    states = np.where(lift > 0.0, np.log(known) + lift, 0.0)
    nothing = np.zeros((4, 1))
    money = Yearly(
        fuel=np.array([[0.0], [400.0], [400.0], [400.0]]),
        other=nothing,
        swapped=nothing,
        stopped=np.array([[0.0], [650.0], [0.0], [0.0]]),
        kit_cost=np.zeros(2),
        rate=np.asarray(0.14),
    )

    np.testing.assert_allclose(carrying_on(money, path, states)[0], [988, 329], atol=0.7)
    np.testing.assert_array_equal(last_years(money, path, states), [3, 1])
