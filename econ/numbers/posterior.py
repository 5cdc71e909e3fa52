"""A guess weighed by records: densities on a bounded range, their mean, quantiles and tables.

The range is laid out by the logit of the place in it, so that a density that rises to infinity
at an end, as a beta may, is smooth; Gauss points are then exact to many digits. Nothing here
imports `scipy`.
"""

from collections.abc import Callable, Sequence
from functools import lru_cache

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats
from econ.numbers.quantiles import table_from, table_nodes

LogLikelihood = Callable[[Floats], Floats]

# Places in logits: beyond 80 lies less than 1e-16 of any beta with exponents above a half.
_REACH = 80.0
# What lies more than 45 below the highest logarithm is nothing: e^-45 is 3e-20.
_NOTHING = 45.0
_TOLERANCE = 1e-12
_ROUNDS = 40
_NEWTON_STEPS = 60
# Chances are known to about 1e-16: no step can bring them nearer than this.
_NOISE, _CLOSE = 1e-15, 1e-11


@lru_cache(maxsize=1)
def _rule() -> tuple[Floats, Floats]:
    """Return Gauss points and weights on (-1, 1); only farms with records ask for them."""
    points, weights = np.polynomial.legendre.leggauss(16)
    return np.asarray(points), np.asarray(weights)


class Prior(Struct, frozen=True):
    """A beta on a range: what was guessed, before any record."""

    low: float
    high: float
    alpha: float
    beta: float

    @property
    def mean(self) -> float:
        """Its mean."""
        return self.low + (self.high - self.low) * self.alpha / (self.alpha + self.beta)

    @property
    def variance(self) -> float:
        """Its variance."""
        whole = self.alpha + self.beta
        share = self.alpha * self.beta / (whole * whole * (whole + 1.0))
        return (self.high - self.low) ** 2 * share


def pert(low: float, likely: float, high: float) -> Prior:
    """Return the modified PERT of a three-point estimate.

    Parameters
    ----------
    low, likely, high : float
        low < high. [any]

    Returns
    -------
    Prior

    References
    ----------
    .. [1] Source key ``pert``: shape 4.

    Examples
    --------
    >>> prior = pert(0.0, 1.0, 4.0)
    >>> prior.alpha, prior.beta
    (2.0, 4.0)
    """
    place = (likely - low) / (high - low)
    return Prior(low, high, 1.0 + 4.0 * place, 5.0 - 4.0 * place)


def beta_with(mean: float, variance: float, low: float, high: float) -> Prior:
    """Return the beta on a range that has a mean and a variance.

    Parameters
    ----------
    mean, variance, low, high : float
        In one unit, the variance in its square. [any]

    Returns
    -------
    Prior
    """
    place = (mean - low) / (high - low)
    whole = place * (1.0 - place) * (high - low) ** 2 / variance - 1.0
    return Prior(low, high, place * whole, (1.0 - place) * whole)


def count_likelihood(count: float, exposure: float) -> LogLikelihood:
    """Return the likelihood of a rate at which events were counted.

    Parameters
    ----------
    count : float
        Events; one that may or may not count is a half. [-]
    exposure : float
        Over how much they were counted, in the unit that the rate is per. [any]

    Returns
    -------
    callable
        Logarithm of ``rate^count exp(-rate exposure)``.
    """

    def log(rate: Floats) -> Floats:
        result = -exposure * rate
        if count > 0.0:
            with np.errstate(divide="ignore"):
                result = result + count * np.log(rate)
        return result

    return log


class Ratios(Struct, frozen=True):
    """What some batches, loads or months showed of one ratio."""

    mean: float
    """Of sums, not of ratios."""
    count: int
    variance: float
    """Sample variance of the ratios; 0 of a single one."""

    def spread(self, prior: Prior) -> float:
        """Return the scale s of the likelihood.

        ``s^2 = ((n - 1) s_n^2 + 4 v) / n`` with v the variance of the guess: how far batches
        lie apart is not known, and the guess counts as one batch more for it.
        """
        n = self.count
        return float(np.sqrt(((n - 1) * self.variance + 4.0 * prior.variance) / n))


def ratios_of(tops: Sequence[float], bottoms: Sequence[float]) -> Ratios:
    """Sum up the ratios of some batches.

    Parameters
    ----------
    tops, bottoms : sequence of float
        One a batch, at least one; bottoms above 0. [any]

    Returns
    -------
    Ratios
    """
    top, bottom = np.asarray(tops, dtype=np.float64), np.asarray(bottoms, dtype=np.float64)
    each = top / bottom
    variance = float(np.var(each, ddof=1)) if each.size > 1 else 0.0
    return Ratios(float(top.sum() / bottom.sum()), int(each.size), variance)


def ratio_likelihood(ratios: Ratios, prior: Prior) -> LogLikelihood:
    """Return the likelihood of a ratio seen batch by batch.

    Parameters
    ----------
    ratios : Ratios
        What was seen.
    prior : Prior
        What was guessed.

    Returns
    -------
    callable
        Logarithm of ``(1 + (mean - ratio)^2 / s^2)^(-(n + 1)/2)``.
    """
    scale, power = ratios.spread(prior), 0.5 * (ratios.count + 1)

    def log(ratio: Floats) -> Floats:
        return -power * np.log1p(((ratio - ratios.mean) / scale) ** 2)

    return log


def _log_places(z: Floats) -> tuple[Floats, Floats]:
    """Return the logarithms of the place t in the range and of 1 - t."""
    log_t = -np.logaddexp(0.0, -z)
    return log_t, log_t - z


class Posterior(Struct, frozen=True):
    """A density on a range, in panels that Gauss points integrate to 1e-12."""

    prior: Prior
    likelihood: LogLikelihood
    edges: Floats
    """Ends of the panels, in logits."""
    peak: float
    """Highest logarithm met."""
    below: Floats
    """Chance to the left of each edge."""
    above: Floats
    """Chance to the right of each edge."""
    mass: float
    """What the density adds up to, before it is divided by it."""
    mean: float

    def _density(self, z: Floats) -> Floats:
        return np.exp(_log_density(self.prior, self.likelihood, z) - self.peak) / self.mass

    def _within(self, start: Floats, end: Floats) -> Floats:
        """Return the chance between places of one panel each."""
        half = 0.5 * (end - start)
        z = start[..., None] + half[..., None] * (1.0 + _rule()[0])
        return np.asarray((self._density(z) * _rule()[1]).sum(axis=-1) * half)

    def _logits(self, probability: Floats, *, upper: bool) -> Floats:
        """Find the logits with a chance below them, or above them, by safe Newton steps."""
        chance = self.above[::-1] if upper else self.below
        edges = -self.edges[::-1] if upper else self.edges
        k = np.clip(np.searchsorted(chance, probability) - 1, 0, edges.size - 2)
        start, low, high = edges[k], edges[k].copy(), edges[k + 1].copy()
        want = probability - chance[k]
        z = low + (high - low) * np.clip(want / (chance[k + 1] - chance[k]), 0.0, 1.0)
        sign = -1.0 if upper else 1.0
        for _ in range(_NEWTON_STEPS):
            ends = (sign * start, sign * z)
            got = self._within(*(ends[::-1] if upper else ends))
            low, high = np.where(got < want, z, low), np.where(got < want, high, z)
            slope = self._density(sign * z)
            step = z - (got - want) / np.where(slope > 0.0, slope, 1.0)
            inside = (step >= low) & (step <= high) & (slope > 0.0)
            new = np.where(inside, step, 0.5 * (low + high))
            if np.all(np.abs(got - want) <= _NOISE + _CLOSE * probability):
                return sign * z
            z = new
        return sign * z

    def quantile(self, probability: float) -> float:
        """Return the value with a chance below it.

        Parameters
        ----------
        probability : float
            Strictly between 0 and 1. [-]

        Returns
        -------
        float
        """
        upper = probability > 0.5
        p = np.array([1.0 - probability if upper else probability])
        log_t, log_u = _log_places(self._logits(p, upper=upper))
        width = self.prior.high - self.prior.low
        if upper:
            return float(self.prior.high - width * np.exp(log_u[0]))
        return float(self.prior.low + width * np.exp(log_t[0]))

    def mode(self) -> float:
        """Return the most likely value, to a thousandth of its spread or better."""
        low, high = float(self.edges[0]), float(self.edges[-1])
        width = self.prior.high - self.prior.low
        place = 0.0
        for _ in range(4):
            z = np.linspace(low, high, 801)
            log_t, log_u = _log_places(z)
            # By value, not by logit: less the logarithm of dt/dz = t (1 - t).
            logs = _log_density(self.prior, self.likelihood, z) - log_t - log_u
            best = int(np.argmax(logs))
            low, high = float(z[max(best - 1, 0)]), float(z[min(best + 1, 800)])
            place = float(np.exp(log_t[best]))
        return self.prior.low + width * place

    def table(self) -> Floats:
        """Return its table for `quantiles.table_quantile`, of the place in the range.

        Returns
        -------
        ndarray
            As `quantiles.pert_table`. [-]
        """
        nodes = table_nodes()
        halves = []
        for upper in (False, True):
            z = self._logits(nodes, upper=upper)
            log_t, log_u = _log_places(z)
            # dt/dp = t (1 - t) / density by logit.
            slope = np.exp(log_t + log_u) / np.maximum(self._density(z), 1e-300)
            halves.append((np.exp(log_u if upper else log_t), slope))
        return table_from(*halves)


def _log_density(prior: Prior, likelihood: LogLikelihood, z: Floats) -> Floats:
    """Return the logarithm of the density by logit, up to a constant."""
    log_t, log_u = _log_places(z)
    width = prior.high - prior.low
    value = np.where(z > 0.0, prior.high - width * np.exp(log_u), prior.low + width * np.exp(log_t))
    result = prior.alpha * log_t + prior.beta * log_u + likelihood(value)
    return np.where(np.isnan(result), -np.inf, result)


def _first_edges(prior: Prior, centres: Sequence[tuple[float, float]]) -> Floats:
    """Lay panels out evenly, and ever finer around the places where the records peak."""
    edges = [np.arange(-_REACH, _REACH + 0.5)]
    width = prior.high - prior.low
    for centre, reach in centres:
        place = (centre - prior.low) / width
        if not 0.0 < place < 1.0 or not reach > 0.0:
            continue
        z = np.log(place) - np.log1p(-place)
        scale = max(reach / width / (place * (1.0 - place)), 1e-13)
        steps = scale * 2.0 ** np.arange(-1.0, max(1.0, np.ceil(np.log2(2.0 / scale)) + 1.0))
        edges += [np.array([z]), z - steps, z + steps]
    return np.unique(np.clip(np.concatenate(edges), -_REACH, _REACH))


def _panels(prior: Prior, likelihood: LogLikelihood, edges: Floats) -> tuple[Floats, Floats]:
    """Return Gauss points, shape (panels, 16), and the logarithms of the density there."""
    half = 0.5 * np.diff(edges)
    z = edges[:-1, None] + half[:, None] * (1.0 + _rule()[0])
    return z, _log_density(prior, likelihood, z)


def weigh(
    prior: Prior, likelihood: LogLikelihood, centres: Sequence[tuple[float, float]]
) -> Posterior:
    """Weigh a guess by what was seen.

    Parameters
    ----------
    prior : Prior
        The guess.
    likelihood : callable
        Logarithm of the likelihood, of an array of values.
    centres : sequence of (float, float)
        Where the likelihood peaks, and how wide about, so that no peak is stepped over. [any]

    Returns
    -------
    Posterior
        Mean and quantiles within 1e-6 of the range, and mostly far closer.

    Notes
    -----
    Logarithms are taken less their maximum, so that a thousand events do not overflow. Panels
    are halved until halves add up to their whole within 1e-12.
    """
    edges = _first_edges(prior, centres)
    for _ in range(_ROUNDS):
        z, logs = _panels(prior, likelihood, edges)
        peak = float(logs.max())
        seen = np.flatnonzero(logs.max(axis=1) > peak - _NOTHING)
        edges = edges[max(seen[0] - 1, 0) : seen[-1] + 3]
        z, logs = _panels(prior, likelihood, edges)
        values = np.exp(logs - peak) * _rule()[1]
        mass = values.sum(axis=1) * 0.5 * np.diff(edges)
        middles = 0.5 * (edges[:-1] + edges[1:])
        fine = np.sort(np.concatenate([edges, middles]))
        halves = np.exp(_panels(prior, likelihood, fine)[1] - peak) * _rule()[1]
        parts = halves.sum(axis=1) * 0.5 * np.diff(fine)
        rough = np.abs(parts[::2] + parts[1::2] - mass) > _TOLERANCE * mass.sum()
        if not rough.any():
            break
        edges = np.sort(np.concatenate([edges, middles[rough]]))
    log_t, log_u = _log_places(z)
    width = prior.high - prior.low
    place = np.where(z > 0.0, -np.exp(log_u), np.exp(log_t))
    # From the nearer end, so that a value close to it keeps its digits.
    value = np.where(z > 0.0, prior.high, prior.low) + width * place
    total = float(mass.sum())
    half = 0.5 * np.diff(edges)[:, None]
    mean = float((values * value * half).sum() / total)
    below = np.concatenate([[0.0], np.cumsum(mass)]) / total
    above = np.concatenate([np.cumsum(mass[::-1])[::-1], [0.0]]) / total
    return Posterior(prior, likelihood, edges, peak, below, above, total, mean)


@lru_cache(maxsize=256)
def prior_points(prior: Prior) -> tuple[Floats, Floats]:
    """Return values of a guess and the weight of each, adding to one.

    Parameters
    ----------
    prior : Prior
        The guess.

    Returns
    -------
    (ndarray, ndarray), shape (points,)
        For means of smooth functions of it.
    """
    nothing = weigh(prior, np.zeros_like, [])
    edges = nothing.edges
    z, logs = _panels(prior, np.zeros_like, edges)
    weights = np.exp(logs - nothing.peak) * _rule()[1] * 0.5 * np.diff(edges)[:, None]
    values = prior.low + (prior.high - prior.low) * np.exp(_log_places(z)[0])
    return values.ravel(), (weights / nothing.mass).ravel()
