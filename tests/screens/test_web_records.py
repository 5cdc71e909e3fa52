"""The page of running a farm: its log beside it, what it shows, and nothing outside the folder."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from dash.development.base_component import Component

from dashboards.theme import theme_of
from dashboards.web.app import create_app
from dashboards.web.documents import Folder, open_farm
from dashboards.web.downloads import KEY
from dashboards.web.draft import draft_of
from dashboards.web.log_folder import add_here, log_place, records_here
from dashboards.web.pages import records
from dashboards.web.results import results
from econ.answers.document import answer
from econ.answers.records import load_with_records
from econ.answers.turned import Results
from econ.farm.log import EVENT
from econ.ground.errors import RefusedError, ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
HOST = "127.0.0.1:8050"
LIGHT = theme_of("light")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    for name in ("tamsel-pumps.toml", "hollowmere.toml"):
        shutil.copy(SCENARIOS / name, tmp_path)
    return Folder(tmp_path)


def draft(folder: Folder, name: str = "tamsel-pumps.toml") -> dict[str, Any]:
    return draft_of(open_farm(folder, name), 1)


def words(part: Component | list[Any] | None) -> str:
    return json.dumps(part, default=lambda c: c.to_plotly_json(), ensure_ascii=False)


def test_a_farm_without_a_log_says_so_and_the_first_row_makes_it(folder: Folder) -> None:
    assert "There is no log yet" in words(records.body(folder, draft(folder), LIGHT))
    values = {
        "date": "2026-03-04",
        "what": "fetched",
        "which": "fleet yard next door",
        "volume": 93.5,
        "hours": 0.7,
    }
    assert add_here(folder, draft(folder), values).row.id == 1
    assert (folder.path / "tamsel-pumps-log.csv").is_file()
    result = records_here(folder, draft(folder))
    assert result is not None
    assert result.log.rows[0].volume == 93.5
    # The last one's name is filled in.
    assert "Fleet yard next door" in words(records.fields(folder, draft(folder), "fetched"))


def test_a_log_is_shown_beside_the_plan(folder: Folder) -> None:
    shutil.copy(SCENARIOS / "tamsel-pumps-log.csv", folder.path)
    text = words(records.body(folder, draft(folder), LIGHT))

    for told in (
        "24 gal unaccounted for since 28 Mar 2026",
        "Plan and what happened",
        "With your records in",
        "What the records say of each guess",
    ):
        assert told in text


@pytest.mark.parametrize("what", sorted(EVENT))
def test_every_event_has_its_fields(folder: Folder, what: str) -> None:
    shown = words(records.fields(folder, draft(folder), what))
    for column in ("date", "which", *EVENT[what].words):
        assert f'"path": "{column}"' in shown


def test_what_cannot_be_written_is_told_and_leaves_nothing(folder: Folder) -> None:
    with pytest.raises(ScenarioError, match="volume"):
        add_here(folder, draft(folder), {"date": "2026-03-04", "what": "fetched", "which": "x"})
    with pytest.raises(RefusedError):
        add_here(folder, draft(folder), {"date": ["2026"], "what": "fetched"})
    with pytest.raises(RefusedError):
        records.fields(folder, draft(folder), "nonsense")
    left = sorted(entry.name for entry in folder.path.iterdir())
    assert left == ["hollowmere.toml", "tamsel-pumps.toml"]


@pytest.mark.parametrize(
    "name",
    [
        "../log.csv",
        "/log.csv",
        "a\\b.csv",
        ".log.csv",
        "farm.toml",
        "log\n.csv",
        "x" * 300 + ".csv",
    ],
)
def test_a_log_outside_the_folder_is_refused(folder: Folder, name: str) -> None:
    made = draft(folder)
    made["document"] = {**made["document"], "records": {"log": name}}
    with pytest.raises(RefusedError):
        log_place(folder, made)
    assert "The log cannot be read" in words(records.body(folder, made, LIGHT))


def test_a_link_is_no_log(folder: Folder, tmp_path: Path) -> None:
    outside = tmp_path.parent / "outside.csv"
    outside.write_text("secret\n", encoding="utf-8")
    (folder.path / "tamsel-pumps-log.csv").symlink_to(outside)
    with pytest.raises(RefusedError, match="ordinary"):
        log_place(folder, draft(folder))


def test_the_mix_for_the_oil_at_hand_and_the_days_are_shown(folder: Folder) -> None:
    made = draft(folder, "hollowmere.toml")
    shown = words(records.hand(made, 34.0, 68.0))
    assert "34 cSt at 68 °F" in shown
    assert "less than planned" in shown
    assert "What the cup showed" in words(records.hand(made, None, True))
    assert "no share is given" in words(records.hand(made, 9000.0, 68.0))
    assert "on the pump fuel on hand alone 4." in words(records.reserve(made, LIGHT))
    assert records.reserve(draft(folder), LIGHT) is None


def test_cards_are_those_of_the_command(folder: Folder) -> None:
    app = create_app(folder.path)
    app.server.config["DRUMWORTH_HOSTS"] = (HOST,)
    client = app.server.test_client()
    page = client.get(f"/cards/hollowmere.toml?key={KEY}", headers={"Host": HOST})

    assert page.status_code == 200
    assert b"Mix: Standby generator" in page.data
    sheets = client.get(f"/cards-pdf/hollowmere.toml?key={KEY}", headers={"Host": HOST})
    assert sheets.mimetype == "application/pdf"
    assert sheets.data.startswith(b"%PDF-")
    assert client.get("/cards-pdf/hollowmere.toml", headers={"Host": HOST}).status_code == 403
    assert client.get(f"/cards/none.toml?key={KEY}", headers={"Host": HOST}).status_code == 404
    foreign = client.get(f"/cards/hollowmere.toml?key={KEY}", headers={"Host": "evil"})
    assert foreign.status_code == 403


def test_every_page_takes_the_log_that_the_farm_names(folder: Folder) -> None:
    shutil.copy(SCENARIOS / "tamsel-pumps-log.csv", folder.path / "made.csv")
    text = (folder.path / "tamsel-pumps.toml").read_text(encoding="utf-8")
    text += '\n[records]\nlog = "made.csv"\n'
    (folder.path / "logged.toml").write_text(text, encoding="utf-8")
    plain, logged = draft(folder), draft(folder, "logged.toml")

    def worth(made: dict[str, Any]) -> float:
        result = results(made, {})
        assert isinstance(result, Results)
        return float(result.document["ledgers"]["time_paid"]["equivalent_annual"])

    # Without a server there is no folder to read a log from.
    assert worth(logged) == pytest.approx(worth(plain), rel=1e-12)
    app = create_app(folder.path)
    with app.server.app_context():
        known = worth(logged)
        expected, _ = load_with_records(folder.path / "logged.toml")
        theirs = answer(expected).expected.ledgers["time_paid"].measures["equivalent_annual"]
        assert known == pytest.approx(float(theirs), rel=1e-12)
        assert known != worth(plain)
        add_here(
            folder, logged, {"date": "2026-10-03", "what": "cleaned", "volume": 200, "left": 120}
        )
        assert worth(logged) != known
        (folder.path / "made.csv").unlink()
        faults = results(logged, {})
        assert isinstance(faults, tuple)
        assert "there is no such log" in faults[0].message
