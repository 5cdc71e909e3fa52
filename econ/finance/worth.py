"""Discounting, returns, payback and depreciation, on arrays.

Flows have the years on the first axis: shape ``(years + 1, ...)``, year 0 undiscounted.
"""

import numpy as np

from econ.finance.rates import only_rate
from econ.ground.units import Floats, Numeric


def real_rate(nominal: Numeric, inflation: Numeric) -> Floats:
    """Return the rate without inflation, ``(1 + nominal) / (1 + inflation) - 1``.

    Parameters
    ----------
    nominal, inflation : float or ndarray, shape (...,)
        [1/yr]

    Returns
    -------
    ndarray, shape (...,)
        [1/yr]

    References
    ----------
    .. [1] Source key ``cfr_436``: exact form; extension bulletins subtract.
    """
    return np.asarray((1.0 + np.asarray(nominal)) / (1.0 + np.asarray(inflation)) - 1.0)


def recovery_factor(rate: Numeric, years: Numeric) -> Floats:
    """Return the level yearly payment that repays one unit of money.

    With a rate of zero this is ``1 / years``.

    Parameters
    ----------
    rate : float or ndarray, shape (...,)
        Yearly discount rate, above -1. [1/yr]
    years : float or ndarray, shape (...,)
        Number of payments, at least one. [yr]

    Returns
    -------
    ndarray, shape (...,)
        Payment per unit of money. [1/yr]

    Notes
    -----
    ``r / (1 - (1 + r)^-n)``, written with ``expm1`` and ``log1p`` so that tiny rates keep
    their digits [1]_.

    References
    ----------
    .. [1] Source key ``nist_hb135``.

    Examples
    --------
    >>> float(recovery_factor(0.0, 20.0))
    0.05
    >>> recovery_factor(np.array([0.03, 0.07]), 25.0).round(4)
    array([0.0574, 0.0858])
    """
    r = np.asarray(rate, dtype=np.float64)
    n = np.asarray(years, dtype=np.float64)
    # np.where works out both branches: keep the unused one finite.
    safe = np.where(r == 0.0, 1.0, r)
    paid = safe / -np.expm1(-n * np.log1p(safe))
    return np.where(r == 0.0, 1.0 / n, paid)


def present_value(flows: Floats, rate: Numeric) -> Floats:
    """Return the worth today of a series, year 0 undiscounted.

    Parameters
    ----------
    flows : ndarray, shape (years + 1, ...)
        [currency]
    rate : float or ndarray, shape (...,)
        [1/yr]

    Returns
    -------
    ndarray, shape (...,)
        [currency]

    Warnings
    --------
    A spreadsheet's NPV() discounts its first amount by one period; this does not.
    """
    factor = 1.0 / (1.0 + np.asarray(rate, dtype=np.float64))
    total = np.asarray(flows[-1], dtype=np.float64)
    for amount in flows[-2::-1]:
        total = total * factor + amount
    return total


def running_sum(series: Floats) -> Floats:
    """Add a series up year by year.

    Parameters
    ----------
    series : ndarray, shape (years + 1, ...)
        [currency]

    Returns
    -------
    ndarray, shape (years + 1, ...)
        [currency]
    """
    # Row by row: numpy's cumsum strides across draws and takes ten times as long.
    total = np.array(series, dtype=np.float64)
    for year in range(1, len(total)):
        total[year] += total[year - 1]
    return total


def irr(flows: Floats) -> Floats:
    """Return the only rate from 0 to 1,000 % a year that makes a series worth nothing.

    If there is none there, the only one between -99 % and 0; NaN if there is none or several,
    or if every flow is zero.

    Parameters
    ----------
    flows : ndarray, shape (years + 1, ...)
        [currency]

    Returns
    -------
    ndarray, shape (...,)
        [1/yr]

    Warnings
    --------
    A replacement or an exit cost can give a series several rates. Libraries and spreadsheets
    then return one of them, often the one nearest their guess; here the answer is NaN, because
    none of them says what the money earns. A rate met without being crossed counts once.

    References
    ----------
    .. [1] Source key ``astm_e1057``.

    Examples
    --------
    >>> float(irr(np.array([-100.0, 39.0, 59.0, 55.0, 20.0])).round(5))
    0.28095
    >>> float(irr(np.array([-1600.0, 10000.0, -10000.0])))
    nan
    """
    whole = np.asarray(flows, dtype=np.float64)
    return only_rate(whole.reshape(whole.shape[0], -1)).reshape(whole.shape[1:])


def mirr(flows: Floats, finance_rate: Numeric, reinvest_rate: Numeric) -> Floats:
    """Return the return with outlays brought to today and receipts carried to the end.

    NaN without both an outlay and a receipt.

    Parameters
    ----------
    flows : ndarray, shape (years + 1, ...)
        [currency]
    finance_rate, reinvest_rate : float or ndarray, shape (...,)
        Rates for outlays and for receipts. [1/yr]

    Returns
    -------
    ndarray, shape (...,)
        [1/yr]

    References
    ----------
    .. [1] Source key ``excel_mirr``.
    """
    years = len(flows) - 1
    outlays = -present_value(np.minimum(flows, 0.0), finance_rate)
    growth = (1.0 + np.asarray(reinvest_rate, dtype=np.float64)) ** years
    receipts = present_value(np.maximum(flows, 0.0), reinvest_rate) * growth
    both = (outlays > 0.0) & (receipts > 0.0)
    ratio = np.where(both, receipts, 1.0) / np.where(both, outlays, 1.0)
    return np.where(both, ratio ** (1.0 / years) - 1.0, np.nan)


def average_rate(ratio: Numeric, rate: Numeric, years: int) -> Floats:
    """Return the adjusted internal rate of return, ``(1 + rate) ratio^(1/years) - 1``.

    Parameters
    ----------
    ratio : float or ndarray, shape (...,)
        Savings-to-investment ratio; NaN or not positive gives NaN. [-]
    rate : float or ndarray, shape (...,)
        Discount rate. [1/yr]
    years : int
        [yr]

    Returns
    -------
    ndarray, shape (...,)
        [1/yr]

    References
    ----------
    .. [1] Source key ``cfr_436``, section 436.22.
    """
    r = np.asarray(ratio, dtype=np.float64)
    saves = r > 0.0
    root = np.where(saves, r, 1.0) ** (1.0 / years)
    return np.where(saves, (1.0 + np.asarray(rate)) * root - 1.0, np.nan)


def first_reach(running: Floats, target: Numeric) -> Floats:
    """Return the time at which a running sum first reaches a target, straight within the year.

    Parameters
    ----------
    running : ndarray, shape (years + 1, ...)
        Running sum at the end of each year, year 0 first. [currency]
    target : float or ndarray, shape (...,)
        [currency]

    Returns
    -------
    ndarray, shape (...,)
        NaN where it is not reached; 0 where it is reached at once. [yr]

    References
    ----------
    .. [1] Source key ``astm_e1121``.
    """
    goal = np.asarray(target, dtype=np.float64)
    shape = np.broadcast_shapes(np.shape(running[0]), goal.shape)
    result = np.where(running[0] >= goal, 0.0, np.full(shape, np.nan))
    for y in range(1, len(running)):
        crosses = np.isnan(result) & (running[y] >= goal)
        rise = np.where(crosses, running[y] - running[y - 1], 1.0)
        within = np.where(crosses, (goal - running[y - 1]) / rise, 0.0)
        result = np.where(crosses, y - 1.0 + within, result)
    return result


def stays_reached(running: Floats, target: Numeric) -> Floats:
    """Say whether a running sum, once at its target, never falls below it again.

    Parameters
    ----------
    running : ndarray, shape (years, ...)
        [currency]
    target : float or ndarray, shape (...,)
        [currency]

    Returns
    -------
    ndarray, shape (...,)
        1 where it stays, 0 where it falls again, NaN where it is never reached.
    """
    there = np.asarray(running) >= np.asarray(target)
    reached = np.zeros(there.shape[1:], dtype=bool)
    fell = np.zeros(there.shape[1:], dtype=bool)
    for now in there:
        fell |= reached & ~now
        reached |= now
    return np.where(reached, np.where(fell, 0.0, 1.0), np.nan)


# Half-year convention; irs_pub946, table A-1.
_MACRS = {
    "macrs 5": (0.2, 0.32, 0.192, 0.1152, 0.1152, 0.0576),
    "macrs 7": (0.1429, 0.2449, 0.1749, 0.1249, 0.0893, 0.0892, 0.0893, 0.0446),
}
DEPRECIATION = ("none", "expensed", "straight line", *_MACRS)


def depreciation_shares(method: str, life_years: int) -> tuple[float, ...]:
    """Return the share of the price deducted in each year after purchase.

    Parameters
    ----------
    method : str
        One of `DEPRECIATION`.
    life_years : int
        Life, for the straight line. [yr]

    Returns
    -------
    tuple of float
        Empty for "none". [-]

    Raises
    ------
    KeyError
        If the method is unknown.

    References
    ----------
    .. [1] Source key ``irs_pub946``, table A-1.
    """
    if method == "none":
        return ()
    if method == "expensed":
        return (1.0,)
    if method == "straight line":
        return (1.0 / life_years,) * life_years
    return _MACRS[method]
