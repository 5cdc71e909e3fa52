"""What a plan is worth: every measure of a ledger, declared once.

Conventions: NIST Handbook 135 (end of year, base-date values), ASTM E1057 (rates of return),
ASTM E964 (savings-to-investment), ASTM E1121 (payback). Undefined measures are NaN.

Examples
--------
>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["wrenfold"])))
>>> ledger = outcome.ledgers["time_free"].ledger
>>> bool(measure(ledger, {"npv"})["npv"] == outcome.ledgers["time_free"].measures["npv"])
True
>>> bool(abs(running_balance(ledger)[-1] - sum(ledger.flows)) < 1e-9)
True
"""

from collections.abc import Callable, Collection, Mapping
from typing import Literal

import numpy as np
from msgspec import Struct, field

from econ.finance.worth import (
    average_rate,
    first_reach,
    irr,
    mirr,
    present_value,
    recovery_factor,
    running_sum,
    stays_reached,
)
from econ.ground.units import Floats
from econ.model.outcome import Ledger

Surface = Literal["terminal", "pages", "printed page", "workbook"]
SURFACES: tuple[Surface, ...] = ("terminal", "pages", "printed page", "workbook")


class Measure(Struct, frozen=True):
    """One figure of a ledger; shown on every surface that its row does not name."""

    key: str
    label: str
    term: str
    dimension: str
    help: str
    source: str
    value: Callable[[Ledger], Floats]
    not_on: Mapping[Surface, str] = field(default_factory=dict)
    """Where it is not shown, and why."""

    def on(self, surface: Surface) -> bool:
        """Say whether a surface shows it."""
        return surface not in self.not_on


# One plain rate of return stands there already; whoever compares rates reads the other surfaces.
_ONE_RATE: Mapping[Surface, str] = {
    "pages": "A second and third rate of return only confuse there."
}


def _npv(ledger: Ledger) -> Floats:
    return present_value(ledger.flows, ledger.rate)


def _irr(ledger: Ledger) -> Floats:
    return irr(ledger.flows)


def _mirr(ledger: Ledger) -> Floats:
    return mirr(ledger.flows, ledger.rate, ledger.rate)


def _investment(ledger: Ledger) -> Floats:
    """Return the present value of kit: bought now and later, less resale, plus the exit."""
    later = ledger.bought - ledger.resale
    last = ledger.years
    later[last] = later[last] - ledger.recovered[last] + ledger.exit_if_stopped[last]
    return ledger.kit_cost + present_value(later, ledger.rate)


def _sir(ledger: Ledger) -> Floats:
    investment = _investment(ledger)
    safe = np.where(investment > 0.0, investment, 1.0)
    ratio = present_value(ledger.savings, ledger.rate) / safe
    return np.where(investment > 0.0, ratio, np.nan)


def _airr(ledger: Ledger) -> Floats:
    return average_rate(_sir(ledger), ledger.rate, ledger.years)


def _equivalent_annual(ledger: Ledger) -> Floats:
    return _npv(ledger) * recovery_factor(ledger.real_rate, ledger.years)


def _running(ledger: Ledger, *, discounted: bool) -> Floats:
    """Return the running sum that pays the kit back; resale at the end and exit not counted."""
    amounts = ledger.savings - ledger.bought + ledger.resale
    if discounted:
        factor = np.ones(())
        for y in range(1, ledger.years + 1):
            factor = factor / (1.0 + ledger.rate)
            amounts[y] = amounts[y] * factor
    return running_sum(amounts)


def _payback(ledger: Ledger, *, discounted: bool) -> Floats:
    reached = first_reach(_running(ledger, discounted=discounted), ledger.kit_cost)
    saves = ledger.savings[min(2, ledger.years)] > 0.0
    return np.where(ledger.kit_cost > 0.0, reached, np.where(saves, 0.0, np.nan))


def _simple_payback(ledger: Ledger) -> Floats:
    return _payback(ledger, discounted=False)


def _discounted_payback(ledger: Ledger) -> Floats:
    return _payback(ledger, discounted=True)


def _stays_paid(ledger: Ledger) -> Floats:
    """Return 1 where the kit stays paid once it is, 0 where not, NaN where it never is."""
    running = _running(ledger, discounted=False)[1:]
    with_kit = stays_reached(running, ledger.kit_cost)
    never_below = np.ones(running.shape[1:], dtype=bool)
    for balance in running:
        never_below &= balance >= 0.0
    saves = ledger.savings[min(2, ledger.years)] > 0.0
    without = np.where(saves, np.where(never_below, 1.0, 0.0), np.nan)
    return np.where(ledger.kit_cost > 0.0, with_kit, without)


def price_factor(ledger: Ledger) -> Floats:
    """Find the factor on all fuel-like prices, pump fuels and thinners, at which npv is zero.

    NaN unless npv rises with the factor and the factor is positive.

    Parameters
    ----------
    ledger : Ledger
        Arrays of shape ``(...,)``.

    Returns
    -------
    ndarray, shape (...,)
        [-]
    """
    rises = ledger.fuel_worth > 0.0
    safe = np.where(rises, ledger.fuel_worth, 1.0)
    factor = 1.0 - _npv(ledger) / safe
    return np.where(rises & (factor > 0.0), factor, np.nan)


def _break_even_fuel_price(ledger: Ledger) -> Floats:
    return ledger.mean_price * price_factor(ledger)


def lost_if_stopped(ledger: Ledger) -> Floats:
    """Return what is lost by stopping at the end of year 1, 2 and 3, before replacements due then.

    Parameters
    ----------
    ledger : Ledger
        Arrays of shape ``(years + 1, ...)``.

    Returns
    -------
    ndarray, shape (up to 3, ...)
        Undiscounted, at that year's prices; 0 where nothing is lost. [currency]
    """
    kept = running_sum(ledger.savings - ledger.bought + ledger.resale)
    rows = []
    for y in range(1, min(3, ledger.years) + 1):
        swapped = ledger.bought[y] - ledger.resale[y]
        balance = kept[y] + swapped + ledger.recovered[y] - ledger.exit_if_stopped[y]
        rows.append(np.maximum(0.0, ledger.kit_cost - balance))
    return np.stack(rows)


def stop_below(ledger: Ledger) -> Floats:
    """Find the mean fuel price below which a plan already running is better stopped.

    Parameters
    ----------
    ledger : Ledger
        Arrays of shape ``(years + 1, ...)``.

    Returns
    -------
    ndarray, shape (years - 1, ...)
        For the end of each year from 1 to N - 1, before any replacement due then: the lowest
        mean price of the fuel replaced, at today's level of prices, at which carrying on to some
        later year is worth what stopping is. 0 where it would be negative, NaN where no later
        year gains by a dearer fuel. [currency/L]

    Notes
    -----
    One factor k moves all fuel-like prices of the years after y. With r the discount rate, k is
    the least, over stopping later at z, of the one that makes ``resale_y - bought_y + sum over
    y < t <= z of flow_t (1 + r)^(y - t) + (recovered_z - exit_z)(1 + r)^(y - z)`` equal to
    ``recovered_y - exit_y``, the flow of year z without its replacement.
    """
    last = ledger.years
    shape = np.shape(ledger.flows)[1:]
    rows = np.full((max(last - 1, 0), *shape), np.nan)
    discount = 1.0 / (1.0 + ledger.rate)
    for y in range(1, last):
        worth = (
            ledger.resale[y] - ledger.bought[y] - (ledger.recovered[y] - ledger.exit_if_stopped[y])
        )
        gained, factor = np.zeros(shape), np.ones(())
        least = np.full(shape, np.inf)
        for z in range(y + 1, last + 1):
            factor = factor * discount
            worth = worth + ledger.other[z] * factor
            gained = gained + ledger.fuel_like[z] * ledger.path[z] * factor
            ended = worth + (ledger.recovered[z] - ledger.exit_if_stopped[z]) * factor
            safe = np.where(gained > 0.0, gained, 1.0)
            least = np.where(gained > 0.0, np.minimum(least, -ended / safe), least)
            worth = worth + (ledger.resale[z] - ledger.bought[z]) * factor
        price = ledger.mean_price * np.maximum(0.0, np.where(np.isinf(least), 0.0, least))
        rows[y - 1] = np.where(np.isinf(least), np.nan, price)
    return rows


def running_balance(ledger: Ledger) -> Floats:
    """Return the running sum of all flows, year by year, undiscounted.

    Parameters
    ----------
    ledger : Ledger
        Arrays of shape ``(years + 1, ...)``.

    Returns
    -------
    ndarray, shape (years + 1, ...)
        [currency]
    """
    return running_sum(ledger.flows)


MEASURES = (
    Measure(
        "npv",
        "Worth in today's money",
        "net present value",
        "money",
        "All money in and out over the years, each year's discounted to today.",
        "nist_hb135",
        _npv,
    ),
    Measure(
        "irr",
        "Yearly return",
        "internal rate of return",
        "rate",
        "The one rate from 0 to 1,000 % (else the one below zero) at which the worth is zero.",
        "astm_e1057",
        _irr,
    ),
    Measure(
        "mirr",
        "Yearly return, reinvested at the discount rate",
        "modified internal rate of return",
        "rate",
        "Outlays brought to today and receipts carried to the end, both at the discount rate.",
        "excel_mirr",
        _mirr,
        _ONE_RATE,
    ),
    Measure(
        "sir",
        "Savings for each unit of money in kit",
        "savings-to-investment ratio",
        "ratio",
        "Present value of the savings divided by that of the kit, less resale, plus the exit.",
        "astm_e964",
        _sir,
    ),
    Measure(
        "airr",
        "Average yearly return",
        "adjusted internal rate of return",
        "rate",
        "(1 + discount rate) x (savings-to-investment ratio)^(1/years) - 1.",
        "nist_hb135",
        _airr,
        _ONE_RATE,
    ),
    Measure(
        "equivalent_annual",
        "Worth a year",
        "equivalent annual worth",
        "money",
        "The level yearly amount, in today's money, with the same worth today.",
        "nist_hb135",
        _equivalent_annual,
    ),
    Measure(
        "simple_payback",
        "Paid back in",
        "simple payback",
        "years",
        "First time the savings, less replacements, have covered the kit.",
        "astm_e1121",
        _simple_payback,
    ),
    Measure(
        "discounted_payback",
        "Paid back in, with interest",
        "discounted payback",
        "years",
        "The same with each year's amount discounted to today.",
        "astm_e1121",
        _discounted_payback,
    ),
    Measure(
        "stays_paid",
        "Stays paid back",
        "no second crossing",
        "flag",
        "Whether the running sum never falls below the kit's cost again.",
        "astm_e1121",
        _stays_paid,
    ),
    Measure(
        "break_even_fuel_price",
        "Do not start below",
        "break-even price",
        "price_per_volume",
        "Mean price of the fuel replaced at which the worth is zero; thinners move along.",
        "nist_hb135",
        _break_even_fuel_price,
    ),
)


ALWAYS = ("npv", "equivalent_annual")
"""Measures that others are made from."""


def measure(ledger: Ledger, wanted: Collection[str] | None = None) -> dict[str, Floats]:
    """Work out a ledger's measures.

    Parameters
    ----------
    ledger : Ledger
        Arrays of shape ``(years + 1, ...)``.
    wanted : collection of str, optional
        Keys of those to work out beside `ALWAYS`; all by default.

    Returns
    -------
    dict of str to ndarray
        In the order of `MEASURES`, NaN where undefined.
    """
    return {
        row.key: row.value(ledger)
        for row in MEASURES
        if wanted is None or row.key in wanted or row.key in ALWAYS
    }
