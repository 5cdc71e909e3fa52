"""The pages in a real browser, as a farmer uses them."""

import json
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, screen_of

from dashboards.figures.numbers import ScreenNumbers
from econ.answers.document import answer, to_json
from econ.farm.files import load
from econ.questions.chances import chances

pytestmark = pytest.mark.browser

PATHS = ("", "thinners", "present", "farm")
FARMS = sorted(path.name for path in SCENARIOS.glob("*.toml"))


def field(path: str) -> str:
    """Give the selector of a form's input."""
    return f'[id=\'{{"path":"{path}","type":"v"}}\']'


def document_of(path: Path) -> dict[str, Any]:
    scenario = load(path)
    return to_json(answer(scenario, chances(scenario).odds))


@pytest.mark.parametrize("name", FARMS)
def test_every_demo_farm_shows_the_numbers_of_its_json(screen: Screen, name: str) -> None:
    doc = document_of(SCENARIOS / name)
    show = ScreenNumbers(doc["units"], doc["currency"])
    screen.open(f"?farm={name}")
    screen.becomes("#headline", doc["title"])
    screen.becomes("#decide-top", show.money(doc["savings"]["after_labour"]))
    screen.becomes("#verdict", doc["advice"]["reasons"][0])
    texts = screen.page.inner_text("main")
    for value in (
        *doc["advice"]["reasons"],
        show.money(doc["savings"]["after_kit"]),
        show.hours(doc["fuel"]["own_hours"]),
        show.years(doc["ledgers"]["time_free"]["simple_payback"]),
        show.money(doc["ledgers"]["time_paid"]["npv"]),
        *(show.price(price) for price in doc["rungs"]["per_replaced"].values()),
        *(machine["name"] for machine in doc["machines"]),
        *(show.money(machine["saving"]) for machine in doc["machines"]),
    ):
        assert value in texts, (name, value)
    assert doc["advice"]["key"].lower() in screen.text("#head-verdict").lower()


def test_edit_break_mend_save_and_reopen_keep_comments(screen: Screen) -> None:
    folder = screen.served.folder
    shutil.copy(SCENARIOS / "wrenfold.toml", folder / "edited.toml")
    before = (folder / "edited.toml").read_text(encoding="utf-8")
    screen.open("farm")
    screen.page.reload()
    screen.page.wait_for_selector("#file-choice option[value='edited.toml']", state="attached")
    screen.choose_farm("edited.toml")
    screen.page.click("#section-buttons >> text=Your time")
    wage = field("labour.wage#likely")
    screen.page.wait_for_selector(wage)
    value = screen.page.input_value(wage)
    screen.page.fill(wage, "27.5")
    screen.becomes("#unsaved", "changes not saved")
    screen.page.fill(wage, "dear")
    screen.becomes("#faults", "Your time: Wage")
    screen.becomes("[data-path='labour.wage'] [data-point='likely'] .message", "is not a number")
    assert screen.page.get_attribute(wage, "aria-invalid") == "true"
    screen.page.click("#save")
    screen.becomes("#said", "Not saved")
    assert (folder / "edited.toml").read_text(encoding="utf-8") == before
    screen.page.click("#undo")
    screen.becomes("#form", "Wage")
    screen.until(f"document.querySelector({json.dumps(wage)}).value !== 'dear'")
    screen.page.fill(wage, "27.5")
    screen.becomes("#unsaved", "changes not saved")
    screen.page.click("#save")
    screen.becomes("#said", "Saved in edited.toml")
    after = (folder / "edited.toml").read_text(encoding="utf-8")
    assert after != before
    assert value != "27.5"
    changed = [
        (a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b
    ]
    assert len(changed) == 1
    assert "27.5" in changed[0][1]
    screen.open("farm")
    screen.choose_farm("edited.toml")
    screen.page.click("#section-buttons >> text=Your time")
    screen.page.wait_for_selector(wage)
    assert screen.page.input_value(wage) == "27.5"


def test_a_file_changed_on_disk_is_not_written_over(screen: Screen) -> None:
    path = screen.served.folder / "shared.toml"
    shutil.copy(SCENARIOS / "stonebark-own-oil.toml", path)
    screen.open("farm")
    screen.choose_farm("shared.toml")
    path.write_text(path.read_text(encoding="utf-8") + "\n# a hand was here\n", encoding="utf-8")
    screen.page.click("#section-buttons >> text=Money over the years")
    years = field("finance.years")
    screen.page.wait_for_selector(years)
    screen.page.fill(years, "9")
    screen.becomes("#unsaved", "changes not saved")
    screen.page.click("#save")
    screen.page.wait_for_selector("#conflict:not([hidden])")
    assert "a hand was here" in path.read_text(encoding="utf-8")
    screen.page.click("#save-over")
    screen.becomes("#said", "Saved in shared.toml")
    text = path.read_text(encoding="utf-8")
    assert "a hand was here" in text
    assert tomllib.loads(text)["finance"]["years"] == 9


def test_a_starter_farm_becomes_a_file(screen: Screen) -> None:
    screen.open("farm")
    screen.page.click("text=New farm, metric")
    screen.becomes("#headline", "My farm")
    screen.page.click("#section-buttons >> text=Machines")
    screen.becomes("#form", "Old tractor")
    screen.page.click("text=Copy this entry")
    screen.becomes("#form", "Old tractor (copy)")
    screen.page.click("text=Remove this entry")
    screen.until("!document.getElementById('entry-buttons').innerText.includes('(copy)')")
    screen.page.click("text=Add to machines")
    # The form turns to the new entry a moment after: remove that one, not the tractor.
    screen.becomes("#form", "Not counted yet. Still needed: Engine")
    assert screen.text("#faults") == ""
    screen.page.click("text=Remove this entry")
    screen.until("!document.getElementById('entry-buttons').innerText.includes('New machine')")
    screen.page.click("#save")
    screen.becomes("#said", "give it a name")
    screen.page.fill("#save-name", "began.toml")
    screen.page.click("#save-as")
    screen.becomes("#said", "Saved as began.toml")
    saved = screen.served.folder / "began.toml"
    assert load(saved).scenario.units == "metric"
    assert "# Commonly" in saved.read_text(encoding="utf-8")


def test_a_file_with_faults_opens_with_them_listed(screen: Screen) -> None:
    text = (SCENARIOS / "wrenfold.toml").read_text(encoding="utf-8")
    (screen.served.folder / "faulty.toml").write_text(
        text.replace('engine = "', 'engine = "steam ', 1), encoding="utf-8"
    )
    (screen.served.folder / "torn.toml").write_text("[scenario\n", encoding="utf-8")
    screen.open("farm")
    screen.choose_farm("faulty.toml")
    screen.becomes("#faults", "Engine: “steam ")
    screen.choose_farm("torn.toml")
    screen.becomes("#faults", "is not TOML")
    screen.choose_farm("wrenfold.toml")
    screen.until("document.getElementById('faults').innerText === ''")


def test_levers_move_everything_and_go_back(screen: Screen) -> None:
    screen.open()
    screen.becomes("#decide-top", "Left in a year")
    before = screen.text("#decide-top"), screen.text("#ladder-words")
    lever = '[id=\'{"path":"pump_price","type":"lever"}\']'
    screen.page.focus(lever)
    for _ in range(6):
        screen.page.keyboard.press("ArrowRight")
    screen.becomes("#headline", "What if: price of the fuel replaced")
    screen.differs("#decide-top", before[0])
    screen.differs("#ladder-words", before[1])
    screen.page.click("#back")
    screen.becomes("#decide-top", before[0])
    assert screen.text("#ladder-words") == before[1]


def test_thinners_rank_and_tie(screen: Screen) -> None:
    screen.open("farm")
    screen.choose_farm("quillmere.toml")
    screen.go("Thinners")
    screen.becomes("#thinner-body", "Money kept in a year")
    screen.becomes("#thinner-ties", "price of")
    assert "Gasoline, farm tank" in screen.text("#thinner-body")
    screen.page.click("#thinner-scope-buttons >> text=Hay tractor")
    screen.becomes("#thinner-body", "Hay tractor: ")
    assert screen.page.locator("#thinner-ties .js-plotly-plot").count() == 1


@pytest.mark.parametrize("name", ["quillmere.toml", "kurrabee-downs.toml"])
def test_present_prints_on_one_page(screen: Screen, name: str) -> None:
    screen.open("farm")
    screen.choose_farm(name)
    screen.go("Present")
    screen.becomes("#present-body", "What would make us stop?")
    for size in ("Letter", "A4"):
        printed = screen.page.pdf(format=size)
        assert printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page ") == 1, size


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_fit_phone_and_screen_and_axe_finds_nothing(
    chromium: Any, demos: Served, scheme: str
) -> None:
    width = 390 if scheme == "light" else 1280
    screen = screen_of(chromium, demos, width=width, scheme=scheme)
    for path in PATHS:
        screen.open(path)
        screen.until(
            "!document.querySelector('main').innerText.includes('ing it out')"
            " && !document.querySelector('main').innerText.includes('Working')"
        )
        assert screen.page.evaluate("document.documentElement.scrollWidth") <= width
        assert screen.faults_of_axe() == [], path
    screen.page.context.close()
    assert screen.complaints == []
    assert screen.outside == []


def test_a_stopped_server_is_told(chromium: Any, tmp_path: Path) -> None:
    shutil.copy(SCENARIOS / "wrenfold.toml", tmp_path)
    code = (
        "import sys, pathlib; from dashboards.web.serve import serve;"
        "s, a = serve(pathlib.Path(sys.argv[1])); print(a, flush=True); s.run()"
    )
    process = subprocess.Popen(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", code, str(tmp_path)], stdout=subprocess.PIPE, text=True
    )
    try:
        assert process.stdout is not None
        screen = screen_of(chromium, Served(process.stdout.readline().strip(), tmp_path))
        screen.open("farm")
        process.kill()
        process.wait(timeout=10)
        screen.page.fill(field("prices.road_diesel#likely"), "9.99")
        screen.becomes("#lost", "no longer running")
        screen.page.context.close()
    finally:
        process.kill()
        process.communicate()
