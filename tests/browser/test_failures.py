"""Each callback of the app fails in turn, and each page's inputs move: nothing old looks true."""

import functools
import json
import re
import shutil
import urllib.request
from collections.abc import Iterator
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, watched
from web_client import serving

from dashboards.web.registry import PAGES

pytestmark = pytest.mark.browser
UPDATE = re.compile("_dash-update-component")
FARM = "wrenfold.toml"
FEEDS = {"draft", "settled", "levers"}


def general(output: str) -> str:
    """Name one row of a table by the pattern of all its rows."""
    ident, _, prop = output.rpartition(".")
    if not ident.startswith("{") or "name" not in json.loads(ident):
        return output
    return (
        json.dumps({"name": ["MATCH"], "type": json.loads(ident)["type"]}, separators=(",", ":"))
        + f".{prop}"
    )


class Calls:
    """Lets calls of one callback fail, holds others back, and notes what was called."""

    def __init__(self, page: Any) -> None:
        self.failing: str | None = None
        self.holds = False
        self.held: list[Any] = []
        self.seen: list[str] = []
        page.route(UPDATE, self._answer)

    def _answer(self, route: Any) -> None:
        output = general(json.loads(route.request.post_data)["output"])
        self.seen.append(output)
        if output == self.failing:
            route.fulfill(status=500, body='{"refused": "on purpose"}')
        elif self.holds:
            self.held.append(route)
        else:
            route.continue_()

    def release(self) -> None:
        self.holds = False
        for route in self.held:
            route.continue_()
        self.held = []


@functools.cache
def callbacks(address: str) -> dict[str, dict[str, Any]]:
    """List the app's callbacks on the server, by output, as it lists them to its pages."""
    with urllib.request.urlopen(f"{address}_dash-dependencies") as answer:  # noqa: S310, our own
        rows = json.load(answer)
    return {row["output"]: row for row in rows if not row["clientside_function"]}


# The ids on the page that a callback means by a name, which may be a pattern.
MEANT = """wanted => [...document.querySelectorAll('[id]')].map(one => one.id).filter(id => {
    if (wanted[0] !== '{' || id[0] !== '{') return id === wanted;
    const [one, other] = [JSON.parse(wanted), JSON.parse(id)];
    return Object.keys(one).length === Object.keys(other).length && Object.keys(one).every(
        key => Array.isArray(one[key]) ? key in other : one[key] === other[key]);
})"""


def placed(page: Any, output: str) -> set[str]:
    """Return the ids of a callback's outputs that stand on the page now."""
    names = output[2:-2].split("...") if output.startswith("..") else [output]
    ids = [name.split("@")[0].rpartition(".")[0] for name in names]
    return {one for ident in ids for one in page.evaluate(MEANT, ident)}


def marked(page: Any, name: str) -> set[str]:
    script = "name => [...document.querySelectorAll('.' + name)].map(one => one.id)"
    return set(page.evaluate(script, name))


def inputs_here(page: Any, row: dict[str, Any]) -> list[tuple[Any, str]]:
    """Return which inputs of a callback stand on the page, each with its property."""
    result = []
    for one in row["inputs"]:
        names = page.evaluate(MEANT, one["id"])[:1]
        result += [(json.loads(n) if n.startswith("{") else n, one["property"]) for n in names]
    if not result and placed(page, row["output"]):
        result = [(one["id"], one["property"]) for one in row["inputs"] if one["id"] in FEEDS]
    return result


def ask(page: Any, ident: Any, kind: str) -> None:
    """Set an input anew to what it is, or press it, whichever it is made for."""
    script = """([id, property]) => {
        const name = typeof id === 'string' ? id : JSON.stringify(id);
        const box = document.getElementById(name);
        const value = property === 'n_clicks' ? 1 : box ? box.value : null;
        window.dash_clientside.set_props(id, {[property]: value});
    }"""
    page.evaluate(script, [ident, kind])


def goes_to(screen: Screen, path: str) -> None:
    """Change pages as a link does."""
    page = screen.page
    page.evaluate("path => window.dash_clientside.set_props('url', {pathname: path})", path)
    screen.until(f"document.querySelector('nav a.here')?.getAttribute('href') === '{path}'")
    is_quiet(screen)


def parts_of(page: Any, path: str) -> list[str]:
    """Return what is pressed to see the other parts of a page."""
    tabs = page.evaluate("[...document.querySelectorAll('[data-tab]')].map(one => one.dataset.tab)")
    behind = {
        "/farm": ["#section-buttons >> text=Machines"],
        "/questions": ["text=Begin a farm of my own"],
    }
    return [f"[data-tab={tab}]" for tab in tabs] + behind.get(path, [])


def is_quiet(screen: Screen) -> None:
    """Wait until nothing has been asked for a while: one answer may lead to the next call."""
    for _ in range(5):
        screen.rests()
        screen.page.wait_for_timeout(40)


def fails_and_answers(screen: Screen, calls: Calls, output: str) -> None:
    """Look at the page after a callback has failed, let it try again, and look once more."""
    page = screen.page
    screen.until(
        f"!!{json.dumps(output)} && document.getElementById('lost')"
        " && !document.getElementById('lost').hidden"
    )
    # Other calls have answered since and took nothing away from it; a page laid out twice asks
    # twice, and what fails is said again.
    screen.until(
        "!document.body.matches('.settling, .working') && !document.getElementById('lost').hidden"
    )
    assert placed(page, output) <= marked(page, "out-of-date"), output
    # No wait goes on for ever beside it.
    screen.until(
        "[...document.querySelectorAll('.waiting')].every(one => !one.offsetParent)"
        f" || !{json.dumps(output)}"
    )
    assert "Trying every plan" not in page.inner_text("main"), output
    figures = page.evaluate(
        "ids => ids.some(id => id !== 'page' && document.getElementById(id).offsetParent"
        " && document.getElementById(id).closest('#page')"
        " && !/^(inline|contents)/.test(getComputedStyle(document.getElementById(id)).display))",
        sorted(placed(page, output)),
    )
    assert (page.locator(".beside-note button").count() > 0) == figures, output
    calls.failing = None
    # The button may be set anew while it is aimed at: what counts is that it was pressed.
    page.evaluate("document.querySelector('.beside-note button, #lost button').click()")
    screen.until("document.getElementById('lost').hidden")
    screen.rests()
    assert marked(page, "out-of-date") == set(), output
    assert page.locator(".beside-note").count() == 0, output


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
def listened(few: tuple[Any, Served]) -> Iterator[tuple[Screen, Calls]]:
    """Return a page whose calls can be let fail, and that is closed at the end."""
    context, served = few
    page = context.new_page()
    yield watched(page, served), Calls(page)
    page.close()


def test_every_callback_that_fails_says_so_until_it_answers(
    listened: tuple[Screen, Calls],
) -> None:
    screen, calls = listened
    page, known = screen.page, callbacks(screen.served.address)
    start = f"{screen.served.address}?farm={FARM}"
    screen.open("", FARM)
    screen.rests()
    tried: set[str] = set()
    # What a whole load asks for and a change of pages does not.
    loaded = list(dict.fromkeys(calls.seen))
    calls.seen = []
    goes_to(screen, "/thinners")
    goes_to(screen, "/")
    for output in [one for one in loaded if one not in calls.seen]:
        calls.failing = output
        page.goto("about:blank")
        page.goto(start)
        fails_and_answers(screen, calls, output)
        tried.add(output)
    # The questions come last, and on a farm without edits: they begin one that is in no file.
    for path in sorted((one.path for one in PAGES), key="/questions".__eq__):
        # A page that works nothing out until it is asked.
        away = "/plan" if path != "/plan" else "/compare"
        if path == "/questions":
            screen.open("", FARM)
        goes_to(screen, away)
        calls.seen = []
        goes_to(screen, path)
        for output in [one for one in dict.fromkeys(calls.seen) if one not in tried]:
            goes_to(screen, away)
            calls.failing = output
            page.evaluate("path => window.dash_clientside.set_props('url', {pathname: path})", path)
            fails_and_answers(screen, calls, output)
            tried.add(output)
        # What is asked for by a hand: each button and box that a callback listens to.
        for more in ["", *parts_of(page, path)]:
            if more:
                page.click(more)
                is_quiet(screen)
            for output in [one for one in known if one not in tried]:
                for ident, kind in inputs_here(page, known[output])[:1]:
                    calls.failing = output
                    ask(page, ident, kind)
                    fails_and_answers(screen, calls, output)
                    tried.add(output)
    assert set(known) - tried == set()


@pytest.mark.parametrize("path", [one.path for one in PAGES])
def test_what_follows_from_other_numbers_is_greyed_until_it_is_true(
    listened: tuple[Screen, Calls], path: str
) -> None:
    screen, calls = listened
    page, known = screen.page, callbacks(screen.served.address)
    screen.open(path.lstrip("/"), FARM)
    screen.rests()
    follows = [
        output
        for output, row in known.items()
        if {one["id"] for one in row["inputs"]} & {"settled", "levers"}
    ]
    here = {ident for output in follows for ident in placed(page, output)} - {"faults"}
    assert here
    assert marked(page, "greyed") == set()
    calls.holds = True
    page.evaluate("window.dash_clientside.set_props('levers', {data: {pump_price: 1.3}})")
    screen.until("document.querySelector('.greyed')")
    page.wait_for_timeout(500)
    assert here <= marked(page, "greyed")
    assert page.evaluate("document.getElementById('lost').hidden")
    calls.release()
    screen.rests()
    assert marked(page, "greyed") == set()


def test_a_plan_asked_for_before_the_farm_changed_says_so(listened: tuple[Screen, Calls]) -> None:
    screen, _ = listened
    page = screen.page
    screen.open("plan", FARM)
    page.click("#plan-search")
    screen.becomes("#plan-body", "Beside the others")
    page.evaluate("window.dash_clientside.set_props('levers', {data: {pump_price: 1.3}})")
    screen.until("document.getElementById('plan-body').matches('.greyed')")
    screen.becomes(".beside-note", "The farm has changed since this was worked out.")
    page.evaluate("document.querySelector('.beside-note button').click()")
    screen.until("!document.getElementById('plan-body').matches('.greyed')")
    assert page.locator(".beside-note").count() == 0
