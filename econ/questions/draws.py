"""Three-point estimates as chances: which numbers are guesses, and draws of all of them.

Each estimate is a modified PERT on [low, high] (shape 4). Fuel-like prices move together, and
oil is hardest to get when diesel is dear: one common factor in a Gaussian copula. Draws are
made block by block; the same seed gives the same draws whatever the number of workers.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from econ.farm.files import usual_wear
from econ.farm.prepare import Path, Pick
from econ.farm.schema import TABLES, Estimate, Scenario, Wear, about
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import Floats
from econ.numbers.quantiles import normal_cumulative, normal_table, pert_table, table_quantile
from econ.numbers.sobol import MOST_DIMENSIONS, MOST_POINTS, Sobol, sobol

BLOCK = 4096
"""Draws made and evaluated together: what fits the cache."""
MOST_LATIN_DRAWS = 1_000_000

_FUEL_PRICES = ("road_diesel", "farm_diesel", "heating_oil")


@dataclass(frozen=True, slots=True)
class Guess:
    """One three-point estimate of a scenario, in the file's units."""

    path: Path
    name: str
    """As people read it: the entry's name and the field."""
    low: float
    likely: float
    high: float
    group: str | None
    """"fuel price" or "oil volume" where it is correlated with others, else None."""

    @property
    def place(self) -> float:
        """Give where the likely value lies between low and high. [-]"""
        return (self.likely - self.low) / (self.high - self.low)


def _is_estimate(value: Any) -> bool:
    return isinstance(value, Mapping) and set(value) == {"low", "likely", "high"}


def _label(path: Path) -> str:
    """Give a field's label."""
    table = "machines.wear" if "wear" in path else str(path[0])
    model = next(model for name, model, _ in TABLES if name == table)
    return about(model, str(path[-1])).label


def _group(path: Path) -> str | None:
    if path[0] == "prices" and path[-1] in _FUEL_PRICES:
        return "fuel price"
    if path[0] == "thinners" and path[-1] == "price":
        return "fuel price"
    if path[0] == "oils" and path[-1] == "volume_per_month":
        return "oil volume"
    return None


def _walk(table: Any, path: Path, names: tuple[str, ...]) -> Iterator[Guess]:
    """Find the estimates below a table, in the file's order."""
    if _is_estimate(table):
        if table["low"] < table["high"]:
            yield Guess(
                path,
                ": ".join((*names, _label(path))),
                float(table["low"]),
                float(table["likely"]),
                float(table["high"]),
                _group(path),
            )
    elif isinstance(table, Mapping):
        for key, value in table.items():
            yield from _walk(value, (*path, key), names)
    elif isinstance(table, list):
        for index, entry in enumerate(table):
            inner = names
            if isinstance(entry, Mapping):
                name = entry.get("name", entry.get("part"))
                inner = (*names, str(name)) if name is not None else names
            yield from _walk(entry, (*path, index), inner)


def _usual_guesses(scenario: Scenario) -> Iterator[Guess]:
    """Give the estimates of usual wear rows, for machines without rows of their own."""
    for index, machine in enumerate(scenario.machines):
        if machine.wear:
            continue
        for row, part in enumerate(usual_wear(machine.engine, scenario.scenario.units)):
            for field in ("cost", "extra_failures"):
                value = getattr(part, field)
                if isinstance(value, Estimate) and value.low < value.high:
                    yield Guess(
                        ("machines", index, "wear", row, field),
                        f"{machine.name}: {part.part}: {about(Wear, field).label}",
                        value.low,
                        value.likely,
                        value.high,
                        None,
                    )


def guesses(scenario: Scenario) -> tuple[Guess, ...]:
    """List a scenario's three-point estimates: the file's in its order, then usual wear.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    tuple of Guess
        One a dimension of the draws; low = high takes none, and a tied price has none.
    """
    return (*_walk(scenario.merged, (), ()), *_usual_guesses(scenario))


@dataclass(frozen=True, slots=True)
class Sampler:
    """Draws of all guesses, block by block."""

    guesses: tuple[Guess, ...]
    tables: tuple[Floats, ...]
    loads: Floats
    """How far each guess follows the common factor, -1..1. [-]"""
    points: Sobol | None
    latin: Floats | None
    draws: int

    @property
    def blocks(self) -> int:
        """Give the number of blocks."""
        return math.ceil(self.draws / BLOCK)

    def raw(self, block: int) -> Floats:
        """Give one block's independent coordinates, the common factor's last.

        Parameters
        ----------
        block : int
            Which block, from 0.

        Returns
        -------
        ndarray, shape (dimensions, draws of the block)
            [-]
        """
        count = min(BLOCK, self.draws - block * BLOCK)
        if self.latin is not None:
            return self.latin[:, block * BLOCK : block * BLOCK + count]
        if self.points is not None:
            return self.points.points(block)[:, :count]
        return np.zeros((0, count))

    def tied(self, raw: Floats) -> Floats:
        """Apply the copula.

        Parameters
        ----------
        raw : ndarray, shape (dimensions, n)
            Independent coordinates. [-]

        Returns
        -------
        ndarray, shape (guesses, n)
            Each still spread evenly over (0, 1). [-]
        """
        tied = np.flatnonzero(self.loads)
        found = raw[: len(self.guesses)].copy()
        if tied.size:
            factor = table_quantile(raw[-1], normal_table())
            own = table_quantile(raw[tied], normal_table())
            load = self.loads[tied, None]
            found[tied] = normal_cumulative(load * factor + np.sqrt(1.0 - load**2) * own)
        return found

    def uniforms(self, block: int) -> Floats:
        """Give one block's coordinates, the copula applied.

        Parameters
        ----------
        block : int
            Which block, from 0.

        Returns
        -------
        ndarray, shape (guesses, draws of the block)
            [-]
        """
        return self.tied(self.raw(block))

    def values_of(self, raw: Floats) -> dict[Path, Floats]:
        """Turn independent coordinates into values, in the file's units.

        Parameters
        ----------
        raw : ndarray, shape (dimensions, n)
            [-]

        Returns
        -------
        dict of path to ndarray, shape (n,)
        """
        u = self.tied(raw)
        return {
            guess.path: guess.low + (guess.high - guess.low) * table_quantile(u[k], table)
            for k, (guess, table) in enumerate(zip(self.guesses, self.tables, strict=True))
        }

    def values(self, block: int) -> dict[Path, Floats]:
        """Give one block's draws, in the file's units.

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
    """Give the rule that reads drawn estimates from `values` and all else at its likely value.

    Parameters
    ----------
    values : mapping of path to number or ndarray
        In the file's units.

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


def _loads(scenario: Scenario, found: tuple[Guess, ...]) -> Floats:
    """Give each guess's load on the common factor."""
    rho = scenario.uncertainty.fuel_price_correlation
    supply = scenario.uncertainty.supply_correlation
    root = math.sqrt(rho)
    by_group = {"fuel price": root, "oil volume": supply / root if rho > 0.0 else 0.0, None: 0.0}
    return np.array([by_group[guess.group] for guess in found])


def _refuse(scenario: Scenario, field: str, value: object, message: str) -> ScenarioError:
    return ScenarioError(
        (Problem(str(scenario.path), f"[uncertainty] {field}", str(value), message),)
    )


def sampler(scenario: Scenario, draws: int, seed: int, method: str = "sobol") -> Sampler:
    """Prepare draws of all guesses of a scenario.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    draws : int
        How many, from 1 to 2^30 (Latin hypercube: one million).
    seed : int
        Of NumPy's default generator.
    method : {"sobol", "latin hypercube"}
        How points are spread.

    Returns
    -------
    Sampler

    Raises
    ------
    ScenarioError
        If there are too many draws or too many estimates.
    """
    found = guesses(scenario)
    most = MOST_LATIN_DRAWS if method == "latin hypercube" else MOST_POINTS
    if not 1 <= draws <= most:
        raise _refuse(scenario, "draws", draws, f"draws lie between 1 and {most:,} ({method})")
    if len(found) >= MOST_DIMENSIONS:
        message = f"at most {MOST_DIMENSIONS - 1:,} estimates can be drawn"
        raise _refuse(scenario, "estimates", len(found), message)
    loads = _loads(scenario, found)
    dimensions = len(found) + int(bool(loads.any()))
    rng = np.random.default_rng(seed)
    points, latin = None, None
    if dimensions and method == "latin hypercube":
        # scipy.stats takes longer to import than a decision: only who asks for it waits.
        from scipy.stats import qmc

        latin = qmc.LatinHypercube(dimensions, rng=rng).random(draws).T
        latin = np.clip(latin, 2.0**-31, 1.0 - 2.0**-31)
    elif dimensions:
        points = sobol(dimensions, BLOCK, rng)
    tables = tuple(pert_table(guess.place) for guess in found)
    return Sampler(found, tables, loads, points, latin, draws)
