"""Draws that several plans share: one score for each guess by its name, whoever makes it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farms = [load(demo_files()[name]) for name in ("kurrabee-diesel", "kurrabee-kerosene")]
>>> shared = shared_draws(farms, farms[0], draws=64)
>>> shared.raw(0).shape == (shared.dimensions, 64)
True
"""

import math
from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.farm.schema import Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import Floats
from econ.numbers.sobol import MOST_DIMENSIONS, Sobol, sobol
from econ.questions.draws import BLOCK, Sampler, sampler
from econ.questions.guesses import Guess


def _key(guess: Guess) -> tuple[str, str]:
    """Name a guess as its file does: table, then entry and field."""
    return str(guess.path[0]), guess.name


class SharedDraws(Struct, frozen=True):
    """Independent scores over the union of all plans' guesses."""

    samplers: tuple[Sampler, ...]
    rows: tuple[NDArray[np.int64], ...]
    """For each plan, which of the union's dimensions are its own, in its own order."""
    points: Sobol | None
    dimensions: int
    draws: int

    @property
    def blocks(self) -> int:
        """Return the number of blocks."""
        return math.ceil(self.draws / BLOCK)

    def raw(self, block: int) -> Floats:
        """Return one block's independent coordinates over the union.

        Parameters
        ----------
        block : int
            Which block, from 0.

        Returns
        -------
        ndarray, shape (dimensions of the union, draws of the block)
            [-]
        """
        count = min(BLOCK, self.draws - block * BLOCK)
        if self.points is None:
            return np.zeros((0, count))
        return self.points.points(block)[:, :count]

    def of(self, plan: int, raw: Floats) -> tuple[Sampler, Floats]:
        """Return one plan's sampler and its own coordinates.

        Parameters
        ----------
        plan : int
            Which plan.
        raw : ndarray, shape (dimensions of the union, n)
            From `raw`. [-]

        Returns
        -------
        (Sampler, ndarray of shape (dimensions of the plan, n))
        """
        return self.samplers[plan], raw[self.rows[plan]]


def shared_draws(
    scenarios: Sequence[Scenario], base: Scenario, draws: int | None = None
) -> SharedDraws:
    """Prepare draws that several plans share.

    Parameters
    ----------
    scenarios : sequence of Scenario
        As loaded, of one study period.
    base : Scenario
        Whose number of draws and seed are taken.
    draws : int, optional
        Another number of them.

    Returns
    -------
    SharedDraws
        Dimensions stand as in the first plan, then what others add, then the common factors and
        the years of the fuel price. One plan alone, or twice, is drawn as by itself.

    Raises
    ------
    ScenarioError
        If there are too many draws or too many estimates together.
    """
    given = base.uncertainty
    count = given.draws if draws is None else draws
    samplers = tuple(sampler(scenario, count, given.seed) for scenario in scenarios)
    keys = dict.fromkeys(_key(guess) for one in samplers for guess in one.guesses)
    place = {key: k for k, key in enumerate(keys)}
    factors = {
        name: len(place) + k
        for k, name in enumerate(dict.fromkeys(n for one in samplers for n in one.factors))
    }
    start = len(place) + len(factors)
    years = max((one.path.dimensions for one in samplers), default=0)
    if start + years > MOST_DIMENSIONS:
        message = f"these plans guess {start:,} things between them; at most"
        message += f" {MOST_DIMENSIONS - years:,} can be drawn together"
        raise ScenarioError((Problem(str(base.path), "", None, message),))
    rows = tuple(
        np.array(
            [
                *(place[_key(guess)] for guess in one.guesses),
                *(factors[name] for name in one.factors),
                *(start + year for year in range(one.path.dimensions)),
            ],
            dtype=np.int64,
        )
        for one in samplers
    )
    dimensions = start + years
    rng = np.random.default_rng(given.seed)
    points = sobol(dimensions, BLOCK, rng) if dimensions else None
    return SharedDraws(samplers, rows, points, dimensions, count)
