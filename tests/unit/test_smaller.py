"""A smaller plan beside the file's own: named only where it pays as much for clearly less.

The farm is invented: its own oil suffices for one tractor, a far source asks for kit and hours
that it does not earn back.
"""

import copy
from pathlib import Path
from typing import Any

import pytest

from econ.answers.smaller import smaller
from econ.farm.files import from_document, load
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.model.evaluate import evaluate
from econ.questions.plan_search import search
from econ.questions.plan_space import space_of
from econ.questions.smaller_plan import SMALLER, smaller_plan

OWN = Path("scenarios/stonebark-own-oil.toml")


def with_a_far_source(**kit: Any) -> Scenario:
    """Add a source that is not worth its drive, and the trailer that it asks for."""
    document = copy.deepcopy(load(OWN).merged)
    document["scenario"].pop("extends", None)
    document["labour"]["hired_share"] = 0.0
    document["oils"].append(
        {
            "name": "Far yard",
            "kind": "engine oil",
            "volume_per_month": 60.0,
            "load_volume": 60.0,
            "round_trip": 160.0,
            "hours_per_trip": 5.0,
        }
    )
    document.setdefault("kit", []).append(
        {"name": "Trailer", "cost": 9_000.0, "life_years": 10, "serves": ["Far yard"], **kit}
    )
    return from_document(document, "far.toml")


def test_the_smaller_plan_leaves_the_far_source_and_its_kit() -> None:
    scenario = with_a_far_source()
    result = smaller_plan(scenario, evaluate(prepare(scenario)), "time_paid")
    assert result is not None
    words = smaller(scenario, result.file, "time_paid")

    assert words is not None
    assert result.plan.outcome is not None
    assert result.plan.kit_to_buy <= SMALLER * float(result.file.kit_to_buy)
    assert "Trailer" in words["left_out"]
    assert "Far yard" not in words["title"]
    assert words["line"].startswith("A smaller plan of this farm leaves")


def test_it_is_the_best_of_all_that_are_clearly_smaller() -> None:
    scenario = with_a_far_source()
    result = smaller_plan(scenario, evaluate(prepare(scenario)), "time_paid")
    table = search(space_of(scenario), "time_paid")

    assert result is not None
    assert table is not None
    kit, hours = float(result.file.kit_to_buy), float(result.file.typical.fuel["own_hours"])
    worths = [
        worth
        for worth, cost, worked, allowed in zip(
            table.figures.worth("time_paid"),
            table.figures.kit_to_buy,
            table.figures.own_hours,
            table.allowed,
            strict=True,
        )
        if allowed
        and cost <= kit
        and worked <= hours
        and (cost <= SMALLER * kit or worked <= SMALLER * hours)
    ]
    assert result.plan.worth("time_paid") == pytest.approx(max(worths))


def test_no_smaller_plan_is_named_where_none_pays() -> None:
    scenario = load("scenarios/wrenfold-heater-only.toml")

    assert smaller(scenario, evaluate(prepare(scenario)), "time_paid") is None
