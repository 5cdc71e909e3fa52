"""The log on a sheet of the workbook: written with lists to choose from, and read back."""

import datetime
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from workbook.recalculated import recalculate

from dashboards.workbook.book import workbook
from econ.answers.document import answer
from econ.farm.files import load
from econ.farm.log import EVENTS
from econ.farm.log_reading import names_of, read_log
from econ.farm.log_writing import add_row
from econ.ground.errors import ScenarioError

FARM = Path(__file__).parents[2] / "scenarios" / "tamsel-pumps.toml"


@pytest.fixture(scope="module")
def made() -> bytes:
    return workbook(answer(load(FARM)))


def filled(tmp_path: Path, made: bytes, rows: list[dict[str, Any]]) -> Path:
    """Fill rows of the sheet as a person would, and save."""
    path = tmp_path / "farm.xlsx"
    path.write_bytes(made)
    book = openpyxl.load_workbook(path)
    sheet = book["Log"]
    heads = {str(cell.value).split(" [")[0]: cell.column for cell in sheet[1] if cell.value}
    for k, values in enumerate(rows, start=2):
        for key, value in values.items():
            sheet.cell(k, heads[key], value)
    book.save(path)
    return path


def test_an_empty_sheet_is_a_log_without_rows(tmp_path: Path, made: bytes) -> None:
    log = read_log(filled(tmp_path, made, []), load(FARM))

    assert log.rows == ()
    assert log.faults == ()


def test_what_is_written_on_the_sheet_is_read_back(tmp_path: Path, made: bytes) -> None:
    path = filled(tmp_path, made, [
        {"date": datetime.date(2026, 3, 2), "what": "fetched", "which": "Fleet yard next door",
         "volume": 55.5, "left": 2, "hours": 1.1, "note": "first, with a comma"},
        {"date": "2026-03-09", "what": "cleaned", "which": "batch 1", "volume": 50, "left": 46},
        {"date": "2026-03-09", "what": "burned", "which": "Boat", "volume": 50},
    ])  # fmt: skip
    log = read_log(path, load(FARM))

    assert [(row.id, row.volume, row.left) for row in log.rows] == [(1, 55.5, 2.0), (2, 50.0, 46.0)]
    assert log.rows[0].date == datetime.date(2026, 3, 2)
    assert log.rows[0].note == "first, with a comma"
    # Lines count as the sheet's rows do.
    assert [fault.where for fault in log.faults] == ["line 4, which"]


def test_the_sheet_offers_every_event_and_name(made: bytes, tmp_path: Path) -> None:
    sheet = openpyxl.load_workbook(filled(tmp_path, made, []))["Log"]
    rules = sheet.data_validations.dataValidation
    offered = {
        str(cell.value) for column in sheet.iter_cols(13, 13 + len(EVENTS)) for cell in column
    }

    assert len(rules) == 2
    assert {
        "fetched",
        "undone",
        "Fleet yard next door",
        "Lift pump, north",
        "raw",
        "Lift pump, north: Nozzle set",
        "Dyed diesel",
    } <= offered


def test_what_is_no_such_workbook_is_refused_in_words(tmp_path: Path) -> None:
    farm = load(FARM)
    path = tmp_path / "log.xlsx"
    with pytest.raises(ScenarioError, match="there is no such log"):
        read_log(path, farm)
    path.write_bytes(b"not a workbook")
    with pytest.raises(ScenarioError, match="no workbook that can be read"):
        read_log(path, farm)
    with zipfile.ZipFile(path, "w") as parts:
        parts.writestr("a.txt", "x")
    with pytest.raises(ScenarioError, match="no workbook that can be read"):
        read_log(path, farm)
    book = openpyxl.Workbook()
    book.save(path)
    with pytest.raises(ScenarioError, match='has no sheet "Log"'):
        read_log(path, farm)
    with pytest.raises(ScenarioError, match="is a workbook"):
        add_row(path, farm, {"date": "2026-03-04", "what": "tested", "which": "raw"})


def test_which_offers_what_the_event_of_its_row_names(tmp_path: Path, made: bytes) -> None:
    """A spreadsheet works the choice out; here a cell asks for the length and end of each list."""
    path, farm = tmp_path / "farm.xlsx", load(FARM)
    path.write_bytes(made)
    book = openpyxl.load_workbook(path)
    sheet = book["Log"]
    [choice] = [
        row for row in sheet.data_validations.dataValidation if "D2" in str(row.sqref).split(":")
    ]
    names = names_of(farm)
    wanted = {}
    for k, event in enumerate(EVENTS, start=2):
        sheet.cell(k, 3, event.key)
        source = choice.formula1.replace("$C2", f"$C{k}")
        sheet.cell(k, 40, f"=COUNTA({source})")
        sheet.cell(k, 41, f'=INDEX({source},1,1)&""')
        offered = names.named_by(event.key)
        wanted[k] = (len(offered), offered[0] if offered else "")
    book.save(tmp_path / "asked.xlsx")
    out = tmp_path / "out"
    out.mkdir()
    recalculate(tmp_path / "asked.xlsx", out)
    asked = openpyxl.load_workbook(out / "asked.xlsx", data_only=True)["Log"]

    for k, (count, first) in wanted.items():
        assert asked.cell(k, 40).value == count, EVENTS[k - 2].key
        assert (asked.cell(k, 41).value or "") == first, EVENTS[k - 2].key
