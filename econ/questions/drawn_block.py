"""Blocks of draws through the whole model: figures, stopping, repairs, prices held still.

Some blocks are worked through together, as calls cost as much as the arithmetic of one. Whatever
is added up is added up block by block, so that no sum hangs on which blocks went together.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> from econ.farm.prepare import settle
>>> from econ.questions.draws import sampler
>>> farm = load(demo_files()["wrenfold"])
>>> series = Run(farm, settle(farm), sampler(farm, 64, 1)).worked(range(1)).series
>>> {values.shape for values in series.values()}
{(64,)}
"""

from collections.abc import Collection

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.farm.prepare import Choices, Path, inputs_at
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.headlines import HEADLINES, MEASURES
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS
from econ.model.measures import running_balance
from econ.model.outcome import Outcome
from econ.questions.bad_year import Repairs, repairs_of
from econ.questions.draws import BLOCK, Sampler, pick_from
from econ.questions.stopping import last_years, worth_with_stopping, yearly_of

PAYBACK_YEARS = (1, 2, 3, 5)


class Block(Struct, frozen=True):
    """What is added up over the draws of one block."""

    sums: dict[str, float]
    repairs: Repairs
    fuel: Floats
    """Sum over draws of each year's discounted fuel money. [currency]"""
    fuel_products: Floats
    """Sum over draws of its products, year by year. [currency^2]"""


class Worked(Struct, frozen=True):
    """Some blocks of draws worked through."""

    series: dict[str, Floats]
    """Every figure of each draw."""
    still: dict[str, Floats]
    """Each ledger's worth with prices held still. [currency]"""
    blocks: list[Block]


class _Drawn(Struct, frozen=True):
    """Some blocks of draws through the model once."""

    outcome: Outcome
    states: Floats
    """How far the fuel price has wandered: (years + 1, n)."""
    multipliers: Floats
    """On each year's fuel price: (years + 1, n). [-]"""


class Run(Struct, frozen=True):
    """What a worker needs."""

    scenario: Scenario
    choices: Choices
    sampler: Sampler

    def worked(self, numbers: range) -> Worked:
        """Work some blocks through together."""
        drawn = self._drawn(numbers, MEASURES)
        outcome, shape = drawn.outcome, drawn.states.shape[1:]
        series, ends = _series(outcome, shape), {}
        for kind in LEDGERS:
            ends[kind.key], series[f"{kind.key}.stopping"] = self._stopped(drawn, kind.key)
        still, fuel = _still(outcome, series)
        years = self.scenario.finance.years
        blocks = [
            Block(
                _sums(series, ends, rows, years),
                repairs_of(outcome, rows),
                fuel[:, rows].sum(axis=1),
                _products(fuel[:, rows]),
            )
            for rows in rows_of(*shape)
        ]
        return Worked(series, still, blocks)

    def worths(self, numbers: range) -> dict[str, Floats]:
        """Work some blocks through for what the plan is worth in each draw, and nothing else.

        By ledger; as "stopping", one's time paid, where the plan may stop any New Year's Day.
        """
        drawn = self._drawn(numbers, ())
        result = {
            kind.key: np.broadcast_to(
                drawn.outcome.ledgers[kind.key].measures["npv"], drawn.states.shape[1:]
            )
            for kind in LEDGERS
        }
        return {**result, "stopping": self._stopped(drawn, "time_paid")[1]}

    def _drawn(self, numbers: range, measures: Collection[str]) -> _Drawn:
        """Draw some blocks and run the model on them, with some measures."""
        inputs, states = self._inputs(numbers)
        path = self.sampler.path.multipliers(states)
        outcome = evaluate(inputs, by_month=False, path=list(path[1:]), measures=measures)
        return _Drawn(outcome, states, path)

    def _inputs(self, numbers: range) -> tuple[Inputs, Floats]:
        """Draw some blocks: what the model reads, and how far the fuel price wanders.

        Points and values in the file's units are let go of before the model runs.
        """
        raw = self.sampler.raw_of(numbers)
        values = self.sampler.values_of(raw, self._is_read)
        return inputs_at(self.scenario, pick_from(values), self.choices), self.sampler.states(raw)

    def _stopped(self, drawn: _Drawn, ledger: str) -> tuple[NDArray[np.int64], Floats]:
        """Return the year in which each draw stops, and what it is worth with that freedom."""
        money = yearly_of(drawn.outcome.ledgers[ledger].ledger)
        ends = last_years(money, self.sampler.path, drawn.states)
        return ends, worth_with_stopping(money, drawn.multipliers, ends)

    def _is_read(self, path: Path) -> bool:
        """Say whether a guess can touch a figure: what is not in the plan costs and brings nothing.

        What a machine wears that burns no blend, say, need not be drawn.
        """
        table, place = path[0], path[1]
        if table == "setups":
            return place == self.choices.setup
        if table not in ("machines", "thinners"):
            return True
        return getattr(self.scenario, table)[place].name in self.choices.plan


def rows_of(draws: int) -> list[slice]:
    """Return where each block's draws stand among those of all blocks worked through together."""
    return [slice(first, min(first + BLOCK, draws)) for first in range(0, draws, BLOCK)]


def _products(fuel: Floats) -> Floats:
    """Add up over draws the products of each two years' fuel money."""
    held = np.ascontiguousarray(fuel)
    return held @ held.T


def _still(outcome: Outcome, series: dict[str, Floats]) -> tuple[dict[str, Floats], Floats]:
    """Return each ledger's worth with prices held still, and each year's discounted fuel money."""
    # Fuel money is one in both ledgers.
    ledger = outcome.ledgers[LEDGERS[0].key].ledger
    moved: Floats = np.zeros(())
    fuel = np.zeros(ledger.fuel_like.shape)
    factor: Floats = np.ones(())
    for year in range(1, ledger.years + 1):
        factor = factor / (1.0 + ledger.rate)
        fuel[year] = ledger.fuel_like[year] * factor
        moved = moved + (ledger.path[year] - 1.0) * fuel[year]
    return {kind.key: series[f"{kind.key}.npv"] - moved for kind in LEDGERS}, fuel


def _series(outcome: Outcome, shape: tuple[int, ...]) -> dict[str, Floats]:
    """Return every figure of a block of draws, each of the block's shape."""
    result = {row.key: row.value(outcome) for row in HEADLINES}
    for kind in LEDGERS:
        for year, row in enumerate(running_balance(outcome.ledgers[kind.key].ledger)):
            result[f"fan.{kind.key}.{year}"] = row
    return {key: np.broadcast_to(value, shape) for key, value in result.items()}


def _sums(
    series: dict[str, Floats], ends: dict[str, NDArray[np.int64]], rows: slice, years: int
) -> dict[str, float]:
    """Add worths up, and count draws that come out ahead, pay back in time or have stopped."""
    result = {}
    for kind in LEDGERS:
        for key in ("npv", "stopping"):
            worth = series[f"{kind.key}.{key}"][rows]
            result[f"{kind.key}.{key}.sum"] = float(worth.sum())
            result[f"{kind.key}.{key}.ahead"] = float(np.count_nonzero(worth > 0.0))
        payback = series[f"{kind.key}.simple_payback"][rows]
        for limit in (*PAYBACK_YEARS, years):
            # NaN, never paid back, is not within any limit.
            result[f"{kind.key}.within.{limit}"] = float(np.count_nonzero(payback <= limit))
        for year in range(1, years):
            stopped = np.count_nonzero(ends[kind.key][rows] <= year)
            result[f"{kind.key}.stopped.{year}"] = float(stopped)
    return result
