"""Cautions about fire: gasoline in a blend, hot oil, water under it, flash points.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> raw_flash(Farm("us", "USD", inputs, evaluate(inputs)))[1]
'engine oil'
"""

import math

from econ.advice.cautions.farm import Caution, Farm, Use, some_names
from econ.advice.cautions.physics import fuel_temperature, lowest_flash
from econ.fuel.hazard import FIRE_CLASSES, fire_class
from econ.fuel.substances import OILS, UNWARMED_FUEL, as_gasoline
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
    most = max(uses, key=lambda use: use.most)
    return (
        f"{some_names(use.name for use in uses)}: up to {Wording.percent(most.most)} {most.kind}."
        " Treat the blend as gasoline (US OSHA's yardstick 29 CFR 1910.106, category 1 or 2): its"
        " vapour lights from a spark across a yard. No flash estimate is shown: the methods"
        f" disagree by over {apart}. {_ask_fire(farm)}"
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
    names = some_names(u.name for u in farm.uses if u.substance and u.substance.draws_water)
    if not names:
        return None
    return (
        f"{names}: gasoline with ethanol (E10) draws water, which drops out in the tank and reaches"
        " the pump, and it attacks old hoses and seals. Drain the tank's low point often, and have"
        " hoses checked."
    )


def _burner_apart(farm: Farm) -> str | None:
    burners = some_names(m.name for m in farm.inputs.machines if m.engine == "burner")
    gasolines = some_names(t.name for t in farm.inputs.thinners if as_gasoline(t.kind))
    if not (burners and gasolines):
        return None
    return (
        f"{burners} shares the farm with {gasolines}: gasoline in a burner's blend is refused, it"
        " flashes back. Keep tanks, hoses and pumps apart and marked, and never return leftover"
        f" blend to the heater. {farm.ask_fire_office()}"
    )


def raw_flash(farm: Farm) -> tuple[float, str] | None:
    """Return the lowest flash point of the oils that come in, in °C, and its kind."""
    kinds = {oil.kind for oil in (*farm.own_oils, *farm.other_oils)}
    return min(((OILS[kind].flash, kind) for kind in kinds), default=None)


def _near_flash(farm: Farm) -> str | None:
    heat_to, raw = farm.inputs.process.heat_to, raw_flash(farm)
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
    process, raw = farm.inputs.process, raw_flash(farm)
    energy = process.energy_per_volume
    if raw is None or process.heat_to is not None or energy is None or float(energy) <= 0.0:
        return None
    degrees = farm.wording.temperature
    return (
        "The file gives energy but no temperature. If you heat the oil, stay"
        f" {farm.degrees(HEATED_USE_MARGIN)} below its flash point: {raw[1]} with fuel in it can"
        f" flash at {degrees(raw[0])} or less (US OSHA 29 CFR 1910.106(a)(19))."
        f" {_ask_fire(farm)}"
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


def _boil_over_unstated(farm: Farm) -> str | None:
    process = farm.inputs.process
    energy = process.energy_per_volume
    if not farm.brings_oil or process.heat_to is not None or energy is None or energy <= 0.0:
        return None
    return (
        "The file gives energy but no temperature. If you heat oil: water boils at"
        f" {farm.wording.temperature(100.0)}, sooner in the hills and on the heater's own surface."
        " Under hot oil it turns to steam at once and throws the oil out. Settle and drain it"
        " first, fill no more than half, heat slowly, stand back."
    )


def _bonding_warm(farm: Farm) -> str | None:
    heat_to = farm.inputs.process.heat_to
    for use in farm.uses:
        liquid = use.substance
        if liquid is None or liquid.as_gasoline or liquid.flash > FIRE_CLASSES[1].below:
            continue
        warm = [fuel_temperature(farm, s) for s in use.seasons] + [float(heat_to or 0.0)]
        near = liquid.flash - HEATED_USE_MARGIN
        if max(warm) <= max(UNWARMED_FUEL, near):
            continue
        degrees = farm.wording.temperature
        return (
            f"{use.name}: {liquid.kind} flashes at {degrees(liquid.flash)}, and you warm oil or"
            f" fuel to {degrees(max(warm))}. Within {farm.degrees(HEATED_USE_MARGIN)} of its flash"
            " point US OSHA's yardstick 29 CFR 1910.106 handles it like gasoline: let the oil cool"
            f" below {degrees(near)} first, and bond and ground both metal containers."
            f" {_ask_fire(farm)}"
        )
    return None


def _carbon_monoxide(farm: Farm) -> str | None:
    heaters = some_names(use.name for use in farm.uses if not use.is_engine)
    if not heaters:
        return None
    return (
        f"{heaters}: carbon monoxide has no smell and kills. Burners need a flue to the outdoors,"
        " fresh air, a yearly look by a heating technician, and a carbon monoxide alarm where"
        " people sleep; used oil's smoke carries metals and soot besides, and gasoline never goes"
        f" in. {farm.ask_fire_office()}"
    )


def _rags(farm: Farm) -> str | None:
    if not farm.brings_oil:
        return None
    return (
        "Oily rags, absorbents and used filters can heat themselves and burn: about 900 US home"
        " fires a year start in oily rags. Keep them in a covered metal can, outdoors, and get rid"
        " of them daily (US OSHA 29 CFR 1926.252(e) asks covered, fire-resistant containers on"
        f" building sites). {_ask_fire(farm)}"
    )


def _tanks(farm: Farm) -> str | None:
    if not farm.brings_oil:
        return None
    volume = farm.wording.volume(farm.storage)
    return (
        f"Your {volume} of tanks and drums: each needs an open vent and room for the oil to swell,"
        " and someone standing by while it fills. Never put a closed drum on a heater or weld or"
        " cut one that held oil or fuel: it bursts (US OSHA 29 CFR 1910.106(b)(2) asks vents on"
        f" tanks). {_ask_fire(farm)}"
    )


def _warm_fuel(farm: Farm) -> str | None:
    for use in farm.uses:
        warmest = max(fuel_temperature(farm, season) for season in use.seasons)
        flash = lowest_flash(farm, use)
        # With gasoline there is no flash number, and the comparison is false.
        if warmest > UNWARMED_FUEL and warmest > flash - HEATED_USE_MARGIN:
            degrees = farm.wording.temperature
            return (
                f"{use.name}: fuel warmed to {degrees(warmest)}; its blend is estimated to flash at"
                f" {degrees(flash)}. Within {farm.degrees(HEATED_USE_MARGIN)} of the flash point US"
                " OSHA 29 CFR 1910.106(a)(19) handles a tank as a worse class. Have a closed-cup"
                f" test (ASTM D93) made. {_ask_fire(farm)}"
            )
    return None


def _flash(farm: Farm) -> str | None:
    gathered = [(lowest_flash(farm, use), use) for use in farm.uses]
    known = [(flash, use) for flash, use in gathered if not math.isnan(flash)]
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
        "gasoline_vapour",
        97,
        ("decide", "machines", "thinners", "household"),
        ("osha_1910_106", "mowrer_1989", "ljubas_flash"),
        False,
        _vapour,
        "A gasoline blend is gasoline: its vapour lights from a spark across a yard.",
    ),
    Caution(
        "gasoline_static",
        91,
        ("thinners", "cleaning"),
        ("osha_1910_106",),
        False,
        _static,
        "Pouring gasoline makes static: bond and ground both metal containers, outdoors.",
    ),
    Caution(
        "gasoline_containers",
        86,
        ("decide", "thinners", "storage"),
        ("nfpa_30",),
        False,
        _containers,
        "No gasoline blend in plastic totes, oil drums or ordinary pumps.",
    ),
    Caution(
        "gasoline_never_hot",
        95,
        ("thinners", "cleaning"),
        ("common_practice",),
        False,
        _never_hot,
        "Never heat a gasoline blend or run it through a centrifuge.",
    ),
    Caution(
        "gasoline_near_burner",
        94,
        ("machines", "thinners", "storage"),
        ("common_practice",),
        False,
        _burner_apart,
        "Keep gasoline apart from the burner: it flashes back.",
    ),
    Caution(
        "heated_near_flash",
        93,
        ("decide", "cleaning"),
        ("osha_1910_106", "astm_d93"),
        False,
        _near_flash,
        "The oil is heated near its flash point: have it tested before heating.",
    ),
    Caution(
        "water_boil_over",
        92,
        ("cleaning",),
        ("common_practice",),
        False,
        _boil_over,
        "Water under hot oil turns to steam and throws the oil out.",
    ),
    Caution(
        "boil_over_unstated",
        90,
        ("cleaning",),
        ("common_practice",),
        False,
        _boil_over_unstated,
        "If oil is heated: water under it turns to steam and throws it out.",
    ),
    Caution(
        "carbon_monoxide",
        98,
        ("decide", "machines", "household"),
        ("health_space_heaters", "epa_waste_oil_heaters", "common_practice"),
        False,
        _carbon_monoxide,
        "Carbon monoxide from the burner kills: flue outdoors, alarm, yearly service.",
    ),
    Caution(
        "tank_vents",
        84,
        ("storage", "cleaning"),
        ("osha_1910_106", "common_practice"),
        False,
        _tanks,
        "Vent every tank, watch it fill, never heat or weld a closed drum.",
    ),
    Caution(
        "bonding_when_warm",
        68,
        ("thinners", "cleaning"),
        ("osha_1910_106",),
        False,
        _bonding_warm,
        "Thinner near its flash point: let the oil cool; bond and ground containers.",
    ),
    Caution(
        "oily_rags",
        67,
        ("cleaning", "household"),
        ("osha_1926_252", "nfpa_oily_rags"),
        False,
        _rags,
        "Oily rags heat themselves: covered metal can, outdoors, emptied daily.",
    ),
    Caution(
        "heat_not_stated",
        56,
        ("cleaning",),
        ("osha_1910_106",),
        False,
        _heat_unstated,
        "Heating without a stated temperature: stay well below the flash point.",
    ),
    Caution(
        "warm_fuel_near_flash",
        64,
        ("machines", "thinners"),
        ("osha_1910_106", "hu_burns_1970", "astm_d93"),
        False,
        _warm_fuel,
        "Warmed fuel near its flash point: handle the tank as a worse class.",
    ),
    Caution(
        "gasoline_keeps",
        46,
        ("thinners", "storage"),
        ("common_practice",),
        False,
        _keeps,
        "Gasoline blend goes stale: mix no more than three months burn.",
    ),
    Caution(
        "ethanol_water",
        44,
        ("thinners", "storage"),
        ("common_practice",),
        False,
        _ethanol,
        "Gasoline with ethanol draws water and attacks old hoses.",
    ),
    Caution(
        "flash_estimated",
        22,
        ("thinners", "storage"),
        ("hu_burns_1970", "osha_1910_106", "astm_d93"),
        False,
        _flash,
        "The flash point is an estimate: only a closed-cup test tells.",
    ),
)
