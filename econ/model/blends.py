"""What goes into each machine: the pool of clean oil, thinner shares, the order of serving."""

import numpy as np

from econ.fuel.substances import DIESEL_HEATING_VALUE
from econ.fuel.viscosity import pool_w, thinner_share_for, w_at, w_of
from econ.ground.units import Floats
from econ.model.costs import additive_price, wear_price
from econ.model.inputs import Inputs, MachineInputs
from econ.model.outcome import Blend, Pool

_ZERO: Floats = np.zeros(())


def oil_pool(inputs: Inputs) -> Pool:
    """Mix all sources into one pool, weighed by the usable volume each promises.

    With no oil at all the entries count alike, so that a plan that has yet to find its oil can
    still be looked at.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.

    Returns
    -------
    Pool
        Density [kg/L], lower heating value [MJ/L], and W of ASTM D341 at the two fuel
        temperatures [-], by the D7152 rule on masses.
    """
    temperatures = (inputs.fuel_temperature, inputs.fuel_temperature_winter)
    if not inputs.oils:
        nan = np.asarray(np.nan)
        return Pool(nan, nan, (nan, nan))
    usable = [o.volume_per_month * o.reliability * (1.0 - o.reject_share) for o in inputs.oils]
    total = sum(usable, _ZERO)
    safe = np.where(total > 0.0, total, 1.0)
    shares = [np.where(total > 0.0, u / safe, 1.0 / len(usable)) for u in usable]
    density = sum((s * o.density for s, o in zip(shares, inputs.oils, strict=True)), _ZERO)
    heat = sum((s * o.heating_value for s, o in zip(shares, inputs.oils, strict=True)), _ZERO)
    masses = [s * o.density / density for s, o in zip(shares, inputs.oils, strict=True)]
    w = tuple(pool_w(masses, [w_at(oil.line, t) for oil in inputs.oils]) for t in temperatures)
    return Pool(density, heat, (w[0], w[1]))


def _share(inputs: Inputs, pool: Pool, machine: MachineInputs, *, winter: bool) -> Floats:
    """Give a machine's thinner share in one season, NaN where its thinner is too thick."""
    if machine.thinner is None:
        return _ZERO
    if machine.viscosity_limit is None:
        given = machine.thinner_share_winter if winter else machine.thinner_share
        return _ZERO if given is None else given
    temperature = inputs.fuel_temperature_winter if winter else inputs.fuel_temperature
    thinner = inputs.thinners[machine.thinner]
    return thinner_share_for(
        limit_w=w_of(machine.viscosity_limit),
        oil_w=pool.w[1 if winter else 0],
        thinner_w=w_at(thinner.line, temperature),
        oil_density=pool.density,
        thinner_density=thinner.density,
    )


def _blend(inputs: Inputs, pool: Pool, machine: MachineInputs, *, winter: bool) -> Blend:
    """Give a machine's blend in one season."""
    share = _share(inputs, pool, machine, winter=winter)
    too_thick = np.isnan(share)
    x = np.where(too_thick, 0.0, share)
    heat = (1.0 - x) * pool.heating_value
    if machine.thinner is not None:
        heat = heat + x * inputs.thinners[machine.thinner].heating_value
    factor = 1.0 + (machine.use_factor - 1.0) * (1.0 - x)
    ratio = factor * DIESEL_HEATING_VALUE / heat
    return Blend(x, too_thick, np.where(too_thick, 1.0, ratio))


def machine_blends(inputs: Inputs, pool: Pool) -> tuple[tuple[Blend, Blend], ...]:
    """Give every machine's blend outside winter and in winter.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    pool : Pool
        Its clean oil.

    Returns
    -------
    tuple of (Blend, Blend), one pair a machine
        Thinner share by volume and blend volume per volume of pump fuel replaced,
        ``(1 + (use_factor - 1)(1 - x)) LHV_diesel / LHV_blend``. [-]
    """
    return tuple(
        (
            _blend(inputs, pool, machine, winter=False),
            _blend(inputs, pool, machine, winter=True),
        )
        for machine in inputs.machines
    )


def _worth(inputs: Inputs, machine: MachineInputs, pair: tuple[Blend, Blend]) -> float:
    """Give what a volume of oil earns in a machine, in its first month that takes blend."""
    for month in range(12):
        blend = pair[1 if inputs.winter_months[month] else 0]
        if machine.blend_months[month] and not bool(blend.too_thick):
            break
    else:
        return -np.inf
    x = blend.thinner_share
    price, taxed = _ZERO, np.ones(())
    if machine.thinner is not None:
        thinner = inputs.thinners[machine.thinner]
        price = thinner.price
        taxed = 1.0 - x if thinner.road_tax_paid else taxed
    per_blend = (
        inputs.prices[machine.replaces] / blend.volume_per_replaced
        - x * price
        - additive_price(inputs)
        - machine.road_share * inputs.road_tax * taxed
    )
    return float(per_blend / (1.0 - x) - wear_price(machine))


def burn_order(inputs: Inputs, blends: tuple[tuple[Blend, Blend], ...]) -> tuple[int, ...]:
    """Rank machines by what a volume of oil earns in each, best first, ties in file order.

    Parameters
    ----------
    inputs : Inputs
        One scenario (arrays of shape ``()``), at likely values: the order is found once and
        kept for expected values, draws and sweeps.
    blends : tuple of (Blend, Blend)
        Its machines' blends.

    Returns
    -------
    tuple of int
        Indices of the machines.
    """
    worth = [
        _worth(inputs, machine, pair) for machine, pair in zip(inputs.machines, blends, strict=True)
    ]
    return tuple(sorted(range(len(worth)), key=lambda k: -worth[k]))
