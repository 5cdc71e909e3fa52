"""Levers: which of them move what is burned, and pages that keep it while only prices move."""

import functools
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import seeded
from msgspec import Struct

from econ.answers.document import answer, to_json
from econ.answers.turned import SHOWN_LEVERS, Prepared
from econ.farm.files import from_document, load
from econ.farm.prepare import prepare
from econ.model.evaluate import evaluate, volumes_of
from econ.model.inputs import Inputs
from econ.model.levers import LEVERS, Lever, turned
from econ.model.outcome import Outcome

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
FACTORS = (0.25, 1.9)


def bits(value: Any) -> Any:
    """Lay every number of a record out to its last bit."""
    if isinstance(value, Struct):
        return [(name, bits(getattr(value, name))) for name in value.__struct_fields__]
    if isinstance(value, dict):
        return [(key, bits(inner)) for key, inner in value.items()]
    if isinstance(value, list | tuple):
        return [bits(inner) for inner in value]
    if isinstance(value, float | np.ndarray | np.generic):
        array = np.asarray(value)
        return array.shape, array.dtype.str, array.tobytes()
    assert value is None or isinstance(value, str | int), type(value)
    return value


@functools.cache
def farms() -> list[tuple[Inputs, Any]]:
    """Return farms, each with what it burns before any lever is turned."""
    random = [from_document(seeded.farm(k), f"farm {k}") for k in range(6)]
    prepared = [prepare(farm) for farm in (*map(load, SCENARIOS), *random)]
    return [(inputs, bits(volumes_of(inputs))) for inputs in prepared]


def outcomes(before: Prepared, factors: dict[str, float]) -> tuple[Outcome, Outcome]:
    """Work a farm through as pages do, after others, and anew from its inputs."""
    return before.at(factors).answer.expected, evaluate(turned(before.expected, factors))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_pages_have_what_a_whole_run_gives_to_the_bit(path: Path) -> None:
    farm = Prepared.of(load(path))
    steps = [{key: factor} for key in SHOWN_LEVERS for factor in FACTORS]
    # Volumes kept of one step meet prices of the next, and the other way round.
    steps += [{"oil": 0.5, "wage": 1.7}, {"oil": 0.5, "pump_price": 0.6}, {"pump_price": 0.6}, {}]
    for factors in steps:
        kept, anew = outcomes(farm, factors)
        assert bits(kept) == bits(anew), factors


@pytest.mark.parametrize("lever", LEVERS, ids=lambda lever: lever.key)
def test_a_lever_says_whether_it_moves_what_is_burned(lever: Lever) -> None:
    moved = [
        bits(volumes_of(lever.turn(inputs, np.asarray(factor)))) != volumes
        for inputs, volumes in farms()
        for factor in FACTORS
    ]
    assert any(moved) == lever.moves_volumes


def test_likely_values_stand_beside_the_average_however_levers_are_turned() -> None:
    scenario = load(SCENARIOS[0])
    farm, factors = Prepared.of(scenario), {"pump_price": 0.7, "oil": 1.3}
    likely = farm.at(factors).answer.likely

    assert bits(likely) == bits(evaluate(turned(prepare(scenario, at="likely"), factors)))
    assert farm.at({}).document == to_json(answer(scenario))
    assert list(farm.at({}).document) == list(to_json(answer(scenario)))
