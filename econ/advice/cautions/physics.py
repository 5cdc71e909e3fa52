"""The blend physics of one farm's uses: thickness with its band, flash estimate.

>>> in_cst(np.asarray(4.21)), in_cst(np.asarray(119.8))
('4.2', '120')
"""

import math

import numpy as np

from econ.advice.cautions.farm import Farm, Use
from econ.fuel.hazard import flash_estimate
from econ.fuel.substances import substance
from econ.fuel.viscosity import viscosity_line
from econ.fuel.viscosity_band import Band, Part, viscosity_band
from econ.ground.units import Floats
from econ.model.inputs import OilInputs, ThinnerInputs

_WORDS = {"density": "density", "viscosity_points": "thickness", "heating_value": "heat"}


def in_cst(viscosity: Floats) -> str:
    """Write a viscosity: "4.2", "120".

    Parameters
    ----------
    viscosity : ndarray, shape ()
        [cSt]
    """
    value = float(viscosity)
    return f"{value:,.0f}" if value >= 10.0 else f"{value:.1f}"


def fuel_temperature(farm: Farm, season: int) -> float:
    """Return the fuel temperature of a season.

    Parameters
    ----------
    farm : Farm
        The farm.
    season : int
        0 outside winter, 1 in winter.

    Returns
    -------
    float
        [°C]
    """
    inputs = farm.inputs
    return float((inputs.fuel_temperature, inputs.fuel_temperature_winter)[season])


def band_in(farm: Farm, use: Use, season: int) -> Band:
    """Return the thickness of a machine's blend in a season, with its band.

    Parameters
    ----------
    farm : Farm
        The farm, with some source of oil.
    use : Use
        One of its machines.
    season : int
        0 outside winter, 1 in winter.

    Returns
    -------
    Band
        At the season's fuel temperature. [cSt]
    """
    pool = farm.outcome.pool
    # The pool's W is known at this temperature alone: a line without slope says just that.
    oil = Part((pool.w[season], np.zeros(())), pool.density)
    thinner = oil
    if use.thinner is not None:
        thinner = Part(use.thinner.line, use.thinner.density)
    share = farm.outcome.blends[use.index][season].thinner_share
    return viscosity_band(share, oil, thinner, fuel_temperature(farm, season))


def unsourced(entry: OilInputs | ThinnerInputs) -> tuple[str, ...]:
    """Name the figures of an oil or thinner that rest on no source and were not measured.

    Parameters
    ----------
    entry : OilInputs or ThinnerInputs
        Of a farm.

    Returns
    -------
    tuple of str
        Of "density", "thickness" and "heat": those for which nobody was found to have
        published a figure, and for which the file gives none of its own.
    """
    liquid = substance(entry.kind)
    (t1, v1), (t2, v2) = liquid.viscosity_points
    line = viscosity_line(t1, v1, t2, v2)
    stands = {
        "density": bool(entry.density == liquid.density),
        "viscosity_points": all(map(_near, entry.line, line)),
        "heating_value": bool(entry.heating_value == liquid.heating_value),
    }
    return tuple(_WORDS[field] for field in liquid.unsourced if stands.get(field))


def _near(own: Floats, usual: Floats) -> bool:
    """Say whether two single numbers are one but for rounding."""
    return math.isclose(float(own), float(usual), rel_tol=1e-5, abs_tol=1e-8)


def lowest_flash(farm: Farm, use: Use) -> float:
    """Estimate the lowest flash point of a machine's blend over its blend months.

    Parameters
    ----------
    farm : Farm
        The farm.
    use : Use
        One of its machines.

    Returns
    -------
    float
        NaN with gasoline, or where no oil comes in. [°C]
    """
    if not farm.oil_by_kind:
        return np.nan
    kinds = list(farm.oil_by_kind)
    if use.thinner is not None:
        kinds.append(use.thinner.kind)
    result = []
    for x in (use.least, use.most):
        shares = [(1.0 - x) * share for share in farm.oil_by_kind.values()]
        if use.thinner is not None:
            shares.append(x)
        result.append(float(flash_estimate(shares, kinds)))
    return float(np.min(result))
