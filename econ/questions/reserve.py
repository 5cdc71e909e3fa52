"""How long the machines that must run last when nothing is delivered, and what a reserve costs.

>>> pump = Need(fuel=2.0, oil=2.0, thinner=1.0, which=0, may_blend=True)
>>> on_hand = Stock(clean_oil=20.0, diesel=10.0, thinners=(30.0,), is_diesel=(False,))
>>> longest = lasting([pump], on_hand)
>>> round(longest.days, 9), longest.binds
(15.0, 'clean oil')
"""

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats
from econ.model.changes import served_in, without_oil_reserve
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Blend, Outcome

CLEAN_OIL, THINNER = "clean oil", "thinner"


class Need(Struct, frozen=True):
    """What one machine that must run draws on each day. [L/day]"""

    fuel: float
    """Pump fuel, on a day on pump fuel."""
    oil: float
    """Clean oil, on a day on blend."""
    thinner: float
    """Thinner, on a day on blend."""
    which: int | None
    """Its thinner."""
    may_blend: bool


class Stock(Struct, frozen=True):
    """What is on hand. [L]"""

    clean_oil: float
    diesel: float
    thinners: tuple[float, ...]
    is_diesel: tuple[bool, ...]
    """Which thinners may be drawn from the pump fuel as well."""


class Lasting(Struct, frozen=True):
    """How long the stock lasts in one month."""

    days: float
    binds: str | None
    """What would have to grow for more days on blend; None where nothing may burn blend."""


def _constraints(needs: Sequence[Need], stock: Stock) -> tuple[Floats, Floats]:
    """Return the rows of the linear program: clean oil, pump fuel, then each thinner.

    Columns: days of all, then each machine's days on blend, then each thinner's volume drawn
    from the pump fuel. Days on pump fuel are the rest: all days less those on blend.
    """
    machines, thinners = len(needs), len(stock.thinners)
    rows = np.zeros((2 + thinners, 1 + machines + thinners))
    rows[1, 0] = sum(need.fuel for need in needs)
    for k, need in enumerate(needs, start=1):
        rows[0, k] = need.oil
        rows[1, k] = -need.fuel
        if need.which is not None:
            rows[2 + need.which, k] = need.thinner
    for k in range(thinners):
        rows[1, 1 + machines + k] = 1.0
        rows[2 + k, 1 + machines + k] = -1.0
    return rows, np.array([stock.clean_oil, stock.diesel, *stock.thinners])


def lasting(needs: Sequence[Need], stock: Stock) -> Lasting:
    """Return the longest that all machines run together.

    Parameters
    ----------
    needs : sequence of Need
        The machines, at least one, each with fuel above 0.
    stock : Stock
        What is on hand.

    Returns
    -------
    Lasting
        In days. Each machine runs each day on its blend or on pump fuel, and days may be
        parted. Raw oil counts for nothing.

    Notes
    -----
    A linear program, solved by HiGHS. For one machine whose thinner is no diesel it is
    ``D/e + min(C/(e R (1 - x)), T/(e R x))``.
    """
    # scipy.optimize takes longer to import than a decision: only who asks for days waits.
    from scipy.optimize import linprog

    rows, limits = _constraints(needs, stock)
    machines = len(needs)
    # No machine is on blend for more days than all run.
    both = np.zeros((machines, rows.shape[1]))
    both[:, 0] = -1.0
    both[np.arange(machines), np.arange(1, machines + 1)] = 1.0
    most = [None if need.may_blend else 0.0 for need in needs]
    drawn = [None if diesel else 0.0 for diesel in stock.is_diesel]
    # Volumes are told in units of the largest, so that the solver's tolerance is a share.
    unit = max(float(limits.max()), 1.0)
    result = linprog(
        c=[-1.0, *[0.0] * (rows.shape[1] - 1)],
        A_ub=np.vstack([rows, both]),
        b_ub=np.concatenate([limits / unit, np.zeros(machines)]),
        bounds=[(0.0, None), *((0.0, m) for m in most), *((0.0, d) for d in drawn)],
        method="highs",
    )
    days = -float(result.fun or 0.0) * unit
    if not any(need.may_blend for need in needs):
        return Lasting(days, None)
    prices = result.ineqlin.marginals
    held = prices is not None and float(np.ravel(prices)[0]) < -1e-9
    return Lasting(days, CLEAN_OIL if held else THINNER)


class Reserve(Struct, frozen=True):
    """What the stores of the typical year hold out, and what holding oil back costs."""

    months: tuple[Lasting, ...]
    """Twelve."""
    without: tuple[Lasting, ...]
    """The same plan with no oil held back."""
    diesel_alone: float
    """Days on the pump fuel on hand alone."""
    cost: dict[str, float]
    """By ledger, a year in today's money."""


def _needs(inputs: Inputs, blends: tuple[tuple[Blend, Blend], ...], month: int) -> list[Need]:
    """Return what each essential machine draws on in a month."""
    result = []
    for machine, pair in zip(inputs.machines, blends, strict=True):
        fuel = float(machine.essential_per_day)
        if fuel <= 0.0:
            continue
        blend = pair[1 if inputs.winter_months[month] else 0]
        may = (
            machine.blend_months[month]
            and float(machine.blend_share) > 0.0
            and not bool(blend.too_thick)
        )
        volume, x = fuel * float(blend.volume_per_replaced), float(blend.thinner_share)
        result.append(Need(fuel, volume * (1.0 - x), volume * x, machine.thinner, may))
    return result


@lru_cache(maxsize=24)
def _kept(needs: tuple[Need, ...], stock: Stock) -> Lasting:
    """Solve once what months share: stores that are full, or empty, at the end of most."""
    return lasting(needs, stock)


def _months(outcome: Outcome) -> tuple[Lasting, ...]:
    """Return how long each month's end holds out."""
    inputs = outcome.inputs
    kept = inputs.reserve.thinners or (np.zeros(()),) * len(inputs.thinners)
    result = []
    for month, shown in enumerate(outcome.typical.months):
        stock = Stock(
            clean_oil=float(shown.clean_end),
            diesel=float(inputs.reserve.diesel),
            thinners=tuple(float(volume) for volume in kept),
            is_diesel=tuple(thinner.kind == "diesel" for thinner in inputs.thinners),
        )
        result.append(_kept(tuple(_needs(inputs, outcome.blends, month)), stock))
    return tuple(result)


def reserve(outcome: Outcome) -> Reserve | None:
    """Look at a farm's days without delivery.

    Parameters
    ----------
    outcome : Outcome
        At expected values, with its months.

    Returns
    -------
    Reserve or None
        None where no machine is essential.
    """
    inputs = outcome.inputs
    essential = sum(float(machine.essential_per_day) for machine in inputs.machines)
    if essential <= 0.0:
        return None
    bare = outcome
    if float(inputs.reserve.clean_oil) > 0.0:
        bare = evaluate(served_in(without_oil_reserve(inputs), outcome.burn_order))

    def worth(of: Outcome, key: str) -> float:
        return float(of.ledgers[key].measures["equivalent_annual"])

    return Reserve(
        months=_months(outcome),
        without=_months(bare),
        diesel_alone=float(inputs.reserve.diesel) / essential,
        cost={key: worth(bare, key) - worth(outcome, key) for key in outcome.ledgers},
    )
