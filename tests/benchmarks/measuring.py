"""How the tables measure: processor time, medians, farms made larger by copies of their entries."""

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

import dashboards  # noqa: F401, first: it says how many threads NumPy may have in a command
from econ.farm.files import from_document
from econ.farm.schema import Scenario

ROOT = Path(__file__).parents[2]
Row = tuple[str, str, str]


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """Return the median processor time of some runs in this process, after one that warms up."""
    work()
    result = []
    for _ in range(times):
        start = time.process_time()
        work()
        result.append(time.process_time() - start)
    return float(np.median(result))


def cpu_of(*words: str, times: int = 5) -> float:
    """Return the median processor time of a whole command, its modules compiled before."""
    return taken_by(words, times=times)[0][0]


def taken_by(*commands: tuple[str, ...], times: int = 5) -> list[tuple[float, float]]:
    """Return the median processor time of each command, and the median by the clock.

    Commands take turns, so that what else the machine does falls on all of them alike.
    """
    with tempfile.TemporaryDirectory() as compiled:
        # As a user's shell has it: modules are kept compiled, and nothing says how many threads.
        ours = ("PYTHONDONTWRITEBYTECODE", "OPENBLAS_NUM_THREADS")
        kept = {key: value for key, value in os.environ.items() if key not in ours}
        rounds = [
            [_taken(words, {**kept, "PYTHONPYCACHEPREFIX": compiled}) for words in commands]
            for _ in range(times + 1)
        ]
    # The first round compiles.
    medians = np.median(np.array(rounds[1:]), axis=0)
    return [(float(processor), float(clock)) for processor, clock in medians]


def _taken(words: tuple[str, ...], environment: dict[str, str]) -> tuple[float, float]:
    """Run a command and return its processor time and how long it took by the clock."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    subprocess.run(  # noqa: S603
        [sys.executable, *words], check=True, capture_output=True, cwd=ROOT, env=environment
    )
    after, end = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return processor, end - start


def copied(scenario: Scenario, **times: int) -> Scenario:
    """Return a farm with the entries of some tables so many times over, under other names."""
    document = dict(scenario.merged)
    for table, count in times.items():
        document[table] = [
            # The first keeps its name, for what hangs on it.
            {**entry, "name": f"{entry['name']} {k}" if k else entry["name"]}
            for k in range(count)
            for entry in document[table]
        ]
    return from_document(document, "copied.toml")


def with_years(scenario: Scenario, years: int) -> Scenario:
    """Return a farm looked at for so many years."""
    document = {**scenario.merged, "finance": {**scenario.merged["finance"], "years": years}}
    return from_document(document, "years.toml")


def exponent(small: Callable[[], object], large: Callable[[], object], ratio: float) -> str:
    """Return how time grows with size: 1 is in proportion."""
    return f"{np.log(seconds(large, 3) / seconds(small, 3)) / np.log(ratio):.2f}"


def printed(rows: list[Row]) -> None:
    """Print a table."""
    print("| what | against | ratio |")
    print("|---|---|---|")
    for row in rows:
        print(f"| {' | '.join(row)} |", flush=True)
