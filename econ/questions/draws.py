"""Draws of all guesses of a farm, and of its fuel price from year to year.

Each estimate is a modified PERT on [low, high] (shape 4). Two common factors tie them in a
Gaussian copula: fuel-like prices move together and oil is hardest to get when diesel is dear;
and who guesses one cost too low is apt to guess the others too low. A fuel price's years are
drawn beside them. Draws are made block by block; the same seed gives the same draws whatever
the number of workers.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> drawn = sampler(load(demo_files()["wrenfold"]), draws=64, seed=1).raw(0)
>>> drawn.shape[1], bool((0.0 < drawn).all() and (drawn < 1.0).all())
(64, True)
"""

import math
from collections.abc import Callable, Collection, Iterator, Mapping

import numpy as np
from msgspec import Struct

from econ.farm.known import Known
from econ.farm.prepare import Path, Pick
from econ.farm.schema import MOST_DRAWS as MOST_DRAWS
from econ.farm.schema import Estimate, Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import Floats
from econ.numbers.quantiles import normal_cumulative, normal_table, pert_table, table_quantile
from econ.numbers.sobol import MOST_DIMENSIONS, Sobol, sobol
from econ.questions.guesses import Guess, guesses
from econ.questions.price_path import PricePath

BLOCK = 4096
"""Draws made and evaluated together: what fits the cache."""

FUEL_FACTOR = "fuel prices and oil volumes, which move together"
LEAN_FACTOR = "all other guesses, which lean one way"


def _table(guess: Guess, scenario: Scenario) -> Floats:
    """Return a guess's quantiles between its low and high: by its records, where there are any."""
    known = scenario.known.get(guess.path)
    return known.table if isinstance(known, Known) else pert_table(guess.place)


class Sampler(Struct, frozen=True):
    """Draws of all guesses and of the fuel price's years, block by block."""

    guesses: tuple[Guess, ...]
    tables: tuple[Floats, ...]
    loads: Floats
    """How far each guess follows the factor of fuel prices, -1..1. [-]"""
    leans: Floats
    """How far each follows the factor of all other guesses; its bad side is above zero. [-]"""
    path: PricePath
    points: Sobol | None
    draws: int

    @property
    def blocks(self) -> int:
        """Return the number of blocks."""
        return math.ceil(self.draws / BLOCK)

    @property
    def factors(self) -> tuple[str, ...]:
        """Return the common factors that have a dimension of their own, after the guesses'."""
        both = ((FUEL_FACTOR, self.loads), (LEAN_FACTOR, self.leans))
        return tuple(name for name, loads in both if loads.any())

    def raw(self, block: int) -> Floats:
        """Return one block's independent coordinates: guesses, factors, years of the path.

        Parameters
        ----------
        block : int
            Which block, from 0.

        Returns
        -------
        ndarray, shape (dimensions, draws of the block)
            [-]
        """
        return self.raw_of(range(block, block + 1))

    def raw_of(self, blocks: range) -> Floats:
        """Return the independent coordinates of some blocks, one after the other.

        Parameters
        ----------
        blocks : range
            Which blocks.

        Returns
        -------
        ndarray, shape (dimensions, draws of the blocks)
            [-]
        """
        start, stop = blocks.start * BLOCK, min(blocks.stop * BLOCK, self.draws)
        if self.points is None:
            return np.zeros((0, stop - start))
        result = np.empty((len(self.points.block), stop - start))
        for block in blocks:
            first = block * BLOCK - start
            self.points.fill(block, result[:, first : first + BLOCK])
        return result

    def scores(self, raw: Floats) -> Floats:
        """Return the normal scores of tied coordinates.

        Parameters
        ----------
        raw : ndarray, shape (dimensions, n)
            Independent coordinates. [-]

        Returns
        -------
        ndarray, shape (guesses, n)
            Of the coordinates that values are read at, within 1e-8. [-]
        """
        result = np.empty((len(self.guesses), raw.shape[1]))
        every = range(len(result))
        for k in self._free(every):
            result[k] = table_quantile(raw[k], normal_table())
        for k, score in self._tied_scores(raw, every):
            result[k] = score
        return result

    def _free(self, wanted: Collection[int]) -> list[int]:
        """Return those of some guesses that follow no factor."""
        return [k for k in wanted if self.loads[k] == 0.0 and self.leans[k] == 0.0]

    def _tied(self, raw: Floats, wanted: Collection[int]) -> Iterator[tuple[int, Floats]]:
        """Give some guesses' coordinates through the copula, each still spread evenly over (0, 1).

        One by one, as a row at a time fits the cache.
        """
        for k in self._free(wanted):
            yield k, raw[k]
        for k, score in self._tied_scores(raw, wanted):
            yield k, normal_cumulative(score)

    def _tied_scores(self, raw: Floats, wanted: Collection[int]) -> Iterator[tuple[int, Floats]]:
        """Give the normal scores of those of some guesses that follow a factor, one by one."""
        place = len(self.guesses)
        # No guess follows both factors: each is tied to one, or to none.
        for loads in (self.loads, self.leans):
            if not loads.any():
                continue
            factor = table_quantile(raw[place], normal_table())
            for k in wanted:
                if loads[k] == 0.0:
                    continue
                score = table_quantile(raw[k], normal_table())
                score *= np.sqrt(1.0 - loads[k] ** 2)
                score += loads[k] * factor
                yield k, score
            place += 1

    def states(self, raw: Floats) -> Floats:
        """Return how far the fuel price has wandered by each year.

        Parameters
        ----------
        raw : ndarray, shape (dimensions, n)
            Independent coordinates. [-]

        Returns
        -------
        ndarray, shape (years + 1, n)
            Logarithm, today's zero first; all zero where prices hold still. [-]
        """
        if self.path.swing == 0.0:
            return np.zeros((self.path.years + 1, raw.shape[1]))
        steps = raw[len(self.guesses) + len(self.factors) :]
        return self.path.states(table_quantile(steps, normal_table()))

    def values_of(
        self, raw: Floats, read: Callable[[Path], bool] = lambda _: True
    ) -> dict[Path, Floats]:
        """Turn independent coordinates into values, in the file's units.

        Parameters
        ----------
        raw : ndarray, shape (dimensions, n)
            [-]
        read : callable
            Whether the guess at a path is read at all; the others are left out.

        Returns
        -------
        dict of path to ndarray, shape (n,)
        """
        wanted = [k for k, guess in enumerate(self.guesses) if read(guess.path)]
        result: dict[Path, Floats] = {}
        for k, coordinate in self._tied(raw, wanted):
            guess = self.guesses[k]
            values = table_quantile(coordinate, self.tables[k])
            values *= guess.high - guess.low
            values += guess.low
            result[guess.path] = values
        return result

    def values(self, block: int) -> dict[Path, Floats]:
        """Return one block's draws, in the file's units.

        Parameters
        ----------
        block : int
            Which block, from 0.

        Returns
        -------
        dict of path to ndarray, shape (draws of the block,)
        """
        return self.values_of(self.raw(block))


def pick_from(values: Mapping[Path, Floats | float]) -> Pick:
    """Return the rule that reads drawn estimates from `values` and all else at its likely value.

    Parameters
    ----------
    values : mapping of path to float or ndarray, shape (n,)
        In the file's units. [any]

    Returns
    -------
    callable
        For `inputs_at`.
    """

    def pick(path: Path, value: float | Estimate) -> float | Floats:
        drawn = values.get(path)
        if drawn is not None:
            return drawn
        return value.likely if isinstance(value, Estimate) else float(value)

    return pick


def _loads(scenario: Scenario, result: tuple[Guess, ...]) -> Floats:
    """Return each guess's load on the factor of fuel prices."""
    rho = scenario.uncertainty.fuel_price_correlation
    supply = scenario.uncertainty.supply_correlation
    root = math.sqrt(rho)
    by_group = {"fuel price": root, "oil volume": supply / root if rho > 0.0 else 0.0, None: 0.0}
    return np.array([by_group[guess.group] for guess in result])


def _leans(scenario: Scenario, result: tuple[Guess, ...]) -> Floats:
    """Return each guess's load on the factor that is above zero where guesses turn out badly."""
    root = math.sqrt(scenario.uncertainty.guess_correlation)
    by_side = {"high": root, "low": -root, "": 0.0}
    return np.array([by_side[g.bad_side] if g.group is None else 0.0 for g in result])


def _refuse(scenario: Scenario, field: str, value: object, message: str) -> ScenarioError:
    return ScenarioError(
        (Problem(str(scenario.path), f"[uncertainty] {field}", str(value), message),)
    )


def sampler(scenario: Scenario, draws: int, seed: int) -> Sampler:
    """Prepare draws of all guesses of a scenario and of its fuel price's years.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    draws : int
        How many, from 1 to `MOST_DRAWS`: the first ones of the sequence.
    seed : int
        Of NumPy's default generator.

    Returns
    -------
    Sampler

    Raises
    ------
    ScenarioError
        If there are too many draws or too many estimates.
    """
    if not 1 <= draws <= MOST_DRAWS:
        raise _refuse(scenario, "draws", draws, f"draws lie between 1 and {MOST_DRAWS:,}")
    result = guesses(scenario)
    given = scenario.uncertainty
    path = PricePath(given.fuel_price_swing, given.fuel_price_pull, scenario.finance.years)
    loads, leans = _loads(scenario, result), _leans(scenario, result)
    dimensions = len(result) + int(bool(loads.any())) + int(bool(leans.any())) + path.dimensions
    if dimensions > MOST_DIMENSIONS:
        most = MOST_DIMENSIONS - dimensions + len(result)
        raise _refuse(scenario, "estimates", len(result), f"at most {most:,} can be drawn")
    rng = np.random.default_rng(seed)
    points = sobol(dimensions, BLOCK, rng) if dimensions else None
    tables = tuple(_table(guess, scenario) for guess in result)
    return Sampler(result, tables, loads, leans, path, points, draws)
