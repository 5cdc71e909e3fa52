"""Money over the years: growth, replacements, tax and resale, in two ledgers.

Year 0 is today; amounts of year y fall at its end and have grown from today's prices (the
convention of NIST Handbook 135). Inside this module a series is a list of arrays, one a year,
each of shape ``()`` or ``(draws,)``; a finished `Ledger` has the years on the first axis.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from econ.finance.worth import depreciation_shares
from econ.ground.units import Floats
from econ.model.inputs import FinanceInputs, Inputs, KitInputs
from econ.model.outcome import Ledger

_ZERO: Floats = np.zeros(())
Series = list[Floats]


@dataclass(frozen=True, slots=True)
class LedgerKind:
    """One way of counting: with one's own time unpaid, or paid."""

    key: str
    label: str
    help: str
    counts_labour: bool


LEDGERS = (
    LedgerKind(
        "time_free",
        "If your time is free",
        "Every cost but your own hours.",
        counts_labour=False,
    ),
    LedgerKind(
        "time_paid",
        "Paying you for your time",
        "Your own hours cost what they would earn elsewhere, after tax.",
        counts_labour=True,
    ),
)


@dataclass(frozen=True, slots=True)
class YearMoney:
    """One year's amounts at today's prices. [currency/yr]"""

    fuel_not_bought: Floats
    thinner: Floats
    thinner_tied: Floats
    """The part of the thinner bill whose price is a fuel's."""
    other: Floats
    """Every other cost line but kit and labour."""
    labour: Floats


@dataclass(frozen=True, slots=True)
class KitMoney:
    """What kit costs and brings over the years. [currency]"""

    cost: Floats
    bought: Series
    resale: Series
    depreciation: Series
    recovered: Series
    """After-tax resale of all in hand at the end of each year, before any replacement."""


def grown(rate: Floats, years: int) -> Series:
    """Give ``(1 + rate)^y`` for y = 0..years.

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
    """
    factors: Series = [np.ones(())]
    for _ in range(years):
        factors.append(factors[-1] * (1.0 + rate))
    return factors


def _sale(
    item: KitInputs, bought_at: int, sold_at: int, growth: Series, finance: FinanceInputs
) -> Floats:
    """Give what a sale brings for each unit of today's cost, after tax on gain over book."""
    price = growth[sold_at] * item.resale_share
    owned_still = item.owned and bought_at == 0
    if finance.depreciation == "none" or owned_still:
        return price
    shares = depreciation_shares(finance.depreciation, item.life_years)
    book = growth[bought_at] * max(0.0, 1.0 - sum(shares[: sold_at - bought_at]))
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
    finance = inputs.finance
    years = finance.years
    growth = grown(finance.inflation, years)
    bought, resale, depreciation, recovered = ([_ZERO] * (years + 1) for _ in range(4))
    cost: Floats = _ZERO
    for item in inputs.kit:
        cost = cost + item.cost
        shares = depreciation_shares(finance.depreciation, item.life_years)
        for start in range(0, years, item.life_years):
            end = min(start + item.life_years, years)
            price = item.cost * growth[start]
            if start > 0:
                bought[start] = bought[start] + price
            if not (item.owned and start == 0):
                for age, share in enumerate(shares[: end - start], start=1):
                    depreciation[start + age] = depreciation[start + age] + price * share
            for year in range(start + 1, end + 1):
                sold = item.cost * _sale(item, start, year, growth, finance)
                recovered[year] = recovered[year] + sold
            if end < years:
                resale[end] = resale[end] + sold
    return KitMoney(cost, bought, resale, depreciation, recovered)


def _yearly(
    first: YearMoney, later: YearMoney, pick: Callable[[YearMoney], Floats], growth: Series
) -> Series:
    """Grow an amount over the years: year 1 from the first year, the rest from the typical."""
    start, rest = pick(first), pick(later)
    return [
        _ZERO if y == 0 else (start if y == 1 else rest) * growth[y] for y in range(len(growth))
    ]


def _spread(series: dict[str, Series]) -> dict[str, Floats]:
    """Lay series of any shapes out alike, years first."""
    shape = np.broadcast_shapes(*(np.shape(v) for values in series.values() for v in values))
    found = {}
    for key, values in series.items():
        whole = np.empty((len(values), *shape))
        for y, value in enumerate(values):
            whole[y] = value
        found[key] = whole
    return found


def _savings(
    kind: LedgerKind, first: YearMoney, later: YearMoney, kit: KitMoney, finance: FinanceInputs
) -> Series:
    """Give the yearly saving after tax, depreciation's tax included."""
    general = grown(finance.inflation, finance.years)
    fuel = grown(finance.fuel_inflation, finance.years)
    by_fuel = _yearly(first, later, lambda m: m.fuel_not_bought - m.thinner, fuel)
    other = _yearly(
        first, later, lambda m: m.other + (m.labour if kind.counts_labour else 0.0), general
    )
    keep, tax = 1.0 - finance.tax_rate, finance.tax_rate
    return [
        (a - b) * keep + tax * c for a, b, c in zip(by_fuel, other, kit.depreciation, strict=True)
    ]


def _fuel_worth(first: YearMoney, later: YearMoney, finance: FinanceInputs) -> Floats:
    """Give the present value of all that moves with the fuel's price, after tax."""
    growth = grown(finance.fuel_inflation, finance.years)
    discount = grown(finance.discount_rate, finance.years)
    amounts = _yearly(first, later, lambda m: m.fuel_not_bought - m.thinner_tied, growth)
    total = sum((a / d for a, d in zip(amounts, discount, strict=True)), _ZERO)
    return total * (1.0 - finance.tax_rate)


def build_ledger(
    inputs: Inputs,
    kind: LedgerKind,
    years_money: tuple[YearMoney, YearMoney],
    kit: KitMoney,
    mean_price: Floats,
) -> Ledger:
    """Lay out one ledger's years.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    kind : LedgerKind
        Whether own labour counts.
    years_money : (YearMoney, YearMoney)
        The first and the typical year at today's prices. [currency/yr]
    kit : KitMoney
        From `kit_money`. [currency]
    mean_price : ndarray, shape (...,)
        Mean price of the fuel replaced in the typical year. [currency/L]

    Returns
    -------
    Ledger
        Arrays of shape ``(years + 1, ...)`` or ``(...,)``. [currency]

    Notes
    -----
    A loss earns its tax back against other income. Own labour is less tax too, as the pay
    given up elsewhere would be taxed.
    """
    finance = inputs.finance
    last = finance.years
    first, later = years_money
    saving = _savings(kind, first, later, kit, finance)
    keep = 1.0 - finance.tax_rate
    exits = [finance.exit_cost * g * keep for g in grown(finance.inflation, last)]
    flows = [s - b + r for s, b, r in zip(saving, kit.bought, kit.resale, strict=True)]
    flows[0] = flows[0] - kit.cost
    flows[last] = flows[last] + kit.recovered[last] - exits[last]
    whole = _spread(
        {
            "savings": saving,
            "bought": kit.bought,
            "resale": kit.resale,
            "recovered": kit.recovered,
            "exit_if_stopped": exits,
            "flows": flows,
        }
    )
    return Ledger(
        **whole,
        rate=finance.discount_rate,
        years=last,
        kit_cost=kit.cost,
        fuel_worth=_fuel_worth(first, later, finance),
        mean_price=mean_price,
    )
