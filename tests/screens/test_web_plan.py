"""The page "Which plan": the answer's own words and figures, or the farm's faults."""

import copy
import json
import shutil
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from cut import drawn
from web_client import Client, callbacks, running

from dashboards.terminal.plan import render
from dashboards.web.app import create_app
from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import draft_of
from dashboards.web.last_few import Kept
from dashboards.web.pages import plan
from econ.answers.plan import WhichPlanDocument, which_plan_document
from econ.farm.files import load
from econ.farm.schema import Scenario

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    shutil.copy(SCENARIOS / "wrenfold.toml", tmp_path)
    return Folder(tmp_path)


@cache
def two_ways() -> WhichPlanDocument:
    """Find the best plan of the demo farm with a choice of ways."""
    return which_plan_document(load(SCENARIOS / "quillmere-two-ways.toml"))[0]


def silent(done: int, total: int) -> None:
    """Nobody watches."""


def words(parts: Any) -> str:
    return json.dumps(parts, default=lambda c: c.to_plotly_json(), ensure_ascii=False)


def test_the_page_says_what_the_answer_says(folder: Folder) -> None:
    draft = draft_of(open_farm(folder, "wrenfold.toml"), 1)
    text = words(plan.body(draft, "time_paid", silent))
    doc, _ = which_plan_document(load(folder.path / "wrenfold.toml"))

    for said in (doc["says"]["best"], doc["says"]["file"], doc["says"]["regret"]):
        assert json.dumps(said, ensure_ascii=False)[1:-1] in text
    for step in doc["stair"]:
        assert json.dumps(step["text"], ensure_ascii=False)[1:-1] in text


def test_a_farm_is_searched_once_by_each_way_of_counting_time(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = []

    def counted(scenario: Scenario, ledger: str, tell: Callable[[int, int], None]) -> Any:
        asked.append((scenario.labour.wage, ledger))
        return which_plan_document(scenario, ledger, tell)

    monkeypatch.setattr(plan, "which_plan_document", counted)
    monkeypatch.setattr(plan, "_ANSWERS", Kept(8))
    shutil.copy(SCENARIOS / "hollowmere.toml", folder.path)
    draft = draft_of(open_farm(folder, "hollowmere.toml"), 1)
    dearer = copy.deepcopy(draft)
    dearer["document"]["labour"]["wage"] = 99.0
    first = words(plan.body(draft, "time_paid", silent))
    other = words(plan.body(dearer, "time_paid", silent))
    plan.body(draft, "time_free", silent)

    assert words(plan.body(draft, "time_paid", silent)) == first != other
    assert len(asked) == len(set(map(str, asked))) == 3


def test_a_farm_with_faults_shows_them(folder: Folder) -> None:
    draft = draft_of(open_farm(folder, "wrenfold.toml"), 1)
    draft["document"]["finance"]["years"] = 0

    assert "years" in words(plan.body(draft, "time_paid", silent))


def test_the_page_is_among_the_others(folder: Folder) -> None:
    app = create_app(folder)

    assert any("plan-body" in key for key in app.callback_map)
    assert "Search for the best plan" in words(plan.layout(folder, {}))


def test_plans_next_to_the_best_say_how_they_differ(folder: Folder) -> None:
    doc = two_ways()
    best = doc["best"]

    for near in doc["near"]:
        gone = [name for name in best["oils"] if name not in near["oils"]]
        assert near["differs"]
        for name in gone:
            assert f"without {name}" in near["differs"]


def test_the_terminal_ends_on_the_gravest_cautions_and_names_the_rest() -> None:
    doc = two_ways()
    short, everything = drawn(render(doc), 80), drawn(render(doc, everything=True), 80)

    assert "Basis:" not in short
    assert f"All {len(doc['cautions'])} cautions" in short
    assert len(short.splitlines()) < 110
    assert everything.count("Basis:") == len(doc["cautions"])


def searched(client: Client, row: dict[str, Any], draft: dict[str, Any], page: str) -> int:
    """Ask for a search as one tab does; the status of its answer."""
    mine = Client(client.origin)
    mine.page = page
    return mine.call(row, {"plan-search.n_clicks": 1, "settled.data": {"draft": draft}})[0]


def test_a_newer_search_ends_the_older_of_its_own_page_alone(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    began, done, ended = threading.Semaphore(0), threading.Event(), []

    def endless(scenario: Any, ledger: str, tell: Callable[[int, int], None]) -> Any:
        began.release()
        try:
            while not done.wait(0.01):
                tell(1, 2)
        except BaseException as error:
            ended.append(type(error).__name__)
            raise
        return which_plan_document(scenario, ledger, tell)

    monkeypatch.setattr(plan, "which_plan_document", endless)
    monkeypatch.setattr(plan, "_ANSWERS", Kept(1))
    draft = draft_of(open_farm(folder, "wrenfold.toml"), 1)
    with running(folder.path) as client, ThreadPoolExecutor(3) as tabs:
        row = next(one for one in callbacks(client) if one["output"] == "plan-body.children")
        asked = []
        for page in ("one", "two", "one"):
            asked.append(tabs.submit(searched, client, row, draft, page))
            assert began.acquire(timeout=10)
        assert asked[0].result(timeout=10) == 204
        assert ended == ["OvertakenError"]
        assert not asked[1].done()
        done.set()
        assert [one.result(timeout=20) for one in asked] == [204, 200, 200]
