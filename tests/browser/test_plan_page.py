"""The page "Which plan" in a browser: a button, a word while it works, and the answer."""

import pytest
from browser_screen import Screen, screen_of

pytestmark = pytest.mark.browser


def test_the_search_starts_by_its_button_and_shows_the_best_plan(screen: Screen) -> None:
    screen.open("plan", "wrenfold.toml")
    screen.page.click("#plan-search")
    screen.becomes("#plan-body", "Beside the others")

    # One card beneath the other, each as wide as the page.
    places = screen.page.evaluate(
        "[...document.getElementById('plan-body').children]"
        ".map(one => [one.getBoundingClientRect().left, one.getBoundingClientRect().width])"
    )
    assert len(places) > 3
    assert places == [places[0]] * len(places)
    assert "a year" in screen.text("#plan-body")
    assert "Every one of" in screen.text("#plan-body")
    assert screen.faults_of_axe() == []


def test_it_fits_a_phone(chromium: object, screen: Screen) -> None:
    phone = screen_of(chromium, screen.served, 375, 700)
    phone.open("plan", "quillmere-two-ways.toml")
    phone.page.click("#plan-search")
    phone.becomes("#plan-body", "From nothing, one source at a time")

    assert phone.page.evaluate("document.documentElement.scrollWidth") <= 375
    phone.page.context.close()
