"""Each callback of the app fails in turn, and each page's inputs move: nothing old looks true."""

import functools
import json
import shutil
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, watched
from web_client import serving

from dashboards.web.registry import PAGES

pytestmark = pytest.mark.browser
CALLS = Path(__file__).with_name("calls.js")
FARM = "wrenfold.toml"
_TURN_LEVERS = "levers => window.dash_clientside.set_props('levers', {data: levers})"
FEEDS = ["draft", "settled", "levers"]


@functools.cache
def callbacks(address: str) -> dict[str, dict[str, Any]]:
    """List the app's callbacks on the server, by output, as it lists them to its pages."""
    with urllib.request.urlopen(f"{address}_dash-dependencies") as answer:  # noqa: S310, our own
        rows = json.load(answer)
    return {row["output"]: row for row in rows if not row["clientside_function"]}


def turns_to(page: Any, path: str) -> None:
    """Change pages as a link does."""
    page.evaluate("path => window.dash_clientside.set_props('url', {pathname: path})", path)


def seen(page: Any) -> list[str]:
    """Return what was called since the page was loaded or this was last asked, each once."""
    return list(dict.fromkeys(page.evaluate("calls.seen.splice(0)")))


def parts_of(page: Any, path: str) -> list[str]:
    """Return what is pressed to see the other parts of a page."""
    tabs = page.evaluate("[...document.querySelectorAll('[data-tab]')].map(one => one.dataset.tab)")
    behind = {
        "/farm": ["#section-buttons >> text=Kit"],
        "/questions": ["text=Begin a farm of my own"],
    }
    return [f"[data-tab={tab}]" for tab in tabs] + behind.get(path, [])


def fails(page: Any, outputs: list[str]) -> None:
    page.evaluate("outputs => calls.fails(outputs)", outputs)


def apart(page: Any, outputs: list[str]) -> list[list[str]]:
    """Sort callbacks so that those of a group write into places of their own, seen on the page.

    What one of them shows when it fails is then not what another shows.
    """
    groups: list[tuple[list[str], set[str]]] = []
    for output in outputs:
        places = set(page.evaluate("output => calls.placed(output)", output))
        fitting = [group for group in groups if places and group[1] and not places & group[1]]
        if fitting:
            fitting[0][0].append(output)
            fitting[0][1].update(places)
        else:
            groups.append(([output], places))
    return [group for group, _ in groups]


def fail_and_answer(screen: Screen, outputs: list[str]) -> list[str]:
    """Look at the page after callbacks have failed, let them try again, and look once more.

    Returns those that were called, and so have failed: one may hang on another's answer.
    """
    page = screen.page
    # Other calls have answered since and took nothing away from it; a page laid out twice asks
    # twice, and what fails is said again. No wait goes on for ever beside it.
    screen.rests(
        "document.getElementById('lost')?.hidden === false"
        " && !document.body.matches('.settling, .working')"
        " && [...document.querySelectorAll('.waiting')].every(one => !one.offsetParent)"
        f" || !{json.dumps(outputs)}"
    )
    found = page.evaluate("calls.failures()")
    assert found, outputs
    for one in found:
        assert one["unmarked"] == [], one
        assert one["noted"] == one["figures"], one
    noted = page.locator(".beside-note button").count() > 0
    assert noted == any(one["figures"] for one in found), found
    assert "Trying every plan" not in page.inner_text("main"), outputs
    fails(page, [])
    # The button may be set anew while it is aimed at: what counts is that it was pressed.
    button = ".beside-note button, #lost button" if len(found) == 1 else "#lost button"
    page.evaluate(f"document.querySelector('{button}').click()")
    screen.until("document.getElementById('lost').hidden")
    screen.rests()
    assert page.evaluate("calls.marked('out-of-date')") == [], outputs
    assert page.locator(".beside-note").count() == 0, outputs
    return [one["output"] for one in found]


@pytest.fixture(scope="module")
def few(chromium: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Any, Served]]:
    """Serve two farms, whose list is soon worked out, to a browsing context of their own."""
    folder = tmp_path_factory.mktemp("few")
    for name in (FARM, "tamsel-pumps.toml"):
        shutil.copy(SCENARIOS / name, folder)
    with serving(folder) as address:
        context = chromium.new_context(viewport={"width": 1280, "height": 900})
        # While one page of the server is open, the process that draws its pages lives.
        context.new_page().goto(f"{address}assets/drumworth.css")
        yield context, Served(address, folder)
        context.close()


@pytest.fixture
def listened(few: tuple[Any, Served]) -> Iterator[Screen]:
    """Return a page whose calls can be let fail, and that is closed at the end."""
    context, served = few
    page = context.new_page()
    screen = watched(page, served)
    # After what counts the page's work, so that a call that is held back is none of it.
    page.add_init_script(path=CALLS)
    yield screen
    page.close()


def test_every_callback_that_fails_says_so_until_it_answers(listened: Screen) -> None:
    screen, page = listened, listened.page
    known = callbacks(screen.served.address)
    start = f"{screen.served.address}?farm={FARM}"
    tried: list[str] = []

    def untried() -> list[str]:
        return [one for one in seen(page) if one not in tried]

    def tries(*outputs: str) -> None:
        found = fail_and_answer(screen, list(outputs))
        assert set(found) <= set(outputs)
        tried.extend(found)

    screen.open("", FARM)
    screen.rests()
    # What a whole load asks for and a change of pages does not.
    loaded = seen(page)
    screen.goes_to("/thinners")
    screen.goes_to("/")
    turned = seen(page)
    for output in [one for one in loaded if one not in turned]:
        fails(page, [output])
        page.goto(start)
        tries(output)
    # The questions come last, and on a farm without edits: they begin one that is in no file.
    for path in sorted((one.path for one in PAGES), key="/questions".__eq__):
        # A page that works nothing out until it is asked.
        away = "/plan" if path != "/plan" else "/compare"
        if path == "/questions":
            screen.open("", FARM)
        screen.goes_to(away)
        seen(page)
        screen.goes_to(path)
        asked = untried()
        while rest := [one for one in asked if one not in tried]:
            group = apart(page, rest)[0]
            screen.goes_to(away)
            fails(page, group)
            turns_to(page, path)
            tries(*group)
        # What is asked for by a hand: each button and box that a callback listens to.
        for more in ["", *parts_of(page, path)]:
            if more:
                page.click(more)
                screen.rests()
            rows = [row for output, row in known.items() if output not in tried]
            while one := page.evaluate("([rows, feeds]) => calls.next(rows, feeds)", [rows, FEEDS]):
                fails(page, [one["output"]])
                page.evaluate("one => calls.ask(one)", one)
                tries(one["output"])
                rows = [row for row in rows if row["output"] != one["output"]]
    assert set(known) - set(tried) == set()


@pytest.mark.parametrize("path", [one.path for one in PAGES])
def test_what_follows_from_other_numbers_is_greyed_until_it_is_true(
    listened: Screen, path: str
) -> None:
    screen, page = listened, listened.page
    screen.open(path.lstrip("/"), FARM)
    screen.rests()
    follows = [
        output
        for output, row in callbacks(screen.served.address).items()
        if {one["id"] for one in row["inputs"]} & {"settled", "levers"}
    ]
    here = set(page.evaluate("outputs => outputs.flatMap(calls.placed)", follows)) - {"faults"}
    assert here
    assert page.evaluate("calls.marked('greyed')") == []
    page.evaluate("calls.holds = true")
    page.evaluate(_TURN_LEVERS, {"pump_price": 1.3})
    # Each call has begun, and none is answered.
    screen.rests("document.querySelector('.greyed')")
    assert here <= set(page.evaluate("calls.marked('greyed')"))
    assert page.evaluate("document.getElementById('lost').hidden")
    page.evaluate("calls.release()")
    screen.rests()
    assert page.evaluate("calls.marked('greyed')") == []


def test_the_advice_above_a_page_is_greyed_after_another_page_wrote_it(listened: Screen) -> None:
    screen, page = listened, listened.page
    screen.open("", FARM)
    # A slider's step writes the first screen and the advice above every page in one call.
    page.evaluate(_TURN_LEVERS, {"pump_price": 1.2})
    screen.rests()
    screen.goes_to("/farm")
    page.evaluate("calls.holds = true")
    page.evaluate(_TURN_LEVERS, {"pump_price": 1.3})
    screen.rests("document.querySelector('.greyed')")
    assert {"headline", "head-verdict"} <= set(page.evaluate("calls.marked('greyed')"))
    page.evaluate("calls.release()")
    screen.rests()
    assert page.evaluate("calls.marked('greyed')") == []


def test_a_plan_asked_for_before_the_farm_changed_says_so(listened: Screen) -> None:
    screen, page = listened, listened.page
    screen.open("plan", FARM)
    page.click("#plan-search")
    screen.becomes("#plan-body", "Beside the others")
    page.evaluate(_TURN_LEVERS, {"pump_price": 1.3})
    screen.until("document.getElementById('plan-body').matches('.greyed')")
    screen.becomes(".beside-note", "The farm has changed since this was worked out.")
    page.evaluate("document.querySelector('.beside-note button').click()")
    screen.until("!document.getElementById('plan-body').matches('.greyed')")
    assert page.locator(".beside-note").count() == 0
