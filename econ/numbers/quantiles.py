"""Quantiles by table: modified PERT and the normal distribution, in plain NumPy.

A million draws need some hundred million PERT quantiles. The inverse of the incomplete beta
function costs over a microsecond each; a table indexed by the bits of the probability costs a
few nanoseconds and is within 3e-8 of the range, tails included, which a test holds against
`scipy`. Nothing here imports `scipy`, as that alone takes longer than a decision.
"""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from econ.ground.units import Floats

# Cells per octave of the probability: the top four bits of its mantissa.
_MANTISSA_BITS = 4
_SHIFT = 52 - _MANTISSA_BITS
_LEAST = 2.0**-31
_UNDER_HALF = float(np.nextafter(0.5, 0.0))
_OCTAVES = 30
_CELLS = _OCTAVES << _MANTISSA_BITS
_FIRST_CELL = int(np.float64(_LEAST).view(np.int64)) >> _SHIFT
# Modified PERT with shape 4: alpha + beta = 6.
_SHAPE = 4.0
_TERMS = 44
_NEWTON_STEPS = 4
# Points in the likely value's place between low and high, from which any other is interpolated.
_PLACES = 20


@lru_cache(maxsize=1)
def _nodes() -> Floats:
    """Return the left ends of all cells and the last right end, from 2^-31 to 1/2."""
    bits = (np.arange(_CELLS + 1, dtype=np.int64) + _FIRST_CELL) << _SHIFT
    bits.flags.writeable = False
    return bits.view(np.float64)


def _beta(alpha: float) -> float:
    """Return the beta function B(alpha, 6 - alpha)."""
    return math.gamma(alpha) * math.gamma(6.0 - alpha) / math.gamma(6.0)


def _lower(alpha: Floats, x: Floats, whole: Floats) -> Floats:
    """Return the regularised incomplete beta by its series, x <= 1/2; `whole` is B(alpha, beta)."""
    beta = 6.0 - alpha
    term = np.ones_like(x)
    total = np.ones_like(x) / alpha
    share = np.empty_like(x)
    for n in range(1, _TERMS):
        term *= x
        term *= (n - beta) / n
        total += np.divide(term, alpha + n, out=share)
    return total * x**alpha / whole


def _cumulative(alpha: Floats, x: Floats, whole: Floats) -> Floats:
    """Return I_x(alpha, 6 - alpha) for any x in (0, 1); B(alpha, beta) is B(beta, alpha)."""
    low = x <= 0.5
    part = _lower(np.where(low, alpha, 6.0 - alpha), np.where(low, x, 1.0 - x), whole)
    return np.where(low, part, 1.0 - part)


def _density(alpha: Floats | float, x: Floats, whole: Floats | float) -> Floats:
    """Return the density of beta(alpha, 6 - alpha)."""
    return x ** (alpha - 1.0) * (1.0 - x) ** (5.0 - alpha) / whole


def _solve(alpha: Floats, probability: Floats) -> Floats:
    """Invert the cumulative of each row's alpha, shape (n, 1), by Newton steps in the logarithm.

    The logarithm of the cumulative is concave in log x and the start lies below the root, so
    every step comes nearer from below.
    """
    log_p = np.log(probability)
    whole: Floats = np.array([[_beta(a)] for a in alpha.ravel().tolist()])
    y = (log_p + np.log(alpha * whole)) / alpha
    for _ in range(_NEWTON_STEPS):
        x = np.exp(y)
        held = _cumulative(alpha, x, whole)
        y = y - (np.log(held) - log_p) * held / (x * _density(alpha, x, whole))
        y = np.minimum(y, -1e-16)
    return np.exp(y)


@lru_cache(maxsize=1)
def _places() -> tuple[Floats, Floats, Floats]:
    """Solve the lower half at Chebyshev places: (places, barycentric weights, log quantiles)."""
    k = np.arange(_PLACES)
    places: Floats = np.asarray(0.5 - 0.5 * np.cos(np.pi * k / (_PLACES - 1)))
    weights: Floats = np.asarray((-1.0) ** k, dtype=np.float64)
    weights[[0, -1]] *= 0.5
    alpha = (1.0 + _SHAPE * places)[:, None]
    return places, weights, np.asarray(np.log(_solve(alpha, _nodes())))


def _half(place: float) -> tuple[Floats, Floats]:
    """Return quantiles and their slopes at the nodes of the lower half, for one likely place."""
    places, weights, logs = _places()
    gap = place - places
    if gap.all():
        pull = weights / gap
        x = np.minimum(np.exp(pull @ logs / pull.sum()), 1.0)
    else:
        x = np.exp(logs[int(np.abs(gap).argmin())])
    alpha = 1.0 + _SHAPE * place
    return x, 1.0 / _density(alpha, x, _beta(alpha))


def _cubics(x: Floats, slope: Floats) -> Floats:
    """Return the cubic of each cell through its ends' values and slopes, shape (4, cells)."""
    nodes = _nodes()
    return _hermite_cubics(x, slope, nodes[1:] - nodes[:-1])


def _hermite_cubics(x: Floats, slope: Floats, width: Floats | float) -> Floats:
    """Return the cubics of cells so wide through values and slopes, shape (4, cells)."""
    start, end = slope[:-1], slope[1:]
    rise = (x[1:] - x[:-1]) / width
    result = np.empty((4, rise.size))
    result[0] = x[:-1]
    result[1] = start
    result[2] = (3.0 * rise - 2.0 * start - end) / width
    result[3] = (start + end - 2.0 * rise) / width**2
    return result


@lru_cache(maxsize=4096)
def pert_table(place: float) -> Floats:
    """Return the table of one modified-PERT shape.

    Parameters
    ----------
    place : float
        (likely - low) / (high - low), from 0 to 1. [-]

    Returns
    -------
    ndarray, shape (4, 2 * cells)
        Coefficients of the cells of the lower half, then of the upper. [-]
    """
    result = np.empty((4, 2 * _CELLS))
    result[:, :_CELLS] = _cubics(*_half(place))
    high = result[:, _CELLS:]
    np.negative(_cubics(*_half(1.0 - place)), out=high)
    high[0] += 1.0
    return result


def table_nodes() -> Floats:
    """Return the probabilities at which a table of one's own needs quantiles.

    Returns
    -------
    ndarray, shape (cells + 1,)
        From 2^-31 to 1/2, of the lower half and, mirrored, of the upper. [-]
    """
    return _nodes()


def _steady(x: Floats, slope: Floats) -> Floats:
    """Hold slopes to what keeps every cubic rising: thrice the lesser rise beside a node."""
    rise = np.diff(x) / np.diff(_nodes())
    least = np.minimum(np.append(rise, rise[-1]), np.insert(rise, 0, rise[0]))
    return np.clip(slope, 0.0, 3.0 * least)


def table_from(low: tuple[Floats, Floats], high: tuple[Floats, Floats]) -> Floats:
    """Make a table of any distribution on [0, 1] from its quantiles.

    Parameters
    ----------
    low : (ndarray, ndarray), shape (cells + 1,)
        Quantiles at `table_nodes` and their slopes by probability. [-]
    high : (ndarray, ndarray), shape (cells + 1,)
        One less the quantiles at one less the nodes, and their slopes. [-]

    Returns
    -------
    ndarray, shape (4, 2 * cells)
        For `table_quantile`; it never falls as the probability rises. [-]
    """
    lower = _cubics(low[0], _steady(*low))
    upper = -_cubics(high[0], _steady(*high))
    upper[0] += 1.0
    return np.concatenate([lower, upper], axis=1)


@lru_cache(maxsize=1)
def normal_table() -> Floats:
    """Return the table of the standard normal distribution, for `table_quantile`.

    Returns
    -------
    ndarray, shape (4, 2 * cells)
        [-]
    """
    z = normal_quantile(_nodes())
    low = _cubics(z, np.sqrt(2.0 * np.pi) * np.exp(0.5 * z * z))
    return np.concatenate([low, -low], axis=1)


def table_quantile(probability: Floats, table: Floats) -> Floats:
    """Return quantiles from a table: of a modified PERT on [0, 1], or of the normal.

    Parameters
    ----------
    probability : ndarray, shape (...,)
        Strictly between 0 and 1. [-]
    table : ndarray, shape (4, cells)
        From `pert_table` or `normal_table`. [-]

    Returns
    -------
    ndarray, shape (...,)
        [-]

    References
    ----------
    .. [1] Source key ``pert``: beta distribution with alpha = 1 + 4 m, beta = 5 - 4 m.
    """
    # Written in place, as a pass over a block that makes no new array costs half as much.
    first = np.asarray(0.5 - probability).view(np.int64)
    # All bits of the sign, so that the upper half's cells come after the lower one's.
    first >>= 63
    first &= _CELLS
    first -= _FIRST_CELL
    t = np.asarray(1.0 - probability)
    np.minimum(t, probability, out=t)
    # One half belongs to the last cell, as its right end.
    np.clip(t, _LEAST, _UNDER_HALF, out=t)
    cell = t.view(np.int64) >> _SHIFT
    t -= (cell << _SHIFT).view(np.float64)
    cell += first
    return _cubic(table, cell, t)


def _cubic(cubics: Floats, cell: NDArray[np.int64], along: Floats) -> Floats:
    """Return each cell's cubic so far along it. All cells are there: none is looked for."""
    result: Floats = cubics[3].take(cell, mode="clip")
    for power in (2, 1, 0):
        result *= along
        result += cubics[power].take(cell, mode="clip")
    return result


# Rational approximations of M. J. Wichura, Algorithm AS 241 (PPND16), Applied Statistics 37
# (1988) 477-484: numerators and denominators by rising power.
_CENTRE = (
    (
        3.3871328727963666080,
        1.3314166789178437745e2,
        1.9715909503065514427e3,
        1.3731693765509461125e4,
        4.5921953931549871457e4,
        6.7265770927008700853e4,
        3.3430575583588128105e4,
        2.5090809287301226727e3,
    ),
    (
        1.0,
        4.2313330701600911252e1,
        6.8718700749205790830e2,
        5.3941960214247511077e3,
        2.1213794301586595867e4,
        3.9307895800092710610e4,
        2.8729085735721942674e4,
        5.2264952788528545610e3,
    ),
)
_MIDDLE = (
    (
        1.42343711074968357734,
        4.63033784615654529590,
        5.76949722146069140550,
        3.64784832476320460504,
        1.27045825245236838258,
        2.41780725177450611770e-1,
        2.27238449892691845833e-2,
        7.74545014278341407640e-4,
    ),
    (
        1.0,
        2.05319162663775882187,
        1.67638483018380384940,
        6.89767334985100004550e-1,
        1.48103976427480074590e-1,
        1.51986665636164571966e-2,
        5.47593808499534494600e-4,
        1.05075007164441684324e-9,
    ),
)
_TAIL = (
    (
        6.65790464350110377720,
        5.46378491116411436990,
        1.78482653991729133580,
        2.96560571828504891230e-1,
        2.65321895265761230930e-2,
        1.24266094738807843860e-3,
        2.71155556874348757815e-5,
        2.01033439929228813265e-7,
    ),
    (
        1.0,
        5.99832206555887937690e-1,
        1.36929880922735805310e-1,
        1.48753612908506148525e-2,
        7.86869131145613259100e-4,
        1.84631831751005468180e-5,
        1.42151175831644588870e-7,
        2.04426310338993978564e-15,
    ),
)


def _horner(x: Floats, coefficients: tuple[float, ...]) -> Floats:
    """Return a polynomial by its coefficients, lowest power first."""
    result: Floats = np.full_like(x, coefficients[-1])
    for coefficient in coefficients[-2::-1]:
        result = result * x + coefficient
    return result


def _ratio(pair: tuple[tuple[float, ...], tuple[float, ...]], x: Floats) -> Floats:
    top, bottom = (_horner(x, coefficients) for coefficients in pair)
    return np.asarray(top / bottom)


def normal_quantile(probability: Floats) -> Floats:
    """Return quantiles of the standard normal distribution.

    Parameters
    ----------
    probability : ndarray, shape (...,)
        Strictly between 0 and 1. [-]

    Returns
    -------
    ndarray, shape (...,)
        [-]

    References
    ----------
    .. [1] Source key ``wichura_1988``, algorithm PPND16.

    Examples
    --------
    >>> normal_quantile(np.array([0.5, 0.975])).round(4)
    array([0.  , 1.96])
    """
    q = probability - 0.5
    centre = q * _ratio(_CENTRE, 0.180625 - np.clip(q * q, 0.0, 0.180625))
    r = np.sqrt(-np.log(np.minimum(probability, 1.0 - probability)))
    middle = _ratio(_MIDDLE, np.clip(r, 1.6, 5.0) - 1.6)
    tail = _ratio(_TAIL, np.maximum(r, 5.0) - 5.0)
    outside = np.where(r <= 5.0, middle, tail) * np.sign(q)
    return np.where(np.abs(q) <= 0.425, centre, outside)


def levels_of(values: Floats, levels: Sequence[float]) -> Floats:
    """Return quantiles of given values, straight between the two nearest.

    Written out, as numpy's own imports its masked arrays, which take as long as all levels of
    a decision.

    Parameters
    ----------
    values : ndarray, shape (..., n)
        Without NaN; n from 1. [any]
    levels : sequence of float
        From 0 to 1. [-]

    Returns
    -------
    ndarray, shape (levels, ...)
    """
    last = values.shape[-1] - 1
    places = [level * last for level in levels]
    below = [int(place) for place in places]
    above = [min(k + 1, last) for k in below]
    ordered = np.partition(values, sorted({*below, *above}), axis=-1)
    return np.stack(
        [
            ordered[..., k] + (ordered[..., j] - ordered[..., k]) * (place - k)
            for k, j, place in zip(below, above, places, strict=True)
        ]
    )


def normal_score(probability: Floats) -> Floats:
    """Return the normal score of probabilities that may lie on 0 or 1.

    Parameters
    ----------
    probability : ndarray, shape (n,)
        Between 0 and 1. [-]

    Returns
    -------
    ndarray, shape (n,)
        Six standard deviations from the mean at most. [-]
    """
    return table_quantile(np.clip(probability, 1e-9, 1.0 - 1e-9), normal_table())


def hermite(score: Floats) -> Floats:
    """Return polynomials of a normal score that are uncorrelated on average.

    Parameters
    ----------
    score : ndarray, shape (n,)
        [-]

    Returns
    -------
    ndarray, shape (4, n)
        1, z, z^2 - 1, z^3 - 3 z: mean squares 1, 1, 2, 6. [-]
    """
    square = score * score
    return np.stack([np.ones_like(score), score, square - 1.0, (square - 3.0) * score])


_NORMAL_REACH = 9.0
_NORMAL_CELLS = 8192


@lru_cache(maxsize=1)
def _normal_cubics() -> Floats:
    """Return cubics of the cumulative normal on even cells, shape (4, cells)."""
    z = np.linspace(-_NORMAL_REACH, _NORMAL_REACH, _NORMAL_CELLS + 1)
    value = 0.5 * np.array(list(map(math.erfc, (-z / math.sqrt(2.0)).tolist())))
    slope = np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)
    return _hermite_cubics(value, slope, 2.0 * _NORMAL_REACH / _NORMAL_CELLS)


def normal_cumulative(z: Floats) -> Floats:
    """Return the standard normal distribution function, within 1e-12.

    Parameters
    ----------
    z : ndarray, shape (...,)
        [-]

    Returns
    -------
    ndarray, shape (...,)
        Strictly between 0 and 1. [-]
    """
    cubics = _normal_cubics()
    width = 2.0 * _NORMAL_REACH / _NORMAL_CELLS
    place = np.asarray(np.clip(z, -_NORMAL_REACH, _NORMAL_REACH))
    place += _NORMAL_REACH
    place /= width
    cell = np.floor(place)
    np.minimum(cell, _NORMAL_CELLS - 1.0, out=cell)
    place -= cell
    place *= width
    result = np.asarray(_cubic(cubics, cell.astype(np.int64), place))
    return np.clip(result, 1e-19, 1.0 - 1e-16, out=result)
