"""Farm files: reading TOML, following `extends`, and telling every fault at once.

>>> from econ.farm.demos import demo_files
>>> [link.path.name for link in chain(demo_files()["kurrabee-diesel"])]
['kurrabee-downs.toml', 'kurrabee-diesel.toml']
>>> farm = load(demo_files()["kurrabee-diesel"])
>>> from_document(farm.merged, farm.path) == farm
True
"""

import contextlib
import os
import stat
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from msgspec import Struct
from pydantic import ValidationError

from econ.farm.checks import cross_checks
from econ.farm.faults import Origins, explain, shown
from econ.farm.merging import Document, duplicates, merge, remove
from econ.farm.plan_checks import plan_problems
from econ.farm.schema import Scenario, Wear
from econ.farm.setups import processes_of, with_first_setup, without_laid
from econ.farm.writing import locked, real, replace_whole, sweep, write_set
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import LITRES_PER_GALLON

MOST_BYTES = 1_000_000
FORMAT = 1
"""Of the farm files that this program writes, and the newest that it reads."""
_LONGEST_CHAIN = 20
# Bits; Python writes out no whole number of more than 4,300 digits.
_LONGEST_NUMBER = 4096


def _refuse(path: Path | str, message: str) -> ScenarioError:
    return ScenarioError((Problem(str(path), "", None, message),))


def _bytes(path: Path) -> bytes:
    """Read a file, refusing what cannot be a farm file."""
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise _refuse(path, "is a folder; name a farm file")
        if not stat.S_ISREG(about.st_mode):
            raise _refuse(path, "is not an ordinary file")
        if about.st_size > MOST_BYTES:
            message = f"holds {about.st_size:,} bytes; a farm file has at most {MOST_BYTES:,}"
            raise _refuse(path, message)
        return path.read_bytes()
    except FileNotFoundError as error:
        raise _refuse(path, "there is no such file") from error
    except (OSError, ValueError) as error:
        raise _refuse(path, f"cannot be read: {_reason(error)}") from error


class Link(Struct, frozen=True):
    """One file of a chain, as it was read once."""

    path: Path
    content: bytes
    document: Document


def _parse(path: Path) -> Link:
    """Read a TOML document."""
    content = _bytes(path)
    try:
        document = tomllib.loads(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        message = f"is not UTF-8 text (byte {error.start}); save it as UTF-8"
        raise _refuse(path, message) from error
    except tomllib.TOMLDecodeError as error:
        raise _refuse(path, f"is not TOML: {error}") from error
    except RecursionError as error:
        raise _refuse(path, "is nested too deeply") from error
    except ValueError as error:
        raise _refuse(path, f"holds a number that cannot be read: {error}") from error
    _refuse_endless(document, path)
    return Link(path, content, without_format(document, path))


def without_format(document: Document, path: Path | str) -> Document:
    """Leave out the line that says in which format a file is written, having looked at it.

    Parameters
    ----------
    document : dict
        As parsed; a file without the line is of format 1.
    path : Path or str
        Named in the fault.

    Returns
    -------
    dict

    Raises
    ------
    ScenarioError
        If a newer program wrote the file, or the line holds no such number.
    """
    if "format" not in document:
        return document
    given = document["format"]
    if isinstance(given, bool) or not isinstance(given, int) or given < 1:
        raise _refuse(path, f"format = {shown(given)}: allowed: a whole number from 1 to {FORMAT}")
    if given > FORMAT:
        message = (
            f"is written in format {given}, and this drumworth reads formats up to {FORMAT}: a"
            " newer one wrote it; read it with that one, nothing was changed"
        )
        raise _refuse(path, message)
    return {key: value for key, value in document.items() if key != "format"}


def _refuse_endless(document: Document, path: Path | str) -> None:
    """Refuse whole numbers too long to be written out, which hexadecimal ones can be."""
    waiting: list[Any] = [document]
    while waiting:
        value = waiting.pop()
        if isinstance(value, dict):
            waiting.extend(value.values())
        elif isinstance(value, list):
            waiting.extend(value)
        elif isinstance(value, int) and value.bit_length() > _LONGEST_NUMBER:
            raise _refuse(path, "holds a number that cannot be read: it is too long")


def _named(link: "Link") -> str:
    """Return what a file says it extends, as it says it."""
    return str(link.document["scenario"]["extends"])


def _extended(document: Document, path: Path) -> Path | None:
    """Return the file that a document extends, if any."""
    header = document.get("scenario")
    name = header.get("extends") if isinstance(header, dict) else None
    return path.parent / name if isinstance(name, str) and name else None


def _real(path: Path, by: Path | None) -> str:
    """Return a path without links, to tell files apart; some names no system takes."""
    try:
        return os.path.realpath(path)
    except ValueError as error:
        message = f"no file can have that name: {error}"
        if by is None:
            raise _refuse(path, message) from error
        problem = Problem(str(by), "[scenario] extends", shown(path.name), message)
        raise ScenarioError((problem,)) from error


def chain(path: Path) -> list[Link]:
    """Read a file and all it extends, each once.

    Parameters
    ----------
    path : Path
        A TOML file.

    Returns
    -------
    list of Link
        The outermost base first, the file itself last.

    Raises
    ------
    ScenarioError
        If one of them cannot be read.
    """
    result: list[Link] = []
    seen: set[str] = set()
    following: Path | None = path
    while following is not None:
        real = _real(following, result[0].path if result else None)
        if real in seen:
            raise _refuse(path, f"extends itself by way of {following.name}")
        if len(seen) == _LONGEST_CHAIN:
            raise _refuse(path, f"extends more than {_LONGEST_CHAIN} files in a row")
        seen.add(real)
        try:
            link = _parse(following)
        except ScenarioError as error:
            if not result:
                raise
            by = result[0].path
            raise ScenarioError(
                tuple(
                    Problem(str(by), "[scenario] extends", shown(_named(result[0])), p.message)
                    for p in error.problems
                )
            ) from error
        result.insert(0, link)
        following = _extended(link.document, following)
    return result


def laid(links: list[Link]) -> tuple[Document, Origins, list[Problem]]:
    """Lay the files of a chain over each other, unchecked.

    Parameters
    ----------
    links : list of Link
        From `chain`.

    Returns
    -------
    (dict, Origins, list of Problem)
        The raw whole document, where each value stands, and the faults of the laying.
    """
    merged: Document = {}
    origins = Origins(str(links[-1].path) if links else "")
    problems: list[Problem] = []
    for link in links:
        file, document = str(link.path), link.document
        problems += duplicates(document, file)
        merged = merge(merged, document, file, origins, problems)
        merged = remove(merged, document, file, problems)
    return merged, origins, problems


def load(path: Path | str) -> Scenario:
    """Read a farm file and all it extends.

    Parameters
    ----------
    path : Path or str
        A TOML file of at most a megabyte.

    Returns
    -------
    Scenario
        Validated, in the file's units; `path` and the merged raw document ride along.

    Raises
    ------
    ScenarioError
        With every fault found, each naming file, table, entry, field, value and what is
        allowed.
    """
    path = Path(path)
    merged, origins, problems = laid(chain(path))
    return _validated(merged, path, origins, problems)


def from_document(document: Document, path: Path | str) -> Scenario:
    """Validate a farm held in memory, such as an edited one.

    Parameters
    ----------
    document : dict
        A whole farm as `tomllib` would give it, nothing left to extend.
    path : Path or str
        Named in faults.

    Returns
    -------
    Scenario

    Raises
    ------
    ScenarioError
        As `load`.
    """
    _refuse_endless(document, path)
    document = without_format(document, path)
    problems = duplicates(document, str(path))
    return _validated(document, Path(path), Origins(str(path)), problems)


def _validated(merged: Document, path: Path, origins: Origins, problems: list[Problem]) -> Scenario:
    """Check a merged document and make a scenario of it."""
    scenario: Scenario | None = None
    try:
        scenario = Scenario.model_validate(with_first_setup(merged))
    except ValidationError as error:
        problems = problems + without_laid(explain(error, merged, origins), merged)
    except RecursionError as error:
        raise _refuse(path, "is nested too deeply") from error
    refused = {problem.where for problem in problems}
    across = cross_checks(merged, origins) + plan_problems(merged, origins)
    problems = problems + [problem for problem in across if problem.where not in refused]
    if problems or scenario is None:
        raise ScenarioError(tuple(problems))
    scenario._path, scenario._merged = path, merged
    scenario._processes = processes_of(merged)
    return scenario


@cache
def _usual_rows() -> dict[str, list[dict[str, Any]]]:
    """Read the usual wear rows, by engine class."""
    with Path(__file__).with_name("wear.toml").open("rb") as stream:
        rows: dict[str, list[dict[str, Any]]] = tomllib.load(stream)
    piston = rows.pop("every piston engine")
    return {engine: part if engine == "burner" else part + piston for engine, part in rows.items()}


@cache
def usual_wear(engine: str, units: str) -> tuple[Wear, ...]:
    """Return the usual extra wear of an engine class, for machines without rows of their own.

    Parameters
    ----------
    engine : str
        Engine class; one that never burns blend has no rows.
    units : {"us", "metric"}
        The file's units: failures per 1,000 gal or per 1,000 L of used oil burned.

    Returns
    -------
    tuple of Wear
        Costs are US dollars taken as the file's money: judgement, no source.
    """
    factor = 1.0 if units == "us" else 1.0 / LITRES_PER_GALLON
    result = []
    for row in _usual_rows().get(engine, []):
        rates = {key: value * factor for key, value in row["extra_failures"].items()}
        result.append(Wear.model_validate({**row, "extra_failures": rates}))
    return tuple(result)


def write_new(path: Path, content: str | bytes) -> None:
    """Write a file that must not be there yet.

    Parameters
    ----------
    path : Path
        Where to.
    content : str or bytes
        What; text is written as UTF-8.

    Raises
    ------
    ScenarioError
        If it is there already or cannot be written.
    """
    taken = "is there already and is not overwritten; name another"
    if path.exists() or path.is_symlink():
        raise _refuse(path, taken)
    try:
        write_set({path: content.encode() if isinstance(content, str) else content}, fresh=True)
    except FileExistsError as error:
        raise _refuse(path, taken) from error
    except (OSError, ValueError) as error:
        raise _refuse(path, f"cannot be written: {_reason(error)}") from error


def replace(path: Path, content: bytes, was: bytes) -> None:
    """Replace a farm file that was read, with its folder held.

    Parameters
    ----------
    path : Path
        Where to.
    content, was : bytes
        What is to stand there, and what was read there.

    Raises
    ------
    ChangedError
        If something else stands there by now.
    ScenarioError
        If it cannot be written; whatever stood there stays.
    """
    try:
        replace_whole(path, content, was)
    except OSError as error:
        raise _refuse(path, f"cannot be written: {_reason(error)}") from error


@contextlib.contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold a farm file against other saves, and clear away what killed ones left of it.

    Parameters
    ----------
    path : Path
        The file.

    Raises
    ------
    ScenarioError
        If its folder is gone, or another save there does not end.
    """
    place = real(path)
    with contextlib.ExitStack() as stack:
        try:
            if stack.enter_context(locked(place.parent)):
                sweep(place)
        except OSError as error:
            raise _refuse(path, f"cannot be written: {_reason(error)}") from error
        yield


def _reason(error: OSError | ValueError) -> str:
    return getattr(error, "strerror", None) or str(error)
