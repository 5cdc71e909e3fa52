"""A whole farm of one's own by keyboard alone; the focus never falls to the page's body.

W3C WCAG 2.2, success criteria 2.1.1 (keyboard), 2.1.2 (no trap), 2.4.3 (focus order) and 2.4.7
(focus visible).
"""

from pathlib import Path
from typing import Any

import pytest
from browser_screen import Screen, Served, screen_of
from web_client import running

from econ.farm.fields import Estimate
from econ.farm.files import load

pytestmark = pytest.mark.browser

_HERE = """(function () {
  var a = document.activeElement;
  var label = a.labels && a.labels.length ? a.labels[0].innerText : '';
  if (a === document.body) return 'the body';
  return [a.tagName, a.id, a.getAttribute('aria-label') || '', label,
    (a.innerText || '').slice(0, 60)].join(' | ');
})()"""


class Keys:
    """Nothing but keys, and an eye on where the focus is."""

    def __init__(self, screen: Screen) -> None:
        self.screen, self.page = screen, screen.page
        self.begun = False

    def press(self, key: str) -> None:
        """Press a key, once what has the focus is not the body: no key goes astray."""
        if self.begun:
            self.screen.until("document.activeElement !== document.body", seconds=2.0)
        self.begun = True
        self.page.keyboard.press(key)

    def here(self) -> str:
        return str(self.page.evaluate(_HERE))

    def to(self, words: str, key: str = "Tab", most: int = 150) -> None:
        """Go on until what has the focus is named so."""
        seen = []
        for _ in range(most):
            here = self.here()
            if words in here:
                assert self.visible(), f"nothing shows that {words} has the focus"
                return
            seen.append(here)
            self.press(key)
        pytest.fail(f"no way to {words}: {seen}")

    def visible(self) -> bool:
        """Return whether the focus is seen: an outline on it, in the window."""
        script = """(function () {
          var a = document.activeElement, s = getComputedStyle(a), b = a.getBoundingClientRect();
          var seen = b.bottom > 0 && b.top < innerHeight && b.width > 0;
          var frame = a.closest('.dash-input-container');
          return seen && [s, frame ? getComputedStyle(frame) : s].some(function (one) {
            return one.outlineStyle === 'solid' && parseFloat(one.outlineWidth) >= 2;
          });
        })()"""
        return bool(self.page.evaluate(script))


def blank(key: str) -> str:
    return f'{{"path":"{key}","type":"q"}}'


def box(path: str) -> str:
    return f'{{"path":"{path}","type":"v"}}'


def test_from_an_empty_folder_to_a_saved_farm(chromium: Any, tmp_path: Path) -> None:
    with running(tmp_path) as client:
        screen = screen_of(chromium, Served(f"{client.origin}/", tmp_path))
        page, keys = screen.page, Keys(screen)
        page.goto(screen.served.address)
        screen.becomes("#questions", "12. ")
        screen.becomes("#so-far", "What to find out next")
        keys.to(blank("farm_diesel"))
        page.keyboard.type("$4.10")
        keys.to("answer-machine.1")
        keys.press("ArrowDown")
        keys.to("answer-giver.0")
        keys.press("ArrowDown")
        for key, text in {"giver.0.volume": "60", "kit.cost": "$2,200", "wage": "24"}.items():
            keys.to(blank(key))
            page.keyboard.type(text)
        screen.becomes("#so-far", "you count your hour at $24")
        keys.to("See the whole decision")
        keys.press("Enter")
        screen.becomes(".first-boxes", "$2,")
        screen.until("document.activeElement !== document.body")
        keys.to("save", "Shift+Tab")
        keys.press("Enter")
        screen.until("document.activeElement.id === 'save-name'")
        page.keyboard.type("ours.toml")
        keys.to("save-as")
        keys.press("Enter")
        screen.becomes("#said", "Saved as ours.toml")
        screen.until("document.activeElement !== document.body")
        keys.to("Thinners", "Shift+Tab")
        assert load(tmp_path / "ours.toml").labour.wage == 24.0
        assert screen.complaints == []
        page.context.close()


def test_every_number_of_a_farm_from_nothing(chromium: Any, tmp_path: Path) -> None:
    """The form: a starter farm, a number, an entry added and filled, one removed, saved."""
    with running(tmp_path) as client:
        screen = screen_of(chromium, Served(f"{client.origin}/", tmp_path))
        page, keys = screen.page, Keys(screen)
        page.goto(screen.served.address)
        screen.becomes("#questions", "12. ")
        keys.to("Every number of it")
        keys.press("Enter")
        screen.becomes("main", "The farm, number by number")
        keys.to("New farm, US units")
        keys.press("Enter")
        screen.becomes("#headline", "My farm")
        keys.to("Your time")
        keys.press("Enter")
        screen.becomes("#form", "Wage")
        keys.to(box("labour.wage#likely"))
        keys.press("Control+a")
        page.keyboard.type("27.5")
        screen.becomes("#unsaved", "not saved")
        keys.to("Kit", "Shift+Tab")
        keys.press("Space")
        screen.becomes("#form", "Add to kit")
        keys.to("Add to kit")
        keys.press("Enter")
        screen.until("document.activeElement.value === 'New item'")
        page.keyboard.type("Pump")
        index = page.evaluate("document.activeElement.id.split('.')[1]")
        for path, text in (("cost#likely", "$300"), ("life_years", "8")):
            keys.to(box(f"kit.{index}.{path}"))
            page.keyboard.type(text)
        screen.until("!document.getElementById('form').innerText.includes('Not counted yet')")
        keys.to("Copy this entry")
        keys.press("Enter")
        screen.becomes("#form", "Pump (copy)")
        keys.to("Remove this entry")
        keys.press("Enter")
        screen.until("!document.getElementById('entry-buttons').innerText.includes('(copy)')")
        page.wait_for_timeout(400)
        keys.press("Control+z")
        screen.becomes("#entry-buttons", "(copy)")
        keys.press("Control+y")
        screen.until("!document.getElementById('entry-buttons').innerText.includes('(copy)')")
        screen.until("document.activeElement !== document.body")
        keys.to("Machines", "Shift+Tab")
        keys.press("Enter")
        screen.becomes("#form", "Old tractor")
        keys.to("save", "Shift+Tab")
        keys.press("Enter")
        screen.until("document.activeElement.id === 'save-name'")
        page.keyboard.type("ours.toml")
        keys.press("Enter")
        screen.becomes("#said", "Saved as ours.toml")
        screen.until("document.activeElement !== document.body")
        saved = load(tmp_path / "ours.toml")
        assert saved.labour.wage == Estimate(low=15.0, likely=27.5, high=35.0)
        assert [item.name for item in saved.kit][-1] == "Pump"
        assert screen.complaints == []
        page.context.close()


def test_the_thinners_by_keyboard(screen: Screen) -> None:
    keys = Keys(screen)
    screen.open("thinners?farm=quillmere.toml")
    screen.becomes("#thinner-body", "Money kept in a year")
    keys.to("Hay tractor")
    keys.press("Enter")
    screen.becomes("#thinner-body", "Hay tractor: ")
    screen.page.wait_for_timeout(300)
    keys.to("The figures behind it")
    keys.press("Enter")
    assert "out of pocket per volume" in screen.text("#thinner-body")
    keys.to("What if prices change?", "Shift+Tab")
    keys.press("Enter")
    keys.to('"type":"lever"')
    keys.press("ArrowRight")
    screen.becomes("#headline", "What if")
    screen.page.wait_for_timeout(800)
    screen.rests()
    keys.to("Decide", "Shift+Tab")
    keys.press("Enter")
    screen.becomes(".first-boxes", "Up front")
    screen.page.wait_for_timeout(300)
    screen.until("document.activeElement !== document.body")


@pytest.mark.parametrize("path", ["", "thinners", "present", "plan", "compare", "records"])
def test_a_walk_through_a_page_meets_every_control_and_ends(screen: Screen, path: str) -> None:
    """Every control is reached by Tab, and Tab leads past the last one: no trap."""
    screen.open(path)
    screen.rests()
    screen.until("!document.querySelector('main').innerText.includes('ing it out')")
    # Of several radio buttons Tab meets the one that is chosen; arrows lead to the others.
    wanted = screen.page.evaluate(
        "Array.from(document.querySelectorAll('a[href], button, input, select, summary'))"
        ".filter(function (e) { return !e.disabled && e.type !== 'hidden' && e.tabIndex >= 0"
        " && (e.type !== 'radio' || e.checked)"
        " && e.checkVisibility({visibilityProperty: true}); }).length"
    )
    screen.page.evaluate(
        "window.met = new Set(); document.addEventListener('focusin',"
        " function (e) { window.met.add(e.target); })"
    )
    for _ in range(wanted + 30):
        screen.page.keyboard.press("Tab")
        if screen.page.evaluate("document.activeElement === document.body"):
            break
    else:
        pytest.fail("Tab never leaves the page")
    met = screen.page.evaluate(
        "Array.from(window.met).filter(function (e) { return e.isConnected; }).length"
    )
    assert met >= wanted
