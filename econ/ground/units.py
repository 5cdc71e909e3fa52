"""Dimensions, factors and unit labels; every conversion of the project is here.

Canonical units: litre, kilometre, kilowatt, hour, kilowatt-hour, degree Celsius, kg/L, MJ/L,
cSt, the file's currency, and failures per litre of used oil.
"""

from collections.abc import Iterable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Numeric = float | Floats

# Exact by definition: 231 cubic inches, 5,280 feet of 0.3048 m.
LITRES_PER_GALLON = 3.785411784
KM_PER_MILE = 1.609344
# Mechanical horsepower, 550 foot-pounds-force a second; nist_sp811, appendix B.
KW_PER_HORSEPOWER = 0.745699872
# International Table Btu; nist_sp811, appendix B.
MJ_PER_BTU = 1055.05585262e-6


_ZERO: Floats = np.zeros(())


def total(values: Iterable[Floats]) -> Floats:
    """Add arrays up, of which there may be none.

    Parameters
    ----------
    values : iterable of ndarray, shape (...,)
        All in one unit. [any]

    Returns
    -------
    ndarray, shape (...,)
        Zero for none.
    """
    each = list(values)
    if len(each) < 2:
        return sum(each, _ZERO)
    result = each[0] + each[1]
    if not result.ndim:
        # From zero, so that nothing is ever minus zero on a page.
        return sum(each, _ZERO)
    for value in each[2:]:
        if np.shape(value) == result.shape:
            # In place: draws then stay in the cache.
            result += value
        else:
            result = result + value
    return result


CURRENCY_SIGNS = {"USD": "$", "AUD": "A$", "CAD": "C$", "NZD": "NZ$", "GBP": "£", "EUR": "€"}


def currency_sign(currency: str) -> str:
    """Return the sign to write before an amount: "$", "A$", or the code and a space.

    Parameters
    ----------
    currency : str
        ISO 4217 code.

    Returns
    -------
    str
    """
    return CURRENCY_SIGNS.get(currency, f"{currency} ")


class Dimension(Struct, frozen=True):
    """What a number measures, and how each unit system writes it.

    ``{m}`` in a label stands for the currency's sign.
    """

    key: str
    us: str
    metric: str
    us_factor: float
    """Canonical = US x factor + offset."""
    metric_factor: float = 1.0
    us_offset: float = 0.0
    least: float = 0.0
    """No farm's figure lies below it, in canonical units. [canonical]"""
    most: float = 1e12
    """No farm's figure lies above it, in any currency. [canonical]"""
    grain: float = 0.0
    """A figure nearer to nothing than this, and not nothing, is no figure. [canonical]"""


def _same(
    key: str, label: str, least: float = 0.0, most: float = 1e12, grain: float = 0.0
) -> Dimension:
    return Dimension(key, label, label, 1.0, least=least, most=most, grain=grain)


DIMENSIONS = {
    dimension.key: dimension
    for dimension in (
        Dimension("volume", "gal", "L", LITRES_PER_GALLON, most=1e8, grain=1e-4),
        Dimension(
            "volume_per_month", "gal/month", "L/month", LITRES_PER_GALLON, most=1e7, grain=1e-5
        ),
        Dimension("volume_per_year", "gal/year", "L/year", LITRES_PER_GALLON, most=1e8, grain=1e-4),
        Dimension("volume_per_hour", "gal/h", "L/h", LITRES_PER_GALLON, most=1e5, grain=1e-5),
        Dimension("distance", "miles", "km", KM_PER_MILE, most=1e5, grain=1e-4),
        Dimension("distance_per_year", "miles/year", "km/year", KM_PER_MILE, most=1e7, grain=1e-3),
        Dimension(
            "distance_per_volume",
            "miles/gal",
            "km/L",
            KM_PER_MILE / LITRES_PER_GALLON,
            most=1e4,
            grain=1e-4,
        ),
        Dimension("power", "hp", "kW", KW_PER_HORSEPOWER, most=1e5, grain=1e-4),
        Dimension(
            "temperature", "°F", "°C", 5.0 / 9.0, us_offset=-160.0 / 9.0, least=-100.0, most=500.0
        ),
        Dimension(
            "price_per_volume",
            "{m}/gal",
            "{m}/L",
            1.0 / LITRES_PER_GALLON,
            least=-1e8,
            most=1e8,
            grain=1e-7,
        ),
        Dimension(
            "price_per_distance", "{m}/mile", "{m}/km", 1.0 / KM_PER_MILE, most=1e8, grain=1e-7
        ),
        Dimension(
            "energy_per_volume", "kWh/gal", "kWh/L", 1.0 / LITRES_PER_GALLON, most=1e3, grain=1e-6
        ),
        Dimension(
            "heating_value",
            "Btu/gal",
            "MJ/L",
            MJ_PER_BTU / LITRES_PER_GALLON,
            least=5.0,
            most=100.0,
        ),
        Dimension(
            "failures_per_volume",
            "per 1,000 gal of oil burned",
            "per 1,000 L of oil burned",
            1e-3 / LITRES_PER_GALLON,
            1e-3,
            most=10.0,
            grain=1e-12,
        ),
        _same("energy_price", "{m}/kWh", most=1e7, grain=1e-7),
        _same("money", "{m}", grain=1e-5),
        _same("money_per_year", "{m}/year", grain=1e-5),
        _same("money_per_hour", "{m}/h", most=1e9, grain=1e-5),
        _same("share", "share, 0 to 1", most=1.0, grain=1e-7),
        _same("ratio", "ratio", least=-1e3, most=1e3, grain=1e-7),
        _same("dose", "volume per volume of blend", most=1.0, grain=1e-9),
        _same("hours", "h", most=1e5, grain=1e-5),
        _same("hours_per_month", "h/month", most=745.0, grain=1e-5),
        _same("hours_per_year", "h/year", most=8784.0, grain=1e-5),
        _same("days", "days", most=1e4, grain=1e-5),
        _same("years", "years"),
        _same("rate", "per year, as a fraction", least=-1.0, most=10.0, grain=1e-6),
        _same("viscosity", "cSt", least=0.1, most=1e5),
        _same("density", "kg/L at 15 °C", least=0.3, most=2.0),
        _same("count", "count"),
        _same("count_per_month", "per month", most=1e5, grain=1e-5),
        _same("weights", "12 weights"),
        _same("months", "months, 1 to 12"),
        _same("text", "text"),
        _same("date", "date"),
        _same("flag", "true or false"),
        _same("choice", "one of the allowed words"),
    )
}


def to_canonical(value: Numeric, dimension: str | Dimension, units: str) -> Floats:
    """Bring a number from a file's units to canonical ones.

    Parameters
    ----------
    value : float or ndarray, shape (...,)
        In the file's units. [any]
    dimension : str or Dimension
        What it measures.
    units : {"us", "metric"}
        The file's unit system.

    Returns
    -------
    ndarray, shape (...,)

    Examples
    --------
    >>> float(to_canonical(1.0, "volume", "us"))
    3.785411784
    """
    kind = DIMENSIONS[dimension] if isinstance(dimension, str) else dimension
    # A plain number is worked out as one: as an array it would take five times as long.
    number = value if isinstance(value, float) else np.asarray(value, dtype=np.float64)
    if units == "us":
        scaled = np.asarray(number * kind.us_factor)
        # Only temperatures are moved: a pass over draws that all else can do without.
        return np.asarray(scaled + kind.us_offset) if kind.us_offset else scaled
    return np.asarray(number * kind.metric_factor)


def from_canonical(value: Numeric, dimension: str | Dimension, units: str) -> Floats:
    """Bring a number from canonical units to a file's; the inverse of `to_canonical`.

    Parameters
    ----------
    value : float or ndarray, shape (...,)
        In canonical units. [any]
    dimension : str or Dimension
        What it measures.
    units : {"us", "metric"}
        The file's unit system.

    Returns
    -------
    ndarray, shape (...,)
    """
    kind = DIMENSIONS[dimension] if isinstance(dimension, str) else dimension
    number = np.asarray(value, dtype=np.float64)
    if units == "us":
        return np.asarray((number - kind.us_offset) / kind.us_factor)
    return np.asarray(number / kind.metric_factor)


def unit_label(dimension: str | Dimension, units: str, currency: str) -> str:
    """Write a dimension's unit: "gal/month", "$/gal", "A$/L".

    Parameters
    ----------
    dimension : str or Dimension
        What is measured.
    units : {"us", "metric"}
        Unit system.
    currency : str
        ISO 4217 code.

    Returns
    -------
    str

    Examples
    --------
    >>> unit_label("price_per_volume", "us", "USD")
    '$/gal'
    """
    kind = DIMENSIONS[dimension] if isinstance(dimension, str) else dimension
    label = kind.us if units == "us" else kind.metric
    return label.replace("{m}", currency_sign(currency).strip())
