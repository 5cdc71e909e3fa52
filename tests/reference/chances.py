"""A second reading of chances: draws, the path of fuel prices, stopping, history, bad years.

Plain loops over draws; scipy gives Sobol's points and the quantiles. What a farm's guesses do
one by one is found by quadrature over their independent scores, not by sampling.
"""

import copy
import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline
from scipy.stats import beta, norm, poisson, qmc

from reference import expected
from reference.farm import Farm, usual_wear
from reference.liquids import GALLON
from reference.measures import amounts, carry_on, measure, value
from reference.money import put_money_on
from reference.months import simulate
from reference.reading import Document

Path = tuple[Any, ...]
LEDGERS = (("time_free", False), ("time_paid", True))
FUELS = ("road_diesel", "farm_diesel", "heating_oil")

# Which way a guess must lean to be bad news, by table and field: +1 where a high value is.
BAD_SIDES = {
    ("wear", "cost"): 1, ("wear", "extra_failures"): 1, ("machines", "resale_loss"): 1,
    ("oils", "price"): 1, ("oils", "reject_share"): 1, ("oils", "round_trip"): 1,
    ("oils", "hours_per_trip"): 1, ("hauling", "cost_per_distance"): 1,
    ("process", "hours_per_batch"): 1, ("process", "loss_share"): 1,
    ("process", "test_cost_per_batch"): 1, ("process", "disposal_cost"): 1,
    ("filters", "price"): 1, ("filters", "volume_per_element"): -1, ("yearly", "cost"): 1,
    ("yearly", "hours"): 1, ("labour", "upkeep_hours_per_year"): 1, ("kit", "cost"): 1,
    ("kit", "resale_share"): -1, ("additives", "price"): 1, ("finance", "exit_cost"): 1,
}  # fmt: skip


@dataclass(frozen=True)
class Guess:
    path: Path
    low: float
    likely: float
    high: float

    def quantile(self, u: float) -> float:
        """Take the modified PERT's value: a beta distribution of shape 4 on [low, high]."""
        width = self.high - self.low
        a = 1 + 4 * (self.likely - self.low) / width
        b = 1 + 4 * (self.high - self.likely) / width
        return float(self.low + width * beta.ppf(u, a, b))


def walk(value: Any, path: Path) -> Iterator[Guess]:
    if isinstance(value, dict) and set(value) == {"low", "likely", "high"}:
        if value["low"] < value["high"]:
            yield Guess(path, *(float(value[k]) for k in ("low", "likely", "high")))
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from walk(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from walk(inner, (*path, index))


def with_usual_wear(document: Document) -> Document:
    """Write usual wear rows into machines without rows, per the file's own volume."""
    made = copy.deepcopy(document)
    size = 1.0 if document["scenario"]["units"] == "us" else GALLON
    for m in made["machines"]:
        if not m.get("wear"):
            m["wear"] = [
                {**row, "extra_failures": {k: v / size for k, v in row["extra_failures"].items()}}
                for row in usual_wear(m["engine"])
            ]
    return made


def guesses(document: Document) -> list[Guess]:
    """List the estimates in the order of the merged file, then those of usual wear."""
    given = list(walk(document, ()))
    usual = {index for index, m in enumerate(document["machines"]) if not m.get("wear")}
    wear = [
        g
        for g in walk(with_usual_wear(document)["machines"], ("machines",))
        if g.path[1] in usual and g.path[2] == "wear"
    ]
    return given + wear


def field(path: Path) -> tuple[str, str]:
    return ("wear" if "wear" in path else str(path[0]), str(path[-1]))


def fuel_like(path: Path) -> bool:
    table, name = field(path)
    return (table == "prices" and name in FUELS) or (table, name) == ("thinners", "price")


def loads(document: Document, guess: Guess, sides: dict[tuple[str, str], int]) -> Document:
    """Say how a guess's score leans on the common factors F and G."""
    terms = document.get("uncertainty", {})
    rho = terms.get("fuel_price_correlation", 0.9)
    supply = terms.get("supply_correlation", -0.3)
    lean = terms.get("guess_correlation", 0.25)
    if fuel_like(guess.path):
        return {"F": math.sqrt(rho)}
    if field(guess.path) == ("oils", "volume_per_month"):
        return {"F": supply / math.sqrt(rho)}
    side = sides.get(field(guess.path), 0)
    return {"G": side * math.sqrt(lean)} if side else {}


class Chances:
    """A farm's guesses, its common factors and its path of prices, as independent scores."""

    def __init__(self, document: Document, sides: dict[tuple[str, str], int] | None = None) -> None:
        self.guesses = guesses(document)
        self.document = with_usual_wear(document)
        self.settled, self.order = expected(self.document)
        terms = document.get("uncertainty", {})
        self.swing = terms.get("fuel_price_swing", 0.20)
        self.pull = terms.get("fuel_price_pull", 0.0)
        self.loads = [loads(document, g, sides or BAD_SIDES) for g in self.guesses]
        used = {name for leaning in self.loads for name, load in leaning.items() if load != 0}
        # Dimensions: every guess, the factors that any guess leans on, then the years.
        self.factors = [name for name in ("F", "G") if name in used]
        self.years = self.settled.years if self.swing > 0 else 0
        self.dimensions = len(self.guesses) + len(self.factors) + self.years

    def drawn(self, scores: list[float]) -> Document:
        """Put values into the farm from independent normal scores."""
        factor = dict(zip(self.factors, scores[len(self.guesses) :], strict=False))
        made = copy.deepcopy(self.document)
        for guess, leaning, own in zip(self.guesses, self.loads, scores, strict=False):
            score = own
            for name, load in leaning.items():
                if load != 0:
                    score = load * factor[name] + math.sqrt(1 - load**2) * own
            place(made, guess.path, guess.quantile(norm.cdf(score)))
        return made

    def prices(self, scores: list[float]) -> tuple[list[float], list[float]]:
        """Return the logarithm of the path and its multipliers, of years 1 to N."""
        if self.years == 0:
            return [0.0] * self.settled.years, [1.0] * self.settled.years
        x, logs, factors = 0.0, [], []
        for y, e in enumerate(scores[-self.years :], start=1):
            x = (1 - self.pull) * x + self.swing * e
            logs.append(x)
            factors.append(math.exp(x - self.variance(y) / 2))
        return logs, factors

    def variance(self, years: int) -> float:
        """Variance of the logarithm of the price after so many years."""
        return self.swing**2 * sum((1 - self.pull) ** (2 * k) for k in range(years))

    def hoped(self, x: float, y: int, z: int) -> float:
        """Expected multiplier of year z for one who knows year y's price."""
        spread = self.variance(z - y) - self.variance(z)
        return math.exp((1 - self.pull) ** (z - y) * x + spread / 2)

    def outcome(self, scores: list[float]) -> Document:
        """Work one draw through: the year's figures, and each ledger with its path."""
        farm = Farm(self.drawn(scores), "likely", self.settled)
        logs, path = self.prices(scores)
        years = simulate(farm, self.order)
        first, typical = (put_money_on(farm, year) for year in years)
        made: Document = {"savings": typical["savings"], "fuel": typical["fuel"], "ledgers": {}}
        for name, paid in LEDGERS:
            a = amounts(farm, first, typical, paid=paid, path=path)
            level = amounts(farm, first, typical, paid=paid)
            ledger = measure(farm, typical, a)
            ledger["running"] = list(itertools.accumulate(a["flows"]))
            ledger["stopped"], ledger["with_stopping"] = self.stopping(farm, a, level, logs)
            made["ledgers"][name] = ledger
        made["wear"] = [
            [(part, cost, failures * oil) for part, cost, failures in m["repairs"]]
            for m, oil in zip(farm.machines, years[1]["oil"], strict=True)
        ]
        return made

    def stopping(
        self, farm: Farm, a: Document, level: Document, logs: list[float]
    ) -> tuple[int | None, float]:
        """Find the year after which this draw stops, and its worth; None if it never does."""
        n = farm.years
        for y in range(1, n):
            held = {**level, "moving": list(level["moving"]), "saving": list(level["saving"])}
            for t in range(y + 1, n + 1):
                change = level["moving"][t] * (self.hoped(logs[y - 1], y, t) - 1)
                held["saving"][t] += change
                held["moving"][t] += change
            best = max(carry_on(farm, held, y, z)[0] for z in range(y + 1, n + 1))
            if best < 0:
                return y, stopped_after(farm, a, y)
        return None, value(a["flows"], farm.rate)

    def sample(self, count: int, seed: int) -> list[Document]:
        """Work the first points of a scrambled Sobol sequence through, one by one."""
        if self.dimensions == 0:
            return [self.outcome([])] * count
        return [self.outcome(scores) for scores in self.scores(count, seed)]

    def scores(self, count: int, seed: int) -> list[list[float]]:
        """Return normal scores, each point in the middle of its cell, so that none is endless."""
        rng = np.random.default_rng(seed)
        most = math.ceil(math.log2(count))
        points = qmc.Sobol(self.dimensions, scramble=True, rng=rng).random_base2(most)
        return [[float(s) for s in norm.ppf(point + 2.0**-31)] for point in points[:count]]

    def grid(
        self,
        figure: Callable[[Document], float],
        nodes: int,
        knowing: int | None = None,
        beside: int | None = None,
    ) -> "Grid":
        """Work a figure out at Gauss-Hermite nodes of every independent score.

        With `knowing` the score of that guess is the one that decides its value, and its
        common factor is what is left uncertain beside it; all other scores have `beside` nodes.
        """
        others = nodes if beside is None else beside
        rules = [_rule(nodes if k == knowing else others) for k in range(self.dimensions)]
        names = [g.path for g in self.guesses] + self.factors + ["path"] * self.years
        cells = []
        for index in itertools.product(*(range(len(rule)) for rule in rules)):
            nodes_there = [rule[i] for rule, i in zip(rules, index, strict=True)]
            share = math.prod(weight for _, weight in nodes_there)
            scores = [score for score, _ in nodes_there]
            if knowing is not None:
                self.turn(scores, knowing)
            cells.append((index, share, figure(self.outcome(scores))))
        return Grid(names, [score for score, _ in _rule(nodes)], cells)

    def turn(self, scores: list[float], k: int) -> None:
        """Turn a guess's whole score and what is left of its factor into independent ones."""
        for name, load in self.loads[k].items():
            if load == 0:
                continue
            place, own = len(self.guesses) + self.factors.index(name), math.sqrt(1 - load**2)
            whole, left = scores[k], scores[place]
            scores[place] = load * whole + own * left
            scores[k] = own * whole - load * left


def _rule(nodes: int) -> list[tuple[float, float]]:
    """Return scores and their probabilities, by Gauss and Hermite."""
    at, weight = np.polynomial.hermite_e.hermegauss(nodes)
    return [(float(a), float(w)) for a, w in zip(at, weight / weight.sum(), strict=True)]


@dataclass(frozen=True)
class Grid:
    """A figure at every node of the independent scores, with each node's probability."""

    names: list[Any]
    at: list[float]
    cells: list[tuple[tuple[int, ...], float, float]]

    def mean(self) -> float:
        return sum(share * figure for _, share, figure in self.cells)

    def given(self, name: Any) -> list[tuple[float, float]]:
        """List probability and mean of the figure at each value of one score or group."""
        axes = [k for k, other in enumerate(self.names) if other == name]
        sums: dict[tuple[int, ...], list[float]] = {}
        for index, share, figure in self.cells:
            row = sums.setdefault(tuple(index[k] for k in axes), [0.0, 0.0])
            row[0] += share
            row[1] += share * figure
        return [(share, total / share) for share, total in sums.values()]

    def first_order(self, name: Any) -> float:
        """Return the share of the variance that the mean given one score or group explains."""
        mean = self.mean()
        whole = sum(share * (figure - mean) ** 2 for _, share, figure in self.cells)
        return sum(share * (m - mean) ** 2 for share, m in self.given(name)) / whole

    def worth_of_knowing(self, name: Any) -> float:
        """Return what it is worth to know one score before choosing to start or not.

        The mean given the score is smooth and passes through the nodes; the choice bends it, so
        it is taken at ten thousand scores of equal probability.
        """
        curve = CubicSpline(self.at, [m for _, m in self.given(name)])
        means = curve(norm.ppf((np.arange(10_000) + 0.5) / 10_000))
        return float(np.mean(np.maximum(means, 0.0))) - max(0.0, self.mean())


def place(document: Document, path: Path, drawn: float) -> None:
    entry = document
    for step in path[:-1]:
        entry = entry[step]
    entry[path[-1]] = drawn


def stopped_after(farm: Farm, a: Document, y: int) -> float:
    """Worth today of a plan that ends with year y, before any replacement due then."""
    worth = -a["cost"]
    for t in range(1, y):
        worth += (a["saving"][t] - a["bought"][t] + a["resale"][t]) / (1 + farm.rate) ** t
    return worth + (a["saving"][y] + a["in_hand"][y] - a["leaving"][y]) / (1 + farm.rate) ** y


# --- looking back --------------------------------------------------------------------------


def history(document: Document, real: dict[int, float]) -> list[Document]:
    """Work each past stretch of years through; `real` is the price by year, in one money."""
    farm, order = expected(document)
    first, typical = (put_money_on(farm, year) for year in simulate(farm, order))
    drift, rows = (1 + farm.inflation) / (1 + farm.fuel_inflation), []
    for start in sorted(real):
        if start + farm.years not in real:
            continue
        path = [real[start + y] / real[start] * drift**y for y in range(1, farm.years + 1)]
        row: Document = {"from": start}
        for name, paid in LEDGERS:
            a = amounts(farm, first, typical, paid=paid, path=path)
            row[name] = value(a["flows"], farm.rate)
        rows.append(row)
    return rows


# --- bad years -----------------------------------------------------------------------------


def bill_chances(parts: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """List every sum of repairs in a year with its probability.

    `parts` are cost and expected number of repairs; what comes less than once in 10^12 is cut.
    """
    sums = {0.0: 1.0}
    for cost, mean in parts:
        most = int(poisson.isf(1e-12, mean)) + 1
        chances = [float(poisson.pmf(k, mean)) for k in range(most + 1)]
        fresh: dict[float, float] = {}
        for bill, share in sums.items():
            for k, chance in enumerate(chances):
                fresh[bill + k * cost] = fresh.get(bill + k * cost, 0.0) + share * chance
        sums = fresh
    return sorted(sums.items())


def bad_year(before_wear: float, parts: list[tuple[float, float]], share: float = 0.05) -> float:
    """Return the year's after_wear that is not reached in one year of twenty."""
    passed = 0.0
    for bill, chance in reversed(bill_chances(parts)):
        passed += chance
        if passed >= share:
            return before_wear - bill
    return before_wear
