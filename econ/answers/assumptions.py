"""Every number a farm rests on, as it is read: whose, what, how much, in which unit.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> rows = assumptions(load(demo_files()["wrenfold"]))
>>> [(row["value"], row["unit"]) for row in rows if row["what"] == "Electricity"]
[('0.16', '$/kWh')]
"""

from collections.abc import Iterator
from typing import Annotated, Any, TypedDict

from econ.answers.keys import Key
from econ.farm.fields import Estimate
from econ.farm.schema import TABLES, Scenario, Table, about
from econ.ground.units import unit_label
from econ.ground.written import signed

# Said elsewhere, or no assumption.
_LEFT_OUT = ("wear", "sources", "note", "name", "part", "extends", "example")
_PLAIN = ("text", "date", "flag", "choice", "weights", "months")


class Assumption(TypedDict):
    """One field of a farm."""

    of: Annotated[str, Key("text", "The table, and the entry's name")]
    what: Annotated[str, Key("text", "The field's label")]
    value: Annotated[str, Key("text", "As it is read, with its range")]
    unit: Annotated[str, Key("text", "Its unit; empty for words")]


def _entries(scenario: Scenario) -> Iterator[tuple[str, Table]]:
    """List every entry of the farm under its heading, in the order of the tables."""
    for name, _, is_list in TABLES:
        if name == "machines.wear":
            for machine in scenario.machines:
                for row in machine.wear:
                    yield f"{machine.name}: {row.part}", row
            continue
        held: Any = getattr(scenario, name)
        if is_list:
            for entry in held:
                yield f"{name}: {entry.name}", entry
        elif held is not None:
            yield name, held


def _value(value: object) -> str:
    if isinstance(value, Estimate):
        low, likely, high = (signed(f"{x:g}") for x in (value.low, value.likely, value.high))
        return f"{likely} ({low} to {high})"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return signed(f"{value:g}")
    if isinstance(value, list | tuple):
        return ", ".join(map(str, value))
    return str(value)


def assumptions(scenario: Scenario) -> list[Assumption]:
    """List everything that a farm's answer rests on.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    list of Assumption
        Fields that the file leaves out stand with their default; those that may be empty and
        are, do not stand.
    """
    header = scenario.scenario
    rows: list[Assumption] = []
    for heading, entry in _entries(scenario):
        for field in type(entry).model_fields:
            value = getattr(entry, field)
            if field in _LEFT_OUT or value is None or value in ([], {}):
                continue
            detail = about(type(entry), field)
            unit = (
                ""
                if detail.dimension in _PLAIN
                else unit_label(detail.dimension, header.units, header.currency)
            )
            rows.append({"of": heading, "what": detail.label, "value": _value(value), "unit": unit})
    return rows
