"""The list of every field that a farm file may have, in words, made from the schema."""

from msgspec import Struct

from econ.farm.faults import near
from econ.farm.fields import About
from econ.farm.schema import TABLES, Table, about
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import unit_label


class TableFields(Struct, frozen=True):
    """One table of a farm file."""

    name: str
    is_list: bool
    """Whether a farm may have several, each under ``[[name]]``."""
    meaning: str
    fields: tuple[str, ...]
    """A line for each: name, label, unit, what is allowed, what stands where it is left out."""


def _facts(model: type[Table], field: str, detail: About, units: str, currency: str) -> str:
    """Return unit, allowed values, default and usual range of a field in one text."""
    info = model.model_fields[field]
    parts = [detail.help]
    if detail.kind in ("number", "whole", "price"):
        parts.append(f"Unit: {unit_label(detail.dimension, units, currency)}.")
    parts.append(f"Allowed: {detail.allowed()}.")
    if detail.kind in ("number", "price") and detail.estimate:
        parts.append("May be an estimate.")
    if info.is_required():
        parts.append("Must be given.")
    elif detail.default:
        parts.append(f"Left out: {detail.default}.")
    elif info.default not in (None, [], {}):
        plain = str(info.default).lower() if isinstance(info.default, bool) else info.default
        parts.append(f"Left out: {plain}.")
    for usual in detail.usual_in(units):
        of = f" for {usual.of}" if usual.of else ""
        parts.append(f"Commonly {usual.low:.3g} to {usual.high:.3g}{of} ({usual.source}).")
    return " ".join(parts)


def field_list(table: str | None, units: str, currency: str = "USD") -> tuple[TableFields, ...]:
    """List the fields of one table, or of all.

    Parameters
    ----------
    table : str or None
        Name of a table; None for all.
    units : {"us", "metric"}
        Unit system of units and ranges.
    currency : str
        ISO 4217 code, for units of money.

    Returns
    -------
    tuple of TableFields

    Raises
    ------
    ScenarioError
        If there is no such table.

    Examples
    --------
    >>> [labour] = field_list("labour", "metric", "AUD")
    >>> labour.fields[0].split(". ")[0]
    'wage: Wage'
    """
    names = [name for name, _, _ in TABLES]
    if table is not None and table not in names:
        message = f"no such table{near(table, names)}; there are {', '.join(names)}"
        raise ScenarioError((Problem("fields", "", None, message),))
    gathered = []
    for name, model, is_list in TABLES:
        if table in (None, name):
            lines = (_line(model, field, units, currency) for field in model.model_fields)
            meaning = (model.__doc__ or "").split(": ", 1)[-1]
            gathered.append(TableFields(name, is_list, meaning, tuple(lines)))
    return tuple(gathered)


def _line(model: type[Table], field: str, units: str, currency: str) -> str:
    if field == "wear":
        return "wear: rows of [[machines.wear]]; left out, the usual ones."
    detail = about(model, field)
    return f"{field}: {detail.label}. {_facts(model, field, detail, units, currency)}"
