"""Reading farm files: what is laid over what, and every fault told so that it can be mended."""

import math
from pathlib import Path
from typing import Any

import pytest

from econ.farm.fields import Estimate
from econ.farm.files import MOST_BYTES, from_document, load, usual_wear, write_new
from econ.ground.errors import ScenarioError

FARM = """
[scenario]
title = "Small farm"
units = "us"
currency = "USD"

[prices]
farm_diesel = 4.0
road_diesel = 4.8
electricity = 0.15
road_tax = 0.57

[[machines]]
name = "Tractor"
engine = "inline pump"
model_year = 1985
replaces = "farm_diesel"
fuel_per_year = 900
blend_share = 0.5
thinner = "Diesel"
thinner_share = 0.6

[[machines]]
name = "Pickup"
engine = "indirect injection"
model_year = 1992
replaces = "road_diesel"
road_share = 0.9
fuel_per_year = 500
blend_share = 0.3
thinner = "Diesel"
viscosity_limit = 12

[[oils]]
name = "Own"
kind = "engine oil"
own = true
volume_per_month = { low = 4, likely = 8, high = 15 }

[process]
batch_volume = 55
hours_per_batch = 3
energy_per_volume = 0.3
raw_storage = 220
clean_storage = 165

[[thinners]]
name = "Diesel"
kind = "diesel"
price = "farm_diesel"

[labour]
wage = 22

[finance]
years = 7
discount_rate = 0.07
"""


def farm(tmp_path: Path, text: str = FARM, name: str = "farm.toml") -> Path:
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def changed(tmp_path: Path, old: str, new: str) -> Path:
    assert old in FARM
    return farm(tmp_path, FARM.replace(old, new, 1))


def faults(path: Path) -> str:
    with pytest.raises(ScenarioError) as caught:
        load(path)
    return str(caught.value)


def test_a_good_farm_loads_with_its_defaults(tmp_path: Path) -> None:
    scenario = load(farm(tmp_path))

    assert scenario.oils[0].volume_per_month == Estimate(low=4, likely=8, high=15)
    assert scenario.oils[0].reliability == 1.0
    assert scenario.machines[0].use_factor == 1.02
    assert scenario.uncertainty.fuel_price_correlation == 0.9


@pytest.mark.parametrize(
    ("old", "new", "where", "allowed"),
    [
        ('kind = "engine oil"', 'kind = "gear oil"', '[[oils]] "Own": kind', "gear oil"),
        ('kind = "engine oil"', 'kind = "transformer oil"', '[[oils]] "Own": pcb_tested',
         "PCB test is refused"),
        ("wage = 22", "wage = true", "[labour] wage = true", "a number from 0"),
        ("wage = 22", 'wage = "22"', '[labour] wage = "22"', "a number from 0"),
        ("wage = 22", "wage = nan", "[labour] wage = nan", "not a number"),
        ("wage = 22", "wage = inf", "[labour] wage = inf", "not a number"),
        ("wage = 22", "wage = 1e308", "[labour] wage", "from 0"),
        ("wage = 22", f"wage = {10**400}", "[labour] wage", "digits"),
        ("wage = 22", "wage = -1", "[labour] wage = -1", "from 0"),
        ("wage = 22", "wages = 22", "[labour] wages", "did you mean wage?"),
        ("wage = 22", "wage = { low = 30, likely = 20, high = 40 }", "[labour] wage",
         "low must not exceed likely"),
        ("wage = 22", "wage = { low = 10, likely = 20 }", "[labour] wage",
         "exactly low, likely and high"),
        ("years = 7", "years = { low = 5, likely = 7, high = 9 }", "[finance] years",
         "estimate may not stand here"),
        ("years = 7", "years = 0", "[finance] years = 0", "from 1 to 50"),
        ("years = 7", "years = 7.5", "[finance] years = 7.5", "a whole number"),
        ("batch_volume = 55", "batch_volume = 0", "[process] batch_volume = 0", "above 0"),
        ("blend_share = 0.5", "blend_share = 1.4", '[[machines]] "Tractor": blend_share = 1.4',
         "from 0 to 1"),
        ("thinner_share = 0.6", "thinner_share = 1", '[[machines]] "Tractor": thinner_share',
         "to below 1"),
        ('thinner = "Diesel"', 'thinner = "Diesl"', '[[machines]] "Tractor": thinner',
         "did you mean Diesel?"),
        ('engine = "inline pump"', 'engine = "in-line pump"', '[[machines]] "Tractor": engine',
         '"inline pump"'),
        ("fuel_per_year = 900", "hours_per_year = 200", '[[machines]] "Tractor"', "half a way"),
        ("fuel_per_year = 900", "fuel_per_year = 900\nhours_per_year = 9\nfuel_per_hour = 2",
         '[[machines]] "Tractor"', "one way of giving its fuel only"),
        ("fuel_per_year = 900", "distance_per_year = 900\ndistance_per_volume = 0",
         '[[machines]] "Tractor": distance_per_volume', "above 0"),
        ("fuel_per_year = 900", "fuel_per_year = 900\nuse_by_month = [0,0,0,0,0,0,0,0,0,0,0,0]",
         '[[machines]] "Tractor": use_by_month', "not all 0"),
        ("fuel_per_year = 900", "fuel_per_year = 900\nblend_months = [0, 13]",
         '[[machines]] "Tractor": blend_months', "1 to 12"),
        ("road_share = 0.9\n", "", '[[machines]] "Pickup": road_share', "is missing"),
        ("road_tax = 0.57\n", "", "[prices] road_tax", 'though machine "Pickup"'),
        ("farm_diesel = 4.0\n", "", "[prices] farm_diesel", 'though machine "Tractor"'),
        ("electricity = 0.15\n", "", "[prices] electricity", "the cleaning uses it"),
        ("energy_per_volume = 0.3", "heat_to = 160", "[process] heat_from", "is missing"),
        ("energy_per_volume = 0.3", "energy_per_volume = 0.3\nheat_from = 60\nheat_to = 160",
         "[process] energy_per_volume", "one way"),
        ('price = "farm_diesel"', 'price = "kerosine"', '[[thinners]] "Diesel": price',
         "no fuel of that name"),
        ('currency = "USD"', 'currency = "dollars"', "[scenario] currency", "three capital"),
        ('units = "us"', 'units = "imperial"', "[scenario] units", '"us", "metric"'),
        ("viscosity_limit = 12", "viscosity_limit = 12\nthinner_share = 0.4",
         '[[machines]] "Pickup": thinner_share', "a share or a limit, not both"),
        ('[labour]\nwage = 22', '[labor]\nwage = 22', "[labor]", "unknown table"),
    ],
)  # fmt: skip
def test_a_fault_names_its_place_and_what_is_allowed(
    tmp_path: Path, old: str, new: str, where: str, allowed: str
) -> None:
    text = faults(changed(tmp_path, old, new))

    assert where in text
    assert allowed in text
    assert "farm.toml" in text


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    text = FARM.replace("wage = 22", "wage = -1").replace("years = 7", "years = 0")
    text = text.replace('thinner = "Diesel"', 'thinner = "Gas"').replace("4.0", "nan")

    told = faults(farm(tmp_path, text)).splitlines()

    assert len(told) == 5


def test_a_misspelt_required_key_is_one_fault_not_two(tmp_path: Path) -> None:
    told = faults(changed(tmp_path, "discount_rate", "discont_rate")).splitlines()

    assert len(told) == 1
    assert "did you mean discount_rate?" in told[0]


def test_gasoline_in_a_burner_is_refused(tmp_path: Path) -> None:
    text = FARM.replace('engine = "inline pump"', 'engine = "burner"').replace(
        'kind = "diesel"\nprice = "farm_diesel"', 'kind = "gasoline"\nprice = 3.7'
    )

    assert "gasoline in a burner's blend is refused" in faults(farm(tmp_path, text))


def test_correlations_that_cannot_be_are_refused(tmp_path: Path) -> None:
    text = FARM + "\n[uncertainty]\nfuel_price_correlation = 0.04\nsupply_correlation = -0.3\n"

    assert "allowed: from -0.2 to 0.2" in faults(farm(tmp_path, text))


def test_sources_must_name_fields_that_are_there(tmp_path: Path) -> None:
    text = FARM + '\n[scenario.sources]\n"prices.farm_deisel" = "bill"\n"labour.wage" = "rumour"\n'

    told = faults(farm(tmp_path, text))

    assert "did you mean prices.farm_diesel?" in told
    assert '"weighed"' in told


# --- files that are none ---


def test_a_toml_fault_has_its_line_and_column(tmp_path: Path) -> None:
    assert "line 3, column" in faults(farm(tmp_path, "[scenario]\n\nx = = 1\n"))


def test_a_missing_file_a_folder_and_a_huge_file_are_told(tmp_path: Path) -> None:
    huge = tmp_path / "huge.toml"
    huge.write_bytes(b"#" * 50_000_000)

    assert "no such file" in faults(tmp_path / "none.toml")
    assert "is a folder" in faults(tmp_path)
    assert f"at most {MOST_BYTES:,}" in faults(huge)


def test_what_is_not_utf8_is_told(tmp_path: Path) -> None:
    path = tmp_path / "latin.toml"
    path.write_bytes(b'title = "caf\xe9"')

    assert "not UTF-8" in faults(path)


@pytest.mark.parametrize(
    "text",
    ["x = " + "[" * 5000 + "]" * 5000, "x = " + "{a = " * 3000 + "1" + "}" * 3000],
    ids=["arrays", "tables"],
)
def test_deep_nesting_is_told(tmp_path: Path, text: str) -> None:
    assert "nested too deeply" in faults(farm(tmp_path, text))


def test_a_number_of_too_many_digits_is_told(tmp_path: Path) -> None:
    assert "cannot be read" in faults(farm(tmp_path, "x = " + "9" * 6000))


# --- extends ---


def child(tmp_path: Path, text: str) -> Path:
    farm(tmp_path)
    head = '[scenario]\ntitle = "Child"\nextends = "farm.toml"\n'
    return farm(tmp_path, head + text, "child.toml")


def test_an_extending_file_overrides_by_name_and_adds(tmp_path: Path) -> None:
    scenario = load(
        child(
            tmp_path,
            '[[machines]]\nname = "Tractor"\nblend_share = 0.9\n'
            '[[oils]]\nname = "Shop"\nkind = "engine oil"\nvolume_per_month = 20\n',
        )
    )

    assert scenario.scenario.title == "Child"
    assert scenario.machines[0].blend_share == 0.9
    assert scenario.machines[0].fuel_per_year == 900
    assert [oil.name for oil in scenario.oils] == ["Own", "Shop"]


def test_an_extending_file_that_changes_nothing_changes_nothing(tmp_path: Path) -> None:
    one, other = load(child(tmp_path, "")), load(farm(tmp_path))

    assert one.model_dump(exclude={"scenario"}) == other.model_dump(exclude={"scenario"})


@pytest.mark.parametrize(
    ("entry", "gone", "kept"),
    [
        ("viscosity_limit = 14", "thinner_share", "viscosity_limit"),
        ("hours_per_year = 90\nfuel_per_hour = 3", "fuel_per_year", "fuel_per_hour"),
        ("hours_per_year = 90\nrated_power = 60", "fuel_per_year", "rated_power"),
    ],
)
def test_one_way_of_a_choice_drops_the_inherited_other(
    tmp_path: Path, entry: str, gone: str, kept: str
) -> None:
    machine = load(child(tmp_path, f'[[machines]]\nname = "Tractor"\n{entry}\n')).machines[0]

    assert getattr(machine, gone) is None
    assert getattr(machine, kept) is not None


def test_a_lone_half_of_a_way_is_refused_over_another_way(tmp_path: Path) -> None:
    path = child(tmp_path, '[[machines]]\nname = "Tractor"\nhours_per_year = 90\n')

    assert "half a way" in faults(path)


def test_one_half_of_the_inherited_way_is_an_override(tmp_path: Path) -> None:
    path = child(tmp_path, '[[machines]]\nname = "Tractor"\nhours_per_year = 90\nfuel_per_hour=2\n')
    grandchild = farm(
        tmp_path,
        '[scenario]\ntitle = "G"\nextends = "child.toml"\n'
        '[[machines]]\nname = "Tractor"\nfuel_per_hour = 5\n',
        "grandchild.toml",
    )

    assert load(path).machines[0].fuel_per_hour == 2
    assert load(grandchild).machines[0].hours_per_year == 90
    assert load(grandchild).machines[0].fuel_per_hour == 5


def test_remove_drops_entries_after_the_merge_and_refuses_strangers(tmp_path: Path) -> None:
    dropped = load(child(tmp_path, '[remove]\nmachines = ["Pickup"]\n'))

    assert [machine.name for machine in dropped.machines] == ["Tractor"]
    assert "did you mean Pickup?" in faults(child(tmp_path, '[remove]\nmachines = ["Pikup"]\n'))


def test_an_empty_list_empties_the_inherited_one(tmp_path: Path) -> None:
    farm(tmp_path, FARM + '\n[[yearly]]\nname = "Bills"\ncost = 100\n')
    path = farm(
        tmp_path, 'yearly = []\n[scenario]\ntitle = "C"\nextends = "farm.toml"\n', "child.toml"
    )

    assert load(path).yearly == []


def test_wear_rows_are_matched_by_part(tmp_path: Path) -> None:
    base = FARM.replace(
        "thinner_share = 0.6\n",
        'thinner_share = 0.6\n[[machines.wear]]\npart = "Pump"\ncost = 900\nextra_failures = 0.1\n',
        1,
    )
    farm(tmp_path, base)
    path = farm(
        tmp_path,
        '[scenario]\ntitle = "C"\nextends = "farm.toml"\n[[machines]]\nname = "Tractor"\n'
        '[[machines.wear]]\npart = "Pump"\ncost = 1200\n',
        "child.toml",
    )

    row = load(path).machines[0].wear[0]

    assert (row.cost, row.extra_failures) == (1200, 0.1)


def test_a_cycle_of_extends_is_refused(tmp_path: Path) -> None:
    farm(tmp_path, '[scenario]\ntitle = "A"\nextends = "b.toml"\n', "a.toml")
    path = farm(tmp_path, '[scenario]\ntitle = "B"\nextends = "a.toml"\n', "b.toml")

    assert "extends itself" in faults(path)


def test_a_missing_base_names_the_extending_file(tmp_path: Path) -> None:
    told = faults(farm(tmp_path, '[scenario]\ntitle = "A"\nextends = "no.toml"\n'))

    assert "[scenario] extends" in told
    assert "no such file" in told


def test_a_fault_of_a_chain_names_the_file_it_stands_in(tmp_path: Path) -> None:
    farm(tmp_path, FARM.replace("wage = 22", "wage = -1"))
    path = farm(
        tmp_path,
        '[scenario]\ntitle = "C"\nextends = "farm.toml"\n[finance]\nyears = 0\n',
        "child.toml",
    )

    told = faults(path).splitlines()

    assert any("farm.toml: [labour] wage" in line for line in told)
    assert any("child.toml: [finance] years" in line for line in told)


def test_another_unit_system_than_the_extended_files_is_refused(tmp_path: Path) -> None:
    farm(tmp_path)
    path = farm(
        tmp_path, '[scenario]\ntitle = "C"\nunits = "metric"\nextends = "farm.toml"\n', "c.toml"
    )

    assert "allowed: the same" in faults(path)


def test_two_entries_of_one_name_are_refused(tmp_path: Path) -> None:
    text = FARM + '\n[[oils]]\nname = "Own"\nkind = "engine oil"\nvolume_per_month = 3\n'

    assert "two entries of one name" in faults(farm(tmp_path, text))


# --- in memory, usual wear, writing ---


def test_a_farm_in_memory_is_checked_as_a_file_is(tmp_path: Path) -> None:
    document: dict[str, Any] = dict(load(farm(tmp_path)).merged)

    assert from_document(document, "x").labour.wage == 22.0
    with pytest.raises(ScenarioError, match=r"\[labour\] wage"):
        from_document({**document, "labour": {"wage": math.nan}}, "x")


def test_usual_wear_is_per_thousand_of_the_files_volume() -> None:
    us, metric = usual_wear("inline pump", "us"), usual_wear("inline pump", "metric")

    assert [row.part for row in us][:2] == ["injection pump overhaul", "nozzle set"]
    assert len(us) == 6
    assert isinstance(us[0].extra_failures, Estimate)
    assert isinstance(metric[0].extra_failures, Estimate)
    ratio = us[0].extra_failures.likely / metric[0].extra_failures.likely
    assert ratio == pytest.approx(3.785411784)
    assert len(usual_wear("burner", "us")) == 3
    assert usual_wear("late common rail", "us") == ()


def test_a_new_file_is_written_whole_and_never_over_another(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    write_new(path, "one")

    with pytest.raises(ScenarioError, match="is there already"):
        write_new(path, "two")
    assert path.read_text(encoding="utf-8") == "one"
    with pytest.raises(ScenarioError, match="cannot be written"):
        write_new(tmp_path / "no" / "new.toml", "three")
    assert [p.name for p in tmp_path.iterdir()] == ["new.toml"]
