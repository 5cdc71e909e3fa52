"""The pages in a real browser, as a farmer uses them."""

import datetime
import json
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, screen_of
from paper import read_back, sheets_of
from web_client import running

from dashboards.page.render import page
from econ.answers.decision import decide
from econ.farm.files import load

pytestmark = pytest.mark.browser


def field(path: str) -> str:
    """Return the selector of a form's input."""
    return f'[id=\'{{"path":"{path}","type":"v"}}\']'


@pytest.mark.parametrize("name", ["quillmere.toml", "kurrabee-downs.toml"])
def test_the_first_screen_is_that_of_the_document(screen: Screen, name: str) -> None:
    decision = decide(load(SCENARIOS / name))
    shown, numbers = decision.first_screen, decision.numbers
    screen.open(f"?farm={name}")
    screen.becomes("#headline", shown["farm"])
    screen.becomes(".first-advice", shown["advice"])
    screen.rests()
    texts = screen.page.inner_text("main")
    for value in (
        shown["year"],
        *(box["figure"] for box in shown["boxes"]),
        *(row["name"] for row in shown["guesses"]["rows"]),
        *(row["short"] for row in shown["cautions"]["rows"]),
    ):
        assert value in texts, value
    screen.page.click(".tabs >> text=Money")
    screen.becomes("#tab-body", numbers.price(decision.document["rungs"]["per_replaced"]["full"]))
    for tab, words in (
        ("Machines", "Which machines"),
        ("Oil", "Where the oil goes"),
        ("How sure", "What matters most"),
        ("Cautions", "Basis"),
        ("Exact figures", "on average"),
    ):
        screen.page.click(f".tabs >> text={tab}")
        screen.becomes("#tab-body", words)


def test_the_first_screen_needs_no_scrolling_and_its_boxes_stand_above_a_phones_edge(
    chromium: Any, demos: Served
) -> None:
    wide = screen_of(chromium, demos, width=1366, height=768)
    # Farms with the longest sentences, the most names beneath the bar, the longest figure.
    for farm in ("quillmere-near-home", "tamsel-pumps", "quillmere"):
        wide.page.set_viewport_size({"width": 1366, "height": 768})
        wide.open("", f"{farm}.toml")
        wide.becomes(".first-boxes", "Up front")
        wide.rests()
        assert wide.page.evaluate("document.documentElement.scrollHeight") <= 768, farm
        wide.page.set_viewport_size({"width": 390, "height": 844})
        end = "document.querySelector('.first-boxes').getBoundingClientRect().bottom"
        assert wide.page.evaluate(end) <= 844, farm
    wide.page.emulate_media(media="print")
    wide.becomes("#first-paper", "Basis")
    wide.page.emulate_media(media="screen")
    for width in (320, 390, 683, 768, 1024):
        wide.page.set_viewport_size({"width": width, "height": 844})
        assert wide.page.evaluate("document.documentElement.scrollWidth") <= width, width
    wide.page.context.close()


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
    assert "EXAMPLE" in screen.text("#headline")
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


def test_a_slider_moves_the_screen_and_undo_takes_it_back(screen: Screen) -> None:
    screen.open("?farm=wrenfold.toml")
    screen.becomes(".first-advice", "hour")
    before = screen.text(".first-advice"), screen.text(".first-gallon")
    lever = '[id=\'{"path":"pump_price","type":"lever"}\']'
    screen.page.focus(lever)
    for _ in range(6):
        screen.page.keyboard.press("ArrowRight")
    screen.becomes("#headline", "What if: price of the fuel replaced")
    screen.differs(".first-gallon", before[1])
    screen.differs(".first-advice", before[0])
    screen.page.keyboard.press("Control+z")
    screen.becomes(".first-advice", before[0])
    assert screen.text(".first-gallon") == before[1]
    screen.page.keyboard.press("Control+y")
    screen.differs(".first-advice", before[0])
    screen.page.click("#back")
    screen.becomes(".first-advice", before[0])
    screen.page.focus(lever)
    screen.page.keyboard.press("ArrowRight")
    screen.becomes("#headline", "What if")
    screen.go("Thinners")
    screen.becomes("#thinner-body", "Money kept in a year")
    screen.becomes("#headline", "What if")
    assert "No plan" in screen.text("#thinner-body")
    screen.page.click("#back")
    screen.until("!document.getElementById('headline').innerText.includes('What if')")


def test_from_nothing_to_a_decision_of_ones_own(chromium: Any, tmp_path: Path) -> None:
    """Ten clicks and thirty boxes at most, and no moment without a decision on the page."""
    shutil.copy(SCENARIOS / "wrenfold.toml", tmp_path)
    with running(tmp_path) as client:
        screen = screen_of(chromium, Served(f"{client.origin}/", tmp_path))
        page, clicks, boxes = screen.page, 0, 0
        page.goto(screen.served.address)
        page.click("text=Answer twelve questions")
        clicks += 1
        screen.becomes("#so-far", "What to find out next")
        answers = {
            "farm_diesel": "$4.10",
            "road_diesel": "4,80",
            "bill.farm_diesel": "2,400",
            "machine.0.fuel": "1500",
            "own": "9",
            "giver.0.volume": "60",
            "giver.0.trip": "18",
            "room": "600",
            "kit.cost": "$2,200",
            "wage": "24",
            "hours": "12",
        }
        for key, choice in {"machine.1": "small_tractor", "giver.0": "garage"}.items():
            page.select_option(f'[data-answers="{key}"]', choice)
            boxes += 1
            assert screen.text("#so-far").strip()
        for key, text in answers.items():
            before = screen.text("#so-far")
            page.fill(f'[id=\'{{"path":"{key}","type":"q"}}\']', text)
            boxes += 1
            assert before.strip()
        page.fill('[id=\'{"path":"own","type":"q"}\']', "nine")
        screen.becomes("#questions", "is not a number; the usual value stands in")
        page.fill('[id=\'{"path":"own","type":"q"}\']', "9")
        screen.until("!document.getElementById('questions').innerText.includes('not a number')")
        page.click("text=See the whole decision")
        clicks += 1
        screen.becomes(".first-boxes", "$2,")
        assert "EXAMPLE" not in screen.text("#headline")
        page.click("#save")
        page.fill("#save-name", "ours.toml")
        page.click("#save-as")
        clicks += 2
        screen.becomes("#said", "Saved as ours.toml")
        screen.until("location.pathname + location.search === '/?farm=ours.toml'")
        assert clicks <= 10
        assert boxes <= 30
        result = load(tmp_path / "ours.toml")
        assert result.labour.wage == 24.0
        assert result.prices.farm_diesel == 4.1
        page.reload()
        screen.becomes("#headline", "in ours.toml")
        assert screen.complaints == []
        page.context.close()


def test_a_folder_opens_on_its_farms_and_an_empty_one_on_the_questions(
    chromium: Any, tmp_path: Path
) -> None:
    shutil.copy(SCENARIOS / "wrenfold.toml", tmp_path)
    with running(tmp_path) as client:
        screen = screen_of(chromium, Served(f"{client.origin}/", tmp_path))
        screen.page.goto(screen.served.address)
        screen.becomes("main", "tart only if your time is free")
        screen.page.click("main >> text=wrenfold")
        screen.becomes(".first-advice", "tart only if your time is free")
        screen.until("location.pathname + location.search === '/?farm=wrenfold.toml'")
        (tmp_path / "wrenfold.toml").unlink()
        screen.page.goto(screen.served.address)
        screen.becomes("#questions", "12. ")
        screen.page.context.close()


def test_opening_another_farm_asks_while_changes_are_unsaved(screen: Screen) -> None:
    screen.open("farm?farm=wrenfold.toml")
    screen.page.click("#section-buttons >> text=Your time")
    wage = field("labour.wage#likely")
    screen.page.wait_for_selector(wage)
    value = screen.page.input_value(wage)
    screen.page.fill(wage, "19.5")
    screen.becomes("#unsaved", "changes not saved")
    screen.page.select_option("#file-choice", "tamsel-pumps.toml")
    screen.until("document.activeElement.id === 'ask-stay'")
    screen.page.keyboard.press("Enter")
    assert "Wrenfold" in screen.text("#headline")
    screen.page.select_option("#file-choice", "tamsel-pumps.toml")
    screen.page.click("#ask-open")
    screen.becomes("#headline", "Tamsel")
    screen.page.keyboard.press("Control+z")
    screen.becomes("#headline", "Wrenfold")
    screen.until(f"document.querySelector({json.dumps(wage)})?.value === '19.5'")
    screen.page.keyboard.press("Control+z")
    screen.until(f"document.querySelector({json.dumps(wage)})?.value === '{value}'")
    screen.page.keyboard.press("Control+Shift+z")
    screen.until(f"document.querySelector({json.dumps(wage)})?.value === '19.5'")
    screen.page.keyboard.press("Control+z")
    screen.becomes("#headline", "Wrenfold")


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


# A farm of each kind of sheet: a smaller plan beside it, another currency, a plan not to start.
@pytest.mark.parametrize("name", ["quillmere-two-ways", "kurrabee-downs", "stonebark-big"])
def test_present_prints_the_sheet_of_the_file(
    screen: Screen, desktop: Any, name: str, tmp_path: Path
) -> None:
    """Sign for sign in the same place and size: what is measured of one holds of the other."""
    screen.open("present", f"{name}.toml")
    screen.becomes("#present-body", "What would make us stop?")
    today = datetime.datetime.now(tz=datetime.UTC).date()
    file = desktop.new_page()
    file.set_content(page(decide(load(SCENARIOS / f"{name}.toml"), today=today)))
    for size in ("Letter", "A4"):
        printed = screen.page.pdf(format=size)
        assert sheets_of(printed) == 1, size
        shown, wanted = (read_back(one, tmp_path) for one in (printed, file.pdf(format=size)))
        assert shown.letters == wanted.letters
        # A sheet whose drawings reach past its side is shrunk by the browser, by a hair.
        for one, other in zip(sorted(shown.words), sorted(wanted.words), strict=True):
            assert one[0] == other[0]
            assert one[1] == pytest.approx(other[1], abs=0.1)
    file.close()


def test_present_prints_where_the_sliders_stand(screen: Screen, tmp_path: Path) -> None:
    screen.open("", "wrenfold.toml")
    screen.becomes(".first-advice", "hour")
    screen.page.focus('[id=\'{"path":"pump_price","type":"lever"}\']')
    # One step: of several, each is said in turn.
    screen.page.keyboard.press("ArrowLeft")
    screen.becomes("#headline", "What if: price of the fuel replaced")
    screen.rests()
    moved, advice = screen.text("#headline .moved"), screen.text(".first-advice h1")
    screen.go("Present")
    screen.becomes("#present-body", "no slider moved")
    printed = screen.page.pdf(format="Letter")
    text = " ".join(word for word, _ in read_back(printed, tmp_path).words)
    assert sheets_of(printed) == 1
    assert moved in text
    assert advice in text


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
        screen.open("farm", "wrenfold.toml")
        price = field("prices.road_diesel#likely")
        screen.page.wait_for_selector(price)
        process.kill()
        process.wait(timeout=10)
        screen.page.fill(price, "9.99")
        screen.becomes("#lost", "no longer running")
        screen.page.context.close()
    finally:
        process.kill()
        process.communicate()
