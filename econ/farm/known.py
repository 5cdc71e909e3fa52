"""What a guess has become once there are records of it, and the farm that knows it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> wage = Known(low=21.0, likely=22.0, high=25.0, mean=22.3, table=None)
>>> farm = load(demo_files()["wrenfold"])
>>> with_known(farm, {("labour", "wage"): wage}).known[("labour", "wage")].expected
22.3
"""

from collections.abc import Mapping
from typing import Any

from econ.farm.fields import Estimate
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.numbers.posterior import Posterior

# A learnt guess is swung between its 1-in-1,000 ends, as a guess is between low and high.
_END = 0.001


class Known(Estimate, frozen=True):
    """A guess weighed by records, in the file's units: read wherever its estimate would be.

    `low` and `high` are what it lies between in all but 2 of 1,000 cases, `likely` its most
    likely value.
    """

    mean: float
    table: Any
    """Quantiles of the place between low and high, for `quantiles.table_quantile`. [-]"""

    @property
    def expected(self) -> float:
        """Return the mean with the records in."""
        return self.mean


def known_from(posterior: Posterior, scale: float) -> Known:
    """Write a posterior as an estimate.

    Parameters
    ----------
    posterior : Posterior
        Of what the guess is about.
    scale : float
        The field itself is this times that; above 0. [any]

    Returns
    -------
    Known
    """
    prior = posterior.prior
    low, high = posterior.quantile(_END), posterior.quantile(1.0 - _END)
    table: Floats = posterior.table() * ((prior.high - prior.low) / (high - low))
    table[0] += (prior.low - low) / (high - low)
    return Known(
        low=scale * low,
        likely=scale * min(max(posterior.mode(), low), high),
        high=scale * high,
        mean=scale * posterior.mean,
        table=table,
    )


def pinned_at(value: float, like: Known) -> Known:
    """Hold a guess at one value, in all draws: another number carries what is known of both.

    Parameters
    ----------
    value : float
        [any]
    like : Known
        Whose table it takes; none of its numbers count.
    """
    return Known(low=value, likely=value, high=value, mean=value, table=like.table)


def with_known(scenario: Scenario, known: Mapping[tuple[str | int, ...], Known]) -> Scenario:
    """Return a farm that reads what is known now wherever its file has a guess.

    Parameters
    ----------
    scenario : Scenario
        As loaded; it stays as it is.
    known : mapping of path to Known
        In the file's units; without any, the farm is the same.

    Returns
    -------
    Scenario
        Expected values, draws and swings of it take what is known.
    """
    result = scenario.model_copy()
    result._known = dict(known)
    return result
