"""What differs between two farms, field by field, in the first one's units.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm, less = (load(demo_files()[name]) for name in ("wrenfold", "wrenfold-heater-only"))
>>> [each.entry for each in differences(farm, less) if each.table == "oils"]
['Two-bay garage']
"""

from collections.abc import Iterator

import numpy as np
from msgspec import Struct

from econ.farm.fields import About, Estimate
from econ.farm.schema import TABLES, Scenario, Table, about
from econ.ground.units import from_canonical, to_canonical

# What a farm is called and where its numbers come from changes no figure.
_ASIDE = (
    "title",
    "note",
    "extends",
    "sources",
    "units",
    "currency",
    "priced_on",
    "name",
    "part",
    "owner",
    "log",
)
# Closer than this is one number written in two unit systems.
_SAME = 1e-9


class Difference(Struct, frozen=True):
    """One field that two farms give differently."""

    table: str
    entry: str
    """Name of the entry; empty where the table is no list."""
    field: str
    """Empty where one farm has the whole entry and the other has not."""
    about: About | None
    before: object
    """In the first farm, None where it has none; its units."""
    after: object
    """In the other farm, in the first one's units."""

    @property
    def is_price(self) -> bool:
        """Whether it is what fuel or power costs, now or later, which no plan can choose."""
        return self.table == "prices" or self.field == "fuel_inflation"


def _entries(scenario: Scenario) -> dict[tuple[str, str], Table]:
    """Name every table of a farm, and every entry of its lists."""
    result: dict[tuple[str, str], Table] = {}
    for name, _, is_list in TABLES:
        if name == "machines.wear":
            for machine in scenario.machines:
                for row in machine.wear:
                    result[name, f"{machine.name}: {row.part}"] = row
        elif is_list:
            result |= {(name, entry.name): entry for entry in getattr(scenario, name)}
        elif isinstance(table := getattr(scenario, name), Table):
            result[name, ""] = table
    return result


def _in_units(value: object, detail: About, own: str, units: str) -> object:
    """Bring a value from one unit system to another."""
    if own == units:
        return value

    def turned(number: float) -> float:
        canonical = to_canonical(number, detail.dimension, own)
        return float(from_canonical(canonical, detail.dimension, units))

    if isinstance(value, Estimate):
        low, likely, high = (turned(x) for x in (value.low, value.likely, value.high))
        return Estimate(low=low, likely=likely, high=high)
    if isinstance(value, float) and not isinstance(value, bool):
        return turned(value)
    if isinstance(value, dict):
        return {name: turned(volume) for name, volume in value.items()}
    return value


def _same(one: object, other: object) -> bool:
    """Say whether two values are one, but for rounding between unit systems."""
    if isinstance(one, Estimate) and isinstance(other, Estimate):
        pairs = ((one.low, other.low), (one.likely, other.likely), (one.high, other.high))
        return all(_same(a, b) for a, b in pairs)
    if isinstance(one, float | int) and isinstance(other, float | int):
        return bool(np.isclose(one, other, rtol=_SAME, atol=0.0))
    return one == other


def _fields(
    table: str, entry: str, pair: tuple[Table, Table], units: tuple[str, str]
) -> Iterator[Difference]:
    """Compare two entries of one name."""
    first, second = pair
    for field in type(first).model_fields:
        if field in _ASIDE or field == "wear":
            continue
        detail = about(type(first), field)
        before = getattr(first, field)
        after = _in_units(getattr(second, field), detail, units[1], units[0])
        if not _same(before, after):
            yield Difference(table, entry, field, detail, before, after)


def differences(first: Scenario, second: Scenario) -> tuple[Difference, ...]:
    """List what differs between two farms, prices first.

    Parameters
    ----------
    first, second : Scenario
        As loaded; their unit systems may differ.

    Returns
    -------
    tuple of Difference
        In the first farm's units. An entry that one farm alone has is one difference, without a
        field. Names, notes and sources are left aside: they change no figure.
    """
    ours, theirs = _entries(first), _entries(second)
    units = (first.scenario.units, second.scenario.units)
    result: list[Difference] = []
    for key in dict.fromkeys((*ours, *theirs)):
        table, entry = key
        if key in ours and key in theirs:
            result += _fields(table, entry, (ours[key], theirs[key]), units)
        elif entry:
            there = key in ours
            result.append(Difference(table, entry, "", None, there or None, (not there) or None))
        else:
            whole = ours.get(key, theirs.get(key))
            there = key in ours
            if whole is not None:
                result.append(Difference(table, "", "", None, there or None, (not there) or None))
    return tuple(sorted(result, key=_not_a_price))


def _not_a_price(difference: Difference) -> bool:
    return not difference.is_price
