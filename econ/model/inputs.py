"""What one evaluation needs: frozen records of numbers in canonical units.

Every number is a float64 array of shape ``()`` for one scenario or ``(draws,)`` for a batch,
and the two may stand side by side: ordinary broadcasting brings them together. Entries of a
list (machines, oils, kit) are tuples. Canonical units: litre, kilometre, hour, kilowatt-hour,
degree Celsius, kg/L, MJ/L (lower heating value), cSt, the file's currency.
"""

import numpy as np
from msgspec import Struct, field

from econ.fuel.fitness import Fit
from econ.ground.units import Floats


def _none() -> Floats:
    return np.zeros(())


class WearPart(Struct, frozen=True):
    """One part that wears faster on blend."""

    part: str
    cost: Floats
    """Replacement with downtime. [currency]"""
    failures: Floats
    """Expected extra replacements per litre of used oil burned. [1/L]"""


class MachineInputs(Struct, frozen=True):
    """One machine: what it burns in a year and the blend it would get."""

    name: str
    engine: str
    replaces: str
    fit: Fit
    fuel_per_year: Floats
    """Pump fuel burned in a year without any blend. [L/yr]"""
    use_by_month: tuple[float, ...]
    """Twelve shares of the year's fuel, summing to one. [-]"""
    blend_months: tuple[bool, ...]
    """Twelve flags: the months in which it may burn blend."""
    blend_share: Floats
    """Share of its fuel replaced in its blend months; 0 when excluded. [-]"""
    road_share: Floats
    """Share of its fuel burned on public roads. [-]"""
    use_factor: Floats
    """Fuel for the same work on clean oil alone, beyond energy content. [-]"""
    thinner: int | None
    """Index of its thinner, or None for clean oil alone."""
    thinner_share: Floats | None
    """Thinner by volume of the blend outside winter, where the file gives it. [-]"""
    thinner_share_winter: Floats | None
    viscosity_limit: Floats | None
    """Limit at the fuel's temperature, where no share is given. [cSt]"""
    wear: tuple[WearPart, ...]
    resale_loss: Floats
    """What its buyer takes off for what it burned, when the plan ends. [currency]"""
    may_burn: bool
    """Whether it may burn blend in this plan: settled once, whatever a draw of its share says."""
    essential_per_day: Floats = field(default_factory=_none)
    """Pump fuel it needs on each day on which nothing is delivered. [L/day]"""


class OilInputs(Struct, frozen=True):
    """One source of used oil."""

    name: str
    kind: str
    own: bool
    volume_per_month: Floats
    """Promised. [L/month]"""
    reliability: Floats
    reject_share: Floats
    price: Floats
    """Per volume taken; negative when paid to take it. [currency/L]"""
    load_volume: Floats | None
    """A usual load; None: no trips. [L]"""
    round_trip: Floats
    """[km]"""
    hours_per_trip: Floats
    density: Floats
    heating_value: Floats
    line: tuple[Floats, Floats]
    """A and B of ASTM D341 for this oil."""


class ThinnerInputs(Struct, frozen=True):
    """One thinner on offer."""

    name: str
    kind: str
    price: Floats
    """[currency/L]"""
    tied_to: str | None
    """Key of the fuel whose price this is, or None."""
    available_per_month: Floats | None
    road_tax_paid: bool
    """Whether its price includes road tax and duty."""
    refund: Floats
    """Given back on what is burned off the road. [currency/L]"""
    density: Floats
    heating_value: Floats
    line: tuple[Floats, Floats]


class ProcessInputs(Struct, frozen=True):
    """Cleaning the oil."""

    batch_volume: Floats
    hours_per_batch: Floats
    max_batches_per_month: Floats | None
    first_year_share: Floats
    """Of the promised oil, what turns up in the first year. [-]"""
    hours_per_month: Floats | None
    loss_share: Floats
    energy_per_volume: Floats | None
    """[kWh per L of raw oil]; None: worked out from the temperatures below."""
    heat_from: Floats | None
    heat_to: Floats | None
    heater_efficiency: Floats
    motor_energy_per_volume: Floats
    test_cost_per_batch: Floats
    disposal_cost: Floats
    raw_storage: Floats
    clean_storage: Floats


class FilterInputs(Struct, frozen=True):
    """One filter in the line."""

    name: str
    price: Floats
    volume_per_element: Floats


class AdditiveInputs(Struct, frozen=True):
    """One additive, dosed by volume of blend."""

    name: str
    price: Floats
    dose: Floats
    serves: tuple[str, ...]
    """Names of thinners or machines whose blend takes it; empty: all blend."""


class YearlyInputs(Struct, frozen=True):
    """One cost that comes once a year whatever the volume."""

    name: str
    cost: Floats
    hours: Floats
    """Upkeep that comes with it. [h/yr]"""
    serves: tuple[str, ...] = ()
    """Names of what it hangs on; empty: always there."""


class KitInputs(Struct, frozen=True):
    """One piece of kit."""

    name: str
    cost: Floats
    """Its price, or, owned, what it would sell for today. [currency]"""
    new_cost: Floats
    """What a later one costs, at today's prices. [currency]"""
    life_years: int
    resale_share: Floats
    """Of its price, soon after first use; it falls in a straight line to 0 over its life. [-]"""
    exit_cost: Floats
    """Of getting rid of it when the plan ends. [currency]"""
    owned: bool
    serves: tuple[str, ...] = ()
    """Names of what it hangs on; empty: always there."""


class LabourInputs(Struct, frozen=True):
    """Hands."""

    wage: Floats
    upkeep_hours_per_year: Floats
    hired_share: Floats
    wage_taxed: bool
    """Whether the pay that one's own hours could earn elsewhere would be taxed."""


class FinanceInputs(Struct, frozen=True):
    """Money over time."""

    years: int
    discount_rate: Floats
    inflation: Floats
    fuel_inflation: Floats
    tax_rate: Floats
    depreciation: str
    exit_cost: Floats
    kit_contingency: Floats
    """Added to the first purchase of kit that is not owned. [-]"""


class LoanInputs(Struct, frozen=True):
    """Money borrowed for the plan, paid back in level payments."""

    amount: Floats
    """[currency]"""
    rate: Floats
    """Nominal. [1/yr]"""
    years: int
    payments_per_year: int


class ReserveInputs(Struct, frozen=True):
    """What is kept for days on which nothing is delivered. [L]"""

    clean_oil: Floats = field(default_factory=_none)
    """Part of the clean store that the plan never burns."""
    diesel: Floats = field(default_factory=_none)
    """Pump fuel usually on hand."""
    thinners: tuple[Floats, ...] = ()
    """Usually on hand, by thinner; empty: none of any."""


class Inputs(Struct, frozen=True):
    """All that ``evaluate`` reads."""

    prices: dict[str, Floats]
    """Price of each pump fuel that is used, by key. [currency/L]"""
    electricity: Floats
    road_tax: Floats
    fuel_duty: Floats
    """Owed on own blend wherever it is burned. [currency/L]"""
    fuel_duty_back: Floats
    """Share of the duty given back for what is burned off the road. [-]"""
    machines: tuple[MachineInputs, ...]
    oils: tuple[OilInputs, ...]
    cost_per_distance: Floats
    process: ProcessInputs
    winter_months: tuple[bool, ...]
    fuel_temperature: Floats
    fuel_temperature_winter: Floats
    filters: tuple[FilterInputs, ...]
    thinners: tuple[ThinnerInputs, ...]
    additives: tuple[AdditiveInputs, ...]
    yearly: tuple[YearlyInputs, ...]
    labour: LabourInputs
    kit: tuple[KitInputs, ...]
    finance: FinanceInputs
    loan: LoanInputs | None
    burn_order: tuple[int, ...] | None
    """Machines in the order in which they are served, or None to work it out from these values."""
    setup: str | None = None
    """Name of the set-up that cleans, where the file has several."""
    reserve: ReserveInputs = field(default_factory=ReserveInputs)
