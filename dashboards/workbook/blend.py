"""The blend sheet: the pool of oil, thinner shares, fuel a year, and who is served first."""

from msgspec import Struct

from dashboards.workbook.borne import Volumes, borne
from dashboards.workbook.inputs import wear_rows
from dashboards.workbook.sheets import NO_LIMIT, Book, Sheet
from econ import Inputs
from econ.answers.document import Answer
from econ.answers.workbook_facts import (
    Points,
    additives_taken,
    diesel_heat,
    fuel_for_power,
    oil_points,
    thinner_points,
)
from econ.ground.units import LITRES_PER_GALLON

_KELVIN = 273.15
SEASONS = ("", "_winter")
# What formulas read whether the file has it or not.
_NEVER_MISSING = (
    "price_road_tax",
    "price_electricity",
    "price_fuel_duty",
    "price_fuel_duty_back",
    "reserve_clean_oil",
)


class _Lines(Struct):
    """A sheet of labelled formulas, one below the other."""

    sheet: Sheet
    row: int = 2

    def head(self, words: str) -> None:
        self.sheet.text(self.row + 1, 0, words, "bold")
        self.row += 2

    def add(self, name: str, formula: str, label: str, style: str = "small") -> str:
        """Write one named formula with its label."""
        self.sheet.text(self.row, 0, label)
        self.sheet.formula(self.row, 1, formula, style, name)
        self.sheet.text(self.row, 2, name, "fixed")
        self.row += 1
        return name


def w_formula(viscosity: str) -> str:
    """Return W = log10 log10 Z of a viscosity (ASTM D341) as a formula."""
    v = viscosity
    return f"LOG10(LOG10({v}+0.7+EXP(-1.47-1.84*{v}-0.51*{v}^2)))"


def _kelvin(name: str, us: bool) -> str:
    celsius = f"({name}-32)/1.8" if us else name
    return f"LOG10({celsius}+{_KELVIN})"


def _table_line(points: Points) -> tuple[str, str]:
    """Return A and B of a substance's table line as formulas of its two table points."""
    (t1, v1), (t2, v2) = points
    w1, w2 = w_formula(f"{v1:g}"), w_formula(f"{v2:g}")
    x1, x2 = (f"LOG10({t:g}+{_KELVIN})" for t in (t1, t2))
    slope = f"({w1}-{w2})/({x2}-{x1})"
    return w1, slope


def _oil(lines: _Lines, inputs: Inputs, k: int, us: bool) -> None:
    """Write one source: what it promises and its viscosity line."""
    oil, name = inputs.oils[k], f"oil_{k + 1}"
    lines.head(oil.name)
    lines.add(
        f"{name}_usable",
        f"{name}_volume_per_month*{name}_reliability*(1-{name}_reject_share)",
        "Usable promise a month",
    )
    points = oil_points(oil.kind)
    t1 = points[0][0]
    w1, slope = _table_line(points)
    lines.add(f"{name}_table_slope", slope, "Slope B of ASTM D341, table values of its kind")
    v40, v100 = f"{name}_viscosity_40", f"{name}_viscosity_100"
    x40, x100 = f"LOG10(40+{_KELVIN})", f"LOG10(100+{_KELVIN})"
    both = f'AND({v40}<>"",{v100}<>"")'
    w40, w100 = w_formula(v40), w_formula(v100)
    lines.add(
        f"{name}_slope",
        f"IF({both},({w40}-{w100})/({x100}-{x40}),{name}_table_slope)",
        "Slope B, through what was measured",
    )
    lines.add(
        f"{name}_level",
        f'IF({v40}<>"",{w40}+{name}_slope*{x40},IF({v100}<>"",{w100}+{name}_slope*{x100},'
        f"{w1}+{name}_slope*LOG10({t1:g}+{_KELVIN})))",
        "Level A, through what was measured",
    )
    for season in SEASONS:
        temperature = _kelvin(f"blending_fuel_temperature{season}", us)
        lines.add(
            f"{name}_w{season}",
            f"{name}_level-{name}_slope*{temperature}",
            f"W at the fuel's temperature{season.replace('_', ', ')}",
        )


def _pool(lines: _Lines, inputs: Inputs) -> None:
    """Write the pool of clean oil, sources weighed by their usable promise."""
    count = len(inputs.oils)
    lines.head("All oil together")
    names = [f"oil_{k + 1}" for k in range(count)]
    lines.add("oils_usable", "+".join(f"{n}_usable" for n in names), "Usable promise a month, all")
    for n in names:
        lines.add(
            f"{n}_part",
            f"IF(oils_usable>0,{n}_usable/MAX(oils_usable,1E-300),1/{count})",
            f"Part of the pool, {n}",
        )
    lines.add("pool_density", "+".join(f"{n}_part*{n}_density" for n in names), "Density, kg/L")
    lines.add("pool_heating_value", "+".join(f"{n}_part*{n}_energy" for n in names), "Heat")
    for season in SEASONS:
        parts = "+".join(f"{n}_part*{n}_density*{n}_w{season}" for n in names)
        lines.add(f"pool_w{season}", f"({parts})/pool_density", "W by ASTM D7152")


def _supply(lines: _Lines, inputs: Inputs) -> None:
    """Write what a month brings, scaled to the hours there are."""
    lines.head("What a month brings")
    names = [f"oil_{k + 1}" for k in range(len(inputs.oils))]
    for k, n in enumerate(names):
        trips = "0"
        if inputs.oils[k].load_volume is not None:
            trips = f"IF({n}_reject_share<1,1/(MAX(1-{n}_reject_share,1E-300)*{n}_load_volume),0)"
        lines.add(f"{n}_trips_per_volume", trips, f"Trips for a volume taken, {n}")
    hours = "+".join(f"{n}_usable*{n}_trips_per_volume*{n}_hours_per_trip" for n in names)
    lines.add(
        "promise_hours",
        f"{hours or 0}+oils_usable/process_batch_volume*process_hours_per_batch",
        "Hours the whole promise asks for a month",
    )
    for year, turns_up in (("", "1"), ("_first", "process_first_year_share")):
        asked = f"promise_hours*{turns_up}"
        lines.add(
            f"supply_scale{year}",
            f'{turns_up}*IF(process_hours_per_month="",1,IF({asked}>0,'
            f"MIN(1,process_hours_per_month/MAX({asked},1E-300)),1))",
            f"Share of the promise that turns up and the hours allow{year.replace('_', ', ')}",
        )
        for n in names:
            lines.add(
                f"{n}_month{year}",
                f"{n}_usable*supply_scale{year}",
                f"Usable a month, {n}{year.replace('_', ', ')}",
            )


def _thinner(lines: _Lines, inputs: Inputs, k: int, us: bool) -> None:
    thinner, name = inputs.thinners[k], f"thinner_{k + 1}"
    points = thinner_points(thinner.kind)
    t1 = points[0][0]
    w1, slope = _table_line(points)
    lines.add(f"{name}_slope", slope, f"{thinner.name}: slope B, table values of its kind")
    for season in SEASONS:
        temperature = _kelvin(f"blending_fuel_temperature{season}", us)
        lines.add(
            f"{name}_w{season}",
            f"{w1}+{name}_slope*(LOG10({t1:g}+{_KELVIN})-{temperature})",
            f"{thinner.name}: W at the fuel's temperature{season.replace('_', ', ')}",
        )


def _fuel(lines: _Lines, result: Answer, k: int) -> None:
    """Write a machine's fuel a year, whichever way the file gives it."""
    machine, n = result.scenario.machines[k], f"machine_{k + 1}"
    units = result.scenario.scenario.units
    if machine.fuel_per_year is not None:
        formula = f"{n}_fuel_per_year"
    elif machine.distance_per_year is not None:
        formula = f"{n}_distance_per_year/{n}_distance_per_volume"
    elif machine.rated_power is not None:
        formula = f"{n}_hours_per_year*{n}_rated_power*{fuel_for_power(units)!r}"
    else:
        formula = f"{n}_hours_per_year*{n}_fuel_per_hour"
    lines.add(f"{n}_fuel", formula, "Pump fuel a year without the plan")


def _share(lines: _Lines, inputs: Inputs, k: int, season: str) -> None:
    """Write a machine's thinner share in one season, and whether its thinner is too thick."""
    machine, n = inputs.machines[k], f"machine_{k + 1}"
    if machine.thinner is None:
        share, thick = "0", "0"
    elif machine.viscosity_limit is None:
        share, thick = f"{n}_thinner_share{season}", "0"
    else:
        t = f"thinner_{machine.thinner + 1}"
        thin, oil, limit = f"{t}_w{season}", f"pool_w{season}", f"{n}_limit_w"
        thick = f"IF(AND({oil}>{limit},{thin}>={limit}),1,0)"
        mass = f"{n}_mass{season}"
        lines.add(f"{n}_gap{season}", f"IF({oil}<={limit},1,{oil}-{thin})", "Gap in W")
        lines.add(
            mass,
            f"IF(OR({oil}<={limit},{thin}>={limit}),0,({oil}-{limit})/{n}_gap{season})",
            "Thinner by mass",
        )
        share = f"({mass}/{t}_density)/({mass}/{t}_density+(1-{mass})/pool_density)"
    lines.add(f"{n}_too_thick{season}", thick, "Thinner too thick (1: burns pump fuel)", "whole")
    lines.add(f"{n}_x{season}", share, f"Thinner by volume{season.replace('_', ', ')}")
    heat = f"(1-{n}_x{season})*pool_heating_value"
    if machine.thinner is not None:
        heat += f"+{n}_x{season}*thinner_{machine.thinner + 1}_energy"
    lines.add(
        f"{n}_ratio{season}",
        f"IF({n}_too_thick{season}=1,1,(1+({n}_use_factor-1)*(1-{n}_x{season}))"
        f"*diesel_heating_value/({heat}))",
        "Blend for each volume of pump fuel",
    )


def _worth(lines: _Lines, result: Answer, k: int) -> None:
    """Write what a volume of oil earns in a machine's first month that takes blend."""
    machine, n = result.expected.inputs.machines[k], f"machine_{k + 1}"
    lines.add(
        f"{n}_first", f"IFERROR(MATCH(1,{n}_usable,0),0)", "First month that takes blend", "whole"
    )
    winter = f"INDEX(calendar_winter,MAX({n}_first,1))=1"
    for part in ("x", "ratio"):
        lines.add(
            f"{n}_first_{part}",
            f"IF({winter},{n}_{part}_winter,{n}_{part})",
            f"{part} in that month",
        )
    x = f"{n}_first_x"
    volumes = Volumes(f"1/(1-{x})", f"{x}/(1-{x})", "1")
    less = "".join(f"-({cost})" for cost in borne(result, k, volumes).values())
    lines.add(
        f"{n}_worth",
        f"IF({n}_first=0,-{NO_LIMIT},price_{machine.replaces}/{n}_first_ratio/(1-{x}){less})",
        "What a volume of oil earns here",
    )


def _machine(lines: _Lines, result: Answer, k: int) -> None:
    machine, n = result.expected.inputs.machines[k], f"machine_{k + 1}"
    lines.head(machine.name)
    _fuel(lines, result, k)
    wear = "+".join(
        f"{n}_wear_{j + 1}_cost*{n}_wear_{j + 1}_extra_failures"
        for j in range(len(wear_rows(result.scenario, k)))
    )
    lines.add(f"{n}_wear_price", f"({wear or 0})/1000", "Repairs for a volume of oil burned")
    taken = "+".join(
        f"additive_{j + 1}_price*additive_{j + 1}_dose" for j in additives_taken(result, k)
    )
    lines.add(f"{n}_additive_price", taken or "0", "Additives for a volume of its blend")
    if machine.viscosity_limit is not None:
        lines.add(f"{n}_limit_w", w_formula(f"{n}_viscosity_limit"), "W of its limit")
    for season in SEASONS:
        _share(lines, result.expected.inputs, k, season)
    _worth(lines, result, k)


def _order(lines: _Lines, result: Answer) -> None:
    """Write the order in which machines are served: by worth, ties as in the file."""
    inputs = result.expected.inputs
    count = len(inputs.machines)
    lines.head("Who is served first")
    sheet, top = lines.sheet, lines.row + 1
    sheet.heads(lines.row, ("Machine", "Worth", "Place", "Thinner no.", "Its limit a month"))
    worths = sheet.range((top, 1), (top + count - 1, 1))
    places = sheet.range((top, 2), (top + count - 1, 2))
    for k, machine in enumerate(inputs.machines):
        row, own = top + k, sheet.cell(top + k, 1)
        sheet.text(row, 0, machine.name)
        sheet.formula(row, 1, f"machine_{k + 1}_worth")
        ties = f"+SUMPRODUCT(({sheet.range((top, 1), (row - 1, 1))}={own})*1)" if k else ""
        sheet.formula(
            row,
            2,
            f"1+SUMPRODUCT((machines_worth>{own})*1){ties}",
            "whole",
            f"machine_{k + 1}_place",
        )
        thinner = 0 if machine.thinner is None else machine.thinner + 1
        sheet.number(row, 3, float(thinner), "fixed")
        limit = f"thinner_{thinner}_available_per_month"
        sheet.formula(row, 4, f'IF({limit}="",{NO_LIMIT},{limit})' if thinner else NO_LIMIT)
    book = sheet.book
    book.name("machines_worth", worths)
    book.name("machines_place", places)
    book.name("machines_thinner", sheet.range((top, 3), (top + count - 1, 3)))
    book.name("machines_limit", sheet.range((top, 4), (top + count - 1, 4)))
    lines.row = top + count
    for place in range(1, count + 1):
        served = f"served_{place}"
        lines.add(served, f"MATCH({place},machines_place,0)", f"Served at place {place}", "whole")
        lines.add(
            f"served_{place}_thinner", f"INDEX(machines_thinner,{served})", "its thinner", "whole"
        )
        lines.add(f"served_{place}_limit", f"INDEX(machines_limit,{served})", "its limit")


def _energy(lines: _Lines, result: Answer, us: bool) -> None:
    """Write the electricity for a volume of raw oil."""
    process = result.expected.inputs.process
    if process.energy_per_volume is not None:
        formula = "process_energy_per_volume"
    elif process.heat_from is None:
        formula = "0"
    else:
        to = "process_heat_from" if process.heat_to is None else "process_heat_to"
        start, end = ((f"({t}-32)/1.8" if us else t) for t in ("process_heat_from", to))
        per = LITRES_PER_GALLON if us else 1.0
        heat = f"(1.685+0.0034*({start}+{end})/2)*SQRT(pool_density)*({end}-{start})/3600"
        formula = f"{heat}*{per!r}/process_heater_efficiency+process_motor_energy_per_volume"
    lines.add("energy_per_raw_volume", formula, "kWh for a volume of raw oil")


def blend_sheet(book: Book, result: Answer) -> None:
    """Write the blend sheet.

    Parameters
    ----------
    book : Book
        The workbook, its inputs sheet written.
    result : Answer
        A farm worked through.
    """
    inputs, units = result.expected.inputs, result.scenario.scenario.units
    us = units == "us"
    sheet = book.sheet("Blend", (46, 16, 30, 14, 16))
    sheet.text(0, 0, "What goes into each machine", "title")
    lines = _Lines(sheet)
    diesel = repr(diesel_heat(units))
    lines.add("diesel_heating_value", diesel, "Heat of diesel, the measure of fuel replaced")
    for name in _NEVER_MISSING:
        if name not in book.names:
            lines.add(name, "0", "Not in the file")
    for k in range(len(inputs.oils)):
        _oil(lines, inputs, k, us)
    _pool(lines, inputs)
    _supply(lines, inputs)
    _energy(lines, result, us)
    if inputs.thinners:
        lines.head("Thinners")
    for k in range(len(inputs.thinners)):
        _thinner(lines, inputs, k, us)
    for k in range(len(inputs.machines)):
        _machine(lines, result, k)
    _order(lines, result)
