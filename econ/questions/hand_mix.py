"""The mix for the oil at hand: one drum whose thickness was measured, not the year's pool.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> oil = oil_at_hand(inputs.oils[0], 20.0, 150.0)
>>> round(thickness(oil, 20.0), 6)
150.0
>>> thickness(oil, 40.0) < 150.0
True
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from econ.fuel.viscosity import (
    thinner_share_for,
    viscosity_at,
    viscosity_line_through,
    viscosity_of,
    w_at,
)
from econ.fuel.viscosity_band import Part
from econ.ground.units import Floats
from econ.model.equal_job import JOB_TEMPERATURE, Job, job_of, pool_part, thinner_part
from econ.model.inputs import Inputs, OilInputs

# Blending rules were measured on liquids between these; cyclohexane_hexadecane and the dilution
# charts of tests/published. Below and above, a share would be a guess. [cSt]
THINNEST, THICKEST = 0.4, 183.5
# Where a cup or a falling ball still tells: the oil neither stiff nor about to smoke. [°C]
COLDEST, WARMEST = 0.0, 100.0
# Below this a shed's oil cools while it runs, and the reading errs by a fifth; judgement. [°C]
WARM_ENOUGH = 15.0

MIX, AS_IT_IS, TOO_THICK_ALONE, THIN, PUMP_FUEL = (
    "mix",
    "burn as it is",
    "too thick to burn as it is",
    "thinner than planned",
    "pump fuel",
)


class Season(Struct, frozen=True):
    """What one machine gets of the oil at hand, outside winter or in winter."""

    winter: bool
    action: str
    share: float | None
    """Thinner by volume of the blend; None where the machine burns pump fuel. [-]"""
    least: float | None
    """The least and the most that the blending rules in print would give. [-]"""
    most: float | None
    planned: float | None
    """The plan's share. [-]"""


class MachineMix(Struct, frozen=True):
    """One machine and the oil at hand."""

    machine: str
    thinner: str | None
    seasons: tuple[Season, ...]


def oil_at_hand(oil: OilInputs, temperature: float, viscosity: float) -> Part:
    """Return an oil whose thickness was measured, as one liquid of a blend.

    Parameters
    ----------
    oil : OilInputs
        The source, or any of the same kind: its own slope is kept.
    temperature : float
        At which it was measured. [°C]
    viscosity : float
        Measured. [cSt]

    Returns
    -------
    Part

    References
    ----------
    .. [1] Source key ``astm_d341``: the kind's slope through the measured point.
    """
    line = viscosity_line_through(oil.line, np.asarray(temperature), np.asarray(viscosity))
    return Part(line, oil.density)


def _index(w: Floats) -> Floats:
    """Return the volume index ``log10 v / (3 + log10 v)``; see `viscosity_band`."""
    log = np.log10(viscosity_of(w))
    return np.asarray(log / (3.0 + log))


def _rule_shares(limit: Floats, oil: Floats, thin: Floats) -> list[float]:
    """Return the shares by volume of the rules that lie farthest apart."""
    by_volume = (oil - limit) / (oil - thin)
    top, aim, low = (_index(w) for w in (oil, limit, thin))
    return [float(by_volume), float((top - aim) / (top - low))]


def _season(job: Job, oil: Part, thinner: Part, *, winter: bool, planned: float | None) -> Season:
    """Return one season of a machine that has a thinner."""
    season = 1 if winter else 0
    at, limit = job.temperature[season], job.w[season]
    w_oil, w_thin = w_at(oil.line, at), w_at(thinner.line, at)
    share = float(
        thinner_share_for(
            limit_w=limit,
            oil_w=w_oil,
            thinner_w=w_thin,
            oil_density=oil.density,
            thinner_density=thinner.density,
        )
    )
    if np.isnan(share):
        return Season(winter, PUMP_FUEL, None, None, None, planned)
    if share == 0.0:
        return Season(winter, THIN, 0.0, 0.0, 0.0, planned)
    rules = [share, *_rule_shares(limit, w_oil, w_thin)]
    return Season(winter, MIX, share, max(0.0, min(rules)), min(1.0, max(rules)), planned)


def _as_it_is(inputs: Inputs, oil: Part) -> Season:
    """Return a machine that burns clean oil alone: up to the pool's thickness."""
    pool = pool_part(inputs)
    thin_enough = w_at(oil.line, JOB_TEMPERATURE) <= w_at(pool.line, JOB_TEMPERATURE) + 1e-12
    action = AS_IT_IS if bool(thin_enough) else TOO_THICK_ALONE
    return Season(False, action, 0.0 if bool(thin_enough) else None, None, None, 0.0)


def hand_mixes(
    inputs: Inputs, oil: Part, planned: Sequence[tuple[float | None, float | None]]
) -> tuple[MachineMix, ...]:
    """Return the mix for one measured oil in each machine that may burn blend.

    Parameters
    ----------
    inputs : Inputs
        The farm at expected values.
    oil : Part
        From `oil_at_hand`.
    planned : sequence of (float or None, float or None)
        The plan's shares by machine, outside winter and in winter. [-]

    Returns
    -------
    tuple of MachineMix
        A machine with a share gets the share whose blend is as thick at 40 °C as its own with
        the plan's pool of oil; one with a limit, the share that meets it at the fuel's
        temperature. Winter is a season of its own where its job or temperature differs.
    """
    result = []
    for index, machine in enumerate(inputs.machines):
        if float(machine.blend_share) <= 0.0 or machine.fit.key == "excluded":
            continue
        job = job_of(inputs, index)
        if job is None or machine.thinner is None:
            result.append(MachineMix(machine.name, None, (_as_it_is(inputs, oil),)))
            continue
        thinner = inputs.thinners[machine.thinner]
        part = thinner_part(thinner)
        winters = [False, True] if any(inputs.winter_months) and _differ(job) else [False]
        seasons = tuple(
            _season(job, oil, part, winter=winter, planned=planned[index][int(winter)])
            for winter in winters
        )
        result.append(MachineMix(machine.name, thinner.name, seasons))
    return tuple(result)


def _differ(job: Job) -> bool:
    """Say whether winter asks for another blend."""
    same_aim = abs(float(job.w[0]) - float(job.w[1])) < 1e-12
    return not same_aim or float(job.temperature[0]) != float(job.temperature[1])


def thickness(oil: Part, temperature: float) -> float:
    """Return how thick an oil at hand is at a temperature.

    Parameters
    ----------
    oil : Part
        The oil.
    temperature : float
        [°C]

    Returns
    -------
    float
        [cSt]
    """
    return float(viscosity_at(oil.line, np.asarray(temperature)))
