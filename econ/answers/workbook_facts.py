"""What formulas of a workbook rest on beside the farm's own numbers, in its file's units.

>>> round(sum(half_year_shares("macrs 7")), 12)
1.0
"""

import numpy as np

from econ.advice.cautions.words import never_warmer_than
from econ.answers.document import Answer
from econ.farm.prepare import Path
from econ.farm.schema import Scenario
from econ.finance.worth import depreciation_shares
from econ.fuel.machine_fuel import fuel_per_rated_power
from econ.fuel.substances import DIESEL_HEATING_VALUE, OILS, THINNERS, UNWARMED_FUEL, as_gasoline
from econ.ground.labels import FUEL
from econ.ground.units import from_canonical, to_canonical
from econ.model.costs import Burned, CostLine, takes_additive
from econ.questions.doubts import named_path

Points = tuple[tuple[float, float], ...]
# The volume or count of a year that a cost line of the farm follows, by what it is per.
_QUANTITIES = {
    "raw oil": "oil_processed",
    "oil taken": "oil_collected",
    "trip": "trips",
    "blend": "blend",
    "thinner": "thinner",
    "oil burned": "oil_used",
    "hour": "hours",
}


def diesel_heat(units: str) -> float:
    """Return the net heat of a volume of diesel in a file's units."""
    return float(from_canonical(DIESEL_HEATING_VALUE, "heating_value", units))


def oil_points(kind: str) -> Points:
    """Return the two table points, °C and cSt, of a kind of oil."""
    return OILS[kind].viscosity_points


def thinner_points(kind: str) -> Points:
    """Return the two table points, °C and cSt, of a kind of thinner."""
    return THINNERS[kind].viscosity_points


def fuel_for_power(units: str) -> float:
    """Return the fuel that one unit of rated power burns in an hour, in a file's units."""
    power = to_canonical(1.0, "power", units)
    return float(from_canonical(fuel_per_rated_power(power), "volume_per_hour", units))


def half_year_shares(method: str) -> tuple[float, ...]:
    """Return the share of a price deducted in each year by a half-year table. [-]"""
    return depreciation_shares(method, 1)


def additives_taken(result: Answer, machine: int) -> list[int]:
    """List the additives that a machine's blend takes, from 0."""
    inputs = result.expected.inputs
    burner = inputs.machines[machine]
    thinner = None if burner.thinner is None else inputs.thinners[burner.thinner]
    return [k for k, each in enumerate(inputs.additives) if takes_additive(each, burner, thinner)]


def source_of(scenario: Scenario, path: Path) -> str:
    """Return what the file says of where a number comes from; empty where it says nothing."""
    return scenario.scenario.sources.get(named_path(scenario, path), "")


def usual_number(result: Answer, table: str, index: int | None, field: str) -> float | None:
    """Return the usual number that the model takes where a farm leaves one out.

    Parameters
    ----------
    result : Answer
        A farm worked through.
    table : str
        As in the file.
    index : int or None
        Of the entry, from 0.
    field : str
        As in the file.

    Returns
    -------
    float or None
        In the file's units; None where nothing stands in.
    """
    inputs, units = result.expected.inputs, result.wording.units
    if table == "blending":
        return float(from_canonical(getattr(inputs, field), "temperature", units))
    if index is None:
        return None
    if table == "machines" and field == "viscosity_limit":
        limit = inputs.machines[index].viscosity_limit
        return None if limit is None else float(limit)
    if table not in ("oils", "thinners") or field not in ("density", "energy"):
        return None
    entry = inputs.oils[index] if table == "oils" else inputs.thinners[index]
    if field == "density":
        return float(entry.density)
    return float(from_canonical(entry.heating_value, "heating_value", units))


def warmest_fuel(result: Answer) -> tuple[float, str] | None:
    """Return the warmest that the fuel may be, and why; None where nothing limits it."""
    inputs = result.likely.inputs
    kinds = [inputs.thinners[m.thinner].kind for m in inputs.machines if m.thinner is not None]
    if not any(as_gasoline(kind) for kind in kinds):
        return None
    most = float(from_canonical(UNWARMED_FUEL, "temperature", result.wording.units))
    return most, never_warmer_than(result.wording.temperature(UNWARMED_FUEL))


def borne_rates(result: Answer, line: CostLine, machine: int) -> tuple[float, float, float]:
    """Work out what a machine bears of a cost line for each volume that it burns.

    Parameters
    ----------
    result : Answer
        A farm worked through.
    line : CostLine
        Linear in the volumes.
    machine : int
        Which, from 0.

    Returns
    -------
    (float, float, float)
        For a volume of blend, of thinner and of oil, in the file's units. [currency/volume]
    """
    if line.borne is None:
        return (0.0, 0.0, 0.0)
    inputs = result.expected.inputs
    burner = inputs.machines[machine]
    thinner = None if burner.thinner is None else inputs.thinners[burner.thinner]
    volume, nothing = np.asarray(to_canonical(1.0, "volume", result.wording.units)), np.zeros(())

    def rate(place: int) -> float:
        one = [volume if position == place else nothing for position in range(3)]
        return float(line.borne(Burned(inputs, burner, thinner, *one))) if line.borne else 0.0

    return rate(0), rate(1), rate(2)


def farm_rate(result: Answer, line: CostLine, year: str) -> tuple[float, str | None]:
    """Work out a farm's cost line for each unit of what it is per.

    Parameters
    ----------
    result : Answer
        A farm worked through.
    line : CostLine
        Which.
    year : str
        "first" or "typical".

    Returns
    -------
    (float, str or None)
        The rate and the key of the year's volume or count that it follows; the amount of the year
        and None for a line that follows none. [currency per unit]
    """
    outcome = result.expected
    worked = outcome.first_year if year == "first" else outcome.typical
    amount, key = float(worked.costs[line.key]), _QUANTITIES.get(line.per)
    if key is None:
        return amount, None
    dimension = next(row.dimension for row in FUEL if row.key == key)
    quantity = float(from_canonical(worked.fuel[key], dimension, result.wording.units))
    return (amount / quantity if quantity > 0.0 else 0.0), key
