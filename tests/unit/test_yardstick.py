"""One yardstick: identities between the typical year, the ledgers, a loan and stopping."""

import builders
import numpy as np
import pytest
from builders import number

from econ.finance.loans import interest_by_year, level_payment
from econ.finance.worth import present_value
from econ.ground.records import replace
from econ.model.costs import COST_LINES
from econ.model.evaluate import evaluate
from econ.model.inputs import AdditiveInputs, Inputs, LabourInputs, LoanInputs, YearlyInputs
from econ.model.kit import exit_cost
from econ.model.ledger import FLOW_LINES
from econ.model.loan import loan_of
from econ.model.measures import stop_below
from econ.model.outcome import Ledger, Outcome


def farm(**changes: object) -> Inputs:
    """Return a farm with everything in it: kit owned and bought, exits, hired hands, thinner."""
    tractor = builders.machine(
        thinner=0, thinner_share=0.3, resale_loss=150.0, road_share=builders.number(0.2)
    )
    kit = (
        builders.kit(900.0, 4, resale_share=0.4, exit_cost=80.0),
        replace(builders.kit(500.0, 3, resale_share=0.2, new_cost=700.0), owned=True),
        builders.kit(250.0, 20),
    )
    built = builders.inputs(
        machines=(tractor,),
        thinners=(builders.thinner("kerosene", price=1.3, refund=0.2, road_tax_paid=True),),
        oils=(builders.oil(volume_per_month=builders.number(90.0)),),
        road_tax=number(0.15),
        fuel_duty=number(0.05),
        fuel_duty_back=number(0.4),
        additives=(AdditiveInputs("Lubricity", number(20.0), number(0.001), ("Kerosene",)),),
        yearly=(YearlyInputs("Insurance", number(60.0), number(4.0)),),
        labour=LabourInputs(number(18.0), number(6.0), number(0.25), wage_taxed=True),
        kit=kit,
        finance=builders.finance(
            years=9,
            discount_rate=0.07,
            inflation=0.03,
            fuel_inflation=0.03,
            exit_cost=300.0,
            kit_contingency=0.15,
        ),
    )
    return builders._with(built, changes)


def with_finance(inputs: Inputs, **changes: object) -> Inputs:
    return replace(inputs, finance=builders._with(inputs.finance, changes))


def worth(outcome: Outcome, ledger: str) -> float:
    return float(outcome.ledgers[ledger].measures["npv"])


@pytest.mark.parametrize("years", [1, 2, 5, 9, 20])
def test_without_tax_and_with_one_growth_the_typical_year_is_the_worth_a_year(years: int) -> None:
    outcome = evaluate(with_finance(farm(), years=years))

    assert float(outcome.first_year.costs["kit"]) == float(outcome.typical.costs["kit"])
    for timing in outcome.tax_and_timing.values():
        assert float(timing) == pytest.approx(0.0, abs=1e-9)


def test_tax_and_prices_that_grow_apart_show_in_tax_and_timing() -> None:
    for changes in ({"tax_rate": 0.3}, {"fuel_inflation": 0.05}):
        outcome = evaluate(with_finance(farm(), **changes))

        assert abs(float(outcome.tax_and_timing["time_paid"])) > 1.0


@pytest.mark.parametrize("taxed", [True, False])
@pytest.mark.parametrize("depreciation", ["none", "macrs 5"])
def test_a_wage_of_the_pay_per_hour_makes_the_paid_ledger_worth_nothing(
    taxed: bool, depreciation: str
) -> None:
    inputs = with_finance(farm(), tax_rate=0.25, fuel_inflation=0.04, depreciation=depreciation)
    inputs = replace(
        inputs,
        process=builders.process(first_year_share=0.6),
        labour=replace(inputs.labour, wage_taxed=taxed, hired_share=number(0.0)),
    )
    pay = evaluate(inputs).pay_per_hour
    at_pay = evaluate(replace(inputs, labour=replace(inputs.labour, wage=pay)))

    assert worth(at_pay, "time_paid") == pytest.approx(0.0, abs=1e-8)


def test_hired_pay_is_held_when_the_pay_of_an_hour_is_sought() -> None:
    inputs = farm()
    outcome = evaluate(inputs)
    free, hours = worth(outcome, "time_free"), float(outcome.typical.fuel["own_hours"])
    finance = inputs.finance
    units = sum(
        (1.0 + float(finance.inflation)) ** y / (1.0 + float(finance.discount_rate)) ** y
        for y in range(1, finance.years + 1)
    )

    assert float(outcome.pay_per_hour) == pytest.approx(free / (hours * units))


def test_without_own_hours_there_is_no_pay() -> None:
    inputs = farm()
    hired = replace(inputs, labour=replace(inputs.labour, hired_share=number(1.0)))

    assert np.isnan(evaluate(hired).pay_per_hour)


@pytest.mark.parametrize("ledger", ["time_free", "time_paid"])
def test_at_the_break_even_price_of_all_fuel_like_things_the_worth_is_nothing(ledger: str) -> None:
    inputs = with_finance(farm(), tax_rate=0.2, fuel_inflation=0.04)
    result = evaluate(inputs).ledgers[ledger]
    factor = float(result.measures["break_even_fuel_price"] / result.ledger.mean_price)
    moved = replace(
        inputs,
        prices={key: price * factor for key, price in inputs.prices.items()},
        thinners=tuple(replace(t, price=t.price * factor) for t in inputs.thinners),
    )

    assert worth(evaluate(moved), ledger) == pytest.approx(0.0, abs=1e-8)


def carried_on(ledger: Ledger, year: int, until: int, factor: float) -> float:
    """Return what carrying on from one year to another gains over stopping, by plain sums."""
    rate = float(ledger.rate)
    stopped = [float(a - b) for a, b in zip(ledger.recovered, ledger.exit_if_stopped, strict=True)]
    gained = float(ledger.resale[year] - ledger.bought[year]) - stopped[year]
    for y in range(year + 1, until + 1):
        saved = float(ledger.other[y]) + factor * float(ledger.fuel_like[y] * ledger.path[y])
        end = stopped[y] if y == until else float(ledger.resale[y] - ledger.bought[y])
        gained += (saved + end) / (1.0 + rate) ** (y - year)
    return gained


@pytest.mark.parametrize("ledger", ["time_free", "time_paid"])
def test_at_the_stopping_price_the_best_later_year_to_stop_is_worth_what_stopping_is(
    ledger: str,
) -> None:
    result = evaluate(with_finance(farm(), tax_rate=0.2, depreciation="macrs 5")).ledgers[ledger]
    years = result.ledger.years
    factors = stop_below(result.ledger) / result.ledger.mean_price

    assert len(factors) == years - 1
    for year, factor in enumerate(factors, start=1):
        later = range(year + 1, years + 1)
        best = max(carried_on(result.ledger, year, until, float(factor)) for until in later)
        least = max(carried_on(result.ledger, year, until, 0.0) for until in later)
        assert best == pytest.approx(0.0, abs=1e-8) if factor > 0.0 else least >= 0.0


def test_once_the_kit_is_paid_for_a_plan_runs_on_at_prices_at_which_none_would_start() -> None:
    bought = farm(kit=(builders.kit(4_000.0, 9),))
    result = evaluate(bought).ledgers["time_free"]

    assert np.all(stop_below(result.ledger) < result.measures["break_even_fuel_price"])


def test_where_kit_falls_due_the_stopping_price_rises() -> None:
    result = evaluate(farm(kit=(builders.kit(4_000.0, 3),))).ledgers["time_free"]
    prices = stop_below(result.ledger)

    assert prices[1] < prices[2] > prices[3]


def test_a_plan_of_one_year_has_no_price_to_stop_at() -> None:
    result = evaluate(with_finance(farm(), years=1)).ledgers["time_free"]

    assert stop_below(result.ledger).shape == (0,)


def test_a_path_of_ones_changes_nothing_and_another_moves_fuel_and_thinner_alone() -> None:
    inputs = with_finance(farm(), tax_rate=0.2)
    plain, path = evaluate(inputs), [number(1.0 + 0.1 * y) for y in range(inputs.finance.years)]

    ones = evaluate(inputs, path=[number(1.0)] * inputs.finance.years)
    moved = evaluate(inputs, path=path)

    for key in ("time_free", "time_paid"):
        was, same, now = (o.ledgers[key].ledger for o in (plain, ones, moved))
        np.testing.assert_array_equal(was.flows, same.flows)
        for y, factor in enumerate(path, start=1):
            gained = float(now.savings[y] - was.savings[y])
            assert gained == pytest.approx(float(was.fuel_like[y]) * (float(factor) - 1.0))
    assert plain.typical.costs == moved.typical.costs


def test_a_path_has_an_entry_for_each_year() -> None:
    with pytest.raises(ValueError, match="a path of 9 years is wanted"):
        evaluate(farm(), path=[number(1.0)])


@pytest.mark.parametrize("ledger", ["time_free", "time_paid"])
def test_the_flow_lines_of_a_ledger_add_up_to_its_flows(ledger: str) -> None:
    inputs = with_finance(farm(), tax_rate=0.2, depreciation="straight line")
    result = evaluate(inputs).ledgers[ledger].ledger

    assert set(result.lines) == {line.key for line in FLOW_LINES if line.part != "loan"} | {"tax"}
    added = np.sum([np.stack(series) for series in result.lines.values()], axis=0)
    np.testing.assert_allclose(added, result.flows, rtol=0.0, atol=1e-9)


def test_pieces_of_a_ledger_make_its_savings_and_flows() -> None:
    ledger = evaluate(with_finance(farm(), tax_rate=0.2)).ledgers["time_paid"].ledger

    path = np.stack(ledger.path)
    np.testing.assert_allclose(ledger.fuel_like * path + ledger.other, ledger.savings, atol=1e-9)
    inside = slice(1, ledger.years)
    flows = ledger.savings - ledger.bought + ledger.resale
    np.testing.assert_allclose(flows[inside], ledger.flows[inside], atol=1e-9)
    last = ledger.savings[-1] + ledger.recovered[-1] - ledger.exit_if_stopped[-1]
    assert float(ledger.flows[-1]) == pytest.approx(float(last))


# --- kit


def test_contingency_is_for_kit_that_is_still_to_be_bought() -> None:
    outcome = evaluate(farm())

    assert float(outcome.kit_to_buy) == pytest.approx((900.0 + 250.0) * 1.15)
    assert float(outcome.kit_cost) == pytest.approx((900.0 + 250.0) * 1.15 + 500.0)


def test_resale_falls_to_nothing_over_a_life_and_owned_kit_starts_at_its_price() -> None:
    inputs = with_finance(farm(), inflation=0.0, fuel_inflation=0.0)
    recovered = evaluate(inputs).ledgers["time_free"].ledger.recovered

    # Year 1: three quarters of 0.4 x 900, two thirds of the owned 500; year 3: the owned one
    # has nothing left; year 4: neither has the other; a year on, the second ones have aged one.
    assert float(recovered[1]) == pytest.approx(0.75 * 360.0 + 500.0 * 2.0 / 3.0)
    assert float(recovered[3]) == pytest.approx(0.25 * 360.0)
    assert float(recovered[4]) == pytest.approx(140.0 * 2.0 / 3.0)
    assert float(recovered[5]) == pytest.approx(0.75 * 360.0 + 140.0 / 3.0)


def test_what_ends_the_plan_counts_kit_and_machines_that_may_burn() -> None:
    inputs = farm()
    idle = replace(inputs, machines=(replace(inputs.machines[0], may_burn=False),))

    assert float(exit_cost(inputs)) == 300.0 + 80.0 + 150.0
    assert float(exit_cost(idle)) == 300.0 + 80.0


# --- cost lines that a machine bears


def test_duty_and_refund_are_what_they_say() -> None:
    inputs = farm()
    outcome = evaluate(inputs)
    blend, thinner = (float(outcome.typical.fuel[key]) for key in ("blend", "thinner"))

    # Thinner with a refund has its tax and duty paid; two tenths of the fuel go on the road.
    taxed = blend - thinner
    assert float(outcome.typical.costs["fuel_duty"]) == pytest.approx(
        taxed * 0.05 * (1.0 - 0.8 * 0.4)
    )
    assert float(outcome.typical.costs["road_tax"]) == pytest.approx(taxed * 0.2 * 0.15)
    assert float(outcome.typical.costs["refund"]) == pytest.approx(-thinner * 0.8 * 0.2)


def test_an_additive_goes_into_what_it_serves_alone() -> None:
    def bill(*serves: str) -> float:
        additive = AdditiveInputs("Lubricity", number(20.0), number(0.001), serves)
        return float(evaluate(farm(additives=(additive,))).typical.costs["additives"])

    everywhere = bill()
    assert everywhere > 0.0
    assert bill("Kerosene") == bill("Tractor") == everywhere
    assert bill("Gasoline") == 0.0


def test_what_machines_save_is_the_fuel_less_all_that_they_bear() -> None:
    outcome = evaluate(farm())
    borne = [line.key for line in COST_LINES if line.borne is not None]

    saved = sum(float(machine.saving) for machine in outcome.typical.machines)
    bought = float(outcome.typical.savings["fuel_not_bought"])
    assert saved == pytest.approx(bought - sum(float(outcome.typical.costs[k]) for k in borne))


def test_the_first_year_brings_only_its_share_of_the_oil() -> None:
    outcome = evaluate(farm(process=builders.process(first_year_share=0.5)))

    first, later = (year.fuel["oil_collected"] for year in (outcome.first_year, outcome.typical))
    assert float(first) == pytest.approx(0.5 * float(later))


def test_the_typical_year_knows_nothing_of_a_thin_first_year() -> None:
    # More oil than is burned at first, with room for half a year of it: stores that fill up
    # again after a thin first year are not stores that fill slowly.
    oil = builders.oil(volume_per_month=number(250.0))
    whole, thin = (
        evaluate(farm(oils=(oil,), process=builders.process(first_year_share=share)))
        for share in (1.0, 0.3)
    )

    assert float(thin.first_year.fuel["oil_used"]) < float(whole.first_year.fuel["oil_used"])
    for key, volume in whole.typical.fuel.items():
        assert float(thin.typical.fuel[key]) == float(volume), key


# --- the loan


def test_a_level_payment_is_the_librarys_printed_example() -> None:
    # numpy-financial, pmt, Examples: 200,000 at 7.5 % over 15 years of months.
    payment = level_payment(200_000.0, 0.075, 12, 15)

    assert float(payment) == pytest.approx(1854.0247200054619, rel=1e-14)


def test_the_interest_of_a_loan_is_the_librarys_printed_table() -> None:
    # numpy-financial, ipmt, Examples: 2,500 at 8.24 % over one year of months; interest 112.98.
    (interest,) = interest_by_year(2_500.0, 0.0824, 12, 1)

    assert float(interest) == pytest.approx(112.98, abs=0.005)


def test_a_loan_without_interest_is_its_amount_in_equal_parts() -> None:
    assert float(level_payment(1_200.0, 0.0, 12, 2)) == pytest.approx(50.0)
    assert [float(part) for part in interest_by_year(1_200.0, 0.0, 12, 2)] == [0.0, 0.0]


def borrowed(rate: float, tax: float, each: int = 1) -> Outcome:
    loan = LoanInputs(number(1_500.0), number(rate), 5, each)
    return evaluate(with_finance(farm(loan=loan), tax_rate=tax))


@pytest.mark.parametrize("tax", [0.0, 0.3])
def test_a_loan_at_the_discount_rate_before_tax_is_worth_nothing(tax: float) -> None:
    loan = loan_of(borrowed(0.07 / (1.0 - tax), tax))

    assert loan is not None
    assert float(loan.npv_change) == pytest.approx(0.0, abs=1e-9)


def test_a_loan_changes_no_ledger_and_its_payments_are_the_amount_and_its_interest() -> None:
    outcome, plain = borrowed(0.09, 0.3, each=12), evaluate(with_finance(farm(), tax_rate=0.3))
    loan = loan_of(outcome)
    assert loan is not None

    assert worth(outcome, "time_free") == worth(plain, "time_free")
    paid = float(loan.payment_per_year) * 5
    assert paid == pytest.approx(1_500.0 + sum(float(part) for part in loan.interest))
    flows = outcome.ledgers["time_free"].ledger.flows
    left = loan.left_after_payment["time_free"]
    for y in range(1, 10):
        payment = float(loan.payment_per_year) if y <= 5 else 0.0
        kept = float(flows[y]) - payment + 0.3 * float(loan.interest[y])
        assert float(left[y]) == pytest.approx(kept)
    change = present_value(np.stack(left), 0.07) - present_value(flows, 0.07)
    assert float(loan.npv_change) == pytest.approx(1_500.0 + float(change))
    assert float(loan.cover) == pytest.approx(
        float(outcome.ledgers["time_free"].ledger.savings[2]) / float(loan.payment_per_year)
    )


def test_a_farm_without_a_loan_has_none() -> None:
    assert loan_of(evaluate(farm())) is None
