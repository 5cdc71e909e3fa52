"""A folder of farms: each decided as alone, faults named, the rest still decided."""

import json
import shutil
from pathlib import Path

import pytest

from dashboards.command import main
from econ.answers.document import answer
from econ.answers.folder import folder_document
from econ.farm.files import load
from econ.ground.errors import ScenarioError
from econ.questions.chances import chances

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("wrenfold", "stonebark-own-oil"):
        shutil.copy(SCENARIOS / f"{name}.toml", tmp_path)
    (tmp_path / "broken.toml").write_text("[scenario]\ntitle = 3\n", encoding="utf-8")
    (tmp_path / "notes.txt").write_text("no farm", encoding="utf-8")
    return tmp_path


def test_each_farm_is_decided_as_alone_and_faults_are_named(folder: Path) -> None:
    document = folder_document(folder)
    rows = {row["file"]: row for row in document["farms"]}

    assert list(rows) == ["broken.toml", "stonebark-own-oil.toml", "wrenfold.toml"]
    assert document["refused"] == 1
    assert any("title" in fault for fault in rows["broken.toml"]["faults"])
    assert rows["broken.toml"]["advice"] is None
    scenario = load(folder / "wrenfold.toml")
    drawn = chances(scenario)
    alone = answer(scenario, drawn.odds)
    assert rows["wrenfold.toml"]["ahead_time_paid"] == drawn.ahead["time_paid"]
    assert rows["wrenfold.toml"]["ahead_time_free"] == drawn.ahead["time_free"]
    assert rows["wrenfold.toml"]["advice"] == alone.advice.key
    worth = float(alone.expected.ledgers["time_paid"].measures["equivalent_annual"])
    assert rows["wrenfold.toml"]["worth_time_paid"] == worth


def test_workers_change_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("econ.answers.folder._WORKER_FARMS", 2)

    assert folder_document(folder, workers=2) == folder_document(folder, workers=1)


def test_the_exit_status_says_that_a_farm_was_refused(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["decide", str(folder), "--json"]) == 2
    assert len(json.loads(capsys.readouterr().out)["farms"]) == 3
    (folder / "broken.toml").unlink()
    assert main(["decide", str(folder), "--csv"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 3
    assert lines[0].startswith("file,title,units,currency,advice,")
    assert main(["decide", str(folder)]) == 0


def test_one_farm_is_no_table(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decide", str(folder / "wrenfold.toml"), "--csv"]) == 2
    assert "name a folder" in capsys.readouterr().err


def test_a_folder_without_farms_is_told(tmp_path: Path) -> None:
    with pytest.raises(ScenarioError, match="no farm file"):
        folder_document(tmp_path)
