"""Draws through the model, block by block: how likely the plan comes out ahead, and how far.

Memory stays bounded whatever the number of draws: the first ones are kept as they are, later
ones are counted into fine histograms. Every block depends on its number alone and is summed
by itself, so neither chunks nor workers change a result.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> ahead = chances(load(demo_files()["wrenfold"]), draws=64).ahead
>>> ahead["time_free"] >= ahead["time_paid"]
True
"""

import math
from collections.abc import Callable, Iterator
from functools import partial
from typing import TypeVar

import numpy as np
from msgspec import Struct

from econ.advice.verdict import Odds
from econ.farm.prepare import Choices, inputs_at, pick_at, settle
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.headlines import HEADLINES
from econ.model.kit import kit_cost
from econ.model.ledger import LEDGERS
from econ.questions.bad_year import BadYear, Repairs, bad_year
from econ.questions.drawn_block import PAYBACK_YEARS, Run
from econ.questions.draws import BLOCK, Sampler, sampler
from econ.questions.history import History, history
from econ.questions.tally import (
    Counts,
    Edges,
    Levels,
    Places,
    Spread,
    counts_of,
    edges_of,
    spread_of,
)

KEPT_BLOCKS = 16
"""Blocks whose draws are kept as they are: 65,536 draws."""
_TASK_BLOCKS = 32
TOGETHER = 4
"""Blocks worked through together: more outgrow the cache, fewer spend their time on calls."""
# Below this many draws a second process costs more than it brings.
_WORKER_DRAWS = 200_000

Made = TypeVar("Made")
Progress = Callable[[int, int], None]


class Stopping(Struct, frozen=True):
    """What a ledger is worth where the plan may stop any New Year's Day."""

    mean: float
    """[currency]"""
    spread: Spread
    """Of the worth. [currency]"""
    ahead: float
    """Chance that the worth is above zero. [-]"""
    stopped: tuple[float, ...]
    """Share of draws that have stopped by the end of each year but the last. [-]"""


class Kept(Struct, frozen=True):
    """The first draws as they are, for indices and for the worth of learning."""

    sampler: Sampler
    draws: int
    npv: dict[str, Floats]
    """Worth by ledger: (draws,). [currency]"""
    still: dict[str, Floats]
    """The same with prices held still, the mean over all paths. [currency]"""
    fuel: Floats
    """Mean present value of each year's fuel money after tax, at prices held still:
    (years + 1,). [currency]"""
    fuel_products: Floats
    """Mean of its products, year by year: (years + 1, years + 1). [currency^2]"""

    def coordinates(self, most: int) -> Floats:
        """Return the independent coordinates of the first draws, without the path's.

        Parameters
        ----------
        most : int
            How many draws, at most.

        Returns
        -------
        ndarray, shape (guesses + factors, n)
            [-]
        """
        count = min(most, self.draws)
        rows = len(self.sampler.guesses) + len(self.sampler.factors)
        blocks = [self.sampler.raw(block)[:rows] for block in range(-(-count // BLOCK))]
        return np.concatenate(blocks, axis=1)[:, :count]


class Chances(Struct, frozen=True):
    """What the draws say."""

    draws: int
    seed: int
    mean: dict[str, float]
    """Mean worth by ledger. [currency]"""
    ahead: dict[str, float]
    """Chance that a ledger's worth is above zero. [-]"""
    ahead_error: dict[str, float]
    payback: dict[str, dict[int, float]]
    """Chance of payback within so many years, by ledger; the horizon last. [-]"""
    spreads: dict[str, Spread]
    fan: dict[str, tuple[Levels, ...]]
    """Running balance at `LEVELS` by ledger and year. [currency]"""
    stopping: dict[str, Stopping]
    bad_year: BadYear
    history: History | None
    """None where the price record is shorter than the plan."""
    kept: Kept
    choices: Choices

    @property
    def odds(self) -> Odds:
        """Return what the advice looks at."""
        paid = self.stopping["time_paid"]
        return Odds(self.mean["time_paid"], self.ahead["time_paid"], paid.spread.levels[0])


class _Later(Struct, frozen=True):
    """What later draws add: histograms and sums."""

    bins: Counts
    sums: dict[str, float]


def _count(run: Run, edges: Edges, blocks: range) -> _Later:
    """Work some blocks through and count them into bins."""
    held: dict[str, list[Places]] = {key: [] for key in edges.low}
    sums: dict[str, float] = {}
    for together in parts_of(blocks, TOGETHER):
        worked = run.worked(together)
        for block in worked.blocks:
            for key, value in block.sums.items():
                sums[key] = sums.get(key, 0.0) + value
        for key, values in worked.series.items():
            held[key].append(edges.places(key, values))
    return _Later({key: counts_of(places) for key, places in held.items()}, sums)


def parts_of(blocks: range, size: int) -> list[range]:
    """Cut a range of blocks into parts of one size, the last perhaps smaller."""
    return [blocks[first : first + size] for first in range(0, len(blocks), size)]


def _tasks(blocks: range) -> list[range]:
    """Cut a range of blocks into an even number of tasks about as large, for two workers."""
    pairs = math.ceil(len(blocks) / (2 * _TASK_BLOCKS)) or 1
    together = math.ceil(len(blocks) / (2 * pairs * TOGETHER)) or 1
    return parts_of(blocks, together * TOGETHER)


def _each(
    work: Callable[[range], Made], tasks: list[range], workers: int, tell: Callable[[range], None]
) -> Iterator[Made]:
    """Do the tasks, in order, here or in other processes."""
    if workers < 2 or len(tasks) < 2:
        for task in tasks:
            yield work(task)
            tell(task)
        return
    # Only large numbers of draws pay for the import of process pools.
    from multiprocessing import get_all_start_methods

    from econ.questions.workers import workers_for

    # A fork has all that is to be worked on already; not every system has forks.
    start = "fork" if "fork" in get_all_start_methods() else "spawn"
    with workers_for(work, workers, start) as in_order:
        for task, made in zip(tasks, in_order(tasks), strict=True):
            yield made
            tell(task)


class _First(Struct, frozen=True):
    """The first blocks, kept as they are."""

    series: dict[str, Floats]
    sums: dict[str, float]
    repairs: list[Repairs]
    still: dict[str, Floats]
    fuel: Floats
    fuel_products: Floats


def _keep(run: Run, workers: int, tell: Callable[[range], None]) -> _First:
    """Work the first blocks through and keep their draws."""
    tasks = parts_of(range(min(KEPT_BLOCKS, run.sampler.blocks)), TOGETHER)
    parts = list(_each(run.worked, tasks, workers, tell))
    blocks = [block for part in parts for block in part.blocks]

    def joined(parts: list[dict[str, Floats]]) -> dict[str, Floats]:
        return {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}

    return _First(
        joined([part.series for part in parts]),
        {key: sum(block.sums[key] for block in blocks) for key in blocks[0].sums},
        [block.repairs for block in blocks],
        joined([part.still for part in parts]),
        np.sum([block.fuel for block in blocks], axis=0),
        np.sum([block.fuel_products for block in blocks], axis=0),
    )


def chances(
    scenario: Scenario,
    *,
    draws: int | None = None,
    seed: int | None = None,
    workers: int = 2,
    progress: Progress | None = None,
) -> Chances:
    """Draw a scenario's guesses many times and work each draw through the whole model.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    draws, seed : int, optional
        As the file has them, by default.
    workers : int
        Processes for large numbers of draws; results do not depend on it.
    progress : callable, optional
        Told (draws done, draws in all).

    Returns
    -------
    Chances

    Raises
    ------
    ScenarioError
        If the number of draws is out of range, or as `settle`.
    """
    count = scenario.uncertainty.draws if draws is None else draws
    start = scenario.uncertainty.seed if seed is None else seed
    run = Run(scenario, settle(scenario), sampler(scenario, count, start))
    done = 0

    def tell(blocks: range) -> None:
        nonlocal done
        done = min(count, done + BLOCK * len(blocks))
        if progress is not None:
            progress(done, count)

    workers = workers if count >= _WORKER_DRAWS else 1
    first = _keep(run, workers, tell)
    sums, edges = dict(first.sums), edges_of(first.series)
    tasks = _tasks(range(KEPT_BLOCKS, run.sampler.blocks))
    bins: Counts = {}
    if tasks:
        bins = {key: counts_of([edges.places(key, values)]) for key, values in first.series.items()}
    for later in _each(partial(_count, run, edges), tasks, workers, tell):
        for key, value in later.sums.items():
            sums[key] += value
        for key, histogram in later.bins.items():
            bins[key] += histogram
    spreads = {
        key: spread_of(key, values, edges, bins, count) for key, values in first.series.items()
    }
    shares = {key: value / count for key, value in sums.items()}
    return _sum_up(run, start, first, shares, spreads)


def _stopping(
    shares: dict[str, float], spreads: dict[str, Spread], key: str, years: int
) -> Stopping:
    return Stopping(
        shares[f"{key}.stopping.sum"],
        spreads[f"{key}.stopping"],
        shares[f"{key}.stopping.ahead"],
        tuple(shares[f"{key}.stopped.{year}"] for year in range(1, years)),
    )


def _sum_up(
    run: Run, seed: int, first: _First, shares: dict[str, float], spreads: dict[str, Spread]
) -> Chances:
    """Put shares and spreads into words' reach."""
    draws, years = run.sampler.draws, run.scenario.finance.years
    ahead = {kind.key: shares[f"{kind.key}.npv.ahead"] for kind in LEDGERS}
    limits = sorted({limit for limit in PAYBACK_YEARS if limit < years} | {years})
    expected = inputs_at(run.scenario, pick_at("expected"), run.choices)
    kept = first.series[f"{LEDGERS[0].key}.npv"].size
    return Chances(
        draws=draws,
        seed=seed,
        mean={kind.key: shares[f"{kind.key}.npv.sum"] for kind in LEDGERS},
        ahead=ahead,
        ahead_error={key: float(np.sqrt(p * (1.0 - p) / draws)) for key, p in ahead.items()},
        payback={
            kind.key: {limit: shares[f"{kind.key}.within.{limit}"] for limit in limits}
            for kind in LEDGERS
        },
        spreads={row.key: spreads[row.key] for row in HEADLINES},
        fan={
            kind.key: tuple(spreads[f"fan.{kind.key}.{year}"].levels for year in range(years + 1))
            for kind in LEDGERS
        },
        stopping={kind.key: _stopping(shares, spreads, kind.key, years) for kind in LEDGERS},
        bad_year=bad_year(first.repairs, kept, float(kit_cost(expected)), seed),
        history=history(expected),
        kept=Kept(
            run.sampler,
            kept,
            {kind.key: first.series[f"{kind.key}.npv"] for kind in LEDGERS},
            first.still,
            first.fuel / kept,
            first.fuel_products / kept,
        ),
        choices=run.choices,
    )
