"""What a tractor burns, by the extension rule."""

from econ.ground.units import KW_PER_HORSEPOWER, LITRES_PER_GALLON, Floats

# gal/h for each PTO horsepower, average over a year's load; asae_ep496.
_GALLONS_PER_HORSEPOWER_HOUR = 0.044


def fuel_per_rated_power(power: Floats) -> Floats:
    """Return a tractor's average diesel use from its rated PTO power.

    Parameters
    ----------
    power : ndarray, shape (...,)
        [kW]

    Returns
    -------
    ndarray, shape (...,)
        [L/h]

    Warnings
    --------
    An average over a year's mix of loads. Divided into the heat content it would give a false
    efficiency, as it counts rated, not delivered, power.

    References
    ----------
    .. [1] Source key ``asae_ep496``.

    Examples
    --------
    >>> import numpy as np
    >>> float(fuel_per_rated_power(np.asarray(50.0)).round(2))
    11.17
    """
    return power * (_GALLONS_PER_HORSEPOWER_HOUR * LITRES_PER_GALLON / KW_PER_HORSEPOWER)
