"""What people type into a farm's form, read as values; what is wrong with it, in their words."""

import datetime
import math
import re
from typing import Any

from msgspec import Struct
from pydantic_core import PydanticCustomError

from econ.farm.bounds import beyond
from econ.farm.field_words import in_words, plain_words
from econ.farm.fields import PRICE_NAMES, About, Usual
from econ.ground.units import DIMENSIONS, currency_sign, unit_label
from econ.ground.written import MINUS, signed

POINTS = (("low", "at least"), ("likely", "most likely"), ("high", "at most"))
_SAYS = dict(POINTS)
_PLAIN = re.compile(r"[+-]?(\d+([.]\d*)?|[.]\d+)([eE][+-]?\d{1,3})?", re.ASCII)
_GROUPED = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+([.]\d*)?", re.ASCII)
_DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+", re.ASCII)
_PERCENT = ("share", "rate", "ratio", "dose")
_MOST_WHOLE = 2**53


class Units(Struct, frozen=True):
    """What a farm's numbers are written in."""

    units: str
    currency: str


def plain(value: Any) -> Any:
    """Make a value what JSON can carry; what it cannot becomes text, which is then refused."""
    if isinstance(value, dict):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [plain(inner) for inner in value]
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, float) and not math.isfinite(value):
        return str(value)
    if isinstance(value, int) and not isinstance(value, bool) and abs(value) > _MOST_WHOLE:
        return str(value)
    return value


def _bare(text: str, detail: About | None, units: Units | None) -> tuple[str, bool]:
    """Strip a number's sign of money, its unit and its percent sign; say if there was one."""
    bare = text.strip().replace("\N{NO-BREAK SPACE}", " ").replace(MINUS, "-")
    if detail is None or units is None:
        return bare, False
    unit = unit_label(detail.dimension, units.units, units.currency)
    sign = currency_sign(units.currency).strip()
    priced = unit.startswith(sign)
    bare = bare.removesuffix(unit.removeprefix(sign) if priced else unit).strip()
    if priced:
        minus, bare = ("-", bare[1:].strip()) if bare.startswith("-") else ("", bare)
        for mark in (sign, units.currency, *(("$",) if sign.endswith("$") else ())):
            bare = bare.removeprefix(mark).removesuffix(mark).strip()
        bare = minus + bare
    if detail.dimension in _PERCENT and bare.endswith("%"):
        return bare[:-1].strip(), True
    return bare, False


def number_of(text: str, detail: About | None = None, units: Units | None = None) -> Any:
    """Read a number as people type it; what is none stays text, which the model refuses.

    Parameters
    ----------
    text : str
        As typed: ``$4.10``, ``4,10``, ``1,500``, ``50 %``, ``4.10 $/gal``.
    detail : About, optional
        Of the field, for its unit.
    units : Units, optional
        Of the farm.

    Returns
    -------
    int, float or str

    Examples
    --------
    >>> number_of("1,500"), number_of(" 0.5 "), number_of("3,5"), number_of("dear")
    (1500, 0.5, 3.5, 'dear')
    """
    bare, percent = _bare(text, detail, units)
    if _GROUPED.fullmatch(bare):
        bare = bare.replace(",", "")
    elif _DECIMAL_COMMA.fullmatch(bare):
        bare = bare.replace(",", ".")
    if not _PLAIN.fullmatch(bare):
        return text
    value = float(bare)
    if percent:
        return plain(float(f"{value / 100.0:.12g}"))
    return plain(int(value) if value.is_integer() and "." not in bare else value)


def day_of(text: str) -> str:
    """Read a day; what is none stays as typed."""
    try:
        return datetime.date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        return text


def text_of(value: Any) -> str:
    """Write a value as its input shows it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        short = f"{value:.12g}"
        return short if float(short) == value else repr(value)
    if isinstance(value, list):
        return "|".join(text_of(item) for item in value)
    if isinstance(value, dict):
        return "|".join(f"{name} = {text_of(item)}" for name, item in value.items())
    return str(value)


def value_of(detail: About, text: str, units: Units) -> Any:
    """Read what was typed or chosen; what cannot be read stays text, which the model refuses."""
    if detail.kind == "price" and text in PRICE_NAMES:
        return text
    if detail.kind in ("number", "whole", "price"):
        return number_of(text, detail, units)
    if detail.kind == "flag":
        return {"yes": True, "no": False}.get(text, text)
    if detail.kind == "date":
        return day_of(text)
    if detail.kind == "choices":
        return text.split("|")
    if detail.kind in ("months", "weights"):
        return [number_of(item) for item in text.split("|")]
    if detail.kind == "names":
        return [item.strip() for item in text.split("|") if item.strip()]
    if detail.kind == "volumes":
        pairs = [item.rpartition("=") for item in text.split("|") if item.strip()]
        return {name.strip(): number_of(volume) for name, _, volume in pairs}
    return text


def points_of(value: Any) -> dict[str, str]:
    """Write the three points of a value."""
    if isinstance(value, dict):
        return {point: text_of(value.get(point)) for point, _ in POINTS}
    return {"low": "", "likely": text_of(value), "high": ""}


def weights_of(value: Any) -> list[str]:
    """Write twelve weights."""
    if isinstance(value, list) and len(value) == 12:
        return [text_of(item) for item in value]
    return [""] * 12


def short_number(value: float) -> str:
    """Write a number to three digits, without powers of ten.

    Parameters
    ----------
    value : float
        [any]

    Examples
    --------
    >>> short_number(1300.0), short_number(0.0005), short_number(0.3333)
    ('1,300', '0.0005', '0.333')
    """
    rounded = float(f"{value:.3g}")
    if abs(rounded) >= 100.0 or rounded.is_integer():
        return signed(f"{rounded:,.0f}")
    return signed(f"{rounded:.10f}".rstrip("0").rstrip("."))


def amount(value: float, detail: About, units: Units) -> str:
    """Write a number with its unit: $0.32/kWh, 12 gal/month, 50 %.

    Parameters
    ----------
    value : float
        [any]
    detail : About
        Of the field, for its dimension.
    units : Units
        In which the value is.
    """
    if detail.dimension in ("share", "rate"):
        return f"{short_number(100.0 * value)} %"
    unit = unit_label(detail.dimension, units.units, units.currency)
    sign = currency_sign(units.currency)
    number = short_number(value)
    if unit.startswith(sign.strip()):
        minus = MINUS if value < 0 else ""
        whole = float(value).is_integer() and detail.dimension != "price_per_volume"
        exact = abs(value) < 100.0 and not whole
        number = f"{abs(value):.2f}" if exact else number.removeprefix(MINUS)
        return f"{minus}{sign}{number}{unit[len(sign.strip()) :]}"
    return number if unit in ("ratio", "count") else f"{number} {unit}"


def _unreadable(text: str, detail: About) -> str:
    example = {"share": "0.5 or 50 %", "rate": "0.07 or 7 %"}.get(detail.dimension, "4.10")
    if detail.kind == "whole":
        example = "12"
    return f"“{text[:40]}” is not a number; write it like {example}."


def _number_fault(value: Any, detail: About, units: Units) -> str:
    """Say what is wrong with one number; nothing where it may stand."""
    if isinstance(value, str):
        if detail.kind == "price" and value in PRICE_NAMES:
            return ""
        return _unreadable(value, detail)
    try:
        detail.parse(value)
    except PydanticCustomError:
        pass
    else:
        far = beyond(value, DIMENSIONS[detail.dimension], units.units, units.currency)
        return "" if far is None else f"That {far}."
    if detail.kind == "whole" and not isinstance(value, int):
        return "Write a whole number."
    low = amount(detail.least, detail, units)
    over = f"above {low}" if detail.above else f"{low} or more"
    if detail.most >= 1e9:
        return f"Write a number that is {over}."
    high = amount(detail.most, detail, units)
    text = f"Write a number {over}, {'below' if detail.below else 'at most'} {high}."
    if detail.dimension in ("share", "rate") and isinstance(value, int | float) and value > 1:
        text += f" For {short_number(value)} in a hundred write {short_number(value)} %."
    return text


def box_faults(value: Any, detail: About, units: Units) -> dict[str, str]:
    """Say what is wrong with a number's boxes, in the words of the boxes.

    Parameters
    ----------
    value : object
        As the farm has it: a number, text that is none, or a table of low, likely, high.
    detail : About
        Of the field.
    units : Units
        Of the farm.

    Returns
    -------
    dict of str to str
        By point: "low", "likely", "high"; empty where nothing is wrong with it by itself.
    """
    if detail.kind == "choice" and isinstance(value, str) and value not in detail.choices:
        return {"": f"“{value[:40]}” is none of the list; choose one."}
    if value is None or detail.kind not in ("number", "whole", "price"):
        return {}
    if not isinstance(value, dict):
        text = _number_fault(value, detail, units)
        return {"likely": text} if text else {}
    result = {
        point: text
        for point, _ in POINTS
        if point in value and (text := _number_fault(value[point], detail, units))
    }
    missing = [point for point, _ in POINTS if value.get(point) is None]
    given = " and ".join(f"“{_SAYS[point]}”" for point, _ in POINTS if point not in missing)
    for point in missing:
        result[point] = f"Fill in “{_SAYS[point]}” too, or leave {given} empty."
    if result:
        return result
    low, likely, high = (value[point] for point, _ in POINTS)
    if low > likely:
        result["low"] = "“At least” must not be above “most likely”."
    if likely > high:
        result["high"] = "“At most” must not be below “most likely”."
    return result


def outside(value: float, ranges: tuple[Usual, ...]) -> Usual | None:
    """Find the usual range that is nearest to a value outside all of them; None for one inside.

    Parameters
    ----------
    value : float
        [any]
    ranges : tuple of Usual
        In the same unit.
    """
    if not ranges or any(usual.low <= value <= usual.high for usual in ranges):
        return None

    def distance(usual: Usual) -> float:
        nearest = usual.low if value < usual.low else usual.high
        return abs(value - nearest)

    return min(ranges, key=distance)


def unusual(value: Any, detail: About, units: Units) -> str:
    """Say that a value is outside what people commonly see; nothing where it is not.

    Parameters
    ----------
    value : object
        As the farm has it.
    detail : About
        Of the field.
    units : Units
        Of the farm.

    Returns
    -------
    str
        A sentence, with a likely slip named: cents typed for dollars.
    """
    number = value.get("likely") if isinstance(value, dict) else value
    if isinstance(number, bool) or not isinstance(number, int | float) or number == 0:
        return ""
    priced = unit_label(detail.dimension, "us", "USD").startswith("$")
    if priced and units.currency != "USD":  # the ranges are of the United States
        return ""
    ranges = detail.usual_in(units.units)
    near = outside(float(number), ranges)
    if near is None or (len(ranges) == 1 and near.of):  # a range of another kind of thing
        return ""
    low, high = amount(near.low, detail, units), amount(near.high, detail, units)
    of = f" for {near.of}" if near.of else ""
    text = f"Outside what people commonly see{of}: {low} to {high}."
    if priced and detail.dimension != "money" and outside(number / 100.0, ranges) is None:
        text += f" In cents? Then write {short_number(number / 100.0)}."
    return text


def allowed_words(detail: About) -> list[tuple[str, str]]:
    """List the words of a choice with what people read."""
    return [(word, in_words(word)) for word in detail.choices]


def help_text(detail: About) -> str:
    """Write a field's help without keys of the file."""
    return plain_words(detail.help)
