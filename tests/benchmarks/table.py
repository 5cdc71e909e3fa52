"""Speed as ratios, each against a named baseline in the same run: prints a table.

Run as ``python tests/benchmarks/table.py``; add ``--large`` for ten million draws. No check
depends on it: machines differ, ratios differ less.
"""

import argparse
import resource
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy_financial
import reference
from benchmarks.measuring import ROOT, Row, copied, cpu_of, exponent, printed, seconds, with_years

from econ.farm.files import load
from econ.farm.prepare import inputs_at, prepare, settle
from econ.farm.schema import Scenario
from econ.finance.worth import irr
from econ.model.changes import with_plan
from econ.model.evaluate import evaluate
from econ.questions.chances import chances
from econ.questions.draws import BLOCK, pick_from, sampler
from econ.questions.plan_search import decision_of_row, search
from econ.questions.plan_space import space_of

LARGEST = ROOT / "scenarios" / "quillmere.toml"
TWO_WAYS = ROOT / "scenarios" / "quillmere-two-ways.toml"


def growth(scenario: Scenario) -> list[Row]:
    """Measure how the time of draws grows with what there is of them."""

    def run(farm: Scenario, draws: int = 2 * BLOCK) -> Callable[[], object]:
        return lambda: chances(farm, draws=draws, workers=1)

    once = run(scenario)
    pairs = [
        ("draws, 16,384 to 131,072", run(scenario, 4 * BLOCK), run(scenario, 32 * BLOCK), 8.0),
        ("machines, times 4", once, run(copied(scenario, machines=4)), 4.0),
        ("oils, times 4", once, run(copied(scenario, oils=4)), 4.0),
        ("years, 8 to 32", once, run(with_years(scenario, 32)), 4.0),
    ]
    return [
        (f"growth of time with {name}", "1 is in proportion", exponent(small, large, ratio))
        for name, small, large, ratio in pairs
    ]


def searching() -> list[Row]:
    """Measure the search for a plan against the model run once for each plan."""
    space = space_of(load(TWO_WAYS))
    table = search(space, "time_paid")
    assert table is not None
    some = [decision_of_row(space, table, row) for row in range(0, table.tried, table.tried // 40)]

    def one_by_one() -> None:
        for choice in some:
            whole = space.inputs[choice.setup]
            made = with_plan(whole, choice.oils, dict(choice.thinners))
            evaluate(made, by_month=False, measures=())

    each = seconds(one_by_one, 3) / len(some)
    batch = seconds(lambda: search(space, "time_paid"), 3) / table.tried
    text = f"{each / batch:,.0f} times faster ({1.0 / batch:,.0f} plans a second)"
    return [(f"a plan of {table.tried:,}, all tried", "one evaluation a plan", text)]


def rows(large: bool) -> list[Row]:
    """Measure everything: what, against what, ratio."""
    scenario = load(LARGEST)
    document = reference.read(LARGEST)
    inputs, choices = prepare(scenario), settle(scenario)
    loop = seconds(lambda: reference.evaluate(document)) / 2  # likely and expected
    one = seconds(lambda: evaluate(inputs))
    drawn = sampler(scenario, BLOCK, 0)
    block = inputs_at(scenario, pick_from(drawn.values(0)), choices)
    flows = evaluate(block, by_month=False).ledgers["time_paid"].ledger.flows
    each = seconds(lambda: [numpy_financial.irr(flows[:, k]) for k in range(200)]) / 200
    ours = seconds(lambda: irr(flows)) / BLOCK

    hundred = seconds(lambda: chances(scenario, draws=100_000, workers=1), 3) / 100_000
    million = cpu_of("-m", "dashboards", "chances", str(LARGEST), "--draws", "1000000", times=1)
    million /= 1_000_000
    result = [
        ("one evaluation", "the plain loop", f"{one / loop:.2f} times as long"),
        ("a draw of 100,000, all measures, one worker", "the plain loop",
         f"{loop / hundred:,.0f} times faster ({1e6 * hundred:.1f} µs)"),
        ("`chances` of 1,000,000 draws, whole command, by draw", "the plain loop",
         f"{loop / million:,.0f} times faster ({1e6 * million:.1f} µs)"),
        ("rate of return, a row of a block", "numpy-financial, a call a row",
         f"{each / ours:,.0f} times faster ({1e6 * ours:.2f} µs)"),
    ]  # fmt: skip
    if large:
        start = time.perf_counter()
        chances(scenario, draws=10_000_000)
        each = (time.perf_counter() - start) / 10_000_000
        row = f"{loop / each:,.0f} times faster ({1e6 * each:.1f} µs)"
        result.append(("a draw of 10,000,000, two workers", "the plain loop", row))
    result += searching()
    result += growth(scenario)
    peak = max(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    result.append(("peak memory of the largest process", "", f"{peak / 1024:.0f} MB"))
    return result


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--large", action="store_true", help="ten million draws as well")
    printed(rows(parser.parse_args().large))
