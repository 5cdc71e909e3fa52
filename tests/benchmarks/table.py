"""Speed as ratios, each against a named baseline in the same run: prints a table.

Run as ``python tests/benchmarks/table.py``; add ``--large`` for ten million draws. No check
depends on it: machines differ, ratios differ less.
"""

import argparse
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np
import numpy_financial
import reference

from econ.farm.files import from_document, load
from econ.farm.prepare import inputs_at, prepare, settle
from econ.farm.schema import Scenario
from econ.finance.worth import irr
from econ.model.changes import with_plan
from econ.model.evaluate import evaluate
from econ.questions.chances import chances
from econ.questions.draws import BLOCK, pick_from, sampler
from econ.questions.plan_search import decision_of_row, search
from econ.questions.plan_space import space_of

ROOT = Path(__file__).parents[2]
LARGEST = ROOT / "scenarios" / "quillmere.toml"
TWO_WAYS = ROOT / "scenarios" / "quillmere-two-ways.toml"


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Return the median time of some runs."""
    result = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        result.append(time.perf_counter() - start)
    return float(np.median(result))


def cpu_of(*words: str) -> float:
    """Return the median processor time of a whole command."""
    result = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [sys.executable, *words]
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)  # noqa: S603
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        result.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return float(np.median(result))


def copied(scenario: Scenario, table: str, times: int) -> Scenario:
    """Return a farm with a table's entries so many times over, under other names."""
    document = dict(scenario.merged)
    document[table] = [
        {**entry, "name": f"{entry['name']} {k}"} for k in range(times) for entry in document[table]
    ]
    return from_document(document, "copied.toml")


def with_years(scenario: Scenario, years: int) -> Scenario:
    """Return a farm looked at for so many years."""
    document = {**scenario.merged, "finance": {**scenario.merged["finance"], "years": years}}
    return from_document(document, "years.toml")


def exponent(small: Callable[[], object], large: Callable[[], object], ratio: float) -> str:
    """Return how time grows with size: 1 is in proportion."""
    return f"{np.log(seconds(large, 3) / seconds(small, 3)) / np.log(ratio):.2f}"


def growth(scenario: Scenario) -> list[tuple[str, str, str]]:
    """Measure how the time of draws grows with what there is of them."""

    def run(farm: Scenario, draws: int = 2 * BLOCK) -> Callable[[], object]:
        return lambda: chances(farm, draws=draws, workers=1)

    once = run(scenario)
    pairs = [
        ("draws, 16,384 to 131,072", run(scenario, 4 * BLOCK), run(scenario, 32 * BLOCK), 8.0),
        ("machines, times 4", once, run(copied(scenario, "machines", 4)), 4.0),
        ("oils, times 4", once, run(copied(scenario, "oils", 4)), 4.0),
        ("years, 8 to 32", once, run(with_years(scenario, 32)), 4.0),
    ]
    return [
        (f"growth of time with {name}", "1 is in proportion", exponent(small, large, ratio))
        for name, small, large, ratio in pairs
    ]


def searching() -> list[tuple[str, str, str]]:
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


def rows(large: bool) -> list[tuple[str, str, str]]:
    """Measure everything: what, against what, ratio."""
    scenario = load(LARGEST)
    document = reference.read(LARGEST)
    inputs, choices = prepare(scenario), settle(scenario)
    loop = seconds(lambda: reference.evaluate(document)) / 2  # likely and expected
    one = seconds(lambda: evaluate(inputs))
    drawn = sampler(scenario, BLOCK, 0)
    block = inputs_at(scenario, pick_from(drawn.values(0)), choices)
    flows = evaluate(block, by_month=False).ledgers["time_paid"].ledger.flows
    each = seconds(
        lambda: [numpy_financial.irr(flows[:, k]) for k in range(200)]
    ) / 200  # fmt: skip
    ours = seconds(lambda: irr(flows)) / BLOCK

    start = time.perf_counter()
    chances(scenario, draws=100_000, workers=1)
    hundred = (time.perf_counter() - start) / 100_000
    start = time.perf_counter()
    chances(scenario, draws=1_000_000)
    million = (time.perf_counter() - start) / 1_000_000
    decide = cpu_of("-m", "dashboards", "decide", str(LARGEST), "--json")
    bare = cpu_of("-c", "import numpy, pydantic")
    result = [
        ("`decide`, chances included, processor time", "`import numpy, pydantic`",
         f"{decide / bare:.1f} times"),
        ("one evaluation", "the plain loop", f"{one / loop:.2f} times as long"),
        ("a draw of 100,000, all measures, one worker", "the plain loop",
         f"{loop / hundred:,.0f} times faster ({1e6 * hundred:.1f} µs)"),
        ("a draw of 1,000,000, two workers", "the plain loop",
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
    print("| what | against | ratio |")
    print("|---|---|---|")
    for row in rows(parser.parse_args().large):
        print(f"| {' | '.join(row)} |")
