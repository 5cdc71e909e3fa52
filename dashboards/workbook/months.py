"""The plan and months sheets: twelve months of wants, forty-eight months of oil."""

from msgspec import Struct

from dashboards.workbook.sheets import NO_LIMIT, Book, Sheet
from econ.answers.document import Answer
from econ.ground.labels import MONTHS

_TOP = 2
_YEARS = ("first", "with all oil", "second", "settling", "typical")
_NOTHING = "1E-9"
_UNMET = "0.001"
_GREW = "0.000001"


class _Grid:
    """A sheet with a column for each series; cells are asked for by series and row."""

    def __init__(self, sheet: Sheet, series: list[str]) -> None:
        self.sheet = sheet
        self.series = {name: column for column, name in enumerate(series)}
        sheet.heads(_TOP - 1, tuple(series))

    def at(self, name: str, row: int) -> str:
        """Return a cell on its own sheet."""
        return self.sheet.at(row, self.series[name])

    def span(self, name: str, count: int, row: int) -> str:
        """Return the cells ``name 1`` to ``name count`` of a row, which stand side by side."""
        return f"{self.at(f'{name} 1', row)}:{self.at(f'{name} {count}', row)}"

    def put(self, name: str, row: int, formula: str, style: str = "number") -> None:
        """Write a formula."""
        self.sheet.formula(row, self.series[name], formula, style)

    def column(self, name: str, first: int, last: int) -> str:
        """Return some rows of a series, with the sheet's name."""
        column = self.series[name]
        return self.sheet.range((first, column), (last, column))


class Plan(Struct, frozen=True):
    """Where the months sheet finds what each calendar month asks for."""

    grid: _Grid

    def cell(self, name: str, month: int) -> str:
        """Return a cell of the plan, with the sheet's name."""
        return self.grid.sheet.cell(_TOP + month, self.grid.series[name])


def _numbered(name: str, count: int) -> list[str]:
    return [f"{name} {k + 1}" for k in range(count)]


def _take(grid: _Grid, row: int, place: int, clean: str, want: str, x: str) -> None:
    """Write what the machine at one place takes: want, clean oil, thinner, whichever is least."""
    earlier = place - 1
    left = f"served_{place}_limit"
    if earlier:
        used = "-".join(
            f"IF(served_{p}_thinner=served_{place}_thinner,{grid.at(f'thinner used {p}', row)},0)"
            for p in range(1, place)
        )
        left = f"MAX(0,{left}-{used})"
    allowed = f"IF(AND(served_{place}_thinner>0,{x}>0),{left}*(1-{x})/MAX({x},1E-300),{NO_LIMIT})"
    grid.put(f"allowed {place}", row, allowed)
    rest = f"{clean}-SUM({grid.span('take', earlier, row)})" if earlier else clean
    grid.put(f"within oil {place}", row, f"MIN({want},{rest})")
    least = f"MIN({grid.at(f'within oil {place}', row)},{grid.at(f'allowed {place}', row)})"
    grid.put(f"take {place}", row, f"IF({least}<{_NOTHING}*{want},0,{least})")
    grid.put(f"thinner used {place}", row, f"{grid.at(f'take {place}', row)}*{x}/(1-{x})")


_PLAN_TITLE = (
    "What each month asks for; clean oil. Numbers in heads: machines in the file's order; take,"
    " want and x by place: in the order of serving."
)
_PLAN_SERIES = (
    "usable",
    "use",
    "x",
    "ratio",
    "want",
    "want by place",
    "x by place",
    "take",
    "thinner used",
    "allowed",
    "within oil",
)


def plan_sheet(book: Book, result: Answer) -> Plan:
    """Write what each calendar month asks for, and what thinners allow of it.

    Parameters
    ----------
    book : Book
        The workbook, its blend sheet written.
    result : Answer
        A farm worked through.

    Returns
    -------
    Plan
    """
    count = len(result.expected.inputs.machines)
    sheet = book.sheet("Plan", (8, 8), frozen=_TOP)
    sheet.text(0, 0, _PLAN_TITLE)
    series = ["month", "winter", *(n for name in _PLAN_SERIES for n in _numbered(name, count))]
    grid = _Grid(sheet, [*series, "wanted", "burnable"])
    for month in range(12):
        row = _TOP + month
        sheet.text(row, 0, MONTHS[month])
        grid.put("winter", row, f"INDEX(calendar_winter,{month + 1})", "whole")
        for k in range(count):
            _asks(grid, row, month, k)
        for place in range(1, count + 1):
            for name in ("want", "x"):
                span = grid.span(name, count, row)
                grid.put(f"{name} by place {place}", row, f"INDEX({span},served_{place})")
            want, x = (grid.at(f"{name} by place {place}", row) for name in ("want", "x"))
            _take(grid, row, place, NO_LIMIT, want, x)
        grid.put("wanted", row, f"SUM({grid.span('want', count, row)})")
        grid.put("burnable", row, f"SUM({grid.span('take', count, row)})")
    for k in range(count):
        book.name(f"machine_{k + 1}_usable", grid.column(f"usable {k + 1}", _TOP, _TOP + 11))
    return Plan(grid)


def _asks(grid: _Grid, row: int, month: int, k: int) -> None:
    """Write one machine's month: its share of the year, thinner share, and want."""
    n, j = f"machine_{k + 1}", k + 1
    winter = f"{grid.at('winter', row)}=1"
    thick = f"IF({winter},{n}_too_thick_winter,{n}_too_thick)"
    grid.put(f"usable {j}", row, f"IF(AND(INDEX({n}_months,{month + 1})=1,{thick}=0),1,0)", "whole")
    grid.put(f"use {j}", row, f"INDEX({n}_use,{month + 1})/SUM({n}_use)", "small")
    for part in ("x", "ratio"):
        grid.put(f"{part} {j}", row, f"IF({winter},{n}_{part}_winter,{n}_{part})", "small")
    grid.put(
        f"want {j}",
        row,
        f"{grid.at(f'usable {j}', row)}*{n}_may_burn*{n}_fuel*{grid.at(f'use {j}', row)}"
        f"*{n}_blend_share*{grid.at(f'ratio {j}', row)}*(1-{grid.at(f'x {j}', row)})",
    )


def _start(grid: _Grid, row: int) -> None:
    """Write the stores a month begins with; the settling year may begin with full ones."""
    index = row - _TOP
    if index in (0, 12):
        for store in ("raw", "clean"):
            grid.put(f"{store} start", row, "0")
        return
    raw, clean = (grid.at(f"{store} end", row - 1) for store in ("raw", "clean"))
    if index == 36:
        raw_before, clean_before = (grid.at(f"{s} end", row - 13) for s in ("raw", "clean"))
        collected = f"SUM({grid.at('collected', row - 12)}:{grid.at('collected', row - 1)})"
        raw_grew = f"{raw}-{raw_before}>{_GREW}*{collected}"
        clean_grew = f"{clean}-{clean_before}>{_GREW}*{collected}"
        raw = f"IF(OR({raw_grew},{clean_grew}),process_raw_storage,{raw})"
        clean = f"IF({clean_grew},process_clean_storage,{clean})"
    grid.put("raw start", row, raw)
    grid.put("clean start", row, clean)


def _year(row: int) -> str:
    """Name the promise of a row's year: less turns up in the first."""
    return "_first" if row - _TOP < 12 else ""


def _collect(grid: _Grid, row: int, own: list[bool]) -> None:
    """Write what is taken in, own oils first, each up to the room that is left."""
    order = sorted(range(len(own)), key=lambda k: not own[k])
    room = f"MAX(0,process_raw_storage-{grid.at('raw start', row)})"
    for place, k in enumerate(order):
        earlier = "".join(f"-{grid.at(f'taken {j + 1}', row)}" for j in order[:place])
        taken = f"MIN(oil_{k + 1}_month{_year(row)},MAX(0,{room}{earlier}))"
        grid.put(f"taken {k + 1}", row, taken)
    grid.put("collected", row, f"SUM({grid.span('taken', len(own), row)})")
    hours = "+".join(
        f"{grid.at(f'taken {k + 1}', row)}*oil_{k + 1}_trips_per_volume*oil_{k + 1}_hours_per_trip"
        for k in range(len(own))
    )
    grid.put("hauling hours", row, hours)


def _clean(grid: _Grid, row: int, plan: Plan) -> None:
    """Write what is cleaned: raw oil, capacity or room, whichever is least."""
    grid.put("raw", row, f"{grid.at('raw start', row)}+{grid.at('collected', row)}")
    batches = f'IF(process_max_batches_per_month="",{NO_LIMIT},process_max_batches_per_month'
    spare = f"MAX(0,process_hours_per_month-{grid.at('hauling hours', row)})"
    by_hours = (
        f'IF(process_hours_per_month="",{NO_LIMIT},IF(process_hours_per_batch>0,{spare}'
        f"/MAX(process_hours_per_batch,1E-300)*process_batch_volume,{NO_LIMIT}))"
    )
    grid.put("capacity", row, f"MIN({batches}*process_batch_volume),{by_hours})")
    burnable = plan.cell("burnable", (row - _TOP) % 12)
    room = f"MAX(0,{burnable}+process_clean_storage-{grid.at('clean start', row)})"
    least = f"{grid.at('raw', row)},{grid.at('capacity', row)},{room}/(1-process_loss_share)"
    grid.put("processed", row, f"MIN({least})")
    made = f"{grid.at('processed', row)}*(1-process_loss_share)"
    grid.put("clean", row, f"{grid.at('clean start', row)}+{made}")
    grid.put("raw end", row, f"{grid.at('raw', row)}-{grid.at('processed', row)}")


def _burn(grid: _Grid, row: int, plan: Plan, count: int) -> None:
    """Write what each machine burns, served in order."""
    month = (row - _TOP) % 12
    short = []
    for place in range(1, count + 1):
        want, x = (plan.cell(f"{name} by place {place}", month) for name in ("want", "x"))
        _take(grid, row, place, f"MAX(0,{grid.at('clean', row)}-reserve_clean_oil)", want, x)
        short.append(f"{grid.at(f'allowed {place}', row)}<{grid.at(f'within oil {place}', row)}")
    grid.put("thinner short", row, f"IF(OR({','.join(short)}),1,0)", "whole")
    takes = grid.span("take", count, row)
    grid.put("oil used", row, f"SUM({takes})")
    grid.put("clean end", row, f"MAX(0,{grid.at('clean', row)}-{grid.at('oil used', row)})")
    for k in range(1, count + 1):
        x, ratio = plan.cell(f"x {k}", month), plan.cell(f"ratio {k}", month)
        grid.put(f"oil {k}", row, f"INDEX({takes},machine_{k}_place)")
        grid.put(f"blend {k}", row, f"{grid.at(f'oil {k}', row)}/(1-{x})")
        grid.put(f"thinner {k}", row, f"{grid.at(f'blend {k}', row)}*{x}")
        grid.put(f"replaced {k}", row, f"{grid.at(f'blend {k}', row)}/{ratio}")
    for name in ("thinner", "blend", "replaced"):
        total = f"SUM({grid.span(name, count, row)})"
        grid.put("fuel replaced" if name == "replaced" else name, row, total)


def _holds_back(grid: _Grid, row: int, plan: Plan) -> None:
    """Write hours and what holds the month back."""
    wanted = plan.cell("wanted", (row - _TOP) % 12)
    grid.put("wanted", row, wanted)
    batches = f"{grid.at('processed', row)}/process_batch_volume*process_hours_per_batch"
    grid.put("hours", row, f"{grid.at('hauling hours', row)}+{batches}")
    unmet = f"{wanted}-{grid.at('oil used', row)}>{_UNMET}*{wanted}"
    why = (
        f'IF({grid.at("thinner short", row)}=1,"thinner",'
        f'IF({grid.at("capacity", row)}<{grid.at("raw", row)},"capacity","oil"))'
    )
    grid.put("short of", row, f'IF({unmet},{why},"need")')
    first = _TOP + (row - _TOP) // 12 * 12
    year = grid.column("short of", first, first + 11)
    cut = f"{grid.at('collected', row)}<oils_usable*supply_scale{_year(row)}*(1-{_NOTHING})"
    grid.put(
        "bottleneck",
        row,
        f'IF(AND({grid.at("short of", row)}="need",{cut},'
        f'COUNTIF({year},"oil")+COUNTIF({year},"capacity")>0),"storage",'
        f"{grid.at('short of', row)})",
    )


_MONTHS_TITLE = (
    "First year from empty stores; three years that count for nothing; the typical year, which"
    " stands for all later ones."
)
_STARTS = ("year", "month", "raw start", "clean start")
_OF_ALL = (
    "collected",
    "hauling hours",
    "raw",
    "capacity",
    "processed",
    "clean",
    "wanted",
    "oil used",
    "raw end",
    "clean end",
    "thinner",
    "blend",
    "fuel replaced",
    "hours",
    "bottleneck",
    "short of",
    "thinner short",
)
# Of each machine, the last four by place in the order of serving.
_OF_EACH = (
    "oil",
    "blend",
    "thinner",
    "replaced",
    "take",
    "thinner used",
    "allowed",
    "within oil",
)


def months_sheet(book: Book, result: Answer, plan: Plan) -> None:
    """Write four years of months, and name each series of the first and the typical year.

    Parameters
    ----------
    book : Book
        The workbook.
    result : Answer
        A farm worked through.
    plan : Plan
        From `plan_sheet`.
    """
    inputs = result.expected.inputs
    count, oils = len(inputs.machines), len(inputs.oils)
    sheet = book.sheet("Months", (9, 7), frozen=_TOP)
    sheet.text(0, 0, _MONTHS_TITLE)
    series = [*_STARTS, *_numbered("taken", oils), *_OF_ALL]
    series += [n for name in _OF_EACH for n in _numbered(name, count)]
    grid = _Grid(sheet, series)
    own = [oil.own for oil in inputs.oils]
    for index in range(12 * len(_YEARS)):
        row = _TOP + index
        sheet.text(row, 0, _YEARS[index // 12])
        sheet.text(row, 1, MONTHS[index % 12])
        _start(grid, row)
        _collect(grid, row, own)
        _clean(grid, row, plan)
        _burn(grid, row, plan, count)
        _holds_back(grid, row, plan)
    for year, first in (("first", _TOP), ("typical", _TOP + 48)):
        for name in series[2:]:
            reference = grid.column(name, first, first + 11)
            book.name(f"{year}_months_{name.replace(' ', '_')}", reference)
