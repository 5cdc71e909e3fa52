"""Where the money goes in a year: cost lines, rungs and savings.

Each cost line is declared once, in `COST_LINES`; rungs, savings, what each machine saves, what
a volume of oil earns and how the years grow are all read off its row.

Examples
--------
>>> import numpy as np
>>> ten_each = {line.key: np.asarray(10.0) for line in COST_LINES}
>>> full = rungs(ten_each, np.asarray(100.0))["full"]
>>> bool(abs(full - 0.1 * len(COST_LINES)) < 1e-12)
True
"""

from collections.abc import Callable
from typing import Literal

import numpy as np
from msgspec import Struct

from econ.fuel.viscosity import heating_energy
from econ.ground.units import Floats, total
from econ.model.inputs import AdditiveInputs, Inputs, MachineInputs, ThinnerInputs
from econ.model.months import hands_on_hours
from econ.model.outcome import Flows, Pool

_ZERO: Floats = np.zeros(())

Per = Literal[
    "raw oil", "oil taken", "trip", "blend", "thinner", "oil burned", "hour", "year", "plan"
]
Growth = Literal["fuel", "prices"]


class Bill(Struct, frozen=True):
    """What a cost line of the farm as a whole may look at."""

    inputs: Inputs
    pool: Pool
    flows: Flows
    kit: Floats
    """From `kit_per_year`: the same in every year. [currency/yr]"""


class Burned(Struct, frozen=True):
    """What one machine burns: a year of it, or what goes with one volume of oil. [L]"""

    inputs: Inputs
    machine: MachineInputs
    thinner: ThinnerInputs | None
    blend: Floats
    thinner_volume: Floats
    oil: Floats


class Rung(Struct, frozen=True):
    """One step of the cost ladder; each holds all below it."""

    key: str
    label: str
    help: str


class CostLine(Struct, frozen=True):
    """One yearly cost.

    A line with `borne` falls on the machine that burns the blend and moves with it: it is part
    of what a volume of oil earns there, of the burn order and of the machine's own saving. A
    line with `amount` is the farm's.
    """

    key: str
    label: str
    rung: str
    help: str
    per: Per
    """What it is laid out for; a line that a machine bears is linear in its volumes."""
    grows_with: Growth
    """What moves it over the years: the price of fuel, or all other prices."""
    amount: Callable[[Bill], Floats] | None = None
    """[currency/yr], today's prices"""
    borne: Callable[[Burned], Floats] | None = None
    """For what one machine burns. [currency], today's prices"""
    kind: Literal["cost", "own time", "kit"] = "cost"
    """Own time counts in one ledger only; kit has its own purchases there."""


class Saving(Struct, frozen=True):
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


def wear_price(machine: MachineInputs) -> Floats:
    """Add up the expected repairs for each litre of used oil burned. [currency/L]"""
    return total([part.cost * part.failures for part in machine.wear])


def takes_additive(
    additive: AdditiveInputs, machine: MachineInputs, thinner: ThinnerInputs | None
) -> bool:
    """Say whether a machine's blend takes an additive.

    Parameters
    ----------
    additive : AdditiveInputs
        Which.
    machine : MachineInputs
        Whose blend.
    thinner : ThinnerInputs or None
        What it is thinned with.

    Returns
    -------
    bool
        Whether it serves all blend, this machine, or this thinner.
    """
    if not additive.serves or machine.name in additive.serves:
        return True
    return thinner is not None and thinner.name in additive.serves


def _owed(burned: Burned) -> Floats:
    """Return the volume on which road tax and duty are owed: all but thinner already taxed."""
    paid = burned.thinner is not None and burned.thinner.road_tax_paid
    return burned.blend - burned.thinner_volume if paid else burned.blend


def _additives(burned: Burned) -> Floats:
    taken = [
        additive.price * additive.dose
        for additive in burned.inputs.additives
        if takes_additive(additive, burned.machine, burned.thinner)
    ]
    return burned.blend * total(taken)


def _thinner(burned: Burned) -> Floats:
    return _ZERO if burned.thinner is None else burned.thinner_volume * burned.thinner.price


def _refund(burned: Burned) -> Floats:
    if burned.thinner is None:
        return _ZERO
    off_road = 1.0 - burned.machine.road_share
    return -burned.thinner_volume * off_road * burned.thinner.refund


def _road_tax(burned: Burned) -> Floats:
    return burned.machine.road_share * burned.inputs.road_tax * _owed(burned)


def _fuel_duty(burned: Burned) -> Floats:
    back = (1.0 - burned.machine.road_share) * burned.inputs.fuel_duty_back
    return burned.inputs.fuel_duty * (1.0 - back) * _owed(burned)


def _wear(burned: Burned) -> Floats:
    return burned.oil * wear_price(burned.machine)


def hours_of_year(bill: Bill) -> Floats:
    """Add up all hands-on hours of the year: hauling, batches and upkeep. [h/yr]"""
    hauling = total([oil.hours for oil in bill.flows.oils])
    batches = hands_on_hours(bill.inputs, bill.flows.processed)
    upkeep = total([item.hours for item in bill.inputs.yearly])
    return hauling + batches + bill.inputs.labour.upkeep_hours_per_year + upkeep


def _filters(bill: Bill) -> Floats:
    return total(
        [f.price * (bill.flows.processed / f.volume_per_element) for f in bill.inputs.filters]
    )


def energy_per_volume(inputs: Inputs, pool: Pool) -> Floats:
    """Work out the electricity for each litre of raw oil, given or from its heating. [kWh/L]"""
    process = inputs.process
    if process.energy_per_volume is not None or process.heat_from is None:
        return _ZERO if process.energy_per_volume is None else process.energy_per_volume
    heat_to = process.heat_from if process.heat_to is None else process.heat_to
    ideal = heating_energy(pool.density, process.heat_from, heat_to)
    return ideal / process.heater_efficiency + process.motor_energy_per_volume


def _energy(bill: Bill) -> Floats:
    per_volume = energy_per_volume(bill.inputs, bill.pool)
    return bill.flows.processed * per_volume * bill.inputs.electricity


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


def _hired_labour(bill: Bill) -> Floats:
    labour = bill.inputs.labour
    return hours_of_year(bill) * labour.hired_share * labour.wage


def _labour(bill: Bill) -> Floats:
    labour = bill.inputs.labour
    return hours_of_year(bill) * (1.0 - labour.hired_share) * labour.wage


def _kit(bill: Bill) -> Floats:
    return bill.kit


COST_LINES = (
    CostLine(
        "filters", "Filters", "quoted",
        "Raw oil cleaned, divided by what one element cleans, times its price.",
        "raw oil", "prices", _filters,
    ),
    CostLine(
        "energy", "Electricity", "quoted",
        "Heating and pumping the raw oil, times the price of a kWh.",
        "raw oil", "prices", _energy,
    ),
    CostLine(
        "additives", "Additives", "cash",
        "Blend times dose times price, for each additive that it takes.",
        "blend", "prices", borne=_additives,
    ),
    CostLine(
        "oil", "Used oil", "cash",
        "What is paid for the oil taken; negative when someone pays you.",
        "oil taken", "prices", _oil,
    ),
    CostLine(
        "hauling", "Hauling", "cash",
        "Trips times round trip times the vehicle's cost per distance.",
        "trip", "prices", _hauling,
    ),
    CostLine(
        "thinner", "Thinner", "cash",
        "Thinner in the blend times its price.",
        "thinner", "fuel", borne=_thinner,
    ),
    CostLine(
        "tests", "Tests", "cash",
        "Batches times the cost of testing one.",
        "raw oil", "prices", _tests,
    ),
    CostLine(
        "disposal", "Sludge disposal", "cash",
        "Oil lost as water and sludge, times the cost of getting rid of it.",
        "raw oil", "prices", _disposal,
    ),
    CostLine(
        "yearly", "Fixed yearly bills", "cash",
        "Clothing, absorbents, insurance, permits, laboratory, upkeep.",
        "year", "prices", _yearly,
    ),
    CostLine(
        "road_tax", "Road tax", "cash",
        "Owed on blend burned on public roads, less thinner already taxed.",
        "blend", "prices", borne=_road_tax,
    ),
    CostLine(
        "fuel_duty", "Fuel duty", "cash",
        "Owed on blend wherever it is burned, less thinner already taxed and what is given back"
        " for use off the road.",
        "blend", "prices", borne=_fuel_duty,
    ),
    CostLine(
        "refund", "Thinner's tax given back", "cash",
        "Given back on thinner burned off the road: a cost below 0.",
        "thinner", "prices", borne=_refund,
    ),
    CostLine(
        "hired_labour", "Hired hours", "cash",
        "Hours paid to others, at the wage.",
        "hour", "prices", _hired_labour,
    ),
    CostLine(
        "wear", "Extra repairs", "wear",
        "Used oil burned times the expected extra failures of each part times its cost.",
        "oil burned", "prices", borne=_wear,
    ),
    CostLine(
        "kit", "Kit cost per year", "kit",
        "All kit over the plan's years, less resale, plus the cost of stopping: a level amount at"
        " the discount rate without inflation, before tax.",
        "plan", "prices", _kit, kind="kit",
    ),
    CostLine(
        "labour", "Your own time", "full",
        "Your own hours at your wage.",
        "hour", "prices", _labour, kind="own time",
    ),
)  # fmt: skip


def burned_of(inputs: Inputs, index: int, flows: Flows) -> Burned:
    """Gather what one machine burns in a year.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which machine.
    flows : Flows
        The year's volumes. [L/yr]

    Returns
    -------
    Burned
    """
    machine = inputs.machines[index]
    return Burned(
        inputs=inputs,
        machine=machine,
        thinner=None if machine.thinner is None else inputs.thinners[machine.thinner],
        blend=flows.blend[index],
        thinner_volume=flows.thinner[index],
        oil=flows.oil_used[index],
    )


def borne_costs(burned: Burned) -> dict[str, Floats]:
    """Work out every cost that falls on the machine that burns the blend.

    Parameters
    ----------
    burned : Burned
        What it burns; arrays of shape ``(...,)``. [L]

    Returns
    -------
    dict of str to ndarray
        By key of the cost lines that a machine bears. [currency]
    """
    return {line.key: line.borne(burned) for line in COST_LINES if line.borne is not None}


def _by_rung(costs: dict[str, Floats]) -> dict[str, Floats]:
    """Add the lines of each rung up, not counting the rungs below."""
    return {
        rung.key: total(costs[line.key] for line in COST_LINES if line.rung == rung.key)
        for rung in RUNGS
    }


def costs_of_year(bill: Bill, borne: list[dict[str, Floats]]) -> dict[str, Floats]:
    """Work out every cost line of a year, at today's prices.

    Parameters
    ----------
    bill : Bill
        Inputs, pool and flows; arrays of shape ``(...,)``.
    borne : list of dict of str to ndarray, shape (...,)
        From `borne_costs`, one a machine. [currency/yr]

    Returns
    -------
    dict of str to ndarray
        Amount by cost line, in the order of `COST_LINES`. [currency/yr]
    """
    return {
        line.key: total([each[line.key] for each in borne])
        if line.amount is None
        else line.amount(bill)
        for line in COST_LINES
    }


def rungs(costs: dict[str, Floats], volume: Floats) -> dict[str, Floats]:
    """Work out the cost of one volume of fuel on each rung; NaN where no fuel is made.

    Parameters
    ----------
    costs : dict of str to ndarray, shape (...,)
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
    result = {}
    for rung, amount in _by_rung(costs).items():
        reached = reached + amount
        result[rung] = np.where(volume > 0.0, reached / safe, np.nan)
    return result


def savings(costs: dict[str, Floats], fuel_not_bought: Floats) -> dict[str, Floats]:
    """Work out the year's saving after each group of costs.

    Parameters
    ----------
    costs : dict of str to ndarray, shape (...,)
        Cost lines of a year. [currency/yr]
    fuel_not_bought : ndarray, shape (...,)
        Fuel replaced times its price. [currency/yr]

    Returns
    -------
    dict of str to ndarray
        Keys of `SAVINGS`. [currency/yr]
    """
    by_rung = _by_rung(costs)
    cash = fuel_not_bought - by_rung["quoted"] - by_rung["cash"]
    after_wear = cash - by_rung["wear"]
    after_kit = after_wear - by_rung["kit"]
    return {
        "fuel_not_bought": fuel_not_bought,
        "cash": cash,
        "after_wear": after_wear,
        "after_kit": after_kit,
        "after_labour": after_kit - by_rung["full"],
    }
