"""Money over the years: growth, replacements, tax and resale, in two ledgers.

Year 0 is today; amounts of year y fall at its end and have grown from today's prices (the
convention of NIST Handbook 135). Inside this module a series is a list of arrays, one a year,
each of shape ``()`` or ``(draws,)``; a finished `Ledger` has the years on the first axis.
Each kind of money in and out is declared once, in `FLOW_LINES`: a ledger is their sum.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> len(whole_path(inputs, None)) == inputs.finance.years + 1
True
"""

from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np
from msgspec import Struct

from econ.finance.worth import real_rate
from econ.ground.units import Floats, total
from econ.model.inputs import Inputs
from econ.model.kit import KitMoney, Series, exit_cost, grown
from econ.model.outcome import Ledger

_ZERO: Floats = np.zeros(())
_ONE: Floats = np.ones(())


class LedgerKind(Struct, frozen=True):
    """One way of counting: with one's own time unpaid, or paid."""

    key: str
    label: str
    short: str
    """Where there is little room."""
    help: str
    counts_labour: bool


LEDGERS = (
    LedgerKind(
        "time_free",
        "If your time is free",
        "Time free",
        "Every cost but your own hours.",
        counts_labour=False,
    ),
    LedgerKind(
        "time_paid",
        "Paying you for your time",
        "Time paid",
        "Your own hours cost what they would earn elsewhere, after tax.",
        counts_labour=True,
    ),
)


class YearMoney(Struct, frozen=True):
    """One year's amounts at today's prices. [currency/yr]"""

    fuel_like: Floats
    """Fuel not bought less the costs that move with the price of fuel."""
    other: Floats
    """Every other cost line but kit and one's own time."""
    labour: Floats


class YearsMoney(Struct, frozen=True):
    """What a flow line may look at: series over the years 0..N. [currency]"""

    inputs: Inputs
    fuel_like: Series
    """Fuel not bought less thinner, grown, the path of prices in it."""
    other: Series
    labour: Series
    """Nothing where own time does not count."""
    kit: KitMoney
    exit: Series
    """What ending the plan costs, were it ended at the end of each year; before tax."""
    loan_principal: Series
    loan_interest: Series


class FlowLine(Struct, frozen=True):
    """One kind of money in or out over the years."""

    key: str
    label: str
    help: str
    part: Literal["saving", "kit", "exit", "loan"]
    """Of what it is a part: the yearly saving, the investment, the end, or a loan beside."""
    taxed: Callable[[Inputs], bool]
    """Whether the tax rate is taken off it (or, for a cost, gives some of it back)."""
    grows_with: Literal["fuel", "prices", "nothing"]
    amount: Callable[[YearsMoney], Series]
    """Money in above 0, out below; before tax where it is taxed. [currency]"""


def _always(_: Inputs) -> bool:
    return True


def _never(_: Inputs) -> bool:
    return False


def _wage_taxed(inputs: Inputs) -> bool:
    return inputs.labour.wage_taxed


def _negative(series: Series) -> Series:
    return [-amount for amount in series]


def _only_last(series: Series) -> Series:
    return [_ZERO] * (len(series) - 1) + [series[-1]]


def _purchases(money: YearsMoney) -> Series:
    return [-money.kit.cost, *_negative(money.kit.bought[1:])]


def _resale(money: YearsMoney) -> Series:
    last = money.kit.resale[-1] + money.kit.recovered[-1]
    return [*money.kit.resale[:-1], last]


def _relief(money: YearsMoney) -> Series:
    rate = money.inputs.finance.tax_rate
    return [rate * deducted for deducted in money.kit.depreciation]


FLOW_LINES = (
    FlowLine(
        "fuel",
        "Fuel not bought, less thinner",
        "All that moves with the price of fuel.",
        "saving",
        _always,
        "fuel",
        lambda money: money.fuel_like,
    ),
    FlowLine(
        "costs",
        "Other costs",
        "Every other cost of the year but kit and your own time.",
        "saving",
        _always,
        "prices",
        lambda money: _negative(money.other),
    ),
    FlowLine(
        "own_time",
        "Your own time",
        "Your own hours at your wage, where this way of counting pays them.",
        "saving",
        _wage_taxed,
        "prices",
        lambda money: _negative(money.labour),
    ),
    FlowLine(
        "depreciation",
        "Tax saved by deducting the kit",
        "The tax rate times the year's depreciation.",
        "saving",
        _never,
        "nothing",
        _relief,
    ),
    FlowLine(
        "kit",
        "Kit bought",
        "Kit today, contingency included, and what replaces it later.",
        "kit",
        _never,
        "prices",
        _purchases,
    ),
    FlowLine(
        "resale",
        "Kit sold, after tax",
        "When it is replaced and at the end, less tax on the gain over book value.",
        "kit",
        _never,
        "prices",
        _resale,
    ),
    FlowLine(
        "exit",
        "Cost of stopping",
        "Emptying and cleaning up, getting rid of kit, what a machine's buyer takes off.",
        "exit",
        _always,
        "prices",
        lambda money: _only_last(_negative(money.exit)),
    ),
    FlowLine(
        "principal",
        "Loan paid back",
        "The part of the payments that is not interest. Beside the ledgers, in neither.",
        "loan",
        _never,
        "nothing",
        lambda money: _negative(money.loan_principal),
    ),
    FlowLine(
        "interest",
        "Interest on the loan",
        "The rest of the payments. Beside the ledgers, in neither.",
        "loan",
        _always,
        "nothing",
        lambda money: _negative(money.loan_interest),
    ),
)
TAX = "tax"
"""Key of the line that all taxed ones share."""
TAX_LABEL = "Tax on what is taxed"


def _years(first: Floats, later: Floats, growth: Series) -> Series:
    """Grow an amount over the years: year 1 from the first year, the rest from the typical."""
    return [
        _ZERO if y == 0 else (first if y == 1 else later) * growth[y] for y in range(len(growth))
    ]


def _spread(series: dict[str, Series], rate: Floats) -> dict[str, Floats]:
    """Lay series of any shapes out alike, years first; the rate may be the only guess."""
    shape = np.broadcast_shapes(
        np.shape(rate), *(np.shape(v) for values in series.values() for v in values)
    )
    laid = {}
    for key, values in series.items():
        whole = np.empty((len(values), *shape))
        for y, value in enumerate(values):
            whole[y] = value
        laid[key] = whole
    return laid


def own_hours_worth(inputs: Inputs, first: Floats, typical: Floats) -> Floats:
    """Work out the present value of one unit of pay for each of one's own hours.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    first, typical : ndarray, shape (...,)
        Own hours of the first year and of each later one. [h/yr]

    Returns
    -------
    ndarray, shape (...,)
        Growing with prices, after tax where the wage is taxed. [h]
    """
    finance = inputs.finance
    keep = 1.0 - finance.tax_rate if inputs.labour.wage_taxed else _ONE
    growth = grown(finance.inflation, finance.years)
    discount = grown(finance.discount_rate, finance.years)
    paid = _years(first, typical, growth)
    return keep * total([hours / d for hours, d in zip(paid, discount, strict=True)])


def whole_path(inputs: Inputs, path: Sequence[Floats] | None) -> tuple[Floats, ...]:
    """Return the path of fuel-like prices for the years 0..N.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    path : sequence of ndarray, shape (...,) each, optional
        For each year from 1 to N, what multiplies its fuel-like prices. [-]

    Returns
    -------
    tuple of ndarray
        Ones without a path. [-]

    Raises
    ------
    ValueError
        If the path has not one entry a year.
    """
    years = inputs.finance.years
    if path is None:
        return (_ONE,) * (years + 1)
    if len(path) != years:
        message = f"a path of {years} years is wanted, one entry a year; got {len(path)}"
        raise ValueError(message)
    return (_ONE, *path)


def _money(
    inputs: Inputs,
    kind: LedgerKind,
    years_money: tuple[YearMoney, YearMoney],
    kit: KitMoney,
    fuel_like: Series,
) -> YearsMoney:
    """Lay a ledger's amounts out over the years."""
    first, later = years_money
    last = inputs.finance.years
    growth = grown(inputs.finance.inflation, last)
    nothing: Series = [_ZERO] * (last + 1)
    leaving = exit_cost(inputs)
    labour = _years(first.labour, later.labour, growth) if kind.counts_labour else nothing
    return YearsMoney(
        inputs=inputs,
        fuel_like=fuel_like,
        other=_years(first.other, later.other, growth),
        labour=labour,
        kit=kit,
        exit=[leaving * g for g in growth],
        loan_principal=nothing,
        loan_interest=nothing,
    )


def _lines(money: YearsMoney) -> tuple[dict[str, Series], Series]:
    """Work out the lines that a ledger is the sum of, and its yearly saving after tax."""
    inputs = money.inputs
    years = range(inputs.finance.years + 1)
    lines: dict[str, Series] = {}
    taxed: Series = [_ZERO for _ in years]
    saving: Series = [_ZERO for _ in years]
    for line in FLOW_LINES:
        if line.part == "loan":
            continue
        amounts = lines[line.key] = line.amount(money)
        pays = line.taxed(inputs)
        keep = 1.0 - inputs.finance.tax_rate if pays else _ONE
        if pays:
            taxed = [a + b for a, b in zip(taxed, amounts, strict=True)]
        if line.part == "saving":
            saving = [a + b * keep for a, b in zip(saving, amounts, strict=True)]
    lines[TAX] = [-inputs.finance.tax_rate * amount for amount in taxed]
    return lines, saving


class FuelMoney(Struct, frozen=True):
    """What moves with the price of fuel, over the years 0..N: one in both ledgers. [currency]"""

    path: tuple[Floats, ...]
    """What multiplies each year. [-]"""
    still: Series
    """After tax, on no path."""
    moved: Series
    """Before tax, the path in it."""
    kept: Series
    """The same after tax."""
    worth: Floats
    """Present value after tax."""


def fuel_money(
    inputs: Inputs,
    years_money: tuple[YearMoney, YearMoney],
    path: Sequence[Floats] | None = None,
) -> FuelMoney:
    """Lay fuel not bought less thinner out over the years.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    years_money : (YearMoney, YearMoney)
        The first and the typical year at today's prices. [currency/yr]
    path : sequence of ndarray, shape (...,) each, optional
        For each year from 1 to N, each of shape ``()`` or ``(draws,)``, what multiplies that
        year's fuel not bought and thinner; refund, duty and all else stay. Ones by default. [-]

    Returns
    -------
    FuelMoney

    Raises
    ------
    ValueError
        If the path has not one entry a year.
    """
    finance, (first, later) = inputs.finance, years_money
    keep = 1.0 - finance.tax_rate
    moves = whole_path(inputs, path)
    growth = grown(inputs.finance.fuel_inflation, inputs.finance.years)
    still = _years(first.fuel_like, later.fuel_like, growth)
    moved = still if path is None else [a * m for a, m in zip(still, moves, strict=True)]
    discount = grown(finance.discount_rate, finance.years)
    return FuelMoney(
        path=moves,
        still=[amount * keep for amount in still],
        moved=moved,
        kept=[amount * keep for amount in moved],
        worth=keep * total([a / d for a, d in zip(moved, discount, strict=True)]),
    )


def build_ledger(
    inputs: Inputs,
    kind: LedgerKind,
    years_money: tuple[YearMoney, YearMoney],
    kit: KitMoney,
    mean_price: Floats,
    fuel: FuelMoney,
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
    fuel : FuelMoney
        From `fuel_money`. [currency]

    Returns
    -------
    Ledger
        Arrays of shape ``(years + 1, ...)`` or ``(...,)``. [currency]

    Notes
    -----
    A loss earns its tax back against other income. Own labour is less tax too where the pay
    given up elsewhere would be taxed.
    """
    finance = inputs.finance
    keep = 1.0 - finance.tax_rate
    money = _money(inputs, kind, years_money, kit, fuel.moved)
    lines, saving = _lines(money)
    whole = _spread(
        {
            "fuel_like": fuel.still,
            "other": [s - a for s, a in zip(saving, fuel.kept, strict=True)],
            "savings": saving,
            "bought": kit.bought,
            "resale": kit.resale,
            "recovered": kit.recovered,
            "exit_if_stopped": [amount * keep for amount in money.exit],
            "flows": [total(amounts) for amounts in zip(*lines.values(), strict=True)],
        },
        finance.discount_rate,
    )
    return Ledger(
        **whole,
        rate=finance.discount_rate,
        real_rate=real_rate(finance.discount_rate, finance.inflation),
        years=finance.years,
        kit_cost=kit.cost,
        lines={key: tuple(series) for key, series in lines.items()},
        path=fuel.path,
        fuel_worth=fuel.worth,
        mean_price=mean_price,
    )
