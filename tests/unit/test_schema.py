"""The farm file's fields: values of any kind are taken or refused in words, never with a crash."""

import copy
import datetime
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from econ.farm.fields import About
from econ.farm.files import from_document, load
from econ.farm.review import odd_values
from econ.farm.schema import TABLES, Scenario, about
from econ.ground.errors import ScenarioError
from econ.ground.units import DIMENSIONS
from econ.questions.plan_space import space_of

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
WRENFOLD = next(path for path in SCENARIOS if path.stem == "wrenfold")
# Fields whose number is a name, a count or a whole span: a three-point estimate means nothing.
NEVER_ESTIMATED = {
    "model_year",
    "life_years",
    "years",
    "payments_per_year",
    "seed",
    "draws",
    "fuel_price_correlation",
    "supply_correlation",
}
ODD: tuple[Any, ...] = (True, "x", "", -1, 1e308, float("nan"), float("inf"), 10**400, [], [1],
                        [[]], [10**400], {}, {"a": 1}, {"low": [], "likely": {}, "high": "x"},
                        datetime.date(2026, 1, 1), "a\0b")  # fmt: skip

Place = tuple[str | int, ...]


def leaves(value: Any, place: Place = ()) -> Iterator[Place]:
    items: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        items = list(value.items())
    elif isinstance(value, list):
        items = list(enumerate(value))
    for key, inner in items:
        yield (*place, key)
        yield from leaves(inner, (*place, key))


def each_once(document: dict[str, Any]) -> list[Place]:
    """List the places of a farm, those of entries of one list that hold the same field once."""
    places: dict[tuple[str, ...], Place] = {}
    for place in leaves(document):
        places.setdefault(tuple(key for key in place if isinstance(key, str)), place)
    return list(places.values())


def replaced(document: dict[str, Any], place: Place, value: Any) -> dict[str, Any]:
    changed = {**document}
    here: Any = changed
    for key in place[:-1]:
        here[key] = copy.copy(here[key])
        here = here[key]
    here[place[-1]] = value
    return changed


def fields() -> Iterator[tuple[str, str, About]]:
    for table, model, _ in TABLES:
        for field in model.model_fields:
            if (table, field) != ("machines", "wear"):
                yield table, field, about(model, field)


def test_there_are_farms_to_read() -> None:
    assert len(SCENARIOS) >= 10


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_farm_loads(path: Path) -> None:
    scenario = load(path)

    assert isinstance(scenario, Scenario)
    assert scenario.path == path
    assert scenario.machines


@pytest.mark.parametrize("value", ODD, ids=lambda value: str(value)[:12].replace("\0", "0"))
def test_whatever_stands_in_a_field_a_reader_gets_words(value: Any) -> None:
    document = load(WRENFOLD).merged

    for place in each_once(document):
        try:
            from_document(replaced(document, place, value), "farm.toml")
        except ScenarioError as error:
            told = error.problems
            assert told
            assert all(problem.message for problem in told)


@pytest.mark.parametrize("key", ["use_by_month", "blend_months"])
def test_a_number_of_many_digits_in_a_list_is_refused(key: str) -> None:
    document = load(WRENFOLD).merged

    with pytest.raises(ScenarioError, match=f"{key} = .*allowed: "):
        from_document(replaced(document, ("machines", 0, key), [10**400] * 12), "farm.toml")


def test_only_quantities_may_be_guessed() -> None:
    numbers = ("number", "price")
    guessed = {field for _, field, detail in fields() if detail.estimate and detail.kind in numbers}

    assert not guessed & NEVER_ESTIMATED
    assert {field for _, field, detail in fields() if detail.kind == "whole"} <= NEVER_ESTIMATED


@pytest.mark.parametrize(
    ("table", "field", "detail"),
    [row for row in fields() if row[2].usual],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_a_usual_range_is_the_same_in_both_units(table: str, field: str, detail: About) -> None:
    kind = DIMENSIONS[detail.dimension]

    for us, metric in zip(detail.usual, detail.usual_in("metric"), strict=True):
        assert (us.basis, us.of) == (metric.basis, metric.of)
        for low, high in ((us.low, metric.low), (us.high, metric.high)):
            inside = low * kind.us_factor + kind.us_offset
            assert high * kind.metric_factor == pytest.approx(inside, rel=1e-12, abs=1e-12)


def test_a_value_far_from_the_usual_is_called_odd_and_the_usual_is_not() -> None:
    document = load(WRENFOLD).merged
    wage = ("labour", "wage")

    usual = odd_values(from_document(replaced(document, wage, 22.0), "farm.toml"))
    odd = odd_values(from_document(replaced(document, wage, 900.0), "farm.toml"))

    assert not any("wage" in note.where for note in usual)
    assert ["28 to 75 $/h" in note.text for note in odd if note.where == "[labour] wage = 900"] == [
        True
    ]


def test_gasoline_is_refused_in_a_burner_at_any_point_of_an_estimate() -> None:
    document = load(WRENFOLD).merged
    burner = next(k for k, m in enumerate(document["machines"]) if m["engine"] == "burner")
    gasoline = replaced(document, ("machines", burner, "thinner"), "Pump gasoline")
    del gasoline["machines"][burner]["thinner_share_winter"]
    none = replaced(gasoline, ("machines", burner, "thinner_share"), 0.0)
    maybe = replaced(
        gasoline, ("machines", burner, "thinner_share"), {"low": 0.0, "likely": 0.0, "high": 0.1}
    )

    assert from_document(none, "farm.toml").machines[burner].thinner == "Pump gasoline"
    with pytest.raises(ScenarioError, match="gasoline E10 in a burner's blend is refused"):
        from_document(maybe, "farm.toml")


def test_a_base_file_whose_name_no_system_takes_is_told(tmp_path: Path) -> None:
    base, path = tmp_path / "base.toml", tmp_path / "farm.toml"
    base.write_text('[scenario]\ntitle = "A"\nextends = "a\\u0000b"\n', encoding="utf-8")
    path.write_text('[scenario]\ntitle = "B"\nextends = "base.toml"\n', encoding="utf-8")

    with pytest.raises(ScenarioError, match=r"base\.toml: \[scenario\] extends"):
        load(path)


@pytest.mark.parametrize(
    ("place", "value", "meant"),
    [
        (("machines", 0, "engine"), "inline pumps", "inline pump"),
        (("machines", 0, "emission_controls"), ["catalyst", "optical senser"], "optical sensor"),
        (("machines", 0, "replaces"), "farm_deisel", "farm_diesel"),
        (("thinners", 0, "kind"), "kerosine", "kerosene"),
        (("thinners", 0, "price"), "farm_deisel", "farm_diesel"),
        (("finance", "depreciation"), "strait line", "straight line"),
    ],
)
def test_a_misspelt_word_of_a_choice_is_told_the_nearest(
    place: Place, value: Any, meant: str
) -> None:
    document = load(WRENFOLD).merged

    with pytest.raises(ScenarioError, match=f'did you mean "{meant}"') as caught:
        from_document(replaced(document, place, value), "farm.toml")
    assert len(caught.value.problems) == 1


# Hexadecimal numbers may be longer than any that Python writes out.
@pytest.mark.parametrize(
    ("table", "line"),
    [
        ("machines", "name = {n}"),
        ("machines", "use_by_month = [{n}]"),
        ("machines", "emission_controls = [{n}]"),
        ("oils", "kind = [[{n}]]"),
    ],
)
def test_an_endless_whole_number_anywhere_is_told(tmp_path: Path, table: str, line: str) -> None:
    path = tmp_path / "farm.toml"
    path.write_text(f"[[{table}]]\n" + line.format(n="0x" + "f" * 9000), encoding="utf-8")

    with pytest.raises(ScenarioError, match="cannot be read: it is too long"):
        load(path)


def test_lists_of_names_name_entries_whose_names_hold_unprintable_signs() -> None:
    text = WRENFOLD.read_text(encoding="utf-8").replace("Pump gasoline", "Clear\\u001b[2J\\nit")
    document = tomllib.loads(text)
    document["machines"][0]["thinners"] = ["Clear\x1b[2J\nit"]

    scenario = from_document(document, "farm.toml")

    assert scenario.machines[0].thinners == ["Clear\\x1b[2J\\nit"]
    assert scenario.thinners[0].name == "Clear\\x1b[2J\\nit"
    assert space_of(scenario).count >= 1
