"""A farm being edited: what people type, what counts, and what is said at a box."""

import copy
import datetime
import tomllib
from pathlib import Path
from typing import Any

import pytest

from econ.farm.counting import counted, unfinished
from econ.farm.editing import changed, edited, same, shape_of, waiting_ways
from econ.farm.field_words import (
    _COMMON,
    MODELS,
    SECTIONS,
    WAY_QUESTIONS,
    WORDS,
    plain_words,
    way_fields,
    where_in_words,
)
from econ.farm.files import from_document
from econ.farm.marks import marks
from econ.farm.reading import Units, box_faults, number_of, short_number, unusual
from econ.farm.schema import WAYS, about
from econ.farm.starter import starter
from econ.ground.errors import RefusedError, ScenarioError

US = Units("us", "USD")
SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture
def farm() -> dict[str, Any]:
    text = starter("us", "USD", datetime.date(2026, 6, 15))
    result = tomllib.loads(text)
    result["scenario"]["priced_on"] = "2026-06-15"
    return result


def works(document: dict[str, Any]) -> bool:
    result = copy.deepcopy(counted(document))
    result["scenario"].pop("priced_on", None)
    try:
        from_document(result, "farm.toml")
    except ScenarioError:
        return False
    return True


def detail(table: str, field: str) -> Any:
    return about(MODELS[table], field)


@pytest.mark.parametrize(
    ("typed", "table", "field", "value"),
    [
        ("$4.10", "prices", "road_diesel", 4.10),
        ("4,10", "prices", "road_diesel", 4.10),
        ("4.10 $/gal", "prices", "road_diesel", 4.10),
        ("$ 4.10/gal", "prices", "road_diesel", 4.10),
        ("-$0.30", "oils", "price", -0.30),
        ("1,500", "kit", "cost", 1500),
        ("$1,500.50", "kit", "cost", 1500.5),
        ("50 %", "machines", "blend_share", 0.5),
        ("7%", "finance", "discount_rate", 0.07),
        ("0.5", "machines", "blend_share", 0.5),
        ("12 gal/month", "oils", "volume_per_month", 12),
        ("\N{MINUS SIGN}3", "oils", "price", -3),
    ],
)
def test_numbers_are_read_as_people_write_them(
    typed: str, table: str, field: str, value: float
) -> None:
    assert number_of(typed, detail(table, field), US) == value


@pytest.mark.parametrize("typed", ["4.10.2", "A$4", "50 %", "about 4", "4-5", "€4"])
def test_what_is_no_dollar_price_stays_as_typed(typed: str) -> None:
    assert number_of(typed, detail("prices", "road_diesel"), US) == typed


def test_a_farm_in_euros_takes_its_own_sign() -> None:
    assert number_of("€4,10", detail("prices", "road_diesel"), Units("metric", "EUR")) == 4.1


def test_faults_are_told_in_the_words_of_the_boxes() -> None:
    share = detail("machines", "blend_share")
    assert (
        "“At least” must not be above “most likely”"
        in box_faults({"low": 0.6, "likely": 0.5, "high": 0.7}, share, US)["low"]
    )
    assert (
        "“At most” must not be below"
        in box_faults({"low": 0.1, "likely": 0.5, "high": 0.4}, share, US)["high"]
    )
    missing = box_faults({"low": 0.1, "likely": 0.5}, share, US)
    assert missing == {
        "high": "Fill in “at most” too, or leave “at least” and “most likely” empty."
    }
    assert "write 50 %" in box_faults(50, share, US)["likely"]
    assert "“dear” is not a number" in box_faults("dear", detail("labour", "wage"), US)["likely"]
    assert box_faults({"low": 0.1, "likely": 0.5, "high": 0.6}, share, US) == {}


def test_cents_for_dollars_are_noticed() -> None:
    """A bill's price for a kWh is often printed in cents."""
    told = unusual(16, detail("prices", "electricity"), US)
    assert "$0.10/kWh to $0.32/kWh" in told
    assert "write 0.16" in told
    assert unusual(0.16, detail("prices", "electricity"), US) == ""


def test_no_number_is_written_with_powers_of_ten() -> None:
    shown = [short_number(x) for x in (1300.0, 123456.0, 0.00055, 0.1, 12.5, 0.0)]
    assert shown == ["1,300", "123,000", "0.00055", "0.1", "12.5", "0"]


def test_words_stand_for_keys() -> None:
    for key in ("farm_diesel", "road_diesel", "heating_oil", "macrs 5", "inline pump"):
        assert key in WORDS
    text = plain_words("give fuel_per_year, or hours_per_year and rated_power of [[machines]]")
    assert "_" not in text
    assert "[" not in text
    assert where_in_words('[[oils]] "garage": price') == "Used oil, garage: Price"


def test_what_is_declared_common_is_a_field() -> None:
    """`owner` comes with its fields; a misspelt word would hide a field behind "more"."""
    for table, names in _COMMON.items():
        assert set(names.split()) - {"owner"} <= set(MODELS[table].model_fields), table
    assert set(WAY_QUESTIONS) == set(WAYS)
    for choice, (_, ways) in WAY_QUESTIONS.items():
        for (_, needs), fields in zip(ways, way_fields(choice), strict=True):
            assert set(needs) <= fields
    assert set(SECTIONS) == {table for table in MODELS if "." not in table}


def test_a_new_entry_changes_nothing_until_it_is_complete(farm: dict[str, Any]) -> None:
    before = counted(farm)
    document, entry = changed(farm, "add", "machines")
    assert same(counted(document), before)
    for field, text in (
        ("name", "Loader"),
        ("engine", "inline pump"),
        ("model_year", "1990"),
        ("replaces", "farm_diesel"),
        ("blend_share#likely", "50 %"),
    ):
        document = edited(document, {f"machines.{entry}.{field}": text}) or document
        assert same(counted(document), before), field
        assert works(document)
    (row,) = unfinished(document)
    assert (row.table, row.entry, row.name) == ("machines", entry, "Loader")
    document = edited(document, {f"machines.{entry}.fuel_per_year#likely": "300"}) or document
    assert unfinished(document) == []
    assert [machine["name"] for machine in counted(document)["machines"]][-1] == "Loader"
    assert works(document)


@pytest.mark.parametrize("table", ["oils", "kit", "filters", "thinners", "yearly", "additives"])
def test_a_begun_entry_of_any_list_is_left_out(farm: dict[str, Any], table: str) -> None:
    document, _ = changed(farm, "add", table)
    assert same(counted(document), counted(farm))
    assert len(unfinished(document)) == 1


def test_a_loan_changes_nothing_until_it_is_complete(farm: dict[str, Any]) -> None:
    before = counted(farm)
    document = farm
    for field, text in (("amount#likely", "900"), ("rate#likely", "8 %")):
        document = edited(document, {f"loan.{field}": text}) or document
        assert same(counted(document), before), field
        assert works(document)
    (row,) = unfinished(document)
    assert (row.path, row.name, row.lacks) == ("loan", "A loan", ("Paid back over",))
    whole = edited(document, {"loan.years": "3"}) or document
    assert unfinished(whole) == []
    assert counted(whole)["loan"] == {"amount": 900.0, "rate": 0.08, "years": 3}
    assert works(whole)
    for field in ("amount#likely", "rate#likely"):
        document = edited(document, {f"loan.{field}": ""}) or document
    assert same(document, farm)


def test_a_begun_part_of_a_machine_is_left_out(farm: dict[str, Any]) -> None:
    document, _ = changed(farm, "add", "machines.0.wear")
    assert same(counted(document), counted(farm))
    start = "machines.0.wear.0"
    typed = {f"{start}.cost#likely": "900", f"{start}.extra_failures#likely": "0.1"}
    document = edited(document, typed) or {}
    assert counted(document)["machines"][0]["wear"][0]["cost"] == 900


def test_another_way_of_giving_fuel_never_passes_through_a_fault(farm: dict[str, Any]) -> None:
    start = {key: farm["machines"][0][key] for key in ("hours_per_year", "fuel_per_hour")}
    document = edited(farm, {"machines.0#way.fuel": "0"}) or {}
    assert works(document)
    assert {key: counted(document)["machines"][0].get(key) for key in start} == start
    document = edited(document, {"machines.0.fuel_per_year#likely": "much"}) or {}
    assert works(document)
    assert {key: counted(document)["machines"][0].get(key) for key in start} == start
    document = edited(document, {"machines.0.fuel_per_year#likely": "1,400"}) or {}
    result = counted(document)["machines"][0]
    assert result["fuel_per_year"] == 1400
    assert not set(start) & set(result)
    assert works(document)
    assert shape_of(document) != shape_of(farm)


def test_a_form_keeps_its_boxes_while_a_number_is_typed(farm: dict[str, Any]) -> None:
    """Boxes that are drawn anew under a typing hand lose what it typed."""
    document = edited(farm, {"machines.0#way.fuel": "0"}) or {}
    assert waiting_ways(document) == ["machines.0#way.fuel"]
    typed = edited(document, {"machines.0.fuel_per_year#likely": "1"}) or {}
    assert shape_of(typed) == shape_of(document)
    assert waiting_ways(typed) == []


def test_a_way_can_be_taken_back(farm: dict[str, Any]) -> None:
    document = edited(farm, {"machines.0#way.fuel": "3"}) or {}
    document = edited(document, {"machines.0#way.fuel": "1"}) or {}
    assert same(document, farm)


@pytest.mark.parametrize("choice", sorted(WAY_QUESTIONS))
def test_every_way_can_be_turned_to_without_a_fault(farm: dict[str, Any], choice: str) -> None:
    table, word = choice.split(".")
    start = f"{table}.0" if table == "machines" else table
    for k in range(len(WAY_QUESTIONS[choice][1])):
        document = edited(farm, {f"{start}#way.{word}": str(k)}) or farm
        assert works(document), k


def test_a_price_that_follows_another_starts_from_it(farm: dict[str, Any]) -> None:
    document = edited(farm, {"thinners.0.price#tied": ""}) or {}
    assert document["thinners"][0]["price"] == farm["prices"]["farm_diesel"]
    document = edited(document, {"thinners.0.price#likely": "$3.80"}) or {}
    assert document["thinners"][0]["price"]["likely"] == 3.8
    document = edited(document, {"thinners.0.price#tied": "road_diesel"}) or {}
    assert document["thinners"][0]["price"] == "road_diesel"


def test_a_renamed_thinner_keeps_its_machines(farm: dict[str, Any]) -> None:
    document = edited(farm, {"thinners.0.name": "Dyed"}) or {}
    assert document["machines"][0]["thinner"] == "Dyed"
    assert works(document)


def test_a_machine_without_thinner_has_no_share(farm: dict[str, Any]) -> None:
    document = edited(farm, {"machines.0.thinner": ""}) or {}
    assert works(document)


def test_where_a_number_comes_from_is_noted_and_taken_back(farm: dict[str, Any]) -> None:
    document = (
        edited(
            farm, {"prices.farm_diesel#source": "bill", "oils.1.volume_per_month#source": "guess"}
        )
        or {}
    )
    assert document["scenario"]["sources"] == {
        "prices.farm_diesel": "bill",
        "oils.Neighbour.volume_per_month": "guess",
    }
    assert works(document)
    document = (
        edited(document, {"prices.farm_diesel#source": "", "oils.1.volume_per_month#source": ""})
        or {}
    )
    assert same(document, farm)


def test_an_edit_leaves_the_farm_it_began_with_alone(farm: dict[str, Any]) -> None:
    before = copy.deepcopy(farm)
    edited(farm, {"labour.wage#likely": "30"})
    changed(farm, "add", "oils")
    assert farm == before


@pytest.mark.parametrize(
    "values",
    [
        {"labour.wage": 3},
        {"nowhere.x": "1"},
        {"machines.0#way.fuel": "9"},
        {"x#way.fuel": "0"},
        {"prices.farm_diesel#source": "gossip"},
        {"thinners.0.price#tied": "water"},
        {"labour.wage#likely": "x" * 6000},
    ],
)
def test_what_no_form_sends_is_refused(farm: dict[str, Any], values: dict[str, Any]) -> None:
    with pytest.raises(RefusedError):
        edited(farm, values)


def test_marks_stand_at_their_boxes(farm: dict[str, Any]) -> None:
    document = edited(farm, {"prices.electricity#likely": "16", "labour.wage#low": "90"}) or {}
    result = {(mark.path, mark.point, mark.kind) for mark in marks(document)}
    assert ("prices.electricity", "", "warning") in result
    assert ("labour.wage", "low", "fault") in result
