"""How one log file is written: separator, columns, units of volume, decimal sign."""

import csv
import re
from collections.abc import Iterator, Mapping

from msgspec import Struct

from econ.farm.faults import near
from econ.farm.log import COLUMNS, NEEDED_COLUMNS, NUMBERS, READING_UNIT
from econ.ground.units import LITRES_PER_GALLON

_SEPARATORS = (",", ";", "\t")
_HEAD = re.compile(r"^(?P<name>[^\[]*?)\s*(?:\[(?P<unit>[^\]]*)\])?$")
# Litres in one unit, by the words people write for it.
_VOLUME_UNITS = {
    "gal": LITRES_PER_GALLON,
    "gallon": LITRES_PER_GALLON,
    "gallons": LITRES_PER_GALLON,
    "us gal": LITRES_PER_GALLON,
    "l": 1.0,
    "litre": 1.0,
    "litres": 1.0,
    "liter": 1.0,
    "liters": 1.0,
}
_KEYS = tuple(column.key for column in COLUMNS)
# A figure such as 1,250 is 1250 to one reader and 1.25 to the next.
_THOUSANDS = re.compile(r"^[+-]?\d{1,3}(,\d{3})+$")
_NUMBER = re.compile(r"^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$")


class LineError(ValueError):
    """A line that cannot be split into cells."""


class Layout(Struct, frozen=True):
    """How one file writes its rows."""

    separator: str
    names: tuple[str, ...]
    """Column keys in the file's order; "" where a column is none of the log's."""
    litres: Mapping[str, float]
    """Litres in one unit of each volume column."""
    decimal: str
    """"." or ",": which sign its figures have before their decimals."""

    def cells(self, line: str) -> dict[str, str]:
        """Split a line into cells by column, stripped; missing ones are empty."""
        result = split(line, self.separator)
        if len(result) > len(self.names) and any(
            cell.strip() for cell in result[len(self.names) :]
        ):
            message = (
                f"has {len(result)} cells where the header has {len(self.names)}; put text that"
                f' holds "{self.separator}" in quotes'
            )
            raise LineError(message)
        padded = [*result, *[""] * len(self.names)]
        return {name: cell.strip() for name, cell in zip(self.names, padded, strict=False) if name}


def split(line: str, separator: str) -> list[str]:
    """Split one line of a CSV.

    Parameters
    ----------
    line : str
        Without its end.
    separator : str
        Between cells.

    Returns
    -------
    list of str

    Raises
    ------
    LineError
        If a quote is not closed on it.
    """
    try:
        return next(csv.reader([line], delimiter=separator, strict=True), [])
    except csv.Error as error:
        message = f"cannot be read as cells ({error}); an event stands on one line"
        raise LineError(message) from error


def _heads(line: str) -> tuple[str, list[str]]:
    """Find the separator: the one that gives most known names."""

    def known(separator: str) -> int:
        heads = split(line, separator)
        return sum(_HEAD.sub(r"\g<name>", head.strip()).casefold() in _KEYS for head in heads)

    separator = max(_SEPARATORS, key=known)
    return separator, split(line, separator)


def _unit_fault(name: str, unit: str | None) -> str | None:
    """Say what is wrong with the unit of a column, if anything."""
    if name in ("volume", "left"):
        if unit is None:
            return f"{name}: no unit; write {name} [gal] or {name} [L]"
        if unit.casefold() not in _VOLUME_UNITS:
            return f"{name} [{unit}]: unknown unit; write {name} [gal] or {name} [L]"
    if name == "reading" and unit not in (None, READING_UNIT):
        return f"reading [{unit}]: readings are written in [{READING_UNIT}]"
    return None


def read_header(line: str) -> tuple[Layout, list[str], list[str]]:
    """Read a log's first line.

    Parameters
    ----------
    line : str
        Without its end.

    Returns
    -------
    (Layout, list of str, list of str)
        The layout, its decimal sign still ".", what is wrong with the header, and columns that
        are none of the log's.

    Raises
    ------
    LineError
        If it cannot be split.
    """
    separator, heads = _heads(line)
    names: list[str] = []
    faults: list[str] = []
    others: list[str] = []
    litres: dict[str, float] = {}
    for head in heads:
        match = _HEAD.match(head.strip())
        name = match["name"].strip().casefold() if match else ""
        unit = match["unit"].strip() if match and match["unit"] is not None else None
        if name not in _KEYS:
            names.append("")
            if head.strip():
                others.append(head.strip())
            continue
        if name in names:
            faults.append(f"{name}: stands twice")
        fault = _unit_fault(name, unit)
        if fault is not None:
            faults.append(fault)
        elif name in ("volume", "left") and unit is not None:
            litres[name] = _VOLUME_UNITS[unit.casefold()]
        names.append(name)
    for name in NEEDED_COLUMNS:
        if name not in names:
            hint = next((near(other, [name]) for other in others if near(other, [name])), "")
            faults.append(
                f"{name}: the column is missing" + (f" (there is {hint})" if hint else "")
            )
    return Layout(separator, tuple(names), litres, "."), faults, others


def _figures(layout: Layout, lines: Iterator[str]) -> Iterator[str]:
    for line in lines:
        try:
            cells = layout.cells(line)
        except LineError:
            continue
        yield from (cells.get(name, "") for name in NUMBERS)


def decimal_sign(layout: Layout, lines: Iterator[str]) -> str:
    """Find which sign a file's figures have before their decimals.

    Parameters
    ----------
    layout : Layout
        From `read_header`.
    lines : iterator of str
        All rows.

    Returns
    -------
    str
        "," where any figure of the file has one and, in a file whose cells are parted by
        commas, cannot be a thousand; else ".".
    """
    for figure in _figures(layout, lines):
        if "," in figure and (layout.separator != "," or not _THOUSANDS.match(figure)):
            return ","
    return "."


def figure(text: str, decimal: str) -> float:
    """Read a figure.

    Parameters
    ----------
    text : str
        A cell, not empty.
    decimal : str
        The file's sign before decimals.

    Returns
    -------
    float

    Raises
    ------
    ValueError
        If it is none, or could be read two ways.

    Examples
    --------
    >>> figure("1,5", ",")
    1.5
    """
    if decimal == "," and "." in text:
        message = "this file writes decimals with a comma; write no other sign in a figure"
        raise ValueError(message)
    if decimal == "." and _THOUSANDS.match(text):
        message = "a thousand or a decimal? write it without the comma, or with a point"
        raise ValueError(message)
    plain = text.replace(decimal, ".")
    if not _NUMBER.match(plain):
        message = "a plain number is allowed, without unit or spaces"
        raise ValueError(message)
    value = float(plain)
    if not abs(value) <= 1e9:
        message = "a number up to 1,000,000,000 is allowed"
        raise ValueError(message)
    return value


def header_line(volume_unit: str) -> str:
    """Write the first line of a new log.

    Parameters
    ----------
    volume_unit : str
        "gal" or "L".

    Returns
    -------
    str
        Without its end.
    """
    units = {"volume": volume_unit, "left": volume_unit, "reading": READING_UNIT}
    return ",".join(f"{key} [{units[key]}]" if key in units else key for key in _KEYS)
