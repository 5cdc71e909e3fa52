"""What a plan usually has: asked for where a farm gives cause, silent where it is given."""

import copy
import datetime
from pathlib import Path
from typing import Any

import pytest

from econ.farm.files import from_document, load
from econ.farm.overlooked import OLD_PRICES, QUESTIONS, odd_prices, overlooked
from econ.farm.schema import Scenario

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DAY = datetime.date(2026, 7, 1)


def farm(stem: str, *changes: tuple[tuple[str | int, ...], Any]) -> Scenario:
    """Load a demo farm with some values changed, or left out where they are None."""
    document = copy.deepcopy(load(SCENARIOS / f"{stem}.toml").merged)
    for path, value in changes:
        table: Any = document
        for step in path[:-1]:
            table = table[step]
        if value is None:
            table.pop(path[-1], None)
        else:
            table[path[-1]] = value
    return from_document(document, f"{stem}.toml")


def asked(scenario: Scenario) -> dict[str, str]:
    return {note.where: note.text for note in overlooked(scenario)}


# Field asked for, farm, what is left out of it, what answers it.
CASES = (
    ("[finance] kit_contingency", "wrenfold", ("finance", "kit_contingency"), 0.0),
    ("[process] first_year_share", "quillmere", ("process", "first_year_share"), 1.0),
    ("[[machines]] resale_loss", "quillmere", ("machines", 0, "resale_loss"), 0.0),
    ("[finance] exit_cost", "wrenfold", ("finance", "exit_cost"), 60.0),
    ("[[kit]] new_cost", "tamsel-pumps", ("kit", 3, "new_cost"), 900.0),
    ("[labour] upkeep_hours_per_year", "wrenfold", ("labour", "upkeep_hours_per_year"), 3.0),
    ("[labour] wage_taxed", "quillmere", ("labour", "wage_taxed"), True),
    ("[prices] fuel_duty", "kurrabee-downs", ("prices", "fuel_duty"), 0.0),
    ("[[thinners]] refund", "quillmere", ("thinners", 0, "refund"), 0.0),
    ("[[additives]] serves", "quillmere", ("additives", 1, "serves"), ["Gasoline, farm tank"]),
    ("[loan]", "quillmere", ("loan",), {"amount": 100.0, "rate": 0.05, "years": 2}),
)


@pytest.mark.parametrize(("where", "stem", "path", "answer"), CASES, ids=lambda v: str(v)[:24])
def test_what_is_usual_is_asked_for_until_it_is_given(
    where: str, stem: str, path: tuple[str | int, ...], answer: Any
) -> None:
    assert where in asked(farm(stem, (path, None)))
    assert where not in asked(farm(stem, (path, answer)))


def test_every_question_has_its_case() -> None:
    assert [row.where for row in QUESTIONS] == [case[0] for case in CASES]


def test_nothing_is_asked_of_machines_that_stay_on_pump_fuel() -> None:
    text = asked(farm("quillmere", (("machines", 0, "resale_loss"), None)))[
        "[[machines]] resale_loss"
    ]

    assert "Tillage tractor" in text
    assert "Combine" not in text
    assert "Shop heater" not in text


def test_ones_own_oil_is_no_promise() -> None:
    own = farm("stonebark-own-oil", (("process", "first_year_share"), None))

    assert "[process] first_year_share" not in asked(own)


def test_prices_older_than_half_a_year_are_told() -> None:
    def told(days: int) -> list[str]:
        scenario = farm("wrenfold", (("scenario", "priced_on"), DAY - datetime.timedelta(days)))
        return [note.text for note in odd_prices(scenario, DAY)]

    assert told(OLD_PRICES) == []
    assert told(OLD_PRICES + 1) == ["these prices are 184 days old; look them up again"]


def test_prices_of_no_day_are_told() -> None:
    undated = farm("wrenfold", (("scenario", "priced_on"), None))

    assert [note.where for note in odd_prices(undated, DAY)] == ["[scenario] priced_on"]


@pytest.mark.parametrize(("fuel", "told"), [(0.03, True), (0.025, False), (0.0, False)])
def test_fuel_that_grows_faster_than_all_else_is_called_a_bet(fuel: float, told: bool) -> None:
    scenario = farm("wrenfold", (("finance", "fuel_inflation"), fuel))

    bets = [note for note in odd_prices(scenario, DAY) if "you bet on dearer fuel" in note.text]
    assert bool(bets) is told
