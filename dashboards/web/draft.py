"""The farm being edited, as the browser holds it; every value that comes back is checked."""

from collections.abc import Collection
from typing import Any

from msgspec.structs import asdict

from dashboards.web.documents import Opened
from econ.answers.turned import LEAST_FACTOR, MOST_FACTOR, SHOWN_LEVERS
from econ.ground.errors import Problem, RefusedError

Json = dict[str, Any]

_DEPTH = 8
_MOST_VALUES = 20_000


def draft_of(opened: Opened, revision: int) -> Json:
    """Return the draft of an opened farm."""
    return {
        "name": opened.name,
        "stamp": opened.stamp,
        "document": opened.document,
        "base": opened.base,
        "origin": opened.origin,
        "unread": [asdict(problem) for problem in opened.problems] if not opened.document else [],
        "revision": revision,
        "opened": revision,
        "line": revision,
    }


def _count(value: Any, depth: int = 0) -> int:
    """Count the values of a document, refusing what no farm has."""
    if depth > _DEPTH:
        message = "nested too deeply"
        raise RefusedError(message)
    if isinstance(value, dict):
        return 1 + sum(_count(inner, depth + 1) for inner in value.values())
    if isinstance(value, list):
        return 1 + sum(_count(inner, depth + 1) for inner in value)
    return 1


def checked(value: object) -> Json:
    """Return a draft that came from a browser, or refuse it.

    Parameters
    ----------
    value : object
        Any JSON value.

    Returns
    -------
    dict

    Raises
    ------
    RefusedError
        If it has not the shape of a draft. Its numbers are checked by the model later.
    """
    if not isinstance(value, dict) or not isinstance(value.get("document"), dict):
        message = "no farm is open"
        raise RefusedError(message)
    if _count(value["document"]) > _MOST_VALUES:
        message = "too many values for a farm"
        raise RefusedError(message)
    for key, kinds in (
        ("name", (str, type(None))),
        ("stamp", (str,)),
        ("base", (dict,)),
        ("origin", (dict,)),
        ("unread", (list,)),
        ("revision", (int,)),
        ("opened", (int,)),
        ("line", (int,)),
    ):
        if not isinstance(value.get(key), kinds):
            message = f"a draft has no such {key}"
            raise RefusedError(message)
    return value


def unread(draft: Json) -> tuple[Problem, ...]:
    """Return the faults of a file that could not be read at all."""
    result = []
    for row in draft["unread"]:
        if isinstance(row, dict):
            file, message = str(row.get("file", "")), str(row.get("message", ""))
            result.append(Problem(file, str(row.get("where", "")), None, message))
    return tuple(result)


def factors(value: object) -> dict[str, float]:
    """Return the levers' factors that came from a browser; those at one are left out.

    Raises
    ------
    RefusedError
        If they are no factors of levers.
    """
    if value is None:
        return {}
    if not isinstance(value, dict):
        message = "levers are a table of factors"
        raise RefusedError(message)
    result = {}
    for key, factor in value.items():
        number = isinstance(factor, int | float) and not isinstance(factor, bool)
        if key not in SHOWN_LEVERS or not number or not LEAST_FACTOR <= factor <= MOST_FACTOR:
            message = f"a lever runs from {LEAST_FACTOR:g} to {MOST_FACTOR:g}"
            raise RefusedError(message)
        if factor != 1.0:
            result[key] = float(factor)
    return result


def paths(names: object, known: Collection[str]) -> list[str]:
    """Return the paths of a group of elements on a page, each at most once.

    Parameters
    ----------
    names : object
        Their ids, as the browser sent them.
    known : collection of str
        The paths that there are.

    Raises
    ------
    RefusedError
        If they are no such group.
    """
    rows = names if isinstance(names, list) else []
    result = [row.get("path") if isinstance(row, dict) else None for row in rows]
    found = [path for path in result if isinstance(path, str) and path in known]
    if len(found) != len(result) or len(set(found)) != len(found):
        message = "that is no group of elements"
        raise RefusedError(message)
    return found


def by_path(names: object, values: object) -> dict[str, Any]:
    """Return the values of a group of inputs by their paths.

    Raises
    ------
    RefusedError
        If they are no such group.
    """
    message = "that is no group of inputs"
    if not isinstance(names, list) or not isinstance(values, list) or len(names) != len(values):
        raise RefusedError(message)
    result = {}
    for name, value in zip(names, values, strict=True):
        path = name.get("path") if isinstance(name, dict) else None
        if not isinstance(path, str):
            raise RefusedError(message)
        result[path] = value
    return result
