"""What hangs on what, set-ups and limits in a farm file: read, laid over, removed, refused."""

import copy
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from econ.answers.document import document
from econ.farm.files import from_document, load
from econ.farm.naming import following
from econ.farm.planned import as_planned
from econ.farm.prepare import prepare
from econ.ground.errors import ScenarioError
from econ.ground.units import LITRES_PER_GALLON
from econ.model.evaluate import evaluate

FARM = """
[scenario]
title = "Two ways"
units = "us"
currency = "USD"

[prices]
farm_diesel = 4.0
electricity = 0.15

[[machines]]
name = "Tractor"
engine = "inline pump"
model_year = 1990
replaces = "farm_diesel"
fuel_per_year = 900
blend_share = 0.6
thinner = "Gasoline"
thinner_share = 0.2
thinners = ["Kerosene"]

[[machines]]
name = "Heater"
engine = "burner"
model_year = 2001
replaces = "farm_diesel"
fuel_per_year = 400
blend_share = 0.0

[[oils]]
name = "Own"
kind = "engine oil"
own = true
volume_per_month = 12

[[oils]]
name = "Garage"
kind = "engine oil"
volume_per_month = 40

[process]
hours_per_batch = 2
energy_per_volume = 0.3
raw_storage = 200

[[setups]]
name = "Drums"
batch_volume = 50
clean_storage = 150
filters = ["Bag"]

[[setups]]
name = "Centrifuge"
batch_volume = 200
hours_per_batch = 5
clean_storage = 400
heat_from = 50
heat_to = 170

[[filters]]
name = "Bag"
price = 9
volume_per_element = 200

[[filters]]
name = "Fine"
price = 30
volume_per_element = 150

[[thinners]]
name = "Gasoline"
kind = "gasoline"
price = 3.5

[[thinners]]
name = "Kerosene"
kind = "kerosene"
price = 5.0

[[yearly]]
name = "Permit"
cost = 120
serves = ["Garage"]

[[kit]]
name = "Drum heater"
cost = 300
life_years = 6
serves = ["Drums"]

[[kit]]
name = "Bowl"
cost = 1800
life_years = 10
serves = ["Centrifuge"]

[[kit]]
name = "Trailer"
cost = 2500
life_years = 12
serves = ["Garage"]

[[kit]]
name = "Gasoline tank"
cost = 700
life_years = 12
serves = ["Gasoline"]

[[kit]]
name = "Burner nozzle"
cost = 90
life_years = 5
serves = ["Heater"]

[[kit]]
name = "Extinguisher"
cost = 80
life_years = 10

[labour]
wage = 20

[finance]
years = 6
discount_rate = 0.06

[reserve]
clean_oil = 20
diesel = 30
thinners = { Kerosene = 10 }
"""


def farm(folder: Path, text: str = FARM, name: str = "farm.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def over(folder: Path, text: str) -> Path:
    farm(folder)
    head = '[scenario]\ntitle = "Over"\nextends = "farm.toml"\n'
    return farm(folder, head + text, "over.toml")


def refused(path: Path) -> str:
    with pytest.raises(ScenarioError) as caught:
        load(path)
    return str(caught.value)


def kit(path: Path) -> list[str]:
    return [item.name for item in prepare(load(path)).kit]


def test_the_first_set_up_is_laid_over_the_process(tmp_path: Path) -> None:
    scenario = load(farm(tmp_path))
    inputs = prepare(scenario)

    assert inputs.setup == "Drums"
    assert float(inputs.process.batch_volume) == pytest.approx(50 * LITRES_PER_GALLON)
    assert float(inputs.process.hours_per_batch) == 2.0
    assert [item.name for item in inputs.filters] == ["Bag"]
    assert scenario.process.clean_storage == 150.0
    assert scenario.process_with(1).hours_per_batch == 5.0
    assert scenario.process_with(1).energy_per_volume is None
    assert scenario.process_with(1).heat_to == 170.0


def test_what_hangs_on_nothing_of_the_plan_is_not_in_it(tmp_path: Path) -> None:
    path = farm(tmp_path)
    inputs = prepare(load(path))

    assert kit(path) == ["Drum heater", "Trailer", "Gasoline tank", "Extinguisher"]
    assert [item.name for item in inputs.yearly] == ["Permit"]
    assert float(evaluate(inputs).kit_cost) == pytest.approx(300 + 2500 + 700 + 80)


def test_a_source_that_brings_nothing_takes_its_kit_along(tmp_path: Path) -> None:
    path = over(tmp_path, '[[oils]]\nname = "Garage"\nvolume_per_month = 0\n')

    assert "Trailer" not in kit(path)
    assert prepare(load(path)).yearly == ()


def test_a_removed_set_up_leaves_the_next_one_first(tmp_path: Path) -> None:
    path = over(tmp_path, '[remove]\nsetups = ["Drums"]\noils = ["Garage"]\n')
    inputs = prepare(load(path))

    assert inputs.setup == "Centrifuge"
    assert kit(path) == ["Bowl", "Gasoline tank", "Extinguisher"]
    assert [item.name for item in load(path).kit] == [
        "Bowl",
        "Gasoline tank",
        "Burner nozzle",
        "Extinguisher",
    ]
    assert [item.name for item in inputs.filters] == ["Bag", "Fine"]


def test_removing_a_thinner_forgets_its_name_everywhere(tmp_path: Path) -> None:
    path = over(tmp_path, '[remove]\nthinners = ["Kerosene"]\n')
    scenario = load(path)

    assert scenario.machines[0].thinners == []
    assert scenario.reserve.thinners == {}


def test_the_reserve_is_read_in_the_files_units(tmp_path: Path) -> None:
    reserve = prepare(load(farm(tmp_path))).reserve

    assert float(reserve.clean_oil) == pytest.approx(20 * LITRES_PER_GALLON)
    assert float(reserve.diesel) == pytest.approx(30 * LITRES_PER_GALLON)
    assert np.allclose(reserve.thinners, [0.0, 10 * LITRES_PER_GALLON])


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('serves = ["Centrifuge"]', 'serves = ["Centrifuga"]', "did you mean Centrifuge"),
        ('name = "Heater"', 'name = "Garage"', "several tables have an entry of that name"),
        ('thinners = ["Kerosene"]', 'thinners = ["Kerosine"]', "did you mean Kerosene"),
        ('filters = ["Bag"]', 'filters = ["Bog"]', "did you mean Bag"),
        ("batch_volume = 200", "", '[[setups]] "Centrifuge": batch_volume'),
        ("batch_volume = 50", "batch_volume = 0", '[[setups]] "Drums": batch_volume = 0'),
        ("heat_to = 170", "", '[[setups]] "Centrifuge": heat_to'),
        ("heat_from = 50", "energy_per_volume = 1", "stands beside heat_to"),
        ("raw_storage = 200", 'raw_storage = "big"', "[process] raw_storage"),
        ("raw_storage = 200", "raw_storag = 200", "did you mean raw_storage"),
        ("blend_share = 0.0", 'blend_share = 0.0\nchoice = "must"', "its blend_share is 0"),
        ("blend_share = 0.0", 'blend_share = 0.0\nchoice = "perhaps"', 'one of "may"'),
        ("blend_share = 0.0", 'blend_share = 0\nthinners = ["Kerosene"]', "no thinner of its own"),
        ("clean_oil = 20", "clean_oil = 151", "more than the clean store may hold"),
        ("Kerosene = 10", "Kerosin = 10", "did you mean Kerosene"),
        ("Kerosene = 10", "Kerosene = -1", "none negative"),
        ('name = "Centrifuge"', 'name = "Drums"', "two entries of one name"),
    ],
)
def test_faults_are_told_in_words(tmp_path: Path, old: str, new: str, words: str) -> None:
    assert FARM.count(old) == 1
    assert words in refused(farm(tmp_path, FARM.replace(old, new)))


def test_a_fault_of_a_set_up_is_told_once(tmp_path: Path) -> None:
    text = refused(farm(tmp_path, FARM.replace("batch_volume = 50", "batch_volume = -5")))

    assert text.count("batch_volume") == 1


def test_gasoline_among_a_burners_thinners_is_refused(tmp_path: Path) -> None:
    burner = 'blend_share = 0.5\nthinner = "Kerosene"\nthinner_share = 0.3\nthinners = ["Gasoline"]'
    text = FARM.replace("blend_share = 0.0", burner)

    assert "gasoline in a burner's blend is refused" in refused(farm(tmp_path, text))


def test_a_file_held_in_memory_reads_the_same(tmp_path: Path) -> None:
    path = over(tmp_path, '[remove]\noils = ["Garage"]\n')
    scenario = load(path)
    held: dict[str, Any] = dict(scenario.merged)

    assert from_document(held, path) == scenario


def test_a_farm_as_planned_is_plain_and_comes_to_the_same(tmp_path: Path) -> None:
    text = FARM.replace(
        'currency = "USD"',
        """currency = "USD"
[scenario.sources]
"setups.Drums.batch_volume" = "measured"
"setups.Centrifuge.batch_volume" = "quote"
"kit.Bowl.cost" = "quote"
"kit.Trailer.cost" = "quote"
"filters.Fine.price" = "bill"
"process.raw_storage" = "measured"
""",
    )
    scenario = load(farm(tmp_path, text))
    plain = as_planned(scenario)

    assert plain.setups == []
    assert [item.name for item in plain.kit] == [item.name for item in prepare(scenario).kit]
    assert all(item.serves == [] for item in (*plain.kit, *plain.yearly))
    assert plain.scenario.sources == {
        "process.batch_volume": "measured",
        "kit.Trailer.cost": "quote",
        "process.raw_storage": "measured",
    }
    assert document(plain) == document(scenario)


def test_a_farm_where_nothing_hangs_is_its_own_plan() -> None:
    scenario = load(Path(__file__).parents[2] / "scenarios" / "tamsel-pumps.toml")

    assert as_planned(scenario) is scenario


def test_a_renamed_entry_keeps_what_hangs_on_it(tmp_path: Path) -> None:
    before: dict[str, Any] = load(farm(tmp_path)).merged
    after = copy.deepcopy(before)
    after["oils"][1]["name"] = "Workshop"
    after["thinners"][1]["name"] = "Paraffin"
    result = following(before, after)

    assert result["kit"][2]["serves"] == ["Workshop"]
    assert result["machines"][0]["thinners"] == ["Paraffin"]
    assert result["reserve"]["thinners"] == {"Paraffin": 10}
    from_document(result, "farm.toml")


def test_an_entry_removed_in_a_form_takes_its_kit_along(tmp_path: Path) -> None:
    before: dict[str, Any] = load(farm(tmp_path)).merged
    after = copy.deepcopy(before)
    del after["oils"][1]
    result = following(before, after)

    assert "Trailer" not in [row["name"] for row in result["kit"]]
    assert result["yearly"] == []
    from_document(result, "farm.toml")
