"""The search for the best plan against every plan worked through one by one."""

import pytest
import seeded
from reference import plans

from econ.farm.files import from_document
from econ.questions.plan import which_plan

MOST = 40
"""Plans of a farm that is small enough to try them all in loops."""


def small_farms() -> list[int]:
    counts = {seed: sum(1 for _ in plans.decisions(seeded.farm(seed))) for seed in range(40)}
    return [seed for seed, count in counts.items() if 0 < count <= MOST]


@pytest.mark.parametrize("ledger", ["time_free", "time_paid"])
@pytest.mark.parametrize("seed", small_farms())
def test_the_best_plan_and_the_stair_are_those_of_every_plan_tried_in_loops(
    seed: int, ledger: str
) -> None:
    farm = {**seeded.farm(seed), "uncertainty": {"draws": 8}}
    every = plans.plans(farm, ledger)

    answer = which_plan(from_document(farm, "farm.toml"), ledger)

    best = max([0.0, *(plan["equivalent_annual"] for plan in every)])
    size = max(1.0, *(abs(plan["equivalent_annual"]) for plan in every), best)
    assert answer.best.worth(ledger) == pytest.approx(best, rel=1e-9, abs=1e-9 * size)
    stair = [(farm["oils"][step.added]["name"], step.gain) for step in answer.stair]
    expected = plans.stair(every)
    assert [name for name, _ in stair] == [step["added"] for step in expected]
    for (_, gain), step in zip(stair, expected, strict=True):
        assert gain == pytest.approx(step["gain"], rel=1e-9, abs=1e-9 * size)
