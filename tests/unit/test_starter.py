"""The starter farm: whole, valid, explained, in any unit system and money."""

import datetime
import tomllib

import pytest

from econ.farm.files import from_document
from econ.farm.schema import TABLES, Estimate, Scenario
from econ.farm.starter import starter
from econ.ground.units import DIMENSIONS

DAY = datetime.date(2026, 6, 15)


def farm(units: str, currency: str = "USD") -> Scenario:
    return from_document(tomllib.loads(starter(units, currency, DAY)), "farm.toml")


@pytest.mark.parametrize("currency", ["USD", "AUD", "JPY"])
@pytest.mark.parametrize("units", ["us", "metric"])
def test_the_starter_is_a_farm_that_loads(units: str, currency: str) -> None:
    header = farm(units, currency).scenario

    assert (header.units, header.currency, header.priced_on) == (units, currency, DAY)


@pytest.mark.parametrize("units", ["us", "metric"])
def test_every_field_is_explained_where_it_first_stands(units: str) -> None:
    lines = starter(units, "AUD", DAY).splitlines()
    seen: set[tuple[str, str]] = set()
    table = ""
    for before, line in zip(["", *lines], lines, strict=False):
        if line.startswith("["):
            table = line.strip("[]")
        elif line and not line.startswith("#"):
            key = (table, line.split(" = ")[0])
            assert key in seen or before.startswith("# "), line
            seen.add(key)

    assert len(seen) > 40


def test_units_and_money_in_its_words_are_the_files() -> None:
    us, metric = starter("us", "USD", DAY), starter("metric", "AUD", DAY)

    assert "[$/gal]" in us
    assert "[A$/L]" in metric
    assert "/gal]" not in metric
    assert "/L]" not in us


def test_both_unit_systems_tell_of_one_farm() -> None:
    # The metric text is rounded to three digits, hence half a per cent.
    us, metric = farm("us"), farm("metric")
    litres = DIMENSIONS["volume"].us_factor
    mine, theirs = us.oils[1].volume_per_month, metric.oils[1].volume_per_month

    assert isinstance(mine, Estimate)
    assert isinstance(theirs, Estimate)
    assert theirs.likely == pytest.approx(mine.likely * litres, rel=5e-3)
    assert isinstance(us.prices.farm_diesel, Estimate)
    assert isinstance(metric.prices.farm_diesel, Estimate)
    assert metric.prices.farm_diesel.likely == pytest.approx(
        us.prices.farm_diesel.likely / litres, rel=5e-3
    )
    assert metric.finance == us.finance


def test_the_starter_has_every_table_that_is_not_optional() -> None:
    document = tomllib.loads(starter("us", "USD", DAY))
    optional = {"machines.wear", "additives", "loan", "setups", "limits", "reserve", "records"}

    assert {name for name, _, _ in TABLES} - optional <= document.keys()


def test_the_files_name_stands_in_its_hint() -> None:
    assert "drumworth check hill.toml" in starter("us", "USD", DAY, "hill.toml")
