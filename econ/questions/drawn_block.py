"""One block of draws through the whole model: figures, stopping, repairs, prices held still."""

from dataclasses import dataclass

import numpy as np

from econ.farm.prepare import Choices, inputs_at
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.headlines import HEADLINES, MEASURES
from econ.model.ledger import LEDGERS
from econ.model.measures import running_balance
from econ.model.outcome import Outcome
from econ.questions.bad_year import Repairs, repairs_of
from econ.questions.draws import Sampler, pick_from
from econ.questions.stopping import last_years, worth_with_stopping, yearly_of

PAYBACK_YEARS = (1, 2, 3, 5)


@dataclass(frozen=True, slots=True)
class Block:
    """One block of draws worked through."""

    series: dict[str, Floats]
    """Every figure of each draw."""
    sums: dict[str, float]
    """What is counted or added up over draws."""
    repairs: Repairs
    still: dict[str, Floats]
    fuel: Floats
    """Sum over draws of each year's discounted fuel money. [currency]"""
    fuel_products: Floats
    """Sum over draws of its products, year by year. [currency^2]"""


@dataclass(frozen=True, slots=True)
class Run:
    """What a worker needs."""

    scenario: Scenario
    choices: Choices
    sampler: Sampler

    def block(self, number: int) -> Block:
        """Work one block through."""
        raw = self.sampler.raw(number)
        states = self.sampler.states(raw)
        path = self.sampler.path.multipliers(states)
        inputs = inputs_at(self.scenario, pick_from(self.sampler.values_of(raw)), self.choices)
        outcome = evaluate(inputs, by_month=False, path=list(path[1:]), measures=MEASURES)
        series = _series(outcome, raw.shape[1:])
        sums: dict[str, float] = {}
        for kind in LEDGERS:
            money = yearly_of(outcome.ledgers[kind.key].ledger)
            ends = last_years(money, self.sampler.path, states)
            series[f"{kind.key}.stopping"] = worth_with_stopping(money, path, ends)
            for year in range(1, money.years):
                sums[f"{kind.key}.stopped.{year}"] = float(np.count_nonzero(ends <= year))
        sums |= _sums(series, self.scenario.finance.years)
        return Block(series, sums, repairs_of(outcome, raw.shape[1]), *_still(outcome, series))


def _still(outcome: Outcome, series: dict[str, Floats]) -> tuple[dict[str, Floats], Floats, Floats]:
    """Return each ledger's worth with prices held still, and sums of the fuel money it rests on."""
    # Fuel money is one in both ledgers.
    ledger = outcome.ledgers[LEDGERS[0].key].ledger
    moved: Floats = np.zeros(())
    fuel = np.zeros(ledger.fuel_like.shape)
    factor: Floats = np.ones(())
    for year in range(1, ledger.years + 1):
        factor = factor / (1.0 + ledger.rate)
        fuel[year] = ledger.fuel_like[year] * factor
        moved = moved + (ledger.path[year] - 1.0) * fuel[year]
    still = {kind.key: series[f"{kind.key}.npv"] - moved for kind in LEDGERS}
    return still, fuel.sum(axis=1), fuel @ fuel.T


def _series(outcome: Outcome, shape: tuple[int, ...]) -> dict[str, Floats]:
    """Return every figure of a block of draws, each of the block's shape."""
    result = {row.key: row.value(outcome) for row in HEADLINES}
    for kind in LEDGERS:
        for year, row in enumerate(running_balance(outcome.ledgers[kind.key].ledger)):
            result[f"fan.{kind.key}.{year}"] = row
    return {key: np.broadcast_to(value, shape) for key, value in result.items()}


def _sums(series: dict[str, Floats], years: int) -> dict[str, float]:
    """Add worths up, and count draws that come out ahead or pay back in time."""
    result = {}
    for kind in LEDGERS:
        for key in ("npv", "stopping"):
            worth = series[f"{kind.key}.{key}"]
            result[f"{kind.key}.{key}.sum"] = float(worth.sum())
            result[f"{kind.key}.{key}.ahead"] = float(np.count_nonzero(worth > 0.0))
        payback = series[f"{kind.key}.simple_payback"]
        for limit in (*PAYBACK_YEARS, years):
            # NaN, never paid back, is not within any limit.
            result[f"{kind.key}.within.{limit}"] = float(np.count_nonzero(payback <= limit))
    return result
