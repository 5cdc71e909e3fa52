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

from econ.chances import chances
from econ.draws import BLOCK, pick_from, sampler
from econ.evaluate import evaluate
from econ.files import load
from econ.money import irr
from econ.prepare import inputs_at, prepare, settle

ROOT = Path(__file__).parents[2]
LARGEST = ROOT / "scenarios" / "quillmere.toml"


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Give the median time of some runs."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return float(np.median(found))


def cpu_of(*words: str) -> float:
    """Give the median processor time of a whole command."""
    found = []
    for _ in range(5):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [sys.executable, *words]
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)  # noqa: S603
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return float(np.median(found))


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
    found = [
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
        found.append(("a draw of 10,000,000", "the plain loop",
                      f"{loop / (time.perf_counter() - start) * 1e7:,.0f} times faster"))  # fmt: skip
    peak = max(
        resource.getrusage(who).ru_maxrss
        for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    found.append(("peak memory of the largest process", "", f"{peak / 1024:.0f} MB"))
    return found


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--large", action="store_true", help="ten million draws as well")
    print("| what | against | ratio |")
    print("|---|---|---|")
    for row in rows(parser.parse_args().large):
        print(f"| {' | '.join(row)} |")
