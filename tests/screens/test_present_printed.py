"""The one page in a real browser: one sheet, nothing asked of a network, no barrier in the way.

A4 is ISO 216; letter is ANSI/ASME Y14.1. Barriers are axe-core's rules (WCAG 2.1 A and AA).
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser_screen import AXE
from paper import read_back, sheets_of, spelled
from presenting import FARMS, HOSTILE, changed, demo, hostile, worked

from dashboards.page.pdf import pdf
from dashboards.page.render import page
from econ.farm.files import load
from econ.farm.schema import Scenario

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SIZES = ("A4", "Letter")
ADVICE = ("do not start", "start only if your time is free", "try small first", "start")


@pytest.fixture(scope="module")
def paper(chromium: Any) -> Iterator[Any]:
    context = chromium.new_context(bypass_csp=True)
    yield context
    context.close()


def _printed(paper: Any, html: str, size: str) -> bytes:
    # A sheet is used again: a new one costs the browser more than what is laid on it.
    sheet = paper.pages[0] if paper.pages else paper.new_page()
    sheet.set_content(html)
    printed: bytes = sheet.pdf(format=size)
    return printed


def _page(scenario: Scenario) -> str:
    return page(worked(scenario))


# Least size of type anywhere, and of running text. [pt]
LEAST, RUNNING = 10.0, 11.0
# Printers leave about a quarter of an inch at every edge blank: common practice, no source. [pt]
EDGE = 18.0


@pytest.mark.parametrize("farm", FARMS, ids=lambda farm: farm.stem)
def test_every_demo_farm_stands_on_one_sheet_in_type_that_can_be_read(
    paper: Any, farm: Path, tmp_path: Path
) -> None:
    sheet = paper.new_page()
    sheet.set_content(page(demo(farm.stem)))
    sheet.emulate_media(media="print")
    # Captions are for those who hear a table read; a month's letter is no word.
    sheet.evaluate("document.querySelectorAll('caption').forEach(one => one.remove())")
    wanted = spelled(sheet.inner_text(".sheet"))
    for size in SIZES:
        printed = sheet.pdf(format=size)
        assert sheets_of(printed) == 1
        result = read_back(printed, tmp_path)
        strips = {"FMAM", "SOND"}
        assert {w: n for w, n in result.spelled().items() if w not in strips} == wanted
        assert "…" not in " ".join(word for word, _ in result.words)
        assert min(box[0] for _, box in result.words) > EDGE
        assert max(box[2] for _, box in result.words) < result.width - EDGE
        assert max(box[3] for _, box in result.words) < result.height - EDGE
        assert min(result.letters) >= LEAST
        # Tables, labels and notes are the smaller part.
        running = sum(count for points, count in result.letters.items() if points >= RUNNING)
        assert running > 0.5 * result.letters.total()
    sheet.close()


def test_each_advice_fits_one_sheet(paper: Any) -> None:
    # Wages and prices that bring one farm to three kinds of advice, and a small farm to the fourth.
    base, seen = load("scenarios/tamsel-pumps.toml"), {}
    farms = [
        changed(base, {("prices", "farm_diesel"): price, ("labour", "wage"): wage})
        for price, wage in ((4.1, 22.0), (4.1, 600.0), (1.0, 22.0))
    ]
    for scenario in (*farms, load("scenarios/stonebark-own-oil.toml")):
        decision = worked(scenario)
        html = page(decision)
        assert decision.answer.advice.label in html
        seen[decision.answer.advice.key] = [
            sheets_of(_printed(paper, html, size)) for size in SIZES
        ]

    assert seen == {key: [1, 1] for key in ADVICE}


# The longest sheets with each kind of bad name.
@pytest.mark.parametrize(
    ("name", "texts"),
    [
        pytest.param("quillmere", HOSTILE[0], id="mixed"),
        pytest.param("stonebark-big", HOSTILE[1], id="wide"),
        pytest.param("quillmere", HOSTILE[2], id="emoji"),
        pytest.param("wrenfold", HOSTILE[2], id="emoji, many machines"),
    ],
)
def test_no_name_breaks_the_sheet(paper: Any, name: str, texts: tuple[str, ...]) -> None:
    html = _page(hostile(load(f"scenarios/{name}.toml"), texts))

    assert [sheets_of(_printed(paper, html, size)) for size in SIZES] == [1, 1]


def test_the_page_asks_no_network_runs_nothing_and_has_no_barrier(paper: Any) -> None:
    named = hostile(load("scenarios/wrenfold.toml"), HOSTILE[0])
    for decision in (demo(FARMS[-1].stem), worked(named)):
        sheet = paper.new_page()
        asked: list[str] = []
        spoken: list[str] = []
        sheet.on("request", lambda request, asked=asked: asked.append(request.url))
        sheet.on("dialog", lambda dialog, spoken=spoken: spoken.append(dialog.message))
        sheet.set_content(page(decision, full=True))
        assert asked == []
        assert spoken == []
        assert sheet.evaluate("document.querySelectorAll('script, img, iframe, a').length") == 0
        sheet.add_script_tag(path=str(AXE))
        faults = sheet.evaluate("axe.run().then(found => found.violations.map(v => v.id))")
        assert faults == []
        sheet.close()


def test_the_page_fits_a_phone(paper: Any) -> None:
    sheet = paper.new_page()
    sheet.set_content(page(demo("wrenfold")))
    for width in (360, 390, 683, 1280):
        sheet.set_viewport_size({"width": width, "height": 800})
        assert sheet.evaluate("document.documentElement.scrollWidth") <= width
    sheet.close()


def test_the_printed_text_has_the_figures_of_the_document(paper: Any, tmp_path: Path) -> None:
    for name, by_command in (("wrenfold", True), ("kurrabee-downs", False)):
        decision = demo(name)
        html = page(decision)
        # As it would be written by the command, through Chromium's own printing, and from a screen.
        printed = pdf(html) if by_command else _printed(paper, html, "A4")
        text = " ".join(word for word, _ in read_back(printed, tmp_path).words)

        assert sheets_of(printed) == 1
        screen, numbers = decision.first_screen, decision.numbers
        gallon = screen["gallon"]
        assert gallon is not None
        wanted = [screen["advice"], *(box["figure"] for box in screen["boxes"])]
        wanted += [numbers.per_volume(part["amount"]) for part in gallon["parts"]]
        wanted += [numbers.per_volume(gallon["full"]), numbers.per_volume(gallon["pump"])]
        wanted += [numbers.spoken(row["saving"]) for row in decision.paper["machines"][:3]]
        savings = decision.document["savings"]
        wanted += [numbers.spoken(savings[key]) for key in ("cash", "after_wear", "after_kit")]
        assert [figure for figure in wanted if figure not in text] == []
