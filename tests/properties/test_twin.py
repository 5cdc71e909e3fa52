"""The model against its second reading, on random farms in both unit systems."""

import math
from collections import Counter
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import reference
import seeded
from hypothesis import given, settings
from strategies import farms, to_metric, to_toml

from econ.advice.verdict import SMALL_PLAN
from econ.answers.document import document
from econ.farm.files import from_document, load
from econ.farm.schema import Scenario
from econ.ground.errors import ScenarioError

# On farms 128 and 139 driving leaves too few hours for the oil already in store.
SEEDS = (*range(120), 128, 139)
SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


def differences(model: Any, twin: Any, place: str, size: float) -> Iterator[str]:
    """List where two documents differ by more than rounding; `size` is that of sums' parts."""
    if isinstance(twin, dict):
        for key, value in twin.items():
            if key != "stores":
                yield from differences(model[key], value, f"{place}.{key}", size)
    elif isinstance(twin, list | tuple):
        if len(model) != len(twin):
            yield f"{place}: {len(model)} against {len(twin)} entries"
        for index, (ours, theirs) in enumerate(zip(model, twin, strict=False)):
            yield from differences(ours, theirs, f"{place}[{index}]", size)
    elif isinstance(twin, float | int) and not isinstance(twin, bool) and model is not None:
        if not math.isclose(model, twin, rel_tol=1e-9, abs_tol=1e-9 * size):
            yield f"{place}: {model!r} against {twin!r}"
    elif model != twin:
        yield f"{place}: {model!r} against {twin!r}"


def gross(twin: dict[str, Any]) -> float:
    """Return the size of the largest amounts, of which others are differences."""
    flows = [f for led in twin["ledgers"].values() for f in led["flows"]]
    flows += twin["loan"]["left_after_payment"]["time_free"] if twin["loan"] else []
    return max(
        1.0,
        *(abs(f) for f in flows),
        *(abs(c) for c in twin["costs"].values()),
        twin["savings"]["fuel_not_bought"],
        twin["fuel"]["fuel_without_plan"],
    )


def near_edge(twin: dict[str, Any]) -> bool:
    """Say whether rounding decides something, so that the two may rightly differ."""
    size = gross(twin)
    for led in twin["ledgers"].values():
        sums = [sum(led["flows"][: y + 1]) for y in range(len(led["flows"]))]
        # Nothing at all, as the outlay of a farm without kit, is nothing in both.
        if any(0 < abs(s) < 1e-7 * size for s in [*sums, led["npv"]]):
            return True
    # The advice asks whether a quarter of the blend goes to machines under caution.
    doubtful = sum(m["blend"] for m in twin["machines"] if m["fit"] == "caution")
    return 0 < abs(doubtful - 0.25 * twin["fuel"]["blend"]) < 1e-9 * size


def worked(scenario: Scenario) -> dict[str, Any] | None:
    """Return the model's document; None for the one refusal a generated farm may meet."""
    try:
        return document(scenario)
    except ScenarioError as error:
        if "thicker than the machine's" in str(error):
            return None
        raise


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_demo_farm_equals_its_second_reading(path: Path) -> None:
    twin = reference.evaluate(reference.read(path))

    assert list(differences(document(load(path)), twin, "", gross(twin))) == []


def test_a_plan_is_small_below_three_hundred_gallons_of_fuel_a_year() -> None:
    assert pytest.approx(1135.6, abs=0.05) == SMALL_PLAN


Dense = Callable[[int], tuple[Path, dict[str, Any]]]


@pytest.fixture(scope="module")
def dense(tmp_path_factory: pytest.TempPathFactory) -> Dense:
    """Write a dense farm to a file, every other one in metric units, and read it a second way."""
    folder = tmp_path_factory.mktemp("dense")

    @cache
    def made(seed: int) -> tuple[Path, dict[str, Any]]:
        farm, path = seeded.farm(seed), folder / f"{seed}.toml"
        path.write_text(to_toml(to_metric(farm) if seed % 2 else farm), encoding="utf-8")
        return path, reference.evaluate(reference.read(path))

    return made


@pytest.mark.parametrize("seed", SEEDS)
def test_a_dense_farm_read_from_its_file_equals_its_second_reading(seed: int, dense: Dense) -> None:
    path, twin = dense(seed)
    model = worked(load(path))
    if model is None:
        assert any(machine["thinner_share"] is None for machine in twin["machines"])
        return

    assert list(differences(model, twin, "", gross(twin))) == []


def test_the_dense_farms_meet_every_rule_the_comparison_is_for(dense: Dense) -> None:
    met: Counter[str] = Counter()
    for seed in SEEDS:
        _, twin = dense(seed)
        ledger = twin["ledgers"]["time_free"]
        met.update(row["bottleneck"] for row in twin["months"])
        met.update([twin["advice"]["key"], f"kit {twin['kit_cost'] > 0}"])
        met.update(key for key, value in ledger.items() if value is not None)
        met.update(f"fit {machine['fit']}" for machine in twin["machines"])
        met[f"stays paid {ledger['stays_paid']}"] += 1

    for rule in (
        "need", "oil", "capacity", "thinner", "storage", "do not start", "try small first",
        "start only if your time is free", "start", "kit True", "kit False", "irr", "sir",
        "simple_payback", "break_even_fuel_price", "fit suited", "fit caution", "fit excluded",
        "stays paid True", "stays paid False", "stays paid None",
    ):  # fmt: skip
        assert met[rule] > 0, rule


@settings(max_examples=50)
@given(farms())
def test_a_random_farm_equals_its_second_reading(farm: dict[str, Any]) -> None:
    model = worked(from_document(farm, "farm.toml"))
    if model is None:
        return
    twin = reference.evaluate(farm)
    if near_edge(twin):
        return

    assert list(differences(model, twin, "", gross(twin))) == []


@settings(max_examples=25)
@given(farms())
def test_a_farm_in_metric_units_equals_the_same_farm_in_us_units(farm: dict[str, Any]) -> None:
    twin = reference.evaluate(farm)
    if near_edge(twin):
        return
    metric = to_metric(farm)
    model = worked(from_document(metric, "farm.toml"))
    if model is None:
        return
    litre_twin = reference.evaluate(metric)

    assert list(differences(model, litre_twin, "", gross(litre_twin))) == []
    money = ("costs", "savings", "ledgers")
    us_money = {key: twin[key] for key in money}
    for ledger in us_money["ledgers"].values():
        for key in ("break_even_fuel_price", "break_even_by_fuel", "stop_below"):
            ledger.pop(key)
    assert list(differences(model, us_money, "", gross(twin))) == []
