"""Cautions about fire: gasoline in a blend, hot oil, water under it, flash points."""

import math

from econ.advice.cautions.farm import USUAL_FUEL_TEMPERATURE, Caution, Farm, Use, some_names
from econ.advice.cautions.physics import fuel_temperature, lowest_flash
from econ.fuel.hazard import fire_class
from econ.fuel.substances import GASOLINES, OILS
from econ.ground.wording import Wording

# Heated to within this of its flash point, a liquid counts as a worse one: 30 °F. [°C]
HEATED_USE_MARGIN = 30.0 / 1.8
# Water boils here at 3,000 m; heater surfaces run hotter than the oil around them. [°C]
WATER_BOILS_NEAR = 90.0
# The least flash point for plastic bulk containers, 100 °F. [°C]; nfpa_30
PLASTIC_LIMIT = 340.0 / 9.0
# How long a gasoline blend keeps; common practice. [months]
GASOLINE_MONTHS = 3


def _gasoline_uses(farm: Farm) -> list[Use]:
    return [use for use in farm.uses if use.has_gasoline]


def _ask_fire(farm: Farm) -> str:
    return farm.ask("its fire marshal", "your fire authority")


def _vapour(farm: Farm) -> str | None:
    uses = _gasoline_uses(farm)
    if not uses:
        return None
    apart = "180 °F" if farm.units == "us" else "100 °C"
    return (
        f"{some_names(use.name for use in uses)}: up to"
        f" {Wording.percent(max(use.most for use in uses))} gasoline. Treat the blend as gasoline"
        " (US OSHA 29 CFR 1910.106, category 1 or 2): its vapour lights from a spark across a yard."
        f" No flash estimate is shown: the methods disagree by over {apart}. {_ask_fire(farm)}"
    )


def _static(farm: Farm) -> str | None:
    if not _gasoline_uses(farm):
        return None
    return (
        "Pouring gasoline into oil makes static: bond and ground both metal containers before the"
        " first drop (US OSHA 29 CFR 1910.106(e)(6)(ii)), outdoors, with no flame, heater, running"
        f" engine or house near. {_ask_fire(farm)}"
    )


def _containers(farm: Farm) -> str | None:
    if not _gasoline_uses(farm):
        return None
    return (
        "Plastic totes, oil drums and ordinary pumps are not rated for a gasoline blend: NFPA 30"
        f" keeps what flashes below {farm.wording.temperature(PLASTIC_LIMIT)} out of plastic bulk"
        " containers. Use metal tanks and pumps rated for gasoline. " + _ask_fire(farm)
    )


def _never_hot(farm: Farm) -> str | None:
    if not _gasoline_uses(farm):
        return None
    heat_to = farm.inputs.process.heat_to
    hot = "" if heat_to is None else f" You heat oil to {farm.wording.temperature(float(heat_to))}:"
    return (
        "Never heat a gasoline blend or run it through a centrifuge: heaters, drum bands and"
        f" separators are not rated for its vapour.{hot} gasoline goes in last, into oil that is"
        f" clean and cold. {farm.ask_fire_office()}"
    )


def _keeps(farm: Farm) -> str | None:
    uses = _gasoline_uses(farm)
    if not uses:
        return None
    years = farm.outcome.typical.machines
    blend = sum(float(years[use.index].blend) for use in uses) / 12.0
    store = farm.wording.volume(float(farm.inputs.process.clean_storage))
    return (
        f"Mix no more gasoline blend than {GASOLINE_MONTHS} months burn, about"
        f" {farm.wording.volume(GASOLINE_MONTHS * blend)} here: older than that it goes stale and"
        f" separates. The {store} store is for clean oil, never for gasoline blend."
    )


def _ethanol(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if use.kind == "gasoline E10")
    if not names:
        return None
    return (
        f"{names}: gasoline with ethanol (E10) draws water, which drops out in the tank and reaches"
        " the pump, and it attacks old hoses and seals. Drain the tank's low point often, and have"
        " hoses checked."
    )


def _burner_apart(farm: Farm) -> str | None:
    burners = some_names(m.name for m in farm.inputs.machines if m.engine == "burner")
    gasolines = some_names(t.name for t in farm.inputs.thinners if t.kind in GASOLINES)
    if not (burners and gasolines):
        return None
    return (
        f"{burners} shares the farm with {gasolines}: gasoline in a burner's blend is refused, it"
        " flashes back. Keep tanks, hoses and pumps apart and marked, and never return leftover"
        f" blend to the heater. {farm.ask_fire_office()}"
    )


def _raw_flash(farm: Farm) -> tuple[float, str] | None:
    """Give the lowest flash point of the oils that come in, in °C, and its kind."""
    kinds = {oil.kind for oil in (*farm.own_oils, *farm.other_oils)}
    return min(((OILS[kind].flash, kind) for kind in kinds), default=None)


def _near_flash(farm: Farm) -> str | None:
    heat_to, raw = farm.inputs.process.heat_to, _raw_flash(farm)
    if heat_to is None or raw is None or float(heat_to) < raw[0] - HEATED_USE_MARGIN:
        return None
    degrees = farm.wording.temperature
    return (
        f"You heat to {degrees(float(heat_to))}; {raw[1]} with fuel in it can flash at"
        f" {degrees(raw[0])} or less. Within {farm.degrees(HEATED_USE_MARGIN)} of its flash point"
        " US OSHA 29 CFR 1910.106(a)(19) handles it as a worse class. Have a closed-cup test (ASTM"
        f" D93) made before heating. {_ask_fire(farm)}"
    )


def _heat_unstated(farm: Farm) -> str | None:
    process, raw = farm.inputs.process, _raw_flash(farm)
    energy = process.energy_per_volume
    if raw is None or process.heat_to is not None or energy is None or float(energy) <= 0.0:
        return None
    degrees = farm.wording.temperature
    return (
        "The file gives energy but no temperature. If you heat the oil, stay"
        f" {farm.degrees(HEATED_USE_MARGIN)} below its flash point: {raw[1]} with fuel in it can"
        f" flash at {degrees(raw[0])} or less (US OSHA 29 CFR 1910.106(a)(19)). Water boils over at"
        f" {degrees(100.0)}. {_ask_fire(farm)}"
    )


def _boil_over(farm: Farm) -> str | None:
    heat_to = farm.inputs.process.heat_to
    if heat_to is None or float(heat_to) < WATER_BOILS_NEAR:
        return None
    degrees = farm.wording.temperature
    return (
        f"You heat to {degrees(float(heat_to))}; water boils at {degrees(100.0)}, sooner in the"
        " hills and on the heater's own surface. Under hot oil it turns to steam at once and throws"
        " the oil out. Settle and drain it first, fill no more than half, heat slowly, stand back."
    )


def _warm_fuel(farm: Farm) -> str | None:
    for use in farm.uses:
        warmest = max(fuel_temperature(farm, season) for season in use.seasons)
        flash = lowest_flash(farm, use)
        # With gasoline there is no flash number, and the comparison is false.
        if warmest > USUAL_FUEL_TEMPERATURE and warmest > flash - HEATED_USE_MARGIN:
            degrees = farm.wording.temperature
            return (
                f"{use.name}: fuel warmed to {degrees(warmest)}; its blend is estimated to flash at"
                f" {degrees(flash)}. Within {farm.degrees(HEATED_USE_MARGIN)} of the flash point US"
                " OSHA 29 CFR 1910.106(a)(19) handles a tank as a worse class. Have a closed-cup"
                f" test (ASTM D93) made. {_ask_fire(farm)}"
            )
    return None


def _flash(farm: Farm) -> str | None:
    found = [(lowest_flash(farm, use), use) for use in farm.uses]
    known = [(flash, use) for flash, use in found if not math.isnan(flash)]
    if not known:
        return None
    flash, use = min(known, key=lambda pair: pair[0])
    blend = "oil alone"
    if use.thinner is not None:
        blend = f"{Wording.percent(use.most)} {use.kind}"
    return (
        f"Lowest estimated flash without gasoline: {farm.wording.temperature(flash)} ({use.name},"
        f" {blend}, index method). US OSHA 29 CFR 1910.106: {fire_class(flash).label}. An estimate,"
        f" not a test result: only a closed-cup test (ASTM D93) tells. {_ask_fire(farm)}"
    )


FIRE_CAUTIONS = (
    Caution(
        "gasoline_vapour", "grave", ("decide", "machines", "thinners", "household"),
        ("osha_1910_106", "mowrer_1989", "ljubas_flash"), False, _vapour,
    ),
    Caution(
        "gasoline_static", "grave", ("thinners", "cleaning"), ("osha_1910_106",), False, _static,
    ),
    Caution(
        "gasoline_containers", "grave", ("decide", "thinners", "storage"),
        ("nfpa_30",), False, _containers,
    ),
    Caution(
        "gasoline_never_hot", "grave", ("thinners", "cleaning"),
        ("common_practice",), False, _never_hot,
    ),
    Caution(
        "gasoline_near_burner", "grave", ("machines", "thinners", "storage"),
        ("common_practice",), False, _burner_apart,
    ),
    Caution(
        "heated_near_flash", "grave", ("decide", "cleaning"),
        ("osha_1910_106", "astm_d93"), False, _near_flash,
    ),
    Caution("water_boil_over", "grave", ("cleaning",), ("common_practice",), False, _boil_over),
    Caution(
        "heat_not_stated", "serious", ("cleaning",), ("osha_1910_106",), False, _heat_unstated,
    ),
    Caution(
        "warm_fuel_near_flash", "serious", ("machines", "thinners"),
        ("osha_1910_106", "hu_burns_1970", "astm_d93"), False, _warm_fuel,
    ),
    Caution(
        "gasoline_keeps", "serious", ("thinners", "storage"),
        ("common_practice",), False, _keeps,
    ),
    Caution(
        "ethanol_water", "serious", ("thinners", "storage"),
        ("common_practice",), False, _ethanol,
    ),
    Caution(
        "flash_estimated", "note", ("thinners", "storage"),
        ("hu_burns_1970", "osha_1910_106", "astm_d93"), False, _flash,
    ),
)  # fmt: skip
