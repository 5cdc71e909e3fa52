"""What is said at the boxes of a farm's form: faults, and values that are only unusual.

>>> [mark.text for mark in marks({"labour": {"wage": "much"}})]
['“much” is not a number; write it like 4.10.']
"""

from typing import Any

from msgspec import Struct

from econ.farm.editing import LISTS, shown_value, units_of
from econ.farm.faults import where
from econ.farm.field_words import MODELS, SECTIONS
from econ.farm.reading import box_faults, unusual
from econ.farm.schema import Table, about

Json = dict[str, Any]


class Mark(Struct, frozen=True):
    """Something to say at a field, in the words of its boxes."""

    path: str
    """The field's, without a point."""
    point: str
    """Whose box is meant; empty for the field as a whole."""
    kind: str
    """"fault", or "warning" for what is only unusual."""
    text: str
    where: str
    """The place as the model's own messages name it."""


def _tables(document: Json) -> list[tuple[str, type[Table], Json, list[str]]]:
    """List every table of a farm: its path, model, values and the steps that name it."""
    result: list[tuple[str, type[Table], Json, list[str]]] = []
    for table in SECTIONS:
        value = document.get(table)
        if table in LISTS and isinstance(value, list):
            for k, row in enumerate(value):
                if not isinstance(row, dict):
                    continue
                steps = [table, str(row.get("name") or f"#{k + 1}")]
                result.append((f"{table}.{k}", MODELS[table], row, steps))
                wear = row.get("wear") if table == "machines" else None
                for n, part in enumerate(wear if isinstance(wear, list) else []):
                    if isinstance(part, dict):
                        inner = [*steps, "wear", str(part.get("part") or f"#{n + 1}")]
                        result.append(
                            (f"{table}.{k}.wear.{n}", MODELS["machines.wear"], part, inner)
                        )
        elif isinstance(value, dict):
            result.append((table, MODELS[table], value, [table]))
    return result


def marks(document: Json) -> list[Mark]:
    """Say at each box what is wrong or unusual with what stands in it.

    Parameters
    ----------
    document : dict
        A farm being edited.

    Returns
    -------
    list of Mark
        Faults of single numbers and values outside the usual range; what is wrong across fields
        the model says.
    """
    units = units_of(document)
    result = []
    for path, model, table, steps in _tables(document):
        for field in model.model_fields:
            value = shown_value(table, field)
            if value is None or field in ("wear", "sources"):
                continue
            detail = about(model, field)
            place = where([*steps, field])
            wrong = box_faults(value, detail, units)
            for point, text in wrong.items():
                result.append(Mark(f"{path}.{field}", point, "fault", text, place))
            odd = "" if wrong else unusual(value, detail, units)
            if odd:
                result.append(Mark(f"{path}.{field}", "", "warning", odd, place))
    return result
