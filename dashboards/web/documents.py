"""Farm files of one folder for editing: opened as plain values, saved where they stood.

Names come from a browser and are trusted with nothing: each is matched in full, resolved, and
must lie in the folder that was opened.
"""

import datetime
import os
import re
import tomllib
from pathlib import Path
from typing import Any

from msgspec import Struct, field

from econ.answers.asked import asked_farm, asked_from
from econ.farm.files import Link, chain, held, laid, replace, write_new
from econ.farm.rewriting import plain_tables, rewritten, stamp_of
from econ.farm.starter import starter
from econ.ground.errors import ChangedError, Problem, RefusedError, ScenarioError
from econ.ground.records import replace as replaced
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


class Listing(Struct, frozen=True):
    """What a folder offers, and what it does not, with the reason in words."""

    names: tuple[str, ...]
    left_out: tuple[tuple[str, str], ...]


class Folder(Struct, frozen=True):
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


class Opened(Struct, frozen=True):
    """A farm as opened: its values, where it came from, and what it inherits."""

    name: str | None
    stamp: str
    document: Json
    own: Json
    base: Json
    problems: tuple[Problem, ...] = ()
    origin: Json = field(default_factory=dict)


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


def begun_farm(day: datetime.date) -> Opened:
    """Make a farm from twelve questions of which none is answered yet."""
    document = asked_farm({}, day).document
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
        return asked_from(origin).made.text
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
        content = rewritten(links, new, shown)
        try:
            replace(path, content, links[-1].content)
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
    content = rewritten(links, new, path.name)
    write_new(path, content)
    return stamp_of([*links[:-1], replaced(links[-1], content=content)])
