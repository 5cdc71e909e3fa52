"""Special cases of the money functions: zero rates, bounds of the rates, shapes, nothing there."""

from fractions import Fraction

import numpy as np
import pytest
from builders import owning_cost
from polynomials import flows_with, rate_that_counts

import econ.finance.rates
from econ.finance.exact_rates import only_exact_rate
from econ.finance.worth import (
    average_rate,
    depreciation_shares,
    first_reach,
    irr,
    mirr,
    present_value,
    real_rate,
    recovery_factor,
    running_sum,
    stays_reached,
)

LEAST = Fraction(-99, 100)


def fractions(*rates: str) -> list[Fraction]:
    return [Fraction(rate) for rate in rates]


def test_recovery_without_interest_is_an_equal_share_a_year() -> None:
    np.testing.assert_array_equal(recovery_factor(0.0, np.array([1.0, 4.0, 20.0])), [1, 0.25, 0.05])


def test_recovery_keeps_its_digits_at_tiny_rates() -> None:
    # 1/n + r (n + 1) / (2 n) + r^2 (n^2 - 1) / (12 n), the start of its series.
    rate, years = 1e-9, 20.0

    expected = 1 / years + rate * (years + 1) / (2 * years)
    assert float(recovery_factor(rate, years)) == pytest.approx(expected, rel=1e-15)


def test_recovery_goes_on_smoothly_through_zero() -> None:
    low, level, high = recovery_factor(np.array([-1e-7, 0.0, 1e-7]), 8.0)

    assert low < level < high
    assert high - level == pytest.approx(level - low, rel=1e-6)


def test_recovery_broadcasts_rates_over_lives() -> None:
    assert recovery_factor(np.zeros((3, 1)), np.arange(1.0, 5.0)).shape == (3, 4)


def test_a_thing_that_keeps_its_price_costs_only_interest() -> None:
    assert float(owning_cost(800.0, 800.0, 0.06, 10)) == pytest.approx(48.0)
    assert float(owning_cost(800.0, 800.0, 0.0, 10)) == 0.0


def test_equal_interest_and_inflation_leave_no_real_rate() -> None:
    np.testing.assert_allclose(real_rate(np.array([0.04, 0.0]), np.array([0.04, 0.25])), [0, -0.2])


def test_worth_takes_a_rate_for_each_draw() -> None:
    flows = np.array([[-100.0, -50.0], [60.0, 30.0], [60.0, 30.0]])

    result = present_value(flows, np.array([0.0, 1.0]))

    np.testing.assert_allclose(result, [20.0, -27.5])


def test_worth_of_one_series_takes_many_rates() -> None:
    result = present_value(np.array([-100.0, 110.0]), np.array([0.0, 0.1, 0.25]))

    np.testing.assert_allclose(result, [10.0, 0.0, -12.0], atol=1e-12)


@pytest.mark.parametrize(
    "rates",
    [
        pytest.param(fractions("0"), id="zero counts as a gain"),
        pytest.param(fractions("10"), id="1,000 % counts"),
        pytest.param(fractions("11"), id="above 1,000 % does not"),
        pytest.param([LEAST], id="-99 % does not count"),
        pytest.param(fractions("-49/50"), id="-98 % does"),
        pytest.param(fractions("1/4", "4"), id="two gains"),
        pytest.param(fractions("0", "4"), id="two gains, one of them zero"),
        pytest.param(fractions("0", "10"), id="both bounds"),
        pytest.param(fractions("1/5", "-1/2"), id="a gain beside a loss"),
        pytest.param(fractions("0", "-1/2"), id="zero beside a loss"),
        pytest.param(fractions("-1/4", "-1/2"), id="two losses"),
        pytest.param([LEAST, Fraction(-1, 2)], id="a loss beside -99 %"),
        pytest.param(fractions("12", "-1/2"), id="a loss beside a rate beyond bounds"),
        pytest.param(fractions("-2", "1/10"), id="a gain beside a rate below -100 %"),
        pytest.param(fractions("1/5", "1/5"), id="a gain touched, not crossed"),
        pytest.param(fractions("1/5", "1/5", "1/5"), id="a gain crossed flatly"),
        pytest.param(fractions("0", "0"), id="zero touched"),
        pytest.param(fractions("10", "10"), id="1,000 % touched"),
        pytest.param(fractions("-1/4", "-1/4"), id="a loss touched"),
        pytest.param(fractions("1/5", "1/5", "1/2"), id="one touched, one crossed"),
        pytest.param(fractions("1/5", "1/5", "-1/2", "-1/2"), id="a gain and a loss touched"),
        pytest.param(fractions("1/10", "3/10", "1/2", "7/10"), id="four gains"),
    ],
)
def test_the_rate_that_counts_is_the_only_one_in_its_range(rates: list[Fraction]) -> None:
    expected = rate_that_counts(rates)

    result = float(irr(flows_with(rates)))

    assert result == pytest.approx(np.nan if expected is None else expected, abs=1e-12, nan_ok=True)


@pytest.mark.parametrize("gap", [1e-3, 1e-5, 1e-7, 2e-8])
def test_two_rates_close_together_are_two(gap: float) -> None:
    # (v - a)^2 - g^2 in floating point, which parts the roots by 2 g at the least it can.
    a = 0.75
    flows = np.array([a * a - gap * gap, -2.0 * a, 1.0])

    assert np.isnan(irr(flows))
    assert np.isnan(irr(np.append(flows, 0.0)))


@pytest.mark.parametrize("gap", [1e-3, 1e-5, 1e-7, 2e-8])
def test_a_series_that_all_but_touches_zero_has_no_rate(gap: float) -> None:
    a = 0.75
    flows = np.array([a * a + gap * gap, -2.0 * a, 1.0])

    assert np.isnan(irr(flows))


def test_years_without_money_before_or_after_change_no_rate() -> None:
    flows = np.array([-100.0, 30.0, 40.0, 50.0])

    early = irr(np.concatenate([flows, np.zeros(12)]))
    late = irr(np.concatenate([np.zeros(12), flows]))

    expected = float(irr(flows))
    assert float(early) == pytest.approx(expected, rel=1e-13)
    assert float(late) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize("flows", [[0.0, 0.0, 0.0], [-5.0], [0.0], [3.0, 0.0, 4.0], [-3.0, -4.0]])
def test_no_rate_where_nothing_comes_back_or_nothing_goes_out(flows: list[float]) -> None:
    assert np.isnan(irr(np.array(flows)))


@pytest.mark.parametrize("shape", [(), (1,), (7,), (2, 3)])
def test_rates_have_the_shape_of_the_draws(shape: tuple[int, ...]) -> None:
    flows = np.ones((4, *shape))
    flows[0] = -2.0

    result = irr(flows)

    assert result.shape == shape
    np.testing.assert_allclose(present_value(flows, result), 0.0, atol=1e-12)


def test_a_draw_alone_has_the_rate_it_has_in_a_batch() -> None:
    rng = np.random.default_rng(20)
    flows = rng.normal(size=(9, 400))
    flows[rng.random(flows.shape) < 0.2] = 0.0

    batch = irr(flows)

    alone = [float(irr(flows[:, draw])) for draw in range(flows.shape[1])]
    np.testing.assert_allclose(batch, alone, rtol=1e-13, atol=1e-15)


def test_ordinary_draws_need_no_whole_numbers(monkeypatch: pytest.MonkeyPatch) -> None:
    # Counting in whole numbers goes row by row; a million draws must hardly ever come to it.
    asked: list[list[float]] = []
    monkeypatch.setattr(
        econ.finance.rates,
        "only_exact_rate",
        lambda flows: asked.append(flows) or only_exact_rate(flows),
    )
    rng = np.random.default_rng(21)

    irr(rng.normal(size=(9, 100_000)))

    assert len(asked) < 5


def test_a_rate_where_the_worth_only_touches_zero_is_found_in_whole_numbers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # 64 - 160 x + 100 x^2 = (8 - 10 x)^2 with x = 1/(1 + rate): one rate, 25 %, with no change of
    # sign for floating point to see. A bound of the search (0 %) is the other such case.
    asked: list[list[float]] = []
    monkeypatch.setattr(
        econ.finance.rates,
        "only_exact_rate",
        lambda flows: asked.append(flows) or only_exact_rate(flows),
    )
    touching, on_the_bound = [64.0, -160.0, 100.0], [-90.0, 30.0, 60.0]

    rates = irr(np.array([touching, on_the_bound]).T)

    np.testing.assert_allclose(rates, [0.25, 0.0], atol=1e-12)
    assert touching in [list(flows) for flows in asked]


def test_inputs_stay_as_they_were() -> None:
    flows = np.array([[-100.0, 4.0], [90.0, -9.0], [30.0, 2.0]])
    before = flows.copy()

    irr(flows)
    mirr(flows, 0.05, 0.05)
    running_sum(flows)

    np.testing.assert_array_equal(flows, before)


def test_the_modified_rate_of_one_outlay_and_one_receipt_is_their_growth() -> None:
    flows = np.array([[-100.0, -100.0, -100.0], [0.0, 0.0, -50.0], [121.0, 0.0, 0.0]])

    result = mirr(flows, 0.3, 0.7)

    np.testing.assert_allclose(result, [0.1, np.nan, np.nan], rtol=1e-13)


def test_a_ratio_of_one_or_of_nothing_over_the_years() -> None:
    result = average_rate(np.array([1.0, 0.0, -2.0, np.nan]), 0.05, 4)

    np.testing.assert_allclose(result, [0.05, np.nan, np.nan, np.nan], rtol=1e-13)


@pytest.mark.parametrize(
    ("running", "target", "expected"),
    [
        pytest.param([0, 50, 100], 75, 1.5, id="within a year"),
        pytest.param([0, 50, 100], 50, 1.0, id="at a year's end"),
        pytest.param([0, 50, 100], 0, 0.0, id="at once"),
        pytest.param([0, 50, 100], 101, np.nan, id="never"),
        pytest.param([0, 80, 20, 90], 40, 0.5, id="the first of two crossings"),
        pytest.param([0, -40, 40], 20, 1.75, id="after a loss"),
        pytest.param([0, 0, 0, 10], 5, 2.5, id="after years of nothing"),
    ],
)
def test_a_running_sum_reaches_its_target_on_a_straight_line(
    running: list[float], target: float, expected: float
) -> None:
    result = float(first_reach(np.array(running, dtype=float), float(target)))

    assert result == pytest.approx(expected, nan_ok=True)


def test_reaching_is_told_for_each_draw() -> None:
    running = np.array([[0.0, 0.0], [10.0, 30.0], [20.0, 10.0]])

    np.testing.assert_allclose(first_reach(running, np.array([15.0, 15.0])), [1.5, 0.5])
    np.testing.assert_allclose(first_reach(running[:, 0], np.array([5.0, 99.0])), [0.5, np.nan])


def test_staying_reached_is_yes_no_or_not_a_question() -> None:
    running = np.array([[0.0, 0.0, 0.0], [50.0, 50.0, 10.0], [60.0, 30.0, 20.0]])

    np.testing.assert_array_equal(stays_reached(running, 40.0), [1.0, 0.0, np.nan])


def test_an_unknown_depreciation_is_refused() -> None:
    with pytest.raises(KeyError, match="macrs 6"):
        depreciation_shares("macrs 6", 5)
