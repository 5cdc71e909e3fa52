"""Make the price record of `econ` from the weekly one; only on purpose.

Run as ``python tests/records/annual_prices.py``. ``us_diesel_weekly.csv`` is the retail price of
No. 2 diesel, all US, every Monday (EIA series EMD_EPD2D_PTE_NUS_DPG); ``us_consumer_prices.csv``
the annual averages of the CPI-U, all items, US city average (BLS series CUUR0000SA0, M13).
"""

import csv
from decimal import Decimal
from pathlib import Path

HERE = Path(__file__).parent
RECORD = HERE.parents[1] / "econ" / "questions" / "us_diesel.csv"
# A year with fewer weeks is not a whole one.
WHOLE_YEAR = 52


def _rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def annual() -> list[tuple[int, float, float]]:
    """Return each whole year, its mean price of a gallon and its consumer price index.

    The means are of decimals: as floats, a mean half-way between two ten-thousandths is rounded up
    by one version of Python and down by another.
    """
    weeks: dict[int, list[Decimal]] = {}
    for row in _rows("us_diesel_weekly.csv"):
        weeks.setdefault(int(row["date"][:4]), []).append(Decimal(row["usd_per_gal"]))
    index = {int(row["year"]): float(row["index"]) for row in _rows("us_consumer_prices.csv")}
    return [
        (year, float(round(sum(prices) / len(prices), 4)), index[year])
        for year, prices in sorted(weeks.items())
        if len(prices) >= WHOLE_YEAR and year in index
    ]


if __name__ == "__main__":
    lines = [f"{year},{price},{index}" for year, price, index in annual()]
    text = "\n".join(["year,usd_per_gal,consumer_prices", *lines]) + "\n"
    RECORD.write_text(text, encoding="utf-8")
