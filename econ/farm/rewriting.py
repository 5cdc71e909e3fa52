r"""A farm as edited, written into its file: comments, order and untouched values stay.

>>> text = "[labour]\nwage = 20.5  # as the dairy pays\n"
>>> old, new = {"labour": {"wage": 20.5}}, {"labour": {"wage": 23.0}}
>>> print(written(text, old, new, {}), end="")
[labour]
wage = 23.0  # as the dairy pays
"""

import codecs
import datetime
import hashlib
import tomllib
from typing import Any

import tomlkit
from msgspec import Struct
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from econ.farm.editing import LISTS, same
from econ.farm.faults import Origins
from econ.farm.files import MOST_BYTES, Link, from_document, laid, without_format
from econ.farm.merging import merge, name_key, remove
from econ.farm.reading import plain
from econ.ground.errors import Problem, ScenarioError

Json = dict[str, Any]


def _fault(name: str, message: str) -> ScenarioError:
    return ScenarioError((Problem(name, "", None, message),))


def typed(document: Json) -> Json:
    """Return a plain document with its dates made dates again."""
    header = document.get("scenario")
    if not isinstance(header, dict) or not isinstance(header.get("priced_on"), str):
        return document
    try:
        day = datetime.date.fromisoformat(header["priced_on"])
    except ValueError:
        return document
    return {**document, "scenario": {**header, "priced_on": day}}


def stamp_of(links: list[Link]) -> str:
    """Return a fingerprint of a farm's file and of all it extends, byte for byte."""
    whole = hashlib.sha256()
    for link in links:
        whole.update(hashlib.sha256(link.content).digest())
    return whole.hexdigest()


def plain_tables(document: Json) -> Json:
    """Return a raw document as plain JSON values."""
    result: Json = plain(document)
    return result


def _write_value(table: Any, key: str, value: Any) -> None:
    """Write one value into a tomlkit table, points of an estimate one by one."""
    present = table.get(key)
    if key == "sources" and isinstance(value, dict):
        if not isinstance(present, dict):
            table[key] = tomlkit.table()
        _write_table(table[key], plain_tables(present or {}), value)
        return
    if isinstance(present, dict) and isinstance(value, dict) and set(present) == set(value):
        for point, number in value.items():
            if not same(plain(present[point]), number):
                present[point] = number
        return
    table[key] = _made(value)


def _write_notes(table: Any, old: Json, new: Json) -> None:
    """Write what changed between two states of the notes on where numbers come from."""
    for path in old:
        if path not in new and path in table:
            del table[path]
    for path, kind in new.items():
        if not same(old.get(path), kind):
            table[path] = kind


def _made(value: Any) -> Any:
    """Return a value as TOML writes it in one line."""
    if isinstance(value, dict):
        inline = tomlkit.inline_table()
        inline.update(value)
        return inline
    return value


def _write_table(table: Any, old: Json, new: Json) -> None:
    """Write what changed between two states of a table."""
    for key, value in new.items():
        if key == "wear" and isinstance(value, list):
            if not same(old.get("wear"), value):
                _write_list(table, "wear", (old.get("wear") or [], value))
        elif key == "sources" and isinstance(value, dict) and isinstance(table.get(key), dict):
            was = old.get(key)
            _write_notes(table[key], was if isinstance(was, dict) else {}, value)
        elif key not in old or not same(old[key], value):
            _write_value(table, key, value)
    for key in old:
        if key not in new and key in table:
            del table[key]


def _entry(values: Json) -> Any:
    """Make a new entry of a list of tables."""
    table = tomlkit.table()
    for key, value in values.items():
        if key == "wear" and isinstance(value, list):
            rows = tomlkit.aot()
            for row in value:
                rows.append(_entry(row))
            table.add(key, rows)
        else:
            table.add(key, _made(value))
    return table


def _label(entry: Any, key: str) -> str | None:
    name = entry.get(key) if isinstance(entry, dict) else None
    return name if isinstance(name, str) else None


def _write_list(
    parent: Any, table: str, states: tuple[list[Json], list[Json]], *, by_place: bool = True
) -> None:
    """Write what changed between two states of a list of tables, entries matched by name."""
    old, new = states
    key = name_key("machines.wear" if table == "wear" else table)
    rows = parent.get(table)
    if not isinstance(rows, AoT):
        if table in parent:
            del parent[table]
        rows = tomlkit.aot()
    before = {_label(entry, key): entry for entry in old}
    matched = _matched(old, new, key, by_place=by_place)
    kept = {id(entry): name for name, entry in matched.items()}
    for position in reversed(range(len(rows))):
        if _label(plain(rows[position].unwrap()), key) not in matched:
            del rows[position]
    present = {_label(plain(row.unwrap()), key): row for row in rows}
    for entry in new:
        was = kept.get(id(entry))
        if was in present and was is not None:
            _write_table(present[was], before[was], entry)
        elif changed := _difference(before.get(was, {}), entry, key):
            rows.append(_entry(changed))
    if len(rows) and table not in parent:
        parent.append(table, rows)
    elif not len(rows) and table in parent:
        del parent[table]


def _matched(old: list[Json], new: list[Json], key: str, *, by_place: bool) -> dict[str, Json]:
    """Pair old names with new entries: by name, else (an entry renamed) by place."""
    named = {_label(entry, key): entry for entry in new}
    result = {
        name: named[name]
        for entry in old
        if (name := _label(entry, key)) is not None and name in named
    }
    if not by_place or len(old) != len(new):
        return result
    taken = {id(entry) for entry in result.values()}
    for was, now in zip(old, new, strict=True):
        name = _label(was, key)
        if name is not None and name not in result and id(now) not in taken:
            result[name] = now
    return result


def _difference(old: Json, new: Json, key: str) -> Json:
    """Return what an overriding entry must say: its name and what differs from the inherited."""
    changed = {k: v for k, v in new.items() if k not in old or not same(old[k], v)}
    if not changed:
        return {}
    return {key: new.get(key), **changed} if old else dict(new)


def written(text: str, old: Json, new: Json, base: Json) -> str:
    """Return a file's text with the changes between two states of its farm written into it.

    Parameters
    ----------
    text : str
        The file's own text.
    old, new : dict
        The whole farm as it stands in the file and as edited, inherited values included.
    base : dict
        What the file inherits; empty without `extends`.

    Returns
    -------
    str
        Comments, order and untouched values as they were.
    """
    document: Any = tomlkit.parse(text)
    old, new = typed(old), typed(new)
    for table, value in new.items():
        if same(old.get(table), value):
            continue
        if table in LISTS and isinstance(value, list):
            before = old.get(table)
            states = (before if isinstance(before, list) else [], value)
            _write_list(document, table, states, by_place=not base)
            _note_removed(document, table, value, base)
        elif isinstance(value, dict):
            inner = old.get(table)
            if table not in document:
                document.append(table, tomlkit.table())
            _write_table(document[table], inner if isinstance(inner, dict) else {}, value)
    return tomlkit.dumps(document)


def _note_removed(document: Any, table: str, new: list[Json], base: Json) -> None:
    """List inherited entries that are gone under [remove]."""
    key = name_key(table)
    kept = {_label(entry, key) for entry in new}
    inherited = base.get(table)
    names = [_label(entry, key) for entry in inherited] if isinstance(inherited, list) else []
    gone = [name for name in names if name is not None and name not in kept]
    present = list(document.get("remove", {}).get(table, []))
    gone = [name for name in gone if name not in present]
    if not gone:
        return
    if "remove" not in document:
        document.append("remove", tomlkit.table())
    document["remove"][table] = [*present, *gone]


def _reads_back(text: str, base: Json, wanted: Json, name: str) -> None:
    """Refuse a text that would not give the farm that was on the screen."""
    try:
        own = without_format(tomllib.loads(text), name)
    except ValueError as error:
        raise _fault(name, "could not be written as TOML; nothing was changed") from error
    problems: list[Problem] = []
    merged = merge(base, own, name, Origins(name), problems) if base else own
    merged = remove(merged, own, name, problems) if base else merged
    got, want = plain_tables(merged), dict(wanted)
    for document in (got, want):
        for table in [key for key, value in document.items() if value in ([], {})]:
            del document[table]
        document.pop("remove", None)
    if problems or not _alike(got, want):
        message = (
            "a change to what it inherits cannot be written as an override (an inherited value"
            " left out, or moved); nothing was changed. Give a value instead of none, or change"
            " the file it extends"
        )
        raise _fault(name, message)


def _alike(got: Json, want: Json) -> bool:
    """Say whether two farms are the same, whatever the order of their entries."""
    if got.keys() != want.keys():
        return False
    for table, value in got.items():
        one, other = value, want[table]
        if table in LISTS and isinstance(one, list) and isinstance(other, list):
            one, other = (
                sorted(rows, key=lambda row: str(row.get(name_key(table)))) for rows in (one, other)
            )
        if not same(one, other):
            return False
    return True


class _Source(Struct, frozen=True):
    """A file to be changed: its text with line feeds, its whole farm, and what it inherits."""

    content: bytes
    text: str
    mark: bool
    """Whether it begins with a byte-order mark."""
    returns: bool
    """Whether its lines end in carriage return and line feed."""
    whole: Json
    base: Json

    def bytes_of(self, text: str) -> bytes:
        """Return a new text as this file is written."""
        lines = text.replace("\n", "\r\n") if self.returns else text
        return lines.encode("utf-8-sig" if self.mark else "utf-8")


def _source(links: list[Link]) -> _Source:
    content = links[-1].content
    text = content.decode("utf-8-sig")
    returns = "\r\n" in text and text.count("\r\n") == text.count("\n") == text.count("\r")
    return _Source(
        content,
        text.replace("\r\n", "\n") if returns else text,
        content.startswith(codecs.BOM_UTF8),
        returns,
        plain_tables(laid(links)[0]),
        plain_tables(laid(links[:-1])[0]),
    )


def rewritten(links: list[Link], new: Json, name: str) -> bytes:
    """Return a farm's file with the farm as edited written into it.

    Parameters
    ----------
    links : list of Link
        The file, behind what it extends.
    new : dict
        The whole farm as edited, inherited values included.
    name : str
        The file's name, for faults.

    Returns
    -------
    bytes
        Comments, order, untouched values, line ends and byte-order mark as they were.

    Raises
    ------
    ScenarioError
        If the farm has faults, or would not read back from its file as it was edited.
    """
    source = _source(links)
    from_document(typed(new), name)
    try:
        result = written(source.text, source.whole, new, source.base)
    except (TOMLKitError, ValueError, TypeError) as error:
        raise _fault(name, "could not be written; nothing was changed") from error
    content = source.bytes_of(result)
    if len(content) > MOST_BYTES:
        raise _fault(name, f"would hold more than {MOST_BYTES:,} bytes; nothing was changed")
    _reads_back(result, source.base, new, name)
    return content
