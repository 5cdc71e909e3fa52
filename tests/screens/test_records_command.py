"""`drumworth records`, and a log with any other command."""

import json
from pathlib import Path

import pytest
from cut import faults

from dashboards.command import main
from dashboards.terminal.records import render
from econ.answers.records import load_with_records
from econ.answers.records_document import records_document

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FARM, LOG = str(SCENARIOS / "tamsel-pumps.toml"), str(SCENARIOS / "tamsel-pumps-log.csv")


def test_records_are_shown_and_printed_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["records", FARM, LOG]) == 0
    text = capsys.readouterr().out
    for words in (
        "With your records in",
        "24 gal unaccounted for",
        "Plan and what happened",
        "What the records say of each guess",
    ):
        assert words in " ".join(text.split())
    assert main(["records", FARM, LOG, "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["rows"] > 100


def test_everything_is_listed_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["records", FARM, LOG, "--all"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "Month by month" in text
    assert "Prices beside the last bill" in text


def test_another_command_takes_a_log(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decide", FARM, "--json"]) == 0
    guessed = json.loads(capsys.readouterr().out)
    assert main(["decide", FARM, "--records", LOG, "--json"]) == 0
    known = json.loads(capsys.readouterr().out)
    assert known["fuel"] != guessed["fuel"]


def test_rows_that_cannot_be_read_are_told_by_any_command(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "log.csv"
    whole = (SCENARIOS / "tamsel-pumps-log.csv").read_text(encoding="utf-8")
    log.write_text(whole + "900,2026-01-01,nothing,,,,,,,,\n", encoding="utf-8")
    assert main(["oils", FARM, "--records", str(log), "--json"]) == 0
    assert "1 row cannot be read" in capsys.readouterr().err


def test_a_farm_without_a_log_is_refused_in_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["records", FARM]) == 2
    assert "names no log" in capsys.readouterr().err
    assert main(["decide", FARM, "--records", "nowhere.csv"]) == 2
    assert "there is no such log" in capsys.readouterr().err


def test_nothing_is_cut_on_any_terminal() -> None:
    _, records = load_with_records(FARM, Path(LOG))
    assert records is not None
    shown = records_document(records)

    for everything in (False, True):
        assert faults(render(shown, everything=everything)) == []
