"""What a field of a farm file is: dimension, label, help, bounds, usual range; and its check.

One `About` rides on every field of the schema. Validation, unit conversion, `check`, `fields`,
`new`, forms and sheets all read it from there.

>>> Estimate(low=1.0, likely=4.0, high=7.0).expected
4.0
"""

import datetime
import difflib
import math
from collections.abc import Mapping
from functools import cache
from typing import Any, Literal

from msgspec import Struct
from pydantic import BaseModel, GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from econ.ground.sources import SOURCES
from econ.ground.units import DIMENSIONS, from_canonical, to_canonical
from econ.ground.wording import visible

FieldKind = Literal[
    "number",
    "whole",
    "flag",
    "text",
    "choice",
    "choices",
    "months",
    "weights",
    "date",
    "price",
    "sources",
    "names",
    "volumes",
]

# No farm needs more, and squares of it are still far from overflow.
_MOST = 1e12


class Estimate(Struct, frozen=True):
    """A three-point estimate in the file's units: low <= likely <= high."""

    low: float
    likely: float
    high: float

    @property
    def expected(self) -> float:
        """Return the mean, (low + 4 likely + high) / 6."""
        return (self.low + 4.0 * self.likely + self.high) / 6.0


Quantity = float | Estimate


class Usual(Struct, frozen=True):
    """A range that people commonly see, in US units, with where it comes from."""

    low: float
    likely: float
    high: float
    basis: str
    """Key of the bibliography."""
    of: str = ""
    """What it is for, where a field has several."""

    @property
    def source(self) -> str:
        """Name what it rests on, as the bibliography does."""
        return SOURCES[self.basis]


class About(Struct, frozen=True):
    """All that is known of one field.

    Parameters
    ----------
    dimension : str
        Key of `econ.ground.units.DIMENSIONS`.
    label : str
        What people call it.
    help : str
        One line.
    kind : str
        How it is written in the file.
    estimate : bool
        Whether a three-point estimate may stand there.
    least, most : float
        Bounds, in the file's units, in either unit system.
    above : bool
        Whether the value must lie above `least`, not only at it.
    below : bool
        Whether the value must lie below `most`.
    choices : tuple of str
        Allowed words.
    usual : tuple of Usual
        Ranges commonly seen.
    default : str
        What stands where the field is left out, in words, if the schema's own default does
        not say it.
    bad_side : {"", "high", "low"}
        Which side of a guess is bad for a plan, where one is: a cost, hours, a loss, a failure
        has its high side, a filter's life its low one.
    learned_from : str
        What tells the number before a start; empty where nobody can know it, or where it is
        one's own to choose.
    lines : bool
        Whether text may have line breaks; all other signs that cannot be shown become escapes.
    """

    dimension: str
    label: str
    help: str
    kind: FieldKind = "number"
    estimate: bool = True
    least: float = 0.0
    most: float = _MOST
    above: bool = False
    below: bool = False
    choices: tuple[str, ...] = ()
    usual: tuple[Usual, ...] = ()
    default: str = ""
    bad_side: Literal["", "high", "low"] = ""
    learned_from: str = ""
    lines: bool = False

    def allowed(self) -> str:
        """Say what may stand there."""
        if self.kind in ("choice", "choices"):
            words = ", ".join(f'"{word}"' for word in self.choices)
            return f"a list of any of {words}" if self.kind == "choices" else f"one of {words}"
        plain = {
            "flag": "true or false",
            "text": "text in quotes",
            "months": "a list of months, 1 to 12, each once",
            "weights": "12 weights, none negative, not all 0",
            "date": "a date, such as 2026-06-15",
            "sources": "a table of field path = kind of source",
            "names": "a list of names, each once",
            "volumes": "a table of name = volume, none negative",
        }
        if self.kind in plain:
            return plain[self.kind]
        whole = "a whole number" if self.kind == "whole" else "a number"
        text = f"{whole} {self._bounds()}"
        if self.kind == "price":
            text += ', or the name of a fuel in [prices], such as "farm_diesel"'
        return text

    def _bounds(self) -> str:
        low = f"{'above' if self.above else 'from'} {self.least:g}"
        if self.most >= _MOST:
            return low
        return f"{low} {'to below' if self.below else 'to'} {self.most:g}"

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """Return pydantic the check of this field."""
        return core_schema.no_info_plain_validator_function(self.parse)

    def parse(self, value: Any) -> Any:
        """Check a raw value and give it, an `Estimate` made of a table of three.

        Parameters
        ----------
        value : object
            As the file has it.

        Returns
        -------
        object

        Raises
        ------
        PydanticCustomError
            If it is not allowed there.
        """
        if value is None or isinstance(value, Estimate):
            return value
        if self.kind in ("number", "price", "whole"):
            return self._number(value)
        if self.kind == "text" and isinstance(value, str):
            return visible(value, lines=self.lines)
        shown = _shown(self, value)
        if _fits(self, shown):
            return shown
        raise self._refusal(hint=_nearest(value, self.choices))

    def _refusal(self, why: str = "", hint: str = "") -> PydanticCustomError:
        text = f"{why}; allowed: {self.allowed()}" if why else f"allowed: {self.allowed()}"
        text += hint
        return PydanticCustomError("refused", "{text}", {"text": text})

    def _number(self, value: Any) -> Any:
        if self.kind == "price" and isinstance(value, str):
            if value in PRICE_NAMES:
                return value
            hint = _nearest(value, PRICE_NAMES)
            raise self._refusal("no fuel of that name in [prices]", hint)
        if isinstance(value, Mapping):
            return self._estimate(value)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self._refusal()
        if self.kind == "whole" and not isinstance(value, int):
            raise self._refusal()
        self._bound(value)
        return value if self.kind == "whole" else float(value)

    def _bound(self, value: float) -> None:
        if not math.isfinite(value) if isinstance(value, float) else abs(value) > _MOST:
            raise self._refusal("not a number that can be worked with")
        low = value <= self.least if self.above else value < self.least
        high = value >= self.most if self.below else value > self.most
        if low or high:
            raise self._refusal()

    def _estimate(self, value: Mapping[str, Any]) -> Estimate:
        if not self.estimate:
            raise self._refusal("a three-point estimate may not stand here")
        if set(value) != {"low", "likely", "high"}:
            raise self._refusal("an estimate has exactly low, likely and high")
        points = [value[key] for key in ("low", "likely", "high")]
        for point in points:
            if isinstance(point, bool) or not isinstance(point, int | float):
                raise self._refusal("each of low, likely and high is a number")
            self._bound(point)
        low, likely, high = (float(point) for point in points)
        if not low <= likely <= high:
            raise self._refusal("low must not exceed likely, nor likely high")
        return Estimate(low=low, likely=likely, high=high)

    def usual_in(self, units: str) -> tuple[Usual, ...]:
        """Return the usual ranges in a unit system.

        Parameters
        ----------
        units : {"us", "metric"}
            Unit system.

        Returns
        -------
        tuple of Usual
        """
        if units == "us":
            return self.usual

        def metric(value: float) -> float:
            return float(
                from_canonical(to_canonical(value, self.dimension, "us"), self.dimension, units)
            )

        return tuple(
            Usual(metric(u.low), metric(u.likely), metric(u.high), u.basis, u.of)
            for u in self.usual
        )

    def __post_init__(self) -> None:
        """Hold the dimension to the known ones."""
        if self.dimension not in DIMENSIONS:
            msg = f"dimension = {self.dimension!r} of {self.label!r} is not in units.DIMENSIONS"
            raise ValueError(msg)


PRICE_NAMES = ("road_diesel", "farm_diesel", "heating_oil")


def _nearest(value: Any, words: tuple[str, ...]) -> str:
    """Write a "did you mean" for a word, or the first strange one of a list; or nothing."""
    given = value if isinstance(value, list) else [value]
    for word in given:
        if isinstance(word, str) and word not in words:
            near = difflib.get_close_matches(word, words, n=1, cutoff=0.6)
            return f'; did you mean "{near[0]}"?' if near else ""
    return ""


def _plain_number(value: Any) -> bool:
    if isinstance(value, bool) or not isinstance(value, int | float):
        return False
    # Written so that a whole number too long for a float is refused, and so is NaN.
    return abs(value) <= _MOST


def _shown(about: About, value: Any) -> Any:
    """Write the names that a field holds as the entries they name are written."""
    if about.kind == "names" and isinstance(value, list):
        return [visible(name) if isinstance(name, str) else name for name in value]
    if about.kind in ("volumes", "sources") and isinstance(value, Mapping):
        return {visible(str(name)): volume for name, volume in value.items()}
    return value


def _fits(about: About, value: Any) -> bool:
    """Say whether a value that is no number may stand in its field."""
    match about.kind:
        case "flag":
            return isinstance(value, bool)
        case "text":
            return isinstance(value, str)
        case "date":
            return isinstance(value, datetime.date) and not isinstance(value, datetime.datetime)
        case "choice":
            return isinstance(value, str) and value in about.choices
        case "choices":
            return isinstance(value, list) and all(
                isinstance(word, str) and word in about.choices for word in value
            )
        case "months":
            return (
                isinstance(value, list)
                and all(type(month) is int and 1 <= month <= 12 for month in value)
                and len(set(value)) == len(value)
            )
        case "weights":
            return (
                isinstance(value, list)
                and len(value) == 12
                and all(_plain_number(weight) and 0 <= weight <= _MOST for weight in value)
                and any(value)
            )
        case "sources":
            return isinstance(value, Mapping) and all(isinstance(v, str) for v in value.values())
        case "names":
            return (
                isinstance(value, list)
                and all(isinstance(name, str) for name in value)
                and len(set(value)) == len(value)
            )
        case "volumes":
            return isinstance(value, Mapping) and all(
                _plain_number(volume) and volume >= 0 for volume in value.values()
            )
    return False


@cache
def about(model: type[BaseModel], field: str) -> About:
    """Return what is known of a field.

    Parameters
    ----------
    model : type
        One of the tables' models.
    field : str
        Name of the field.

    Returns
    -------
    About

    Raises
    ------
    KeyError
        If the field has none, such as an inner table.
    """
    for item in model.model_fields[field].metadata:
        if isinstance(item, About):
            return item
    raise KeyError(field)
