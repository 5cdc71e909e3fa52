"""Which part of a farm being edited counts: what was begun and is not complete yet does not.

>>> document = {"oils": [{"name": "Garage", "_begun": True}, {"name": "Our own"}]}
>>> [begun.path for begun in unfinished(document)], counted(document)
(['oils.0'], {'oils': [{'name': 'Our own'}]})
"""

from typing import Any

from msgspec import Struct
from pydantic import ValidationError

from econ.farm.checks import cross_checks
from econ.farm.editing import BEGUN, LISTS
from econ.farm.faults import Origins, where
from econ.farm.field_words import MODELS, SECTIONS
from econ.farm.merging import name_key
from econ.farm.naming import without_notes
from econ.farm.schema import about

Json = dict[str, Any]


def lacks(document: Json, table: str, entry: Json) -> list[str]:
    """List what an entry still needs before it counts: labels of fields.

    Parameters
    ----------
    document : dict
        The farm it belongs to.
    table : str
        Its list.
    entry : dict
        The entry.

    Returns
    -------
    list of str
        Empty for a complete one.
    """
    model = MODELS[table]
    bare = {key: value for key, value in entry.items() if not key.startswith("_")}
    bare = {**bare, "wear": []} if table == "machines" else bare
    result: list[str] = []
    try:
        model.model_validate(bare)
    except ValidationError as error:
        for row in error.errors(include_url=False):
            field = str(row["loc"][0])
            if field in model.model_fields:
                result.append(about(model, field).label)
    if result:
        return result
    names = (str(bare.get(name_key(table))),) if table in LISTS else ()
    heading = where((table, *names))
    trial = {**_bare(document), table: [bare] if table in LISTS else bare}
    return [
        problem.message
        for problem in cross_checks(trial, Origins(""))
        if problem.where.startswith(heading)
    ]


def _bare(value: Any) -> Any:
    """Drop the marks of editing."""
    if isinstance(value, dict):
        return {key: _bare(inner) for key, inner in value.items() if not key.startswith("_")}
    if isinstance(value, list):
        return [_bare(inner) for inner in value]
    return value


class Unfinished(Struct, frozen=True):
    """An entry, or a table of its own, that does not count yet, and what it still needs."""

    table: str
    entry: int | None
    name: str
    lacks: tuple[str, ...]

    @property
    def path(self) -> str:
        """Where it stands in the form."""
        return self.table if self.entry is None else f"{self.table}.{self.entry}"


def unfinished(document: Json) -> list[Unfinished]:
    """List the entries that were begun and are not complete.

    Parameters
    ----------
    document : dict
        A farm being edited.

    Returns
    -------
    list of Unfinished
    """
    result = []
    for table in SECTIONS:
        own = document.get(table)
        if table not in LISTS and isinstance(own, dict) and own.get(BEGUN):
            needs = lacks(document, table, own)
            if needs:
                result.append(Unfinished(table, None, SECTIONS[table], tuple(needs)))
        rows = own if table in LISTS else None
        for k, row in enumerate(rows if isinstance(rows, list) else []):
            if isinstance(row, dict) and row.get(BEGUN):
                needs = lacks(document, table, row)
                if needs:
                    name = str(row.get(name_key(table)) or f"no name {k + 1}")
                    result.append(Unfinished(table, k, name, tuple(needs)))
    return result


def counted(document: Json) -> Json:
    """Make the farm that counts: without marks of editing and without unfinished entries.

    Parameters
    ----------
    document : dict
        A farm being edited.

    Returns
    -------
    dict
    """
    left_out = {(row.table, row.entry) for row in unfinished(document)}
    result: Json = {}
    for table, value in document.items():
        if table in LISTS and isinstance(value, list):
            rows = [_without_begun_wear(row) for row in value]
            kept = [_bare(row) for k, row in enumerate(rows) if (table, k) not in left_out]
            if kept or not value:
                result[table] = kept
        elif not table.startswith("_") and (table, None) not in left_out:
            result[table] = _bare(value)
    names = {
        (table, k): document[table][k].get(name_key(table))
        for table, k in left_out
        if k is not None
    }
    return without_notes(result, tuple(f"{table}.{name}." for (table, _), name in names.items()))


def _without_begun_wear(machine: Any) -> Any:
    """Drop rows of wear that are not complete yet."""
    if not isinstance(machine, dict) or not isinstance(machine.get("wear"), list):
        return machine
    rows = [
        row
        for row in machine["wear"]
        if not (isinstance(row, dict) and row.get(BEGUN) and lacks({}, "machines.wear", row))
    ]
    kept = {**machine, "wear": rows}
    if not rows and machine["wear"]:
        del kept["wear"]
    return kept
