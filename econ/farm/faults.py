"""From what is wrong in a farm file to words: where, what was given, what is allowed."""

import difflib
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from pydantic import ValidationError

from econ.farm.schema import TABLES, Table, about
from econ.ground.errors import Problem

Finding = tuple[tuple[str, ...], str | None, str]
_LONGEST_VALUE = 60
_MODELS = {name: model for name, model, _ in TABLES}
_LISTS = {name for name, _, is_list in TABLES if is_list}


class Origins:
    """Which file of a chain each value stands in.

    Parameters
    ----------
    file : str
        The file that was asked for, where nothing else is known.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._known: dict[tuple[str, ...], str] = {}

    def note(self, place: tuple[str, ...], file: str) -> None:
        """Note that a place stands in a file."""
        self._known[place] = file

    def of(self, place: Sequence[str]) -> str:
        """Return the file of a place, or of what holds it."""
        for end in range(len(place), 0, -1):
            file = self._known.get(tuple(place[:end]))
            if file is not None:
                return file
        return self._file


def shown(value: Any) -> str:
    """Write a value as the file would, cut short where it is long."""
    if isinstance(value, bool):
        text = "true" if value else "false"
    elif isinstance(value, str):
        text = f'"{value}"'
    elif isinstance(value, dict):
        inner = ", ".join(f"{key} = {shown(inner)}" for key, inner in list(value.items())[:6])
        text = f"{{ {inner} }}"
    elif isinstance(value, list):
        text = f"[{', '.join(shown(inner) for inner in value[:12])}]"
    elif isinstance(value, int) and abs(value) > 10**15:
        text = "a whole number of more than 15 digits"
    else:
        text = repr(value)
    text = text.replace("\n", " ")
    return text if len(text) <= _LONGEST_VALUE else text[: _LONGEST_VALUE - 1] + "…"


def near(word: str, known: Iterable[str]) -> str:
    """Write a "did you mean", or nothing where no known word is near."""
    match = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"; did you mean {match[0]}?" if match else ""


def where(place: Sequence[str]) -> str:
    """Write a place: ``[[oils]] "garage": price`` or ``[finance] years``.

    Parameters
    ----------
    place : sequence of str
        Table, then the entry's name for a list, then an inner list and name, then the field.

    Examples
    --------
    >>> where(["oils", "Garage", "price"])
    '[[oils]] "Garage": price'
    """
    table, *rest = place
    if table not in _LISTS:
        return " ".join([f"[{table}]", *rest])
    text = f"[[{table}]]"
    if rest:
        text += f' "{rest.pop(0)}"'
    if len(rest) > 1 and rest[0] == "wear":
        text += f' [[wear]] "{rest[1]}"'
        rest = rest[2:]
    return f"{text}: {rest[0]}" if rest else text


def place_of(loc: Sequence[int | str], document: dict[str, Any]) -> tuple[str, ...]:
    """Turn an index path into one of names: ("oils", 1, "price") to ("oils", "garage", ...)."""
    place: list[str] = []
    here: Any = document
    for step in loc:
        if isinstance(step, int):
            entry = here[step] if isinstance(here, list) and step < len(here) else None
            name = None
            if isinstance(entry, dict):
                name = entry.get("name", entry.get("part"))
            place.append(name if isinstance(name, str) else f"#{step + 1}")
            here = entry
        else:
            place.append(str(step))
            here = here.get(step) if isinstance(here, dict) else None
    return tuple(place)


def _model(loc: Sequence[int | str]) -> type[Table] | None:
    """Return the table's model at a path, without its last step."""
    names = [str(step) for step in loc[:-1] if not isinstance(step, int)]
    return _MODELS.get(".".join(names))


def _missing(error: dict[str, Any], unknown: dict[tuple[Any, ...], list[str]]) -> str | None:
    """Say what is missing, unless a misspelt key explains it."""
    loc = error["loc"]
    field = str(loc[-1])
    if any(
        difflib.get_close_matches(word, [field], cutoff=0.6)
        for word in unknown.get(tuple(loc[:-1]), [])
    ):
        return None
    model = _model(loc)
    if model is None or field not in model.model_fields:
        return "is missing"
    try:
        return f"is missing; allowed: {about(model, field).allowed()}"
    except KeyError:
        return "is missing"


def _message(
    error: dict[str, Any], unknown: dict[tuple[Any, ...], list[str]]
) -> tuple[str | None, bool]:
    """Return one error's message, None to leave it out, and whether to show the value."""
    loc = error["loc"]
    match error["type"]:
        case "refused":
            return str(error["ctx"]["text"]), True
        case "missing":
            return _missing(error, unknown), False
        case "extra_forbidden":
            model = _model(loc)
            known = list(model.model_fields) if model else [n for n in _MODELS if "." not in n]
            what = "unknown field" if model else "unknown table"
            return what + near(str(loc[-1]), known), False
        case "list_type":
            return "allowed: a list of tables, each headed by [[...]]", True
        case "model_type" | "dict_type":
            return "allowed: a table", True
    return str(error["msg"]), True


def explain(error: ValidationError, document: dict[str, Any], origins: Origins) -> list[Problem]:
    """Turn pydantic's errors into problems.

    Parameters
    ----------
    error : ValidationError
        Of the merged document.
    document : dict
        The merged document.
    origins : Origins
        Where each value stands.

    Returns
    -------
    list of Problem
    """
    rows: list[dict[str, Any]] = [dict(row) for row in error.errors(include_url=False)]
    unknown: dict[tuple[Any, ...], list[str]] = {}
    for row in rows:
        if row["type"] == "extra_forbidden":
            unknown.setdefault(tuple(row["loc"][:-1]), []).append(str(row["loc"][-1]))
    result = []
    for row in rows:
        message, with_value = _message(row, unknown)
        if message is None:
            continue
        place = place_of(row["loc"], document)
        value = shown(row["input"]) if with_value else None
        result.append(Problem(origins.of(place), where(place), value, message))
    return result


def problems_of(
    document: dict[str, Any],
    checks: Iterable[Callable[[dict[str, Any]], Iterator[Finding]]],
    origins: Origins,
) -> list[Problem]:
    """Run checks over a document and place what they find.

    Parameters
    ----------
    document : dict
        Merged, raw; its fields may be wrong in other ways too.
    checks : iterable of callable
        Each yields (place, value, message).
    origins : Origins
        Where each value stands.

    Returns
    -------
    list of Problem
        In the order of the checks.
    """
    return [
        Problem(origins.of(place), where(place), value, message)
        for check in checks
        for place, value, message in check(document)
    ]
