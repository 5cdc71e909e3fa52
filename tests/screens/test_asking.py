"""Twelve questions in the terminal, as typed by a reader."""

import io
from pathlib import Path

import pytest

from dashboards.command import main
from econ.farm.files import load


def typed(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{line}\n" for line in lines)))


def test_answers_become_a_farm_with_a_decision_after_each(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = tmp_path / "ours.toml"
    typed(
        monkeypatch,
        "", "",  # gallons, dollars
        "$4.10", "", "", "2",  # prices, from a bill
        "cheap", "2,000", "", "", "2",  # what was bought; the first cannot be read
        "", "", "4", "", "",  # main tractor, pickup, no third
        "", "9", "2", "30", "12", "", "", "", "", "", "", "", "25", "8",
    )  # fmt: skip

    assert main(["new", str(path), "--ask"]) == 0

    said = capsys.readouterr().out
    assert said.count("So far:") == 12
    assert "“cheap” is not a number; try again." in said
    assert "What to find out next:" in said
    result = load(path)
    assert result.prices.farm_diesel == 4.1
    assert [machine.name for machine in result.machines] == ["Main tractor", "Pickup"]
    assert result.scenario.sources["prices.farm_diesel"] == "bill"
    assert result.labour.wage == 25.0


def test_questions_that_end_early_write_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    typed(monkeypatch, "", "")

    assert main(["new", str(tmp_path / "ours.toml"), "--ask"]) == 1

    assert "nothing was written" in capsys.readouterr().out
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_not_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "ours.toml"
    path.write_text("# mine\n", encoding="utf-8")

    assert main(["new", str(path), "--ask"]) == 2
    assert path.read_text(encoding="utf-8") == "# mine\n"
