"""Small farms made of plain numbers, for tests: say only what the test is about."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

import numpy as np

from econ.advice.cautions import Farm
from econ.fuel.fitness import Fit
from econ.fuel.substances import OILS, THINNERS, Substance
from econ.fuel.viscosity import viscosity_line
from econ.ground.records import replace
from econ.ground.units import LITRES_PER_GALLON, Floats
from econ.model.evaluate import evaluate
from econ.model.inputs import (
    FinanceInputs,
    Inputs,
    KitInputs,
    LabourInputs,
    MachineInputs,
    OilInputs,
    ProcessInputs,
    ThinnerInputs,
)
from econ.model.kit import kit_per_year

if TYPE_CHECKING:
    from collections.abc import Mapping

    from _typeshed import DataclassInstance

Record = TypeVar("Record", bound="DataclassInstance")

EVERY_MONTH = (True,) * 12
NO_MONTH = (False,) * 12
WINTER = tuple(month in (12, 1, 2) for month in range(1, 13))


def number(value: float) -> Floats:
    """Return a number as the core takes it."""
    return np.asarray(value, dtype=np.float64)


def gallons(value: float) -> Floats:
    """Return US gallons in litres."""
    return number(value * LITRES_PER_GALLON)


def _with(record: Record, changes: Mapping[str, object]) -> Record:
    """Change a record; plain numbers become arrays."""
    arrays = {key: number(v) if isinstance(v, float) else v for key, v in changes.items()}
    return replace(record, **arrays)


def _line(substance: Substance) -> tuple[Floats, Floats]:
    (t1, v1), (t2, v2) = substance.viscosity_points
    return viscosity_line(t1, v1, t2, v2)


def machine(name: str = "Tractor", **changes: object) -> MachineInputs:
    """Return an off-road engine that burns 4,000 L a year and may burn clean oil alone."""
    record = MachineInputs(
        name=name,
        engine="inline pump",
        replaces="farm_diesel",
        fit=Fit("suited", ()),
        fuel_per_year=number(4_000.0),
        use_by_month=(1.0 / 12.0,) * 12,
        blend_months=EVERY_MONTH,
        blend_share=number(1.0),
        road_share=number(0.0),
        use_factor=number(1.02),
        thinner=None,
        thinner_share=None,
        thinner_share_winter=None,
        viscosity_limit=None,
        wear=(),
        resale_loss=number(0.0),
        may_burn=True,
    )
    result = _with(record, changes)
    if result.thinner_share is not None and result.thinner_share_winter is None:
        return replace(result, thinner_share_winter=result.thinner_share)
    return result


def oil(name: str = "Own oil", kind: str = "engine oil", **changes: object) -> OilInputs:
    """Return a source of one's own, 60 L a month, that needs no trips."""
    substance = OILS[kind]
    record = OilInputs(
        name=name,
        kind=kind,
        own=True,
        volume_per_month=number(60.0),
        reliability=number(1.0),
        reject_share=number(0.0),
        price=number(0.0),
        load_volume=None,
        round_trip=number(0.0),
        hours_per_trip=number(0.0),
        density=number(substance.density),
        heating_value=number(substance.heating_value),
        line=_line(substance),
    )
    return _with(record, changes)


def thinner(kind: str = "diesel", name: str | None = None, **changes: object) -> ThinnerInputs:
    """Return a thinner at 1.00 a litre, its price tied to no fuel."""
    substance = THINNERS[kind]
    record = ThinnerInputs(
        name=kind.capitalize() if name is None else name,
        kind=kind,
        price=number(1.0),
        tied_to=None,
        available_per_month=None,
        road_tax_paid=False,
        refund=number(0.0),
        density=number(substance.density),
        heating_value=number(substance.heating_value),
        line=_line(substance),
    )
    return _with(record, changes)


def process(**changes: object) -> ProcessInputs:
    """Return a cold process without limits, with stores of 400 L each."""
    record = ProcessInputs(
        batch_volume=number(200.0),
        hours_per_batch=number(1.0),
        max_batches_per_month=None,
        first_year_share=number(1.0),
        hours_per_month=None,
        loss_share=number(0.0),
        energy_per_volume=number(0.0),
        heat_from=None,
        heat_to=None,
        heater_efficiency=number(1.0),
        motor_energy_per_volume=number(0.0),
        test_cost_per_batch=number(0.0),
        disposal_cost=number(0.0),
        raw_storage=number(400.0),
        clean_storage=number(400.0),
    )
    return _with(record, changes)


def finance(**changes: object) -> FinanceInputs:
    """Return five years at 5 %, without inflation, tax or exit."""
    record = FinanceInputs(
        years=5,
        discount_rate=number(0.05),
        inflation=number(0.0),
        fuel_inflation=number(0.0),
        tax_rate=number(0.0),
        depreciation="none",
        exit_cost=number(0.0),
        kit_contingency=number(0.0),
    )
    return _with(record, changes)


def kit(cost: float, life_years: int, **changes: object) -> KitInputs:
    """Return one piece of kit that is to be bought and fetches nothing later."""
    record = KitInputs(
        name="Centrifuge",
        cost=number(cost),
        new_cost=number(cost),
        life_years=life_years,
        resale_share=number(0.0),
        exit_cost=number(0.0),
        owned=False,
    )
    return _with(record, changes)


def inputs(**changes: object) -> Inputs:
    """Return a farm: one tractor, one's own oil, nothing to hurt anybody but the oil itself."""
    record = Inputs(
        prices={key: number(1.1) for key in ("road_diesel", "farm_diesel", "heating_oil")},
        electricity=number(0.15),
        road_tax=number(0.0),
        fuel_duty=number(0.0),
        fuel_duty_back=number(0.0),
        machines=(machine(),),
        oils=(oil(),),
        cost_per_distance=number(0.0),
        process=process(),
        winter_months=NO_MONTH,
        fuel_temperature=number(40.0),
        fuel_temperature_winter=number(25.0),
        filters=(),
        thinners=(),
        additives=(),
        yearly=(),
        labour=LabourInputs(number(20.0), number(0.0), number(0.0), wage_taxed=True),
        kit=(),
        finance=finance(),
        loan=None,
        burn_order=None,
    )
    return _with(record, changes)


def owning_cost(cost: float, resale: float, rate: float, years: int) -> Floats:
    """Return the kit line of a farm with one item, sold half way through its life at a price."""
    item = kit(cost, 2 * years, resale_share=2.0 * resale / cost)
    terms = finance(years=years, discount_rate=rate)
    return kit_per_year(inputs(kit=(item,), finance=terms))


def farm(units: str = "us", currency: str = "USD", /, **changes: object) -> Farm:
    """Return a farm worked through."""
    built = inputs(**changes)
    return Farm(units, currency, built, evaluate(built))


def blending(kind: str, share: float, **changes: object) -> dict[str, object]:
    """Return the tables of one machine that burns a share of one thinner."""
    burns = _with(machine(thinner=0, thinner_share=share), changes)
    return {"machines": (burns,), "thinners": (thinner(kind),)}
