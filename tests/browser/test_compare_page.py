"""The page "Side by side" in a browser: choose a plan, read what changes, on a phone too."""

import pytest
from browser_screen import Screen, screen_of

pytestmark = pytest.mark.browser


def test_a_chosen_plan_is_set_beside_the_open_farm(screen: Screen) -> None:
    screen.open("compare", "stonebark-big.toml")
    screen.page.select_option("#compare-first-choice", "stonebark-own-oil.toml")
    screen.becomes("#compare-body", "All plans")

    assert "stonebark-own-oil, set against stonebark-big" in screen.text("#compare-body")
    assert screen.faults_of_axe() == []


def test_it_fits_a_phone_and_says_why_plans_do_not_compare(
    chromium: object, screen: Screen
) -> None:
    phone = screen_of(chromium, screen.served, 375, 700)
    phone.open("compare", "stonebark-big.toml")
    phone.page.select_option("#compare-first-choice", "kurrabee-downs.toml")
    phone.becomes("#compare-body", "AUD")
    phone.page.select_option("#compare-first-choice", "stonebark-own-oil.toml")
    phone.becomes("#compare-body", "All plans")

    assert phone.page.evaluate("document.documentElement.scrollWidth") <= 375
    phone.page.context.close()
