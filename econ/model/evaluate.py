"""The one path from inputs to outcome: pure, the same for one scenario and a million draws."""

import numpy as np

from econ.ground.units import Floats, total
from econ.model.blends import burn_order, machine_blends, oil_pool
from econ.model.costs import (
    Bill,
    additive_price,
    costs_of_year,
    hours_of_year,
    kit_cost,
    road_tax_by_machine,
    rungs,
    savings,
    thinner_cost,
    wear_price,
)
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS, YearMoney, build_ledger, kit_money
from econ.model.measures import measure
from econ.model.months import simulate
from econ.model.outcome import Flows, LedgerResult, MachineYear, Month, Outcome, Pool, Year

_ZERO: Floats = np.zeros(())


def _fuel(inputs: Inputs, flows: Flows, hours: Floats) -> dict[str, Floats]:
    """Give the year's volumes and hours by the names of the JSON document."""
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


def _machines(inputs: Inputs, flows: Flows) -> tuple[MachineYear, ...]:
    """Give each machine's year and what it saves by itself."""
    taxes = road_tax_by_machine(inputs, flows.blend, flows.thinner)
    found = []
    for k, machine in enumerate(inputs.machines):
        price = _ZERO if machine.thinner is None else inputs.thinners[machine.thinner].price
        saving = (
            flows.fuel_replaced[k] * inputs.prices[machine.replaces]
            - flows.thinner[k] * price
            - flows.blend[k] * additive_price(inputs)
            - taxes[k]
            - flows.oil_used[k] * wear_price(machine)
        )
        found.append(
            MachineYear(
                flows.oil_used[k], flows.blend[k], flows.thinner[k], flows.fuel_replaced[k], saving
            )
        )
    return tuple(found)


def _year(inputs: Inputs, pool: Pool, flows: Flows, months: tuple[Month, ...]) -> Year:
    """Put money on one year's flows."""
    bill = Bill(inputs, pool, flows)
    fuel = _fuel(inputs, flows, hours_of_year(bill))
    costs = costs_of_year(bill)
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
        savings=savings(costs, not_bought, fuel["own_hours"]),
        machines=_machines(inputs, flows),
        months=months,
    )


def _money(inputs: Inputs, pool: Pool, year: Year) -> YearMoney:
    """Sort a year's amounts by how they grow."""
    apart = ("thinner", "kit", "labour")
    return YearMoney(
        fuel_not_bought=year.savings["fuel_not_bought"],
        thinner=year.costs["thinner"],
        thinner_tied=thinner_cost(Bill(inputs, pool, year.flows), tied_only=True),
        other=total([amount for key, amount in year.costs.items() if key not in apart]),
        labour=year.costs["labour"],
    )


def evaluate(inputs: Inputs, *, by_month: bool = True) -> Outcome:
    """Work a farm through: blends, months, costs, savings, ledgers, measures.

    Parameters
    ----------
    inputs : Inputs
        The farm in canonical units; each number of shape ``()`` or ``(draws,)``.
    by_month : bool
        Whether the outcome's years carry their twelve months; a batch of draws needs none.

    Returns
    -------
    Outcome
        Arrays of the inputs' shape, NaN where a figure is undefined.

    Raises
    ------
    ValueError
        If `inputs` is a batch without a burn order, which is found from one set of values.
    """
    pool = oil_pool(inputs)
    blends = machine_blends(inputs, pool)
    order = inputs.burn_order
    if order is None:
        order = burn_order(inputs, blends)
    first, typical = (
        _year(inputs, pool, flows, months)
        for flows, months in simulate(inputs, blends, order, by_month=by_month)
    )
    replaced = typical.fuel["fuel_replaced"]
    safe = np.where(replaced > 0.0, replaced, 1.0)
    mean_price = np.where(replaced > 0.0, typical.savings["fuel_not_bought"] / safe, np.nan)
    years_money = (_money(inputs, pool, first), _money(inputs, pool, typical))
    kit = kit_money(inputs)
    ledgers = {}
    for kind in LEDGERS:
        ledger = build_ledger(inputs, kind, years_money, kit, mean_price)
        ledgers[kind.key] = LedgerResult(ledger, measure(ledger))
    return Outcome(
        inputs=inputs,
        pool=pool,
        blends=blends,
        burn_order=order,
        first_year=first,
        typical=typical,
        kit_cost=kit_cost(inputs),
        kit_to_buy=kit_cost(inputs, to_buy_only=True),
        ledgers=ledgers,
    )
