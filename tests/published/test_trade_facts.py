"""What people in the trade would expect to see: common practice, no source, throughout."""

from pathlib import Path

import pytest

from econ.farm.files import from_document, load
from econ.farm.prepare import prepare
from econ.ground.units import LITRES_PER_GALLON
from econ.model.evaluate import evaluate

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


def thins_with_diesel_alone(path: Path) -> bool:
    """Say whether every machine that burns blend is thinned with diesel."""
    inputs = prepare(load(path))
    outcome = evaluate(inputs)
    return all(
        machine.thinner is None or inputs.thinners[machine.thinner].kind == "diesel"
        for machine, used in zip(inputs.machines, outcome.typical.flows.blend, strict=True)
        if float(used) > 0.0
    )


NOT_DIESEL = [path for path in SCENARIOS if not thins_with_diesel_alone(path)]


@pytest.mark.parametrize("path", NOT_DIESEL, ids=lambda path: path.stem)
def test_out_of_pocket_is_at_least_four_times_the_quoted_figure(path: Path) -> None:
    # Common practice, no source: thinner and fixed bills dwarf filters and power.
    per_blend = evaluate(prepare(load(path))).typical.per_blend

    assert float(per_blend["cash"]) >= 4 * float(per_blend["quoted"])


def test_there_are_demo_farms_with_other_thinners_than_diesel() -> None:
    assert len(NOT_DIESEL) >= 4


@pytest.mark.parametrize(("price", "through"), [(11, 300), (18, 150), (32, 100)])
def test_one_filter_and_a_drum_heater_cost_what_people_quote(price: float, through: float) -> None:
    # Common practice, no source: filters and power alone come to 0.05 to 0.45 $/gal of blend.
    farm = {
        "scenario": {"title": "One filter", "units": "us", "currency": "USD"},
        "prices": {"farm_diesel": 3.9, "electricity": 0.16},
        "machines": [
            {"name": "Tractor", "engine": "inline pump", "model_year": 1985,
             "replaces": "farm_diesel", "fuel_per_year": 1500, "blend_share": 0.7,
             "thinner": "Gasoline", "thinner_share": 0.2}
        ],
        "oils": [{"name": "Garage", "kind": "engine oil", "volume_per_month": 55}],
        "process": {"batch_volume": 55, "hours_per_batch": 3, "heat_from": 55, "heat_to": 175,
                    "heater_efficiency": 0.6, "loss_share": 0.1, "raw_storage": 220,
                    "clean_storage": 165},
        "filters": [{"name": "Spin-on", "price": price, "volume_per_element": through}],
        "thinners": [{"name": "Gasoline", "kind": "gasoline", "price": 3.7}],
        "labour": {"wage": 22},
        "finance": {"years": 7, "discount_rate": 0.07},
    }  # fmt: skip

    per_blend = evaluate(prepare(from_document(farm, "one-filter.toml"))).typical.per_blend

    assert 0.05 <= float(per_blend["quoted"]) * LITRES_PER_GALLON <= 0.45


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_engines_of_2006_and_later_with_emission_controls_burn_no_blend(path: Path) -> None:
    # Common practice, no source: particulate filters and catalysts do not survive used oil.
    scenario = load(path)
    typical = evaluate(prepare(scenario)).typical

    for machine, year in zip(scenario.machines, typical.machines, strict=True):
        fouled = {"particulate filter", "catalyst"} & set(machine.emission_controls)
        if machine.model_year >= 2006 and fouled:
            assert float(year.blend) == 0.0
