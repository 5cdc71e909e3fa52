"""Draws through the model, block by block: how likely the plan comes out ahead, and how far.

Memory stays bounded whatever the number of draws: the first ones are kept as they are, later
ones are counted into fine histograms. Every block depends on its number alone and counts add
up in any order, so neither chunks nor workers change a result.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from econ.advice.verdict import Odds
from econ.farm.prepare import Choices, inputs_at, settle
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.ledger import LEDGERS
from econ.model.measures import running_balance
from econ.model.outcome import Outcome
from econ.questions.draws import BLOCK, Sampler, pick_from, sampler

KEPT_BLOCKS = 16
"""Blocks whose draws are kept as they are: 65,536 draws."""
BINS = 1 << 16
LEVELS = (0.05, 0.50, 0.95)
PAYBACK_YEARS = (1, 2, 3, 5)
_BATCHES = 8
_TASK_BLOCKS = 32
# Below this many draws a second process costs more than it brings.
_WORKER_DRAWS = 200_000

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Headline:
    """One figure whose spread is shown."""

    key: str
    label: str
    dimension: str
    value: Callable[[Outcome], Floats]


def _measure(ledger: str, key: str) -> Callable[[Outcome], Floats]:
    return lambda outcome: outcome.ledgers[ledger].measures[key]


def _saving(key: str) -> Callable[[Outcome], Floats]:
    return lambda outcome: outcome.typical.savings[key]


def _fuel(key: str) -> Callable[[Outcome], Floats]:
    return lambda outcome: outcome.typical.fuel[key]


HEADLINES = (
    Headline("fuel_replaced", "Pump fuel replaced a year", "volume", _fuel("fuel_replaced")),
    Headline("hours", "Hands-on hours a year", "hours", _fuel("hours")),
    Headline("cash_rung", "Out-of-pocket cost of fuel replaced", "price_per_volume",
             lambda outcome: outcome.typical.per_replaced["cash"]),
    Headline("full_rung", "Full cost of fuel replaced", "price_per_volume",
             lambda outcome: outcome.typical.per_replaced["full"]),
    Headline("after_wear", "Left after repairs a year", "money", _saving("after_wear")),
    Headline("after_labour", "Left after your time a year", "money", _saving("after_labour")),
    Headline("pay_per_hour", "Pay for an hour of your time", "money_per_hour",
             lambda outcome: outcome.pay_per_hour),
    *(
        Headline(f"{kind.key}.{key}", f"{label}, {kind.label.lower()}", dimension,
                 _measure(kind.key, key))
        for kind in LEDGERS
        for key, label, dimension in (
            ("npv", "Worth in today's money", "money"),
            ("irr", "Yearly return", "rate"),
            ("simple_payback", "Paid back in", "years"),
            ("break_even_fuel_price", "Fuel must stay above", "price_per_volume"),
        )
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Spread:
    """One figure over all draws."""

    levels: tuple[float, float, float]
    """1 in 20 worse, middle, 1 in 20 better; NaN where undefined that often."""
    errors: tuple[float, float, float]
    """Convergence error of each level, one standard error."""
    defined: float
    """Share of draws in which the figure exists. [-]"""


@dataclass(frozen=True, slots=True)
class Chances:
    """What the draws say."""

    draws: int
    seed: int
    ahead: dict[str, float]
    """Chance that a ledger's worth is above zero. [-]"""
    ahead_error: dict[str, float]
    payback: dict[str, dict[int, float]]
    """Chance of payback within so many years, by ledger; the horizon last. [-]"""
    spreads: dict[str, Spread]
    fan: dict[str, tuple[tuple[float, float, float], ...]]
    """Running balance at `LEVELS` by ledger and year. [currency]"""
    bad_year: float
    """The year's saving after repairs, failures as they fall, that 1 year in 20 is below."""
    kept: "Kept"
    choices: Choices

    @property
    def odds(self) -> Odds:
        """Give what the advice looks at."""
        return Odds(
            mean_paid=float(np.mean(self.kept.npv["time_paid"])),
            chance_paid=self.ahead["time_paid"],
            one_in_twenty=self.spreads["time_paid.npv"].levels[0],
        )


@dataclass(frozen=True, slots=True)
class Kept:
    """The first draws as they are, for indices and for the worth of learning."""

    sampler: Sampler
    uniforms: Floats
    """Shape (guesses, kept draws)."""
    npv: dict[str, Floats]


def _series(outcome: Outcome, shape: tuple[int, ...]) -> dict[str, Floats]:
    """Give every figure of a block of draws, each of the block's shape."""
    found = {row.key: row.value(outcome) for row in HEADLINES}
    for kind in LEDGERS:
        for year, row in enumerate(running_balance(outcome.ledgers[kind.key].ledger)):
            found[f"fan.{kind.key}.{year}"] = row
    return {key: np.broadcast_to(value, shape) for key, value in found.items()}


def _failures(outcome: Outcome, rng: np.random.Generator, shape: tuple[int, ...]) -> Floats:
    """Give the year's saving after repairs with each part's failures drawn, not averaged."""
    saving = outcome.typical.savings["after_wear"] + outcome.typical.costs["wear"]
    bills = np.zeros(shape)
    for machine, used in zip(outcome.inputs.machines, outcome.typical.flows.oil_used, strict=True):
        for part in machine.wear:
            mean = np.broadcast_to(used * part.failures, shape)
            bills = bills + rng.poisson(mean) * part.cost
    return np.asarray(saving - bills)


@dataclass(frozen=True, slots=True)
class _Run:
    """What a worker needs."""

    scenario: Scenario
    choices: Choices
    sampler: Sampler
    seed: int

    def outcome(self, block: int) -> tuple[Outcome, tuple[int, ...]]:
        """Evaluate one block."""
        count = min(BLOCK, self.sampler.draws - block * BLOCK)
        values = self.sampler.values(block)
        inputs = inputs_at(self.scenario, pick_from(values), self.choices)
        return evaluate(inputs, by_month=False), (count,)


@dataclass(frozen=True, slots=True)
class _Edges:
    """Even bins of every figure, wide enough for what the first draws showed."""

    low: dict[str, float]
    width: dict[str, float]


@dataclass(frozen=True, slots=True)
class _Counts:
    """What later draws add: histograms, and how many came out ahead or paid back."""

    bins: dict[str, NDArray[np.int64]]
    marks: dict[str, int]


def _marks(series: dict[str, Floats], years: int) -> dict[str, int]:
    """Count draws that come out ahead or pay back in time."""
    found = {}
    for kind in LEDGERS:
        found[f"{kind.key}.ahead"] = int(np.count_nonzero(series[f"{kind.key}.npv"] > 0.0))
        payback = series[f"{kind.key}.simple_payback"]
        for limit in (*PAYBACK_YEARS, years):
            # NaN, never paid back, is not within any limit.
            found[f"{kind.key}.within.{limit}"] = int(np.count_nonzero(payback <= limit))
    return found


def _edges(kept: dict[str, Floats]) -> _Edges:
    low, width = {}, {}
    for key, values in kept.items():
        known = values[np.isfinite(values)]
        start, end = (known.min(), known.max()) if known.size else (0.0, 1.0)
        room = 0.25 * (end - start) or 1.0
        low[key], width[key] = start - room, (end - start + 2.0 * room) / BINS
    return _Edges(low, width)


def _count(run: _Run, edges: _Edges, blocks: range) -> _Counts:
    """Evaluate some blocks and count them into bins."""
    held: dict[str, list[Floats]] = {key: [] for key in edges.low}
    marks: dict[str, int] = {}
    for block in blocks:
        outcome, shape = run.outcome(block)
        series = _series(outcome, shape)
        for key, value in _marks(series, run.scenario.finance.years).items():
            marks[key] = marks.get(key, 0) + value
        for key, values in series.items():
            held[key].append(values)
    bins = {key: _bin(np.concatenate(parts), edges, key) for key, parts in held.items()}
    return _Counts(bins, marks)


def _tasks(blocks: int) -> list[range]:
    starts = range(KEPT_BLOCKS, blocks, _TASK_BLOCKS)
    return [range(start, min(start + _TASK_BLOCKS, blocks)) for start in starts]


def _counted(
    run: _Run, edges: _Edges, tasks: list[range], workers: int, tell: Callable[[range], None]
) -> Iterable[_Counts]:
    """Run the tasks, in order, here or in other processes."""
    work = partial(_count, run, edges)
    if workers < 2 or len(tasks) < 2:
        for task in tasks:
            yield work(task)
            tell(task)
        return
    # Only large numbers of draws pay for the import of process pools.
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    with ProcessPoolExecutor(workers, mp_context=get_context("fork")) as pool:
        try:
            for task, counts in zip(tasks, pool.map(work, tasks), strict=True):
                yield counts
                tell(task)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise


def _level(bins: NDArray[np.int64], low: float, width: float, level: float) -> float:
    """Give a quantile from counts, straight within its bin."""
    total = np.cumsum(bins)
    if total[-1] == 0:
        return np.nan
    wanted = level * float(total[-1])
    place = int(np.searchsorted(total, wanted))
    before = float(total[place - 1]) if place else 0.0
    return low + width * (place + (wanted - before) / max(float(bins[place]), 1.0))


def _errors(values: Floats, draws: int) -> tuple[float, float, float]:
    """Give the standard error of each level, from batches of the kept draws.

    Consecutive batches of a Sobol sequence are each less even than the whole, so this errs on
    the wide side.
    """
    known = values[np.isfinite(values)]
    size = len(known) // _BATCHES
    if size < 2:
        return (np.nan, np.nan, np.nan)
    batches = known[: size * _BATCHES].reshape(_BATCHES, size)
    spread = np.std(np.quantile(batches, LEVELS, axis=1), axis=1, ddof=1)
    shrink = np.sqrt(size / max(draws, size))
    first, middle, last = (float(error * shrink) for error in spread)
    return (first, middle, last)


def _keep(run: _Run, tell: Callable[[range], None]) -> tuple[dict[str, Floats], Floats, Floats]:
    """Evaluate the first blocks and keep them: figures, failures as they fall, coordinates."""
    parts: list[dict[str, Floats]] = []
    years, points = [], []
    for block in range(min(KEPT_BLOCKS, run.sampler.blocks)):
        outcome, shape = run.outcome(block)
        parts.append(_series(outcome, shape))
        rng = np.random.default_rng((run.seed, block))
        years.append(_failures(outcome, rng, shape))
        points.append(run.sampler.tied(run.sampler.raw(block)))
        tell(range(block, block + 1))
    kept = {key: np.concatenate([part[key] for part in parts]) for key in parts[0]}
    return kept, np.concatenate(years), np.concatenate(points, axis=1)


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
    drawn = sampler(scenario, count, start)
    run = _Run(scenario, settle(scenario), drawn, start)
    done = 0

    def tell(blocks: range) -> None:
        nonlocal done
        done = min(count, done + BLOCK * len(blocks))
        if progress is not None:
            progress(done, count)

    kept, years, points = _keep(run, tell)
    marks = _marks(kept, scenario.finance.years)
    edges = _edges(kept)
    tasks = _tasks(drawn.blocks)
    bins: dict[str, NDArray[np.int64]] = {}
    if tasks:
        bins = {key: _bin(values, edges, key) for key, values in kept.items()}
    for counts in _counted(run, edges, tasks, workers if count >= _WORKER_DRAWS else 1, tell):
        for key, value in counts.marks.items():
            marks[key] += value
        for key, histogram in counts.bins.items():
            bins[key] += histogram

    spreads = {key: _spread(key, kept[key], bins, edges, count) for key in kept}
    return _sum_up(scenario, run, marks, spreads, float(np.quantile(years, LEVELS[0])),
                   Kept(drawn, points, {k.key: kept[f"{k.key}.npv"] for k in LEDGERS}))  # fmt: skip


def _bin(values: Floats, edges: _Edges, key: str) -> NDArray[np.int64]:
    """Count a figure's defined values into its bins."""
    known = values[np.isfinite(values)]
    place = np.clip((known - edges.low[key]) / edges.width[key], 0, BINS - 1)
    return np.bincount(place.astype(np.int64), minlength=BINS)


def _spread(
    key: str,
    values: Floats,
    bins: dict[str, NDArray[np.int64]],
    edges: _Edges,
    draws: int,
) -> Spread:
    """Sum one figure up: exactly while all draws are kept, else from its bins."""
    known = values[np.isfinite(values)]
    errors = _errors(values, draws)
    if key in bins:
        first, middle, last = (
            _level(bins[key], edges.low[key], edges.width[key], level) for level in LEVELS
        )
        return Spread((first, middle, last), errors, float(bins[key].sum()) / draws)
    if not known.size:
        return Spread((np.nan, np.nan, np.nan), errors, 0.0)
    first, middle, last = (float(level) for level in np.quantile(known, LEVELS))
    return Spread((first, middle, last), errors, known.size / draws)


def _sum_up(
    scenario: Scenario,
    run: _Run,
    marks: dict[str, int],
    spreads: dict[str, Spread],
    bad_year: float,
    kept: Kept,
) -> Chances:
    """Put counts and spreads into words' reach."""
    draws, years = run.sampler.draws, scenario.finance.years
    ahead = {kind.key: marks[f"{kind.key}.ahead"] / draws for kind in LEDGERS}
    limits = sorted({limit for limit in PAYBACK_YEARS if limit < years} | {years})
    return Chances(
        draws=draws,
        seed=run.seed,
        ahead=ahead,
        ahead_error={key: float(np.sqrt(p * (1.0 - p) / draws)) for key, p in ahead.items()},
        payback={
            kind.key: {limit: marks[f"{kind.key}.within.{limit}"] / draws for limit in limits}
            for kind in LEDGERS
        },
        spreads={row.key: spreads[row.key] for row in HEADLINES},
        fan={
            kind.key: tuple(spreads[f"fan.{kind.key}.{year}"].levels for year in range(years + 1))
            for kind in LEDGERS
        },
        bad_year=bad_year,
        kept=kept,
        choices=run.choices,
    )
