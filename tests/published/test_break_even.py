"""Break-even prices and returns against extension fact sheets.

Own or hire is the same sum as make or buy fuel: a fixed outlay, a cost and a price for each unit.
The sheets give the use at which owning pays; here the use is given and the price must come back.
"""

import numpy as np
import pytest
from ledgers import measures_of, plain_ledger
from printed import Printed, agree, printed

from econ.ground.units import Floats

COLORADO = "Colorado State University Extension, fact sheet 3.759"
GARDENING = "Farm management text, break-even use, table 10.2"
FINANCING = "Energy Project Financing: Resources and Strategies for Success, example 35"


def price(fixed: float, unit_cost: float, units: float, at: float) -> Floats:
    """Return the price at which a fixed cost comes back on so many units in one year."""
    ledger = plain_ledger(fixed, ((at - unit_cost) * units,), fuel=(at * units,), price=at)
    return measures_of(ledger)["break_even_fuel_price"]


def gain(fixed: float, unit_cost: float, units: float, at: float) -> Floats:
    """Return what is left after the fixed cost."""
    return measures_of(plain_ledger(fixed, ((at - unit_cost) * units,)))["npv"]


ROWS = (
    Printed(
        # 956 acres, rounded to half an acre: 22.25 x 0.5 / 956 = 0.012.
        "16 and 8 an acre at 956 acres",
        COLORADO,
        lambda: price(21_270.0, 1.75, 956.0, at=20.0),
        24.0,
        0.012,
    ),
    Printed(
        "16 an acre at 842 acres",
        f"{COLORADO}, problem 1",
        lambda: price(12_000.0, 1.75, 842.0, at=10.0),
        16.0,
        0.009,
    ),
    Printed(
        # "about 60 acres": to two acres, 17 x 2 / 60.
        "21 an acre at about 60 acres",
        GARDENING,
        lambda: price(1_000.0, 4.0, 60.0, at=25.0),
        21.0,
        0.57,
    ),
    Printed(
        "return at 1,200 acres",
        f"{COLORADO}, example 3",
        lambda: gain(21_270.0, 1.75, 1_200.0, at=24.0),
        5_430.0,
        0.5,
    ),
    Printed(
        "return at 900 acres",
        f"{COLORADO}, problem 2",
        lambda: gain(12_000.0, 1.75, 900.0, at=16.0),
        825.0,
        0.5,
    ),
)


@printed(*ROWS)
def test_a_break_even_is_the_printed_one(row: Printed) -> None:
    agree(row)


def test_the_price_at_which_insulation_breaks_even_spreads_its_cost_over_the_savings() -> None:
    # Example 35: 150 for 400 kWh a year at 0.08, factor 8.5136. Its worth falls to nothing where
    # 400 x price x 8.5136 = 150.
    ledger = plain_ledger(150, (32.0,) * 20, 0.10, fuel=(32.0,) * 20, price=0.08)

    result = float(measures_of(ledger)["break_even_fuel_price"])

    assert result == pytest.approx(150.0 / (400.0 * 8.5136), rel=1e-5), FINANCING


@pytest.mark.parametrize("at", [0.5, 1.0, 3.0, 8.0])
def test_the_break_even_price_does_not_hang_on_the_price_of_the_day(at: float) -> None:
    # The sheets' formula has no price of the day in it.
    assert float(price(12_000.0, 1.75, 842.0, at=at)) == pytest.approx(
        float(price(12_000.0, 1.75, 842.0, at=16.0))
    )


def test_no_price_makes_a_plan_without_fuel_break_even() -> None:
    # Common practice, no source: with nothing replaced the price does not matter.
    ledger = plain_ledger(500, (-20.0, -20.0), fuel=(0.0, 0.0), price=4.0)

    assert np.isnan(measures_of(ledger)["break_even_fuel_price"])
