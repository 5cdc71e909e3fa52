"""Files that are presented: whole or not at all, the same bytes for the same farm, never run."""

import argparse
import io
import os
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from openpyxl import load_workbook
from presenting import HOSTILE, both, demo, hostile, worked

from dashboards.commands import present as command
from dashboards.csv_tables import csv_tables, harmless, long_csv
from dashboards.output import OutputError, write_all
from dashboards.page import pdf as printing
from dashboards.workbook.book import workbook
from econ.answers.decision import Decision, decide
from econ.answers.document import to_json
from econ.answers.tables import TABLES, tables
from econ.farm import writing
from econ.farm.files import load
from econ.farm.schema import Scenario
from econ.ground.errors import DrumworthError


def _run(*words: str) -> int:
    parser = argparse.ArgumentParser()
    command.add(parser.add_subparsers())
    arguments = parser.parse_args(["present", *words])
    return int(arguments.run(arguments))


FARM = "scenarios/wrenfold.toml"
_DECIDED: dict[Path, Decision] = {}


@pytest.fixture(autouse=True)
def _decided_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the command write a farm to many places, and work it through once."""

    def remembered(scenario: Scenario, **words: Any) -> Decision:
        if scenario.path not in _DECIDED:
            _DECIDED[scenario.path] = decide(scenario, **words)
        return _DECIDED[scenario.path]

    monkeypatch.setattr("econ.answers.decision.decide", remembered)


def test_each_ending_gives_its_rendering(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    starts = {".html": b"<!DOCTYPE html>", ".xlsx": b"PK", ".csv": b"table,row,figure,value"}
    for suffix, start in starts.items():
        place = tmp_path / f"farm{suffix}"
        assert _run(FARM, "--to", str(place)) == 0
        assert place.read_bytes().startswith(start)
        assert str(place) in capsys.readouterr().out


def test_a_folder_gets_the_whole_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(printing, "pdf", lambda html: b"%PDF " + html[:9].encode())

    assert _run(FARM, "--to", str(tmp_path)) == 0

    names = {path.name for path in tmp_path.iterdir()}
    assert {"wrenfold.html", "wrenfold.pdf", "wrenfold.xlsx"} <= names
    assert {f"wrenfold-{table.key}.csv" for table in TABLES} <= names


def test_a_file_that_is_there_stays_without_force(tmp_path: Path) -> None:
    place = tmp_path / "farm.html"
    place.write_text("mine", encoding="utf-8")

    with pytest.raises(OutputError, match="is there already"):
        _run(FARM, "--to", str(place))
    assert place.read_text(encoding="utf-8") == "mine"

    assert _run(FARM, "--to", str(place), "--force") == 0
    assert place.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_one_file_in_the_way_keeps_the_whole_set_from_being_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(printing, "pdf", lambda html: b"%PDF " + html[:9].encode())
    (tmp_path / "wrenfold-months.csv").write_text("mine", encoding="utf-8")

    with pytest.raises(OutputError, match=r"wrenfold-months\.csv: is there already"):
        _run(FARM, "--to", str(tmp_path))
    assert [path.name for path in tmp_path.iterdir()] == ["wrenfold-months.csv"]


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("farm.doc", r"ends in \.doc"),
        ("nowhere", "no such folder"),
        ("nowhere/farm.html", "No such file or directory"),
    ],
)
def test_a_place_that_cannot_be_is_told(tmp_path: Path, place: str, words: str) -> None:
    with pytest.raises(OutputError, match=words):
        _run(FARM, "--to", str(tmp_path / place))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_leave_is_told(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(OutputError, match="Permission denied"):
        _run(FARM, "--to", str(tmp_path / "farm.html"))
    tmp_path.chmod(0o700)


def test_a_place_under_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")

    with pytest.raises(DrumworthError, match="cannot be written: Not a directory"):
        _run(FARM, "--to", str(tmp_path / "file" / "farm.html"))


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """Return a disk of 64 kB, where one may be mounted."""
    done = subprocess.run(  # noqa: S603
        ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(tmp_path)],  # noqa: S607
        capture_output=True,
        check=False,
    )
    if done.returncode:
        pytest.skip("no leave to mount a small disk")
    yield tmp_path
    subprocess.run(["umount", str(tmp_path)], check=True)  # noqa: S603, S607


def test_a_full_disk_leaves_what_was_there(small_disk: Path) -> None:
    place = small_disk / "farm.xlsx"
    place.write_text("mine", encoding="utf-8")

    with pytest.raises(OutputError, match="cannot be written: No space left"):
        _run(FARM, "--to", str(place), "--force")
    assert [path.name for path in small_disk.iterdir()] == ["farm.xlsx"]
    assert place.read_text(encoding="utf-8") == "mine"


def test_a_disk_that_fills_while_writing_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    kept = tmp_path / "a.csv"
    kept.write_text("mine", encoding="utf-8")
    monkeypatch.setattr(writing.os, "fsync", full)

    with pytest.raises(OutputError, match="No space left on device"):
        write_all({kept: b"new", tmp_path / "b.csv": b"new"})
    assert [path.name for path in tmp_path.iterdir()] == ["a.csv"]
    assert kept.read_text(encoding="utf-8") == "mine"


def test_a_missing_browser_is_told_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))

    with pytest.raises(OutputError, match="apt install chromium"):
        _run(FARM, "--to", str(tmp_path / "farm.pdf"))
    assert list(tmp_path.iterdir()) == []


def test_the_same_farm_gives_the_same_bytes() -> None:
    scenario = load(FARM)
    (one, one_chances), (two, two_chances) = both(worked(scenario)), both(worked(scenario))

    assert workbook(one) == workbook(two)
    assert long_csv(one, one_chances) == long_csv(two, two_chances)
    assert csv_tables(one, one_chances) == csv_tables(two, two_chances)


def test_no_clock_goes_into_the_workbook() -> None:
    result, _ = both(demo("wrenfold"))
    with zipfile.ZipFile(io.BytesIO(workbook(result))) as book:
        properties = book.read("docProps/core.xml").decode()
        dates = {info.date_time for info in book.infolist()}

    assert properties.count("2026-06-15T00:00:00Z") == 2  # priced_on of the file
    assert len(dates) == 1


@pytest.mark.parametrize("texts", HOSTILE, ids=["mixed", "wide", "emoji"])
def test_hostile_names_are_text_in_the_workbook(texts: tuple[str, ...]) -> None:
    result, _ = both(worked(hostile(load(FARM), texts)))
    book = load_workbook(io.BytesIO(workbook(result)))

    names = {name[:32_000] for name in (m.name for m in result.likely.inputs.machines)}
    cells = [cell for row in book["Year"].iter_rows() for cell in row if cell.value in names]
    assert {cell.value for cell in cells} == names
    assert {cell.data_type for cell in cells} == {"s"}
    formulas = [
        str(cell.value)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]
    assert len(formulas) > 1_000
    assert [f for f in formulas if "HYPERLINK" in f or "calc" in f or "invalid" in f] == []


@pytest.mark.parametrize("texts", HOSTILE, ids=["mixed", "wide", "emoji"])
def test_no_csv_cell_starts_a_formula(texts: tuple[str, ...]) -> None:
    result, chances = both(worked(hostile(load(FARM), texts)))
    parts = [*csv_tables(result, chances).values(), long_csv(result, chances)]

    for text in parts:
        cells = pd.read_csv(io.StringIO(text)).select_dtypes(exclude="number")
        for cell in cells.to_numpy().ravel():
            assert not str(cell).startswith(("=", "+", "-", "@", "\t"))


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@x", "\tx", "\rx"])
def test_text_that_would_run_gets_an_apostrophe(text: str) -> None:
    assert harmless(text) == f"'{text}"


def test_numbers_and_plain_text_stay() -> None:
    assert harmless(-1.5) == -1.5
    assert harmless("Tractor") == "Tractor"


def test_tables_read_straight_back_with_their_types() -> None:
    result, chances = both(demo("wrenfold"))
    frames = tables(result, chances)
    texts = csv_tables(result, chances)

    assert set(texts) == set(frames) == {table.key for table in TABLES}
    for key, text in texts.items():
        back = pd.read_csv(io.StringIO(text))
        assert list(back.columns) == list(frames[key].columns)
        for column in frames[key].select_dtypes(include="number"):
            ours, theirs = frames[key][column].to_numpy(), back[column].to_numpy()
            assert np.array_equal(ours, theirs, equal_nan=True), (key, column)


def test_tables_hold_the_figures_of_the_document() -> None:
    result, chances = both(demo("quillmere"))
    frames, doc = tables(result, chances), to_json(result)

    costs = frames["costs"].set_index("line")["typical [$/year]"]
    assert dict(costs) == doc["costs"]
    months = frames["months"].query("year == 'typical'")
    assert list(months["oil_used [gal]"]) == [month["oil_used"] for month in doc["months"]]
    for kind, ledger in doc["ledgers"].items():
        years = frames["years"].query(f"ledger == '{kind}'")
        assert list(years["flow [$]"]) == ledger["flows"]
    figures = frames["figures"].set_index(["group", "figure"])["expected"]
    assert figures["time_free", "npv"] == doc["ledgers"]["time_free"]["npv"]
    used = frames["thinners"]["used [gal]"].sum()
    assert used == pytest.approx(doc["fuel"]["thinner"])
    assert set(frames["chances"]["figure"]) >= set(chances["spreads"])


def test_every_quantity_has_its_unit_in_the_head() -> None:
    result, chances = both(demo("kurrabee-downs"))

    for table in TABLES:
        heads = tables(result, chances)[table.key].columns
        for column, head in zip(table.columns, heads, strict=True):
            assert head.startswith(column.key)
            assert head.endswith("]") == (column.dimension not in ("text", "whole", "bare"))
    assert "blend [L]" in tables(result)["months"].columns


def test_without_draws_there_is_no_table_of_chances() -> None:
    result, _ = both(demo("wrenfold"))

    assert "chances" not in csv_tables(result)
