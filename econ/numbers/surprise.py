"""How likely a record as far off as one that was seen would be, if the guess were right."""

import math

import numpy as np

from econ.ground.units import Floats
from econ.numbers.posterior import Prior, Ratios, prior_points


def _poisson_below(most: int, mean: Floats) -> Floats:
    """Return the chance of at most `most` events."""
    total = np.zeros_like(mean)
    with np.errstate(divide="ignore"):
        log_mean = np.log(mean)
    for k in range(most + 1):
        log = (k * log_mean if k else 0.0) - mean - math.lgamma(k + 1.0)
        total = total + np.exp(log)
    return np.minimum(total, 1.0)


def count_chance(prior: Prior, count: float, exposure: float) -> float:
    """Return the chance of a count at least as far from the guess's mean.

    Parameters
    ----------
    prior : Prior
        The guess of a rate.
    count : float
        Events seen. [-]
    exposure : float
        Over how much, in the unit that the rate is per. [any]

    Returns
    -------
    float
        Under a Poisson count whose rate is the guess. [-]
    """
    middle = prior.mean * exposure
    # A hair less, so that the count itself is among those as far away.
    away = abs(count - middle) * (1.0 - 1e-12)
    rates, weights = prior_points(prior)
    most, least = math.floor(middle - away), math.ceil(middle + away)
    chance = 1.0 - (_poisson_below(least - 1, rates * exposure) if least > 0 else 0.0)
    if most >= 0:
        chance = chance + _poisson_below(most, rates * exposure)
    return float(np.clip((weights * chance).sum(), 0.0, 1.0))


def student_within(t: Floats, degrees: int) -> Floats:
    """Return the chance that Student's t lies within plus or minus a bound.

    Parameters
    ----------
    t : ndarray, shape (...,)
        Bound, from 0. [-]
    degrees : int
        Of freedom, from 1. [-]

    Returns
    -------
    ndarray, shape (...,)
        [-]

    References
    ----------
    .. [1] Source key ``abramowitz_stegun``, equations 26.7.3 and 26.7.4.

    Examples
    --------
    >>> float(student_within(np.asarray(1.0), 1).round(12))
    0.5
    """
    angle = np.arctan2(t, math.sqrt(degrees))
    cosine, sine = np.cos(angle), np.sin(angle)
    odd = degrees % 2 == 1
    term = cosine if odd else np.ones_like(cosine)
    total = np.zeros_like(cosine) if degrees == 1 else term.copy()
    for k in range(3 if odd else 2, degrees - 1, 2):
        term = term * cosine * cosine * ((k - 1) / k)
        if not term.max() > 1e-18:
            break
        total = total + term
    if odd:
        return np.asarray(2.0 / math.pi * (angle + sine * total))
    return np.asarray(sine * total)


def ratio_chance(prior: Prior, ratios: Ratios) -> float:
    """Return the chance of a ratio at least as far from the guess's mean.

    Parameters
    ----------
    prior : Prior
        The guess.
    ratios : Ratios
        What was seen.

    Returns
    -------
    float
        Under the same likelihood, which is Student's t with as many degrees of freedom as
        there are ratios, about a value of the guess. [-]
    """
    values, weights = prior_points(prior)
    scale = ratios.spread(prior) / math.sqrt(ratios.count)
    away = abs(ratios.mean - prior.mean)

    def above(bound: Floats) -> Floats:
        half = 0.5 * (1.0 - student_within(np.abs(bound), ratios.count))
        return np.where(bound >= 0.0, half, 1.0 - half)

    high = above((prior.mean + away - values) / scale)
    low = above((values - prior.mean + away) / scale)
    return float(np.clip((weights * (high + low)).sum(), 0.0, 1.0))
