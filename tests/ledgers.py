"""Ledgers of a few plain numbers, for tests of the measures."""

from collections.abc import Sequence

import numpy as np

from econ.ground.units import Floats
from econ.model.measures import measure
from econ.model.outcome import Ledger

Series = Sequence[float]


def plain_ledger(
    kit: float,
    savings: Series,
    rate: float = 0.0,
    *,
    bought: Series = (),
    recovered: float = 0.0,
    fuel: Series = (),
    price: float = float("nan"),
) -> Ledger:
    """Return a ledger: kit bought today, savings of years 1 to N, and what is said besides.

    `bought` are later purchases of years 1 to N, `recovered` what all fetches at the end, and
    `fuel` the fuel not bought in each year at a mean `price`, the part of savings that moves
    with the price.
    """
    years = len(savings)
    saving = np.array([0.0, *savings])
    later = np.array([0.0, *bought]) if bought else np.zeros(years + 1)
    end = np.zeros(years + 1)
    end[years] = recovered
    flows = saving - later + end
    flows[0] -= kit
    moving = np.array([0.0, *fuel]) if fuel else np.zeros(years + 1)
    worth = sum(amount / (1.0 + rate) ** y for y, amount in enumerate(fuel, start=1))
    return Ledger(
        rate=np.asarray(rate),
        real_rate=np.asarray(rate),
        years=years,
        kit_cost=np.asarray(kit),
        lines={},
        fuel_like=moving,
        other=saving - moving,
        path=(np.ones(()),) * (years + 1),
        savings=saving,
        bought=later,
        resale=np.zeros(years + 1),
        recovered=end,
        exit_if_stopped=np.zeros(years + 1),
        flows=flows,
        fuel_worth=np.asarray(float(worth)),
        mean_price=np.asarray(price),
    )


def measures_of(ledger: Ledger) -> dict[str, Floats]:
    """Return every measure of a ledger."""
    return measure(ledger)
