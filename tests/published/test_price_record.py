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

# EIA, US No. 2 diesel retail prices, annual, dollars a gallon (series EMD_EPD2D_PTE_NUS_DPG).
DIESEL = {1995: 1.109, 1998: 1.044, 2000: 1.491, 2005: 2.402, 2008: 3.803, 2009: 2.467,
          2012: 3.968, 2016: 2.304, 2020: 2.551, 2022: 4.989, 2024: 3.760, 2025: 3.660}  # fmt: skip
# BLS, CPI-U, all items, US city average, 1982-84 = 100, annual averages (CUUR0000SA0).
CONSUMER_PRICES = {1995: 152.4, 2000: 172.2, 2007: 207.342, 2013: 232.957, 2020: 258.811,
                   2022: 292.655, 2024: 313.689, 2025: 321.943}  # fmt: skip


outside("EIA, annual retail price of No. 2 diesel", [(f"diesel {y}", p) for y, p in DIESEL.items()])
outside("EIA, weekly retail price of No. 2 diesel", [("1999-02-22", 0.953), ("2026-09-21", 6.529)])
outside("BLS, CPI-U, all items", [(f"prices {y}", p) for y, p in CONSUMER_PRICES.items()])


def script() -> Any:
    spec = importlib.util.spec_from_file_location("annual_prices", RECORDS / "annual_prices.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("year", "price"), DIESEL.items())
def test_a_years_mean_is_the_published_one(year: int, price: float) -> None:
    row = next(row for row in price_record() if row.year == year)

    assert row.price == pytest.approx(price, abs=0.001)


@pytest.mark.parametrize(("year", "index"), CONSUMER_PRICES.items())
def test_a_years_consumer_prices_are_the_published_ones(year: int, index: float) -> None:
    assert next(row.index for row in price_record() if row.year == year) == index


def test_the_record_is_made_of_the_weekly_one_whole_years_only_without_a_gap() -> None:
    rows = [(row.year, row.price, row.index) for row in price_record()]

    assert script().annual() == rows
    assert [year for year, _, _ in rows] == list(range(1995, 2026))


def test_weeks_follow_one_another_and_lie_where_the_published_extremes_do() -> None:
    # EIA weekly series: 0.953 on 1999-02-22 the lowest, 6.529 on 2026-09-21 the highest.
    with (RECORDS / "us_diesel_weekly.csv").open(encoding="utf-8", newline="") as stream:
        rows = [(row["date"], float(row["usd_per_gal"])) for row in csv.DictReader(stream)]
    dates = np.array([date for date, _ in rows], dtype="datetime64[D]")

    assert set(np.diff(dates).astype(int).tolist()) <= {6, 7, 8, 14}
    assert min(rows, key=lambda row: row[1]) == ("1999-02-22", 0.953)
    assert max(rows, key=lambda row: row[1]) == ("2026-09-21", 6.529)


def test_a_price_in_money_of_the_last_year_is_its_price_times_the_rise_of_all_prices() -> None:
    # 1995's 1.109 in money of 2025: 1.109 x 321.943 / 152.4 = 2.343.
    assert real_prices()[0] == pytest.approx(1.1092 * 321.943 / 152.4)
    assert real_prices()[-1] == pytest.approx(price_record()[-1].price)
