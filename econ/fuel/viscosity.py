"""Blend physics: viscosity, thinner share, density, heat.

Viscosity is worked in W = log10 log10 Z (ASTM D341); blends and pools are linear in W on mass
fractions at one temperature (ASTM D7152). A line is (A, B) of W = A - B log10 T, T in kelvin.
"""

from collections.abc import Sequence

import numpy as np

from econ.ground.units import Floats, Numeric

_KELVIN = 273.15
Line = tuple[Floats, Floats]


def w_of(viscosity: Numeric) -> Floats:
    """Return W = log10 log10 Z of a viscosity.

    Parameters
    ----------
    viscosity : float or ndarray, shape (...,)
        Kinematic viscosity, from 0.21 up. [cSt]

    Returns
    -------
    ndarray, shape (...,)
        [-]

    Notes
    -----
    ``Z = v + 0.7 + exp(-1.47 - 1.84 v - 0.51 v^2)``; without the last term thinners of about
    0.5 cSt come out several per cent wrong.

    References
    ----------
    .. [1] Source key ``astm_d341``, equations 1 and 2.
    """
    v = np.asarray(viscosity, dtype=np.float64)
    z = v + 0.7 + np.exp(-1.47 - 1.84 * v - 0.51 * v * v)
    return np.asarray(np.log10(np.log10(z)))


def viscosity_of(w: Numeric) -> Floats:
    """Return the viscosity of a W, by the published inverse; for figures shown only.

    Parameters
    ----------
    w : float or ndarray, shape (...,)
        [-]

    Returns
    -------
    ndarray, shape (...,)
        [cSt]

    References
    ----------
    .. [1] Source key ``astm_d341``, equation 3: within 0.03 % from 0.21 to 200 cSt.

    Examples
    --------
    >>> float(viscosity_of(w_of(100.0)).round(3))
    100.0
    """
    y = 10.0 ** (10.0 ** np.asarray(w, dtype=np.float64)) - 0.7
    return np.asarray(y - np.exp(-0.7487 - 3.295 * y + 0.6119 * y**2 - 0.3193 * y**3))


def _log_kelvin(temperature: Numeric) -> Floats:
    return np.log10(np.asarray(temperature, dtype=np.float64) + _KELVIN)


def viscosity_line(
    temperature_1: Numeric, viscosity_1: Numeric, temperature_2: Numeric, viscosity_2: Numeric
) -> Line:
    """Return the D341 line through two measured viscosities.

    Parameters
    ----------
    temperature_1, temperature_2 : float or ndarray, shape (...,)
        [°C]
    viscosity_1, viscosity_2 : float or ndarray, shape (...,)
        [cSt]

    Returns
    -------
    (ndarray, ndarray), shape (...,)
        A and B. [-]
    """
    w_1, w_2 = w_of(viscosity_1), w_of(viscosity_2)
    x_1, x_2 = _log_kelvin(temperature_1), _log_kelvin(temperature_2)
    slope = (w_1 - w_2) / (x_2 - x_1)
    return w_1 + slope * x_1, slope


def viscosity_line_through(line: Line, temperature: Numeric, viscosity: Numeric) -> Line:
    """Move a line through one measured viscosity, its slope kept.

    Parameters
    ----------
    line : (ndarray, ndarray), shape (...,) each
        A and B. [-]
    temperature : float or ndarray, shape (...,)
        [°C]
    viscosity : float or ndarray, shape (...,)
        [cSt]

    Returns
    -------
    (ndarray, ndarray), shape (...,)
        A and B. [-]

    Notes
    -----
    A used oil thinned by fuel keeps the slope of its kind better than the far end of its
    table: 29 cSt at 38 °C was measured with 6 at 99 °C, and this gives 6.
    """
    return w_of(viscosity) + line[1] * _log_kelvin(temperature), line[1]


def w_at(line: Line, temperature: Numeric) -> Floats:
    """Return W of a line at a temperature.

    Parameters
    ----------
    line : (ndarray, ndarray), shape (...,) each
        A and B. [-]
    temperature : float or ndarray, shape (...,)
        [°C]

    Returns
    -------
    ndarray, shape (...,)
        [-]
    """
    return line[0] - line[1] * _log_kelvin(temperature)


def viscosity_at(line: Line, temperature: Numeric) -> Floats:
    """Return the viscosity of a line at a temperature.

    Parameters
    ----------
    line : (ndarray, ndarray), shape (...,) each
        A and B. [-]
    temperature : float or ndarray, shape (...,)
        [°C]

    Returns
    -------
    ndarray, shape (...,)
        [cSt]

    Examples
    --------
    >>> line = viscosity_line(40.0, 100.0, 100.0, 11.1)
    >>> [float(viscosity_at(line, t).round(1)) for t in (40.0, 100.0)]
    [100.0, 11.1]
    """
    return viscosity_of(w_at(line, temperature))


def pool_w(masses: Sequence[Numeric], ws: Sequence[Numeric]) -> Floats:
    """Return W of a mixture from mass fractions and each part's W at one temperature.

    Parameters
    ----------
    masses : sequence of float or ndarray, shape (...,)
        Mass fractions, adding to one. [-]
    ws : sequence of float or ndarray, shape (...,)
        [-]

    Returns
    -------
    ndarray, shape (...,)
        [-]

    References
    ----------
    .. [1] Source key ``astm_d7152``.
    """
    total = np.zeros(())
    for mass, w in zip(masses, ws, strict=True):
        total = total + np.asarray(mass) * np.asarray(w)
    return total


def mass_share(share: Numeric, density: Numeric, other_density: Numeric) -> Floats:
    """Turn a share by volume into one by mass.

    Parameters
    ----------
    share : float or ndarray, shape (...,)
        By volume. [-]
    density, other_density : float or ndarray, shape (...,)
        Of the part and of the rest. [kg/L]

    Returns
    -------
    ndarray, shape (...,)
        By mass. [-]
    """
    x = np.asarray(share, dtype=np.float64)
    part = x * np.asarray(density)
    return np.asarray(part / (part + (1.0 - x) * np.asarray(other_density)))


def thinner_share_for(
    *,
    limit_w: Numeric,
    oil_w: Numeric,
    thinner_w: Numeric,
    oil_density: Numeric,
    thinner_density: Numeric,
) -> Floats:
    """Return the thinner share, by volume, that brings an oil to a viscosity limit.

    0 where the oil is thin enough; NaN where the thinner itself is too thick.

    Parameters
    ----------
    limit_w, oil_w, thinner_w : float or ndarray, shape (...,)
        W of the limit, the oil and the thinner at the fuel's temperature. [-]
    oil_density, thinner_density : float or ndarray, shape (...,)
        At 15 °C. [kg/L]

    Returns
    -------
    ndarray, shape (...,)
        [-]

    References
    ----------
    .. [1] Source key ``astm_d7152``, mass fractions, solved for the share.
    """
    limit, oil, thin = (np.asarray(w, dtype=np.float64) for w in (limit_w, oil_w, thinner_w))
    enough = oil <= limit
    too_thick = ~enough & (thin >= limit)
    gap = np.where(enough | too_thick, 1.0, oil - thin)
    mass = np.where(enough | too_thick, 0.0, (oil - limit) / gap)
    volume = mass / np.asarray(thinner_density)
    share = volume / (volume + (1.0 - mass) / np.asarray(oil_density))
    return np.where(too_thick, np.nan, share)


def specific_heat(density: Numeric, temperature: Numeric) -> Floats:
    """Return the specific heat of a petroleum oil.

    Parameters
    ----------
    density : float or ndarray, shape (...,)
        At 15 °C. [kg/L]
    temperature : float or ndarray, shape (...,)
        [°C]

    Returns
    -------
    ndarray, shape (...,)
        ``(1.685 + 0.0034 t) / sqrt(density)``. [kJ/(kg K)]

    References
    ----------
    .. [1] Source key ``nbs_mp97``.
    """
    warm = 1.685 + 0.0034 * np.asarray(temperature, dtype=np.float64)
    return np.asarray(warm / np.sqrt(np.asarray(density)))


def heating_energy(density: Numeric, heat_from: Numeric, heat_to: Numeric) -> Floats:
    """Return the energy that warms a litre of oil, without losses.

    Parameters
    ----------
    density : float or ndarray, shape (...,)
        At 15 °C. [kg/L]
    heat_from, heat_to : float or ndarray, shape (...,)
        [°C]

    Returns
    -------
    ndarray, shape (...,)
        [kWh/L]
    """
    start, end = np.asarray(heat_from, dtype=np.float64), np.asarray(heat_to, dtype=np.float64)
    per_degree = np.asarray(density) * specific_heat(density, 0.5 * (start + end))
    return np.asarray(per_degree * (end - start) / 3600.0)
