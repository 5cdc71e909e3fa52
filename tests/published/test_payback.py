"""Payback against printed figures: straight line within the year, end-of-year amounts."""

import decided
import numpy as np
from printed import Printed, agree, printed

from econ.ground.units import Floats

IOWA = "Iowa State University Extension, Ag Decision Maker newsletter, April 2012, after PM 2089S"
UTILITY = "a utility's home energy library, simple payback"
ECONOMICS = "Energy Economics lecture, equation 1"
EXERCISE = "worked corporate finance exercise on discounted payback, {}"
ANALYSTS = "analysts' exam practice, table of cumulative discounted cash flows"
SHEET = "worked spreadsheet, discounted payback period, 8.5 %"

FOUR_YEARS = (2_800.0, 3_700.0, 5_100.0, 4_300.0)
UNEVEN = (50.0, 60.0, 70.0, 200.0)


def simple(kit: float, *savings: float) -> Floats:
    return decided.measures(kit, savings)["simple_payback"]


def discounted(rate: float, kit: float, *savings: float) -> Floats:
    return decided.measures(kit, savings, rate)["discounted_payback"]


ROWS = (
    Printed("1,000 at 250 a year", ECONOMICS, lambda: simple(1_000, *[250] * 8), 4.0, 1e-12),
    Printed("equipment", IOWA, lambda: simple(3_600, *[900] * 10), 4.0, 1e-12),
    Printed("bulbs in a livestock house", IOWA, lambda: simple(400, *[2_000] * 5), 0.2, 1e-12),
    Printed("a measure of 5,000", UTILITY, lambda: simple(5_000, *[2_500] * 10), 2.0, 1e-12),
    Printed("uneven, plain", EXERCISE.format("9.1"), lambda: simple(200, *UNEVEN), 3.10, 1e-12),
    Printed(
        # The source says only "between years 3 and 4"; the figure within is our own.
        "uneven, discounted",
        EXERCISE.format("9.1"),
        lambda: discounted(0.10, 200, *UNEVEN),
        3.38335,
        1e-5,
    ),
    Printed(
        # 3 + 32,828.44 / 38,131.08, from the source's columns.
        "five years at 12 %",
        ANALYSTS,
        lambda: discounted(0.12, 200_000, 60_000, 80_000, 70_000, 60_000, 50_000),
        3.0 + 32_828.44 / 38_131.08,
        1e-6,
    ),
    Printed(
        "five years at 8.5 %",
        SHEET,
        lambda: discounted(0.085, 150, 70, 55, 40, 25, 10),
        3.41,
        5e-3,
    ),
    Printed(
        "8,000 at 15 %",
        EXERCISE.format("inflows of 4,800 to 8,000"),
        lambda: discounted(0.15, 8_000, 4_800, 5_900, 6_700, 8_000),
        1.86,
        5e-3,
    ),
    Printed(
        # Printed 3.15 from amounts rounded to the cent.
        "210 at 11 %",
        EXERCISE.format("inflows of 85, 75, 85, 105"),
        lambda: discounted(0.11, 210, 85, 75, 85, 105),
        3.15,
        5e-3,
    ),
    Printed(
        "5,200 at 14 %",
        EXERCISE.format("inflows of 2,800 to 4,300"),
        lambda: discounted(0.14, 5_200, *FOUR_YEARS),
        1.96,
        5e-3,
    ),
    Printed(
        # The source divides by the running sum, not by the year's amount; both round to 2.03.
        "5,400 at 14 %",
        EXERCISE.format("inflows of 2,800 to 4,300"),
        lambda: discounted(0.14, 5_400, *FOUR_YEARS),
        2.03,
        5e-3,
    ),
    Printed(
        "10,400 at 14 %",
        EXERCISE.format("inflows of 2,800 to 4,300"),
        lambda: discounted(0.14, 10_400, *FOUR_YEARS),
        3.65,
        5e-3,
    ),
)


@printed(*ROWS)
def test_a_payback_is_the_printed_one(row: Printed) -> None:
    agree(row)


def test_a_payback_beyond_the_life_is_none() -> None:
    # ASTM E1121, 5.3: a project either recovers its cost within its life or does not.
    assert np.isnan(simple(1_000, *[250] * 3))
    assert np.isnan(discounted(0.10, 200, 50, 60, 70))


def test_without_kit_payback_is_at_once_or_never() -> None:
    # Common practice, no source: nothing was laid out, so nothing has to come back.
    assert float(simple(0, 10, 10)) == 0.0
    assert np.isnan(simple(0, -10, -10))
