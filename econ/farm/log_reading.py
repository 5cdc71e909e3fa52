r"""Reading a log: every row that can be read counts, and every fault is told at once.

>>> whole_lines("id,date\n1,2026-05-03\n2,2026")
(['id,date', '1,2026-05-03'], '2,2026')
"""

import datetime
import re
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from msgspec import Struct

from econ.farm.faults import near, shown
from econ.farm.files import usual_wear
from econ.farm.log import EVENT, NUMBERS, STORES, Log, Row
from econ.farm.log_layout import Layout, LineError, decimal_sign, figure, read_header
from econ.farm.log_sheet import SUFFIX, sheet_text
from econ.farm.schema import Machine, Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.records import replace
from econ.ground.units import LITRES_PER_GALLON

# A hundred thousand rows are some ten megabytes.
MOST_BYTES = 20_000_000
_EARLIEST = datetime.date(1980, 1, 1)
_WHOLE = re.compile(r"^\d{1,9}$")
_PRICES = ("road_diesel", "farm_diesel", "heating_oil")


def _refuse(path: Path, where: str, message: str) -> ScenarioError:
    return ScenarioError((Problem(str(path), where, None, message),))


class CellError(ValueError):
    """A cell that keeps its row from counting: column, what stands there, what is allowed."""

    def __init__(self, column: str, value: str | None, message: str) -> None:
        super().__init__(message)
        self.column, self.value, self.message = column, value, message


class RowError(ValueError):
    """A row that cannot count, with every fault of it."""

    def __init__(self, faults: tuple[CellError, ...]) -> None:
        super().__init__("; ".join(str(fault) for fault in faults))
        self.faults = faults


def parts_of(scenario: Scenario, machine: Machine) -> tuple[str, ...]:
    """List the parts of a machine that wear, its class's usual ones where it names none."""
    rows = machine.wear or usual_wear(machine.engine, scenario.scenario.units)
    return tuple(row.part for row in rows)


class Names(Struct, frozen=True):
    """What the rows of a farm's log may name."""

    sources: tuple[str, ...]
    machines: tuple[str, ...]
    bought: tuple[str, ...]
    parts: dict[str, tuple[str, ...]]
    """By machine."""

    def named_by(self, what: str) -> tuple[str, ...]:
        """List what rows of an event usually name; none where each farm has words of its own."""
        parts = (f"{machine}: {part}" for machine in self.machines for part in self.parts[machine])
        named: dict[str, tuple[str, ...]] = {
            "fetched": self.sources,
            "tested": (*self.sources, *STORES),
            "mixed": self.machines,
            "burned": self.machines,
            "bought": self.bought,
            "repaired": tuple(parts),
            "dipped": (*STORES, *self.machines),
        }
        return named.get(what, ())

    def repaired(self, which: str) -> tuple[str, str]:
        """Split "machine: part"; a part that is not listed stays as it is written."""
        folded = which.casefold()
        for machine in sorted(self.machines, key=len, reverse=True):
            name = machine.casefold()
            if folded == name:
                return machine, ""
            if folded.startswith(name) and folded[len(name) :].lstrip().startswith(":"):
                part = which[len(name) :].lstrip()[1:].strip()
                return machine, _known(part, self.parts[machine]) or part
        return "", ""


def names_of(scenario: Scenario) -> Names:
    """List what a farm's log may name.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    Names
    """
    lists = (scenario.thinners, scenario.filters, scenario.additives, scenario.yearly)
    entries: Iterable[Any] = (entry for one in lists for entry in one)
    return Names(
        sources=tuple(oil.name for oil in scenario.oils),
        machines=tuple(machine.name for machine in scenario.machines),
        bought=(*(entry.name for entry in entries), *_PRICES),
        parts={machine.name: parts_of(scenario, machine) for machine in scenario.machines},
    )


def _known(which: str, names: Iterable[str]) -> str | None:
    """Return the name that is meant, whatever its capitals."""
    folded = " ".join(which.casefold().split())
    for name in names:
        if folded in (name.casefold(), name.casefold().replace("_", " ")):
            return name
    return None


def _named(which: str, names: tuple[str, ...], kind: str) -> str:
    result = _known(which, names)
    if result is None:
        allowed = ", ".join(f'"{name}"' for name in names) or "none is listed"
        message = f"no {kind} of that name in the farm; allowed: {allowed}{near(which, names)}"
        raise CellError("which", which, message)
    return result


def _which(what: str, which: str, names: Names) -> str:
    """Check whom or what a row names, and write it as the farm does."""
    if what in ("fetched", "burned", "bought"):
        return _named(which, names.named_by(what), EVENT[what].which)
    if what == "repaired":
        machine, part = names.repaired(which)
        if not machine or not part:
            allowed = ", ".join(f'"{name}: ..."' for name in names.machines)
            raise CellError("which", which, f"a machine, a colon and a part; allowed: {allowed}")
        return f"{machine}: {part}"
    if what in ("mixed", "dipped") and not which:
        raise CellError("which", which, f"allowed: {EVENT[what].which}")
    if what in ("mixed", "dipped"):
        return _known(which, names.named_by(what)) or which
    if what == "undone" and not _WHOLE.match(which):
        raise CellError("which", which, "allowed: the number of a row")
    return which


def _date(text: str, today: datetime.date | None) -> datetime.date:
    try:
        result = datetime.date.fromisoformat(text)
    except ValueError as error:
        raise CellError("date", text, "allowed: a day such as 2026-03-14") from error
    if len(text) != len("2026-03-14"):
        raise CellError("date", text, "allowed: a day such as 2026-03-14")
    if result < _EARLIEST or (today is not None and result > today):
        until = f" to {today}" if today is not None else ""
        raise CellError("date", text, f"allowed: days from {_EARLIEST}{until}")
    return result


def _number(name: str, text: str, layout: Layout, units: str) -> float | None:
    """Read one figure, a volume in the farm's units; None for an empty cell."""
    if not text:
        return None
    try:
        value = figure(text, layout.decimal)
    except ValueError as error:
        raise CellError(name, text, str(error)) from error
    if value < 0.0 and name != "money":
        raise CellError(name, text, "a number from 0 is allowed")
    litres = LITRES_PER_GALLON if units == "us" else 1.0
    unit = layout.litres.get(name, litres)
    return value if unit == litres else value * unit / litres


def _id(text: str) -> int:
    if not _WHOLE.match(text):
        raise CellError("id", text, "allowed: a whole number of its own for each row")
    return int(text)


def _what(text: str) -> str:
    what = text.casefold()
    if what not in EVENT:
        raise CellError("what", text, f"allowed: {', '.join(EVENT)}{near(what, EVENT)}")
    return what


Read = TypeVar("Read")


class _Gathered:
    """Reads the cells of a row one by one and gathers what is wrong with them."""

    def __init__(self) -> None:
        self.faults: list[CellError] = []

    def __call__(self, read: Callable[[], Read]) -> Read | None:
        """Read one cell; None where that is refused."""
        try:
            return read()
        except CellError as error:
            self.faults.append(error)
            return None

    def lacks(self, column: str, words: str) -> None:
        """Note that a cell is empty which must not be."""
        if all(fault.column != column for fault in self.faults):
            self.faults.append(CellError(column, None, words))


def read_row(
    line: int,
    cells: dict[str, str],
    layout: Layout,
    scenario: Scenario,
    names: Names,
    today: datetime.date | None,
) -> Row:
    """Read one row.

    Parameters
    ----------
    line : int
        Of the file.
    cells : dict
        From `Layout.cells`.
    layout : Layout
        How the file writes its rows.
    scenario : Scenario
        The farm.
    names : Names
        From `names_of`.
    today : date or None
        The last day that a row may have.

    Returns
    -------
    Row

    Raises
    ------
    RowError
        With every fault of it.
    """
    read = _Gathered()
    number = read(lambda: _id(cells["id"]))
    date = read(lambda: _date(cells["date"], today))
    what = read(lambda: _what(cells["what"]))
    which = read(lambda: _which(what, cells["which"], names)) if what is not None else None
    units = scenario.scenario.units
    figures: dict[str, float | None] = {
        name: read(partial(_number, name, cells.get(name, ""), layout, units)) for name in NUMBERS
    }
    for need in EVENT[what].needs if what is not None else ():
        if figures[need] is None:
            words = EVENT[what].words[need] if what is not None else ""
            read.lacks(need, f"is empty; {what} needs it: {words}")
    if read.faults or number is None or date is None or what is None or which is None:
        raise RowError(tuple(read.faults))
    return Row(line, number, date, what, which, **figures, note=cells.get("note", ""))


def problem_of(path: Path, line: int, fault: CellError) -> Problem:
    """Word a cell's fault, with the line and column where it stands."""
    value = None if fault.value is None else shown(fault.value)
    return Problem(str(path), f"line {line}, {fault.column}", value, fault.message)


def log_text(path: Path) -> str:
    """Read a log's text, with or without a byte-order mark.

    Parameters
    ----------
    path : Path
        The log.

    Returns
    -------
    str

    Raises
    ------
    ScenarioError
        If it cannot be read.
    """
    try:
        if path.is_dir():
            raise _refuse(path, "", "is a folder; name a log")
        if path.stat().st_size > MOST_BYTES:
            raise _refuse(path, "", f"holds more than {MOST_BYTES:,} bytes; no log is so long")
        return decoded(path, path.read_bytes())
    except FileNotFoundError as error:
        raise _refuse(path, "", "there is no such log") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refuse(path, "", f"cannot be read: {reason}") from error


def decoded(path: Path, content: bytes) -> str:
    """Return a log's bytes as text; a sign cut off at the very end belongs to a torn line."""
    whole = content[: content.rfind(b"\n") + 1]
    try:
        text = whole.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = whole.count(b"\n", 0, error.start) + 1
        message = "is not UTF-8 text; save it as CSV, UTF-8"
        raise _refuse(path, f"line {line}", message) from error
    return text + content[len(whole) :].decode("utf-8-sig", errors="replace")


def layout_of(path: Path, lines: list[str]) -> tuple[Layout, list[Problem]]:
    """Read how a log is written from its lines.

    Parameters
    ----------
    path : Path
        Named in faults.
    lines : list of str
        All whole lines, without their ends.

    Returns
    -------
    (Layout, list of Problem)
        And columns that are not read.

    Raises
    ------
    ScenarioError
        If the header cannot be used, with every fault of it.
    """
    if not lines:
        raise _refuse(path, "line 1", "the header is missing: id, date, what, which, ...")
    try:
        layout, faults, others = read_header(lines[0])
    except LineError as error:
        raise _refuse(path, "line 1", str(error)) from error
    if faults:
        raise ScenarioError(tuple(Problem(str(path), "line 1", None, fault) for fault in faults))
    unread = [
        Problem(str(path), "line 1", None, f"the column {shown(other)} is not read")
        for other in others
    ]
    return replace(layout, decimal=decimal_sign(layout, iter(lines[1:]))), unread


def whole_lines(text: str) -> tuple[list[str], str | None]:
    """Part a text into its whole lines and, where its last line has no end, that."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    torn = lines.pop()
    return lines, torn or None


def read_log(path: Path | str, scenario: Scenario, today: datetime.date | None = None) -> Log:
    """Read a farm's log.

    Parameters
    ----------
    path : Path or str
        A CSV: UTF-8, cells parted by commas, semicolons or tabs, decimals by point or comma; or
        a workbook with a sheet "Log".
    scenario : Scenario
        The farm whose log it is: its units and its names.
    today : date, optional
        Rows of later days are faults.

    Returns
    -------
    Log
        Rows that cannot be read are among its faults and do not keep the others from counting.

    Raises
    ------
    ScenarioError
        If the file or its header cannot be read at all.
    """
    path = Path(path)
    is_sheet = path.suffix.lower() == SUFFIX
    lines, torn = whole_lines(sheet_text(path) if is_sheet else log_text(path))
    layout, faults = layout_of(path, lines)
    rows, bad = _read_rows(path, lines, layout, scenario, today)
    return _settled(path, rows, faults, bad, torn)


def _read_rows(
    path: Path,
    lines: list[str],
    layout: Layout,
    scenario: Scenario,
    today: datetime.date | None,
) -> tuple[list[Row], list[tuple[str, Problem]]]:
    """Read every row, and the faults of those that cannot be read, with the number they bear."""
    names = names_of(scenario)
    rows: list[Row] = []
    bad: list[tuple[str, Problem]] = []
    taken: dict[int, int] = {}
    for number, line in enumerate(lines[1:], start=2):
        if not line.strip(f"{layout.separator} \t"):
            continue
        cells: dict[str, str] = {}
        try:
            cells = layout.cells(line)
            row = read_row(number, cells, layout, scenario, names, today)
            if row.id in taken:
                message = f"stands on line {taken[row.id]} already; each row has its own"
                raise RowError((CellError("id", str(row.id), message),))
        except LineError as error:
            bad.append(("", Problem(str(path), f"line {number}", None, str(error))))
            continue
        except RowError as error:
            name = cells["id"] if cells["id"] not in map(str, taken) else ""
            bad += [(name, problem_of(path, number, fault)) for fault in error.faults]
            continue
        taken[row.id] = number
        rows.append(row)
    return rows, bad


def _settled(
    path: Path,
    rows: list[Row],
    faults: list[Problem],
    bad: list[tuple[str, Problem]],
    torn: str | None,
) -> Log:
    """Take undone rows out, put the others in order, and look for rows imported twice."""
    by_id = {str(row.id): row for row in rows}
    bad_ids = {name for name, _ in bad if name}
    undone: dict[int, Row] = {}
    silenced: set[str] = set()
    for row in rows:
        if row.what != "undone":
            continue
        target = by_id.get(str(int(row.which)))
        problem = _undoing_fault(target, str(int(row.which)) in bad_ids, undone)
        if problem is not None:
            faults.append(Problem(str(path), f"line {row.line}, which", row.which, problem))
        elif target is None:
            silenced.add(str(int(row.which)))
        else:
            undone[target.id] = target
    faults += [problem for name, problem in bad if name not in silenced]
    kept = (row for row in rows if row.id not in undone and row.what != "undone")
    counted = _tanks_settled(path, sorted(kept, key=lambda row: row.order), faults)
    return Log(
        path, tuple(counted), tuple(undone.values()), _by_line(faults), torn, _twice(counted)
    )


def _undoing_fault(target: Row | None, is_bad: bool, undone: dict[int, Row]) -> str | None:
    if target is None:
        return None if is_bad else "there is no row of that number"
    if target.what == "undone":
        return "an undoing is not itself undone; write the row anew"
    if target.id in undone:
        return "that row is undone already"
    return None


def _tanks_settled(path: Path, rows: list[Row], faults: list[Problem]) -> list[Row]:
    """Write each tank as its first mix does, and refuse dips of what was never mixed."""
    tanks: dict[str, str] = {}
    kept = []
    for row in rows:
        if row.what == "mixed":
            name = tanks.setdefault(row.which.casefold(), row.which)
            kept.append(replace(row, which=name))
        elif row.what == "dipped" and row.which not in STORES:
            name = tanks.get(row.which.casefold(), "")
            if name:
                kept.append(replace(row, which=name))
                continue
            message = f"allowed: {', '.join(STORES)}, or a tank that was mixed before"
            where = f"line {row.line}, which"
            faults.append(Problem(str(path), where, shown(row.which), message))
        else:
            kept.append(row)
    return kept


def _by_line(faults: list[Problem]) -> tuple[Problem, ...]:
    def line(problem: Problem) -> int:
        return int(problem.where.removeprefix("line ").partition(",")[0])

    return tuple(sorted(faults, key=line))


def _twice(rows: list[Row]) -> tuple[tuple[Row, Row], ...]:
    """Find rows that say the same as an earlier one; a dip may well find the same."""
    seen: dict[tuple[object, ...], Row] = {}
    result = []
    for row in sorted(rows, key=lambda row: row.id):
        earlier = seen.get(row.content)
        if earlier is None:
            seen[row.content] = row
        else:
            result.append((earlier, row))
    return tuple(result)
