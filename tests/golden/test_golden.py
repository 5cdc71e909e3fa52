"""Whole documents of the demo farms: a change is seen, and must be meant."""

import importlib.util
import json
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
SCENARIOS = sorted((HERE.parents[1] / "scenarios").glob("*.toml"))
ADVICE = {
    "do not start",
    "start only if your time is free",
    "try small first",
    "start",
}


def _update() -> Any:
    spec = importlib.util.spec_from_file_location("golden_update", HERE / "update.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def flat(value: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from flat(inner, f"{place}.{key}")
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from flat(inner, f"{place}[{index}]")
    else:
        yield place, value


def alike(ours: Any, theirs: Any) -> bool:
    if isinstance(ours, float) and isinstance(theirs, float):
        return math.isclose(ours, theirs, rel_tol=1e-9, abs_tol=1e-9)
    return bool(ours == theirs)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_a_demo_farm_gives_its_golden_document_and_the_advice_its_comment_states(
    path: Path,
) -> None:
    golden = json.loads((HERE / f"{path.stem}.json").read_text(encoding="utf-8"))
    result = _update().result(path)

    stated = re.search(r"^# Advice it gets: (.+)$", path.read_text(encoding="utf-8"), re.M)
    assert stated is not None
    assert stated.group(1) == result["advice"]["key"]
    ours, theirs = dict(flat(result)), dict(flat(golden))
    assert ours.keys() == theirs.keys()
    assert [key for key in ours if not alike(ours[key], theirs[key])] == []


@pytest.mark.parametrize("name", _update().CHANCES)
def test_a_demo_farms_chances_are_the_golden_ones(name: str) -> None:
    golden = json.loads((HERE / "chances" / f"{name}.json").read_text(encoding="utf-8"))

    result = _update().found_chances(HERE.parents[1] / "scenarios" / f"{name}.toml")

    ours, theirs = dict(flat(result)), dict(flat(golden))
    assert ours.keys() == theirs.keys()
    assert [key for key in ours if not alike(ours[key], theirs[key])] == []


@pytest.mark.parametrize("path", sorted((HERE / "buying").glob("*.json")), ids=lambda p: p.stem)
def test_advice_on_buying_is_its_golden_document(path: Path) -> None:
    golden = json.loads(path.read_text(encoding="utf-8"))

    ours = dict(flat(_update().found_buying(SCENARIOS[0].parent / f"{path.stem}.toml")))

    theirs = dict(flat(golden))
    assert ours.keys() == theirs.keys()
    assert [key for key in ours if not alike(ours[key], theirs[key])] == []


def test_the_demo_farms_show_every_advice() -> None:
    stated = {
        line.removeprefix("# Advice it gets: ")
        for path in SCENARIOS
        for line in path.read_text(encoding="utf-8").splitlines()
        if line.startswith("# Advice it gets: ")
    }

    assert stated == ADVICE


def test_burning_only_ones_own_oil_beats_the_big_plan_on_one_demo_farm() -> None:
    small = json.loads((HERE / "stonebark-own-oil.json").read_text(encoding="utf-8"))
    big = json.loads((HERE / "stonebark-big.json").read_text(encoding="utf-8"))

    for ledger in ("time_free", "time_paid"):
        ours, theirs = (d["ledgers"][ledger]["npv"] for d in (small, big))
        assert ours > 0 > theirs
