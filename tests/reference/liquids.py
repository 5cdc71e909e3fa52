"""Oils and thinners: the values used, viscosity against temperature, and a class's limits."""

import math

GALLON = 3.785411784
MILE = 1.609344
HORSEPOWER = 0.745699872
BTU = 1055.05585262e-6  # MJ
DIESEL_HEAT = 128488 * BTU / GALLON  # MJ/L

# density kg/L, ((°C, cSt), (°C, cSt)), Btu/gal lower heating value
OILS = {
    "engine oil": (0.885, ((40, 66), (100, 10.0)), 129760),
    "transmission fluid": (0.865, ((40, 34.5), (100, 7.3)), 131763),
    "hydraulic oil": (0.875, ((40, 46), (100, 6.8)), 132801),
    "transformer oil": (0.880, ((40, 9.5), (100, 2.45)), 133313),
}
THINNERS = {
    "gasoline": (0.745, ((20, 0.62), (40, 0.525)), 116090),
    "gasoline E10": (0.750, ((20, 0.66), (40, 0.555)), 112114),
    "kerosene": (0.810, ((20, 2.30), (40, 1.59)), 126475),
    "diesel": (0.840, ((40, 2.68), (100, 1.15)), 128488),
    "mineral spirits": (0.780, ((20, 1.42), (40, 1.06)), 121960),
    "biodiesel": (0.880, ((40, 4.3), (100, 1.72)), 119550),
}
LIMITS = {
    "indirect injection": 12,
    "inline pump": 12,
    "unit injector": 12,
    "hydraulic unit injector": 12,
    "rotary pump": 7,
    "early common rail": 7,
    "late common rail": 7,
    "burner": 30,
}


def w(viscosity: float) -> float:
    z = viscosity + 0.7 + math.exp(-1.47 - 1.84 * viscosity - 0.51 * viscosity**2)
    return math.log10(math.log10(z))


def line(t1: float, v1: float, t2: float, v2: float) -> tuple[float, float]:
    x1, x2 = math.log10(t1 + 273.15), math.log10(t2 + 273.15)
    b = (w(v1) - w(v2)) / (x2 - x1)
    return w(v1) + b * x1, b


def at_temperature(ab: tuple[float, float], t: float) -> float:
    return ab[0] - ab[1] * math.log10(t + 273.15)


def share_for_limit(
    oil: float, thin: float, limit: float, oil_density: float, thin_density: float
) -> float | None:
    """Find the thinner's share by volume that brings W to a limit; None if it cannot."""
    if oil <= limit:
        return 0.0
    if thin >= limit:
        return None
    mass = (oil - limit) / (oil - thin)
    volume = mass / thin_density
    return volume / (volume + (1 - mass) / oil_density)
