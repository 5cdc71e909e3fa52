"""The page "Which plan": the answer's own words and figures, or the farm's faults."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from cut import drawn

from dashboards.terminal.plan import render
from dashboards.web.app import create_app
from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import draft_of
from dashboards.web.pages import plan
from econ.answers.plan import which_plan_document
from econ.farm.files import load

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    shutil.copy(SCENARIOS / "wrenfold.toml", tmp_path)
    return Folder(tmp_path)


def words(parts: Any) -> str:
    return json.dumps(parts, default=lambda c: c.to_plotly_json(), ensure_ascii=False)


def test_the_page_says_what_the_answer_says(folder: Folder) -> None:
    draft = draft_of(open_farm(folder, "wrenfold.toml"), 1)
    text = words(plan.body(draft, "time_paid"))
    doc, _ = which_plan_document(load(folder.path / "wrenfold.toml"))

    for said in (doc["says"]["best"], doc["says"]["file"], doc["says"]["regret"]):
        assert json.dumps(said, ensure_ascii=False)[1:-1] in text
    for step in doc["stair"]:
        assert json.dumps(step["text"], ensure_ascii=False)[1:-1] in text


def test_a_farm_with_faults_shows_them(folder: Folder) -> None:
    draft = draft_of(open_farm(folder, "wrenfold.toml"), 1)
    draft["document"]["finance"]["years"] = 0

    assert "years" in words(plan.body(draft, "time_paid"))


def test_the_page_is_among_the_others(folder: Folder) -> None:
    app = create_app(folder)

    assert any("plan-body" in key for key in app.callback_map)
    assert "Search for the best plan" in words(plan.layout(folder, {}))


def test_plans_next_to_the_best_say_how_they_differ(folder: Folder) -> None:
    doc, _ = which_plan_document(load(SCENARIOS / "quillmere-two-ways.toml"))
    best = doc["best"]

    for near in doc["near"]:
        gone = [name for name in best["oils"] if name not in near["oils"]]
        assert near["differs"]
        for name in gone:
            assert f"without {name}" in near["differs"]


def test_the_terminal_ends_on_the_gravest_cautions_and_names_the_rest() -> None:
    doc, _ = which_plan_document(load(SCENARIOS / "quillmere-two-ways.toml"))
    short, everything = drawn(render(doc), 80), drawn(render(doc, everything=True), 80)

    assert "Basis:" not in short
    assert f"All {len(doc['cautions'])} cautions" in short
    assert len(short.splitlines()) < 110
    assert everything.count("Basis:") == len(doc["cautions"])
