"""The kit over the plan's own years: bought, replaced, sold, and what ending the plan costs.

Year 0 is today; amounts of year y fall at its end. A series is a list of arrays, one a year.
"""

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from econ.finance.worth import depreciation_shares, real_rate, recovery_factor
from econ.ground.units import Floats, total
from econ.model.inputs import Inputs, KitInputs

_ZERO: Floats = np.zeros(())
Series = list[Floats]


class Purchase(Struct, frozen=True):
    """One piece of kit from the day it is bought (or kept) to the day it is sold."""

    item: KitInputs
    bought: int
    """Year. [yr]"""
    sold: int
    price: Floats
    """At today's prices, contingency included. [currency]"""
    fetches: Floats
    """What it would fetch soon after first use, at today's prices. [currency]"""
    kept: bool
    """Whether it was there already: neither deducted nor taxed when sold."""

    def resale(self, age: int) -> Floats:
        """Say what it fetches at an age, at today's prices.

        Parameters
        ----------
        age : int
            Years since it was bought, at most its life. [yr]

        Returns
        -------
        ndarray, shape (...,)
            Falling in a straight line to nothing at the end of its life. [currency]
        """
        return self.fetches * (1.0 - age / self.item.life_years)


class KitMoney(Struct, frozen=True):
    """What kit costs and brings over the years. [currency]"""

    cost: Floats
    bought: Series
    resale: Series
    """After tax, when an item is replaced."""
    depreciation: Series
    recovered: Series
    """After-tax resale of all in hand at the end of each year, before any replacement."""


def first_cost(inputs: Inputs, item: KitInputs) -> Floats:
    """Say what an item costs at its first purchase, contingency included unless it is owned.

    Parameters
    ----------
    inputs : Inputs
        The farm, for its contingency.
    item : KitInputs
        One of its pieces of kit.

    Returns
    -------
    ndarray, shape (...,)
        [currency]
    """
    return item.cost if item.owned else item.cost * (1.0 + inputs.finance.kit_contingency)


def kit_cost(inputs: Inputs, *, to_buy_only: bool = False) -> Floats:
    """Add up the kit at its first purchase, all of it or only what is not there yet.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    to_buy_only : bool
        Whether owned kit is left out.

    Returns
    -------
    ndarray, shape (...,)
        [currency]
    """
    return total(
        [first_cost(inputs, item) for item in inputs.kit if not (to_buy_only and item.owned)]
    )


def exit_cost(inputs: Inputs) -> Floats:
    """Add up what ending the plan costs, at today's prices and before tax.

    Parameters
    ----------
    inputs : Inputs
        The farm.

    Returns
    -------
    ndarray, shape (...,)
        Emptying and cleaning up, getting rid of kit, and what buyers take off for machines
        that may burn blend. [currency]
    """
    losses = [machine.resale_loss for machine in inputs.machines if machine.may_burn]
    return inputs.finance.exit_cost + total([item.exit_cost for item in inputs.kit]) + total(losses)


def purchases(inputs: Inputs) -> Iterator[Purchase]:
    """Go through all that is bought over the plan's years, item by item.

    Parameters
    ----------
    inputs : Inputs
        The farm.

    Yields
    ------
    Purchase
        The first of each item, then one at each multiple of its life below the plan's years.
    """
    years = inputs.finance.years
    for item in inputs.kit:
        for start in range(0, years, item.life_years):
            end = min(start + item.life_years, years)
            kept = item.owned and start == 0
            price = first_cost(inputs, item) if start == 0 else item.new_cost
            value = item.cost if start == 0 else item.new_cost
            fetches = value if kept else value * item.resale_share
            yield Purchase(item, start, end, price, fetches, kept)


def kit_per_year(inputs: Inputs) -> Floats:
    """Spread the kit over the plan's own years, with what ending it costs, before tax.

    Parameters
    ----------
    inputs : Inputs
        The farm.

    Returns
    -------
    ndarray, shape (...,)
        Level, at today's prices: purchases less resale plus the exit, at the real rate, times
        the capital recovery factor of the plan's years. [currency/yr]
    """
    finance = inputs.finance
    rate = real_rate(finance.discount_rate, finance.inflation)
    discount = grown(rate, finance.years)
    worth = exit_cost(inputs) / discount[finance.years]
    for purchase in purchases(inputs):
        age = purchase.sold - purchase.bought
        worth = worth + purchase.price / discount[purchase.bought]
        worth = worth - purchase.resale(age) / discount[purchase.sold]
    return recovery_factor(rate, finance.years) * worth


def grown(rate: Floats, years: int) -> Series:
    """Work out ``(1 + rate)^y`` for y = 0..years.

    Parameters
    ----------
    rate : ndarray, shape (...,)
        Yearly growth. [1/yr]
    years : int
        Last year. [yr]

    Returns
    -------
    list of ndarray, one a year
        [-]

    Examples
    --------
    >>> [float(factor) for factor in grown(np.asarray(0.5), 2)]
    [1.0, 1.5, 2.25]
    """
    factors: Series = [np.ones(())]
    for _ in range(years):
        factors.append(factors[-1] * (1.0 + rate))
    return factors


def _sale(inputs: Inputs, purchase: Purchase, year: int, growth: Series) -> Floats:
    """Work out what a sale in a year brings, after tax on the gain over book value."""
    finance = inputs.finance
    age = year - purchase.bought
    price = growth[year] * purchase.resale(age)
    if finance.depreciation == "none" or purchase.kept:
        return price
    shares = depreciation_shares(finance.depreciation, purchase.item.life_years)
    left = max(0.0, 1.0 - sum(shares[:age]))
    book = purchase.price * growth[purchase.bought] * left
    return price - finance.tax_rate * (price - book)


def kit_money(inputs: Inputs) -> KitMoney:
    """Work out outlays, resale and depreciation of all kit over the years.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.

    Returns
    -------
    KitMoney
        Series over the years 0..N. [currency]

    Notes
    -----
    An item is bought now (unless owned) and again at each multiple of its life below N, when
    the old one is sold. Depreciation is taken on each purchase's nominal price from the year
    after it is bought (tables of IRS Publication 946), none after the item is sold; owned kit
    is not depreciated and its first sale not taxed.
    """
    years = inputs.finance.years
    growth = grown(inputs.finance.inflation, years)
    bought, resale, depreciation, recovered = ([_ZERO] * (years + 1) for _ in range(4))
    for purchase in purchases(inputs):
        start, end = purchase.bought, purchase.sold
        price = purchase.price * growth[start]
        if start > 0:
            bought[start] = bought[start] + price
        if not purchase.kept:
            shares = depreciation_shares(inputs.finance.depreciation, purchase.item.life_years)
            for age, share in enumerate(shares[: end - start], start=1):
                depreciation[start + age] = depreciation[start + age] + price * share
        for year in range(start + 1, end + 1):
            sold = _sale(inputs, purchase, year, growth)
            recovered[year] = recovered[year] + sold
        if end < years:
            resale[end] = resale[end] + sold
    return KitMoney(kit_cost(inputs), bought, resale, depreciation, recovered)
