"""What each guess does alone: turned to its low and its high, all others on average.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> from econ.farm.prepare import settle
>>> from econ.questions.guesses import guesses
>>> farm = load(demo_files()["wrenfold"])
>>> widths = [row.width for row in swings(farm, settle(farm), guesses(farm))]
>>> widths == sorted(widths, reverse=True)
True
"""

import numpy as np
from msgspec import Struct

from econ.farm.prepare import Choices, inputs_at
from econ.farm.schema import Scenario
from econ.model.evaluate import evaluate
from econ.model.ledger import LEDGERS
from econ.questions.draws import pick_from
from econ.questions.guesses import Guess

Pair = tuple[float, float]


class Swing(Struct, frozen=True):
    """What one guess does alone, all others on average."""

    guess: Guess
    equivalent_annual: dict[str, Pair]
    """Worth a year by ledger, at low and at high. [currency/yr]"""
    npv: dict[str, Pair]
    """Worth by ledger, at low and at high. [currency]"""

    @property
    def name(self) -> str:
        """Return the guess's name."""
        return self.guess.name

    @property
    def worth(self) -> Pair:
        """Return the worth of a year, one's time paid, at low and at high. [currency/yr]"""
        return self.equivalent_annual["time_paid"]

    @property
    def width(self) -> float:
        """Return how far the worth of a year, one's time paid, moves. [currency/yr]"""
        low, high = self.worth
        return abs(high - low)

    @property
    def idle(self) -> bool:
        """Say whether it changes nothing, in either ledger."""
        return all(low == high for low, high in self.npv.values())


def swings(scenario: Scenario, choices: Choices, result: tuple[Guess, ...]) -> tuple[Swing, ...]:
    """Turn each guess to its low and its high, all others on average; widest first.

    A thinner tied to a fuel's price moves with it.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    choices : Choices
        From `settle`.
    result : tuple of Guess
        From `guesses`.

    Returns
    -------
    tuple of Swing
    """
    if not result:
        return ()
    count = 2 * len(result)
    values = {}
    for index, guess in enumerate(result):
        column = np.full(count, guess.mean)
        column[2 * index], column[2 * index + 1] = guess.low, guess.high
        values[guess.path] = column
    inputs = inputs_at(scenario, pick_from(values), choices)
    outcome = evaluate(inputs, by_month=False, measures=())

    def pairs(measure: str) -> list[dict[str, Pair]]:
        rows = {
            kind.key: np.broadcast_to(outcome.ledgers[kind.key].measures[measure], (count,))
            for kind in LEDGERS
        }
        return [
            {key: (float(v[2 * k]), float(v[2 * k + 1])) for key, v in rows.items()}
            for k in range(len(result))
        ]

    moved = zip(result, pairs("equivalent_annual"), pairs("npv"), strict=True)
    return tuple(sorted((Swing(*row) for row in moved), key=lambda row: -row.width))
