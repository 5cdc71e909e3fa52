"""Cautions about what blend does to machines, and where its thickness is only an estimate."""

from msgspec import Struct

from econ.advice.cautions.farm import Caution, Farm, Use, some_names
from econ.advice.cautions.physics import band_in, fuel_temperature, in_cst, unsourced
from econ.fuel.fitness import RULES
from econ.fuel.viscosity_band import WORST_MEASURED_MISS
from econ.ground.wording import Wording
from econ.model.inputs import MachineInputs, OilInputs, ThinnerInputs

# Ash of used oil, low and high. [share by mass]; used_oil_ash
USED_OIL_ASH = (0.005, 0.015)
# Most ash in No. 2 diesel. [share by mass]; astm_d975
DIESEL_ASH_LIMIT = 0.0001
# One engine maker's window at unit injectors. [cSt], [°C]; unit_injector_window
UNIT_INJECTOR_LEAST, UNIT_INJECTOR_MOST = 1.4, 20.0
UNIT_INJECTOR_WARMEST = 66.0

_UNIT_INJECTORS = ("unit injector", "hydraulic unit injector")
# Rules of fit for the model years that the bar on used motor oil names.
_LATER = ("road_2006", "off_road_2011")
_LATER_REASONS = {rule.text for rule in RULES if rule.key in _LATER}
_CONTROLS = ("particulate_filter", "catalyst", "exhaust_gas_recirculation", "optical_sensor")
_CONTROL_REASONS = {rule.text for rule in RULES if rule.key in _CONTROLS}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def _engines(farm: Farm) -> list[Use]:
    return [use for use in farm.uses if use.is_engine]


def _has_controls(machine: MachineInputs) -> bool:
    """Return whether a machine has, or by its class or year must have, emission controls."""
    return machine.fit.key == "excluded" or any(r in _CONTROL_REASONS for r in machine.fit.reasons)


def _emission_controls(farm: Farm) -> str | None:
    names = some_names(m.name for m in farm.inputs.machines if _has_controls(m))
    if not names:
        return None
    text = (
        f"{names}: every emission control stays on and working, whatever the fuel; a machine it"
        " keeps from burning blend burns pump diesel."
    )
    if not farm.us:
        return f"{text} Ask your road and environment offices what binds there."
    return (
        f"{text} US federal rule (42 USC 7522(a)(3)): nobody may knowingly remove one or make it"
        " not work. Your state may be stricter: ask its air office."
    )


def _later_engines(farm: Farm) -> str | None:
    """Speak where used engine oil meets an engine of the years that the rule names."""
    if not any(oil.kind == "engine oil" for oil in (*farm.own_oils, *farm.other_oils)):
        return None
    later = [m for m in farm.inputs.machines if _LATER_REASONS & set(m.fit.reasons)]
    if not later:
        return None
    return (
        f"{some_names(m.name for m in later)}: a US federal rule (40 CFR 80.522) bars used motor"
        " oil from diesel engines of model years 2007 on the road, 2011 off it, and later, unless"
        " certified on it. Its title and EPA's slides were read, its text is from memory, and where"
        " it now stands in part 1090 was not found: ask EPA. Your state may be stricter: ask its"
        " air office."
    )


def _runaway(farm: Farm) -> str | None:
    engines = _engines(farm)
    if not engines:
        return None
    thin = any(use.has_gasoline for use in engines)
    extra = " Gasoline vapour makes it likelier." if thin else ""
    return (
        f"{some_names(use.name for use in engines)}: a diesel can run away on vapour, or on thin"
        " fuel past its rings, and the key will not stop it: only shutting off its air does. Fit an"
        " air shut-off, keep a flat board or a CO2 extinguisher for the intake, stand clear, and"
        f" run no engine where fuel is handled.{extra}"
    )


def _filters_plug(farm: Farm) -> str | None:
    uses = [use for use in _engines(farm) if use.substance and not use.has_gasoline]
    if not uses:
        return None
    return (
        f"{some_names(use.name for use in uses)}: additives of engine oil can react with those of"
        f" {uses[0].kind} and plug filters, which cleaning the oil does not prevent; oil put into"
        " fuel was generally under 0.5 % where that was seen. Carry spare filters, and change"
        " supplier slowly."
    )


def _warranty(farm: Farm) -> str | None:
    names = some_names(use.name for use in _engines(farm))
    if not names:
        return None
    return (
        f"{names}: a maker, lender or lessor can refuse a claim for damage from fuel outside its"
        " manual. Where a warranty, an emission warranty or a lease runs, ask in writing first."
    )


def _ash(farm: Farm) -> str | None:
    engines = _engines(farm)
    if not engines:
        return None
    oil = 1.0 - min(use.least for use in engines)
    low, high = (oil * ash for ash in USED_OIL_ASH)
    return (
        f"At {Wording.percent(oil)} used oil the blend holds about {100 * low:.2g} to"
        f" {100 * high:.2g} % ash, {low / DIESEL_ASH_LIMIT:.0f} to {high / DIESEL_ASH_LIMIT:.0f}"
        f" times the {100 * DIESEL_ASH_LIMIT:.2g} % that diesel may hold (ASTM D975). It wears"
        " rings and injectors and stays as deposits."
    )


def _standards(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses)
    if not names:
        return None
    return (
        f"{names}: no fuel standard covers this blend. ASTM D6448, for burner fuels from used oil,"
        " says they are not intended for residential heaters, small commercial boilers or"
        " combustion engines. Ask the machine's maker."
    )


class _Bill(Struct, frozen=True):
    """One part that the oil burned wears, with the replacements expected in a year."""

    machine: str
    part: str
    cost: float
    expected: float

    @property
    def how_often(self) -> str:
        """Return how often it comes, in words."""
        if self.expected > 0.75:
            return f"about {self.expected:.1f} times a year"
        return f"about once in {1.0 / self.expected:,.0f} years"


def _bills(farm: Farm) -> list[_Bill]:
    result = []
    for machine, year in zip(farm.inputs.machines, farm.outcome.typical.machines, strict=True):
        for part in machine.wear:
            expected, cost = float(part.failures * year.oil_used), float(part.cost)
            if expected * cost > 0.0:
                result.append(_Bill(machine.name, part.part, cost, expected))
    return result


def _wear(farm: Farm) -> str | None:
    burned = float(farm.outcome.typical.fuel["oil_used"])
    if not burned > 0.0:
        return None
    bills, money = _bills(farm), farm.wording.money
    if not bills:
        return (
            f"The file enters no extra wear, yet {farm.wording.volume(burned)} of used oil a year"
            " wears injectors, pumps and filters faster. Enter what your mechanic expects."
        )
    weighs = max(bills, key=lambda bill: bill.cost * bill.expected)
    largest = max(bill.cost for bill in bills)
    return (
        "Injectors and pumps wear faster on blend: about"
        f" {money(float(farm.outcome.typical.costs['wear']))} in an average year, but it comes as"
        f" bills. What weighs most: {weighs.part} on {weighs.machine}, {money(weighs.cost)},"
        f" {weighs.how_often}; the largest single bill is {money(largest)}."
    )


def _rotary(farm: Farm) -> str | None:
    rotary = [use for use in farm.uses if use.machine.engine == "rotary pump"]
    uses = [use for use in rotary if use.substance and use.substance.runs_dry]
    if not uses:
        return None
    use = max(uses, key=lambda use: use.most)
    return (
        f"{some_names(u.name for u in uses)}: a rotary pump has no lubricant but its fuel, and"
        f" {Wording.percent(use.most)} {use.kind} is a dry one: pump rebuilds come sooner than with"
        " diesel as the thinner, how much sooner nobody has published. Ask a pump shop before the"
        " first fill."
    )


def _unit_injector(farm: Farm) -> str | None:
    if not farm.inputs.oils:
        return None
    for use in farm.uses:
        if use.machine.engine not in _UNIT_INJECTORS:
            continue
        for season in use.seasons:
            viscosity = band_in(farm, use, season).likely
            if UNIT_INJECTOR_LEAST <= float(viscosity) <= UNIT_INJECTOR_MOST:
                continue
            warm = farm.wording.temperature(fuel_temperature(farm, season))
            window = f"{UNIT_INJECTOR_LEAST:g} to {UNIT_INJECTOR_MOST:g} cSt"
            return (
                f"{use.name}: the blend is estimated at {in_cst(viscosity)} cSt at {warm}; one"
                f" engine maker asks for {window} at its unit injectors (guidance, not a general"
                " limit). Ask your engine's maker."
            )
    return None


def _hot_fuel(farm: Farm) -> str | None:
    for use in farm.uses:
        warmest = max(fuel_temperature(farm, season) for season in use.seasons)
        if use.machine.engine in _UNIT_INJECTORS and warmest > UNIT_INJECTOR_WARMEST:
            return (
                f"{use.name}: fuel at {farm.wording.temperature(warmest)}; one engine maker allows"
                f" {farm.wording.temperature(UNIT_INJECTOR_WARMEST)} at its unit injectors. Ask"
                " your engine's maker."
            )
    return None


def _too_thick_months(farm: Farm) -> list[tuple[str, list[str]]]:
    """Return machines whose thinner alone is too thick, with the months."""
    result = []
    for machine, pair in zip(farm.inputs.machines, farm.outcome.blends, strict=True):
        months = [
            _MONTHS[month]
            for month in range(12)
            if machine.blend_months[month]
            and bool(machine.blend_share > 0.0)
            and bool(pair[int(farm.inputs.winter_months[month])].too_thick)
        ]
        if months:
            result.append((machine.name, months))
    return result


def _too_thick(farm: Farm) -> str | None:
    result = _too_thick_months(farm)
    if not result:
        return None
    return (
        f"{some_names(name for name, _ in result)}: in {', '.join(result[0][1])} even the thinner"
        " alone is thicker than the limit at the fuel's temperature, so pump fuel is burned then."
    )


def _thickness(farm: Farm) -> str | None:
    bands = [
        (use, season, band_in(farm, use, season))
        for use in farm.uses
        for season in use.seasons
        if use.thinner is not None and farm.inputs.oils
    ]
    if not bands:
        return None
    use, season, band = max(bands, key=lambda result: float(result[2].high / result[2].low))
    degrees = farm.wording.temperature
    return (
        f"{use.name}: {in_cst(band.likely)} cSt at {degrees(fuel_temperature(farm, season))} is an"
        f" estimate. Blending rules give {in_cst(band.low)} to {in_cst(band.high)}, no error bar:"
        f" mixtures measured up to {Wording.percent(WORST_MEASURED_MISS)} off, and ASTM D7152 warns"
        f" of used multigrade oil. One used engine oil measured 27 cSt at {degrees(40.0)}, another"
        " about 60, new ones 66 to 112: time yours through a cup first."
    )


def _no_source(farm: Farm) -> str | None:
    """Name the figures that decide here and that nobody was found to have published."""
    oils = farm.own_oils + farm.other_oils if farm.uses else ()
    thinners = [use.thinner for use in farm.uses if use.thinner is not None]
    entries: list[OilInputs | ThinnerInputs] = [*oils, *thinners]
    # Many machines burn the same few thinners: each is looked at once.
    fields_of = {key: unsourced(entry) for key, entry in {id(e): e for e in entries}.items()}
    named = {entry.kind: fields_of[id(entry)] for entry in entries if fields_of[id(entry)]}
    if not named:
        return None
    listed = "; ".join(f"{kind}: {', '.join(fields)}" for kind, fields in named.items())
    return (
        f"No source was found for usual values that this rests on ({listed}). They are judgement:"
        " have yours measured and enter them, as viscosity_40, viscosity_100, density and energy of"
        " an oil, density and energy of a thinner."
    )


def _exhaust(farm: Farm) -> str | None:
    names = some_names(use.name for use in _engines(farm))
    if not names:
        return None
    return (
        f"{names}: watch exhaust temperature and deposits. Stop blending at hard starting, white"
        " smoke when warm, knock, a rising oil level in the sump, or fuel filters that plug sooner"
        " and sooner, and have a mechanic look."
    )


ENGINE_CAUTIONS = (
    Caution(
        "emission_controls",
        72,
        ("decide", "machines"),
        ("usc_42_7522",),
        False,
        _emission_controls,
        "Every emission control stays on and working, whatever the fuel.",
    ),
    Caution(
        "used_oil_in_later_engines",
        74,
        ("decide", "machines", "oils"),
        ("cfr_80_522", "epa_diesel_slides", "from_memory"),
        True,
        _later_engines,
        "Used motor oil is barred from later diesels by a US federal rule.",
    ),
    Caution(
        "engine_runaway",
        88,
        ("decide", "machines", "household"),
        ("ontario_runaway", "cfr_30_250_610", "common_practice"),
        False,
        _runaway,
        "A diesel can run away on vapour: only shutting off its air stops it.",
    ),
    Caution(
        "filters_plug",
        36,
        ("machines", "thinners"),
        ("sae_2003_01_3139",),
        False,
        _filters_plug,
        "Oil additives and fuel additives can react and plug filters.",
    ),
    Caution(
        "warranty",
        35,
        ("decide", "machines", "money"),
        ("common_practice",),
        False,
        _warranty,
        "Warranty, lender or lease: ask in writing before the first fill.",
    ),
    Caution(
        "wear",
        55,
        ("decide", "machines", "money"),
        ("common_practice",),
        False,
        _wear,
        "Injectors and pumps wear faster on blend, and it comes as bills.",
    ),
    Caution(
        "ash",
        40,
        ("machines",),
        ("astm_d975", "used_oil_ash"),
        False,
        _ash,
        "The blend holds many times the ash that diesel may hold.",
    ),
    Caution(
        "no_standard",
        45,
        ("decide", "machines"),
        ("astm_d6448",),
        False,
        _standards,
        "No fuel standard covers this blend: ask the machine's maker.",
    ),
    Caution(
        "dry_fuel_in_rotary_pump",
        43,
        ("machines", "thinners"),
        ("common_practice",),
        False,
        _rotary,
        "A rotary pump has no lubricant but its fuel, and this thinner is a dry one.",
    ),
    Caution(
        "unit_injector_thickness",
        42,
        ("machines", "thinners"),
        ("unit_injector_window",),
        False,
        _unit_injector,
        "The blend is outside one maker's window of thickness at unit injectors.",
    ),
    Caution(
        "unit_injector_heat",
        41,
        ("machines",),
        ("unit_injector_window",),
        False,
        _hot_fuel,
        "The fuel is warmer than one maker allows at unit injectors.",
    ),
    Caution(
        "exhaust",
        39,
        ("machines",),
        ("common_practice",),
        False,
        _exhaust,
        "Watch exhaust and deposits; stop at hard starting, white smoke or knock.",
    ),
    Caution(
        "thinner_too_thick",
        12,
        ("decide", "machines", "thinners"),
        ("astm_d7152",),
        False,
        _too_thick,
        "In some months even the thinner is too thick: pump fuel is burned then.",
    ),
    Caution(
        "no_source_found",
        25,
        ("decide", "oils", "thinners"),
        ("no_source_found",),
        False,
        _no_source,
        "Some usual values rest on no source: have yours measured.",
    ),
    Caution(
        "thickness_estimated",
        26,
        ("machines", "thinners"),
        (
            "astm_d7152",
            "cyclohexane_hexadecane",
            "noaa_used_oil",
            "noaa_used_motor_oil",
            "noaa_virgin_oil",
            "noaa_diesel_engine_oil",
        ),
        False,
        _thickness,
        "The blend's thickness is an estimate: time it through a cup first.",
    ),
)
