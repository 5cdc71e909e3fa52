"""What an entry's name stands for elsewhere in a farm: notes on sources, what hangs on it.

An entry is renamed sign by sign in a form, and its name may on the way be that of another
entry; what was the entry's own must come through that too.

>>> before = {"thinners": [{"name": "Kero"}], "machines": [{"name": "Truck", "thinner": "Kero"}]}
>>> after = {"thinners": [{"name": "Jet"}], "machines": [{"name": "Truck", "thinner": "Kero"}]}
>>> following(before, after)["machines"][0]["thinner"]
'Jet'
"""

from collections.abc import Iterator, Mapping
from typing import Any

Document = dict[str, Any]

_SERVED = ("oils", "thinners", "machines", "setups")
# Fields that hold lists of names: table, field, the tables whose entries they name.
_LISTED = (
    ("kit", "serves", _SERVED),
    ("yearly", "serves", _SERVED),
    ("additives", "serves", ("thinners", "machines")),
    ("machines", "thinners", ("thinners",)),
    ("setups", "filters", ("filters",)),
)


def may_name(table: str, field: str) -> tuple[str, ...]:
    """List the tables whose entries a field of names may name."""
    return next((tables for held, key, tables in _LISTED if (held, key) == (table, field)), ())


def _rows(table: Any) -> list[Document]:
    return [row for row in table if isinstance(row, dict)] if isinstance(table, list) else []


def _lists(document: Document) -> Iterator[tuple[str, tuple[str, ...], list[str]]]:
    """Walk the lists of a farm: start of their paths, place, and names in order."""
    for table, value in document.items():
        names = [str(row.get("name")) for row in _rows(value)]
        yield f"{table}.", (table,), names
        if table == "machines":
            for k, (name, row) in enumerate(zip(names, _rows(value), strict=True)):
                parts = [str(part.get("part")) for part in _rows(row.get("wear"))]
                yield f"machines.{name}.wear.", ("machines", str(k), "wear"), parts


def _notes(document: Document) -> dict[str, Any]:
    header = document.get("scenario")
    notes = header.get("sources") if isinstance(header, dict) else None
    return notes if isinstance(notes, dict) else {}


def without_notes(document: Document, starts: tuple[str, ...]) -> Document:
    """Leave out the notes on sources of some entries.

    Parameters
    ----------
    document : dict
        A farm.
    starts : tuple of str
        How the dotted paths of their fields begin, such as ``"oils.garage."``.

    Returns
    -------
    dict
        The farm itself where it has none of them.
    """
    notes = _notes(document)
    kept = {path: kind for path, kind in notes.items() if not path.startswith(starts)}
    if len(kept) == len(notes):
        return document
    return {**document, "scenario": {**document["scenario"], "sources": kept}}


def _in_list(row: Document, key: str) -> list[Any]:
    names = row.get(key)
    return names if isinstance(names, list) else []


def without_names(document: Document, gone: Mapping[str, set[str]]) -> Document:
    """Drop the names of removed entries from the fields that hold names.

    Parameters
    ----------
    document : dict
        A farm without those entries.
    gone : mapping of str to set of str
        Names by table.

    Returns
    -------
    dict
        Kit, bills and additives that hung on removed entries alone are left out with them.
    """
    result = document
    for table, key, others in _LISTED:
        names = set().union(*(gone.get(other, set()) for other in others))
        rows = result.get(table)
        touched = any(not names.isdisjoint(map(str, _in_list(row, key))) for row in _rows(rows))
        if not touched or not isinstance(rows, list):
            continue
        kept = []
        for row in rows:
            before = _in_list(row, key) if isinstance(row, dict) else []
            after = [name for name in before if name not in names]
            if len(after) == len(before):
                kept.append(row)
            elif after or key != "serves":
                kept.append({**row, key: after})
        result = {**result, table: kept}
    reserve = result.get("reserve")
    if isinstance(reserve, dict) and isinstance(reserve.get("thinners"), dict):
        thinners = gone.get("thinners", set())
        left = {name: v for name, v in reserve["thinners"].items() if name not in thinners}
        result = {**result, "reserve": {**reserve, "thinners": left}}
    return result


def _lists_renamed(document: Document, table: str, old: str, new: str) -> Document:
    """Write a new name into every list that holds the old one."""
    result = document
    for held, key, others in _LISTED:
        rows = result.get(held)
        if table not in others or not isinstance(rows, list):
            continue
        renamed = [
            {**row, key: [new if name == old else name for name in row[key]]}
            if isinstance(row, dict) and old in _in_list(row, key)
            else row
            for row in rows
        ]
        result = {**result, held: renamed}
    reserve = result.get("reserve")
    if table == "thinners" and isinstance(reserve, dict):
        thinners = reserve.get("thinners")
        if isinstance(thinners, dict) and old in thinners:
            on_hand = {new if name == old else name: v for name, v in thinners.items()}
            result = {**result, "reserve": {**reserve, "thinners": on_hand}}
    return result


def _moved(document: Document, old: str, new: str) -> Document:
    notes = _notes(document)
    if not any(path.startswith(old) for path in notes):
        return document
    result = {
        new + path.removeprefix(old) if path.startswith(old) else path: kind
        for path, kind in notes.items()
    }
    return {**document, "scenario": {**document["scenario"], "sources": result}}


def _thinners_renamed(document: Document, old: str, new: str) -> Document:
    machines = document.get("machines")
    if not isinstance(machines, list):
        return document
    renamed = [
        {**row, "thinner": new} if isinstance(row, dict) and row.get("thinner") == old else row
        for row in machines
    ]
    return {**document, "machines": renamed}


def _orphans(document: Document, start: str, names: list[str]) -> Iterator[str]:
    """Return the names that notes are for and no entry of a list has."""
    known = tuple(f"{start}{name}." for name in names)
    for path in _notes(document):
        if path.startswith(start) and not path.startswith(known):
            yield path.removeprefix(start).rpartition(".")[0]


def _renamed(
    document: Document, start: str, names: tuple[list[str], list[str]], k: int
) -> Document:
    """Bring what one renamed entry stands for under its new name."""
    before, after = names
    old, new = before[k], after[k]
    if after.count(new) > 1:
        return document  # it waits under the old name until the new one is the entry's alone
    # A name that two entries had was another's too: what waited is under a name nobody has.
    waiting = list(_orphans(document, start, after)) if before.count(old) > 1 else [old]
    for name in waiting:
        document = _moved(document, f"{start}{name}.", f"{start}{new}.")
    if start == "thinners.":
        known = set(after)
        gone = {
            str(row["thinner"])
            for row in _rows(document.get("machines"))
            if isinstance(row.get("thinner"), str) and row["thinner"] not in known
        }
        for name in gone if before.count(old) > 1 else {old} & gone:
            document = _thinners_renamed(document, name, new)
    table = start.removesuffix(".")
    if old not in after:
        document = _lists_renamed(document, table, old, new)
    return document


def following(before: Document, after: Document) -> Document:
    """Have notes and references follow entries that were renamed, and go with those removed.

    Parameters
    ----------
    before, after : dict
        A farm before and after one edit.

    Returns
    -------
    dict
        ``after``, mended where it must be; neither is changed.
    """
    was = {place: (start, names) for start, place, names in _lists(before)}
    result = after
    for start, place, names in _lists(after):
        if place not in was:
            continue
        _, old = was[place]
        if len(old) == len(names):
            for k, name in enumerate(names):
                if name != old[k]:
                    result = _renamed(result, start, (old, names), k)
        elif len(old) > len(names):
            gone = tuple(f"{start}{name}." for name in old if name not in names)
            result = without_notes(result, gone) if gone else result
            lost = {name for name in old if name not in names}
            result = without_names(result, {start.removesuffix("."): lost}) if lost else result
    return result
