"""Series of flows made to have given rates of return, exactly."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

import numpy as np

from econ.ground.units import Floats

Rates = Sequence[Fraction]


def flows_with(rates: Rates, *, without: Iterable[int] = ()) -> Floats:
    """Return whole flows worth nothing at just these rates: a product of (d - n v), 1 + r = n / d.

    Each number in `without` adds a factor (number + v^2), which has no rate. Every flow is a
    whole number that a float holds exactly, or the call is refused.
    """
    flows = [1]
    for rate in rates:
        growth = 1 + rate
        flows = _times(flows, [growth.denominator, -growth.numerator])
    for number in without:
        flows = _times(flows, [number, 0, 1])
    assert max(abs(flow) for flow in flows) < 2**53
    return np.array(flows, dtype=np.float64)


def _times(left: list[int], right: list[int]) -> list[int]:
    product = [0] * (len(left) + len(right) - 1)
    for i, a in enumerate(left):
        for j, b in enumerate(right):
            product[i + j] += a * b
    return product


def rate_that_counts(rates: Iterable[Fraction]) -> float | None:
    """Return the only rate from 0 to 1,000 %, else the only one from -99 % to 0, else None."""
    distinct = set(rates)
    gains = [rate for rate in distinct if 0 <= rate <= 10]
    if gains:
        return float(gains[0]) if len(gains) == 1 else None
    losses = [rate for rate in distinct if Fraction(-99, 100) < rate < 0]
    return float(losses[0]) if len(losses) == 1 else None
