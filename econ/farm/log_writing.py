"""Adding to a log: one row at a time, one writer at a time, nothing acknowledged is lost.

>>> import tempfile
>>> from econ.farm.demos import demo_files
>>> from econ.farm.files import load
>>> farm = load(demo_files()["wrenfold"])
>>> row = {"date": "2026-05-03", "what": "burned", "which": "Shop oil heater", "volume": 4.0}
>>> with tempfile.TemporaryDirectory() as folder:
...     print(add_row(Path(folder) / "log.csv", farm, row).row.id)
1
"""

import contextlib
import csv
import datetime
import io
import os
import sys
import time
from collections.abc import Iterator, Mapping
from pathlib import Path

from msgspec import Struct

from econ.farm.log import COLUMNS, NUMBERS, Row
from econ.farm.log_layout import Layout, LineError, header_line
from econ.farm.log_reading import (
    RowError,
    decoded,
    layout_of,
    names_of,
    problem_of,
    read_row,
    whole_lines,
)
from econ.farm.log_sheet import SUFFIX
from econ.farm.schema import Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import LITRES_PER_GALLON

# Seconds to wait for another writer, and between two tries.
_PATIENCE = 10.0
_PAUSE = 0.01


class Added(Struct, frozen=True):
    """What came of adding a row."""

    row: Row
    set_aside: Path | None
    """Where an unfinished last line was put before the row was written, if there was one."""


def _problem(path: Path, message: str, where: str = "", value: str | None = None) -> ScenarioError:
    return ScenarioError((Problem(str(path), where, value, message),))


def _try_lock(handle: int) -> bool:
    """Take the lock of an open file if it is free."""
    if sys.platform == "win32":
        import msvcrt

        # A byte far beyond the end, so that reading is never in the way.
        os.lseek(handle, 1 << 40, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


@contextlib.contextmanager
def _locked(path: Path) -> Iterator[int]:
    """Open a log for adding, made if need be, and hold it; closing frees it."""
    handle = os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o644)
    try:
        deadline = time.monotonic() + _PATIENCE
        while not _try_lock(handle):
            if time.monotonic() > deadline:
                raise _problem(path, "another program is writing to it; try again")
            time.sleep(_PAUSE)
        yield handle
    finally:
        os.close(handle)


def _write_all(handle: int, content: bytes) -> None:
    """Write at the end and wait until the disk has it."""
    os.lseek(handle, 0, os.SEEK_END)
    while content:
        content = content[os.write(handle, content) :]
    os.fsync(handle)


def _read_all(handle: int) -> bytes:
    os.lseek(handle, 0, os.SEEK_SET)
    parts = []
    while part := os.read(handle, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def _keep_folder(path: Path) -> None:
    """Wait until the folder's entry of a new file is on disk, where the system can."""
    if sys.platform != "win32":
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _set_aside(path: Path, handle: int, content: bytes) -> tuple[bytes, Path | None]:
    """Move a line without its end out of the log into a file beside it."""
    end = content.rfind(b"\n") + 1
    torn = content[end:]
    if not torn.strip():
        return content, None
    beside = path.with_name(f"{path.name}.torn")
    other = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
    try:
        _write_all(other, torn + b"\n")
    finally:
        os.close(other)
    os.ftruncate(handle, end)
    os.fsync(handle)
    return content[:end], beside


def _written(value: float, decimal: str) -> str:
    return f"{value:.12g}".replace(".", decimal)


def _cells(
    values: Mapping[str, object], number: int, layout: Layout, units: str, path: Path
) -> dict[str, str]:
    """Write a row's values as the file writes them, volumes in its columns' units."""
    litres = LITRES_PER_GALLON if units == "us" else 1.0
    result = {"id": str(number)}
    for key, value in values.items():
        if value is None or value == "":
            continue
        if key not in layout.names:
            raise _problem(path, f"the log has no column {key}; add it to the header", "line 1")
        if key in NUMBERS and isinstance(value, int | float):
            unit = layout.litres.get(key, litres)
            plain = float(value) if unit == litres else float(value) * litres / unit
            result[key] = _written(plain, layout.decimal)
        else:
            result[key] = " ".join(str(value).split())
    return {column.key: result.get(column.key, "") for column in COLUMNS}


def _line(cells: Mapping[str, str], layout: Layout) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, delimiter=layout.separator, lineterminator="\n")
    writer.writerow([cells.get(name, "") for name in layout.names])
    return text.getvalue().encode()


def _header(scenario: Scenario) -> bytes:
    """Write the first line of a new log, in the farm's units."""
    unit = "gal" if scenario.scenario.units == "us" else "L"
    return f"{header_line(unit)}\n".encode()


def _next_number(lines: list[str], layout: Layout) -> int:
    """Return the next free number, counting bad rows too."""
    highest = 0
    for line in lines[1:]:
        with contextlib.suppress(LineError):
            number = layout.cells(line).get("id", "")
            if number.isdecimal():
                highest = max(highest, int(number))
    return highest + 1


def add_row(
    path: Path | str,
    scenario: Scenario,
    values: Mapping[str, object],
    today: datetime.date | None = None,
) -> Added:
    """Add one event to a farm's log, which is made if it is not there.

    Parameters
    ----------
    path : Path or str
        The log.
    scenario : Scenario
        The farm.
    values : mapping
        By column; volumes in the farm's units. The number is chosen here.
    today : date, optional
        The last day that it may have.

    Returns
    -------
    Added
        Only once the row is on disk.

    Raises
    ------
    ScenarioError
        If the row would be a fault, or the log cannot be written; then nothing is added.

    Notes
    -----
    The log is never rewritten: a row goes at its end in one piece under a lock, and is waited
    for. What a stop in the middle leaves has no line end; the next writer puts it aside.
    """
    path = Path(path)
    if path.suffix.lower() == SUFFIX:
        raise _problem(path, "is a workbook: write the row on its sheet, or name a CSV")
    header = _header(scenario)
    try:
        if not path.exists():
            # Refused before there is a file: what is wrong leaves nothing behind.
            layout, _ = layout_of(path, [header.decode().rstrip()])
            cells = _cells(values, 1, layout, scenario.scenario.units, path)
            _checked(path, 2, cells, layout, scenario, today)
        with _locked(path) as handle:
            content, beside = _set_aside(path, handle, _read_all(handle))
            if not content:
                content = header
                _write_all(handle, content)
                _keep_folder(path)
            lines, _ = whole_lines(decoded(path, content))
            layout, _ = layout_of(path, lines)
            number = _next_number(lines, layout)
            cells = _cells(values, number, layout, scenario.scenario.units, path)
            row = _checked(path, len(lines) + 1, cells, layout, scenario, today)
            _write_all(handle, _line(cells, layout))
            return Added(row, beside)
    except OSError as error:
        raise _problem(path, f"cannot be written: {error.strerror or error}") from error


def _checked(
    path: Path,
    line: int,
    cells: dict[str, str],
    layout: Layout,
    scenario: Scenario,
    today: datetime.date | None,
) -> Row:
    """Refuse a row that could not be read back."""
    try:
        return read_row(line, cells, layout, scenario, names_of(scenario), today)
    except RowError as error:
        faults = tuple(problem_of(path, line, fault) for fault in error.faults)
        raise ScenarioError(faults) from error
