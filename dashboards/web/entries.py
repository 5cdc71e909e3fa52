"""Adding, copying and removing entries of a farm being edited."""

import re
from typing import Any

from dashboards.web.documents import LISTS, RefusedError
from dashboards.web.forms import MODELS
from econ.farm.merging import name_key
from econ.farm.naming import following
from econ.farm.schema import about

Json = dict[str, Any]
_PLACE = re.compile(r"([a-z]+)(?:[.](\d{1,4}))?(?:[.](wear)(?:[.](\d{1,3}))?)?", re.ASCII)
_MOST = 500


def _fresh(rows: list[Any], key: str, start: str) -> str:
    """Give a name that no row has."""
    taken = {row.get(key) for row in rows if isinstance(row, dict)}
    number = 2
    name = start
    while name in taken:
        name, number = f"{start} {number}", number + 1
    return name


def _blank(table: str, rows: list[Any]) -> Json:
    """Give a new entry: required fields at what is common, so that it can be changed at once."""
    model = MODELS[table]
    found: Json = {}
    for field, info in model.model_fields.items():
        if not info.is_required():
            continue
        detail = about(model, field)
        if field == name_key(table):
            found[field] = _fresh(rows, field, "New part" if field == "part" else "New entry")
        elif detail.kind == "choice":
            found[field] = detail.choices[0]
        elif field == "model_year":
            found[field] = 1990
        else:
            found[field] = detail.usual[0].likely if detail.usual else int(max(detail.least, 0))
    return found


def _rows(document: Json, path: object) -> tuple[list[Any], int | None, str]:
    """Find the list that a path means, the entry in it, and its table's name."""
    match = _PLACE.fullmatch(path) if isinstance(path, str) else None
    if match is None or match[1] not in LISTS or (match[3] and match[1] != "machines"):
        message = "no list of that name"
        raise RefusedError(message)
    table, entry, wear, row = match.groups()
    if wear is None:
        rows = document.setdefault(table, [])
        found, at, name = rows, entry, table
    else:
        machines = document.get(table)
        if not isinstance(machines, list) or entry is None or int(entry) >= len(machines):
            message = "no such machine"
            raise RefusedError(message)
        found, at, name = machines[int(entry)].setdefault("wear", []), row, "machines.wear"
    if not isinstance(found, list) or (at is not None and int(at) >= len(found)):
        message = "no such entry"
        raise RefusedError(message)
    return found, None if at is None else int(at), name


def _copied(rows: Any) -> Any:
    """Copy a list of tables as far as names go."""
    if not isinstance(rows, list):
        return rows
    return [
        {**row, "wear": list(row["wear"])}
        if isinstance(row, dict) and isinstance(row.get("wear"), list)
        else row
        for row in rows
    ]


def changed(document: Json, what: object, path: object) -> tuple[Json, int]:
    """Give a farm with an entry added, copied or removed, and the entry to look at.

    Parameters
    ----------
    document : dict
        A copy of the farm; it is changed.
    what : object
        "add", "copy" or "remove".
    path : object
        A list for "add", an entry of one else.

    Returns
    -------
    (dict, int)

    Raises
    ------
    RefusedError
        If there is no such place.
    """
    before = {**document, **{name: _copied(rows) for name, rows in document.items()}}
    rows, at, table = _rows(document, path)
    if what == "add" and len(rows) < _MOST:
        rows.append(_blank(table, rows))
    elif what == "copy" and at is not None and len(rows) < _MOST:
        key = name_key(table)
        copied = {**rows[at]}
        copied[key] = _fresh(rows, key, f"{copied.get(key)} (copy)")
        rows.append(copied)
    elif what == "remove" and at is not None:
        del rows[at]
        return following(before, document), max(0, at - 1)
    else:
        message = "nothing to be done there"
        raise RefusedError(message)
    return document, len(rows) - 1
