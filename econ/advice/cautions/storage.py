"""Cautions about tanks: spill plans by shell capacity, sludge, what stays in store.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> flows = evaluate(prepare(load(demo_files()["wrenfold"]))).typical.flows
>>> bool(into_store(flows)[0] == flows.raw_end - flows.raw_start)
True
"""

from econ.advice.cautions.farm import Caution, Farm
from econ.ground.units import LITRES_PER_GALLON
from econ.model.outcome import Flows

# Aboveground capacity above which the spill rule binds. [L]; cfr_112_1
SPILL_LIMIT = 1_320 * LITRES_PER_GALLON
# Farms: no plan under the first; none up to the second without a spill. [L]; wrrda_1049
FARM_LIMIT = 2_500 * LITRES_PER_GALLON
FARM_CLEAN_RECORD_LIMIT = 6_000 * LITRES_PER_GALLON
# The smallest container that counts. [L]; cfr_112_1
COUNTED_CONTAINER = 55 * LITRES_PER_GALLON
# Farms: tanks left out on separate parcels, and who may certify a plan. [L]; wrrda_1049
PARCEL_LIMIT = 1_000 * LITRES_PER_GALLON
SELF_CERTIFIED_LIMIT = 20_000 * LITRES_PER_GALLON
LARGEST_TANK = 10_000 * LITRES_PER_GALLON
# Storage this near the limit is soon past it once diesel tanks are counted; judgement. [-]
_NEAR = 0.5
# A store off by more than this share of the year's collection is not steady. [-]
STEADY = 0.005


def _spill_plan(farm: Farm) -> str | None:
    if farm.storage <= SPILL_LIMIT:
        return None
    volume = farm.wording.volume
    if farm.storage < FARM_LIMIT:
        level = f"a farm, but no other business, needs no plan under {volume(FARM_LIMIT)}"
    elif farm.storage < FARM_CLEAN_RECORD_LIMIT:
        level = (
            f"a farm under {volume(FARM_CLEAN_RECORD_LIMIT)} needs none without a spill on record"
        )
    else:
        level = f"farms of {volume(FARM_CLEAN_RECORD_LIMIT)} and more need one too"
    return (
        f"You plan {volume(farm.storage)} of oil storage; the limit is {volume(SPILL_LIMIT)}. Above"
        f" it the US federal spill rule (40 CFR 112) asks for a plan and containment; {level}. Your"
        " diesel tanks count too, by shell capacity, full or not. Your state may be stricter: ask"
        " its spill office."
    )


def _spill_conditions(farm: Farm) -> str | None:
    if farm.storage <= SPILL_LIMIT:
        return None
    volume = farm.wording.volume
    return (
        "The US federal spill rule (40 CFR 112) binds only where a spill could reach navigable"
        f" water; for farms, tanks up to {volume(PARCEL_LIMIT)} on separate parcels do not count,"
        f" and from {volume(FARM_CLEAN_RECORD_LIMIT)} to {volume(SELF_CERTIFIED_LIMIT)} the owner"
        f" may certify the plan, with no tank over {volume(LARGEST_TANK)} and no spill on record."
        " Your state may be stricter: ask its spill office."
    )


def _sheen(farm: Farm) -> str | None:
    if not farm.brings_oil:
        return None
    return (
        "Any oil that leaves a film on water must be reported at once in the US (US federal rule 40"
        " CFR 110), whatever the volume: keep the poison and spill numbers by the tank. Your state"
        " may be stricter: ask its spill office."
    )


def _spill_count(farm: Farm) -> str | None:
    if not _NEAR * SPILL_LIMIT < farm.storage <= SPILL_LIMIT:
        return None
    volume = farm.wording.volume
    return (
        f"You plan {volume(farm.storage)} of oil storage; with diesel tanks and drums of"
        f" {volume(COUNTED_CONTAINER)} and more, counted by shell capacity, full or not, the US"
        f" federal spill rule (40 CFR 112) begins above {volume(SPILL_LIMIT)}. Your state may be"
        " stricter: ask its spill office."
    )


def _sludge(farm: Farm) -> str | None:
    process = farm.inputs.process
    sludge = float(farm.outcome.typical.flows.processed * process.loss_share)
    if sludge <= 0.0:
        return None
    text = (
        f"Cleaning leaves {farm.wording.volume(sludge)} of water and sludge a year: to a licensed"
        " collector, never on the ground, a drain or a road"
    )
    if not farm.us:
        return f"{text}. Ask your environment regulator."
    return (
        f"{text} (US federal rule 40 CFR 279.12 bars use against dust). Your state may be"
        " stricter: ask its used oil office."
    )


def into_store(flows: Flows) -> tuple[float, float]:
    """Return what a year adds to the raw and to the clean store, in litres."""
    return float(flows.raw_end - flows.raw_start), float(flows.clean_end - flows.clean_start)


def _not_steady(farm: Farm) -> str | None:
    raw, clean = into_store(farm.outcome.typical.flows)
    collected = float(farm.outcome.typical.fuel["oil_collected"])
    if not max(abs(raw), abs(clean)) > STEADY * collected:
        return None
    parts = [
        f"{farm.wording.volume(abs(amount))} of {name} oil {'into' if amount > 0.0 else 'out of'}"
        " store"
        for name, amount in (("raw", raw), ("clean", clean))
        if abs(amount) > STEADY * collected
    ]
    return (
        f"The typical year is not steady: it puts {' and '.join(parts)}. Oil put into store is paid"
        " for and not burned, so the years' figures are rough."
    )


STORAGE_CAUTIONS = (
    Caution(
        "spill_plan",
        38,
        ("decide", "storage"),
        ("cfr_112_1", "wrrda_1049", "epa_capacity"),
        True,
        _spill_plan,
        "Above the federal spill limit: a plan and containment.",
    ),
    Caution(
        "spill_conditions",
        13,
        ("storage",),
        ("cfr_112_1", "wrrda_1049"),
        True,
        _spill_conditions,
        "When the spill rule binds a farm, and who may certify its plan.",
    ),
    Caution(
        "sheen",
        17,
        ("storage",),
        ("cfr_110",),
        True,
        _sheen,
        "Oil that leaves a film on water must be reported at once.",
    ),
    Caution(
        "spill_count",
        15,
        ("storage",),
        ("cfr_112_1", "epa_capacity"),
        True,
        _spill_count,
        "Near the federal spill limit once diesel tanks are counted.",
    ),
    Caution(
        "sludge",
        37,
        ("cleaning", "storage"),
        ("cfr_279_12",),
        False,
        _sludge,
        "Sludge goes to a licensed collector, never on the ground or a drain.",
    ),
    Caution(
        "store_not_steady",
        8,
        ("decide", "storage"),
        ("common_practice",),
        False,
        _not_steady,
        "Oil goes into store in the typical year, so the years' figures are rough.",
    ),
)
