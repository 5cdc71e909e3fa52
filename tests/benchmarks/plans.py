"""Speed and nearness of the search over plans and of folders: prints a table.

Run as ``python tests/benchmarks/plans.py``; about five minutes. No check depends on it.
"""

import copy
import re
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from plan_farms import Document, random_farm

from econ.farm.files import from_document, load
from econ.ground.errors import ScenarioError
from econ.questions.plan_search import ranked, search
from econ.questions.plan_space import Space, space_of

ROOT = Path(__file__).parents[2]
TWO_WAYS = ROOT / "scenarios" / "quillmere-two-ways.toml"
# Farms of a folder, and the demo farms that they are made from: each a file by itself.
FARMS = 1000
NAMES = ("wrenfold", "quillmere", "stonebark-own-oil", "hollowmere", "kurrabee-downs")
Row = tuple[str, str, str]


def wide(seed: int, oils: int, machines: int) -> Document:
    """Return a farm of many sources and machines, three thinners, two ways of cleaning."""
    farm = random_farm(seed)
    tractors = [entry for entry in farm["machines"] if entry["engine"] != "burner"]
    for table, kinds, count in (("oils", farm["oils"], oils), ("machines", tractors, machines)):
        farm[table] = []
        for k in range(count):
            entry = copy.deepcopy(kinds[k % len(kinds)])
            entry["name"] = f"{table} {k}"
            if table == "oils":
                entry |= {"own": k == 0, "round_trip": 4.0 + 5.0 * k}
            else:
                entry |= {"thinner": "Gasoline", "thinners": ["Kerosene", "Dyed"]}
            farm[table].append(entry)
    names = {entry["name"] for table in ("oils", "machines", "thinners") for entry in farm[table]}
    for table in ("kit", "yearly"):
        for entry in farm[table]:
            served = [name for name in entry.get("serves", []) if name in {*names, "Big", "Small"}]
            entry.pop("serves", None)
            if served:
                entry["serves"] = served
    return farm


def best_of(space: Space, most: int) -> tuple[float, int, float]:
    """Return the best plan's worth, plans tried and the seconds it took."""
    start = time.perf_counter()
    table = search(space, "time_paid", most=most)
    took = time.perf_counter() - start
    if table is None:
        return 0.0, 1, took
    worth = float(table.figures.time_paid[ranked(space, table, "time_paid")[0]])
    return max(0.0, worth), table.tried, took


def nearness() -> Row:
    """Measure how far steps end from the best of all, where both can be had."""
    behind = []
    for seed in range(60):
        try:
            space = space_of(from_document(random_farm(seed), f"farm-{seed}.toml"))
            every, steps = best_of(space, 10**9), best_of(space, 0)
        except ScenarioError:
            continue
        behind.append(every[0] - steps[0])
    space = space_of(load(TWO_WAYS))
    behind.append(best_of(space, 10**9)[0] - best_of(space, 0)[0])
    missed = [gap for gap in behind if gap > 0.01]
    most = max(behind, default=0.0)
    words = (
        f"same best in {len(behind) - len(missed)} of {len(behind)}; at most ${most:,.0f} behind"
    )
    return "steps, small farms and the farm with a choice", "every plan tried", words


def large() -> Row:
    """Search a farm that has too many plans to try them all."""
    space = space_of(from_document(wide(3, 10, 8), "wide.toml"))
    _, tried, took = best_of(space, 200_000)
    of = "10 sources, 8 machines, 3 thinners, 2 ways of cleaning, by steps"
    return of, "", f"{tried:,} plans tried in {took:.1f} s"


def copies(folder: Path, count: int) -> None:
    """Write so many farms, each with a wage of its own."""
    for k in range(count):
        text = (ROOT / "scenarios" / f"{NAMES[k % len(NAMES)]}.toml").read_text(encoding="utf-8")
        wage = re.search(r"^wage = .*$", text, re.M)
        assert wage is not None
        own = re.sub(r"\d+", rf"\g<0>.{k:03}", wage[0])
        (folder / f"{k:04}.toml").write_text(text.replace(wage[0], own), encoding="utf-8")


def folders() -> Row:
    """Decide a folder of many farms, against one command a farm."""
    command = [sys.executable, "-m", "dashboards", "decide"]

    def processor(*words: str) -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([*command, *words], check=True, capture_output=True, cwd=ROOT)  # noqa: S603
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    with tempfile.TemporaryDirectory() as place:
        copies(Path(place), FARMS)
        together = processor(place)
    alone = sum(processor(f"scenarios/{name}.toml") for name in NAMES) / len(NAMES)
    words = f"{alone * FARMS / together:.1f} times faster ({together:.0f} s for all)"
    return f"a farm of a folder of {FARMS:,}, all cores", "one command a farm", words


if __name__ == "__main__":
    print("| what | against | result |")
    print("|---|---|---|")
    for row in (nearness(), large(), folders()):
        print(f"| {' | '.join(row)} |", flush=True)
