"""Every key that the commands print as JSON is declared, and every declared one is printed."""

import json
import shutil
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from plan_farms import choosing_farm

from dashboards.command import main
from econ.answers.cards_document import cards_document
from econ.answers.compare import compare_document
from econ.answers.comparison_document import oils_document, thinners_document
from econ.answers.decision import decide
from econ.answers.document import answer
from econ.answers.folder import folder_document
from econ.answers.outlook import outlook, outlook_json
from econ.answers.plan import which_plan_document
from econ.answers.result_keys import PRINTED, Printed, keys_of, rows_of
from econ.farm.files import from_document, load
from econ.ground.errors import ScenarioError

ROOT = Path(__file__).parents[2]
FARMS = sorted((ROOT / "scenarios").glob("*.toml"))
GOLDEN = sorted((ROOT / "tests" / "golden").glob("*.json"))


def paths(value: Any, path: str, declared: set[str]) -> Iterator[str]:
    """List the places of a document; names and keys of the farm are ``{}``."""
    if isinstance(value, list):
        for inner in value:
            yield from paths(inner, f"{path}[]", declared)
    elif isinstance(value, dict):
        named = any(place.startswith(f"{path}{{}}") for place in declared)
        keyed = not path or any(place.startswith(f"{path}.") for place in declared)
        for key, inner in value.items():
            place = f"{path}{{}}" if named else f"{path}.{key}".lstrip(".")
            if named or keyed:
                yield from () if named else (place,)
                yield from paths(inner, place, declared)


def declared(printed: Printed) -> set[str]:
    return {row.path for row in keys_of(printed)}


def _named(name: str) -> Path:
    return ROOT / "scenarios" / f"{name}.toml"


def _decisions() -> Iterator[Any]:
    for path in FARMS:
        yield json.loads(json.dumps(decide(load(path), draws=64).json()))


def _plans() -> Iterator[Any]:
    for name in ("hollowmere", "wrenfold", "tamsel-pumps"):
        yield which_plan_document(load(_named(name)), "time_paid")[0]
    document = {**load(_named("hollowmere")).merged, "limits": {"kit_to_buy": 10}}
    yield which_plan_document(from_document(document, "limited.toml"), "time_paid")[0]
    yield which_plan_document(from_document(choosing_farm(0), "small first.toml"), "time_paid")[0]


def _folder(folder: Path) -> Iterator[Any]:
    shutil.copy(_named("hollowmere"), folder)
    (folder / "torn.toml").write_text("[scenario", encoding="utf-8")
    yield folder_document(folder, lambda done, count: None)


MADE: dict[str, Callable[[], Iterator[Any]]] = {
    "decide FILE": _decisions,
    "chances FILE": lambda: (
        json.loads(json.dumps(outlook_json(outlook(load(_named(name)), draws=128))))
        for name in ("wrenfold", "stonebark-own-oil")
    ),
    "thinners FILE": lambda: (
        thinners_document(load(_named(name))) for name in ("wrenfold", "tamsel-pumps")
    ),
    "oils FILE": lambda: iter([oils_document(load(_named("wrenfold")))]),
    "plan FILE": _plans,
    "cards FILE": lambda: (cards_document(answer(load(path))) for path in FARMS[:4]),
    "compare FILE FILE": lambda: iter(
        [compare_document([load(_named("quillmere")), load(_named("quillmere-kerosene"))])]
    ),
}


@cache
def printed_paths(command: str) -> tuple[set[str], set[str]]:
    """Return the declared places of what a command prints, and those that occur."""
    row = next(row for row in PRINTED if row.command == command)
    known = declared(row)
    return known, {place for made in MADE[command]() for place in paths(made, "", known)}


@pytest.mark.parametrize("command", MADE)
def test_every_printed_key_is_declared_and_every_declared_key_printed(command: str) -> None:
    known, met = printed_paths(command)

    assert met - known == set()
    assert known - met == set()


def test_every_farm_of_a_folder_has_the_declared_keys(tmp_path: Path) -> None:
    row = next(row for row in PRINTED if row.command == "decide FOLDER")
    [made] = _folder(tmp_path)
    met = set(paths(made, "", declared(row)))

    assert met == declared(row)


@pytest.mark.parametrize("path", GOLDEN, ids=lambda path: path.stem)
def test_every_key_of_a_golden_document_is_declared(path: Path) -> None:
    row = next(row for row in PRINTED if row.command == "decide FILE")
    golden = json.loads(path.read_text(encoding="utf-8"))

    assert set(paths(golden, "", declared(row))) - declared(row) == set()


@pytest.mark.parametrize("printed", PRINTED, ids=lambda printed: printed.command)
def test_every_key_says_its_meaning_once(printed: Printed) -> None:
    rows = keys_of(printed)

    assert len({row.path for row in rows}) == len(rows)
    assert [row.path for row in rows if len(row.key.meaning) < 3] == []


def test_the_command_lists_keys_in_80_columns_and_as_json(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["keys", "oils", "--units", "metric", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["oils FILE"]
    assert {"key": "drum", "unit": "L", "meaning": "One drum"} in rows
    assert main(["keys"]) == 0
    said = capsys.readouterr().out
    assert max(len(line) for line in said.splitlines()) <= 80
    assert all(printed.command in said for printed in PRINTED)
    assert main(["keys", "oil"]) == 2
    assert "did you mean oils" in capsys.readouterr().err
    with pytest.raises(ScenarioError):
        rows_of("fields", "us")
