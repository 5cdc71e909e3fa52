"""Variants worked through as rows of one batch say what the model says of each alone, exactly."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import seeded

from econ.farm.files import from_document, load
from econ.farm.prepare import prepare_whole
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.changes import (
    in_plan,
    on_pump_fuel,
    only_what_serves,
    with_thinners,
    without_thinner_limit,
)
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.model.variants import Variant, side_by_side
from econ.questions.thinners import compare

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
SEEDS = range(8)
# So many of a farm's variants are looked at alone; the batch has them all.
LOOKED_AT = 16


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
