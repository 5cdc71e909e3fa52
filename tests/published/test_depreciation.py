"""Depreciation and book value against IRS Publication 946 and worked examples."""

import numpy as np
import pytest
from builders import finance, inputs
from builders import kit as kit_item
from printed import outside

from econ.finance.worth import depreciation_shares
from econ.model.kit import kit_money

PUB_946 = "IRS Publication 946, appendix A, table A-1, half-year convention"
HANDBOOK = "Machinery's Handbook, 31st edition, depreciation table 3"
NEWNAN = "Newnan, Engineering Economic Analysis, problem 11-1 (14th edition: 11-7)"
GUIDE = "a tax guide's example of accelerated MACRS, 200 %"
COMPANY = "worked tax exercise, allowable MACRS depreciation of one company"

# [%]
TABLES = (
    (PUB_946, "macrs 5", (20.00, 32.00, 19.20, 11.52, 11.52, 5.76)),
    (PUB_946, "macrs 7", (14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46)),
    (HANDBOOK, "macrs 5", (20.00, 32.00, 19.20, 11.52, 11.52, 5.76)),
    (HANDBOOK, "macrs 7", (14.29, 24.49, 17.49, 12.49, 8.93, 8.92, 8.93, 4.46)),
)

# Source, method, price, year, deduction, half the last printed digit.
DEDUCTIONS = (
    (GUIDE, "macrs 5", 5_000.0, 1, 1_000.0, 0.5),
    (GUIDE, "macrs 5", 5_000.0, 2, 1_600.0, 0.5),
    (COMPANY, "macrs 7", 70_000.0, 1, 10_003.0, 0.5),
    (COMPANY, "macrs 5", 10_000.0, 1, 2_000.0, 0.5),
    (COMPANY, "macrs 5", 23_000.0, 1, 4_600.0, 0.5),
    (COMPANY, "macrs 7", 150_000.0, 1, 21_435.0, 0.5),
    ("worked exercise, 5,000 of office furniture", "macrs 7", 5_000.0, 1, 714.50, 0.005),
    (NEWNAN, "macrs 7", 20_000.0, 1, 2_858.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 2, 4_898.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 3, 3_498.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 4, 2_498.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 5, 1_786.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 6, 1_784.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 7, 1_786.0, 0.5),
    (NEWNAN, "macrs 7", 20_000.0, 8, 892.0, 0.5),
)

# Problem 11-1: 20,000 of 7-year property, book value at the end of years 1 to 8.
BOOK_VALUES = (17_142.0, 12_244.0, 8_746.0, 6_248.0, 4_462.0, 2_678.0, 892.0, 0.0)


# The handbook prints the same table: entered once.
for _source, _method, _percents in TABLES[:2]:
    outside(_source, [(f"{_method} year {y}", p) for y, p in enumerate(_percents, start=1)])
for _source, _method, _price, _year, _deducted, _ in DEDUCTIONS:
    outside(_source, [(f"deducted of {_price:g} in year {_year}, {_method}", _deducted)])
outside(NEWNAN, [(f"book value of year {y}", v) for y, v in enumerate(BOOK_VALUES, start=1)])


@pytest.mark.parametrize(("source", "method", "percents"), TABLES)
def test_shares_are_those_of_the_printed_table(
    source: str, method: str, percents: tuple[float, ...]
) -> None:
    result = depreciation_shares(method, 10)

    assert [100.0 * share for share in result] == pytest.approx(percents, abs=1e-9), source


@pytest.mark.parametrize("method", ["macrs 5", "macrs 7", "expensed", "straight line"])
def test_deductions_add_up_to_the_price(method: str) -> None:
    # Publication 946: the table recovers the whole unadjusted basis.
    assert sum(depreciation_shares(method, 12)) == pytest.approx(1.0, abs=1e-12)


@pytest.mark.parametrize(("method", "life"), [("macrs 5", 5), ("macrs 7", 7)])
def test_the_table_is_twice_declining_balance_turning_to_a_straight_line(
    method: str, life: int
) -> None:
    # Publication 946, "Figuring the deduction without the tables": half a year at each end. The
    # printed table is rounded to 0.01 %, and its last digits alternate.
    left, rule = 1.0, []
    for year in range(life + 1):
        years_left = life - max(0.0, year - 0.5)
        part = 0.5 if year in (0, life) else 1.0
        straight = left / years_left * part
        amount = left if year == life else max(2.0 / life * left * part, straight)
        rule.append(amount)
        left -= amount

    assert depreciation_shares(method, 10) == pytest.approx(rule, abs=7.5e-5)


@pytest.mark.parametrize(("source", "method", "price", "year", "printed", "half"), DEDUCTIONS)
def test_a_deduction_is_the_printed_one(
    source: str, method: str, price: float, year: int, printed: float, half: float
) -> None:
    result = price * depreciation_shares(method, 10)[year - 1]

    assert result == pytest.approx(printed, abs=half), source


def kit(method: str, *, tax: float, resale: float = 0.0, life: int = 9) -> dict[str, list[float]]:
    """Return yearly depreciation and after-tax resale of one item of 20,000 over 8 years."""
    item = kit_item(20_000.0, life, resale_share=resale)
    terms = finance(years=8, tax_rate=tax, depreciation=method)
    money = kit_money(inputs(kit=(item,), finance=terms))
    return {
        "depreciation": [float(amount) for amount in money.depreciation[1:]],
        "recovered": [float(amount) for amount in money.recovered[1:]],
    }


def test_the_ledger_takes_the_table_year_by_year() -> None:
    # Newnan, problem 11-1, as above.
    expected = [row[4] for row in DEDUCTIONS if row[0] == NEWNAN]

    assert kit("macrs 7", tax=0.0)["depreciation"] == pytest.approx(expected, abs=1e-9)


def test_book_values_are_the_printed_ones() -> None:
    # With a tax of 100 % all that a sale leaves is the book value: price - 1 x (price - book).
    result = kit("macrs 7", tax=1.0, resale=0.3)["recovered"]

    assert result == pytest.approx(BOOK_VALUES, abs=1e-6)


def test_a_loss_on_sale_gives_tax_back_and_a_gain_is_taxed() -> None:
    # Newnan, problem 11-1's book value of 8,746 after three years: sold for 5,000 the loss is
    # 3,746, sold for 10,000 the gain is 1,254; a quarter of each is tax.
    # After three of nine years two thirds of the resale are left.
    loss = kit("macrs 7", tax=0.25, resale=0.375)["recovered"][2]
    gain = kit("macrs 7", tax=0.25, resale=0.75)["recovered"][2]

    assert loss == pytest.approx(5_000.0 + 0.25 * 3_746.0, abs=1e-6)
    assert gain == pytest.approx(10_000.0 - 0.25 * 1_254.0, abs=1e-6)


def test_a_straight_line_runs_over_the_life_and_expensing_takes_one_year() -> None:
    # Publication 946: straight line spreads the basis evenly; a section 179 deduction takes it
    # in the year the property is placed in service.
    assert depreciation_shares("straight line", 8) == pytest.approx([0.125] * 8)
    assert depreciation_shares("expensed", 8) == (1.0,)
    assert depreciation_shares("none", 8) == ()
    assert kit("straight line", tax=0.3, life=8)["depreciation"] == pytest.approx([2_500.0] * 8)
    assert kit("expensed", tax=0.3)["depreciation"] == pytest.approx([20_000.0] + [0.0] * 7)
    assert not np.any(kit("none", tax=0.3)["depreciation"])
