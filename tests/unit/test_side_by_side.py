"""Variants worked through as rows of one batch say what the model says of each alone, exactly."""

from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import seeded

from econ.farm.files import from_document, load
from econ.farm.prepare import prepare, prepare_whole
from econ.farm.schema import Scenario
from econ.fuel.viscosity import viscosity_of, w_at
from econ.ground.records import replace
from econ.ground.units import Floats
from econ.model.changes import (
    in_plan,
    on_pump_fuel,
    only_what_serves,
    with_thinners,
    without_source,
    without_thinner_limit,
)
from econ.model.equal_job import JOB_TEMPERATURE, job_of, pool_part, share_for_job
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.model.variants import Variant, side_by_side
from econ.questions.oils import FARTHEST, POINTS, oil_worth
from econ.questions.source_edits import at_distance, with_drum_at_gate, with_drum_fetched
from econ.questions.thinners import compare
from econ.questions.tie_prices import crossings

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
SEEDS = range(8)
# So many of a farm's variants are looked at alone; the batch has them all.
LOOKED_AT = 16


@cache
def farms() -> list[Scenario]:
    random = [from_document(seeded.farm(seed), f"farm {seed}") for seed in SEEDS]
    return [*map(load, SCENARIOS), *random]


def figures(outcome: Outcome) -> dict[str, Floats]:
    """Return every sum of a plan that a comparison reads, and much that it does not."""
    found = {f"worth, {key}": outcome.per_year(key) for key in outcome.ledgers}
    for key, made in outcome.ledgers.items():
        found[f"npv, {key}"] = made.measures["npv"]
        found |= {f"flow, {key}, {k}": flow for k, flow in enumerate(made.ledger.flows)}
    for when, year in (("first", outcome.first_year), ("typical", outcome.typical)):
        for table in (year.fuel, year.costs, year.savings, year.per_blend, year.per_replaced):
            found |= {f"{when}, {key}, {len(found)}": value for key, value in table.items()}
        found |= {f"{when}, month {m.month}": m.bottleneck for m in year.months}
    return found


def alone(inputs: Inputs, variant: Variant) -> Outcome:
    """Work one variant through by itself, edit by edit."""
    changed = with_thinners(inputs, variant.thinner_of)
    if variant.unlimited is not None:
        changed = without_thinner_limit(changed, variant.unlimited)
    if variant.idle is not None:
        return evaluate(on_pump_fuel(changed, variant.idle), measures=())
    return evaluate(only_what_serves(changed, in_plan(changed)), measures=())


def variants_of(inputs: Inputs) -> list[Variant]:
    """Give each thinner to each machine and to all at once; leave each machine out; lift limits."""
    burning = [k for k, machine in enumerate(inputs.machines) if machine.thinner is not None]
    thinners = range(len(inputs.thinners))
    listed = [Variant({k: j}) for k in burning for j in thinners]
    listed += [Variant(dict.fromkeys(burning, j)) for j in thinners]
    listed += [Variant(unlimited=j) for j in thinners]
    listed += [Variant(idle=k) for k in range(len(inputs.machines))]
    return [Variant(), *listed]


def same(batch: Outcome, row: int, count: int, single: Outcome) -> list[str]:
    """Name the figures in which a row of a batch differs from the farm by itself."""
    ours, theirs = figures(batch), figures(single)
    assert ours.keys() == theirs.keys()
    return [
        name
        for name, value in theirs.items()
        if not np.array_equal(np.broadcast_to(ours[name], (count,))[row], value, equal_nan=True)
    ]


@pytest.mark.parametrize("scenario", farms(), ids=lambda made: made.scenario.title)
def test_each_row_is_the_model_on_that_variant_alone(scenario: Scenario) -> None:
    inputs = prepare_whole(scenario)
    variants = variants_of(inputs)

    batch = side_by_side(inputs, variants, measures=())

    for row in range(0, len(variants), 1 + len(variants) // LOOKED_AT):
        variant = variants[row]
        single = alone(inputs, variant)
        assert same(batch.outcome, row, len(variants), single) == [], variant
        burned = batch.by_machine([year.oil_used for year in batch.outcome.typical.machines])
        alone_burned = [float(year.oil_used) for year in single.typical.machines]
        assert burned[:, row].tolist() == alone_burned


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_every_offer_of_a_comparison_is_the_model_on_its_own_farm(path: Path) -> None:
    tried = 0
    for scope in compare(prepare_whole(load(path))).scopes:
        for row in scope.rows:
            if row.result is None:
                continue
            single = evaluate(row.inputs, measures=())
            tried += 1
            assert row.result.worths == {key: single.per_year(key) for key in single.ledgers}
            assert float(row.result.oil_used) == pytest.approx(
                sum(float(single.typical.machines[k].oil_used) for k in scope.machines), rel=1e-15
            )
        if scope.without is not None:
            assert scope.worth_without == evaluate(scope.without, measures=()).per_year("time_paid")
    assert tried or not any(m.thinner is not None for m in prepare_whole(load(path)).machines)


def test_a_batch_needs_a_settled_order() -> None:
    inputs = prepare_whole(load(SCENARIOS[0]))
    with pytest.raises(ValueError, match="settled burn order"):
        side_by_side(replace(inputs, burn_order=None), [Variant()])


def difference(more: Outcome, less: Outcome) -> tuple[float, float]:
    paid, free = (more.per_year(key) - less.per_year(key) for key in ("time_paid", "time_free"))
    return float(paid), float(free)


def farthest_alone(inputs: Inputs, index: int, without: Outcome) -> float:
    """Look for the farthest round trip of one source, the others where they are."""
    nothing = without.per_year("time_paid")

    def keeps(places: Floats) -> Floats:
        moved = evaluate(at_distance(inputs, index, places.ravel()), measures=())
        kept = moved.per_year("time_paid") - nothing
        return np.broadcast_to(kept, places.ravel().shape).reshape(places.shape)

    oil = inputs.oils[index]
    if oil.load_volume is None or not oil.volume_per_month > 0.0 or keeps(np.zeros((1, 1))) <= 0.0:
        return float("nan")
    return float(crossings(keeps, np.linspace(0.0, FARTHEST, POINTS))[0])


def sources_alone(inputs: Inputs) -> dict[int, dict[str, Any]]:
    """Weigh every source by itself, an evaluation a question."""
    present, gathered = evaluate(inputs, measures=()), {}
    for k in range(len(inputs.oils)):
        less = without_source(inputs, k)
        without, gate, fetched = (
            evaluate(farm, measures=())
            for farm in (less, with_drum_at_gate(inputs, k), with_drum_fetched(inputs, k))
        )
        gathered[k] = {
            "kept": difference(present, without),
            "hours": float(present.typical.fuel["hours"] - without.typical.fuel["hours"]),
            "drum": difference(gate, present),
            "drum_fetched": difference(fetched, present),
            "farthest": farthest_alone(inputs, k, without),
            "pool": viscosity_of(w_at(pool_part(less).line, JOB_TEMPERATURE)),
            "less": less,
        }
    return gathered


@pytest.mark.parametrize("scenario", farms(), ids=lambda made: made.scenario.title)
def test_each_source_is_weighed_as_by_itself(scenario: Scenario) -> None:
    inputs = prepare(scenario)
    alone = sources_alone(inputs)

    for source in oil_worth(inputs).sources:
        single = alone[source.oil]
        for name in ("kept", "drum", "drum_fetched"):
            ours = getattr(source, name)
            assert (float(ours.time_paid), float(ours.time_free)) == single[name], name
        assert float(source.hours) == single["hours"]
        assert np.array_equal(source.farthest, single["farthest"], equal_nan=True)
        if not np.isnan(source.pool_without):
            # Shown only; powers of many rows may round their last bit otherwise.
            assert source.pool_without == pytest.approx(single["pool"], rel=1e-14)
        for effect in source.shares:
            job = job_of(inputs, effect.machine)
            thinner = inputs.machines[effect.machine].thinner
            assert job is not None
            assert thinner is not None
            shares = [
                share_for_job(single["less"], job, inputs.thinners[thinner], winter=winter)
                for winter in (False, True)
            ]
            assert any(np.array_equal(effect.share_without, s, equal_nan=True) for s in shares)


def test_many_sources_are_weighed_in_batches_and_each_as_by_itself() -> None:
    scenario = load(next(path for path in SCENARIOS if path.stem == "wrenfold"))
    document = dict(scenario.merged)
    document["oils"] = [
        {**oil, "name": f"{oil['name']} {k}" if k else oil["name"]}
        for k in range(12)
        for oil in document["oils"]
    ]
    inputs = prepare(from_document(document, "many.toml"))
    gathered = {source.oil: source for source in oil_worth(inputs).sources}
    present = evaluate(inputs, measures=())

    for k in range(0, len(inputs.oils), 7):
        without = evaluate(without_source(inputs, k), measures=())
        kept = gathered[k].kept
        assert (float(kept.time_paid), float(kept.time_free)) == difference(present, without)
        farthest = farthest_alone(inputs, k, without)
        assert np.array_equal(gathered[k].farthest, farthest, equal_nan=True)
