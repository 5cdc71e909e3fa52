"""Laying one farm file over another: lists of tables by name, choices by their way.

>>> base = {"oils": [{"name": "Garage", "own": False}]}
>>> over = {"oils": [{"name": "Garage", "price": 0.5}]}
>>> merge(base, over, "farm.toml", Origins("farm.toml"), [])
{'oils': [{'name': 'Garage', 'own': False, 'price': 0.5}]}
"""

from typing import Any

from econ.farm.faults import Origins, near, shown, where
from econ.farm.naming import without_names, without_notes
from econ.farm.schema import WAYS
from econ.ground.errors import Problem

Document = dict[str, Any]

_NAME_KEYS = {"machines.wear": "part"}
# Fields that are tables themselves: laid over key by key.
_MERGED_TABLES = (("scenario", "sources"), ("reserve", "thinners"))


def name_key(table: str) -> str:
    """Return the field that names an entry of a list of tables."""
    return _NAME_KEYS.get(table, "name")


def _is_list_of_tables(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(entry, dict) for entry in value)


def duplicates(document: Document, file: str) -> list[Problem]:
    """Find entries of one name in one list of one file.

    Parameters
    ----------
    document : dict
        As parsed.
    file : str
        Its name, for the message.

    Returns
    -------
    list of Problem
    """
    result = []
    for table, value in document.items():
        if not _is_list_of_tables(value):
            continue
        result += _twice(value, name_key(table), (table,), file)
        if table == "machines":
            for machine in value:
                wear = machine.get("wear")
                if _is_list_of_tables(wear):
                    place = ("machines", str(machine.get("name")), "wear")
                    result += _twice(wear, "part", place, file)
    return result


def _twice(entries: list[Document], key: str, place: tuple[str, ...], file: str) -> list[Problem]:
    seen: set[str] = set()
    result = []
    for entry in entries:
        name = entry.get(key)
        if isinstance(name, str) and name in seen:
            message = "two entries of one name in one file; allowed: each name once"
            result.append(Problem(file, where((*place, name, key)), shown(name), message))
        if isinstance(name, str):
            seen.add(name)
    return result


def drop_other_ways(base: Document, over: Document, table: str) -> Document:
    """Drop inherited values of a way that the overriding table does not take.

    Parameters
    ----------
    base, over : dict
        The inherited table, and the one laid over it.
    table : str
        Which table it is.

    Returns
    -------
    dict
        What is kept of `base`.
    """
    kept = dict(base)
    for choice, ways in WAYS.items():
        if choice.split(".")[0] != table:
            continue
        every = frozenset().union(*ways)
        given = every & set(over)
        if not given:
            continue
        allowed = frozenset().union(*(way for way in ways if given <= way), given)
        for key in every - allowed:
            kept.pop(key, None)
    return kept


def _merge_table(
    base: Document,
    over: Document,
    place: tuple[str, ...],
    file: str,
    origins: Origins,
) -> Document:
    """Lay one table over another."""
    merged = drop_other_ways(base, over, place[0])
    for key, value in over.items():
        if key == "wear" and place[0] == "machines" and _is_list_of_tables(value):
            inherited = merged.get(key)
            start = inherited if _is_list_of_tables(inherited) else []
            merged[key] = _merge_list(start or [], value, (*place, "wear"), file, origins)
        elif isinstance(value, dict) and (*place, key) in _MERGED_TABLES:
            merged[key] = {**merged.get(key, {}), **value}
        else:
            merged[key] = value
        origins.note((*place, key), file)
    return merged


def _merge_list(
    base: list[Document],
    over: list[Document],
    place: tuple[str, ...],
    file: str,
    origins: Origins,
) -> list[Document]:
    """Lay one list of tables over another, matched by name; an empty list empties."""
    if not over:
        return []
    key = "part" if place[-1] == "wear" else name_key(place[0])
    merged = [dict(entry) for entry in base]
    index = {entry.get(key): k for k, entry in enumerate(merged)}
    for k, entry in enumerate(over):
        name = entry.get(key)
        label = name if isinstance(name, str) else f"#{k + 1}"
        origins.note((*place, label), file)
        inner = (*place, label)
        if isinstance(name, str) and name in index:
            known = index[name]
            merged[known] = _merge_table(merged[known], entry, inner, file, origins)
        else:
            merged.append(_merge_table({}, entry, inner, file, origins))
            if isinstance(name, str):
                index[name] = len(merged) - 1
    return merged


def merge(
    base: Document,
    over: Document,
    file: str,
    origins: Origins,
    problems: list[Problem],
) -> Document:
    """Lay one document over another.

    Parameters
    ----------
    base, over : dict
        As parsed; `base` may be empty.
    file : str
        Name of the overriding file.
    origins : Origins
        Notes where each value stands.
    problems : list of Problem
        Faults are added here.

    Returns
    -------
    dict
        `over` laid over `base`, in the order in which tables first appear.
    """
    merged = dict(base)
    for table, value in over.items():
        if table == "remove":
            continue
        origins.note((table,), file)
        inherited = merged.get(table)
        if _is_list_of_tables(value):
            start = inherited if _is_list_of_tables(inherited) else []
            merged[table] = _merge_list(start or [], value, (table,), file, origins)
        elif isinstance(value, dict):
            start = inherited if isinstance(inherited, dict) else {}
            if table == "scenario" and start:
                problems += _same_terms(start, value, file)
            merged[table] = _merge_table(start, value, (table,), file, origins)
        else:
            merged[table] = value
    return merged


def _same_terms(base: Document, over: Document, file: str) -> list[Problem]:
    """Refuse another unit system or currency than the extended file's."""
    return [
        Problem(
            file,
            where(("scenario", key)),
            shown(over[key]),
            f"the file it extends has {shown(base.get(key))}; allowed: the same",
        )
        for key in ("units", "currency")
        if key in over and over[key] != base.get(key)
    ]


def remove(merged: Document, document: Document, file: str, problems: list[Problem]) -> Document:
    """Drop the entries that a document's [remove] names.

    Parameters
    ----------
    merged : dict
        After the merge.
    document : dict
        The document that may hold [remove].
    file : str
        Its name.
    problems : list of Problem
        Faults are added here.

    Returns
    -------
    dict
        Without them and without the notes on their sources.
    """
    wanted = document.get("remove")
    if wanted is None:
        return merged
    if not isinstance(wanted, dict):
        problems.append(Problem(file, "[remove]", None, "allowed: lists of names by table"))
        return merged
    merged = dict(merged)
    for table, names in wanted.items():
        place = f"[remove] {table}"
        entries = merged.get(table)
        if not _is_list_of_tables(entries):
            lists = [key for key, value in merged.items() if _is_list_of_tables(value)]
            problems.append(Problem(file, place, None, f"no list of that name{near(table, lists)}"))
            continue
        if not isinstance(names, list) or not all(isinstance(name, str) for name in names):
            problems.append(Problem(file, place, shown(names), "allowed: a list of names"))
            continue
        there = [entry.get("name") for entry in entries or []]
        for name in names:
            if name not in there:
                known = [str(known) for known in there]
                problems.append(
                    Problem(file, place, shown(name), f"no entry of that name{near(name, known)}")
                )
        merged[table] = [entry for entry in entries or [] if entry.get("name") not in names]
        merged = without_notes(merged, tuple(f"{table}.{name}." for name in names))
    gone = {
        table: {name for name in names if isinstance(name, str)}
        for table, names in wanted.items()
        if isinstance(names, list)
    }
    return without_names(merged, gone)
