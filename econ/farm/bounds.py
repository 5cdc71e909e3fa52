"""The physical floor and ceiling of every figure of a farm file, refused in words beyond them.

They are those of each dimension, wide enough for any farm and any currency: a figure beyond them
is a slip of the keys or of the units. Fields have narrower bounds of their own.

>>> beyond(1e30, DIMENSIONS["volume"], "metric", "AUD")
'is more than any farm has; allowed: up to 100,000,000 L'
>>> beyond(200.0, DIMENSIONS["volume"], "metric", "AUD") is None
True
"""

from collections.abc import Iterator
from typing import Any

from econ.farm.faults import Finding, shown
from econ.farm.schema import TABLES, Table, about
from econ.ground.units import DIMENSIONS, Dimension, from_canonical, to_canonical, unit_label

Document = dict[str, Any]
_POINTS = ("low", "likely", "high")


def _numbers(value: Any) -> Iterator[float]:
    """Return the numbers of a figure that is one, or an estimate of three."""
    points = [value.get(point) for point in _POINTS] if isinstance(value, dict) else [value]
    for point in points:
        if isinstance(point, int | float) and not isinstance(point, bool) and abs(point) < 1e300:
            yield float(point)


def beyond(value: Any, kind: Dimension, units: str, currency: str) -> str | None:
    """Say how a figure lies beyond what any farm has; None where it does not.

    Parameters
    ----------
    value : object
        A number, or an estimate of three, in the farm's units; anything else is let pass.
    kind : Dimension
        What it measures.
    units, currency : str
        Of the farm.

    Returns
    -------
    str or None
    """
    unit = unit_label(kind, units, currency)

    def written(bound: float) -> str:
        figure = float(from_canonical(bound, kind, units))
        return f"{figure:,.0f} {unit}" if abs(figure) >= 1000.0 else f"{figure:.6g} {unit}"

    for number in _numbers(value):
        # A difference of a unit's last digit is no fault: bounds are round in one system only.
        canonical = float(to_canonical(number, kind, units))
        if canonical > kind.most * (1.0 + 1e-9):
            return f"is more than any farm has; allowed: up to {written(kind.most)}"
        if canonical < kind.least - 1e-9 * abs(kind.least):
            return f"is less than any farm has; allowed: from {written(kind.least)}"
        if 0.0 < abs(canonical) < kind.grain * (1.0 - 1e-9):
            return (
                f"is too small to be told from nothing; allowed: 0, or at least"
                f" {written(kind.grain)}"
            )
    return None


def _tables(document: Document) -> Iterator[tuple[tuple[str, ...], type[Table], Document]]:
    """Walk the tables of a document: place, model, raw table."""
    for table, model, is_list in TABLES:
        if table == "machines.wear":
            continue
        raw = document.get(table)
        entries = (raw if isinstance(raw, list) else []) if is_list else [raw]
        for k, entry in enumerate(entries):
            if not isinstance(entry, dict):
                continue
            name = entry.get("name")
            label = name if isinstance(name, str) else f"#{k + 1}"
            place = (table, label) if is_list else (table,)
            yield place, model, entry
            rows = entry.get("wear") if table == "machines" else None
            for row, part in enumerate(rows if isinstance(rows, list) else []):
                if isinstance(part, dict):
                    named = part.get("part")
                    words = named if isinstance(named, str) else f"#{row + 1}"
                    yield (*place, "wear", words), _WEAR, part


_WEAR = next(model for table, model, _ in TABLES if table == "machines.wear")


def physical(document: Document) -> Iterator[Finding]:
    """Find the figures that no farm has.

    Parameters
    ----------
    document : dict
        Merged, raw; its fields may be wrong in other ways too.

    Yields
    ------
    (place, value, message)
    """
    header = document.get("scenario")
    header = header if isinstance(header, dict) else {}
    units, currency = header.get("units"), header.get("currency")
    if units not in ("us", "metric") or not isinstance(currency, str):
        return
    for place, model, table in _tables(document):
        for field, value in table.items():
            if field not in model.model_fields:
                continue
            try:
                detail = about(model, field)
            except KeyError:  # an inner table
                continue
            each = {field: value}
            if detail.kind == "volumes":
                each = value if isinstance(value, dict) else {}
            elif detail.kind not in ("number", "whole", "price"):
                continue
            for figure in each.values():
                message = beyond(figure, DIMENSIONS[detail.dimension], units, currency)
                if message is not None:
                    yield (*place, field), shown(figure), message
