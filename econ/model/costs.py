"""Where the money goes in a year: cost lines, rungs and savings.

Each cost line is declared once, in `COST_LINES`; rungs and savings are sums over it.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from econ.finance.worth import capital_recovery, real_rate
from econ.fuel.viscosity import heating_energy
from econ.ground.units import Floats, total
from econ.model.inputs import Inputs, MachineInputs
from econ.model.months import hands_on_hours
from econ.model.outcome import Flows, Pool

_ZERO: Floats = np.zeros(())


@dataclass(frozen=True, slots=True)
class Bill:
    """What a cost line may look at."""

    inputs: Inputs
    pool: Pool
    flows: Flows


@dataclass(frozen=True, slots=True)
class Rung:
    """One step of the cost ladder; each holds all below it."""

    key: str
    label: str
    help: str


@dataclass(frozen=True, slots=True)
class CostLine:
    """One yearly cost."""

    key: str
    label: str
    rung: str
    help: str
    amount: Callable[[Bill], Floats]
    """[currency/yr], today's prices"""


@dataclass(frozen=True, slots=True)
class Saving:
    """One way of stating the year's saving."""

    key: str
    label: str
    help: str


RUNGS = (
    Rung("quoted", "What people quote", "Filters and power only: the cheap-gallon figure."),
    Rung(
        "cash",
        "Out of pocket",
        "All that is paid in cash in a year: thinner, hauling, tests, sludge, fixed bills.",
    ),
    Rung("wear", "With repairs", "Out of pocket plus the repairs that the blend brings on."),
    Rung("kit", "With the kit", "With repairs plus the yearly cost of owning the kit."),
    Rung("full", "With your time", "Everything, your own hours at your wage included."),
)

SAVINGS = (
    Saving("fuel_not_bought", "Fuel you stop buying", "Fuel replaced times its price."),
    Saving("cash", "Left after out-of-pocket costs", "Fuel not bought less all cash costs."),
    Saving("after_wear", "Left after repairs", "The same, less the repairs the blend brings on."),
    Saving("after_kit", "Left after the kit", "The same, less the yearly cost of the kit."),
    Saving("after_labour", "Left after your time", "The same, less your own hours at your wage."),
)


def additive_price(inputs: Inputs) -> Floats:
    """Give what additives cost for each litre of blend. [currency/L]"""
    return total([a.price * a.dose for a in inputs.additives])


def wear_price(machine: MachineInputs) -> Floats:
    """Give the expected repairs for each litre of used oil burned. [currency/L]"""
    return total([part.cost * part.failures for part in machine.wear])


def road_tax_by_machine(
    inputs: Inputs, blend: tuple[Floats, ...], thinner: tuple[Floats, ...]
) -> list[Floats]:
    """Give the road tax owed on each machine's blend, less thinner whose price includes it.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    blend, thinner : tuple of ndarray, one a machine
        Volumes of the year. [L]

    Returns
    -------
    list of ndarray
        [currency/yr]
    """
    owed = []
    for machine, mixed, thin in zip(inputs.machines, blend, thinner, strict=True):
        paid = machine.thinner is not None and inputs.thinners[machine.thinner].road_tax_paid
        owed.append(machine.road_share * inputs.road_tax * (mixed - thin if paid else mixed))
    return owed


def thinner_cost(bill: Bill, *, tied_only: bool = False) -> Floats:
    """Give the thinner bill, or only the part whose price is a fuel's. [currency/yr]"""
    parts = []
    for machine, volume in zip(bill.inputs.machines, bill.flows.thinner, strict=True):
        if machine.thinner is None:
            continue
        thinner = bill.inputs.thinners[machine.thinner]
        if thinner.tied_to is not None or not tied_only:
            parts.append(volume * thinner.price)
    return total(parts)


def hours_of_year(bill: Bill) -> Floats:
    """Give all hands-on hours of the year: hauling, batches and upkeep. [h/yr]"""
    hauling = total([oil.hours for oil in bill.flows.oils])
    batches = hands_on_hours(bill.inputs, bill.flows.processed)
    return hauling + batches + bill.inputs.labour.upkeep_hours_per_year


def kit_cost(inputs: Inputs, *, to_buy_only: bool = False) -> Floats:
    """Give the price of the kit, all of it or only what is not there yet. [currency]"""
    return total([item.cost for item in inputs.kit if not (to_buy_only and item.owned)])


def _filters(bill: Bill) -> Floats:
    return total(
        [f.price * (bill.flows.processed / f.volume_per_element) for f in bill.inputs.filters]
    )


def energy_per_volume(inputs: Inputs, pool: Pool) -> Floats:
    """Give the electricity for each litre of raw oil, given or from its heating. [kWh/L]"""
    process = inputs.process
    if process.energy_per_volume is not None or process.heat_from is None:
        return _ZERO if process.energy_per_volume is None else process.energy_per_volume
    heat_to = process.heat_from if process.heat_to is None else process.heat_to
    ideal = heating_energy(pool.density, process.heat_from, heat_to)
    return ideal / process.heater_efficiency + process.motor_energy_per_volume


def _energy(bill: Bill) -> Floats:
    per_volume = energy_per_volume(bill.inputs, bill.pool)
    return bill.flows.processed * per_volume * bill.inputs.electricity


def _additives(bill: Bill) -> Floats:
    return total(bill.flows.blend) * additive_price(bill.inputs)


def _oil(bill: Bill) -> Floats:
    return total(
        [
            year.taken * oil.price
            for oil, year in zip(bill.inputs.oils, bill.flows.oils, strict=True)
        ]
    )


def _hauling(bill: Bill) -> Floats:
    return total(
        [
            year.trips * oil.round_trip * bill.inputs.cost_per_distance
            for oil, year in zip(bill.inputs.oils, bill.flows.oils, strict=True)
        ]
    )


def _tests(bill: Bill) -> Floats:
    process = bill.inputs.process
    return bill.flows.processed / process.batch_volume * process.test_cost_per_batch


def _disposal(bill: Bill) -> Floats:
    process = bill.inputs.process
    return bill.flows.processed * process.loss_share * process.disposal_cost


def _yearly(bill: Bill) -> Floats:
    return total([item.cost for item in bill.inputs.yearly])


def _road_tax(bill: Bill) -> Floats:
    return total(road_tax_by_machine(bill.inputs, bill.flows.blend, bill.flows.thinner))


def _hired_labour(bill: Bill) -> Floats:
    labour = bill.inputs.labour
    return hours_of_year(bill) * labour.hired_share * labour.wage


def _wear(bill: Bill) -> Floats:
    return total(
        [
            used * wear_price(machine)
            for machine, used in zip(bill.inputs.machines, bill.flows.oil_used, strict=True)
        ]
    )


def _kit(bill: Bill) -> Floats:
    finance = bill.inputs.finance
    rate = real_rate(finance.discount_rate, finance.inflation)
    return total(
        [
            capital_recovery(item.cost, item.cost * item.resale_share, rate, item.life_years)
            for item in bill.inputs.kit
        ]
    )


def _labour(bill: Bill) -> Floats:
    labour = bill.inputs.labour
    return hours_of_year(bill) * (1.0 - labour.hired_share) * labour.wage


COST_LINES = (
    CostLine(
        "filters",
        "Filters",
        "quoted",
        "Raw oil cleaned, divided by what one element cleans, times its price.",
        _filters,
    ),
    CostLine(
        "energy",
        "Electricity",
        "quoted",
        "Heating and pumping the raw oil, times the price of a kWh.",
        _energy,
    ),
    CostLine(
        "additives",
        "Additives",
        "cash",
        "Blend times dose times price, for each additive.",
        _additives,
    ),
    CostLine(
        "oil",
        "Used oil",
        "cash",
        "What is paid for the oil taken; negative when someone pays you.",
        _oil,
    ),
    CostLine(
        "hauling",
        "Hauling",
        "cash",
        "Trips times round trip times the vehicle's cost per distance.",
        _hauling,
    ),
    CostLine("thinner", "Thinner", "cash", "Thinner in the blend times its price.", thinner_cost),
    CostLine("tests", "Tests", "cash", "Batches times the cost of testing one.", _tests),
    CostLine(
        "disposal",
        "Sludge disposal",
        "cash",
        "Oil lost as water and sludge, times the cost of getting rid of it.",
        _disposal,
    ),
    CostLine(
        "yearly",
        "Fixed yearly bills",
        "cash",
        "Clothing, absorbents, insurance, permits, laboratory, upkeep.",
        _yearly,
    ),
    CostLine(
        "road_tax",
        "Road tax",
        "cash",
        "Owed on blend burned on public roads, less thinner already taxed.",
        _road_tax,
    ),
    CostLine(
        "hired_labour", "Hired hours", "cash", "Hours paid to others, at the wage.", _hired_labour
    ),
    CostLine(
        "wear",
        "Extra repairs",
        "wear",
        "Used oil burned times the expected extra failures of each part times its cost.",
        _wear,
    ),
    CostLine(
        "kit",
        "Kit cost per year",
        "kit",
        "Level yearly cost of owning the kit at the real discount rate, less resale.",
        _kit,
    ),
    CostLine("labour", "Your own time", "full", "Your own hours at your wage.", _labour),
)


def _by_rung(costs: dict[str, Floats]) -> dict[str, Floats]:
    """Add the lines of each rung up, not counting the rungs below."""
    return {
        rung.key: total(costs[line.key] for line in COST_LINES if line.rung == rung.key)
        for rung in RUNGS
    }


def costs_of_year(bill: Bill) -> dict[str, Floats]:
    """Give every cost line of a year, at today's prices.

    Parameters
    ----------
    bill : Bill
        Inputs, pool and flows; arrays of shape ``(...,)``.

    Returns
    -------
    dict of str to ndarray
        Amount by cost line, in the order of `COST_LINES`. [currency/yr]
    """
    return {line.key: line.amount(bill) for line in COST_LINES}


def rungs(costs: dict[str, Floats], volume: Floats) -> dict[str, Floats]:
    """Give the cost of one volume of fuel on each rung; NaN where no fuel is made.

    Parameters
    ----------
    costs : dict of str to ndarray
        Cost lines of a year. [currency/yr]
    volume : ndarray, shape (...,)
        Blend made or fuel replaced. [L/yr]

    Returns
    -------
    dict of str to ndarray
        By rung, cumulative. [currency/L]
    """
    safe = np.where(volume > 0.0, volume, 1.0)
    reached = _ZERO
    found = {}
    for rung, amount in _by_rung(costs).items():
        reached = reached + amount
        found[rung] = np.where(volume > 0.0, reached / safe, np.nan)
    return found


def savings(
    costs: dict[str, Floats], fuel_not_bought: Floats, own_hours: Floats
) -> dict[str, Floats]:
    """Give the year's saving after each group of costs, and the pay for an hour.

    Parameters
    ----------
    costs : dict of str to ndarray
        Cost lines of a year. [currency/yr]
    fuel_not_bought : ndarray, shape (...,)
        Fuel replaced times its price. [currency/yr]
    own_hours : ndarray, shape (...,)
        Unpaid hours. [h/yr]

    Returns
    -------
    dict of str to ndarray
        Keys of `SAVINGS` [currency/yr] and ``pay_per_hour`` [currency/h], which is NaN without
        any own hours.
    """
    by_rung = _by_rung(costs)
    cash = fuel_not_bought - by_rung["quoted"] - by_rung["cash"]
    after_wear = cash - by_rung["wear"]
    after_kit = after_wear - by_rung["kit"]
    safe = np.where(own_hours > 0.0, own_hours, 1.0)
    return {
        "fuel_not_bought": fuel_not_bought,
        "cash": cash,
        "after_wear": after_wear,
        "after_kit": after_kit,
        "after_labour": after_kit - by_rung["full"],
        "pay_per_hour": np.where(own_hours > 0.0, after_kit / safe, np.nan),
    }
