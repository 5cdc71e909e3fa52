"""What one evaluation gives: frozen records of arrays in canonical units.

Shapes follow the inputs: ``()`` or ``(draws,)``. Undefined numbers are NaN.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["wrenfold"])))
>>> bool(outcome.per_year("time_free") >= outcome.per_year("time_paid"))
True
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.ground.units import Floats
from econ.model.inputs import Inputs

Codes = NDArray[np.int_]


class Blend(Struct, frozen=True):
    """What goes into one machine in one season (winter or the rest of the year)."""

    thinner_share: Floats
    """By volume; 0 where the thinner is too thick, and in `too_thick` so. [-]"""
    too_thick: NDArray[np.bool_]
    """Where even the thinner alone is over the limit: the machine burns pump fuel."""
    volume_per_replaced: Floats
    """Blend volume for each volume of pump fuel replaced (R). [-]"""


class Pool(Struct, frozen=True):
    """The clean oil, all sources together."""

    density: Floats
    heating_value: Floats
    w: tuple[Floats, Floats]
    """log10 log10 Z at the fuel temperature outside and in winter."""


class MachineYear(Struct, frozen=True):
    """One machine over one year. [L/yr], saving in [currency/yr]"""

    oil_used: Floats
    blend: Floats
    thinner: Floats
    fuel_replaced: Floats
    costs: dict[str, Floats]
    """By key of the cost lines that a machine bears. [currency/yr]"""
    saving: Floats
    """Fuel not bought less those costs."""


class OilYear(Struct, frozen=True):
    """One source over one year."""

    taken: Floats
    trips: Floats
    hours: Floats


class Flows(Struct, frozen=True):
    """Volumes and hours of one year, before any money."""

    oils: tuple[OilYear, ...]
    processed: Floats
    oil_used: tuple[Floats, ...]
    blend: tuple[Floats, ...]
    thinner: tuple[Floats, ...]
    fuel_replaced: tuple[Floats, ...]
    raw_start: Floats
    clean_start: Floats
    raw_end: Floats
    clean_end: Floats


class Month(Struct, frozen=True):
    """One month of the farm as a whole."""

    month: int
    wanted: Floats
    collected: Floats
    processed: Floats
    raw_end: Floats
    clean_end: Floats
    oil_used: Floats
    thinner: Floats
    blend: Floats
    fuel_replaced: Floats
    hours: Floats
    bottleneck: Codes
    """Index into `months.BOTTLENECKS`."""


class Year(Struct, frozen=True):
    """One year: volumes, costs by line, rungs and savings."""

    flows: Flows
    fuel: dict[str, Floats]
    costs: dict[str, Floats]
    per_blend: dict[str, Floats]
    per_replaced: dict[str, Floats]
    savings: dict[str, Floats]
    machines: tuple[MachineYear, ...]
    months: tuple[Month, ...]
    """Twelve months, or none where they were not asked for."""


class Ledger(Struct, frozen=True):
    """One way of counting the years; series have the years 0..N on the first axis.

    Notes
    -----
    ``savings[y] = fuel_like[y] * path[y] + other[y]`` and, before the last year, ``flows[y] =
    savings[y] - bought[y] + resale[y]``; the last one has ``recovered`` and the exit besides.
    With these pieces a rule for stopping needs no second run of the model.
    """

    rate: Floats
    """Discount rate. [1/yr]"""
    real_rate: Floats
    """The same without inflation. [1/yr]"""
    years: int
    kit_cost: Floats
    """All kit at its first purchase, contingency included."""
    lines: dict[str, tuple[Floats, ...]]
    """Flow lines of this ledger by key, each with the years 0..N; they add up to `flows`."""
    fuel_like: Floats
    """Fuel not bought less thinner after tax, had prices only grown evenly; 0 in year 0."""
    other: Floats
    """All else in the yearly saving: other costs, own labour, depreciation's tax; after tax."""
    path: tuple[Floats, ...]
    """What moves each year's fuel-like prices beside even growth, years 0..N; ones. [-]"""
    savings: Floats
    """Yearly saving after tax; 0 in year 0."""
    bought: Floats
    """Replacements bought."""
    resale: Floats
    """After-tax resale when an item is replaced."""
    recovered: Floats
    """After-tax resale of all kit in hand, were the plan stopped at the end of each year."""
    exit_if_stopped: Floats
    """After-tax exit cost, were the plan stopped at the end of each year."""
    flows: Floats
    """All money in and out."""
    fuel_worth: Floats
    """Present value of fuel not bought less thinner, after tax, the path of prices in it."""
    mean_price: Floats
    """Mean price of the fuel replaced in the typical year; NaN where none is. [currency/L]"""


class LedgerResult(Struct, frozen=True):
    """A ledger with its measures."""

    ledger: Ledger
    measures: dict[str, Floats]


class Outcome(Struct, frozen=True):
    """The whole answer for one set of inputs."""

    inputs: Inputs
    pool: Pool
    blends: tuple[tuple[Blend, Blend], ...]
    """By machine: outside winter, in winter."""
    burn_order: tuple[int, ...]
    first_year: Year
    typical: Year
    kit_cost: Floats
    kit_to_buy: Floats
    pay_per_hour: Floats
    """Pay of one's own hours at which time_paid is worth nothing; NaN without. [currency/h]"""
    tax_and_timing: dict[str, Floats]
    """By ledger: worth a year less the typical year's last saving. [currency/yr]"""
    ledgers: dict[str, LedgerResult]

    def per_year(self, ledger: str) -> Floats:
        """Say what the plan is worth a year by one ledger, in today's money.

        Plans, thinners, sources and sizes are ranked by it, one's time paid unless said.

        Parameters
        ----------
        ledger : str
            Key of `econ.model.ledger.LEDGERS`.

        Returns
        -------
        ndarray, shape (...,)
            Equivalent annual worth. [currency/yr]
        """
        return self.ledgers[ledger].measures["equivalent_annual"]
