"""What one thinner makes of one machine's blend: share, thickness, heat, fire and rule class.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> cold, warm = shares_by_warmth(inputs, 0, 0, np.array([10.0, 40.0]))
>>> cold > warm
True
"""

import numpy as np
from msgspec import Struct

from econ.fuel.hazard import RuleClass, flash_estimate, rule_class
from econ.fuel.substances import (
    DIESEL_HEATING_VALUE,
    THINNERS,
    UNWARMED_FUEL,
    USUAL_LIMITS,
    as_gasoline,
)
from econ.fuel.viscosity_band import Band, blend_line, cold_limit, share_at, viscosity_band
from econ.ground.units import Floats
from econ.model.blends import machine_blend, oil_pool
from econ.model.equal_job import JOB_TEMPERATURE, pool_part, thinner_part
from econ.model.inputs import Inputs, OilInputs
from econ.model.outcome import Blend

_DRY_IN_ROTARY = "this rotary pump's only lubricant is the fuel, and {} is a dry one: under caution"


class Season(Struct, frozen=True):
    """One machine's blend outside winter or in winter, shape ``()``."""

    winter: bool
    share: Floats
    """Thinner by volume; NaN where it is too thick for the job at any share. [-]"""
    band: Band
    """At 40 °C. [cSt]"""
    energy: Floats
    """Heat of a volume against diesel's. [-]"""
    flash: Floats
    """An estimate; NaN with gasoline. [°C]"""
    cold_limit: Floats
    """Fuel temperature below which it is thicker than the machine's limit. [°C]"""

    @property
    def too_thick(self) -> bool:
        """Return whether the machine burns pump fuel in this season."""
        return bool(np.isnan(self.share))


class Mix(Struct, frozen=True):
    """One machine with one thinner."""

    machine: int
    thinner: int
    seasons: tuple[Season, ...]
    """Only those in which the machine is to burn blend, winter last."""
    limit: Floats
    """Of the machine, else of its class. [cSt]"""
    usual_limit: bool
    """Whether the limit is its class's."""
    rules: RuleClass
    concerns: tuple[str, ...]
    """What the thinner asks to look out for in any machine."""
    machine_concern: str | None
    """What it asks of this machine."""

    @property
    def possible(self) -> bool:
        """Return whether the thinner does the job in any season."""
        return not all(season.too_thick for season in self.seasons)

    @property
    def has_gasoline(self) -> bool:
        """Return whether any season's blend holds gasoline."""
        return any(bool(np.isnan(s.flash)) for s in self.seasons if not s.too_thick)


def seasons_of(inputs: Inputs, index: int) -> tuple[int, ...]:
    """Return the seasons in which a machine is to burn blend: 0 outside winter, 1 in winter.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which machine.

    Returns
    -------
    tuple of int
    """
    machine = inputs.machines[index]
    months = zip(inputs.winter_months, machine.blend_months, machine.use_by_month, strict=True)
    return tuple(sorted({int(winter) for winter, blends, use in months if blends and use > 0.0}))


def warmest_fuel(inputs: Inputs) -> float:
    """Return the warmest the fuel gets at the pump by a farm's own numbers.

    Parameters
    ----------
    inputs : Inputs
        The farm.

    Returns
    -------
    float
        [°C]
    """
    temperatures = [inputs.fuel_temperature]
    if any(inputs.winter_months):
        temperatures.append(inputs.fuel_temperature_winter)
    return max(float(temperature) for temperature in temperatures)


def shares_by_warmth(
    inputs: Inputs, index: int, thinner: int, temperatures: Floats
) -> list[float | None]:
    """Return the share of a thinner that keeps a machine within its limit, by fuel temperature.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index, thinner : int
        Which machine, and which of the farm's thinners.
    temperatures : ndarray, shape (n,)
        Of the fuel. [°C]

    Returns
    -------
    list of float or None
        None where the thinner is too thick by itself, and, for one treated as gasoline, at
        every temperature above the fuel's own: such a blend is never warmed. [-]
    """
    limit, _ = limit_of(inputs, index)
    liquid = inputs.thinners[thinner]
    shares = np.asarray(share_at(temperatures, limit, pool_part(inputs), thinner_part(liquid)))
    if as_gasoline(liquid.kind):
        own = min(warmest_fuel(inputs), UNWARMED_FUEL)
        shares = np.where(temperatures > own + 1e-9, np.nan, shares)
    return [float(share) if np.isfinite(share) else None for share in shares]


def bringing_oil(inputs: Inputs) -> tuple[OilInputs, ...]:
    """Return the sources that bring any oil; all of them where none does yet."""
    result = tuple(
        oil
        for oil in inputs.oils
        if bool(oil.volume_per_month * oil.reliability * (1.0 - oil.reject_share) > 0.0)
    )
    return result or inputs.oils


def _oil_shares(oils: tuple[OilInputs, ...]) -> list[float]:
    usable = [float(o.volume_per_month * o.reliability * (1.0 - o.reject_share)) for o in oils]
    total = sum(usable)
    return [u / total if total > 0.0 else 1.0 / len(usable) for u in usable]


def _season(inputs: Inputs, index: int, thinner: int, blend: Blend, winter: int) -> Season:
    """Look at one season's blend."""
    oil, thin = pool_part(inputs), thinner_part(inputs.thinners[thinner])
    x = np.where(blend.too_thick, np.nan, blend.thinner_share)
    heat = (1.0 - x) * oil_heat(inputs) + x * inputs.thinners[thinner].heating_value
    oils = bringing_oil(inputs)
    parts = [(1.0 - x) * share for share in _oil_shares(oils)]
    kinds = [oil.kind for oil in oils] + [inputs.thinners[thinner].kind]
    return Season(
        winter=winter == 1,
        share=x,
        band=viscosity_band(x, oil, thin, JOB_TEMPERATURE),
        energy=heat / DIESEL_HEATING_VALUE,
        flash=flash_estimate([*parts, x], kinds),
        cold_limit=cold_limit(blend_line((1.0 - x, x), (oil, thin)), limit_of(inputs, index)[0]),
    )


def oil_heat(inputs: Inputs) -> Floats:
    """Return the lower heating value of the clean oil. [MJ/L]"""
    return oil_pool(inputs).heating_value


def limit_of(inputs: Inputs, index: int) -> tuple[Floats, bool]:
    """Return a machine's viscosity limit [cSt] and whether it is only its class's usual one."""
    machine = inputs.machines[index]
    if machine.viscosity_limit is not None:
        return machine.viscosity_limit, False
    return np.asarray(USUAL_LIMITS[machine.engine]), True


def mix_of(inputs: Inputs, index: int) -> Mix:
    """Look at the blend of a machine with the thinner it has in these inputs.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``.
    index : int
        A machine with a thinner.

    Returns
    -------
    Mix

    Raises
    ------
    ValueError
        If the machine has no thinner.
    """
    machine = inputs.machines[index]
    if machine.thinner is None:
        message = f'machine "{machine.name}" has no thinner'
        raise ValueError(message)
    pair = machine_blend(inputs, oil_pool(inputs), machine)
    seasons = tuple(
        _season(inputs, index, machine.thinner, pair[s], s) for s in seasons_of(inputs, index)
    )
    kind = inputs.thinners[machine.thinner].kind
    shares = [float(s.share) for s in seasons if not s.too_thick]
    used = kind if any(share > 0.0 for share in shares) else None
    concerns = THINNERS[kind].concerns if used else ()
    dry = used is not None and THINNERS[used].runs_dry and machine.engine == "rotary pump"
    limit, usual = limit_of(inputs, index)
    rules = rule_class(
        all_own=all(oil.own for oil in bringing_oil(inputs)),
        engine=machine.engine != "burner",
        kind=used,
    )
    own = _DRY_IN_ROTARY.format(used) if dry else None
    return Mix(index, machine.thinner, seasons, limit, usual, rules, concerns, own)
