"""The one path from inputs to outcome: pure, the same for one scenario and a million draws.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> outcome = evaluate(inputs)
>>> sorted(outcome.ledgers)
['time_free', 'time_paid']
>>> year = outcome.typical.fuel
>>> bool(year["blend"] >= year["oil_used"])
True
"""

from collections.abc import Collection, Sequence

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats, total
from econ.model.blends import machine_blends, oil_pool
from econ.model.costs import (
    COST_LINES,
    Bill,
    borne_costs,
    burned_of,
    costs_of_year,
    hours_of_year,
    rungs,
    savings,
)
from econ.model.inputs import Inputs
from econ.model.kit import kit_cost, kit_money, kit_per_year
from econ.model.ledger import LEDGERS, YearMoney, build_ledger, fuel_money, own_hours_worth
from econ.model.measures import measure
from econ.model.months import simulate
from econ.model.oil_money import burn_order
from econ.model.outcome import Blend, Flows, LedgerResult, MachineYear, Month, Outcome, Pool, Year

# Which of the typical year's savings each ledger's worth a year is held against.
_LAST_SAVING = {"time_free": "after_kit", "time_paid": "after_labour"}


def _fuel(inputs: Inputs, flows: Flows, hours: Floats) -> dict[str, Floats]:
    """Gather the year's volumes and hours by the names of the JSON document."""
    return {
        "blend": total(flows.blend),
        "oil_used": total(flows.oil_used),
        "oil_collected": total([oil.taken for oil in flows.oils]),
        "oil_processed": flows.processed,
        "thinner": total(flows.thinner),
        "fuel_replaced": total(flows.fuel_replaced),
        "fuel_without_plan": total([machine.fuel_per_year for machine in inputs.machines]),
        "hours": hours,
        "own_hours": hours * (1.0 - inputs.labour.hired_share),
        "trips": total([oil.trips for oil in flows.oils]),
    }


def _machines(
    inputs: Inputs, flows: Flows, borne: list[dict[str, Floats]]
) -> tuple[MachineYear, ...]:
    """Gather each machine's year and what it saves by itself."""
    return tuple(
        MachineYear(
            oil_used=flows.oil_used[k],
            blend=flows.blend[k],
            thinner=flows.thinner[k],
            fuel_replaced=flows.fuel_replaced[k],
            costs=borne[k],
            saving=flows.fuel_replaced[k] * inputs.prices[machine.replaces]
            - total(borne[k].values()),
        )
        for k, machine in enumerate(inputs.machines)
    )


def _year(bill: Bill, months: tuple[Month, ...]) -> Year:
    """Put money on one year's flows."""
    inputs, flows = bill.inputs, bill.flows
    fuel = _fuel(inputs, flows, hours_of_year(bill))
    borne = [borne_costs(burned_of(inputs, k, flows)) for k in range(len(inputs.machines))]
    costs = costs_of_year(bill, borne)
    not_bought = total(
        [
            replaced * inputs.prices[machine.replaces]
            for machine, replaced in zip(inputs.machines, flows.fuel_replaced, strict=True)
        ]
    )
    return Year(
        flows=flows,
        fuel=fuel,
        costs=costs,
        per_blend=rungs(costs, fuel["blend"]),
        per_replaced=rungs(costs, fuel["fuel_replaced"]),
        savings=savings(costs, not_bought),
        machines=_machines(inputs, flows, borne),
        months=months,
    )


def _money(year: Year) -> YearMoney:
    """Sort a year's amounts by how they grow."""
    kinds = {line.key: (line.kind, line.grows_with) for line in COST_LINES}

    def added(kind: str, growth: str) -> Floats:
        return total([year.costs[key] for key, of in kinds.items() if of == (kind, growth)])

    return YearMoney(
        fuel_like=year.savings["fuel_not_bought"] - added("cost", "fuel"),
        other=added("cost", "prices"),
        labour=added("own time", "prices"),
    )


def _each(amount: Floats, volume: Floats) -> Floats:
    """Divide where there is something to divide by; NaN elsewhere."""
    return np.where(volume > 0.0, amount / np.where(volume > 0.0, volume, 1.0), np.nan)


class Volumes(Struct, frozen=True):
    """What a farm burns and brings in: all that no price touches once the order is settled."""

    pool: Pool
    blends: tuple[tuple[Blend, Blend], ...]
    """By machine: outside winter, in winter."""
    burn_order: tuple[int, ...]
    first_year: Flows
    typical: Flows
    first_months: tuple[Month, ...]
    typical_months: tuple[Month, ...]


def volumes_of(inputs: Inputs, *, by_month: bool = True) -> Volumes:
    """Work out blends, order of serving and the months of a farm.

    Parameters
    ----------
    inputs : Inputs
        As for `evaluate`.
    by_month : bool
        As for `evaluate`.

    Returns
    -------
    Volumes

    Raises
    ------
    ValueError
        As `evaluate`, where a batch has no burn order.
    """
    pool = oil_pool(inputs)
    blends = machine_blends(inputs, pool)
    order = inputs.burn_order
    if order is None:
        order = burn_order(inputs, blends)
    first, typical = simulate(inputs, blends, order, by_month=by_month)
    return Volumes(pool, blends, order, first[0], typical[0], first[1], typical[1])


def evaluate(
    inputs: Inputs,
    *,
    by_month: bool = True,
    path: Sequence[Floats] | None = None,
    measures: Collection[str] | None = None,
) -> Outcome:
    """Work a farm through: blends, months, costs, savings, ledgers, measures.

    Parameters
    ----------
    inputs : Inputs
        The farm in canonical units; each number of shape ``()`` or ``(draws,)``.
    by_month : bool
        Whether the outcome's years carry their twelve months; a batch of draws needs none.
    path : sequence of ndarray, optional
        For each year from 1 to N, each of shape ``()`` or ``(draws,)``, what multiplies that
        year's fuel not bought and thinner in the ledgers; figures of the first and the typical
        year are at today's prices whatever the path. Ones by default. [-]
    measures : collection of str, optional
        Keys of the ledgers' measures to work out, as for `measure`; a batch may need few.

    Returns
    -------
    Outcome
        Arrays of the inputs' shape, NaN where a figure is undefined.

    Raises
    ------
    ValueError
        If `inputs` is a batch without a burn order, which is found from one set of values, or
        if the path has not one entry a year.
    """
    return at_prices(inputs, volumes_of(inputs, by_month=by_month), path=path, measures=measures)


def at_prices(
    inputs: Inputs,
    volumes: Volumes,
    *,
    path: Sequence[Floats] | None = None,
    measures: Collection[str] | None = None,
) -> Outcome:
    """Put money on volumes that were worked out before.

    Parameters
    ----------
    inputs : Inputs
        The farm of the volumes; prices, rates and other money may differ from it.
    volumes : Volumes
        From `volumes_of`.
    path : sequence of ndarray, shape (...,) each, optional
        As for `evaluate`. [-]
    measures : collection of str, optional
        As for `evaluate`.

    Returns
    -------
    Outcome

    Raises
    ------
    ValueError
        If the path has not one entry a year.
    """
    pool = volumes.pool
    each_year = kit_per_year(inputs)
    first = _year(Bill(inputs, pool, volumes.first_year, each_year), volumes.first_months)
    typical = _year(Bill(inputs, pool, volumes.typical, each_year), volumes.typical_months)
    mean_price = _each(typical.savings["fuel_not_bought"], typical.fuel["fuel_replaced"])
    years_money, kit = (_money(first), _money(typical)), kit_money(inputs)
    fuel = fuel_money(inputs, years_money, path)
    ledgers = {}
    for kind in LEDGERS:
        ledger = build_ledger(inputs, kind, years_money, kit, mean_price, fuel)
        ledgers[kind.key] = LedgerResult(ledger, measure(ledger, measures))
    hours = own_hours_worth(inputs, first.fuel["own_hours"], typical.fuel["own_hours"])
    return Outcome(
        inputs=inputs,
        pool=pool,
        blends=volumes.blends,
        burn_order=volumes.burn_order,
        first_year=first,
        typical=typical,
        kit_cost=kit.cost,
        kit_to_buy=kit_cost(inputs, to_buy_only=True),
        pay_per_hour=_each(ledgers["time_free"].measures["npv"], hours),
        tax_and_timing={
            key: ledgers[key].measures["equivalent_annual"] - typical.savings[last]
            for key, last in _LAST_SAVING.items()
        },
        ledgers=ledgers,
    )
