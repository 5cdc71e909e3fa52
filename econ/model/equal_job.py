"""Two thinners compare only at the same job: the same thickness at the pump, warm and cold.

The target is what a machine's own thinner and share reach at 40 °C, or its viscosity limit at
its fuel's temperature; any other thinner gets the share that reaches it, never the same share.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["quillmere"]))
>>> job = job_of(inputs, 0)
>>> mild, cold = (share_for_job(inputs, job, inputs.thinners[0], winter=w) for w in (False, True))
>>> bool(mild < cold)
True
"""

import numpy as np
from msgspec import Struct

from econ.fuel.viscosity import thinner_share_for, viscosity_of, w_at, w_of
from econ.fuel.viscosity_band import Part, blend_line
from econ.ground.units import Floats
from econ.model.blends import machine_blend, oil_pool
from econ.model.inputs import Inputs, ThinnerInputs
from econ.model.outcome import Pool

# Where a share is given the job is read here, as fuels are specified; astm_d975, table 1. [°C]
JOB_TEMPERATURE = 40.0
# Two temperatures fix a liquid's line; the same records each time, so that its pool is mixed once.
_NEAR, _FAR = np.asarray(JOB_TEMPERATURE), np.asarray(100.0)


class Job(Struct, frozen=True):
    """The thickness one machine's blend must have, outside winter and in winter."""

    w: tuple[Floats, Floats]
    """log10 log10 Z. [-]"""
    temperature: tuple[Floats, Floats]
    """Of the fuel at which it must have it. [°C]"""
    by_limit: bool
    """Whether a viscosity limit sets it, else the machine's own thinner and share."""

    @property
    def viscosity(self) -> tuple[Floats, Floats]:
        """Return the thickness to show. [cSt]"""
        return viscosity_of(self.w[0]), viscosity_of(self.w[1])


def pool_part(inputs: Inputs) -> Part:
    """Return the clean oil, all sources together, as one liquid.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.

    Returns
    -------
    Part
        Its D341 line [-] and density [kg/L].
    """
    pool: Pool = oil_pool(inputs, (_NEAR, _FAR))
    logs = [np.log10(t + 273.15) for t in (_NEAR, _FAR)]
    slope = (pool.w[0] - pool.w[1]) / (logs[1] - logs[0])
    return Part((pool.w[0] + slope * logs[0], slope), pool.density)


def thinner_part(thinner: ThinnerInputs) -> Part:
    """Return a thinner as one liquid of a blend."""
    return Part(thinner.line, thinner.density)


def job_of(inputs: Inputs, index: int) -> Job | None:
    """Return the job of a machine's blend; None for one that burns clean oil alone.

    Parameters
    ----------
    inputs : Inputs
        The farm as its file has it.
    index : int
        Which machine.

    Returns
    -------
    Job or None
    """
    machine = inputs.machines[index]
    if machine.thinner is None:
        return None
    if machine.viscosity_limit is not None:
        limit = w_of(machine.viscosity_limit)
        warmth = (inputs.fuel_temperature, inputs.fuel_temperature_winter)
        return Job((limit, limit), warmth, by_limit=True)
    oil, own = pool_part(inputs), thinner_part(inputs.thinners[machine.thinner])
    reached = []
    for blend in machine_blend(inputs, oil_pool(inputs), machine):
        x = blend.thinner_share
        reached.append(w_at(blend_line((1.0 - x, x), (oil, own)), JOB_TEMPERATURE))
    usual = np.asarray(JOB_TEMPERATURE)
    return Job((reached[0], reached[1]), (usual, usual), by_limit=False)


def share_for_job(inputs: Inputs, job: Job, thinner: ThinnerInputs, *, winter: bool) -> Floats:
    """Return the share of a thinner that does a job in one season.

    Parameters
    ----------
    inputs : Inputs
        The farm, for its oil.
    job : Job
        From `job_of`.
    thinner : ThinnerInputs
        What to thin with.
    winter : bool
        Which season.

    Returns
    -------
    ndarray, shape (...,)
        By volume; 0 where the oil is thin enough, NaN where the thinner itself is as thick as
        the job or thicker. [-]
    """
    oil = pool_part(inputs)
    season = 1 if winter else 0
    temperature = job.temperature[season]
    return thinner_share_for(
        limit_w=job.w[season],
        oil_w=w_at(oil.line, temperature),
        thinner_w=w_at(thinner.line, temperature),
        oil_density=oil.density,
        thinner_density=thinner.density,
    )
