"""The record of fuel prices and of the money they were paid in, against what was published."""

import csv
import importlib.util
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from printed import outside

from econ.questions.history import price_record, real_prices

RECORDS = Path(__file__).parents[1] / "records"

# Retail on-highway diesel by week, dollars a gallon. 1998: BTS, Transportation Statistics Annual
# Report 2009, table of figure 1-5-13. 2004: the same report of 2010, table of figure 5-12. December
# 2008: EIA, Weekly Retail On-Highway Diesel Prices, average of all types.
WEEKS = {
    "1998-01-05": 1.147, "1998-01-12": 1.126, "1998-01-19": 1.109, "1998-01-26": 1.096,
    "1998-02-02": 1.091, "1998-02-23": 1.079, "1998-03-30": 1.068, "1998-06-08": 1.045,
    "2004-01-05": 1.503, "2004-01-12": 1.551, "2004-02-02": 1.581, "2004-03-01": 1.619,
    "2004-04-05": 1.648, "2004-05-03": 1.717, "2004-05-31": 1.746,
    "2008-12-15": 2.422, "2008-12-22": 2.366, "2008-12-29": 2.327,
}  # fmt: skip
outside("BTS and EIA, retail on-highway diesel by week", WEEKS.items())
outside("EIA, outlook of September 2012", [("mean of diesel in 2011", 3.84)])
# BLS, CPI-U, all items, US city average, 1982-84 = 100, annual averages (CUUR0000SA0).
CONSUMER_PRICES = {
    1995: 152.4,
    2000: 172.2,
    2007: 207.342,
    2013: 232.957,
    2020: 258.811,
    2022: 292.655,
    2024: 313.689,
    2025: 321.943,
}


outside("BLS, CPI-U, all items", [(f"prices {y}", p) for y, p in CONSUMER_PRICES.items()])


def script() -> Any:
    spec = importlib.util.spec_from_file_location("annual_prices", RECORDS / "annual_prices.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def weekly() -> dict[str, float]:
    with (RECORDS / "us_diesel_weekly.csv").open(encoding="utf-8", newline="") as stream:
        return {row["date"]: float(row["usd_per_gal"]) for row in csv.DictReader(stream)}


@pytest.mark.parametrize(("date", "price"), WEEKS.items())
def test_a_weeks_price_is_the_published_one(date: str, price: float) -> None:
    assert weekly()[date] == price


def test_a_years_mean_is_the_published_one() -> None:
    # "Retail prices, which averaged $3.84 per gallon in 2011": EIA, outlook of September 2012.
    assert next(row.price for row in price_record() if row.year == 2011) == pytest.approx(
        3.84, abs=0.005
    )


@pytest.mark.parametrize(("year", "index"), CONSUMER_PRICES.items())
def test_a_years_consumer_prices_are_the_published_ones(year: int, index: float) -> None:
    assert next(row.index for row in price_record() if row.year == year) == index


def test_the_record_is_made_of_the_weekly_one_whole_years_only_without_a_gap() -> None:
    rows = [(row.year, row.price, row.index) for row in price_record()]

    assert script().annual() == rows
    assert [year for year, _, _ in rows] == list(range(1995, 2026))


def test_weeks_follow_one_another_without_a_gap() -> None:
    dates = np.array(sorted(weekly()), dtype="datetime64[D]")

    assert set(np.diff(dates).astype(int).tolist()) <= {6, 7, 8, 14}
    assert all(0.9 < price < 7.0 for price in weekly().values())


def test_a_price_in_money_of_the_last_year_is_its_price_times_the_rise_of_all_prices() -> None:
    # 1995's 1.109 in money of 2025: 1.109 x 321.943 / 152.4 = 2.343.
    assert real_prices()[0] == pytest.approx(1.1092 * 321.943 / 152.4)
    assert real_prices()[-1] == pytest.approx(price_record()[-1].price)
