"""A farm being edited: what a form's boxes do to it. Pure; no widget, no file.

A farm being edited is the raw document of its file, with three marks of its own that are never
written: ``_begun`` on an entry that is not complete yet and so counts for nothing, ``_ways`` on a
table whose way of giving something is being changed, and ``_held`` beside it with what the new way
has so far. `econ.farm.counting` gives the farm that the model works through and that is saved.

>>> place = place_of("labour.wage")
>>> table_of({"labour": {"wage": 20.0}}, place)[place.field]
20.0
>>> same(3, 3.0), same(1, True)
(True, False)
"""

import re
from typing import Any

from msgspec import Struct

from econ.farm.field_words import (
    MODELS,
    SECTIONS,
    SOURCES,
    WAY_QUESTIONS,
    way_fields,
)
from econ.farm.fields import PRICE_NAMES, About
from econ.farm.merging import name_key
from econ.farm.naming import following
from econ.farm.reading import (
    POINTS,
    Units,
    number_of,
    points_of,
    text_of,
    value_of,
    weights_of,
)
from econ.farm.schema import TABLES, Table, about
from econ.ground.errors import RefusedError

Json = dict[str, Any]

LISTS = {name for name, _, is_list in TABLES if is_list and "." not in name}
BEGUN, WAYS_CHOSEN, HELD = "_begun", "_ways", "_held"
# Where the farm file itself is meant, not the farm.
UNSHOWN = {("scenario", "extends"), ("scenario", "sources"), ("machines", "wear")}
_MOST_ENTRIES = 500
_LONGEST = 5_000
_PATH = re.compile(
    r"([a-z]+)(?:[.](\d{1,4}))?(?:[.]wear[.](\d{1,3}))?[.]([a-z_0-9]{1,40})(?:#([a-z0-9]{1,6}))?",
    re.ASCII,
)
_WAY = re.compile(r"([a-z]+)(?:[.](\d{1,4}))?#way[.]([a-z]{1,20})", re.ASCII)
_ENTRY = re.compile(r"([a-z]+)(?:[.](\d{1,4}))?(?:[.](wear)(?:[.](\d{1,3}))?)?", re.ASCII)


class Place(Struct, frozen=True):
    """Where one field stands: table, entry of a list, row of wear, field, point."""

    table: str
    entry: int | None
    wear: int | None
    field: str
    point: str = ""

    @property
    def model(self) -> type[Table]:
        """The model of its table."""
        return MODELS["machines.wear" if self.wear is not None else self.table]

    @property
    def about(self) -> About:
        """What is known of the field."""
        return about(self.model, self.field)


def place_of(path: object) -> Place:
    """Read a field's path that came from a browser.

    Parameters
    ----------
    path : object
        Such as ``labour.wage#likely`` or ``machines.0.wear.1.cost#source``.

    Returns
    -------
    Place

    Raises
    ------
    RefusedError
        If no form has such a field.
    """
    match = _PATH.fullmatch(path) if isinstance(path, str) else None
    if match is None:
        message = "no form has such a field"
        raise RefusedError(message)
    table, entry, wear, field, point = match.groups()
    known = table in SECTIONS and (table in LISTS) == (entry is not None)
    if not known or (wear is not None and table != "machines"):
        message = "no form has such a table"
        raise RefusedError(message)
    result = Place(
        table,
        None if entry is None else int(entry),
        None if wear is None else int(wear),
        field,
        point or "",
    )
    if field not in result.model.model_fields or (table, field) in UNSHOWN:
        message = "no form has such a field"
        raise RefusedError(message)
    return result


def table_of(document: Json, place: Place) -> Json | None:
    """Find the table that holds a field; None where the document has none such."""
    here: Any = document.get(place.table)
    if place.entry is not None:
        here = here[place.entry] if isinstance(here, list) and place.entry < len(here) else None
    if place.wear is not None and isinstance(here, dict):
        rows = here.get("wear")
        here = rows[place.wear] if isinstance(rows, list) and place.wear < len(rows) else None
    return here if isinstance(here, dict) else None


def units_of(document: Json) -> Units:
    """Read units and currency; ordinary ones where the file has none."""
    header = document.get("scenario")
    header = header if isinstance(header, dict) else {}
    units, currency = header.get("units"), header.get("currency")
    return Units(
        units if units in ("us", "metric") else "us",
        currency if isinstance(currency, str) and len(currency) == 3 else "USD",
    )


def same(one: Any, other: Any) -> bool:
    """Say whether two values are written alike: 3 and 3.0 are, 1 and true are not."""
    if isinstance(one, bool) or isinstance(other, bool):
        return isinstance(one, bool) and isinstance(other, bool) and one == other
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(same(a, b) for a, b in zip(one, other, strict=True))
    return bool(one == other)


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_copy(inner) for inner in value]
    return value


def source_path(document: Json, place: Place) -> str:
    """Write the path under which the file says where a field's number comes from."""
    steps = [place.table]
    if place.entry is not None:
        entry = document[place.table][place.entry]
        steps.append(str(entry.get("name", "")))
        if place.wear is not None:
            steps += ["wear", str(entry["wear"][place.wear].get("part", ""))]
    return ".".join([*steps, place.field])


def source_of(document: Json, place: Place) -> str:
    """Read where a field's number comes from: "bill", "guess" ...; empty where not said."""
    header = document.get("scenario")
    sources = header.get("sources") if isinstance(header, dict) else None
    kind = sources.get(source_path(document, place)) if isinstance(sources, dict) else None
    return kind if isinstance(kind, str) else ""


def _set_source(document: Json, place: Place, kind: str) -> None:
    if kind not in SOURCES:
        message = "no such kind of source"
        raise RefusedError(message)
    header = document.setdefault("scenario", {})
    sources = header.setdefault("sources", {})
    sources.pop(source_path(document, place), None)
    if kind:
        sources[source_path(document, place)] = kind
    if not sources:
        del header["sources"]


def _points(place: Place, now: Any, typed: dict[str, str], units: Units) -> Any:
    """Read the three points of an estimate: the likely one alone is a plain number."""
    shown = points_of(now)
    texts = {point: typed.get(point, shown[point]) for point, _ in POINTS}
    if texts == shown:
        return now
    values = {
        point: _kept(now, point, text, shown, place.about, units)
        for point, text in texts.items()
        if text.strip()
    }
    if not values:
        return None
    return values["likely"] if values.keys() == {"likely"} else values


def _kept(
    now: Any, point: str, text: str, shown: dict[str, str], detail: About, units: Units
) -> Any:
    """Keep a point's value where its box was not touched."""
    if text == shown[point]:
        return now[point] if isinstance(now, dict) else now
    return value_of(detail, text, units)


def _weights(now: Any, typed: dict[str, str]) -> Any:
    """Read twelve weights; all empty means even use."""
    shown = weights_of(now)
    texts = [typed.get(f"m{k + 1}", text) for k, text in enumerate(shown)]
    if texts == shown:
        return now
    if not any(text.strip() for text in texts):
        return None
    return [number_of(text) if text.strip() else 0 for text in texts]


def _own_price(document: Json, now: Any) -> Any:
    """Start a price of its own from that of the fuel it followed."""
    prices = document.get("prices")
    known = prices.get(now) if isinstance(prices, dict) else None
    return _copy(known) if known is not None else 0.0


def _read(place: Place, now: Any, typed: dict[str, str], units: Units) -> Any:
    """Read a field's value from all its inputs; None to leave it out."""
    detail = place.about
    if "" not in typed:
        if detail.kind == "weights":
            return _weights(now, typed)
        return _points(place, now, typed, units)
    text = typed[""]
    if text == text_of(now):
        return now
    if not text.strip():
        return [] if detail.kind == "choices" and now is not None else None
    return value_of(detail, text, units)


# -- ways of giving one thing ---------------------------------------------------------------


def _choices_of(table: str) -> list[str]:
    return [choice for choice in WAY_QUESTIONS if choice.split(".")[0] == table]


def way_given(table: Json, choice: str) -> int:
    """Say which way a table gives something: the one it has most of."""
    ways = way_fields(choice)
    scores = [
        (len(way & set(table)), -len(way - set(table)) if way & set(table) else -99) for way in ways
    ]
    best = max(range(len(ways)), key=lambda k: scores[k])
    if scores[best][0] == 0:
        return next((k for k, way in enumerate(ways) if not way), 0)
    return best


def way_chosen(table: Json, choice: str) -> int:
    """Say which way a table's form shows: the one being changed to, else the one given."""
    marks = table.get(WAYS_CHOSEN)
    chosen = marks.get(choice) if isinstance(marks, dict) else None
    if isinstance(chosen, int) and 0 <= chosen < len(WAY_QUESTIONS[choice][1]):
        return chosen
    return way_given(table, choice)


def shown_value(table: Json, field: str) -> Any:
    """Read a field as its form shows it: what a new way holds so far, else the farm's value."""
    held = table.get(HELD)
    if isinstance(held, dict) and field in held:
        return held[field]
    return table.get(field)


def _changes_way(table: Json, choice: str) -> bool:
    marks = table.get(WAYS_CHOSEN)
    return isinstance(marks, dict) and isinstance(marks.get(choice), int)


def _choose_way(table: Json, choice: str, text: str) -> None:
    count = len(WAY_QUESTIONS[choice][1])
    if not text.isdecimal() or int(text) >= count:
        message = "no such way"
        raise RefusedError(message)
    table.setdefault(WAYS_CHOSEN, {})[choice] = int(text)


def _settle_ways(table: Json, name: str) -> None:
    """Take a new way once all it needs is there and may stand; until then the old one counts."""
    for choice in _choices_of(name):
        if not _changes_way(table, choice):
            continue
        chosen = way_chosen(table, choice)
        ways, needs = way_fields(choice), WAY_QUESTIONS[choice][1][chosen][1]
        values = {field: shown_value(table, field) for field in ways[chosen] | set(needs)}
        if any(not _may_stand(name, field, values[field]) for field in needs):
            continue
        for field in frozenset().union(*ways) - ways[chosen]:
            table.pop(field, None)
        for field in sorted(ways[chosen]):
            if values[field] is not None:
                table[field] = values[field]
        held = table.get(HELD)
        for field in frozenset().union(*ways) if isinstance(held, dict) else ():
            table[HELD].pop(field, None)
        del table[WAYS_CHOSEN][choice]
    for mark in (WAYS_CHOSEN, HELD):
        if mark in table and not table[mark]:
            del table[mark]


def _may_stand(table: str, field: str, value: Any) -> bool:
    if value is None:
        return False
    try:
        about(MODELS[table], field).parse(value)
    except ValueError:
        return False
    return True


def shape_of(document: Json) -> object:
    """Say what decides which boxes a farm's form has: ways, ties, and whether there is a thinner.

    Parameters
    ----------
    document : dict
        A farm being edited.

    Returns
    -------
    object
        Equal for farms whose forms have the same boxes.
    """
    result: list[object] = []
    for choice in WAY_QUESTIONS:
        table = choice.split(".")[0]
        value = document.get(table)
        result += [
            (way_chosen(row, choice), bool(row.get("thinner")))
            for row in (value if isinstance(value, list) else [value])
            if isinstance(row, dict)
        ]
    thinners = document.get("thinners")
    rows = thinners if isinstance(thinners, list) else []
    result += [isinstance(row, dict) and isinstance(row.get("price"), str) for row in rows]
    return result


def waiting_ways(document: Json) -> list[str]:
    """List the choices of ways that are begun and do not count yet, by their path in a form."""
    result = []
    for choice in WAY_QUESTIONS:
        table, word = choice.split(".")
        value = document.get(table)
        listed = isinstance(value, list)
        for k, row in enumerate(value if isinstance(value, list) else [value]):
            if isinstance(row, dict) and _changes_way(row, choice):
                result.append(f"{table}.{k}#way.{word}" if listed else f"{table}#way.{word}")
    return result


def _is_waiting(table: Json, name: str, field: str) -> bool:
    """Say whether a field belongs to a way that does not count yet."""
    for choice in _choices_of(name):
        if _changes_way(table, choice) and field in way_fields(choice)[way_chosen(table, choice)]:
            return field not in table
    return False


# -- edits ------------------------------------------------------------------------------------


def _group(values: dict[str, Any]) -> dict[Place, dict[str, str]]:
    grouped: dict[Place, dict[str, str]] = {}
    for path, value in values.items():
        place = place_of(path)
        whole = Place(place.table, place.entry, place.wear, place.field)
        grouped.setdefault(whole, {})[place.point] = value or ""
    return grouped


def _check_texts(values: dict[str, Any]) -> None:
    for value in values.values():
        if value is not None and not isinstance(value, str):
            message = "an input holds text"
            raise RefusedError(message)
        if value is not None and len(value) > _LONGEST:
            message = "longer than any value of a farm"
            raise RefusedError(message)


def edited(document: Json, values: dict[str, Any]) -> Json | None:
    """Edit a farm by what stands in the form's inputs.

    Parameters
    ----------
    document : dict
        The farm as the draft has it.
    values : dict of str to object
        Text by path, as the browser sent it.

    Returns
    -------
    dict or None
        The farm; None where nothing differs.

    Raises
    ------
    RefusedError
        If a path or a value is none of a form's.
    """
    _check_texts(values)
    ways = {path: value for path, value in values.items() if "#way." in path}
    result = _copy(document)
    units = units_of(document)
    for place, typed in _group({p: v for p, v in values.items() if p not in ways}).items():
        table = table_of(result, place)
        if table is None and place.entry is None:
            table = _begun_table(result, place.table)
        if table is None:
            continue
        kind, tied = typed.pop("source", None), typed.pop("tied", None)
        now = shown_value(table, place.field)
        if tied is not None and tied != (now if isinstance(now, str) else ""):
            if tied not in ("", *PRICE_NAMES):
                message = "no such fuel"
                raise RefusedError(message)
            _edit(result, place, table, tied or _own_price(result, now))
        elif typed:
            _edit(result, place, table, _read(place, shown_value(table, place.field), typed, units))
        if kind is not None and kind != source_of(result, place):
            _set_source(result, place, kind)
    for path, value in ways.items():
        _edit_way(result, path, value or "")
    empty: tuple[Json, ...] = ({}, {BEGUN: True})
    result = {
        table: value
        for table, value in result.items()
        if value not in empty or (table in document and BEGUN not in value)
    }
    return None if same(result, document) else following(document, result)


def _begun_table(document: Json, table: str) -> Json | None:
    """Begin a table that the farm lacks; one that must be complete does not count until it is."""
    if table in document:
        return None
    model = next(model for name, model, _ in TABLES if name == table)
    needs = any(field.is_required() for field in model.model_fields.values())
    begun: Json = {BEGUN: True} if needs else {}
    document[table] = begun
    return begun


def _edit_way(document: Json, path: str, text: str) -> None:
    match = _WAY.fullmatch(path)
    choice = f"{match[1]}.{match[3]}" if match else ""
    if match is None or choice not in WAY_QUESTIONS:
        message = "no form has such a choice"
        raise RefusedError(message)
    place = Place(match[1], None if match[2] is None else int(match[2]), None, "")
    table = table_of(document, place)
    if table is None or text == str(way_chosen(table, choice)):
        return
    _choose_way(table, choice, text)
    _settle_ways(table, match[1])


def _edit(document: Json, place: Place, table: Json, value: Any) -> None:
    """Put a value into its field, and let what hangs on it follow."""
    field = place.field
    now = shown_value(table, field)
    if (value is None and now is None) or (value is not None and same(now, value)):
        return
    if place.wear is None and _is_waiting(table, place.table, field):
        held = table.setdefault(HELD, {})
        if value is None:
            held.pop(field, None)
        else:
            held[field] = value
        _settle_ways(table, place.table)
        return
    key = name_key("machines.wear" if place.wear is not None else place.table)
    if field == key and place.entry is not None:
        table[field] = value or ""
        return
    if value is None:
        del table[field]
    else:
        table[field] = value
    if (place.table, field) == ("machines", "thinner") and value is None:
        for name in ("thinner_share", "thinner_share_winter", "viscosity_limit"):
            table.pop(name, None)
    if place.wear is None:
        _settle_ways(table, place.table)


# -- entries of lists -------------------------------------------------------------------------


def _fresh(rows: list[Any], key: str, start: str) -> str:
    """Make a name that no row has."""
    taken = {row.get(key) for row in rows if isinstance(row, dict)}
    number = 2
    name = start
    while name in taken:
        name, number = f"{start} {number}", number + 1
    return name


def _rows(document: Json, path: object) -> tuple[list[Any], int | None, str]:
    """Find the list that a path means, the entry in it, and its table's name."""
    match = _ENTRY.fullmatch(path) if isinstance(path, str) else None
    if match is None or match[1] not in LISTS or (match[3] and match[1] != "machines"):
        message = "no list of that name"
        raise RefusedError(message)
    table, entry, wear, row = match.groups()
    if wear is None:
        rows = document.setdefault(table, [])
        result, place, name = rows, entry, table
    else:
        machines = document.get(table)
        if not isinstance(machines, list) or entry is None or int(entry) >= len(machines):
            message = "no such machine"
            raise RefusedError(message)
        result, place, name = machines[int(entry)].setdefault("wear", []), row, "machines.wear"
    if not isinstance(result, list) or (place is not None and int(place) >= len(result)):
        message = "no such entry"
        raise RefusedError(message)
    return result, None if place is None else int(place), name


_FIRST_NAMES = {
    "machines": "New machine",
    "oils": "New source",
    "filters": "New filter",
    "thinners": "New thinner",
    "additives": "New additive",
    "yearly": "New bill",
    "kit": "New item",
    "machines.wear": "New part",
}


def changed(document: Json, what: object, path: object) -> tuple[Json, int]:
    """Add, copy or remove an entry.

    Parameters
    ----------
    document : dict
        The farm; it is not changed itself.
    what : object
        "add", "copy" or "remove".
    path : object
        A list for "add", an entry of one else.

    Returns
    -------
    (dict, int)
        The farm, and the entry to look at. A new entry counts for nothing until it is complete.

    Raises
    ------
    RefusedError
        If there is no such place.
    """
    before, document = document, _copy(document)
    rows, entry, table = _rows(document, path)
    key = name_key(table)
    if what == "add" and len(rows) < _MOST_ENTRIES:
        rows.append({key: _fresh(rows, key, _FIRST_NAMES.get(table, "New entry")), BEGUN: True})
    elif what == "copy" and entry is not None and len(rows) < _MOST_ENTRIES:
        copied = _copy(rows[entry])
        copied[key] = _fresh(rows, key, f"{copied.get(key)} (copy)")
        rows.append(copied)
    elif what == "remove" and entry is not None:
        del rows[entry]
        return following(before, document), max(0, entry - 1)
    else:
        message = "nothing to be done there"
        raise RefusedError(message)
    return document, len(rows) - 1
