"""Free to stop any New Year's Day: what a plan is worth when a bad run of prices ends it.

At the end of a year the price's path so far is known, and the plan may go on to any later year
or stop. It goes on while the best of those, at the prices then to be expected, is worth at
least what stopping brings. That is a rule anyone can follow, not the best there is: the worth it
gives is a lower bound of what the freedom to stop brings.

>>> a_year, none = np.array([[0.0], [10.0], [10.0]]), np.zeros((3, 1))
>>> money = Yearly(a_year, none, none, none, kit_cost=np.array([15.0]), rate=np.array(0.0))
>>> last_years(money, PricePath(swing=0.0, pull=0.0, years=2), none).tolist()
[2]
>>> worth_with_stopping(money, np.ones((3, 1)), np.array([2])).tolist()
[5.0]
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.ground.recent import Recent
from econ.ground.units import Floats
from econ.model.outcome import Ledger
from econ.questions.price_path import PricePath

_HOPES: Recent[list[Floats]] = Recent(1)


class Yearly(Struct, frozen=True):
    """A ledger's years in draws, fuel apart from all else; year 0 first. [currency]"""

    fuel: Floats
    """After tax, what moves with the fuel's price, at prices that hold still: (years + 1, n)."""
    other: Floats
    """The rest of the yearly saving after tax, depreciation's tax included."""
    swapped: Floats
    """After-tax resale of what is replaced less its replacements."""
    stopped: Floats
    """After-tax resale of all kit in hand less the exit, were the plan stopped."""
    kit_cost: Floats
    """Paid today: (n,)."""
    rate: Floats
    """Discount rate: (n,) or (). [1/yr]"""

    @property
    def years(self) -> int:
        """Return the last year."""
        return len(self.fuel) - 1


def yearly_of(ledger: Ledger) -> Yearly:
    """Read a ledger's years.

    Parameters
    ----------
    ledger : Ledger
        Arrays of shape ``(years + 1, n)``.

    Returns
    -------
    Yearly
    """
    return Yearly(
        ledger.fuel_like,
        ledger.other,
        ledger.resale - ledger.bought,
        ledger.recovered - ledger.exit_if_stopped,
        ledger.kit_cost,
        ledger.rate,
    )


def _hopes(path: PricePath, states: Floats) -> list[Floats]:
    """Return what each later year's price is expected to be, the last year first.

    Rows are the years before it: from each, it looks another way. Both ledgers hope alike.
    """
    return _HOPES.of(
        (path, states),
        lambda: [path.expected(states[1:later], later) for later in range(path.years, 1, -1)],
    )


def carrying_on(money: Yearly, path: PricePath, states: Floats) -> Floats:
    """Return what carrying on is worth at the end of each year but the last.

    Parameters
    ----------
    money : Yearly
        Of n draws.
    path : PricePath
        How prices wander.
    states : ndarray, shape (years + 1, n)
        How far they have wandered by each year. [-]

    Returns
    -------
    ndarray, shape (years - 1, n)
        In that year's money, before any replacement due then: the best, over stopping at any
        later year, of what comes in on average from there. [currency]
    """
    last = money.years
    shape = np.broadcast_shapes(states.shape[1:], np.shape(money.kit_cost))
    worth = np.empty((last - 1, *shape))
    discount = 1.0 / (1.0 + money.rate)
    for later, seen in zip(range(last, 1, -1), _hopes(path, states), strict=True):
        onward: Floats = money.stopped[later]
        if later < last:
            onward = np.maximum(onward, money.swapped[later] + discount * worth[: later - 1])
        worth[: later - 1] = seen * money.fuel[later] + money.other[later] + onward
    for year in range(1, last):
        worth[year - 1] = money.swapped[year] + discount * worth[year - 1]
    return worth


def last_years(money: Yearly, path: PricePath, states: Floats) -> NDArray[np.int64]:
    """Return the year at whose end each draw stops.

    Parameters
    ----------
    money : Yearly
        Of n draws.
    path : PricePath
        How prices wander.
    states : ndarray, shape (years + 1, n)
        How far they have wandered by each year. [-]

    Returns
    -------
    ndarray of int, shape (n,)
        The first year at whose end carrying on is worth less than stopping; the plan's last
        year where there is none.
    """
    last = money.years
    if last < 2:
        return np.full(states.shape[1], last)
    ends = carrying_on(money, path, states) < money.stopped[1:last]
    return np.where(ends.any(axis=0), np.argmax(ends, axis=0) + 1, last)


def worth_with_stopping(money: Yearly, multipliers: Floats, ends: NDArray[np.int64]) -> Floats:
    """Return the net present value of plans that end at the years given.

    Parameters
    ----------
    money : Yearly
        Of n draws.
    multipliers : ndarray, shape (years + 1, n)
        On each year's fuel. [-]
    ends : ndarray of int, shape (n,)
        From `last_years`.

    Returns
    -------
    ndarray, shape (n,)
        [currency]
    """
    worth = np.zeros(ends.shape) - money.kit_cost
    factor = np.ones(np.shape(money.rate))
    for year in range(1, money.years + 1):
        factor = factor / (1.0 + money.rate)
        saving = multipliers[year] * money.fuel[year] + money.other[year]
        after = np.where(ends > year, money.swapped[year], money.stopped[year])
        worth = worth + np.where(ends >= year, factor * (saving + after), 0.0)
    return worth
