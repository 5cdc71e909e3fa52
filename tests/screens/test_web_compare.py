"""The page "Side by side": the comparison's own words and figures, or why there is none."""

import json
import os
import shutil
from pathlib import Path
from typing import Any

import pytest
from cut import drawn

from dashboards.terminal.compare import render as terminal
from dashboards.web.app import create_app
from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import draft_of
from dashboards.web.pages import compare
from econ.answers.compare import compare_document
from econ.answers.rows import CLOSING_SHORT
from econ.farm.files import load
from econ.ground.written import Numbers

SCENARIOS = Path(__file__).parents[2] / "scenarios"
BIG, SMALL, METRIC = "stonebark-big.toml", "stonebark-own-oil.toml", "kurrabee-downs.toml"


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    for name in (BIG, SMALL, METRIC):
        shutil.copy(SCENARIOS / name, tmp_path)
    return Folder(tmp_path)


def words(parts: Any) -> str:
    return json.dumps(parts, default=lambda c: c.to_plotly_json(), ensure_ascii=False)


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)[1:-1]


def test_the_page_says_what_the_comparison_says(folder: Folder) -> None:
    shown = words(compare.body(folder, draft_of(open_farm(folder, BIG), 1), [SMALL]))
    doc = compare_document([load(folder.path / BIG), load(folder.path / SMALL)])
    write = Numbers(doc["units"], doc["currency"])
    beside = doc["beside"][0]

    for text in (*beside["says"], doc["note"], *(row["place"] for row in beside["changed"])):
        assert quoted(text) in shown
    for row in beside["budget"]["rows"]:
        assert quoted(row["label"]) in shown
        assert write.money(row["amount"]) in shown
    for figure in doc["figures"]:
        for value in figure["values"]:
            if figure["main"]:
                assert quoted(write.of(figure["dimension"], value)) in shown
    assert len(doc["grave"]) > 3
    for row in doc["cautions"]:
        assert quoted(row["text"]) in shown
        assert quoted(row["basis"]) in shown


def test_edits_that_are_not_saved_count(folder: Folder) -> None:
    draft = draft_of(open_farm(folder, SMALL), 1)
    draft["document"]["labour"]["wage"] = 91.5
    shown = words(compare.body(folder, draft, [SMALL]))

    assert "91.5" in shown
    assert "stonebark-own-oil (2), set against stonebark-own-oil" in shown


def test_plans_in_other_money_are_refused_in_words(folder: Folder) -> None:
    shown = words(compare.body(folder, draft_of(open_farm(folder, BIG), 1), [METRIC]))

    assert "AUD" in shown
    assert "alert" in shown
    assert "All plans" not in shown


def test_a_plan_with_faults_is_named(folder: Folder) -> None:
    (folder.path / "broken.toml").write_text("[scenario]\ntitle = 3\n", encoding="utf-8")
    shown = words(compare.body(folder, draft_of(open_farm(folder, BIG), 1), ["broken.toml"]))

    assert "broken.toml" in shown


def test_the_page_offers_every_farm_of_the_folder(folder: Folder) -> None:
    app = create_app(folder)
    shown = words(compare.layout(folder, {}))

    assert any("compare-body" in key for key in app.callback_map)
    for name in (BIG, SMALL, METRIC):
        assert name in shown


@pytest.mark.skipif(os.name != "posix", reason="links to nothing are made there alone")
def test_the_page_names_the_files_that_it_does_not_offer(folder: Folder) -> None:
    assert "not offered" not in words(compare.layout(folder, {}))
    (folder.path / "gone.toml").symlink_to("nowhere.toml")

    assert "gone.toml: it is a link to nothing" in words(compare.layout(folder, {}))


def test_the_terminal_has_the_same_cautions(folder: Folder) -> None:
    doc = compare_document([load(folder.path / BIG), load(folder.path / SMALL)], draws=64)
    text = drawn(terminal(doc), 400)

    assert any(row["of"] for row in doc["grave"])
    for row in doc["grave"]:
        whose = f" ({row['of']})" if row["of"] else ""
        assert row["short"] + whose in text
    assert CLOSING_SHORT in text
