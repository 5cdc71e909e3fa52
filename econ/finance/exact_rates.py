"""The same rule as `econ.finance.rates` in whole numbers, for a series whose signs rounding hides.

Floating-point flows are fractions, so nothing is lost: with x = 1 + r the series is a polynomial
with whole coefficients, its roots between two bounds are counted by Sturm's theorem, and a root
is found by the exact sign of the polynomial. That takes milliseconds a series, so `rates` asks
here only where a root lies on a bound, or two too near each other for rounding to part.
"""

from fractions import Fraction
from itertools import pairwise
from math import gcd, nan

# Coefficients of 1, x, x^2 and so on; the last is not zero.
Polynomial = list[int]

_LEAST, _LEVEL, _MOST = Fraction(1, 100), Fraction(1), Fraction(11)


def only_exact_rate(flows: list[float]) -> float:
    """Return the only rate in [0, 10], else the only one in (-0.99, 0), else NaN.

    A rate at which the series touches zero without crossing it counts once.

    Parameters
    ----------
    flows : list of float, years + 1
        [currency]

    Returns
    -------
    float
        [1/yr]

    Notes
    -----
    Sturm's theorem: of a polynomial without repeated roots, the distinct roots in (a, b] are as
    many as its chain loses changes of sign from a to b.

    Examples
    --------
    >>> round(only_exact_rate([-100.0, 240.0, -144.0]), 12)
    0.2
    >>> only_exact_rate([-4.0, 5.0, -1.0])
    0.0
    """
    series = _whole(flows)
    if len(series) < 2:
        return nan
    chain = _sturm_chain(series)
    if len(chain[-1]) > 1:
        # The last link is shared with the slope: dividing by it leaves each root once.
        series = _quotient(series, chain[-1])
        chain = _sturm_chain(series)
    least, level, most = (_changes(chain, x) for x in (_LEAST, _LEVEL, _MOST))
    gains = level - most + (_sign(series, _LEVEL) == 0)
    if gains == 1:
        return _root(series, _LEVEL, _MOST) - 1.0
    if gains == 0 and least - level == 1:
        return _root(series, _LEAST, _LEVEL) - 1.0
    return nan


def _whole(flows: list[float]) -> Polynomial:
    """Return the series as whole coefficients of powers of x = 1 + r, roots at x = 0 left out."""
    parts = [flow.as_integer_ratio() for flow in reversed(flows)]
    shared = max(divisor for _, divisor in parts)
    whole = [number * (shared // divisor) for number, divisor in parts]
    first = next((k for k, c in enumerate(whole) if c), len(whole))
    return _reduced(whole[first:])


def _reduced(polynomial: Polynomial) -> Polynomial:
    """Drop zeros at the top and the factor that all coefficients share."""
    while polynomial and polynomial[-1] == 0:
        polynomial = polynomial[:-1]
    shared = gcd(*polynomial) if polynomial else 1
    return [c // shared for c in polynomial]


def _sturm_chain(polynomial: Polynomial) -> list[Polynomial]:
    chain = [polynomial, _reduced([k * c for k, c in enumerate(polynomial)][1:])]
    while len(chain[-1]) > 1:
        rest = _negated_remainder(chain[-2], chain[-1])
        if not rest:
            break
        chain.append(rest)
    return chain


def _negated_remainder(dividend: Polynomial, divisor: Polynomial) -> Polynomial:
    """Return minus the remainder, up to a positive factor: a chain needs only signs."""
    rest = list(dividend)
    lead = abs(divisor[-1])
    side = 1 if divisor[-1] > 0 else -1
    while len(rest) >= len(divisor):
        top, shift = side * rest[-1], len(rest) - len(divisor)
        rest = [c * lead for c in rest]
        for k, c in enumerate(divisor):
            rest[shift + k] -= top * c
        rest.pop()
    return _reduced([-c for c in rest])


def _quotient(dividend: Polynomial, divisor: Polynomial) -> Polynomial:
    """Divide without remainder, up to a factor."""
    rest = [Fraction(c) for c in dividend]
    result: list[Fraction] = []
    while len(rest) >= len(divisor):
        factor, shift = rest[-1] / divisor[-1], len(rest) - len(divisor)
        result.insert(0, factor)
        for k, c in enumerate(divisor):
            rest[shift + k] -= factor * c
        rest.pop()
    shared = 1
    for factor in result:
        shared *= factor.denominator // gcd(shared, factor.denominator)
    return _reduced([int(factor * shared) for factor in result])


def _sign(polynomial: Polynomial, x: Fraction) -> int:
    total, scale = 0, 1
    for c in reversed(polynomial):
        total = total * x.numerator + c * scale
        scale *= x.denominator
    return (total > 0) - (total < 0)


def _changes(chain: list[Polynomial], x: Fraction) -> int:
    signs = [sign for sign in (_sign(link, x) for link in chain) if sign]
    return sum(a != b for a, b in pairwise(signs))


def _root(polynomial: Polynomial, low: Fraction, high: Fraction) -> float:
    """Find the one root in an interval, its bounds of whole rates included, to the last digit."""
    for bound in (_LEVEL, _MOST):
        if bound in (low, high) and _sign(polynomial, bound) == 0:
            return float(bound)
    end = _sign(polynomial, high)
    a, b = float(low), float(high)
    while True:
        middle = 0.5 * (a + b)
        if middle in (a, b):
            return middle
        side = _sign(polynomial, Fraction(middle))
        if side == 0:
            return middle
        a, b = (a, middle) if side == end else (middle, b)
