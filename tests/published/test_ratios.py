"""Savings-to-investment ratio and adjusted rate of return against printed figures.

A profitability index is the same ratio where all money goes out at the start.
"""

import decided
import numpy as np
import pytest
from ledgers import measures_of, plain_ledger
from printed import Printed, agree, printed

from econ.finance.worth import average_rate, mirr
from econ.ground.units import Floats

WEATHERIZATION = "Weatherization Assistance Program, simple savings-to-investment comparison"
FINANCING = "Energy Project Financing: Resources and Strategies for Success, appendix A"
LECTURE = "public lecture note, Benefit-Cost Ratios"
INDEX = "worked exercise on the profitability index, {}"
FEDERAL = "10 CFR 436.22"
IDENTITY = "identity of the definition in 10 CFR 436.22"

WINDOWS = (2_525.0,) * 3 + (3_840.0,) * 3


def ratio(kit: float, savings: tuple[float, ...], rate: float, recovered: float = 0.0) -> Floats:
    return decided.measures(kit, savings, rate, recovered)["sir"]


def adjusted(kit: float, savings: tuple[float, ...], rate: float) -> Floats:
    return decided.measures(kit, savings, rate)["airr"]


RATIOS = (
    Printed("attic", WEATHERIZATION, lambda: ratio(400, (100.0,) * 25, 0.0), 6.25, 1e-12),
    Printed(
        # 0.625, cut off after two digits in the source.
        "window",
        WEATHERIZATION,
        lambda: ratio(200, (5.0,) * 25, 0.0),
        0.62,
        6e-3,
    ),
    Printed(
        # Benefits of 1530.07 + 10,000 for 10,000, with four-figure factors.
        "thermal windows at 15 %",
        f"{FINANCING}, examples 13 and 16",
        lambda: ratio(10_000, WINDOWS, 0.15),
        1.153007,
        1e-4,
    ),
    Printed(
        "attic insulation at 10 %",
        f"{FINANCING}, example 35: 272.44 for 150",
        lambda: ratio(150, (32.0,) * 20, 0.10),
        272.44 / 150.0,
        1e-4,
    ),
    Printed(
        "more attic insulation at 10 %",
        f"{FINANCING}, example 36: 170.27 for 200",
        lambda: ratio(200, (20.0,) * 20, 0.10),
        170.27 / 200.0,
        1e-4,
    ),
    Printed(
        # In millions: benefits 37.5 less operating 3.75, for capital 13.5 less 2.25 avoided.
        "modified ratio",
        LECTURE,
        lambda: ratio(13.5, (37.5 - 3.75,), 0.0, recovered=2.25),
        3.0,
        1e-12,
    ),
    Printed(
        "two inflows at 12 %",
        INDEX.format("80 and 20 for 30"),
        lambda: ratio(30, (80.0, 20.0), 0.12),
        2.91,
        5e-3,
    ),
    Printed(
        "five inflows at 8 %",
        INDEX.format("265,278 for 250,000"),
        lambda: ratio(250_000, (50_000.0, 40_000.0, 120_000.0, 80_000.0, 45_000.0), 0.08),
        1.06,
        5e-3,
    ),
    Printed(
        "three inflows at 19 %",
        INDEX.format("1,663,278, three-year project"),
        lambda: ratio(1_663_278, (133_865.0, 212_771.0, 342_129.0), 0.19),
        0.28002,
        5e-5,
    ),
    Printed(
        # Three-figure factors in the source.
        "three inflows at 18 %",
        INDEX.format("1,897,929, three-year project"),
        lambda: ratio(1_897_929, (138_701.0, 231_353.0, 332_112.0), 0.18),
        0.25598,
        2e-4,
    ),
)

RATES = (
    Printed(
        "a ratio of 1 earns the rate", IDENTITY, lambda: average_rate(1.0, 0.03, 20), 0.03, 1e-15
    ),
    Printed(
        "2.5 over 20 years at 3 %",
        f"{FEDERAL}; value our own arithmetic",
        lambda: average_rate(2.5, 0.03, 20),
        0.0782866420262,
        1e-12,
    ),
    Printed(
        "10,000 for 1,800 over 10 years at 3 %",
        f"{FEDERAL}; value our own arithmetic",
        lambda: adjusted(10_000, (1_800.0,) * 10, 0.03),
        0.0751285904798,
        1e-12,
    ),
    Printed(
        "windows at 15 %",
        f"{FINANCING}, example 13's worth in the formula of {FEDERAL}",
        lambda: adjusted(10_000, WINDOWS, 0.15),
        1.15 * 1.153007 ** (1.0 / 6.0) - 1.0,
        2e-5,
    ),
)


@printed(*RATIOS)
def test_a_ratio_is_the_printed_one(row: Printed) -> None:
    agree(row)


@printed(*RATES)
def test_an_adjusted_rate_follows_its_definition(row: Printed) -> None:
    agree(row)


def test_the_adjusted_rate_is_the_root_of_end_worth_over_investment() -> None:
    # 10 CFR 436.22: yearly savings carried forward at the discount rate to the end of the study,
    # divided by the present value of the investment; the nth root of that, less 1.
    savings, rate = (700.0, 900.0, 400.0, 1_300.0), 0.07
    end = sum(amount * (1.0 + rate) ** (4 - y) for y, amount in enumerate(savings, start=1))

    result = adjusted(2_000, savings, rate)

    assert float(result) == pytest.approx((end / 2_000.0) ** 0.25 - 1.0, rel=1e-13)


def test_with_all_money_out_at_the_start_adjusted_and_modified_rates_are_one() -> None:
    # Identity; both standards carry receipts forward at the same rate.
    flows = np.array([-10_000.0] + [1_800.0] * 10)

    assert float(mirr(flows, 0.03, 0.03)) == pytest.approx(
        float(adjusted(10_000, (1_800.0,) * 10, 0.03)), rel=1e-12
    )


def test_with_one_outlay_and_one_receipt_at_the_end_the_rates_of_return_are_one() -> None:
    # ASTM E1057, introduction: then "there is no difference between the IRR and the AIRR".
    result = decided.measures(1_000, (0.0, 0.0, 0.0, 0.0, 1_610.51), 0.04)

    assert float(result["irr"]) == pytest.approx(0.10, abs=1e-9)
    assert float(result["airr"]) == pytest.approx(float(result["irr"]), rel=1e-12)


def test_an_alternative_that_costs_less_to_begin_with_has_no_ratio() -> None:
    # eng-tips.com, thread 417261: savings of 27 for an investment of -20 + 3 gave "-1.59", which
    # says nothing; a ratio needs something invested.
    result = measures_of(plain_ledger(-20, (27.0,), bought=(3.0,)))

    assert np.isnan(result["sir"])
    assert np.isnan(result["airr"])


def test_a_plan_that_saves_nothing_has_no_adjusted_rate() -> None:
    # A root of a negative ratio is no rate; common practice, no source.
    assert np.isnan(average_rate(-0.4, 0.05, 8))
    assert np.isnan(average_rate(0.0, 0.05, 8))


def test_the_level_yearly_worth_is_worth_over_the_sum_of_single_factors() -> None:
    # ASTM E917: the uniform present value factor is the sum of the single ones; 15 %, 6 years:
    # 0.8696, 0.7561, 0.6575, 0.5718, 0.4972, 0.4323 (Energy Project Financing, example 13).
    result = decided.measures(10_000, WINDOWS, 0.15)["equivalent_annual"]

    factors = 0.8696 + 0.7561 + 0.6575 + 0.5718 + 0.4972 + 0.4323
    assert float(result) == pytest.approx(1530.07 / factors, abs=0.3)


def test_what_replaced_kit_brings_is_taken_off_the_investment() -> None:
    # 10 CFR 436.21: investment is the present value of outlays "less salvage". Kit of 1,000 worn
    # out in two of four years, deducted over seven (IRS Publication 946, table A-1: 14.29 and
    # 24.49 %): 61.22 % of its price is book value on the day it is worth nothing, and a quarter
    # of that comes back as tax.
    kit = [{"name": "kit", "cost": 1_000.0, "life_years": 2}]
    terms = {"years": 4, "discount_rate": 0.0, "tax_rate": 0.25, "depreciation": "macrs 7"}
    outcome = decided.decide(decided.plan(0.0, 4, kit) | {"finance": terms})
    result = outcome.ledgers["time_free"]

    back = 0.25 * 1_000.0 * (1.0 - 0.1429 - 0.2449)
    saved = 4 * 750.0 + 0.25 * 1_000.0 * 2 * (0.1429 + 0.2449)
    assert result.ledger.resale[2] == pytest.approx(back)
    assert float(result.measures["sir"]) == pytest.approx(saved / (2_000.0 - 2 * back))
