"""Which guess matters: swings, first-order indices, and what learning each guess is worth."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from econ.farm.prepare import Choices, inputs_at
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.ledger import LEDGERS
from econ.model.outcome import Outcome
from econ.numbers.quantiles import normal_quantile
from econ.questions.draws import Guess, Sampler, pick_from

_BINS = 64
_BATCHES = 8
_POWERS = 4
CORRELATED = "fuel prices and oil volumes, which move together"


@dataclass(frozen=True, slots=True)
class Swing:
    """What one guess does alone, all others likely."""

    name: str
    low: float
    high: float
    unit_path: tuple[str | int, ...]
    after_labour: tuple[float, float]
    """Left after your time a year, at low and at high. [currency/yr]"""
    npv: dict[str, tuple[float, float]]
    """Worth by ledger, at low and at high. [currency]"""

    @property
    def width(self) -> float:
        """Give how far the year's figure moves. [currency/yr]"""
        return abs(self.after_labour[1] - self.after_labour[0])


def swings(scenario: Scenario, choices: Choices, found: tuple[Guess, ...]) -> tuple[Swing, ...]:
    """Turn each guess to its low and its high, all others likely; widest first.

    A thinner tied to a fuel's price moves with it.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    choices : Choices
        From `settle`.
    found : tuple of Guess
        From `guesses`.

    Returns
    -------
    tuple of Swing
    """
    if not found:
        return ()
    count = 2 * len(found)
    values = {}
    for index, guess in enumerate(found):
        column = np.full(count, guess.likely)
        column[2 * index], column[2 * index + 1] = guess.low, guess.high
        values[guess.path] = column
    outcome = evaluate(inputs_at(scenario, pick_from(values), choices), by_month=False)
    year = np.broadcast_to(outcome.typical.savings["after_labour"], (count,))
    npv = {k.key: np.broadcast_to(outcome.ledgers[k.key].measures["npv"], (count,))
           for k in LEDGERS}  # fmt: skip
    rows = [
        Swing(
            guess.name,
            guess.low,
            guess.high,
            guess.path,
            (float(year[2 * k]), float(year[2 * k + 1])),
            {key: (float(v[2 * k]), float(v[2 * k + 1])) for key, v in npv.items()},
        )
        for k, guess in enumerate(found)
    ]
    return tuple(sorted(rows, key=lambda row: -row.width))


def first_order(coordinates: Floats, result: Floats, bins: int = _BINS) -> Floats:
    """Give the first-order index of each independent coordinate, from given draws.

    The share of the result's variance that goes with the mean over bins of one coordinate,
    less what chance alone would show.

    Parameters
    ----------
    coordinates : ndarray, shape (d, n)
        Each spread evenly over (0, 1). [-]
    result : ndarray, shape (n,)
    bins : int
        Bins of equal width.

    Returns
    -------
    ndarray, shape (d,)
        A little below zero where the index is nil: noise, clipped only for show. [-]

    References
    ----------
    .. [1] Source key ``saltelli_2008``: V(E[Y | X]) / V(Y).
    """
    total = float(np.var(result))
    if total <= 0.0:
        return np.zeros(len(coordinates))
    found = np.empty(len(coordinates))
    for k, coordinate in enumerate(coordinates):
        place = np.minimum((coordinate * bins).astype(np.int64), bins - 1)
        count = np.bincount(place, minlength=bins)
        sums = np.bincount(place, weights=result, minlength=bins)
        squares = np.bincount(place, weights=result**2, minlength=bins)
        filled = count > 0
        mean = sums[filled] / count[filled]
        between = float(np.sum(count[filled] * (mean - result.mean()) ** 2) / result.size)
        within = float(np.sum(squares[filled] - count[filled] * mean**2))
        spare = result.size - int(filled.sum())
        noise = within / max(spare, 1) * (int(filled.sum()) - 1) / result.size
        found[k] = (between - noise) / total
    return found


def group_index(
    model: Callable[[Floats], Floats], first: Floats, second: Floats, group: Floats
) -> float:
    """Give the first-order index of a group of coordinates taken together.

    Parameters
    ----------
    model : callable
        From coordinates, shape (d, n), to results, shape (n,).
    first, second : ndarray, shape (d, n)
        Two independent sets of coordinates. [-]
    group : ndarray of bool, shape (d,)
        Which coordinates stay as they are while the others are drawn anew.

    Returns
    -------
    float
        [-]

    References
    ----------
    .. [1] Source key ``janon_2014``: pick and freeze, both halves in mean and variance.
    """
    frozen = np.where(group[:, None], first, second)
    one, other = model(first), model(frozen)
    mean = 0.5 * (one.mean() + other.mean())
    variance = 0.5 * np.mean(one**2 + other**2) - mean**2
    return float((np.mean(one * other) - mean**2) / variance) if variance > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class Learning:
    """What knowing one guess before deciding is worth."""

    name: str
    value: float
    """Expected gain, as a present value. [currency]"""
    error: float
    """One standard error. [currency]"""


def worth_of_learning(coordinate: Floats, worth: Floats) -> tuple[float, float]:
    """Give the expected value of learning one coordinate before choosing to start or not.

    Not starting is worth zero, so the gain is E[max(0, E[worth | x])] - max(0, E[worth]). The
    inner mean is a least-squares polynomial in the coordinate's normal score.

    Parameters
    ----------
    coordinate : ndarray, shape (n,)
        Spread evenly over (0, 1). [-]
    worth : ndarray, shape (n,)
        Net present value of starting. [currency]

    Returns
    -------
    (float, float)
        Value and one standard error, from batches. [currency]

    References
    ----------
    .. [1] Source key ``strong_2014``: regression estimator of partial perfect information.
    """
    score = normal_quantile(np.clip(coordinate, 1e-9, 1.0 - 1e-9))

    def gain(z: Floats, y: Floats) -> float:
        powers = np.vander(z, _POWERS)
        fitted = powers @ np.linalg.lstsq(powers, y, rcond=None)[0]
        return float(np.mean(np.maximum(fitted, 0.0)) - max(0.0, float(np.mean(fitted))))

    whole = gain(score, worth)
    size = score.size // _BATCHES
    if size < 4 * _POWERS:
        return whole, np.nan
    batches = [
        gain(score[k * size : (k + 1) * size], worth[k * size : (k + 1) * size])
        for k in range(_BATCHES)
    ]
    return whole, float(np.std(batches, ddof=1) / np.sqrt(_BATCHES))


def learning(sampler: Sampler, uniforms: Floats, worth: Floats) -> tuple[Learning, ...]:
    """Rank guesses by what knowing each before deciding is worth.

    Parameters
    ----------
    sampler : Sampler
        Of the draws.
    uniforms : ndarray, shape (guesses, n)
        Their coordinates. [-]
    worth : ndarray, shape (n,)
        Net present value of one ledger. [currency]

    Returns
    -------
    tuple of Learning
        Largest first.
    """
    rows = [
        Learning(guess.name, *worth_of_learning(coordinate, worth))
        for guess, coordinate in zip(sampler.guesses, uniforms, strict=True)
    ]
    return tuple(sorted(rows, key=lambda row: -row.value))


def perfect_information(worth: Floats) -> float:
    """Give the expected value of knowing everything before deciding.

    Parameters
    ----------
    worth : ndarray, shape (n,) or (acts, n)
        Net present value of each act; not starting is worth zero and is always one. [currency]

    Returns
    -------
    float
        E[max(0, best act)] - max(0, E[act] of the best). [currency]

    References
    ----------
    .. [1] Source key ``raiffa_schlaifer_1961``.
    """
    acts = np.atleast_2d(worth)
    informed = np.mean(np.maximum(acts.max(axis=0), 0.0))
    return float(informed - max(0.0, float(acts.mean(axis=1).max())))


@dataclass(frozen=True, slots=True)
class Index:
    """The share of the spread that one guess, or the correlated ones together, explain."""

    name: str
    value: float
    """[-]"""


def indices(
    scenario: Scenario, choices: Choices, sampler: Sampler, ledger: str, count: int
) -> tuple[Index, ...]:
    """Give first-order indices of a ledger's worth, correlated guesses as one group.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    choices : Choices
        From `settle`.
    sampler : Sampler
        Of the draws.
    ledger : str
        Key of the ledger.
    count : int
        Draws to use; the group takes as many again.

    Returns
    -------
    tuple of Index
        Largest first.
    """
    dimensions = len(sampler.loads) + len(sampler.factors) + sampler.path.dimensions
    if not sampler.guesses:
        return ()
    rng = np.random.default_rng(0)
    base = rng.random((dimensions, count))

    def model(points: Floats) -> Floats:
        values = sampler.values_of(points)
        outcome: Outcome = evaluate(inputs_at(scenario, pick_from(values), choices), by_month=False)
        return np.broadcast_to(outcome.ledgers[ledger].measures["npv"], (points.shape[1],))

    alone = sampler.loads == 0.0
    result = model(base)
    rows = [
        Index(guess.name, float(value))
        for guess, value, single in zip(
            sampler.guesses, first_order(base[: len(alone)], result), alone, strict=True
        )
        if single
    ]
    if not alone.all():
        group = np.zeros(dimensions, dtype=bool)
        group[: len(alone)] = ~alone
        group[len(alone)] = True
        value = group_index(model, base, rng.random((dimensions, count)), group)
        rows.append(Index(CORRELATED, value))
    return tuple(sorted(rows, key=lambda row: -row.value))
