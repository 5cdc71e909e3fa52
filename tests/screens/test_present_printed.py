"""The one page in a real browser: one sheet, nothing asked of a network, no barrier in the way.

A4 is ISO 216; letter is ANSI/ASME Y14.1. Barriers are axe-core's rules (WCAG 2.1 A and AA).
"""

import json
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
from econ.answers.document import to_json
from econ.farm.files import load
from econ.farm.schema import Scenario
from econ.ground.written import Numbers
from econ.model.ledger import LEDGERS

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
    found, chances = worked(scenario)
    return page(found, chances)


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
        found, chances = worked(scenario)
        html = page(found, chances)
        assert found.advice.label in html
        seen[found.advice.key] = [_sheets(_printed(paper, html, size)) for size in SIZES]

    assert seen == {key: [1, 1] for key in ADVICE}


@pytest.mark.parametrize("name", ["wrenfold", "stonebark-big", "quillmere"])
@pytest.mark.parametrize("texts", HOSTILE, ids=["mixed", "wide", "emoji"])
def test_no_name_breaks_the_sheet(paper: Any, name: str, texts: tuple[str, ...]) -> None:
    html = _page(hostile(load(f"scenarios/{name}.toml"), texts))

    assert [_sheets(_printed(paper, html, size)) for size in SIZES] == [1, 1]


def test_the_page_asks_no_network_runs_nothing_and_has_no_barrier(paper: Any) -> None:
    for scenario in (load(FARMS[-1]), hostile(load("scenarios/wrenfold.toml"), HOSTILE[0])):
        found, chances = worked(scenario)
        sheet = paper.new_page()
        asked: list[str] = []
        spoken: list[str] = []
        sheet.on("request", lambda request, asked=asked: asked.append(request.url))
        sheet.on("dialog", lambda dialog, spoken=spoken: spoken.append(dialog.message))
        sheet.set_content(page(found, chances, full=True))
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
        found, chances = worked(load(f"scenarios/{name}.toml"))
        # As it would be written by the command, through Chromium's own printing.
        printed = pdf(page(found, chances))
        file = tmp_path / f"{name}.pdf"
        file.write_bytes(printed)
        done = subprocess.run([reader, "-layout", str(file), "-"], capture_output=True, check=True)  # noqa: S603
        text = " ".join(done.stdout.decode().split())

        assert _sheets(printed) == 1
        doc = json.loads(json.dumps(to_json(found)))
        show = Numbers(doc["units"], doc["currency"])
        wanted = [show.money(doc["savings"][k]) for k in ("after_wear", "after_labour")]
        wanted += [show.price(price) for price in doc["rungs"]["per_replaced"].values()]
        wanted += [show.years(doc["ledgers"][k.key]["simple_payback"]) for k in LEDGERS]
        wanted += [show.money(doc["ledgers"]["time_free"]["lost_if_stopped"][0])]
        wanted += [show.hours(doc["fuel"]["hours"]), show.cents(doc["savings"]["pay_per_hour"])]
        assert [figure for figure in wanted if figure not in text] == []
