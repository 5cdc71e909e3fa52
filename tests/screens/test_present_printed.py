"""The one page in a real browser: one sheet, nothing asked of a network, no barrier in the way.

A4 is ISO 216; letter is ANSI/ASME Y14.1. Barriers are axe-core's rules (WCAG 2.1 A and AA).
"""

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser_screen import AXE
from presenting import FARMS, HOSTILE, changed, hostile, worked

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


def _sheets(printed: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", printed))


def _printed(paper: Any, html: str, size: str) -> bytes:
    sheet = paper.new_page()
    sheet.set_content(html)
    printed: bytes = sheet.pdf(format=size)
    sheet.close()
    return printed


def _page(scenario: Scenario) -> str:
    return page(worked(scenario))


@pytest.mark.parametrize("farm", FARMS, ids=lambda farm: farm.stem)
def test_every_demo_farm_fits_one_sheet(paper: Any, farm: Path) -> None:
    html = _page(load(farm))

    assert [_sheets(_printed(paper, html, size)) for size in SIZES] == [1, 1]


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
        seen[decision.answer.advice.key] = [_sheets(_printed(paper, html, size)) for size in SIZES]

    assert seen == {key: [1, 1] for key in ADVICE}


@pytest.mark.parametrize("name", ["wrenfold", "stonebark-big", "quillmere"])
@pytest.mark.parametrize("texts", HOSTILE, ids=["mixed", "wide", "emoji"])
def test_no_name_breaks_the_sheet(paper: Any, name: str, texts: tuple[str, ...]) -> None:
    html = _page(hostile(load(f"scenarios/{name}.toml"), texts))

    assert [_sheets(_printed(paper, html, size)) for size in SIZES] == [1, 1]


def test_the_page_asks_no_network_runs_nothing_and_has_no_barrier(paper: Any) -> None:
    for scenario in (load(FARMS[-1]), hostile(load("scenarios/wrenfold.toml"), HOSTILE[0])):
        decision = worked(scenario)
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


@pytest.mark.parametrize("width", [360, 390, 1280])
def test_the_page_fits_a_phone(paper: Any, width: int) -> None:
    sheet = paper.new_page()
    sheet.set_viewport_size({"width": width, "height": 800})
    sheet.set_content(_page(load("scenarios/wrenfold.toml")))

    assert sheet.evaluate("document.documentElement.scrollWidth") <= width
    sheet.close()


def test_the_printed_text_has_the_figures_of_the_document(tmp_path: Path) -> None:
    reader = shutil.which("pdftotext")
    assert reader is not None, "pdftotext is needed (Debian: poppler-utils)"
    for name in ("wrenfold", "kurrabee-downs"):
        decision = worked(load(f"scenarios/{name}.toml"))
        # As it would be written by the command, through Chromium's own printing.
        printed = pdf(page(decision))
        file = tmp_path / f"{name}.pdf"
        file.write_bytes(printed)
        done = subprocess.run([reader, "-layout", str(file), "-"], capture_output=True, check=True)  # noqa: S603
        text = " ".join(done.stdout.decode().split())

        assert _sheets(printed) == 1
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


def test_nothing_on_the_sheet_is_smaller_than_ten_points_and_most_is_eleven(paper: Any) -> None:
    sheet = paper.new_page()
    sheet.set_content(_page(load("scenarios/quillmere.toml")))
    sheet.emulate_media(media="print")
    counts = sheet.evaluate(
        """() => {
          const counts = {};
          const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
          while (walk.nextNode()) {
            const text = walk.currentNode.textContent.trim();
            const parent = walk.currentNode.parentElement;
            if (!text || parent.closest("title, caption, desc")) continue;
            const size = Math.round(parseFloat(getComputedStyle(parent).fontSize) * 0.75 * 10) / 10;
            counts[size] = (counts[size] || 0) + text.length;
          }
          return counts;
        }"""
    )
    sheet.close()

    sizes = {float(size): count for size, count in counts.items()}
    assert min(sizes) >= 10.0
    assert max(sizes, key=lambda size: sizes[size]) == 11.0
