"""`drumworth cards`, and its sheets in a real browser, on A4 (ISO 216) and letter (ASME Y14.1)."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from cut import faults
from paper import sheets_of

from dashboards.command import main
from dashboards.page.cards import cards_page
from dashboards.page.pdf import pdf
from dashboards.terminal.cards import render
from econ.answers.cards_document import cards_document
from econ.answers.document import answer
from econ.answers.hand_document import hand_document
from econ.farm.files import from_document, load

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FARM = str(SCENARIOS / "wrenfold.toml")


def test_the_mix_for_the_oil_at_hand_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cards", FARM, "--viscosity", "34", "--at", "68F"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "34 cSt at 68 °F" in text
    assert "less than planned" in text
    assert main(["cards", FARM, "--viscosity", "34", "--at", "20C", "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert shown["temperature"] == pytest.approx(68.0)


def test_nothing_of_a_mix_is_cut_on_any_terminal() -> None:
    assert faults(render(hand_document(answer(load(FARM)), 34.0, 20.0))) == []


def test_cards_are_written_and_not_over_what_is_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    to = tmp_path / "cards.html"
    assert main(["cards", FARM, "--to", str(to)]) == 0
    page = to.read_text(encoding="utf-8")
    assert page.count('<section class="sheet') == 7
    assert "<script" not in page
    assert main(["cards", FARM, "--to", str(to)]) == 2
    assert "is there already" in capsys.readouterr().err
    assert main(["cards", FARM, "--to", str(tmp_path / "cards.doc")]) == 2
    assert ".html, .pdf" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], "name a page"),
        (["--viscosity", "34"], "go together"),
        (["--viscosity", "900", "--at", "40C"], "no share is given"),
    ],
)
def test_what_cannot_be_answered_is_refused(
    words: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["cards", FARM, *words]) == 2
    assert message in capsys.readouterr().err


def test_names_that_are_markup_stay_words() -> None:
    raw = load(FARM).merged
    oils = [{**raw["oils"][0], "name": "<script>alert(1)</script>"}, *raw["oils"][1:]]
    page = cards_page(cards_document(answer(from_document({**raw, "oils": oils}, FARM))))

    assert "<script" not in page
    assert "&lt;script&gt;" in page


@pytest.fixture(scope="module")
def sheet(chromium: Any) -> Iterator[Any]:
    result = chromium.new_page()
    yield result
    result.close()


@pytest.mark.browser
@pytest.mark.slow
@pytest.mark.parametrize("size", ["A4", "letter"])
@pytest.mark.parametrize("name", ["wrenfold", "stonebark-big", "hollowmere"])
def test_each_card_is_one_sheet_of_type_of_12_points_or_more(
    sheet: Any, name: str, size: str
) -> None:
    document = cards_document(answer(load(SCENARIOS / f"{name}.toml")))
    page = cards_page(document)
    sheet.set_content(page.replace("@page {", f"@page {{ size: {size};"))

    assert sheets_of(sheet.pdf(prefer_css_page_size=True)) == len(document["cards"])
    # All but the small print: the least size of a card's own text.
    least = [float(result) for result in re.findall(r"font-size: ([\d.]+)pt", page)]
    assert sorted(least) == [7.5, 12.0, 13.0]


@pytest.mark.browser
@pytest.mark.slow
def test_the_command_prints_a_sheet_a_card() -> None:
    document = cards_document(answer(load(FARM)))

    assert sheets_of(pdf(cards_page(document))) == len(document["cards"])
