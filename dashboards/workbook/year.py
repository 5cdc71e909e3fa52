"""The year sheet: volumes, cost lines, ladder and savings of the first and the typical year."""

from collections.abc import Callable
from functools import partial

from dashboards.workbook.borne import Volumes, borne
from dashboards.workbook.sheets import Book, Sheet
from econ import Inputs
from econ.answers.document import Answer
from econ.answers.rows import COST_LINES, RUNGS, SAVINGS, CostLine
from econ.answers.workbook_facts import farm_rate
from econ.ground.labels import FUEL
from econ.ground.units import unit_label

YEARS = ("first", "typical")
_COLUMNS = {"first": 1, "typical": 2}
_HOURS = "{y}_oil_processed/process_batch_volume*process_hours_per_batch"
_TAKEN = "SUM({y}_months_taken_{k})"


def _sum(parts: list[str]) -> str:
    return "+".join(parts) or "0"


def _over(count: int, template: str, y: str) -> str:
    """Write a template once for each entry, numbered from 1, and add them up."""
    return _sum([template.format(y=y, k=k + 1) for k in range(count)])


def _volumes(inputs: Inputs, y: str) -> dict[str, str]:
    oils, machines = len(inputs.oils), len(inputs.machines)
    return {
        "fuel_replaced": f"SUM({y}_months_fuel_replaced)",
        "blend": f"SUM({y}_months_blend)",
        "oil_used": f"SUM({y}_months_oil_used)",
        "thinner": f"SUM({y}_months_thinner)",
        "oil_collected": f"SUM({y}_months_collected)",
        "oil_processed": f"SUM({y}_months_processed)",
        "fuel_without_plan": _over(machines, "machine_{k}_fuel", y),
        "hours": f"SUM({y}_months_hauling_hours)+{_HOURS.format(y=y)}+labour_upkeep_hours_per_year+"
        + _over(len(inputs.yearly), "yearly_{k}_hours", y),
        "own_hours": f"{y}_hours*(1-labour_hired_share)",
        "trips": _over(oils, _TAKEN + "*oil_{k}_trips_per_volume", y),
    }


def _burned(k: int, y: str) -> Volumes:
    """Return what a machine burns in a year."""
    blend, thinner, oil = (
        f"SUM({y}_months_{part}_{k + 1})" for part in ("blend", "thinner", "oil")
    )
    return Volumes(blend, thinner, oil)


def _at_rate(result: Answer, line: CostLine, y: str) -> str:
    """Return a farm's cost line that has no formula here: it follows what it is per."""
    rate, key = farm_rate(result, line, y)
    return repr(rate) if key is None else f"{rate!r}*{y}_{key}" if rate else "0"


def _costs(result: Answer, y: str) -> dict[str, str]:
    inputs = result.expected.inputs
    taken = _TAKEN + "*oil_{k}_"
    ours = {
        "filters": f"{y}_oil_processed*("
        + _over(len(inputs.filters), "filter_{k}_price/filter_{k}_volume_per_element", y)
        + ")",
        "energy": f"{y}_oil_processed*energy_per_raw_volume*price_electricity",
        "oil": _over(len(inputs.oils), taken + "price", y),
        "hauling": "hauling_cost_per_distance*("
        + _over(len(inputs.oils), taken + "trips_per_volume*oil_{k}_round_trip", y)
        + ")",
        "tests": f"{y}_oil_processed/process_batch_volume*process_test_cost_per_batch",
        "disposal": f"{y}_oil_processed*process_loss_share*process_disposal_cost",
        "yearly": _over(len(inputs.yearly), "yearly_{k}_cost", y),
        "hired_labour": f"{y}_hours*labour_hired_share*labour_wage",
        "kit": "kit_per_year",
        "labour": f"{y}_own_hours*labour_wage",
    }
    machines = [borne(result, k, _burned(k, y)) for k in range(len(inputs.machines))]
    return {
        line.key: _sum([each[line.key] for each in machines])
        if line.borne is not None
        else ours.get(line.key) or _at_rate(result, line, y)
        for line in COST_LINES
    }


def _savings(inputs: Inputs, y: str) -> dict[str, str]:
    def less(rungs: tuple[str, ...]) -> str:
        return "".join(f"-{y}_cost_{c.key}" for c in COST_LINES if c.rung in rungs)

    bought = _sum(
        [
            f"SUM({y}_months_replaced_{k + 1})*price_{machine.replaces}"
            for k, machine in enumerate(inputs.machines)
        ]
    )
    saving = f"{y}_saving_"
    return {
        "fuel_not_bought": bought,
        "cash": f"{saving}fuel_not_bought{less(('quoted', 'cash'))}",
        "after_wear": f"{saving}cash{less(('wear',))}",
        "after_kit": f"{saving}after_wear{less(('kit',))}",
        "after_labour": f"{saving}after_kit{less(('full',))}",
    }


def _ladder(y: str, volume: str) -> dict[str, str]:
    """Return the rungs for each volume; each holds all below it."""
    result, reached = {}, []
    for rung in RUNGS:
        reached.append(rung.key)
        total = _sum([f"{y}_cost_{line.key}" for line in COST_LINES if line.rung in reached])
        result[rung.key] = f'IF({y}_{volume}>0,({total})/{y}_{volume},"none")'
    return result


def _money_apart(y: str) -> dict[str, str]:
    """Sort a year's amounts by how they grow."""
    fuel = [c.key for c in COST_LINES if c.kind == "cost" and c.grows_with == "fuel"]
    other = [c.key for c in COST_LINES if c.kind == "cost" and c.grows_with == "prices"]
    own = [f"{y}_cost_{c.key}" for c in COST_LINES if c.kind == "own time"]
    return {
        "fuel_like": f"{y}_saving_fuel_not_bought" + "".join(f"-{y}_cost_{key}" for key in fuel),
        "other_costs": _sum([f"{y}_cost_{key}" for key in other]),
        "own_time": _sum(own),
    }


Formulas = Callable[[str], dict[str, str]]


def _block(
    sheet: Sheet,
    row: int,
    title: str,
    prefix: str,
    lines: list[tuple[str, str, str]],
    formulas: Formulas,
) -> int:
    """Write a titled block, one line a key, the years side by side; give the next row."""
    sheet.text(row, 0, title, "bold")
    for y in YEARS:
        for k, (key, label, unit) in enumerate(lines):
            place = row + 1 + k
            if y == YEARS[0]:
                sheet.text(place, 0, label)
                sheet.text(place, 3, unit)
                sheet.text(place, 4, f"typical_{prefix}{key}", "fixed")
            sheet.formula(place, _COLUMNS[y], formulas(y)[key], "number", f"{y}_{prefix}{key}")
    return row + len(lines) + 2


def year_sheet(book: Book, result: Answer) -> None:
    """Write the year sheet.

    Parameters
    ----------
    book : Book
        The workbook.
    result : Answer
        A farm worked through.
    """
    inputs, header = result.expected.inputs, result.scenario.scenario

    def unit(dimension: str) -> str:
        return unit_label(dimension, header.units, header.currency)

    sheet = book.sheet("Year", (44, 16, 16, 14, 34), frozen=2)
    sheet.text(0, 0, "One year, at today's prices", "title")
    sheet.heads(1, ("", "First year", "Typical year", "Unit", "Name"))
    money = unit("money_per_year")
    volumes = [(row.key, row.label, unit(row.dimension)) for row in FUEL]
    row = _block(sheet, 2, "Volumes and hours", "", volumes, lambda y: _volumes(inputs, y))
    costs = [(line.key, line.label, money) for line in COST_LINES]
    row = _block(sheet, row, "Costs", "cost_", costs, lambda y: _costs(result, y))
    savings = [(saving.key, saving.label, money) for saving in SAVINGS]
    row = _block(sheet, row, "Savings", "saving_", savings, lambda y: _savings(inputs, y))
    rungs = [(rung.key, rung.label, unit("price_per_volume")) for rung in RUNGS]
    for name, volume in (("per_blend", "blend"), ("per_replaced", "fuel_replaced")):
        book.name(f"ladder_{name}", sheet.range((row + 1, 2), (row + len(rungs), 2)))
        book.name(f"ladder_{name}_labels", sheet.range((row + 1, 0), (row + len(rungs), 0)))
        title = f"Cost ladder, {name.replace('_', ' ')}"
        row = _block(sheet, row, title, f"{name}_", rungs, partial(_ladder, volume=volume))
    labels = [
        ("fuel_like", "Fuel not bought, less thinner", money),
        ("other_costs", "All costs but thinner, kit and own time", money),
        ("own_time", "Your own time", money),
    ]
    row = _block(sheet, row, "For the ledgers", "", labels, _money_apart)
    _machines(sheet, row, result)


def _machines(sheet: Sheet, row: int, result: Answer) -> None:
    """Write each machine's typical year."""
    sheet.heads(row, ("Machine", "Oil used", "Blend", "Fuel replaced", "Saves a year"))
    y = "typical"
    for k, machine in enumerate(result.expected.inputs.machines):
        at, n = row + 1 + k, f"machine_{k + 1}"
        sheet.text(at, 0, machine.name)
        for column, key in enumerate(("oil", "blend", "replaced"), start=1):
            sheet.formula(at, column, f"SUM({y}_months_{key}_{k + 1})", name=f"{n}_{key}_used")
        less = "".join(f"-({cost})" for cost in borne(result, k, _burned(k, y)).values())
        saving = f"{n}_replaced_used*price_{machine.replaces}{less}"
        sheet.formula(at, 4, saving, name=f"{n}_saving")
