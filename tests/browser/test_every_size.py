"""Every page at every size, in light and dark and on paper: axe finds nothing, nothing is cut.

W3C WCAG 2.2, success criteria 1.4.3 (contrast), 1.4.4 (200 % zoom), 1.4.10 (reflow) and what else
axe-core's rules hold.
"""

from collections.abc import Iterator
from typing import Any

import pytest
from browser_screen import Screen, Served, screen_of

from dashboards.web.registry import PAGES

pytestmark = pytest.mark.browser
FARM = "quillmere.toml"

# Name, width and height in CSS pixels, medium, scheme. 200 % zoom of a screen of 1366 by 768 lays
# a page out in half as many pixels each way.
VARIANTS = (
    ("1366", 1366, 768, "screen", "light"),
    ("1920", 1920, 1080, "screen", "light"),
    ("phone", 390, 844, "screen", "light"),
    ("zoom 200 %", 683, 384, "screen", "light"),
    ("paper", 1366, 768, "print", "light"),
    ("dark phone", 390, 844, "screen", "dark"),
    ("dark", 1366, 768, "screen", "dark"),
)
# Names, roles and what the page's head and sheets say are the same at every size: two ways have
# every rule. Where the focus may go and how large what is pressed is hangs on the size, and
# contrast on what lies over what as well.
_ALL_RULES = ("1366", "phone")
_OF_SIZE = ("color-contrast", "target-size", "scrollable-region-focusable", "aria-hidden-focus")
# Nothing is pressed on paper; and dark, each thing stands where it stood in light, as is compared.
_OF_COLOUR = ("color-contrast",)
_LIGHT = {"dark phone": "phone", "dark": "1366"}
# Where each thing stands: charts are drawn anew in other colours, so each counts as one.
_PLACES = """[...document.querySelectorAll('body *')].filter(one => !one.closest('svg, .chart *'))
    .map(one => one.getBoundingClientRect())
    .map(one => [one.x + scrollX, one.y + scrollY, one.width, one.height].join())"""


@pytest.fixture(scope="module")
def shown(chromium: Any, demos: Served) -> Iterator[Screen]:
    """Return one page for all sizes."""
    result = screen_of(chromium, demos, width=1366, height=768)
    yield result
    result.page.context.close()
    assert result.complaints == []
    assert result.outside == []


def turn(screen: Screen, width: int, height: int, medium: str, scheme: str) -> None:
    """Lay the page out anew, without loading it again."""
    page = screen.page
    page.set_viewport_size({"width": width, "height": height})
    page.emulate_media(media=medium)
    if page.evaluate("document.documentElement.dataset.scheme") != scheme:
        page.evaluate("document.getElementById('scheme-switch').click()")
        screen.until(f"document.documentElement.dataset.scheme === '{scheme}'")
    screen.rests()


def shows(screen: Screen, path: str) -> None:
    """Go to a page of the largest farm as a link does, and load it where none is open."""
    if screen.page.url.endswith(f"?farm={FARM}"):
        screen.goes_to(path)
    else:
        screen.open(path.removeprefix("/"), FARM)


@pytest.mark.parametrize("path", [page.path for page in PAGES])
def test_axe_finds_nothing_and_nothing_is_cut(shown: Screen, path: str) -> None:
    shows(shown, path)
    if path == "/questions":
        shown.page.click("text=Begin a farm of my own")
        shown.becomes("#questions", "12. ")
    shown.until(
        "document.querySelector('main h1') !== null"
        " && !document.querySelector('main').innerText.includes('ing it out')"
        " && !document.querySelector('main').innerText.includes('Working')"
    )
    places = {}
    for name, width, height, medium, scheme in VARIANTS:
        turn(shown, width, height, medium, scheme)
        places[name] = shown.page.evaluate(_PLACES)
        light = _LIGHT.get(name)
        rules = _OF_COLOUR if light or medium == "print" else _OF_SIZE
        assert places[name] == places[light or name], (path, name)
        assert shown.faults_of_axe(() if name in _ALL_RULES else rules) == [], (path, name)
        if medium == "screen":
            wide = shown.page.evaluate("document.documentElement.scrollWidth")
            assert wide <= width, (path, name, wide)
    turn(shown, 1366, 768, "screen", "light")
    if path == "/questions":
        beside = "document.querySelector('.so-far').getBoundingClientRect()"
        first = "document.querySelector('.question').getBoundingClientRect()"
        assert shown.page.evaluate(f"{beside}.left >= {first}.right && {beside}.top < 300")
