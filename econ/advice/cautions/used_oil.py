"""Cautions about what is in the oil, whose it is, and what the US used oil rules make of it."""

from collections.abc import Iterable

from econ.advice.cautions.farm import Caution, Farm, Use, some_names
from econ.fuel.hazard import rule_class
from econ.fuel.substances import substance
from econ.ground.units import LITRES_PER_GALLON
from econ.model.inputs import OilInputs

# A farmer's own oil up to this is outside the generator rules. [L/month]; cfr_279_20
FARMER_LIMIT = 25 * LITRES_PER_GALLON
# A generator's own oil, in one's own vehicle, at a time. [L]; cfr_279_24
OWN_LOAD = 55 * LITRES_PER_GALLON
# Presumed hazardous above the first; off specification above the second. [ppm]; cfr_279_11
HALOGENS_PRESUMED = 1_000
HALOGENS_LIMIT = 4_000
# The least flash point of used oil fuel, 100 °F. [°C]; cfr_279_11
FLASH_LIMIT = 340.0 / 9.0
# Most metals in used oil fuel. [ppm]; cfr_279_11
METAL_LIMITS = {"arsenic": 5, "cadmium": 2, "chromium": 10, "lead": 100}
# PCB: burner rules from the first, disposal rules from the second. [ppm]; cfr_761_20
PCB_BURNER_RULES = 2
PCB_DISPOSAL_RULES = 50
# The largest heater that may burn used oil where it arises. [million Btu/h]; cfr_279_23
HEATER_LIMIT = 0.5

_ASK = "Your state may be stricter: ask its used oil office."


def _names(oils: Iterable[OilInputs]) -> str:
    return some_names(oil.name for oil in oils)


def _is_light(farm: Farm, use: Use) -> bool:
    """Return whether a machine burns one's own oil mixed with diesel, and nothing else."""
    result = rule_class(all_own=not farm.other_oils, engine=use.is_engine, kind=use.kind)
    return result.key == "own_oil_and_diesel"


def _untested(oil: OilInputs) -> bool:
    """Return whether an oil may hold PCBs and is not held to a test already."""
    liquid = substance(oil.kind)
    return liquid.may_hold_pcb and not liquid.needs_pcb_test


def _transformer(farm: Farm) -> str | None:
    oils = [o for o in (*farm.own_oils, *farm.other_oils) if substance(o.kind).needs_pcb_test]
    if not oils:
        return None
    return (
        f"{_names(oils)}: each load of {oils[0].kind} needs its own PCB test before it is pooled."
        f" US federal rule (40 CFR 761.20(e)): burner rules from {PCB_BURNER_RULES} ppm, disposal"
        f" rules from {PCB_DISPOSAL_RULES} ppm, and thinning changes neither. "
        + farm.ask("its environment office", "your environment regulator")
    )


def _old_hydraulic(farm: Farm) -> str | None:
    oils = [o for o in (*farm.own_oils, *farm.other_oils) if _untested(o)]
    if not oils:
        return None
    return (
        f"{_names(oils)}: old {oils[0].kind} can hold PCBs; US federal rules (40 CFR 761.20(e))"
        f" begin at {PCB_BURNER_RULES} ppm. Ask what it came out of, and have it tested if nobody"
        " knows. " + farm.ask("its environment office", "your environment regulator")
    )


def _own_oil(farm: Farm) -> str | None:
    names = _names(farm.own_oils)
    if not names:
        return None
    return (
        f"{names}: one's own oil carries what goes into the drain pan: coolant (glycol), brake"
        " fluid, brake-cleaner and parts-washer solvent, gasoline from a flooded engine. Any of it"
        " fouls pumps or turns the oil into hazardous waste (US federal rule 40 CFR 279.10(b)). One"
        " pan for engine oil alone; doubtful oil goes to a collector. "
        + farm.ask("its used oil office", "your environment regulator")
    )


def _state_waste(farm: Farm) -> str | None:
    names = _names((*farm.own_oils, *farm.other_oils))
    if not (farm.us and names):
        return None
    return (
        f"{names}: some states go beyond the US federal rules; California's code (25250.4) has used"
        " oil managed as hazardous waste, cleaning and burning included. Your state may be"
        " stricter: ask its used oil office before buying anything."
    )


def _halogens(farm: Farm) -> str | None:
    names = _names(farm.other_oils)
    if not names:
        return None
    return (
        f"{names}: test every load for chlorine, and turn away solvent, brake fluid and coolant,"
        " before it is pooled. US federal rule (40 CFR 279.10(b)): oil over"
        f" {HALOGENS_PRESUMED:,} ppm halogens is presumed hazardous waste, and so is what it is"
        " mixed into. " + farm.ask("its used oil office", "your environment regulator")
    )


def _light_rules(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if _is_light(farm, use))
    if not names:
        return None
    return (
        f"{names}: your own used oil, mixed with diesel where it arises for your own vehicles,"
        " leaves the US federal used oil rules once mixed, not before (40 CFR 279.20(a)(3),"
        f" 279.10(d)). Any other thinner, or others' oil, does not. {_ASK}"
    )


def _stationary(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if _is_light(farm, use) and not use.on_road)
    if not names:
        return None
    return (
        f'{names}: the US federal rule for own oil with diesel says "vehicles" (40 CFR'
        " 279.20(a)(3)), its summary says engines; a generator or pump is not plainly either, and"
        " newer stationary engines must burn 15 ppm sulfur diesel (40 CFR 60.4207). " + _ASK
    )


def _mix_stays(farm: Farm) -> str | None:
    heavy = [use for use in farm.uses if not _is_light(farm, use)]
    if not heavy:
        return None
    if farm.other_oils:
        why = "others' oil stays used oil whatever thins it"
    elif all(use.kind is None for use in heavy):
        why = "clean oil without diesel stays used oil"
    else:
        kinds = sorted({u.kind for u in heavy if u.kind and not substance(u.kind).is_diesel})
        mixed = f"mixed with {' or '.join(kinds)} it" if kinds else "what a burner burns"
        why = f"{mixed} stays used oil"
    return (
        f"{some_names(use.name for use in heavy)}: {why} (US federal rule 40 CFR 279.10(d)); only"
        " your own oil mixed with diesel for your own vehicles is treated apart (279.20(a)(3))."
        f" {_ASK}"
    )


def _pooled(farm: Farm) -> str | None:
    needs_own = [
        use.name
        for use in farm.uses
        if not use.is_engine or (use.substance and use.substance.is_diesel)
    ]
    if not (needs_own and farm.own_oils and farm.other_oils):
        return None
    return (
        f"Your own oil shares a store with oil from {_names(farm.other_oils)}, but"
        f" {some_names(needs_own)} would need own oil alone for the US federal heater rule (40 CFR"
        f" 279.23) or diesel rule (279.20(a)(3)). Keep a second, marked tank. {_ASK}"
    )


def _heaters(farm: Farm) -> list[str]:
    return [use.name for use in farm.uses if not use.is_engine]


def _heater_others(farm: Farm) -> str | None:
    heaters = _heaters(farm)
    if not (heaters and farm.other_oils):
        return None
    return (
        f"{some_names(heaters)} would burn oil from {_names(farm.other_oils)}. US federal rule (40"
        " CFR 279.23): a heater may burn only your own oil or household do-it-yourselfers', up to"
        f" {HEATER_LIMIT} million Btu/h, vented outdoors. {_ASK}"
    )


def _heater_own(farm: Farm) -> str | None:
    heaters = _heaters(farm)
    if not heaters or farm.other_oils or not farm.own_oils:
        return None
    return (
        f"{some_names(heaters)}: US federal rule (40 CFR 279.23) for used oil heaters: your own or"
        f" household oil only, at most {HEATER_LIMIT} million Btu/h, vented outdoors. Beyond the"
        f" rule: take one built for used oil. {_ASK}"
    )


def _off_specification(farm: Farm) -> str | None:
    heavy = [use for use in farm.uses if not _is_light(farm, use)]
    if not heavy:
        return None
    gasoline = any(use.has_gasoline for use in heavy)
    flash = farm.wording.temperature(FLASH_LIMIT)
    metals = ", ".join(f"{metal} {limit}" for metal, limit in METAL_LIMITS.items())
    below = ", which a gasoline blend must be taken to miss" if gasoline else ""
    return (
        f"US federal limits for used oil fuel (40 CFR 279.11): {metals}, halogens"
        f" {HALOGENS_LIMIT:,} ppm at most; flash {flash} at least{below}. Off these, or untested,"
        " it may go only to furnaces, boilers and some heaters (279.61): no engine is listed. "
        + _ASK
    )


def _transporter(farm: Farm) -> str | None:
    hauled = [oil for oil in farm.other_oils if oil.load_volume is not None]
    if not hauled:
        return None
    largest = max(hauled, key=lambda oil: float(oil.load_volume or 0.0))
    return (
        f"You plan loads of {farm.wording.volume(float(largest.load_volume or 0.0))} from"
        f" {largest.name}. US federal rules: {farm.wording.volume(OWN_LOAD)} at a time covers only"
        " a generator's own oil (40 CFR 279.24); others' shop oil needs a transporter with an EPA"
        f" number (279.42); household oil is treated apart. {_ASK}"
    )


def _own_transport(farm: Farm) -> str | None:
    heavy = [
        oil
        for oil in farm.own_oils
        if oil.load_volume is not None
        and bool(oil.load_volume > OWN_LOAD)
        and bool(oil.round_trip > 0.0)
    ]
    if not heavy:
        return None
    largest = max(heavy, key=lambda oil: float(oil.load_volume or 0.0))
    volume = farm.wording.volume
    return (
        f"{largest.name}: loads of {volume(float(largest.load_volume or 0.0))} by road; the limit"
        f" without an EPA number is {volume(OWN_LOAD)} of your own oil at a time, in your own"
        f" vehicle (US federal rule 40 CFR 279.24). {_ASK}"
    )


def _processor(farm: Farm) -> str | None:
    names = _names(farm.other_oils)
    if not names:
        return None
    cleaned = farm.wording.volume(float(farm.outcome.typical.fuel["oil_processed"]))
    return (
        f"Filtering and blending oil from {names} ({cleaned} cleaned a year) counts as processing"
        " under US federal rule 40 CFR 279.50: an EPA number, a plan, tests and records. Burning"
        f" your own oil alone avoids most of it. {_ASK}"
    )


def _own_volume(farm: Farm) -> float:
    """Return one's own oil, in litres a month."""
    return sum(float(oil.volume_per_month) for oil in farm.own_oils)


def _generator(farm: Farm) -> str | None:
    own = _own_volume(farm)
    if own <= FARMER_LIMIT:
        return None
    volume = farm.wording.volume
    return (
        f"Your own oil comes to {volume(own)} a month; farmers averaging {volume(FARMER_LIMIT)} or"
        " less over a calendar year are outside the US federal generator rules (40 CFR"
        f" 279.20(a)(4)), you are not. {_ASK}"
    )


def _label(farm: Farm) -> str | None:
    if not farm.other_oils and _own_volume(farm) <= FARMER_LIMIT:
        return None
    raw = farm.wording.volume(float(farm.inputs.process.raw_storage))
    return (
        f'Your {raw} of raw storage must be sound, not leaking and marked "Used Oil"; stop, contain'
        f" and clean up any release (US federal rule 40 CFR 279.22). {_ASK}"
    )


USED_OIL_CAUTIONS = (
    Caution(
        "transformer_oil",
        82,
        ("decide", "oils"),
        ("cfr_761_20",),
        False,
        _transformer,
        "Transformer oil: a PCB test for each load before it is pooled.",
    ),
    Caution(
        "heater_others_oil",
        57,
        ("decide", "machines", "oils"),
        ("cfr_279_23",),
        True,
        _heater_others,
        "A used-oil heater may burn only one's own or household oil.",
    ),
    Caution(
        "off_specification",
        53,
        ("decide", "machines", "thinners"),
        ("cfr_279_11", "cfr_279_61"),
        True,
        _off_specification,
        "Untested used-oil fuel may go only to furnaces, boilers and some heaters.",
    ),
    Caution(
        "stays_used_oil",
        51,
        ("decide", "machines", "oils", "thinners"),
        ("cfr_279_10", "cfr_279_20", "epa_mixing"),
        True,
        _mix_stays,
        "The blend stays used oil under US rules.",
    ),
    Caution(
        "pooled_oil",
        49,
        ("oils", "storage"),
        ("cfr_279_23", "cfr_279_20"),
        True,
        _pooled,
        "Own and others' oil share a store: keep a second, marked tank.",
    ),
    Caution(
        "own_oil",
        65,
        ("oils", "cleaning"),
        ("cfr_279_10", "epa_used_oil_1983", "common_practice"),
        False,
        _own_oil,
        "Keep coolant, brake fluid, solvent and gasoline out of your own oil.",
    ),
    Caution(
        "state_hazardous_waste",
        58,
        ("decide", "oils"),
        ("ca_hsc_25250_4",),
        True,
        _state_waste,
        "Some states treat used oil as hazardous waste: ask yours first.",
    ),
    Caution(
        "halogens",
        61,
        ("oils",),
        ("cfr_279_10", "cfr_279_11"),
        False,
        _halogens,
        "Test every load for chlorine; turn away solvent, brake fluid and coolant.",
    ),
    Caution(
        "hydraulic_oil",
        59,
        ("oils",),
        ("cfr_761_20",),
        False,
        _old_hydraulic,
        "Old hydraulic oil can hold PCBs: ask what it came out of, or test.",
    ),
    Caution(
        "processor",
        54,
        ("decide", "cleaning", "oils"),
        ("cfr_279_50",),
        True,
        _processor,
        "Cleaning and blending others' oil counts as processing: numbers, tests, records.",
    ),
    Caution(
        "transporter",
        48,
        ("decide", "oils"),
        ("cfr_279_24", "cfr_279_42"),
        True,
        _transporter,
        "Others' shop oil needs a transporter with an EPA number.",
    ),
    Caution(
        "own_transport",
        47,
        ("oils",),
        ("cfr_279_24",),
        True,
        _own_transport,
        "Over 55 gal of own oil on the road at a time needs an EPA number.",
    ),
    Caution(
        "own_oil_with_diesel",
        20,
        ("decide", "oils", "thinners"),
        ("cfr_279_20", "cfr_279_10"),
        True,
        _light_rules,
        "Own oil leaves the used-oil rules only once mixed with diesel for own vehicles.",
    ),
    Caution(
        "stationary_engine",
        18,
        ("machines",),
        ("cfr_279_20", "epa_mixing", "cfr_60_4207"),
        True,
        _stationary,
        "A generator or pump is not plainly a vehicle under the rule for own oil.",
    ),
    Caution(
        "heater_own_oil",
        24,
        ("machines",),
        ("cfr_279_23", "common_practice"),
        True,
        _heater_own,
        "Used-oil heater: own oil only, at most 0.5 million Btu/h, vented outdoors.",
    ),
    Caution(
        "generator",
        16,
        ("oils",),
        ("cfr_279_20",),
        True,
        _generator,
        "Over 25 gal of own oil a month: the generator rules bind.",
    ),
    Caution(
        "used_oil_label",
        14,
        ("storage",),
        ("cfr_279_22",),
        True,
        _label,
        'Tanks sound and marked "Used Oil"; clean up any release.',
    ),
)
