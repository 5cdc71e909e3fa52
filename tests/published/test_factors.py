"""Discount factors against printed interest tables, all end of year.

Names as in 10 CFR 436.17 and ASTM E917: the single and uniform present value factors, the uniform
capital recovery, sinking fund and compound amount factors.
"""

import numpy as np
import pytest
from printed import Printed, agree, printed

from econ.finance.worth import present_value, real_rate, recovery_factor
from econ.ground.units import Floats
from econ.model.ledger import grown

TABLES = "standard compound interest tables of engineering economy texts, from memory"
ENGINEERING = "Compound Interest Factor Tables, table 1 (0.25 %), of an engineering economy text"
SUPPLEMENT = "NIST, annual supplement to Handbook 135, tables A-1 and A-2, from memory"
MASTERS = "G. Masters, Renewable and Efficient Electric Power Systems, table 5.4"
FEDERAL = "US General Services Administration, LCC formulas, table 1-1; value our own arithmetic"


def single(rate: float, years: int) -> Floats:
    """Worth today of one unit at the end of a year."""
    return present_value(np.array([0.0] * years + [1.0]), rate)


def uniform(rate: float, years: int) -> Floats:
    """Worth today of one unit a year."""
    return present_value(np.array([0.0] + [1.0] * years), rate)


def sinking_fund(rate: float, years: int) -> Floats:
    """Yearly payment that adds up to one unit: the capital recovery factor less the rate."""
    return recovery_factor(rate, years) - rate


def gradient(rate: float, years: int) -> Floats:
    """Worth today of 0, 1, 2 and so on at the ends of years 1, 2, 3."""
    return present_value(np.array([0.0, *range(years)]), rate)


def rising(rate: float, growth: float, years: int) -> Floats:
    """Worth today of one unit a year that grows from today, the first at the end of year 1."""
    amounts = np.array(grown(np.asarray(growth), years))
    amounts[0] = 0.0
    return present_value(amounts, rate)


ROWS = (
    Printed("single 3 %, 10 years", TABLES, lambda: single(0.03, 10), 0.7441, 5e-5),
    Printed("single 3 %, 12 years", SUPPLEMENT, lambda: single(0.03, 12), 0.701, 5e-4),
    Printed("single 3 %, 20 years", SUPPLEMENT, lambda: single(0.03, 20), 0.554, 5e-4),
    Printed("single 4 %, 2 years", TABLES, lambda: single(0.04, 2), 0.9246, 5e-5),
    Printed("single 0.25 %, 25 years", ENGINEERING, lambda: single(0.0025, 25), 0.9395, 5e-5),
    Printed("uniform 3 %, 20 years", SUPPLEMENT, lambda: uniform(0.03, 20), 14.88, 5e-3),
    Printed("uniform 6 %, 20 years", TABLES, lambda: uniform(0.06, 20), 11.4699, 5e-5),
    Printed("uniform 10 %, 10 years", TABLES, lambda: uniform(0.10, 10), 6.1446, 5e-5),
    Printed("uniform 0.25 %, 20 years", ENGINEERING, lambda: uniform(0.0025, 20), 19.4845, 5e-5),
    Printed("recovery 10 %, 10 years", TABLES, lambda: recovery_factor(0.1, 10), 0.16275, 5e-6),
    Printed(
        "recovery 0.25 %, 2 years", ENGINEERING, lambda: recovery_factor(0.0025, 2), 0.50188, 5e-6
    ),
    Printed(
        "recovery 0.25 %, 10 years", ENGINEERING, lambda: recovery_factor(0.0025, 10), 0.10138, 5e-6
    ),
    Printed(
        "recovery 0.25 %, 25 years", ENGINEERING, lambda: recovery_factor(0.0025, 25), 0.04131, 5e-6
    ),
    Printed("recovery 15 %, 2 years", TABLES, lambda: recovery_factor(0.15, 2), 0.6151, 5e-5),
    Printed("recovery 15 %, 3 years", TABLES, lambda: recovery_factor(0.15, 3), 0.4380, 5e-5),
    Printed("sinking fund 15 %, 2 years", TABLES, lambda: sinking_fund(0.15, 2), 0.4651, 5e-5),
    Printed("sinking fund 15 %, 3 years", TABLES, lambda: sinking_fund(0.15, 3), 0.2880, 5e-5),
    Printed(
        "sinking fund 0.25 %, 10 years",
        ENGINEERING,
        lambda: sinking_fund(0.0025, 10),
        0.09888,
        5e-6,
    ),
    Printed("compound 6 %, 20 years", TABLES, lambda: 1 / sinking_fund(0.06, 20), 36.7856, 5e-5),
    Printed(
        "compound 0.25 %, 24 years",
        ENGINEERING,
        lambda: 1 / sinking_fund(0.0025, 24),
        24.70282,
        5e-6,
    ),
    Printed("gradient worth 10 %, 5 years", TABLES, lambda: gradient(0.1, 5), 6.8618, 5e-5),
    Printed(
        "gradient worth 0.25 %, 10 years", ENGINEERING, lambda: gradient(0.0025, 10), 44.1842, 5e-5
    ),
    Printed(
        "level equal of a gradient, 10 %, 5 years",
        TABLES,
        lambda: gradient(0.1, 5) * recovery_factor(0.1, 5),
        1.8101,
        5e-5,
    ),
    Printed(
        "rising 2 % at 3 %, 20 years", FEDERAL, lambda: rising(0.03, 0.02, 20), 18.08122939, 5e-9
    ),
    Printed("rising as fast as the rate", "identity", lambda: rising(0.05, 0.05, 20), 20.0, 1e-12),
    Printed(
        "real escalation from 5 % and 3 %", FEDERAL, lambda: real_rate(0.05, 0.03), 0.0194175, 5e-8
    ),
    Printed(
        # Extension bulletins subtract instead: 8 % less 3 % is taken as 5 %.
        "real rate from 8 % and 3 %",
        "exact form of 10 CFR 436.14; value our own arithmetic",
        lambda: real_rate(0.08, 0.03),
        0.0485437,
        5e-8,
    ),
)

ONE_YEAR = ((0.09, 0.92), (0.11, 0.90), (0.13, 0.88), (0.15, 0.87), (0.17, 0.85), (0.19, 0.84))
THREE_YEARS = ((0.09, 2.53), (0.11, 2.44), (0.13, 2.36), (0.15, 2.28), (0.17, 2.21), (0.19, 2.14))


@printed(*ROWS)
def test_a_factor_is_the_printed_one(row: Printed) -> None:
    agree(row)


def test_uniform_factors_of_a_whole_table_come_from_one_call() -> None:
    # Masters, table 5.4: rows of 1 and 3 years, rates of 9 to 19 %.
    for years, row in ((1.0, ONE_YEAR), (3.0, THREE_YEARS)):
        rates, factors = np.array(row).T

        result = 1.0 / recovery_factor(rates, years)

        np.testing.assert_allclose(result, factors, atol=5e-3, rtol=0.0, err_msg=MASTERS)


def test_half_a_million_at_10_percent_over_10_years_costs_81_373_a_year() -> None:
    # A farm finance page on the capital recovery factor, printed to the whole unit.
    result = 500_000.0 * recovery_factor(0.10, 10)

    assert abs(float(result) - 81_373.0) <= 0.5


def test_a_loan_of_200_000_at_7_and_a_half_percent_is_repaid_at_1_854_a_month() -> None:
    # numpy-financial 1.0.0, documentation of pmt: -1854.0247200054619.
    result = 200_000.0 * recovery_factor(0.075 / 12.0, 180.0)

    assert abs(float(result) - 1_854.0247200054619) <= 1e-8


def test_without_interest_a_level_payment_is_the_amount_over_the_years() -> None:
    # Identity of the capital recovery factor at 0 %.
    assert float(recovery_factor(0.0, 8)) == pytest.approx(0.125, rel=1e-15)
