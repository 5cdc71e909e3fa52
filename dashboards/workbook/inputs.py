"""The inputs sheet: every number of the farm once, named, with unit, range, source, help."""

from msgspec import Struct

from dashboards.workbook.sheets import Book, Sheet
from econ import Scenario
from econ.answers.document import Answer
from econ.answers.workbook_facts import source_of, usual_number, warmest_fuel
from econ.farm.fields import About
from econ.farm.files import usual_wear
from econ.farm.schema import TABLES, Estimate, Table, Wear, about
from econ.ground.units import unit_label

# One word for an entry of each list.
SINGULAR = {
    "machines": "machine",
    "oils": "oil",
    "filters": "filter",
    "thinners": "thinner",
    "additives": "additive",
    "yearly": "yearly",
    "kit": "kit",
    "prices": "price",
}
# May be left empty: then there is no limit.
LIMITS = ("max_batches_per_month", "hours_per_month", "available_per_month")
_OPEN = (*LIMITS, "viscosity_40", "viscosity_100")
_SKIPPED = (
    "wear",
    "sources",
    "emission_controls",
    "use_by_month",
    "blend_months",
    "winter_months",
    "title",
    "note",
    "name",
    "extends",
)
# Judged or sorted by the program: shown, not to be changed here.
_FIXED = ("own", "pcb_tested", "model_year")
_TEXTS = ("text", "choice", "date")
_HEADS = ("Where", "What", "Value", "Unit", "Low", "High", "Likely", "Source", "Help", "Name")
_HOW = (
    "Change a yellow cell in the column Value; every sheet and chart follows. Low, high and"
    " likely are the guess; the value is their average, and results rest on it."
)
_FIXED_HERE = (
    "Which thinner a machine burns, its engine and its fitness are fixed here; change them in the"
    " farm file and make the workbook anew."
)
_VALUE, _LOW, _HIGH, _LIKELY = 2, 4, 5, 6


class _Writer(Struct):
    """Where the next row goes."""

    sheet: Sheet
    result: Answer
    row: int = 4

    @property
    def scenario(self) -> Scenario:
        return self.result.scenario

    def unit(self, dimension: str) -> str:
        header = self.scenario.scenario
        return unit_label(dimension, header.units, header.currency)


def name_of(table: str, index: int | None, field: str) -> str:
    """Return the name of an input: ``price_farm_diesel``, ``oil_2_reliability``.

    Parameters
    ----------
    table : str
        As in the file.
    index : int or None
        Of the entry, from 0.
    field : str
        As in the file.

    Returns
    -------
    str
    """
    word = SINGULAR.get(table, table)
    return f"{word}_{field}" if index is None else f"{word}_{index + 1}_{field}"


def _words(writer: _Writer, where: str, detail: About, name: str, source: str) -> None:
    row, sheet = writer.row, writer.sheet
    sheet.text(row, 0, where)
    sheet.text(row, 1, detail.label)
    if detail.kind in ("number", "whole", "price"):
        sheet.text(row, 3, writer.unit(detail.dimension))
    sheet.text(row, 7, source)
    sheet.text(row, 8, detail.help)
    sheet.text(row, 9, name, "fixed")


def _value(writer: _Writer, name: str, value: float | Estimate | str | None) -> None:
    """Write a value, or a guess by its average and its range, in the present row."""
    row, sheet = writer.row, writer.sheet
    if value is None:
        sheet.blank(row, _VALUE, name)
    elif isinstance(value, str):
        sheet.formula(row, _VALUE, value, "input", name)
    elif isinstance(value, Estimate):
        sheet.number(row, _VALUE, value.expected, name=name)
        sheet.number(row, _LOW, value.low)
        sheet.number(row, _HIGH, value.high)
        sheet.number(row, _LIKELY, value.likely)
    else:
        sheet.number(row, _VALUE, float(value), name=name)
    writer.row += 1


def _stand_in(writer: _Writer, table: str, index: int | None, field: str) -> float | str | None:
    """Return what stands where the file leaves a number out, and the model takes a usual one."""
    if table == "finance" and field == "fuel_inflation":
        return "finance_inflation"
    if table == "kit" and index is not None and field == "new_cost":
        return name_of(table, index, "cost")
    if table == "machines" and field == "thinner_share_winter":
        return name_of(table, index, "thinner_share")
    return usual_number(writer.result, table, index, field)


def _wanted(entry: Table, field: str) -> bool:
    """Say whether a field left out still needs a cell."""
    if field in _OPEN or field in ("density", "energy", "fuel_inflation", "new_cost"):
        return True
    if field in ("fuel_temperature", "fuel_temperature_winter"):
        return True
    if field == "thinner_share_winter":
        return getattr(entry, "thinner_share", None) is not None
    return (
        field == "viscosity_limit"
        and getattr(entry, "thinner", None) is not None
        and getattr(entry, "thinner_share", None) is None
    )


def _field(writer: _Writer, table: str, index: int | None, entry: Table, field: str) -> None:
    detail, value = about(type(entry), field), getattr(entry, field)
    where = table if index is None else f"{table}: {getattr(entry, 'name', '')}"
    name = name_of(table, index, field)
    path = (table, field) if index is None else (table, index, field)
    source = source_of(writer.scenario, path)
    if field == "road_tax_paid" and index is not None:
        value = writer.result.expected.inputs.thinners[index].road_tax_paid
    if field in ("road_share",) and value is None:
        value = 0.0
    if isinstance(value, str) and detail.kind == "price":
        value = f"price_{value}"
    elif field in _FIXED:
        _words(writer, where, detail, "", source)
        writer.sheet.number(writer.row, _VALUE, float(value), "fixed")
        writer.row += 1
        return
    elif detail.kind in ("names", "volumes"):
        return
    elif detail.kind in _TEXTS:
        if value is not None and value != "":
            _words(writer, where, detail, name if field == "depreciation" else "", source)
            changes = field == "depreciation"
            style = "input" if changes else "fixed"
            writer.sheet.text(writer.row, _VALUE, str(value), style)
            if changes:
                writer.sheet.book.name(name, writer.sheet.cell(writer.row, _VALUE))
            writer.row += 1
        return
    if value is None:
        if not _wanted(entry, field):
            return
        value = _stand_in(writer, table, index, field)
        source = source or "usual value" if value is not None else "none given"
    _words(writer, where, detail, name, source)
    _value(writer, name, value)
    if table == "blending" and field.startswith("fuel_temperature"):
        _never_warm(writer)


def _never_warm(writer: _Writer) -> None:
    """Keep the fuel's temperature where a gasoline blend may have it: it is never warmed."""
    limit = warmest_fuel(writer.result)
    if limit is not None:
        most, why = limit
        writer.sheet.at_most(writer.row - 1, _VALUE, most, why)


def wear_rows(scenario: Scenario, index: int) -> tuple[Wear, ...]:
    """Return a machine's wear rows, or its class's usual ones.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    index : int
        Of the machine.

    Returns
    -------
    tuple of Wear
    """
    machine = scenario.machines[index]
    return tuple(machine.wear) or usual_wear(machine.engine, scenario.scenario.units)


def _wear(writer: _Writer, index: int) -> None:
    machine = writer.scenario.machines[index]
    for k, row in enumerate(wear_rows(writer.scenario, index)):
        for field in ("cost", "extra_failures"):
            detail = about(Wear, field)
            name = f"machine_{index + 1}_wear_{k + 1}_{field}"
            source = "" if machine.wear else "usual value"
            _words(writer, f"machines: {machine.name}: {row.part}", detail, name, source)
            _value(writer, name, getattr(row, field))


def _may_burn(writer: _Writer, index: int) -> None:
    """Write whether a machine may burn blend at all; judged by the program, not to be changed."""
    machine = writer.result.expected.inputs.machines[index]
    sheet, name = writer.sheet, f"machine_{index + 1}_may_burn"
    sheet.text(writer.row, 0, f"machines: {machine.name}")
    sheet.text(writer.row, 1, "May burn blend (1) or stays on pump fuel (0)")
    allowed = 0.0 if machine.fit.key == "excluded" else 1.0
    sheet.number(writer.row, _VALUE, allowed, "fixed", name)
    sheet.text(writer.row, 8, "; ".join(machine.fit.reasons) or "Judged from its engine and year.")
    sheet.text(writer.row, 9, name, "fixed")
    writer.row += 1


def inputs_sheet(book: Book, result: Answer) -> None:
    """Write the inputs sheet.

    Parameters
    ----------
    book : Book
        The workbook.
    result : Answer
        A farm worked through.
    """
    sheet = book.sheet("Inputs", (34, 30, 13, 17, 11, 11, 11, 12, 50, 34), frozen=4)
    sheet.text(0, 0, result.scenario.scenario.title, "title")
    sheet.text(1, 0, _HOW)
    sheet.text(2, 0, _FIXED_HERE)
    sheet.heads(3, _HEADS)
    writer = _Writer(sheet, result)
    for table, _, is_list in TABLES:
        if table in ("machines.wear", "uncertainty"):
            continue
        entries = getattr(result.scenario, table)
        if entries is None:
            continue
        for index, entry in enumerate(entries if is_list else [entries]):
            for field in type(entry).model_fields:
                if field not in _SKIPPED:
                    _field(writer, table, index if is_list else None, entry, field)
            if table == "machines":
                _may_burn(writer, index)
                _wear(writer, index)


def calendar_sheet(book: Book, result: Answer) -> None:
    """Write the months in which it is winter, machines work, and blend is burned.

    Parameters
    ----------
    book : Book
        The workbook.
    result : Answer
        A farm worked through.
    """
    inputs = result.expected.inputs
    sheet = book.sheet("Calendar", (46,), frozen=1)
    sheet.heads(0, ("Month", *(str(month) for month in range(1, 13))))
    rows: list[tuple[str, str, list[float]]] = [
        ("Winter mix (1: yes)", "calendar_winter", [float(flag) for flag in inputs.winter_months])
    ]
    for k, machine in enumerate(inputs.machines):
        weights = result.scenario.machines[k].use_by_month or [1.0] * 12
        flags = [float(flag) for flag in machine.blend_months]
        rows.append(
            (
                f"{machine.name}: use by month, weights",
                f"machine_{k + 1}_use",
                [float(weight) for weight in weights],
            )
        )
        rows.append(
            (f"{machine.name}: months with blend (1: yes)", f"machine_{k + 1}_months", flags)
        )
    for row, (label, name, values) in enumerate(rows, start=1):
        sheet.text(row, 0, label)
        for month, value in enumerate(values):
            sheet.number(row, 1 + month, value)
        book.name(name, sheet.range((row, 1), (row, 12)))
