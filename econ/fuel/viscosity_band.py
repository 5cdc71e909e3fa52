"""How sure a blend's thickness is, and how cold it may get: band, cold limit, share by warmth.

A blend of fixed masses is linear in W = log10 log10 Z at every temperature, so it has a D341
line of its own; cold limits and shares by temperature are closed forms on such lines.
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from econ.fuel.viscosity import (
    Line,
    mass_share,
    pool_w,
    thinner_share_for,
    viscosity_of,
    w_at,
    w_of,
)
from econ.ground.units import Floats, Numeric

_KELVIN = 273.15

# The farthest that the model's rule was seen from a measured mixture, rounded up: 7.5 % on
# cyclohexane_hexadecane; 4.7 % on two charts of fuel in oil. [share of the viscosity]
WORST_MEASURED_MISS = 0.08
BAND_NOTE = (
    "The thickness is an estimate. The range beside it is where blending rules in print lie apart,"
    f" no error bar: measured mixtures lay up to {100 * WORST_MEASURED_MISS:.0f} % off the figure"
    " before it. Check with a cup at your fuel's temperature before it goes near a pump."
)


class Part(Struct, frozen=True):
    """One liquid of a blend."""

    line: Line
    """A and B of ASTM D341."""
    density: Floats
    """At 15 °C. [kg/L]"""


class Band(Struct, frozen=True):
    """A viscosity and how far the blending rules in print lie apart. [cSt]

    The rules can miss on the same side: the band is no error bar. `WORST_MEASURED_MISS` stands
    beside it wherever it is shown.
    """

    low: Floats
    likely: Floats
    high: Floats


def blend_line(shares: Sequence[Numeric], parts: Sequence[Part]) -> Line:
    """Return the D341 line of a blend.

    Parameters
    ----------
    shares : sequence of float or ndarray, shape (...,)
        By volume, adding to one. [-]
    parts : sequence of Part
        What is blended.

    Returns
    -------
    (ndarray, ndarray), shape (...,)
        A and B. [-]

    References
    ----------
    .. [1] Source key ``astm_d7152``, mass fractions, at every temperature alike.
    """
    weights = [np.asarray(s) * p.density for s, p in zip(shares, parts, strict=True)]
    total = sum(weights, np.zeros(()))
    masses = [weight / total for weight in weights]
    return (
        pool_w(masses, [part.line[0] for part in parts]),
        pool_w(masses, [part.line[1] for part in parts]),
    )


def viscosity_band(share: Numeric, oil: Part, thinner: Part, temperature: Numeric) -> Band:
    """Return a blend's viscosity by the model's rule and by the rules that lie farthest apart.

    Parameters
    ----------
    share : float or ndarray, shape (...,)
        Thinner by volume of the blend. [-]
    oil, thinner : Part
        What is blended.
    temperature : float or ndarray, shape (...,)
        [°C]

    Returns
    -------
    Band
        The double-log rule on volume fractions is usually the thin side, the volume index
        ``log10 v / (3 + log10 v)`` the thick one; a dense thinner can turn the first about, so
        the band spans all three. [cSt]

    References
    ----------
    .. [1] Source key ``astm_d7152``.
    .. [2] The volume index: M. R. Riazi, ASTM MNL50 (2005), equation from memory.
    """
    x = np.asarray(share, dtype=np.float64)
    w_oil, w_thinner = w_at(oil.line, temperature), w_at(thinner.line, temperature)
    mass = mass_share(x, thinner.density, oil.density)
    likely = viscosity_of(mass * w_thinner + (1.0 - mass) * w_oil)
    by_volume = viscosity_of(x * w_thinner + (1.0 - x) * w_oil)
    indices = [np.log10(viscosity_of(w)) for w in (w_oil, w_thinner)]
    index_oil, index_thinner = (log / (3.0 + log) for log in indices)
    index = x * index_thinner + (1.0 - x) * index_oil
    by_index = 10.0 ** (3.0 * index / (1.0 - index))
    low = np.minimum(np.minimum(likely, by_volume), by_index)
    high = np.maximum(np.maximum(likely, by_volume), by_index)
    return Band(low, likely, high)


def cold_limit(line: Line, limit: Numeric) -> Floats:
    """Return the fuel temperature below which a liquid is thicker than a limit.

    Parameters
    ----------
    line : (ndarray, ndarray), shape (...,)
        A and B of the blend. [-]
    limit : float or ndarray, shape (...,)
        [cSt]

    Returns
    -------
    ndarray, shape (...,)
        [°C]

    References
    ----------
    .. [1] Source key ``astm_d341``, solved for the temperature. It says nothing of wax: a
       blend can cloud or gel while this figure still looks well.

    Examples
    --------
    >>> from econ.fuel.viscosity import viscosity_line
    >>> line = viscosity_line(40.0, 20.0, 100.0, 4.0)
    >>> float(cold_limit(line, 20.0).round(6))
    40.0
    """
    return np.asarray(10.0 ** ((line[0] - w_of(limit)) / line[1]) - _KELVIN)


def share_at(temperature: Numeric, limit: Numeric, oil: Part, thinner: Part) -> Floats:
    """Return the thinner share that meets a limit at each of some fuel temperatures.

    Parameters
    ----------
    temperature : float or ndarray, shape (...,)
        Of the fuel: a year's months, or a curve. [°C]
    limit : float or ndarray, shape (...,)
        [cSt]
    oil, thinner : Part
        What is blended.

    Returns
    -------
    ndarray, shape (...,)
        By volume; 0 where the oil is thin enough, NaN where the thinner is too thick. [-]
    """
    return thinner_share_for(
        limit_w=w_of(limit),
        oil_w=w_at(oil.line, temperature),
        thinner_w=w_at(thinner.line, temperature),
        oil_density=oil.density,
        thinner_density=thinner.density,
    )
