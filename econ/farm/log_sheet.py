"""A log kept on a sheet of a workbook, read as the CSV that it would be.

>>> import tempfile
>>> from openpyxl import Workbook
>>> book = Workbook()
>>> book.active.title = LOG_SHEET
>>> book.active.append(["id", "date", "what"])
>>> with tempfile.TemporaryDirectory() as folder:
...     book.save(path := Path(folder) / "log.xlsx")
...     print(sheet_text(path), end="")
id,date,what
"""

import csv
import datetime
import io
import zipfile
from pathlib import Path

from econ.ground.errors import Problem, ScenarioError

LOG_SHEET = "Log"
SUFFIX = ".xlsx"
_MOST_ROWS = 100_000
_MOST_BYTES = 20_000_000
# What a workbook may unfold to; a crafted one could fill the memory.
_MOST_UNFOLDED = 200_000_000


def _refuse(path: Path, message: str) -> ScenarioError:
    return ScenarioError((Problem(str(path), "", None, message),))


def _cell(value: object) -> str:
    """Write a cell as a CSV would."""
    if value is None:
        return ""
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    if isinstance(value, float):
        return f"{value:.15g}"
    return " ".join(str(value).split())


def _check_size(path: Path) -> None:
    """Refuse a file that is none, or too large, before it is unfolded."""
    if path.stat().st_size > _MOST_BYTES:
        raise _refuse(path, f"holds more than {_MOST_BYTES:,} bytes; no log is so long")
    with zipfile.ZipFile(path) as parts:
        if sum(part.file_size for part in parts.infolist()) > _MOST_UNFOLDED:
            raise _refuse(path, "unfolds to more than any log holds")


def sheet_text(path: Path) -> str:
    """Read the sheet "Log" of a workbook as the text of a CSV.

    Parameters
    ----------
    path : Path
        An XLSX file.

    Returns
    -------
    str
        One line a row; rows in which nothing but the number stands are empty lines, so that
        lines and rows count alike.

    Raises
    ------
    ScenarioError
        If it cannot be read, or has no such sheet.
    """
    # Only who keeps a log in a workbook waits for its reader.
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        _check_size(path)
        book = load_workbook(path, read_only=True, data_only=True)
        if LOG_SHEET not in book.sheetnames:
            raise _refuse(path, f'has no sheet "{LOG_SHEET}"')
        rows = book[LOG_SHEET].iter_rows(max_row=_MOST_ROWS, values_only=True)
        text = _text([[_cell(value) for value in row] for row in rows])
        book.close()
    except FileNotFoundError as error:
        raise _refuse(path, "there is no such log") from error
    except (OSError, ValueError, KeyError, zipfile.BadZipFile, InvalidFileException) as error:
        raise _refuse(path, f"is no workbook that can be read: {error}") from error
    return text


def _text(rows: list[list[str]]) -> str:
    """Write rows as lines; what stands right of the first empty head is no log."""
    heads = rows[0] if rows else []
    width = heads.index("") if "" in heads else len(heads)
    number = heads.index("id") if "id" in heads[:width] else None
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    for row in rows:
        cells = row[:width]
        if any(cell for k, cell in enumerate(cells) if k != number):
            writer.writerow(cells)
        else:
            stream.write("\n")
    return stream.getvalue()
