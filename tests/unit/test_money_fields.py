"""Fields of money that a file may give wrongly, and what stands where it leaves them out."""

import copy
from pathlib import Path
from typing import Any

import pytest

from econ.farm.files import from_document, load
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.errors import ScenarioError

QUILLMERE = Path(__file__).parents[2] / "scenarios" / "quillmere.toml"


def farm(*changes: tuple[tuple[str | int, ...], Any]) -> Scenario:
    document = copy.deepcopy(load(QUILLMERE).merged)
    for path, value in changes:
        table: Any = document
        for step in path[:-1]:
            table = table[step]
        table[path[-1]] = value
    return from_document(document, "farm.toml")


@pytest.mark.parametrize(
    ("path", "value", "told"),
    [
        (("loan", "years"), 9, "is more than the 8 years looked at"),
        (("loan", "payments_per_year"), 0, "a whole number from 1"),
        (("loan", "rate"), -0.01, "a number from 0"),
        (("kit", 0, "new_cost"), 900.0, "only with owned = true"),
        (("finance", "kit_contingency"), 1.5, "a number from 0 to 1"),
        (("process", "first_year_share"), 1.2, "a number from 0 to 1"),
        (("prices", "fuel_duty_back"), 1.2, "a number from 0 to 1"),
        (("thinners", 0, "refund"), -0.1, "a number from 0"),
        (("machines", 0, "resale_loss"), -1.0, "a number from 0"),
        (("labour", "wage_taxed"), "yes", "true or false"),
        (("additives", 0, "serves"), ["Gasolene, farm tank"], "did you mean Gasoline, farm tank?"),
        (("additives", 0, "serves"), ["Dairy neighbour"], "no entry of that name in [[thinners]]"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_a_wrong_value_is_refused_with_what_is_allowed(
    path: tuple[str | int, ...], value: Any, told: str
) -> None:
    with pytest.raises(ScenarioError) as refused:
        farm((path, value))

    assert any(told in problem.message for problem in refused.value.problems)


def test_a_name_that_a_thinner_and_a_machine_share_may_not_be_served() -> None:
    with pytest.raises(ScenarioError, match="a name of its own"):
        farm(
            (("machines", 1, "name"), "Dyed diesel"), (("additives", 0, "serves"), ["Dyed diesel"])
        )


@pytest.mark.parametrize(
    ("price", "refund", "paid"),
    [
        (3.9, 0.0, False),
        (3.9, 0.183, True),
        ("road_diesel", 0.0, True),
        ("farm_diesel", 0.0, False),
    ],
)
def test_tax_is_paid_where_the_price_is_the_roads_or_some_is_given_back(
    price: float | str, refund: float, paid: bool
) -> None:
    inputs = prepare(farm((("thinners", 0, "price"), price), (("thinners", 0, "refund"), refund)))

    assert inputs.thinners[0].road_tax_paid is paid


def test_what_is_said_of_tax_stands_whatever_is_given_back() -> None:
    inputs = prepare(farm((("thinners", 0, "road_tax_paid"), False)))

    assert inputs.thinners[0].road_tax_paid is False


def test_a_new_one_costs_what_the_old_one_would_sell_for_unless_said() -> None:
    old = {"owned": True, "cost": 500.0, "life_years": 2, "name": "Pump"}
    silent, said = (
        prepare(farm((("kit", 0), item))).kit[0] for item in (old, {**old, "new_cost": 800.0})
    )

    assert (float(silent.cost), float(silent.new_cost)) == (500.0, 500.0)
    assert (float(said.cost), float(said.new_cost)) == (500.0, 800.0)


def test_fit_and_order_of_serving_are_settled_at_average_values() -> None:
    wide = {"low": 0.0, "likely": 0.0, "high": 0.6}
    inputs = prepare(farm((("machines", 3, "blend_share"), wide)), at="likely")

    assert float(inputs.machines[3].blend_share) == 0.0
    assert inputs.machines[3].may_burn
