"""Net present value, internal rate of return and its modified form against printed figures.

A rate of return here is the only one from 0 to 1,000 %, or else the only one from -99 % to 0.
Where a source prints several, or one of several, the row says so.
"""

from dataclasses import dataclass

import decided
import numpy as np
import pytest
from printed import Printed, agree, printed

from econ.finance.worth import irr, mirr, present_value
from econ.ground.units import Floats

DOCS = "numpy-financial 1.0.0, documentation"
TESTS = "numpy-financial 1.0.0, its own tests"
ISSUE = "numpy-financial, issue {}"
EXCEL_IRR = "Microsoft support, worksheet function IRR, example table"
EXCEL_MIRR = "Microsoft support, worksheet function MIRR, example table"
NEWNAN = "Newnan, Engineering Economic Analysis"
FINANCING = "Energy Project Financing: Resources and Strategies for Success, appendix A"
USC = "ISE 460 Engineering Economics, session 16, practice problem"
ADOBE = "Adobe LiveCycle FormCalc, function NPV"
HOMEWORK = "worked corporate finance exercise on discounted payback, 9.1"


def series(*flows: float) -> Floats:
    return np.array(flows, dtype=np.float64)


def level(outlay: float, amount: float, years: int) -> Floats:
    return np.array([-outlay] + [amount] * years)


def worth(flows: Floats, rate: float) -> Floats:
    """Return net present value: by a whole decision too, where a farm file can hold the flows."""
    result = present_value(flows, rate)
    if decided.fits(flows.tolist(), rate):
        outcome = decided.of_flows(flows, rate)["npv"]
        assert float(outcome) == pytest.approx(float(result), rel=1e-9, abs=1e-6)
        return outcome
    return result


def earned(flows: Floats) -> Floats:
    """Return the internal rate of return: by a whole decision too, where a farm file can."""
    result = irr(flows)
    if decided.fits(flows.tolist(), 0.0):
        outcome = decided.of_flows(flows)["irr"]
        assert float(outcome) == pytest.approx(float(result), rel=1e-9)
        return outcome
    return result


WINDOWS = series(-10_000, 2_525, 2_525, 2_525, 3_840, 3_840, 3_840)
LOW_E = series(-9_000, *(2_775 + 125 * k for k in range(8)))
SPREADSHEET = series(-10_000, 3_000, 3_400, 7_700)

NPV = (
    Printed(
        "five flows at 8 %",
        f"{DOCS} of npv",
        lambda: worth(series(-40_000, 5_000, 8_000, 12_000, 30_000), 0.08),
        3065.22267,
        5e-6,
    ),
    Printed(
        "six flows at 5 %",
        f"{TESTS} of npv, decimal",
        lambda: worth(series(-15_000, 1_500, 2_500, 3_500, 4_500, 6_000), 0.05),
        122.894854950942692,
        1e-9,
    ),
    Printed(
        # A spreadsheet's NPV takes its first amount as a year away: one more year than ours.
        "a spreadsheet's first flow is a year away",
        "MESCIUS Spread, function NPV, sample",
        lambda: worth(series(0.0, *SPREADSHEET), 0.065),
        2055.38,
        5e-3,
    ),
    Printed(
        "the same flows with the first one today",
        "our own arithmetic: the line above times 1.065",
        lambda: worth(SPREADSHEET, 0.065),
        2188.98097675,
        1e-6,
    ),
    Printed(
        "four receipts at 10 %, the first a year away",
        ADOBE,
        lambda: worth(series(0, 500, 1_500, 4_000, 10_000), 0.10),
        11529.60863329007,
        1e-8,
    ),
    Printed(
        "five months at 2.75 % a year",
        ADOBE,
        lambda: worth(series(0, 50, 60, 40, 100, 25), 0.0275 / 12.0),
        273.14193838457,
        1e-8,
    ),
    Printed(
        "one receipt at 6.5 %",
        ADOBE,
        lambda: worth(series(0, 5_000), 0.065),
        4694.83568075117,
        1e-8,
    ),
    Printed(
        "half a million, today first",
        "finance.js, issue 20",
        lambda: worth(series(-500_000, 200_000, 300_000, 200_000), 0.10),
        80_015.03,
        5e-3,
    ),
    Printed(
        "half a million, a spreadsheet's way",
        "finance.js, issue 20",
        lambda: worth(series(0, -500_000, 200_000, 300_000, 200_000), 0.10),
        72_740.93,
        5e-3,
    ),
    Printed(
        "a thousand at 8 %, today first",
        "Apache POI, pull request 256",
        lambda: worth(series(-1_000, 500, 300, 800), 0.08),
        355.2304,
        5e-5,
    ),
    Printed(
        "a thousand at 8 %, a spreadsheet's way",
        "Apache POI, pull request 256",
        lambda: worth(series(0, -1_000, 500, 300, 800), 0.08),
        328.9170,
        5e-5,
    ),
    Printed(
        # The source adds rounded amounts: 45.45 + 49.59 + 52.59 + 136.60 - 200.
        "two hundred at 10 %",
        HOMEWORK,
        lambda: worth(series(-200, 50, 60, 70, 200), 0.10),
        84.23,
        0.01,
    ),
    Printed(
        # Four-figure factors: up to 0.00005 on each amount, 0.95 in all.
        "thermal windows at 15 %",
        f"{FINANCING}, example 13",
        lambda: worth(WINDOWS, 0.15),
        1530.07,
        0.95,
    ),
    Printed(
        "attic insulation R-19, 20 years at 10 %",
        f"{FINANCING}, example 35",
        lambda: worth(level(150, 32, 20), 0.10),
        122.44,
        0.01,
    ),
    Printed(
        "attic insulation R-30, 20 years at 10 %",
        f"{FINANCING}, example 36",
        lambda: worth(level(200, 20, 20), 0.10),
        -29.73,
        0.01,
    ),
    Printed(
        # The first saving comes unescalated at the end of year 1.
        "184 growing 12 % a year at 15 %",
        "energy saving of a house over 20 years, worked exercise",
        lambda: worth(series(0, *(184 * 1.12**k for k in range(20))), 0.15),
        2_518.0,
        0.5,
    ),
    Printed(
        "low-emissivity windows, level amount at 12 %",
        "grand challenges exercise, annual worth of low-e windows, answer given to within 1",
        lambda: decided.of_flows(LOW_E, 0.12)["equivalent_annual"],
        1_327.0,
        1.0,
    ),
)

RETURNS = (
    Printed(
        "four receipts",
        f"{DOCS} of irr",
        lambda: earned(series(-100, 39, 59, 55, 20)),
        0.28095,
        5e-6,
    ),
    Printed(
        "rising receipts",
        f"{DOCS}, front page",
        lambda: earned(series(-250_000, 100_000, 150_000, 200_000, 250_000, 300_000)),
        0.5672303344358536,
        1e-12,
    ),
    Printed(
        "a loss over three years",
        f"{DOCS} of irr",
        lambda: earned(series(-100, 0, 0, 74)),
        -0.0955,
        5e-5,
    ),
    Printed(
        "a tail that stays",
        f"{DOCS} of irr",
        lambda: earned(series(-100, 100, 0, 7)),
        0.06206,
        5e-6,
    ),
    Printed(
        "an orchard of receipts",
        f"{TESTS} of irr",
        lambda: earned(series(-150_000, 15_000, 25_000, 35_000, 45_000, 60_000)),
        0.0524,
        5e-5,
    ),
    Printed(
        "after four years",
        EXCEL_IRR,
        lambda: earned(series(-70_000, 12_000, 15_000, 18_000, 21_000)),
        -0.021,
        5e-4,
    ),
    Printed(
        "after five years",
        EXCEL_IRR,
        lambda: earned(series(-70_000, 12_000, 15_000, 18_000, 21_000, 26_000)),
        0.087,
        5e-4,
    ),
    Printed(
        # Spreadsheets need a guess for this one.
        "after two years",
        EXCEL_IRR,
        lambda: earned(series(-70_000, 12_000, 15_000)),
        -0.444,
        5e-4,
    ),
    Printed(
        "wanted by issue 44",
        ISSUE.format(44),
        lambda: earned(series(-1678.87, 771.96, 1814.05, 3520.30, 3552.95, 3584.99, 4789.91, -1)),
        1.004269848720547,
        1e-12,
    ),
    Printed(
        "the working half of issue 44",
        ISSUE.format(44),
        lambda: earned(series(-1678.87, 771.96, 1814.05, 3520.30, 3552.95, 3584.99, -1)),
        0.9688775470209179,
        1e-12,
    ),
    Printed(
        "a deep loss, issue 46",
        ISSUE.format(46),
        lambda: earned(series(-161_445.03, 2113.73, 7626.73, 8619.84, 8612.92)),
        -0.43658134635468815,
        1e-12,
    ),
    Printed(
        # A library's rate finder returned -1.896 here.
        "a plant with a tail, issue 126",
        f"{ISSUE.format(126)}; value our own",
        lambda: earned(series(-440_000, *[263_175] * 7, 288_675)),
        0.583877911025,
        1e-11,
    ),
    Printed(
        "outlays in two years",
        "numpy, issue 13953",
        lambda: earned(series(-900, -500, *[400] * 9)),
        0.20541421256305714,
        1e-12,
    ),
    Printed(
        "sixteen receipts that do not repay",
        f"{ISSUE.format(98)}; value our own",
        lambda: earned(level(10_000, 327.24625, 16)),
        -0.0676541134497,
        1e-11,
    ),
    Printed(
        # One solver gave -23.8 here; it must be positive.
        "480 monthly repayments, yearly",
        "pyxirr, issue 24; value our own",
        lambda: 12.0 * earned(level(172545.848122807, 787.735232517999, 480)),
        0.0460812577508,
        1e-10,
    ),
    Printed(
        # Of two roots, -1.8 % and 12 %, the library's testers wanted 12 %.
        "wanted by issue 39",
        f"{ISSUE.format(39)}; flows from memory",
        lambda: earned(
            series(
                -217_500.0,
                -217_500.0,
                *(108466.80462450592 - 7336.840231185198 * k for k in range(25)),
            )
        ),
        0.12,
        1e-6,
    ),
    Printed(
        # Two roots, -77 % and 185 %: the one above zero counts.
        "185 % of issue 28",
        ISSUE.format(28),
        lambda: earned(series(-50, -100, 600, 300, -100)),
        1.85,
        5e-3,
    ),
    Printed(
        "alternative 1, one year",
        f"{NEWNAN}, example 8-1",
        lambda: earned(series(-10, 15)),
        0.5,
        1e-12,
    ),
    Printed(
        "increment of two alternatives",
        f"{NEWNAN}, example 8-1",
        lambda: earned(series(-20, 28) - series(-10, 15)),
        0.3,
        1e-12,
    ),
    Printed(
        "2,000 for 410 a year",
        f"{NEWNAN}, example 8-3, printed rate from memory",
        lambda: earned(level(2_000, 410, 20)),
        0.20,
        1e-3,
    ),
    Printed(
        "4,000 for 639 a year",
        f"{NEWNAN}, example 8-3, printed rate from memory",
        lambda: earned(level(4_000, 639, 20)),
        0.15,
        1e-3,
    ),
    Printed(
        "increment of 2,000 for 229 a year",
        f"{NEWNAN}, example 8-3, inputs; value our own",
        lambda: earned(level(2_000, 229, 20)),
        0.0963,
        5e-5,
    ),
    Printed("design A", USC, lambda: earned(level(150, 115 - 70, 10)), 0.2732, 5e-5),
    Printed("design B", USC, lambda: earned(level(220, 125 - 65, 10)), 0.2413, 5e-5),
    Printed("design D", USC, lambda: earned(level(340, 185 - 80, 10)), 0.2833, 5e-5),
    Printed("thermal windows", f"{FINANCING}, example 15", lambda: earned(WINDOWS), 0.20, 5e-3),
    Printed(
        # "just over 15 %": read as up to half a percent above.
        "a factor of 5 over 10 years",
        "G. Masters, Renewable and Efficient Electric Power Systems, page 245",
        lambda: earned(level(5, 1, 10)),
        0.1525,
        2.5e-3,
    ),
    Printed(
        # "between 19 % and 21 %"
        "a factor of 5 over 20 years",
        "G. Masters, Renewable and Efficient Electric Power Systems, page 245",
        lambda: earned(level(5, 1, 20)),
        0.20,
        1e-2,
    ),
    Printed(
        "a bond of nothing but its end",
        f"{TESTS} of rate: 10 years, 3,500 to 10,000",
        lambda: earned(series(-3_500, *[0] * 9, 10_000)),
        0.1107,
        5e-5,
    ),
)

MODIFIED = (
    Printed(
        "five years, 10 % and 12 %",
        f"{TESTS} of mirr, decimal; {EXCEL_MIRR}: 13 %",
        lambda: mirr(series(-120_000, 39_000, 30_000, 21_000, 37_000, 46_000), 0.10, 0.12),
        0.126094130365905146,
        1e-12,
    ),
    Printed(
        "three years, 10 % and 12 %",
        EXCEL_MIRR,
        lambda: mirr(series(-120_000, 39_000, 30_000, 21_000), 0.10, 0.12),
        -0.05,
        5e-3,
    ),
    Printed(
        "five years, 10 % and 14 %",
        EXCEL_MIRR,
        lambda: mirr(series(-120_000, 39_000, 30_000, 21_000, 37_000, 46_000), 0.10, 0.14),
        0.13,
        5e-3,
    ),
    Printed(
        # A faulty reading of this one gave 20.57 %.
        "outlays in two years, 10 % and 12 %",
        "encyclopedia example quoted in Apache POI, pull request 733",
        lambda: mirr(series(-1_000, -4_000, 5_000, 2_000), 0.10, 0.12),
        0.1791,
        5e-5,
    ),
    Printed(
        "nine years, 8 % and 5.5 %",
        f"{TESTS} of mirr, decimal",
        lambda: mirr(series(-4_500, -800, 800, 800, 600, 600, 800, 800, 700, 3_000), 0.08, 0.055),
        0.066597175031553549,
        1e-12,
    ),
    Printed(
        "a receipt first, 5 % and 6 %",
        f"{TESTS} of mirr, decimal",
        lambda: mirr(series(100, 200, -50, 300, -200), 0.05, 0.06),
        0.342823387842176664,
        1e-12,
    ),
    Printed(
        "131,000 for 25,000 a year, 12 % and 8 %",
        "worked exercise on the modified rate, 119,000 and 12,000 of costs",
        lambda: mirr(level(131_000, 25_000, 5), 0.12, 0.08),
        0.0228,
        5e-5,
    ),
)


@printed(*NPV)
def test_a_worth_is_the_printed_one(row: Printed) -> None:
    agree(row)


@printed(*RETURNS)
def test_a_earned_is_the_printed_one(row: Printed) -> None:
    agree(row)


@printed(*MODIFIED)
def test_a_modified_earned_is_the_printed_one(row: Printed) -> None:
    agree(row)


@dataclass(frozen=True)
class Several:
    """A series with more than one rate, and those printed."""

    case: str
    source: str
    flows: Floats
    rates: tuple[float, ...]
    tolerance: float


SEVERAL = (
    Several(
        "the oil pump",
        "assignmentexpert.com, question 131526, 25 %; its 400 % from memory",
        series(-1_600, 10_000, -10_000),
        (0.25, 4.0),
        1e-9,
    ),
    Several(
        "the pump at 2,000",
        "Financial analysts' exam practice: two rates, about 38 % and 260 %",
        series(-2_000, 10_000, -10_000),
        (0.38, 2.6),
        2e-2,
    ),
    Several(
        # The problem says only where to look, 20 to 70 %; the four rates are from memory.
        "four rates of one project",
        "Ross, Westerfield and Jaffe, Corporate Finance, problem of multiple IRRs",
        series(-252, 1_431, -3_035, 2_850, -1_000),
        (0.25, 1.0 / 3.0, 3.0 / 7.0, 2.0 / 3.0),
        1e-9,
    ),
    Several(
        # The library gives the one nearest zero; from memory of the roots, -87 %, 8.9 %, 71 %.
        "three rates, one of them a loss",
        f"{DOCS} of irr: 0.0886",
        series(-5, 10.5, 1, -8, 1),
        (0.0886, 0.7096),
        5e-5,
    ),
    Several(
        # Two losses and no gain: the library gives the nearer.
        "two losses",
        f"{DOCS} of irr: -0.0833; the other our own",
        series(-100, 100, 0, -7),
        (-0.0833, -0.678894),
        5e-5,
    ),
)


@pytest.mark.parametrize("case", [pytest.param(case, id=case.case) for case in SEVERAL])
def test_a_series_with_several_rates_has_none_that_counts(case: Several) -> None:
    slack = np.abs(present_value(np.abs(case.flows), 0.0)) * case.tolerance

    for rate in case.rates:
        assert abs(float(present_value(case.flows, rate))) < 2.0 * slack
    assert np.isnan(irr(case.flows))


def test_a_library_returns_one_of_several_rates_and_we_do_not() -> None:
    # numpy-financial, issue 28: -77 % was returned where 185 % was wanted; ours is the gain.
    flows = series(-50, -100, 600, 300, -100)

    assert float(present_value(flows, -0.768895470681)) == pytest.approx(0.0, abs=1e-6)
    assert float(irr(flows)) == pytest.approx(1.85441782846, abs=1e-10)


NONE = (
    ("no sign change, all outlays", "numpy-financial returns nan, pyxirr refuses", [-100, -50]),
    ("no sign change, all receipts", f"{TESTS} of mirr: nan without outlay", [39, 30, 21, 37, 46]),
    ("two changes, no root", "both libraries: nan and None", [-100, 200, -150]),
    ("nothing at all", "common practice, no source", [0, 0, 0]),
)


@pytest.mark.parametrize(("why", "source", "flows"), NONE, ids=[row[0] for row in NONE])
def test_a_series_without_any_rate_has_none(why: str, source: str, flows: list[float]) -> None:
    assert np.isnan(irr(series(*flows))), (why, source)


def test_a_modified_rate_needs_an_outlay_and_a_receipt() -> None:
    # numpy-financial 1.0.0, its own tests of mirr: nan.
    receipts = series(39_000, 30_000, 21_000, 37_000, 46_000)

    assert np.isnan(mirr(receipts, 0.10, 0.12))
    assert np.isnan(mirr(-receipts, 0.10, 0.12))


def test_the_printed_rates_come_from_one_batch_as_well() -> None:
    # Years without money at the end change no rate.
    flows = [WINDOWS, LOW_E, SPREADSHEET, series(-100, 39, 59, 55, 20), series(-100, 0, 0, 74)]
    batch = np.zeros((9, len(flows)))
    for column, one in enumerate(flows):
        batch[: one.size, column] = one

    np.testing.assert_allclose(irr(batch), [float(irr(one)) for one in flows], rtol=1e-12)
