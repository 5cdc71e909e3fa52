"""Figures and layouts as plain functions: they show what the outcome holds, and just that."""

import json
import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import plotly.offline
import pytest
from dash import html
from screen_words import results_of, words

from dashboards.figures.balance import balance
from dashboards.figures.ladder import ladder
from dashboards.figures.months import hours_by_month, oil_by_month
from dashboards.figures.steps import steps
from dashboards.figures.sure import fan, matters, tanks
from dashboards.figures.thinners import energy, lines, shares
from dashboards.theme import THEMES, theme_of
from dashboards.web import tabs
from dashboards.web.compared import view_of
from dashboards.web.decided import first_screen_of
from dashboards.web.draft import factors
from dashboards.web.flat import flat, markup
from dashboards.web.pages import decide, thinners
from dashboards.web.pages.present import body as present_body
from dashboards.web.sure import advice_of, sure_of
from econ.answers.document import answer, to_json
from econ.answers.talk import talk
from econ.answers.turned import Results
from econ.farm.files import load
from econ.ground.records import replace
from econ.ground.written import Numbers
from econ.model.costs import RUNGS, SAVINGS
from econ.model.ledger import LEDGERS
from econ.questions.chances import chances

ROOT = Path(__file__).parents[2]
FARMS = sorted((ROOT / "scenarios").glob("*.toml"), key=lambda path: path.name)
SHOW = Numbers("us", "USD")
LIGHT = theme_of("light")


def traces(figure: dict[str, Any]) -> set[str]:
    return {trace["type"] for trace in figure["data"]}


def figures_in(part: Any) -> Iterator[dict[str, Any]]:
    if isinstance(part, dict) and "data" in part and "layout" in part:
        yield part
    elif isinstance(part, list | tuple):
        for item in part:
            yield from figures_in(item)
    elif hasattr(part, "to_plotly_json"):
        yield from figures_in(getattr(part, "figure", None))
        yield from figures_in(getattr(part, "children", None))


def test_the_bundle_is_the_version_that_plotly_has() -> None:
    """Another version would draw other things than Dash's own bundle; plotly's own number."""
    bundle = ROOT / "dashboards" / "web" / "assets" / "000-plotly-basic.min.js"
    head = bundle.read_text(encoding="utf-8")[:400]
    assert f"v{plotly.offline.get_plotlyjs_version()}" in head
    assert "basic" in head


def test_the_ladder_shows_absurd_numbers_as_they_are() -> None:
    rungs = {rung.key: 1000.25 + k for k, rung in enumerate(RUNGS)}
    figure = ladder(rungs, -7.5, SHOW, LIGHT)
    assert figure["data"][0]["x"] == [*rungs.values(), -7.5]
    assert figure["data"][0]["text"][0] == "$1,000.25/gal"


def test_a_farm_without_fuel_has_a_ladder_without_bars() -> None:
    figure = ladder({rung.key: None for rung in RUNGS}, None, SHOW, LIGHT)
    assert set(figure["data"][0]["x"]) == {None}


def test_the_steps_show_absurd_numbers_as_they_are() -> None:
    savings = {row.key: (-1) ** k * 123456.0 * (k + 1) for k, row in enumerate(SAVINGS)}
    assert steps(savings, SHOW, LIGHT)["data"][0]["x"] == list(savings.values())


def test_the_balance_shows_absurd_numbers_as_they_are() -> None:
    by_ledger = {kind.key: [-1e6, 2e6 + k, 3.5] for k, kind in enumerate(LEDGERS)}
    figure = balance(by_ledger, SHOW, LIGHT)
    assert [trace["y"] for trace in figure["data"]] == list(by_ledger.values())
    assert [trace["name"] for trace in figure["data"]] == [kind.label for kind in LEDGERS]


def test_the_months_show_absurd_numbers_as_they_are() -> None:
    months = [
        {
            "month": k + 1,
            "wanted": 9e5 + k,
            "processed": 8e5,
            "oil_used": 7e5,
            "clean_end": 6e5,
            "hours": 5e4 + k,
            "bottleneck": "storage",
        }
        for k in range(12)
    ]
    figure = oil_by_month(months, SHOW, LIGHT)
    assert figure["data"][0]["y"] == [month["wanted"] for month in months]
    assert "too little room" in figure["data"][0]["text"][0]
    assert hours_by_month(months, LIGHT)["data"][0]["y"] == [month["hours"] for month in months]


def test_what_is_sure_shows_absurd_numbers_as_they_are() -> None:
    years = [(-9e6, 1.0, 9e6), (-8e6, 2.0, 8e6)]
    assert fan(years, SHOW, LIGHT)["data"][2]["y"] == [-9e6, -8e6]
    rows = [{"name": "x", "low": -5e6, "high": 7e6}]
    bars = matters(rows, 1e6, SHOW, LIGHT)["data"]
    assert [bar["base"] + bar["x"][0] for bar in bars] == [-5e6, 7e6]
    assert tanks([(1.0, 2e6)], 1.0, SHOW, LIGHT)["data"][0]["y"] == [2e6]


def test_thinner_figures_show_absurd_numbers_as_they_are() -> None:
    made = lines([1.0], [("x", [6e6])], [(1.0, 6e6, "tie")], None, SHOW, LIGHT)
    assert [trace["y"] for trace in made["data"]] == [[6e6], [6e6]]
    assert shares([1.0], [("x", [0.5])], "°F", LIGHT)["data"][0]["y"] == [50.0]
    assert energy([("x", 7.0)], LIGHT)["data"][0]["x"] == [700.0]


def every_tab(result: Results) -> list[Any]:
    """Return all tabs of a farm, no lever turned."""
    return [tabs.tab(key, result, {}, LIGHT) for key in tabs.TABS]


def test_the_ranking_holds_what_is_done_now_and_no_plan() -> None:
    """Nothing "keeps most" where every thinner loses with one's time paid."""
    result = results_of(ROOT / "scenarios" / "quillmere.toml")
    document = view_of(result).document
    scope = document["scopes"][0]
    kinds = [row["kind"] for row in scope["ranking"]]
    assert kinds.count("now") == kinds.count("none") == 1
    kept = [row["kept"] for row in scope["ranking"]]
    assert kept == sorted(kept, reverse=True)
    assert kinds[0] == "none"
    assert "no thinner makes the plan pay" in scope["finding"]
    shown = words(thinners.ranking(scope, document["words"], result.write))
    assert "keeps most" not in shown
    for row in scope["ranking"]:
        assert row["name"] in shown
        assert result.write.money(row["kept"]) in shown


def test_thinners_follow_the_sliders() -> None:
    path = ROOT / "scenarios" / "quillmere.toml"
    plain, turned = view_of(results_of(path)), view_of(results_of(path, {"thinner_price": 2.0}))
    before, after = (view.document["scopes"][0]["ranking"] for view in (plain, turned))
    assert [row["kept"] for row in before] != [row["kept"] for row in after]


def test_absurd_outcomes_stand_on_decide_and_present() -> None:
    """Numbers that no sum could give stand on the page just as the document has them."""
    result = results_of(FARMS[0])
    doc = json.loads(json.dumps(result.average))
    doc["savings"] |= {
        "after_wear": 76543.0,
        "after_kit": -87654.0,
        "after_labour": -98765.0,
        "pay_per_hour": -543.21,
    }
    doc["fuel"]["own_hours"] = 65432.0
    doc["rungs"]["per_replaced"] = {rung.key: 321.5 + k for k, rung in enumerate(RUNGS)}
    doc["machines"][0]["saving"] = 43210.0
    doc["ledgers"]["time_free"]["lost_if_stopped"] = [11100.0, 22200.0, 33300.0]
    absurd = replace(result, average=doc)
    write = absurd.write
    page = words([tabs.money(absurd, {}, LIGHT), tabs.top(absurd), tabs.machines(absurd)])
    for value in (
        write.money(-87654.0),
        write.money(-98765.0),
        f"{write.cents(-543.21)}/h",
        "65,432 h",
        write.price(321.5),
        write.price(325.5),
        write.money(43210.0),
    ):
        assert value in page
    shown = words(present_body(absurd, talk(absurd, result.answer.advice, None), LIGHT))
    for value in (write.spoken(76543.0), write.money(11100.0), write.money(33300.0)):
        assert value in shown


@pytest.mark.parametrize("path", FARMS, ids=lambda path: path.stem)
def test_pages_show_the_numbers_of_the_json(path: Path) -> None:
    scenario = load(path)
    doc = to_json(answer(scenario, chances(scenario).odds))
    result = results_of(path)
    write = result.write
    advice = advice_of(result, {})
    assert advice.key == doc["advice"]["key"]
    assert list(advice.reasons) == doc["advice"]["reasons"]
    assert {**result.document, "advice": None} == {**doc, "advice": None}
    page = words(every_tab(result))
    for value in (
        *doc["advice"]["reasons"],
        *(write.money(doc["savings"][row.key]) for row in SAVINGS),
        *(write.price(price) for price in doc["rungs"]["per_replaced"].values()),
        *(caution["text"] for caution in doc["cautions"]),
    ):
        assert value in page


@pytest.mark.parametrize("path", FARMS, ids=lambda path: path.stem)
def test_the_first_screen_says_what_its_document_says_and_no_more(path: Path) -> None:
    """At most twelve numbers, none of them made here."""
    result = results_of(path)
    screen, _ = first_screen_of(result, {})
    moved, still = decide.moved(result, {}), decide.still(result)
    assert (len(moved), len(still)) == (len(decide.MOVED), len(decide.STILL))
    parts = [*moved, *still]
    page = words(parts)
    gallon, price = screen["gallon"], screen["price"]
    for value in (
        screen["advice"],
        screen["year"],
        *(screen["ahead"]["lines"]),
        screen["rests"]["heading"],
        *(box["figure"] for box in screen["boxes"]),
        *(box["note"] for box in screen["boxes"]),
        *(row["name"] for row in screen["guesses"]["rows"]),
        *(row["short"] for row in screen["cautions"]["rows"]),
        *([gallon["title"]] if gallon else []),
        *([price["line"]] if price else []),
    ):
        for word in value.split():
            assert word in page, (value, word)
    assert len(numbers_on(parts)) <= 12, numbers_on(parts)
    # Cautions stand in words, a loan too: their numbers are a click away.
    assert numbers_on(moved[decide.MOVED.index("cautions") :]) == []
    if result.document["loan"] is not None:
        assert screen["loan_in_words"] in page
        assert screen["loan"] in words(tabs.tab("money", result, {}, LIGHT))


def numbers_on(parts: list[Any]) -> list[str]:
    """Return the numbers that a reader sees, drawings included but what is only read aloud not."""
    said = " ".join(
        re.sub(r"<title>.*?</title>|<[^>]*>", " ", unescape(re.sub(r"<title>.*?</title>", " ", t)))
        for t in raw(parts)
    )
    return re.findall(r"\d[\d,]*(?:[.]\d+)?", said)


def raw(part: Any) -> Iterator[str]:
    """Return text and finished HTML of a layout."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, list | tuple):
        for item in part:
            yield from raw(item)
    elif part is not None and hasattr(part, "to_plotly_json"):
        held = getattr(part, "data-markup", None)
        if held is not None:
            yield held
        yield from raw(getattr(part, "children", None))


def test_with_a_slider_moved_the_screen_moves_and_chances_stay() -> None:
    path = next(path for path in FARMS if path.stem == "quillmere")
    plain, turned = results_of(path), results_of(path, {"pump_price": 1.3})
    before, _ = first_screen_of(plain, {})
    after, base = first_screen_of(turned, {"pump_price": 1.3})
    assert after["gallon"] is not None
    assert before["gallon"] is not None
    assert after["gallon"]["pump"] == pytest.approx(1.3 * before["gallon"]["pump"])
    # What is said to be tried is what the bar and the scale have.
    assert (
        turned.what_if == f"What if: price of the fuel replaced ${after['gallon']['pump']:.2f}/gal"
    )
    assert plain.what_if == ""
    assert after["year"] != before["year"]
    assert base == before
    # Chances are counted for the file alone, and say so.
    assert after["ahead"]["title"] == "Of a hundred ways it may go, no slider moved"
    assert {**after["ahead"], "title": ""} == {**before["ahead"], "title": ""}
    assert after["guesses"]["rows"] == before["guesses"]["rows"]
    assert after["price"] is not None
    assert before["price"] is not None
    marks = {mark["key"]: mark["price"] for mark in after["price"]["marks"]}
    assert marks == {"today": before["price"]["today"], "what_if": after["price"]["today"]}
    wage, _ = first_screen_of(results_of(path, {"wage": 1.3}), {"wage": 1.3})
    assert wage["price"] is not None
    assert wage["price"]["marks"] == before["price"]["marks"]


def test_the_slider_lies_on_the_scale_of_the_bar() -> None:
    style, most = decide._laid_on({"today": 4.0, "end": 6.0})
    assert most == pytest.approx(1.5)
    assert style == {"left": "calc(16.67% - 12px)", "width": "calc(83.33% + 24px)"}
    assert decide._laid_on(None)[0] == {"display": "none"}


@pytest.mark.parametrize("stem", ["quillmere", "kurrabee-downs", "tamsel-pumps", "wrenfold"])
def test_every_figure_is_of_bars_and_lines_alone(stem: str) -> None:
    """The basic bundle draws any other kind as nothing, silently."""
    result = results_of(ROOT / "scenarios" / f"{stem}.toml")
    sure = sure_of(result, {})
    assert sure is not None
    view = view_of(result)
    parts: list[Any] = [
        every_tab(result),
        present_body(result, {}, LIGHT),
    ]
    for scope in range(len(view.comparison.scopes)):
        parts.append(thinners.body(result, view, scope, LIGHT))
        parts += [
            thinners.ties(result.write, view, scope, row["thinner"], LIGHT)
            for row in view.document["scopes"][scope]["rows"]
            if row["listed"]
        ]
    drawn = list(figures_in(parts))
    assert len(drawn) > 7
    for figure in drawn:
        assert traces(figure) <= {"bar", "scatter"}
        json.dumps(figure, allow_nan=False)
    assert "nan" not in words(parts).lower().split()


def test_levers_turned_are_the_model_with_those_inputs() -> None:
    plain, turned = results_of(FARMS[0]), results_of(FARMS[0], {"wage": 2.0})
    assert turned.wage == pytest.approx(2.0 * plain.wage)
    assert turned.document["costs"]["labour"] == pytest.approx(
        2.0 * plain.document["costs"]["labour"]
    )
    assert factors({"wage": 1.0}) == {}


def luminance(colour: str) -> float:
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(("scheme", "ground"), [("light", "#fffefa"), ("dark", "#1f2a2f")])
def test_marks_and_text_stand_out_from_their_ground(scheme: str, ground: str) -> None:
    """W3C WCAG 2.2, success criteria 1.4.3 (text 4.5 to 1) and 1.4.11 (marks 3 to 1)."""
    theme = THEMES[scheme]

    def contrast(colour: str) -> float:
        pair = sorted((luminance(colour), luminance(ground)), reverse=True)
        return (pair[0] + 0.05) / (pair[1] + 0.05)

    assert min(contrast(theme.ink), contrast(theme.faint)) >= 4.5
    marks = (theme.good, theme.bad, theme.cost, theme.other, theme.calm)
    assert min(contrast(colour) for colour in marks) >= 3.0


def test_flat_pages_escape_what_a_farm_is_called() -> None:
    """A name is words and never markup, wherever it stands; OWASP, cross site scripting."""
    evil = '<img src=x onerror="alert(1)">&amp;\'"'
    made = markup(html.Td(html.Span(evil, title=evil)))
    assert "<img" not in made
    assert unescape(re.sub(r"<[^>]*>", "", made)) == evil
    assert flat([html.P(evil)]).to_plotly_json()["props"]["data-markup"].count("<") == 2


def test_flat_keeps_charts_and_ids() -> None:
    chart = html.Div([html.P("words"), html.Div(id="kept")])
    result = flat(chart)
    assert result.children[1].id == "kept"
    assert getattr(result.children[0], "data-markup") == "<p>words</p>"


def test_a_farms_words_are_no_markup_in_a_chart() -> None:
    made = energy([("<a href='http://example.org'>oil</a>", 1.0)], LIGHT)
    assert "<a" not in made["data"][0]["y"][0]
