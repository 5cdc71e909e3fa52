"""What is done at each step of a card, and which cautions can hurt there."""

from collections.abc import Callable

from msgspec import Struct

from econ.ground.written import Numbers
from econ.model.inputs import Inputs

Words = Callable[[Inputs, Numbers, Callable[[float], str]], str | None]


class StepRule(Struct, frozen=True):
    """One step: its words, None where the farm has no such step, and its cautions by key."""

    text: Words
    cautions: tuple[str, ...] = ()


def _plain(text: str, *cautions: str) -> StepRule:
    return StepRule(lambda inputs, write, degrees: text, cautions)


def _heating(inputs: Inputs, write: Numbers, degrees: Callable[[float], str]) -> str | None:
    """Say how far the oil is warmed, where the farm warms it."""
    process = inputs.process
    if process.heat_from is None or process.heat_to is None:
        return None
    return (
        f"Drain all water first. Warm from about {degrees(float(process.heat_from))} to"
        f" {degrees(float(process.heat_to))}, no further; stay with it."
    )


def _filtering(inputs: Inputs, write: Numbers, degrees: Callable[[float], str]) -> str:
    """Name the filters in their order."""
    names = ", then ".join(entry.name for entry in inputs.filters)
    if not names:
        return "Clean it as your set-up does; stop when flow or pressure changes."
    return f"Run it through: {names}. Stop when flow drops or pressure climbs."


LOAD_STEPS = (
    _plain(
        "Ask what it is and what it came out of. REFUSE gear oil, transformer oil without a PCB"
        " test of this load, and what nobody can name.",
        "transformer_oil",
        "hydraulic_oil",
        "own_oil",
    ),
    _plain(
        "Look, smell, tilt. REFUSE coolant, brake fluid, solvent, paint, a smell of gasoline,"
        " milky or layered oil."
    ),
    _plain(
        "Chlorine strip on this load. REFUSE on any colour past the strip's line; write the"
        " reading down.",
        "halogens",
    ),
    _plain(
        "Carry it in closed, marked, upright containers. Gloves on.",
        "skin",
        "transporter",
        "own_transport",
        "children",
    ),
    _plain(
        "Keep it apart until the strip is read; then into the raw tank, never above its mark.",
        "pooled_oil",
        "tank_vents",
        "used_oil_label",
        "sheen",
    ),
)

BATCH_STEPS = (
    _plain(
        "Let raw oil stand; drain water and sludge into the sludge drum. Gloves on.",
        "skin",
        "breathing",
        "sludge",
    ),
    StepRule(
        _heating,
        (
            "heated_near_flash",
            "water_boil_over",
            "boil_over_unstated",
            "heat_not_stated",
            "tank_vents",
        ),
    ),
    StepRule(
        _filtering,
        ("gasoline_never_hot", "centrifuge", "boil_over_unstated", "heat_not_stated", "oily_rags"),
    ),
    _plain(
        "Into the clean tank. Wipe up; lock the store.",
        "tank_vents",
        "children",
        "used_oil_label",
        "sheen",
    ),
)

MIX_STEPS = (
    _plain(
        "Time the clean oil through the cup at shed temperature; read cSt in the cup's table."
        " Find the row.",
        "thickness_estimated",
    ),
    _plain(
        "Outdoors, oil cold, engines off: clean oil and thinner into one marked metal drum.",
        "gasoline_vapour",
        "gasoline_never_hot",
        "gasoline_static",
        "gasoline_containers",
        "gasoline_near_burner",
        "bonding_when_warm",
        "mineral_spirits",
        "flash_estimated",
        "skin",
    ),
    _plain(
        "Stir well. Write on the drum: machine, share, day.",
        "gasoline_keeps",
        "ethanol_water",
        "children",
    ),
    _plain(
        "Fill only this machine. Watch it through the first hour.",
        "carbon_monoxide",
        "engine_runaway",
        "exhaust_indoors",
        "exhaust_when_essential",
        "transfer_switch",
        "emission_controls",
        "dry_fuel_in_rotary_pump",
        "unit_injector_thickness",
        "unit_injector_heat",
        "thinner_too_thick",
        "filters_plug",
        "exhaust",
    ),
)

BUYING_STEPS = (
    _plain(
        "Buy thinner in containers made for it, no more than a season burns.",
        "gasoline_containers",
        "gasoline_keeps",
        "ethanol_water",
        "children",
    ),
    _plain("Keep every bill: write volume and money down."),
)
