"""Looking back: the plan lived through each past stretch of years of fuel prices.

The record is what diesel cost in the United States, year by year, in money of one year. A plan
of N years is put at the start of every stretch of N years that the record covers: its own
price today, then moved as prices moved then. For another country it is a stand-in.

>>> round(float(real_prices()[-1] / price_record()[-1].price), 12)
1.0
"""

import csv
from functools import lru_cache
from pathlib import Path

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS

SOURCES = ("eia_diesel", "bls_cpi_u")


class PriceYear(Struct, frozen=True):
    """One whole year of the record."""

    year: int
    price: float
    """Mean retail price of No. 2 diesel. [USD/gal of that year]"""
    index: float
    """Consumer price index."""


@lru_cache(maxsize=1)
def price_record() -> tuple[PriceYear, ...]:
    """Read the price record.

    Returns
    -------
    tuple of PriceYear
        Year by year without a gap.

    References
    ----------
    .. [1] Source keys ``eia_diesel`` and ``bls_cpi_u``.
    """
    text = Path(__file__).with_name("us_diesel.csv").read_text(encoding="utf-8")
    return tuple(
        PriceYear(int(row["year"]), float(row["usd_per_gal"]), float(row["consumer_prices"]))
        for row in csv.DictReader(text.splitlines())
    )


def real_prices() -> Floats:
    """Return each year's price in money of the record's last year.

    Returns
    -------
    ndarray, shape (years of the record,)
        [USD/gal]
    """
    record = price_record()
    return np.array([row.price * record[-1].index / row.index for row in record])


class History(Struct, frozen=True):
    """What the plan would have been worth, begun in each year of the record that allows it."""

    years: int
    """Length of a stretch: the plan's years."""
    begun: tuple[int, ...]
    """The year whose price is today's."""
    npv: dict[str, Floats]
    """Worth by ledger, one a stretch. [currency]"""

    def ahead(self, ledger: str) -> int:
        """Count the stretches in which the plan comes out ahead."""
        return int(np.count_nonzero(self.npv[ledger] > 0.0))

    def worst(self, ledger: str) -> int:
        """Return the year in which the worst stretch began."""
        return self.begun[int(np.argmin(self.npv[ledger]))]

    def best(self, ledger: str) -> int:
        """Return the year in which the best stretch began."""
        return self.begun[int(np.argmax(self.npv[ledger]))]


def history(inputs: Inputs) -> History | None:
    """Work a plan through every past stretch of as many years as it has.

    Parameters
    ----------
    inputs : Inputs
        One farm at expected values, shape ``()``, its burn order settled.

    Returns
    -------
    History or None
        None where the record is shorter than the plan.

    Notes
    -----
    Year y of a stretch begun in s multiplies the fuel's price by real P(s + y) / P(s), and by
    ((1 + inflation) / (1 + fuel_inflation))^y, so that what the file bets on beyond inflation
    gives way to what prices did.
    """
    years = inputs.finance.years
    record, real = price_record(), real_prices()
    starts = np.arange(len(record) - years)
    if starts.size == 0:
        return None
    finance = inputs.finance
    apart = float((1.0 + finance.inflation) / (1.0 + finance.fuel_inflation))
    path = [real[starts + y] / real[starts] * apart**y for y in range(1, years + 1)]
    ledgers = evaluate(inputs, by_month=False, path=path, measures=()).ledgers
    return History(
        years,
        tuple(record[int(start)].year for start in starts),
        {
            kind.key: np.broadcast_to(ledgers[kind.key].measures["npv"], starts.shape)
            for kind in LEDGERS
        },
    )
