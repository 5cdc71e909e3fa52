"""A farm file is read for ever: one of each format is kept, and newer ones are refused in words."""

import tomllib
from pathlib import Path

import pytest

from dashboards.command import main
from dashboards.web.documents import Folder, open_farm, save
from econ.farm.demos import demo_files
from econ.farm.files import FORMAT, from_document, load
from econ.ground.errors import ScenarioError

FORMATS = Path(__file__).parents[1] / "formats"
SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.mark.parametrize("number", range(1, FORMAT + 1))
def test_a_farm_of_every_format_is_read_and_worked(
    number: int, capsys: pytest.CaptureFixture[str]
) -> None:
    path = FORMATS / f"{number}.toml"
    assert f"\nformat = {number}\n" in path.read_text(encoding="utf-8")
    assert load(path).machines
    assert main(["decide", str(path)]) == 0
    assert capsys.readouterr().out


def test_a_file_without_the_line_is_of_the_first_format() -> None:
    whole = tomllib.loads((FORMATS / "1.toml").read_text(encoding="utf-8"))
    bare = {key: value for key, value in whole.items() if key != "format"}
    assert from_document(whole, "a.toml") == from_document(bare, "a.toml")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (f"format = {FORMAT + 1}", "a newer one wrote it"),
        ("format = 99", "is written in format 99"),
        ("format = 0", "allowed: a whole number from 1"),
        ("format = '1'", "allowed: a whole number from 1"),
        ("format = true", "allowed: a whole number from 1"),
    ],
)
@pytest.mark.parametrize("base", [False, True])
def test_a_newer_or_strange_format_is_refused_in_one_fault(
    tmp_path: Path, line: str, words: str, base: bool
) -> None:
    path = tmp_path / "farm.toml"
    path.write_text(f"{line}\nnew_table = 1\n", encoding="utf-8")
    if base:
        over = tmp_path / "over.toml"
        over.write_text('[scenario]\ntitle = "x"\nextends = "farm.toml"\n', encoding="utf-8")
        path = over
    with pytest.raises(ScenarioError, match=words) as refused:
        load(path)
    assert len(refused.value.problems) == 1


def test_the_line_stays_when_a_farm_is_saved(tmp_path: Path) -> None:
    path = tmp_path / "farm.toml"
    path.write_bytes((FORMATS / "1.toml").read_bytes())
    opened = open_farm(Folder(tmp_path), "farm.toml")
    assert "format" not in opened.document
    opened.document["labour"]["wage"] = 31
    save(Folder(tmp_path), "farm.toml", opened.stamp, opened.document)
    assert "\nformat = 1\n" in path.read_text(encoding="utf-8")
    assert load(path).labour.wage == 31


@pytest.mark.parametrize("name", sorted(path.stem for path in SCENARIOS.glob("*.toml")))
def test_every_demo_farm_can_be_copied_and_is_the_same_farm(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert name in demo_files()
    assert main(["new", str(tmp_path / "mine.toml"), "--from", name]) == 0
    assert load(tmp_path / "mine.toml").merged == load(SCENARIOS / f"{name}.toml").merged
    assert main(["new", str(tmp_path / "mine.toml"), "--from", name]) == 2
    assert "is there already" in capsys.readouterr().err


def test_a_demo_farm_that_is_none_is_refused_with_the_names(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["new", str(tmp_path / "a.toml"), "--from", "quilmere"]) == 2
    told = capsys.readouterr().err
    assert "did you mean quillmere?" in told
    assert "wrenfold" in told
    assert list(tmp_path.iterdir()) == []
