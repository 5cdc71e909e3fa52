"""Farm files for editing: opened as plain values, saved with comments and order kept.

Names come from a browser and are trusted with nothing: each is matched in full, resolved, and
must lie in the folder that was opened.
"""

import codecs
import datetime
import hashlib
import os
import re
import tomllib
from dataclasses import dataclass, field
from dataclasses import replace as replaced
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from econ.farm.editing import LISTS, RefusedError, same
from econ.farm.faults import Origins
from econ.farm.files import (
    MOST_BYTES,
    Link,
    chain,
    from_document,
    held,
    laid,
    replace,
    without_format,
    write_new,
)
from econ.farm.interview import checked_answers, interviewed
from econ.farm.merging import merge, name_key, remove
from econ.farm.reading import plain
from econ.farm.starter import starter
from econ.farm.writing import ChangedError
from econ.ground.errors import Problem, ScenarioError
from econ.ground.wording import visible

Json = dict[str, Any]

SUFFIX = ".toml"
_LONGEST_NAME = 255
_SEPARATORS = frozenset("/\\\0")
# Names that Windows gives to devices, whatever their ending.
_TAKEN = frozenset({"CON", "PRN", "AUX", "NUL"}) | {
    f"{device}{number}" for device in ("COM", "LPT") for number in range(1, 10)
}
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)
MOST_FILES = 1_000


class ChangedOnDiskError(Exception):
    """The file is not the one that was opened."""


def _fault(name: str, message: str) -> ScenarioError:
    return ScenarioError((Problem(name, "", None, message),))


@dataclass(frozen=True, slots=True)
class Listing:
    """What a folder offers, and what it does not, with the reason in words."""

    names: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Folder:
    """The folder of farm files that one dashboard serves."""

    path: Path

    def listing(self) -> Listing:
        """List every file that may be a farm: offered, or named with the reason why not."""
        names: list[str] = []
        left_out: list[tuple[str, str]] = []
        try:
            entries = sorted(entry.name for entry in self.path.iterdir())
        except OSError as error:
            return Listing((), ((self.path.name, f"the folder cannot be read: {error.strerror}"),))
        for name in entries:
            if not name.lower().endswith(SUFFIX):
                continue
            reason = self._unfit(name)
            if reason is None and len(names) == MOST_FILES:
                reason = f"only the first {MOST_FILES:,} are offered; serve a smaller folder"
            if reason is None:
                names.append(name)
            else:
                left_out.append((visible(name), reason))
        return Listing(tuple(names), tuple(left_out))

    def names(self) -> list[str]:
        """Return the farm files that are offered, by name."""
        return list(self.listing().names)

    def _unfit(self, name: str) -> str | None:
        """Say why a file is not offered; None where it is."""
        if name.startswith("."):
            return "its name starts with a dot, which hides it"
        if not _speakable(name):
            return "its name holds a sign that cannot be shown; rename it"
        whole = self.path / name
        try:
            inside = whole.resolve(strict=True).parent == self.path.resolve()
        except FileNotFoundError:
            return "it is a link to nothing"
        except (OSError, RuntimeError):
            return "it is a link that goes round in a circle, or cannot be followed"
        if not inside:
            return "it is a link to a file outside this folder; open that folder instead"
        if not whole.is_file():
            return "it is no ordinary file"
        return None

    def place(self, name: object) -> Path:
        """Return where a file of the folder stands, one that is there or one to be made.

        Parameters
        ----------
        name : object
            As a browser sent it.

        Returns
        -------
        Path
            Its own path; a link inside the folder stays one.

        Raises
        ------
        RefusedError
            If it is not a plain name of a TOML file inside the folder.
        """
        plain_name = (
            isinstance(name, str)
            and name.lower().endswith(SUFFIX)
            and len(name) > len(SUFFIX)
            and len(name.encode(errors="replace")) <= _LONGEST_NAME
            and not set(name) & _SEPARATORS
        )
        if not plain_name:
            message = (
                "a farm file's name is one name without slashes, at most 255 bytes long, that ends"
                " in .toml"
            )
            raise RefusedError(message)
        whole = self.path / str(name)
        reason = self._unfit(str(name)) if os.path.lexists(whole) else _unfit_new(str(name))
        if reason is not None:
            message = f"the file is not offered: {reason}"
            raise RefusedError(message)
        return whole


def _speakable(name: str) -> bool:
    """Say whether a name can be shown and sent: no control signs, no bytes that are no text."""
    return name.isprintable()


def _unfit_new(name: str) -> str | None:
    """Say why a new file may not have a name; None where it may, on any kind of system."""
    stem = name[: -len(SUFFIX)]
    if not _speakable(name) or set(name) & set('<>:"|?*'):
        return 'a new name has none of < > : " | ? * and no unprintable sign'
    if name.startswith(".") or name != name.strip() or stem.endswith((".", " ")):
        return "a new name starts with no dot or blank and ends in neither"
    if stem.split(".")[0].upper() in _TAKEN:
        return "some systems keep that name for themselves"
    return None


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
        links = chain(path)
    except ScenarioError as error:
        return Opened(shown, "", {}, {}, {}, short(error.problems))
    merged, _, problems = laid(links)
    own = plain_tables(links[-1].document)
    base = plain_tables(laid(links[:-1])[0])
    return Opened(shown, stamp_of(links), plain_tables(merged), own, base, short(tuple(problems)))


def short(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """Name files without the folder, which is nobody's business on a screen."""
    return tuple(Problem(Path(p.file).name, p.where, p.value, p.message) for p in problems)


def new_farm(units: str, currency: str, day: datetime.date) -> Opened:
    """Return a starter farm that is in no file yet."""
    text = starter(units, currency, day)
    document = plain_tables(tomllib.loads(text))
    origin = {"units": units, "currency": currency, "day": day.isoformat()}
    return Opened(None, "", document, document, {}, (), origin)


def _asked_text(answers: dict[str, str], day: object) -> str:
    try:
        return interviewed(answers, datetime.date.fromisoformat(str(day))).text
    except ValueError as error:
        message = "that is no day"
        raise RefusedError(message) from error


def asked_farm(day: datetime.date) -> Opened:
    """Make a farm from twelve questions of which none is answered yet."""
    made = interviewed({}, day)
    document = plain_tables(made.document)
    origin = {"answers": {}, "day": day.isoformat()}
    return Opened(None, "", document, document, {}, (), origin)


def starter_text(origin: object) -> str:
    """Return the text of a starter farm again, from where it came.

    Raises
    ------
    RefusedError
        If the origin is none of ours.
    """
    if not isinstance(origin, dict):
        message = "no farm is open"
        raise RefusedError(message)
    units, currency, day = (origin.get(key) for key in ("units", "currency", "day"))
    if "answers" in origin:
        return _asked_text(checked_answers(origin["answers"]), day)
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


@dataclass(frozen=True, slots=True)
class _Source:
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


def _content_for(source: _Source, new: Json, name: str) -> bytes:
    """Return what to write, or refuse."""
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
    with held(path):
        links = chain(path)
        if stamp_of(links) != stamp and not over:
            raise ChangedOnDiskError(shown)
        source = _source(links)
        content = _content_for(source, new, shown)
        try:
            replace(path, content, source.content)
        except ChangedError as error:
            raise ChangedOnDiskError(shown) from error
    return stamp_of([*links[:-1], replaced(links[-1], content=content)])


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
        links = [Link(path, text.encode(), tomllib.loads(text))]
    else:
        links = chain(folder.place(source))
    content = _content_for(_source(links), new, path.name)
    write_new(path, content)
    return stamp_of([*links[:-1], replaced(links[-1], content=content)])
