"""What goes into each machine: the pool of clean oil, thinner shares, volumes for the work."""

import numpy as np

from econ.fuel.substances import DIESEL_HEATING_VALUE
from econ.fuel.viscosity import pool_w, thinner_share_for, w_at, w_of
from econ.ground.recent import Recent
from econ.ground.units import Floats
from econ.model.inputs import Inputs, MachineInputs
from econ.model.outcome import Blend, Pool

_ZERO: Floats = np.zeros(())
# A comparison asks for the same few pools thousands of times.
_POOLS: Recent[Pool] = Recent(8)


def oil_pool(inputs: Inputs, temperatures: tuple[Floats, Floats] | None = None) -> Pool:
    """Mix all sources into one pool, weighed by the usable volume each promises.

    With no oil at all the entries count alike, so that a plan that has yet to find its oil can
    still be looked at.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    temperatures : (ndarray, ndarray), shape (...,) each, optional
        Where its viscosity is looked at; the farm's two fuel temperatures by default. [°C]

    Returns
    -------
    Pool
        Density [kg/L], lower heating value [MJ/L], and W of ASTM D341 at the two
        temperatures [-], by the D7152 rule on masses.
    """
    warm, cold = temperatures or (inputs.fuel_temperature, inputs.fuel_temperature_winter)
    return _POOLS.of((inputs.oils, warm, cold), lambda: _mixed(inputs, (warm, cold)))


def _mixed(inputs: Inputs, looked_at: tuple[Floats, Floats]) -> Pool:
    """Mix all sources."""
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
    w = tuple(pool_w(masses, [w_at(oil.line, t) for oil in inputs.oils]) for t in looked_at)
    return Pool(density, heat, (w[0], w[1]))


def volume_per_replaced(use_factor: Floats, heating_value: Floats, share: Floats) -> Floats:
    """Work out the blend that does the work of one volume of pump diesel.

    Parameters
    ----------
    use_factor : ndarray, shape (...,)
        Fuel for the same work on clean oil alone, beyond energy content. [-]
    heating_value : ndarray, shape (...,)
        Lower heating value of the blend. [MJ/L]
    share : ndarray, shape (...,)
        Thinner by volume of the blend. [-]

    Returns
    -------
    ndarray, shape (...,)
        ``(1 + (use_factor - 1)(1 - x)) LHV_diesel / LHV_blend``. [-]

    Examples
    --------
    >>> half = np.asarray(DIESEL_HEATING_VALUE / 2.0)
    >>> float(volume_per_replaced(np.asarray(1.0), half, np.asarray(0.0)))
    2.0
    """
    return (1.0 + (use_factor - 1.0) * (1.0 - share)) * DIESEL_HEATING_VALUE / heating_value


def _share(inputs: Inputs, pool: Pool, machine: MachineInputs, *, winter: bool) -> Floats:
    """Return a machine's thinner share in one season, NaN where its thinner is too thick."""
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
    """Return a machine's blend in one season."""
    share = _share(inputs, pool, machine, winter=winter)
    too_thick = np.isnan(share)
    x = np.where(too_thick, 0.0, share)
    heat = (1.0 - x) * pool.heating_value
    if machine.thinner is not None:
        heat = heat + x * inputs.thinners[machine.thinner].heating_value
    ratio = volume_per_replaced(machine.use_factor, heat, x)
    return Blend(x, too_thick, np.where(too_thick, 1.0, ratio))


def machine_blends(inputs: Inputs, pool: Pool) -> tuple[tuple[Blend, Blend], ...]:
    """Return every machine's blend outside winter and in winter.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    pool : Pool
        Its clean oil.

    Returns
    -------
    tuple of (Blend, Blend), one pair a machine
        Thinner share by volume and blend volume per volume of pump fuel replaced. [-]
    """
    return tuple(machine_blend(inputs, pool, machine) for machine in inputs.machines)


def machine_blend(inputs: Inputs, pool: Pool, machine: MachineInputs) -> tuple[Blend, Blend]:
    """Return one machine's blend outside winter and in winter.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    pool : Pool
        Its clean oil.
    machine : MachineInputs
        One of its machines.

    Returns
    -------
    (Blend, Blend)
    """
    warm = _blend(inputs, pool, machine, winter=False)
    return warm, _blend(inputs, pool, machine, winter=True)
