"""What can be turned: prices, oil, hours, wage, kit, wear, as factors on a farm's inputs.

Declared once; tipping points, grids and sliders read it. A lever turns arrays, so one call of
the model serves a whole sweep.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> float(turned(inputs, {"wage": 2.0}).labour.wage / inputs.labour.wage)
2.0
"""

from collections.abc import Callable, Mapping

import numpy as np
from msgspec import Struct

from econ.ground.records import replace
from econ.ground.units import Floats
from econ.model.inputs import Inputs
from econ.model.kit import exit_cost, kit_cost


class Lever(Struct, frozen=True):
    """One thing that can be turned, as a factor on what the file says."""

    key: str
    label: str
    """As the subject of "... would have to rise above"."""
    turn: Callable[[Inputs, Floats], Inputs]
    present: Callable[[Inputs], Floats]
    """What a factor of one stands for, in canonical units; NaN or 0 where it does not apply."""
    dimension: str
    most: float = 10.0
    """Largest factor looked at. [-]"""
    moves_volumes: bool = True
    """Whether it moves what is brought in and burned; others move only what that costs."""


def _fuel_prices(inputs: Inputs, factor: Floats) -> Inputs:
    """Move all fuel-like prices together: pump fuels and thinners, tied and bought."""
    thinners = tuple(replace(thinner, price=thinner.price * factor) for thinner in inputs.thinners)
    prices = {fuel: price * factor for fuel, price in inputs.prices.items()}
    return replace(inputs, prices=prices, thinners=thinners)


def _mean_price(inputs: Inputs) -> Floats:
    """Return the mean price of the fuels that machines burn, by what they burn."""
    total = sum((m.fuel_per_year for m in inputs.machines), np.zeros(()))
    worth = sum(
        (m.fuel_per_year * inputs.prices[m.replaces] for m in inputs.machines), np.zeros(())
    )
    return np.where(total > 0.0, worth / np.where(total > 0.0, total, 1.0), np.nan)


def _thinner_prices(inputs: Inputs, factor: Floats) -> Inputs:
    thinners = tuple(
        thinner if thinner.tied_to else replace(thinner, price=thinner.price * factor)
        for thinner in inputs.thinners
    )
    return replace(inputs, thinners=thinners)


def _bought_thinner(inputs: Inputs) -> Floats:
    """Return the price of the first bought thinner that a machine uses; NaN without one."""
    used = [m.thinner for m in inputs.machines if m.thinner is not None]
    for index in used:
        if inputs.thinners[index].tied_to is None:
            return inputs.thinners[index].price
    return np.asarray(np.nan)


def _oil(inputs: Inputs, factor: Floats) -> Inputs:
    oils = tuple(
        replace(oil, volume_per_month=oil.volume_per_month * factor) for oil in inputs.oils
    )
    return replace(inputs, oils=oils)


def _usable_oil(inputs: Inputs) -> Floats:
    return sum(
        (o.volume_per_month * o.reliability * (1.0 - o.reject_share) for o in inputs.oils),
        np.zeros(()),
    )


def _hours_per_batch(inputs: Inputs, factor: Floats) -> Inputs:
    process = inputs.process
    return replace(
        inputs, process=replace(process, hours_per_batch=process.hours_per_batch * factor)
    )


def _wage(inputs: Inputs, factor: Floats) -> Inputs:
    labour = inputs.labour
    return replace(inputs, labour=replace(labour, wage=labour.wage * factor))


def _kit(inputs: Inputs, factor: Floats) -> Inputs:
    kit = tuple(
        replace(item, cost=item.cost * factor, new_cost=item.new_cost * factor)
        for item in inputs.kit
    )
    return replace(inputs, kit=kit)


def _wear(inputs: Inputs, factor: Floats) -> Inputs:
    machines = tuple(
        replace(m, wear=tuple(replace(p, failures=p.failures * factor) for p in m.wear))
        for m in inputs.machines
    )
    return replace(inputs, machines=machines)


def _wear_per_volume(inputs: Inputs) -> Floats:
    """Return the mean expected repairs for a litre of oil, over machines that may burn it."""
    costs = [
        sum((p.cost * p.failures for p in m.wear), np.zeros(()))
        for m in inputs.machines
        if m.fit.key != "excluded"
    ]
    return sum(costs, np.zeros(())) / max(1, len(costs))


def _road_tax(inputs: Inputs, factor: Floats) -> Inputs:
    return replace(inputs, road_tax=inputs.road_tax * factor)


def _taxed(inputs: Inputs) -> Floats:
    """Return the road tax where some machine is on public roads."""
    on_road = any(bool(np.any(m.road_share > 0.0)) for m in inputs.machines)
    return inputs.road_tax if on_road else np.asarray(np.nan)


def _loss(inputs: Inputs, factor: Floats) -> Inputs:
    # A loss of all of it has no clean oil left to divide by.
    loss = np.minimum(inputs.process.loss_share * factor, 0.99)
    return replace(inputs, process=replace(inputs.process, loss_share=loss))


def _yearly(inputs: Inputs, factor: Floats) -> Inputs:
    return replace(inputs, yearly=tuple(replace(y, cost=y.cost * factor) for y in inputs.yearly))


def _yearly_cost(inputs: Inputs) -> Floats:
    return sum((y.cost for y in inputs.yearly), np.zeros(()))


def _use(inputs: Inputs, factor: Floats) -> Inputs:
    machines = tuple(replace(m, fuel_per_year=m.fuel_per_year * factor) for m in inputs.machines)
    return replace(inputs, machines=machines)


def _fuel_use(inputs: Inputs) -> Floats:
    return sum((m.fuel_per_year for m in inputs.machines), np.zeros(()))


def _exit(inputs: Inputs, factor: Floats) -> Inputs:
    """Move all that ending the plan costs: clean-up, kit to be got rid of, machines' resale."""
    finance = inputs.finance
    return replace(
        inputs,
        finance=replace(finance, exit_cost=finance.exit_cost * factor),
        kit=tuple(replace(item, exit_cost=item.exit_cost * factor) for item in inputs.kit),
        machines=tuple(
            replace(machine, resale_loss=machine.resale_loss * factor)
            for machine in inputs.machines
        ),
    )


LEVERS = (
    Lever(
        "pump_price",
        "the price of the fuel replaced",
        _fuel_prices,
        _mean_price,
        "price_per_volume",
        moves_volumes=False,
    ),
    Lever(
        "thinner_price",
        "the price of bought thinner",
        _thinner_prices,
        _bought_thinner,
        "price_per_volume",
        moves_volumes=False,
    ),
    Lever("oil", "the oil that turns up", _oil, _usable_oil, "volume_per_month"),
    Lever(
        "hours_per_batch",
        "the hours for a batch",
        _hours_per_batch,
        lambda inputs: inputs.process.hours_per_batch,
        "hours",
    ),
    Lever(
        "wage",
        "the wage",
        _wage,
        lambda inputs: inputs.labour.wage,
        "money_per_hour",
        moves_volumes=False,
    ),
    Lever("kit", "the price of the kit", _kit, kit_cost, "money", moves_volumes=False),
    Lever(
        "wear",
        "repairs for a volume of oil burned",
        _wear,
        _wear_per_volume,
        "price_per_volume",
        moves_volumes=False,
    ),
    Lever("road_tax", "road tax", _road_tax, _taxed, "price_per_volume", moves_volumes=False),
    Lever(
        "loss",
        "the share lost as water and sludge",
        _loss,
        lambda inputs: inputs.process.loss_share,
        "share",
    ),
    Lever(
        "yearly",
        "fixed yearly bills",
        _yearly,
        _yearly_cost,
        "money_per_year",
        moves_volumes=False,
    ),
    Lever("fuel_use", "the fuel the machines need", _use, _fuel_use, "volume_per_year"),
    Lever("exit", "the cost of stopping", _exit, exit_cost, "money", moves_volumes=False),
)


def turned(inputs: Inputs, factors: Mapping[str, float | Floats]) -> Inputs:
    """Turn several levers at once. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    factors : mapping of str to float or ndarray, shape (...,)
        By key of a lever. [-]

    Returns
    -------
    Inputs
    """
    for lever in LEVERS:
        if lever.key in factors:
            inputs = lever.turn(inputs, np.asarray(factors[lever.key], dtype=np.float64))
    return inputs
