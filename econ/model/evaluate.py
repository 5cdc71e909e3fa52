"""The one path from inputs to outcome: pure, the same for one scenario and a million draws."""

from collections.abc import Collection, Sequence

import numpy as np

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
from econ.model.kit import kit_cost, kit_money
from econ.model.ledger import LEDGERS, YearMoney, build_ledger, own_hours_worth
from econ.model.measures import measure
from econ.model.months import simulate
from econ.model.oil_money import burn_order
from econ.model.outcome import Flows, LedgerResult, MachineYear, Month, Outcome, Pool, Year

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


def _year(inputs: Inputs, pool: Pool, flows: Flows, months: tuple[Month, ...]) -> Year:
    """Put money on one year's flows."""
    bill = Bill(inputs, pool, flows)
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
    pool = oil_pool(inputs)
    blends = machine_blends(inputs, pool)
    order = inputs.burn_order
    if order is None:
        order = burn_order(inputs, blends)
    first, typical = (
        _year(inputs, pool, flows, months)
        for flows, months in simulate(inputs, blends, order, by_month=by_month)
    )
    mean_price = _each(typical.savings["fuel_not_bought"], typical.fuel["fuel_replaced"])
    years_money, kit = (_money(first), _money(typical)), kit_money(inputs)
    ledgers = {}
    for kind in LEDGERS:
        ledger = build_ledger(inputs, kind, years_money, kit, mean_price, path)
        ledgers[kind.key] = LedgerResult(ledger, measure(ledger, measures))
    hours = own_hours_worth(inputs, first.fuel["own_hours"], typical.fuel["own_hours"])
    return Outcome(
        inputs=inputs,
        pool=pool,
        blends=blends,
        burn_order=order,
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
