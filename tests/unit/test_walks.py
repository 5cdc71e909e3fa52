"""Three numbers walked through the rooms: each converted inward once, and outward once.

A thinner's price, a part's wear and the wage of an invented farm, in both unit systems. The
figure of the document is the file's own number times the document's own volume or hours, so
that a second conversion on the way would show.
"""

import copy
from typing import Any

import pytest

from econ.answers.document import document
from econ.farm import prepare as prepare_module
from econ.farm.files import from_document
from econ.ground import units

PRICE, COST, FAILURES, WAGE = 3.2119, 811.37, 0.73, 17.93
FARM: dict[str, Any] = {
    "scenario": {"title": "Three numbers", "currency": "USD"},
    "prices": {"farm_diesel": 4.1, "electricity": 0.15},
    "machines": [
        {"name": "Tractor", "engine": "inline pump", "model_year": 1975,
         "replaces": "farm_diesel", "fuel_per_year": 900.0, "thinner": "Gasoline",
         "thinner_share": 0.2, "blend_share": 1.0,
         "wear": [{"part": "Injectors", "cost": COST, "extra_failures": FAILURES}]}
    ],
    "oils": [{"name": "Own", "kind": "engine oil", "volume_per_month": 60.0, "own": True}],
    "process": {"raw_storage": 500.0, "clean_storage": 500.0, "batch_volume": 50.0,
                "hours_per_batch": 1.5, "loss_share": 0.1, "energy_per_volume": 0.1},
    "filters": [{"name": "Bag", "price": 20.0, "volume_per_element": 100.0}],
    "thinners": [{"name": "Gasoline", "kind": "gasoline", "price": PRICE}],
    "labour": {"wage": WAGE},
    "finance": {"years": 5, "discount_rate": 0.05},
}  # fmt: skip


@pytest.fixture(params=["us", "metric"])
def walked(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Return the document, and every number that one reading of the farm converts inward."""
    farm = copy.deepcopy(FARM)
    farm["scenario"]["units"] = request.param
    inward = []

    def counted(value: Any, dimension: str, system: str) -> Any:
        inward.append(float(value))
        return units.to_canonical(value, dimension, system)

    scenario = from_document(farm, "walks.toml")
    choices = prepare_module.settle(scenario)
    with monkeypatch.context() as patch:
        patch.setattr(prepare_module, "to_canonical", counted)
        prepare_module.inputs_at(scenario, prepare_module.pick_at("expected"), choices)
    return document(scenario), inward


def test_the_price_of_a_thinner(walked: Any) -> None:
    doc, inward = walked

    assert doc["costs"]["thinner"] == pytest.approx(PRICE * doc["fuel"]["thinner"], rel=1e-12)
    assert doc["costs"]["thinner"] > 0.0
    assert inward.count(PRICE) == 1


def test_the_wear_of_a_part(walked: Any) -> None:
    doc, inward = walked
    failures = FAILURES * doc["fuel"]["oil_used"] / 1000.0

    assert doc["costs"]["wear"] == pytest.approx(COST * failures, rel=1e-12)
    assert doc["costs"]["wear"] > 0.0
    assert inward.count(FAILURES) == inward.count(COST) == 1


def test_the_wage(walked: Any) -> None:
    doc, inward = walked

    assert doc["costs"]["labour"] == pytest.approx(WAGE * doc["fuel"]["own_hours"], rel=1e-12)
    assert doc["costs"]["labour"] > 0.0
    assert inward.count(WAGE) == 1
