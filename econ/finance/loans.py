"""Loans paid back in level payments, by the functions of numpy-financial."""

import functools

import numpy as np

from econ.ground.units import Floats, Numeric, total


def level_payment(amount: Numeric, rate: Numeric, payments_per_year: int, years: int) -> Floats:
    """Work out the level payment that repays a loan.

    Without interest it is the amount divided by the number of payments.

    Parameters
    ----------
    amount : float or ndarray, shape (...,)
        Borrowed. [currency]
    rate : float or ndarray, shape (...,)
        Nominal yearly rate, charged in equal parts at each payment. [1/yr]
    payments_per_year : int
        At least one. [1/yr]
    years : int
        [yr]

    Returns
    -------
    ndarray, shape (...,)
        At the end of each period. [currency]

    Examples
    --------
    >>> float(level_payment(200_000.0, 0.075, 12, 15).round(4))
    1854.0247
    """
    # A decision without a loan does not wait for the library.
    import numpy_financial as npf

    each = np.asarray(rate, dtype=np.float64) / payments_per_year
    return np.asarray(-npf.pmt(each, payments_per_year * years, amount))


def interest_by_year(
    amount: Numeric, rate: Numeric, payments_per_year: int, years: int
) -> tuple[Floats, ...]:
    """Work out the interest in the payments of each year of a loan.

    Parameters
    ----------
    amount : float or ndarray, shape (...,)
        Borrowed. [currency]
    rate : float or ndarray, shape (...,)
        Nominal yearly rate. [1/yr]
    payments_per_year : int
        At least one. [1/yr]
    years : int
        [yr]

    Returns
    -------
    tuple of ndarray, one a year
        [currency]
    """
    if np.ndim(amount) == 0 and np.ndim(rate) == 0:
        return _interest_of_one(float(amount), float(rate), payments_per_year, years)
    return _interest(amount, rate, payments_per_year, years)


# The library is asked for every payment, and the terms of a loan stay while the farm changes.
@functools.lru_cache(maxsize=32)
def _interest_of_one(
    amount: float, rate: float, payments_per_year: int, years: int
) -> tuple[Floats, ...]:
    return _interest(amount, rate, payments_per_year, years)


def _interest(
    amount: Numeric, rate: Numeric, payments_per_year: int, years: int
) -> tuple[Floats, ...]:
    import numpy_financial as npf

    each = np.asarray(rate, dtype=np.float64) / payments_per_year
    count = payments_per_year * years
    result = []
    # Without interest the library divides by the rate before it takes the other branch.
    with np.errstate(all="ignore"):
        for year in range(years):
            periods = range(year * payments_per_year + 1, (year + 1) * payments_per_year + 1)
            paid = [npf.ipmt(each, period, count, amount) for period in periods]
            # Newer releases of the library answer plain numbers.
            result.append(total([-np.asarray(part) for part in paid]))
    return tuple(result)
