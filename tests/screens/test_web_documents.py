"""Saving a farm: only what changed is written, comments and order stay, overrides stay small."""

import copy
import datetime
import json
import re
import shutil
import tomllib
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from stress.trials import _Within
from web_client import callbacks

from dashboards.web import ids
from dashboards.web.documents import (
    ChangedOnDiskError,
    Folder,
    begun_farm,
    new_farm,
    open_farm,
    save,
    save_as,
)
from dashboards.web.draft import draft_of
from dashboards.web.flat import markup
from dashboards.web.forms import Form, form_of
from dashboards.web.opening import _write
from dashboards.web.pages import questions
from econ.farm.editing import LISTS, changed, edited, place_of
from econ.farm.field_words import SECTIONS, WAY_QUESTIONS, way_fields
from econ.farm.files import load
from econ.farm.reading import number_of, text_of
from econ.farm.schema import TABLES
from econ.ground.errors import RefusedError, ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FARMS = sorted(path.name for path in SCENARIOS.glob("*.toml"))
REFUSED = {("remove", "thinners")}
TODAY = datetime.date(2026, 6, 15)


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    for path in SCENARIOS.glob("*.toml"):
        shutil.copy(path, tmp_path)
    return Folder(tmp_path)


def lines_changed(before: str, after: str) -> list[tuple[str, str]]:
    pairs = zip(before.splitlines(), after.splitlines(), strict=True)
    return [(a, b) for a, b in pairs if a != b]


@pytest.mark.parametrize("name", FARMS)
def test_saving_an_unchanged_farm_writes_the_same_bytes(folder: Folder, name: str) -> None:
    path = folder.path / name
    before = path.read_bytes()
    opened = open_farm(folder, name)
    assert opened.problems == ()
    save(folder, name, opened.stamp, opened.document)
    assert path.read_bytes() == before


def test_one_point_of_an_estimate_changes_one_line(folder: Folder) -> None:
    path = folder.path / "quillmere.toml"
    before = path.read_text(encoding="utf-8")
    opened = open_farm(folder, "quillmere.toml")
    document = edited(opened.document, {"prices.farm_diesel#likely": "4.25"})
    assert document is not None
    save(folder, "quillmere.toml", opened.stamp, document)
    after = path.read_text(encoding="utf-8")
    assert lines_changed(before, after) == [
        (
            "farm_diesel = { low = 3.00, likely = 4.10, high = 5.00 }",
            "farm_diesel = { low = 3.00, likely = 4.25, high = 5.00 }",
        )
    ]


def test_a_change_to_an_inherited_value_becomes_an_override(folder: Folder) -> None:
    name = "quillmere-kerosene.toml"
    base = (folder.path / "quillmere.toml").read_bytes()
    opened = open_farm(folder, name)
    values = {"labour.wage#likely": "31", "oils.3.reject_share#likely": "0.2"}
    document = edited(opened.document, values)
    assert document is not None
    save(folder, name, opened.stamp, document)
    assert (folder.path / "quillmere.toml").read_bytes() == base
    own = tomllib.loads((folder.path / name).read_text(encoding="utf-8"))
    assert own["labour"]["wage"]["likely"] == 31
    assert [row["name"] for row in own["oils"]] == ["Crossroads garage"]
    result = load(folder.path / name)
    assert len(result.oils) == len(load(folder.path / "quillmere.toml").oils)
    assert result.merged == {**load(folder.path / name).merged}


def test_an_inherited_entry_can_be_removed(folder: Folder) -> None:
    name = "quillmere-kerosene.toml"
    opened = open_farm(folder, name)
    document, _ = changed(copy.deepcopy(opened.document), "remove", "kit.1")
    save(folder, name, opened.stamp, document)
    own = tomllib.loads((folder.path / name).read_text(encoding="utf-8"))
    assert own["remove"]["kit"] == ["Small bowl centrifuge with stand and pump"]
    assert len(load(folder.path / name).kit) == len(opened.document["kit"]) - 1


def test_an_inherited_value_left_out_is_refused_with_words(folder: Folder) -> None:
    name = "quillmere-kerosene.toml"
    before = (folder.path / name).read_bytes()
    opened = open_farm(folder, name)
    document = copy.deepcopy(opened.document)
    del document["process"]["max_batches_per_month"]
    with pytest.raises(ScenarioError, match="cannot be written as an override"):
        save(folder, name, opened.stamp, document)
    assert (folder.path / name).read_bytes() == before


@pytest.mark.parametrize("what", ["copy", "remove"])
@pytest.mark.parametrize("table", sorted(LISTS))
def test_entries_come_and_go_and_the_file_reads_back(folder: Folder, table: str, what: str) -> None:
    name = "quillmere.toml"
    opened = open_farm(folder, name)
    if table not in opened.document:
        with pytest.raises(RefusedError):
            changed(opened.document, what, f"{table}.0")
        return
    document, entry = changed(opened.document, what, f"{table}.0")
    if (what, table) in REFUSED:
        # What others name is told in the model's own words.
        with pytest.raises(ScenarioError):
            save(folder, name, opened.stamp, document)
        return
    save(folder, name, opened.stamp, document)
    again = open_farm(folder, name)
    assert again.problems == ()
    assert len(again.document.get(table, [])) == len(document[table])
    assert entry >= 0


def test_wear_rows_are_written_inside_their_machine(folder: Folder) -> None:
    name = "quillmere.toml"
    opened = open_farm(folder, name)
    document = edited(opened.document, {"machines.1.wear.2.cost#likely": "33"})
    assert document is not None
    document, _ = changed(document, "remove", "machines.0.wear.1")
    document, _ = changed(document, "copy", "machines.0.wear.0")
    save(folder, name, opened.stamp, document)
    machines = load(folder.path / name).machines
    assert machines[1].wear[2].cost == 33.0
    assert [row.part for row in machines[0].wear][-1].endswith("(copy)")


def test_a_file_changed_since_is_told_and_then_merged(folder: Folder) -> None:
    path = folder.path / "wrenfold.toml"
    opened = open_farm(folder, "wrenfold.toml")
    path.write_text("# from another hand\n" + path.read_text(encoding="utf-8"), encoding="utf-8")
    document = edited(opened.document, {"labour.wage#likely": "24"})
    assert document is not None
    with pytest.raises(ChangedOnDiskError):
        save(folder, "wrenfold.toml", opened.stamp, document)
    save(folder, "wrenfold.toml", opened.stamp, document, over=True)
    assert path.read_text(encoding="utf-8").startswith("# from another hand\n")


def test_save_as_keeps_comments_and_never_writes_over(folder: Folder) -> None:
    opened = open_farm(folder, "wrenfold.toml")
    save_as(folder, "copy.toml", "wrenfold.toml", {}, opened.document)
    assert (folder.path / "copy.toml").read_bytes() == (folder.path / "wrenfold.toml").read_bytes()
    with pytest.raises(ScenarioError, match="is there already"):
        save_as(folder, "copy.toml", "wrenfold.toml", {}, opened.document)


@pytest.mark.parametrize(("units", "currency"), [("us", "USD"), ("metric", "AUD")])
def test_a_starter_farm_is_saved_with_its_hints(folder: Folder, units: str, currency: str) -> None:
    opened = new_farm(units, currency, TODAY)
    document = edited(opened.document, {"scenario.title": "Ours"})
    assert document is not None
    save_as(folder, "ours.toml", None, opened.origin, document)
    text = (folder.path / "ours.toml").read_text(encoding="utf-8")
    assert "# Commonly" in text
    assert load(folder.path / "ours.toml").scenario.title == "Ours"


def shown_paths(part: Any) -> list[str]:
    """Return the paths of all inputs in a form."""
    if isinstance(part, list | tuple):
        return [path for item in part for path in shown_paths(item)]
    ident = getattr(part, "id", None)
    result = [ident["path"]] if isinstance(ident, dict) and ident.get("type") == "v" else []
    return result + shown_paths(getattr(part, "children", None) or [])


def values_in(part: Any) -> dict[str, str]:
    if isinstance(part, list | tuple):
        return {k: v for item in part for k, v in values_in(item).items()}
    ident = getattr(part, "id", None)
    result = {}
    if isinstance(ident, dict) and ident.get("type") == "v":
        result = {ident["path"]: part.value}
    return result | values_in(getattr(part, "children", None) or [])


@pytest.mark.parametrize("name", FARMS)
def test_every_field_has_an_input_and_showing_it_changes_nothing(folder: Folder, name: str) -> None:
    opened = open_farm(folder, name)
    form = Form(opened.document, opened.base)
    models = {table: model for table, model, _ in TABLES}
    for section in SECTIONS:
        rows = opened.document.get(section)
        count = len(rows) if section in LISTS and isinstance(rows, list) else 1
        for entry in range(count):
            made = form_of(form, section, entry)
            fields = {place_of(p).field for p in shown_paths(made) if "#way." not in p}
            wanted = set(models[section].model_fields) - {"extends", "sources", "wear", "units"}
            # Of the ways of giving one thing the form asks for the one taken.
            for choice in (c for c in WAY_QUESTIONS if c.split(".")[0] == section):
                wanted -= frozenset().union(*way_fields(choice))
            if section not in LISTS or isinstance(rows, list):
                assert wanted <= fields, section
            assert edited(opened.document, values_in(made)) is None, (section, entry)


def test_the_boxes_of_one_farm_never_write_into_another(folder: Folder) -> None:
    """Undo right after opening: the boxes on the page are still those of the other farm."""
    client = _Within(folder.path)
    [row] = [row for row in callbacks(client) if '"v"' in str(row["inputs"][0]["id"])]
    draft = json.loads(json.dumps(draft_of(open_farm(folder, "wrenfold.toml"), 1), default=str))

    def typed(line: str) -> tuple[int, bytes]:
        boxes = {"labour.wage#likely": "22.5", "#line": line}
        idents = [{"path": path, "type": "v"} for path in boxes]
        values = {
            f"{row['inputs'][0]['id']}.value": [
                {"id": ident, "property": "value", "value": boxes[ident["path"]]}
                for ident in idents
            ],
            f"{row['state'][0]['id']}.id": [
                {"id": ident, "property": "id", "value": ident} for ident in idents
            ],
            "draft.data": draft,
        }
        return client.call(row, values, f"{json.dumps(idents[0], separators=(',', ':'))}.value")

    status, text = typed("1")
    assert status == 200
    assert b"22.5" in text
    _, text = typed("2")
    assert json.loads(text)["response"] == {}


@pytest.mark.parametrize(
    ("typed", "value"),
    [("3", 3), ("3.", 3.0), (" 1,500 ", 1500), ("1e3", 1000), ("-.5", -0.5), ("3,5", 3.5),
     ("4,10", 4.1), ("0,500", 0.5), ("1_000", "1_000"),
     ("nan", "nan"), ("inf", "inf"), ("0x10", "0x10"), ("٣", "٣")],
)  # fmt: skip
def test_numbers_are_read_as_people_type_them(typed: str, value: object) -> None:
    assert number_of(typed) == value
    assert type(number_of(typed)) is type(value) or value == 1000


def test_values_are_written_so_that_they_read_back() -> None:
    for value in (0.1, 1e-7, 123456789.25, 3, 0.30000000000000004):
        assert float(text_of(value)) == value


def test_an_example_with_other_numbers_becomes_the_readers_own(folder: Folder) -> None:
    opened = open_farm(folder, "wrenfold.toml")
    assert opened.document["scenario"]["example"] is True
    document = edited(opened.document, {"labour.wage#likely": "19"})
    assert document is not None
    draft = {**draft_of(opened, 1), "document": document}

    made, _ = _write(folder, draft, ids.SAVE_AS, "ours")
    copied, _ = _write(folder, draft_of(opened, 1), ids.SAVE_AS, "copy")

    assert load(folder.path / "ours.toml").scenario.example is False
    assert made["document"]["scenario"]["example"] is False
    assert load(folder.path / "copy.toml").scenario.example is True
    assert copied["name"] == "copy.toml"


def buttons_in(part: Any) -> set[str]:
    return {unescape(text) for text in re.findall("<button[^>]*>([^<]*)<", markup(part))}


def test_a_field_of_names_offers_the_names_that_it_may_hold(folder: Folder) -> None:
    opened = open_farm(folder, "quillmere.toml")
    made = form_of(Form(opened.document, opened.base), "kit", 0)

    assert {oil["name"] for oil in opened.document["oils"]} <= buttons_in(made)


def test_an_answer_makes_the_farm_anew_and_boxes_say_what_cannot_be_read() -> None:
    draft = draft_of(begun_farm(TODAY), 1)

    made, said = questions.answered(draft, {"wage": "90", "own": "dear", "units": ""}) or ({}, {})
    assert made["document"]["labour"]["wage"] == 90
    assert made["origin"] == {"answers": {"wage": "90", "own": "dear"}, "day": "2026-06-15"}
    assert list(said["faults"]) == ["own"]
    assert said["unit"]["wage"] == "$/h"
    assert questions.answered(made, {"wage": "90", "own": "dear"}) is None


def test_boxes_that_go_with_their_farm_answer_nothing_for_the_next(folder: Folder) -> None:
    draft = draft_of(open_farm(folder, "wrenfold.toml"), 1)

    assert questions.answered(draft, {}) is None


@pytest.mark.parametrize(
    "origin",
    [
        {"answers": {"nowhere": "1"}, "day": "2026-06-15"},
        {"answers": {"wage": 90}, "day": "2026-06-15"},
        {"answers": {"units": "stones"}, "day": "2026-06-15"},
        {"answers": None, "day": "2026-06-15"},
        {"answers": {}, "day": "someday"},
    ],
)
def test_answers_that_no_page_of_ours_sends_are_refused(origin: dict[str, Any]) -> None:
    draft = {**draft_of(begun_farm(TODAY), 1), "origin": origin}

    with pytest.raises(RefusedError):
        questions.questions(draft)
