"""Farm files for editing: opened as plain values, saved with comments and order kept.

Names come from a browser and are trusted with nothing: each is matched in full, resolved, and
must lie in the folder that was opened.
"""

import datetime
import hashlib
import math
import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from econ.farm.faults import Origins
from econ.farm.files import MOST_BYTES, from_document, merged_document, replace_text, write_new
from econ.farm.merging import merge, name_key, remove
from econ.farm.schema import TABLES
from econ.farm.starter import starter
from econ.ground.errors import Problem, ScenarioError

Json = dict[str, Any]

_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,79}\.toml", re.ASCII)
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
MOST_FILES = 1_000
LISTS = {name for name, _, is_list in TABLES if is_list and "." not in name}


class RefusedError(ValueError):
    """A request that no page of ours sends."""


class ChangedOnDiskError(Exception):
    """The file is not the one that was opened."""


def _fault(name: str, message: str) -> ScenarioError:
    return ScenarioError((Problem(name, "", None, message),))


@dataclass(frozen=True, slots=True)
class Folder:
    """The folder of farm files that one dashboard serves."""

    path: Path

    def names(self) -> list[str]:
        """Give the farm files in the folder, by name."""
        found = sorted(
            entry.name for entry in self.path.glob("*.toml") if _NAME.fullmatch(entry.name)
        )
        return found[:MOST_FILES]

    def place(self, name: object) -> Path:
        """Give where a file of the folder stands.

        Parameters
        ----------
        name : object
            As a browser sent it.

        Returns
        -------
        Path

        Raises
        ------
        RefusedError
            If it is not a plain name of a TOML file inside the folder.
        """
        if not isinstance(name, str) or not _NAME.fullmatch(name):
            message = (
                "a farm file's name has letters, digits, blanks, dots, dashes or underscores and"
                " ends in .toml"
            )
            raise RefusedError(message)
        whole = (self.path / name).resolve()
        if whole.parent != self.path.resolve():
            message = "the file lies outside the folder that was opened"
            raise RefusedError(message)
        return whole


@dataclass(frozen=True, slots=True)
class Opened:
    """A farm as opened: its values, where it came from, and what it inherits."""

    name: str | None
    stamp: str
    document: Json
    own: Json
    base: Json
    problems: tuple[Problem, ...] = ()
    origin: Json = field(default_factory=dict)


def plain(value: Any) -> Any:
    """Give a value as JSON can carry it; what it cannot becomes text, which is then refused."""
    if isinstance(value, dict):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > 2**53:
        return str(value)
    return value


def typed(document: Json) -> Json:
    """Give a plain document with its dates made dates again."""
    header = document.get("scenario")
    if not isinstance(header, dict) or not isinstance(header.get("priced_on"), str):
        return document
    try:
        day = datetime.date.fromisoformat(header["priced_on"])
    except ValueError:
        return document
    return {**document, "scenario": {**header, "priced_on": day}}


def stamp_of(text: bytes) -> str:
    """Give a fingerprint of a file's bytes."""
    return hashlib.sha256(text).hexdigest()


def _base_of(path: Path, own: Json) -> Json:
    """Give the merged document of what a file extends; empty without."""
    header = own.get("scenario")
    name = header.get("extends") if isinstance(header, dict) else None
    if not isinstance(name, str) or not name:
        return {}
    return plain_tables(merged_document(path.parent / name)[0])


def plain_tables(document: Json) -> Json:
    """Give a raw document as plain JSON values."""
    found: Json = plain(document)
    return found


def open_farm(folder: Folder, name: object) -> Opened:
    """Open a farm file for editing, faults and all.

    Parameters
    ----------
    folder : Folder
        Where files may lie.
    name : object
        As a browser sent it.

    Returns
    -------
    Opened
        With its faults; a file that is no TOML at all gives an empty document and one fault.

    Raises
    ------
    RefusedError
        If the name is none of a file in the folder.
    """
    path = folder.place(name)
    shown = str(name)
    try:
        merged, _, problems = merged_document(path)
        text = path.read_bytes()
        own = plain_tables(tomllib.loads(text.decode("utf-8-sig")))
        base = _base_of(path, own)
    except ScenarioError as error:
        return Opened(shown, "", {}, {}, {}, _short(error.problems))
    except (OSError, ValueError):
        return Opened(shown, "", {}, {}, {}, (Problem(shown, "", None, "cannot be read"),))
    return Opened(shown, stamp_of(text), plain_tables(merged), own, base, _short(tuple(problems)))


def _short(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """Name files without the folder, which is nobody's business on a screen."""
    return tuple(Problem(Path(p.file).name, p.where, p.value, p.message) for p in problems)


def new_farm(units: str, currency: str, day: datetime.date) -> Opened:
    """Give a starter farm that is in no file yet."""
    text = starter(units, currency, day)
    document = plain_tables(tomllib.loads(text))
    origin = {"units": units, "currency": currency, "day": day.isoformat()}
    return Opened(None, "", document, document, {}, (), origin)


def starter_text(origin: object) -> str:
    """Give the text of a starter farm again, from where it came.

    Raises
    ------
    RefusedError
        If the origin is none of ours.
    """
    if not isinstance(origin, dict):
        message = "no farm is open"
        raise RefusedError(message)
    units, currency, day = (origin.get(key) for key in ("units", "currency", "day"))
    if units not in ("us", "metric") or not isinstance(currency, str) or not isinstance(day, str):
        message = "that is no starter farm"
        raise RefusedError(message)
    if not _CURRENCY.fullmatch(currency):
        message = "a currency has three capital letters"
        raise RefusedError(message)
    try:
        return starter(units, currency, datetime.date.fromisoformat(day))
    except ValueError as error:
        message = "that is no day"
        raise RefusedError(message) from error


def same(one: Any, other: Any) -> bool:
    """Say whether two values are written alike: 3 and 3.0 are, 1 and true are not."""
    if isinstance(one, bool) or isinstance(other, bool):
        return isinstance(one, bool) and isinstance(other, bool) and one == other
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(same(a, b) for a, b in zip(one, other, strict=True))
    return bool(one == other)


def _write_value(table: Any, key: str, value: Any) -> None:
    """Write one value into a tomlkit table, points of an estimate one by one."""
    present = table.get(key)
    if isinstance(present, dict) and isinstance(value, dict) and set(present) == set(value):
        for point, number in value.items():
            if not same(plain(present[point]), number):
                present[point] = number
        return
    table[key] = _made(value)


def _made(value: Any) -> Any:
    """Give a value as TOML writes it in one line."""
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
    found = {
        name: named[name]
        for entry in old
        if (name := _label(entry, key)) is not None and name in named
    }
    if not by_place or len(old) != len(new):
        return found
    taken = {id(entry) for entry in found.values()}
    for was, now in zip(old, new, strict=True):
        name = _label(was, key)
        if name is not None and name not in found and id(now) not in taken:
            found[name] = now
    return found


def _difference(old: Json, new: Json, key: str) -> Json:
    """Give what an overriding entry must say: its name and what differs from the inherited."""
    changed = {k: v for k, v in new.items() if k not in old or not same(old[k], v)}
    if not changed:
        return {}
    return {key: new.get(key), **changed} if old else dict(new)


def written(text: str, old: Json, new: Json, base: Json) -> str:
    """Give a file's text with the changes between two states of its farm written into it.

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
        own = tomllib.loads(text)
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


def _read(path: Path, name: str) -> tuple[bytes, Json, Json]:
    """Read a file as it stands: its bytes, its whole farm, and what it inherits."""
    merged = plain_tables(merged_document(path)[0])
    try:
        text = path.read_bytes()
        base = _base_of(path, tomllib.loads(text.decode("utf-8-sig")))
    except (OSError, ValueError) as error:
        raise _fault(name, "cannot be read") from error
    return text, merged, base


def _text_for(source: tuple[str, Json, Json], new: Json, name: str) -> str:
    """Give the text to write, or refuse."""
    text, old, base = source
    from_document(typed(new), name)
    try:
        found = written(text, old, new, base)
    except (TOMLKitError, ValueError, TypeError) as error:
        raise _fault(name, "could not be written; nothing was changed") from error
    if len(found.encode()) > MOST_BYTES:
        raise _fault(name, f"would hold more than {MOST_BYTES:,} bytes; nothing was changed")
    _reads_back(found, base, new, name)
    return found


def save(folder: Folder, name: object, stamp: object, new: Json, *, over: bool = False) -> str:
    """Write a farm's changes into its file.

    Parameters
    ----------
    folder : Folder
        Where files may lie.
    name, stamp : object
        The file, and its fingerprint when it was opened, as a browser sent them.
    new : dict
        The whole farm as edited.
    over : bool
        Whether to write even though the file has changed since.

    Returns
    -------
    str
        The new fingerprint.

    Raises
    ------
    RefusedError
        If the name is none of a file in the folder.
    ChangedOnDiskError
        If the file is not the one that was opened.
    ScenarioError
        If the farm has faults or the file cannot be written; it then stays as it was.
    """
    path = folder.place(name)
    shown = path.name
    if not path.is_file():
        raise _fault(shown, "is no longer there; use Save as")
    text, old, base = _read(path, shown)
    if stamp_of(text) != stamp and not over:
        raise ChangedOnDiskError(shown)
    found = _text_for((text.decode("utf-8-sig"), old, base), new, shown)
    replace_text(path, found)
    return stamp_of(found.encode())


def save_as(folder: Folder, name: object, source: object, origin: object, new: Json) -> str:
    """Write a farm into a file that is not there yet.

    Parameters
    ----------
    folder : Folder
        Where files may lie.
    name : object
        The new file.
    source : object
        The file it was opened from, whose comments are kept; None for a starter farm.
    origin : object
        Where a starter farm came from.
    new : dict
        The whole farm as edited.

    Returns
    -------
    str
        Its fingerprint.

    Raises
    ------
    RefusedError, ScenarioError
        As `save`; and a file that is there already is not written over.
    """
    path = folder.place(name)
    if source is None:
        text = starter_text(origin)
        start: tuple[str, Json, Json] = (text, plain_tables(tomllib.loads(text)), {})
    else:
        raw, old, base = _read(folder.place(source), str(source))
        start = (raw.decode("utf-8-sig"), old, base)
    found = _text_for(start, new, path.name)
    write_new(path, found)
    return stamp_of(found.encode())
