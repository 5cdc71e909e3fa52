"""Fuel prices from year to year: a walk of the price's logarithm that keeps its mean.

A price in a farm file is today's. Year y's fuel and thinner are multiplied by
``m_y = exp(x_y - Var(x_y)/2)`` with ``x_0 = 0`` and ``x_y = (1 - pull) x_{y-1} + swing e_y``,
``e_y`` independent standard normal: the mean of every ``m_y`` is one, so that a plan whose
volumes are held is worth as much on average as with prices that hold still.

>>> round(PricePath(swing=0.1, pull=0.0, years=10).variance(10), 12)
0.1
"""

import numpy as np
from msgspec import Struct

from econ.ground.units import Floats


class PricePath(Struct, frozen=True):
    """How far fuel prices wander, and for how many years."""

    swing: float
    """Standard deviation of the yearly change of the logarithm. [1/yr]"""
    pull: float
    """Share of the distance to today's price that closes each year. [-]"""
    years: int

    @property
    def dimensions(self) -> int:
        """Return the independent scores one path takes: one a year, none where prices hold."""
        return self.years if self.swing > 0.0 else 0

    def variance(self, years: int) -> float:
        """Return the variance of the logarithm after so many years.

        Parameters
        ----------
        years : int
            From a year in which the price is known.

        Returns
        -------
        float
            swing^2 times the sum of (1 - pull)^(2k) for k below `years`. [-]
        """
        kept = (1.0 - self.pull) ** 2
        return self.swing**2 * sum(kept**k for k in range(years))

    def states(self, steps: Floats) -> Floats:
        """Return the logarithm's wandering by year.

        Parameters
        ----------
        steps : ndarray, shape (years, n)
            Standard normal, one a year. [-]

        Returns
        -------
        ndarray, shape (years + 1, n)
            Today's zero first. [-]
        """
        result = np.zeros((self.years + 1, steps.shape[1]))
        for year in range(1, self.years + 1):
            result[year] = (1.0 - self.pull) * result[year - 1] + self.swing * steps[year - 1]
        return result

    def multipliers(self, states: Floats) -> Floats:
        """Return what each year's price is multiplied by.

        Parameters
        ----------
        states : ndarray, shape (years + 1, n)
            From `states`. [-]

        Returns
        -------
        ndarray, shape (years + 1, n)
            Mean one in every year; exactly one today. [-]
        """
        lift = np.array([0.5 * self.variance(year) for year in range(self.years + 1)])
        return np.asarray(np.exp(states - lift[:, None]))

    def expected(self, states: Floats, later: int) -> Floats:
        """Return the mean of a later year's multiplier, seen from each year before it.

        Parameters
        ----------
        states : ndarray, shape (k, n)
            Of years 1 to k, all before `later`. [-]
        later : int
            The year looked at, above k.

        Returns
        -------
        ndarray, shape (k, n)
            exp((1 - pull)^(later - y) x_y + (Var(x_later | x_y) - Var(x_later))/2). [-]
        """
        ahead = later - np.arange(1, len(states) + 1)
        kept = (1.0 - self.pull) ** ahead
        lift = [0.5 * (self.variance(int(k)) - self.variance(later)) for k in ahead]
        return np.asarray(np.exp(kept[:, None] * states + np.array(lift)[:, None]))

    def covariance(self) -> Floats:
        """Return the covariance of the multipliers of years 0 to the last.

        Returns
        -------
        ndarray, shape (years + 1, years + 1)
            exp(Cov(x_y, x_z)) - 1, with Cov = (1 - pull)^|z - y| Var(x_min(y, z)). [-]
        """
        years = range(self.years + 1)
        logs = [
            [(1.0 - self.pull) ** abs(z - y) * self.variance(min(y, z)) for z in years]
            for y in years
        ]
        return np.asarray(np.expm1(np.array(logs)))
