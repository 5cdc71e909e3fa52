"""Laws of money over time, on random series, and two other libraries row by row.

numpy-financial 1.0.0 refuses more than one series to `irr` and `npv`, takes the rate nearest zero
where there are several, and on some series of one rate above zero and one far below returns the
loss (its issue 44); pyxirr may return a rate below -100 %, which means nothing (its issue 46). So
they are asked for one series at a time, with one change of sign: then there is one rate.
"""

from fractions import Fraction

import numpy as np
import numpy_financial as npf
import pytest
import pyxirr
from builders import owning_cost
from hypothesis import assume, example, given
from hypothesis import strategies as st
from ledgers import measures_of, plain_ledger
from polynomials import flows_with, rate_that_counts

from econ.finance.exact_rates import only_exact_rate
from econ.finance.worth import (
    average_rate,
    first_reach,
    irr,
    mirr,
    present_value,
    recovery_factor,
    running_sum,
    stays_reached,
)
from econ.ground.units import Floats

amounts = st.integers(-5_000, 5_000).map(float)
positive = st.integers(1, 5_000).map(float)
series = st.lists(amounts, min_size=2, max_size=26).map(np.array)
rates = st.integers(0, 1_000).map(lambda k: k / 1_000.0)
growing = st.fractions(min_value=Fraction(1, 20), max_value=12, max_denominator=20)
special = st.sampled_from([Fraction(1, 100), Fraction(1), Fraction(11)])


@st.composite
def projects(draw: st.DrawFn) -> Floats:
    """Return an outlay of one to three years, then receipts, some of them nothing."""
    outlay = draw(st.lists(positive, min_size=1, max_size=3))
    receipts = draw(st.lists(st.integers(0, 5_000), min_size=1, max_size=22))
    assume(any(receipts))
    return np.array([-amount for amount in outlay] + [float(amount) for amount in receipts])


def size_at(flows: Floats, rate: float) -> float:
    """Return the worth of a series with every sign made positive: the scale of its rounding."""
    return float(present_value(np.abs(flows), rate))


def random_flows(years: int, rows: int, seed: int) -> Floats:
    rng = np.random.default_rng(seed)
    flows = rng.normal(size=(years + 1, rows))
    flows[:, rows // 2 :][rng.random((years + 1, rows - rows // 2)) < 0.3] = 0.0
    return flows


@given(series)
def test_worth_at_the_rate_of_return_is_nothing(flows: Floats) -> None:
    rate = float(irr(flows))
    assume(not np.isnan(rate))

    assert abs(float(present_value(flows, rate))) <= 1e-11 * size_at(flows, rate)
    assert -0.99 < rate <= 10.0 + 1e-12


@given(series, st.integers(-20, 20).filter(bool), st.integers(0, 3))
def test_money_units_and_waiting_change_no_rate_of_return(
    flows: Floats, factor: int, wait: int
) -> None:
    changed = np.concatenate([np.zeros(wait), flows * float(factor)])

    assert float(irr(changed)) == pytest.approx(
        float(irr(flows)), rel=1e-12, abs=1e-12, nan_ok=True
    )


@given(series)
def test_counting_with_bounds_and_in_whole_numbers_agree(flows: Floats) -> None:
    exact = only_exact_rate(flows.tolist())

    assert float(irr(flows)) == pytest.approx(exact, rel=1e-11, abs=1e-11, nan_ok=True)


@given(
    st.lists(growing | special, min_size=1, max_size=5),
    st.lists(st.integers(1, 9), max_size=1),
)
@example([Fraction(1), Fraction(11), Fraction(1, 100)], [])
@example([Fraction(6, 5)] * 4, [1])
def test_a_series_made_from_rates_gives_back_the_one_that_counts(
    growths: list[Fraction], without: list[int]
) -> None:
    chosen = [growth - 1 for growth in growths]

    result = float(irr(flows_with(chosen, without=without)))

    expected = rate_that_counts(chosen)
    # Rates that meet n-fold move by the n-th root of a last digit; the exact count finds them.
    assert result == pytest.approx(np.nan if expected is None else expected, abs=1e-9, nan_ok=True)


@given(projects())
def test_an_outlay_followed_by_receipts_has_one_rate_and_worth_falls_through_it(
    flows: Floats,
) -> None:
    rate = float(irr(flows))

    worths = present_value(flows, np.array([-0.99, 10.0]))
    if worths[0] <= 0.0 or worths[1] > 0.0:
        assert np.isnan(rate)
        return
    span = max(1e-6, 1e-6 * abs(rate))
    around = present_value(flows, np.array([rate - span, rate + span]))
    assert around[0] > 0.0 > around[1]


@given(positive, st.lists(st.integers(0, 5_000).map(float), min_size=1, max_size=20), rates, rates)
def test_worth_falls_as_the_rate_rises_when_money_goes_out_first(
    outlay: float, receipts: list[float], one: float, other: float
) -> None:
    assume(any(receipts) and one != other)
    flows = np.array([-outlay, *receipts])

    low, high = present_value(flows, np.array(sorted((one, other))))

    assert low > high


@given(positive, st.lists(positive, min_size=1, max_size=20), rates)
def test_discounting_never_shortens_a_payback(
    kit: float, savings: list[float], rate: float
) -> None:
    result = measures_of(plain_ledger(kit, savings, rate))

    simple, discounted = float(result["simple_payback"]), float(result["discounted_payback"])
    assert np.isnan(discounted) or simple <= discounted * (1.0 + 1e-12)
    if rate == 0.0:
        assert simple == pytest.approx(discounted, nan_ok=True)


@given(positive, st.lists(amounts, min_size=1, max_size=20), rates)
def test_worth_above_nothing_a_ratio_above_one_and_a_rate_above_the_rate_are_one_statement(
    kit: float, savings: list[float], rate: float
) -> None:
    ledger = plain_ledger(kit, savings, rate)
    result = measures_of(ledger)
    npv = float(result["npv"])
    assume(abs(npv) > 1e-9 * size_at(ledger.flows, rate))

    assert (float(result["sir"]) > 1.0) == (npv > 0.0)
    if not np.isnan(result["airr"]):
        assert (float(result["airr"]) > rate) == (npv > 0.0)
    if not np.isnan(result["mirr"]):
        assert (float(result["mirr"]) > rate) == (npv > 0.0)


@given(positive, st.lists(positive, min_size=1, max_size=20), rates, st.integers(1, 9))
def test_rates_and_paybacks_do_not_hang_on_the_unit_of_money(
    kit: float, savings: list[float], rate: float, factor: int
) -> None:
    one = measures_of(plain_ledger(kit, savings, rate))
    many = measures_of(plain_ledger(kit * factor, [s * factor for s in savings], rate))

    for key in ("irr", "mirr", "sir", "airr", "simple_payback", "discounted_payback"):
        assert float(many[key]) == pytest.approx(float(one[key]), rel=1e-10, abs=1e-12, nan_ok=True)
    for key in ("npv", "equivalent_annual"):
        scale = size_at(plain_ledger(kit, savings, rate).flows, rate)
        expected = factor * float(one[key])
        assert float(many[key]) == pytest.approx(expected, rel=1e-10, abs=1e-11 * factor * scale)


@given(st.integers(-90, 3_000).map(lambda k: k / 1_000.0), st.integers(1, 50))
def test_the_recovery_factor_repays_one_unit(rate: float, years: int) -> None:
    payments = np.array([0.0] + [float(recovery_factor(rate, float(years)))] * years)

    assert float(present_value(payments, rate)) == pytest.approx(1.0, rel=1e-12)


@given(positive, st.floats(0.0, 1.0), rates, st.integers(1, 40))
def test_the_yearly_cost_of_owning_is_worth_the_price_less_the_resale(
    cost: float, share: float, rate: float, years: int
) -> None:
    yearly = float(owning_cost(cost, cost * share, rate, years))
    flows = np.array([0.0] + [yearly] * years)
    flows[years] += cost * share

    assert float(present_value(flows, rate)) == pytest.approx(cost, rel=1e-11)


@given(st.lists(amounts, min_size=1, max_size=20), positive)
def test_a_payback_is_where_the_running_sum_meets_its_target(
    steps: list[float], target: float
) -> None:
    running = running_sum(np.array([0.0, *steps]))
    result = float(first_reach(running, target))

    if np.isnan(result):
        assert (running < target).all()
        assert np.isnan(stays_reached(running, target))
        return
    assert float(np.interp(result, np.arange(running.size), running)) == pytest.approx(target)
    year = int(np.ceil(result - 1e-9))
    assert (running[: max(0, year)] < target).all()
    stays = bool((running[year:] >= target).all())
    assert float(stays_reached(running, target)) == float(stays)


@given(st.integers(1, 5_000).map(lambda k: k / 1_000.0), rates, st.integers(1, 40))
def test_the_adjusted_rate_turns_one_unit_into_its_ratio_carried_to_the_end(
    ratio: float, rate: float, years: int
) -> None:
    result = float(average_rate(ratio, rate, years))

    assert (1.0 + result) ** years == pytest.approx(ratio * (1.0 + rate) ** years, rel=1e-11)


@pytest.mark.parametrize("years", [5, 8, 15, 25])
def test_rates_agree_with_the_roots_of_a_polynomial_solver(years: int) -> None:
    flows = random_flows(years, 1_500, years)

    result = irr(flows)

    unclear = 0
    for column, rate in zip(flows.T, result, strict=True):
        expected, clear = by_roots(column)
        unclear += not clear
        if clear:
            assert rate == pytest.approx(expected, rel=1e-9, abs=1e-9, nan_ok=True)
    assert unclear < 0.01 * flows.shape[1]


def by_roots(flows: Floats) -> tuple[float, bool]:
    """Return the rate that counts by a companion matrix, and whether its roots leave no doubt."""
    growths = np.roots(flows)
    real = np.abs(growths.imag) < 1e-9 * np.abs(growths)
    doubtful = ~real & (np.abs(growths.imag) < 1e-5 * np.abs(growths)) & (growths.real > 0)
    values = np.sort(growths.real[real])
    bounds = np.array([0.01, 1.0, 11.0])
    near = np.abs(values[:, None] - bounds).min(initial=1.0) < 1e-7
    close = (np.diff(values) < 1e-6 * np.abs(values[1:])).any()
    gains = values[(values >= 1.0) & (values <= 11.0)]
    losses = values[(values > 0.01) & (values < 1.0)]
    kept = gains if gains.size else losses
    rate = kept[0] - 1.0 if kept.size == 1 else np.nan
    return float(rate), not (doubtful.any() or near or close)


@pytest.mark.parametrize("years", [1, 2, 5, 8, 15])
def test_rates_agree_with_counting_in_whole_numbers(years: int) -> None:
    flows = random_flows(years, 200, 100 + years)

    exact = [only_exact_rate(column.tolist()) for column in flows.T]

    np.testing.assert_allclose(irr(flows), exact, rtol=1e-12, atol=1e-14)


def random_projects(rows: int) -> Floats:
    """Return an outlay in year 0 and receipts in eight years, one project a column."""
    rng = np.random.default_rng(9)
    flows = rng.uniform(0.0, 900.0, size=(9, rows))
    flows[0] = -rng.uniform(500.0, 6_000.0, size=rows)
    return flows


def test_our_batch_agrees_with_numpy_financial_row_by_row() -> None:
    flows = random_projects(300)
    discount = np.linspace(0.0, 0.4, flows.shape[1])

    worth, rate = present_value(flows, discount), irr(flows)
    modified = mirr(flows, discount, discount / 2.0)

    for k, column in enumerate(flows.T):
        assert worth[k] == pytest.approx(npf.npv(discount[k], column), rel=1e-10, abs=1e-9)
        assert rate[k] == pytest.approx(npf.irr(column), rel=1e-9, abs=1e-10)
        expected = npf.mirr(column, discount[k], discount[k] / 2.0)
        assert modified[k] == pytest.approx(expected, rel=1e-10, abs=1e-12)


def test_our_batch_agrees_with_pyxirr_row_by_row() -> None:
    flows = random_projects(300)
    discount = np.linspace(0.01, 0.4, flows.shape[1])

    worth, rate = present_value(flows, discount), irr(flows)
    modified = mirr(flows, discount, discount / 2.0)

    for k, column in enumerate(flows.T):
        assert worth[k] == pytest.approx(pyxirr.npv(discount[k], column), rel=1e-10, abs=1e-9)
        assert rate[k] == pytest.approx(pyxirr.irr(column), rel=1e-8, abs=1e-9)
        expected = pyxirr.mirr(column, discount[k], discount[k] / 2.0)
        assert modified[k] == pytest.approx(expected, rel=1e-10, abs=1e-12)


def test_our_recovery_factor_agrees_with_numpy_financials_payment() -> None:
    rate, years = np.meshgrid([0.0, 1e-6, 0.03, 0.2, 1.5], [1.0, 5.0, 40.0])

    np.testing.assert_allclose(recovery_factor(rate, years), -npf.pmt(rate, years, 1.0), rtol=1e-9)
