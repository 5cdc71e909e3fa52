"""Cautions about what blend does to machines, and where its thickness is only an estimate."""

from dataclasses import dataclass

from econ.advice.cautions.farm import Caution, Farm, Use, some_names
from econ.advice.cautions.physics import band_in, fuel_temperature, in_cst
from econ.fuel.fitness import RULES
from econ.fuel.substances import GASOLINES
from econ.ground.wording import Wording
from econ.model.inputs import MachineInputs

# Ash of used oil, low and high. [share by mass]; used_oil_ash
USED_OIL_ASH = (0.005, 0.015)
# Most ash in No. 2 diesel. [share by mass]; astm_d975
DIESEL_ASH_LIMIT = 0.0001
# One engine maker's window at unit injectors. [cSt], [°C]; unit_injector_window
UNIT_INJECTOR_LEAST, UNIT_INJECTOR_MOST = 1.4, 20.0
UNIT_INJECTOR_WARMEST = 66.0

_UNIT_INJECTORS = ("unit injector", "hydraulic unit injector")
_DRY = (*GASOLINES, "kerosene", "mineral spirits")
_CONTROLS = ("particulate_filter", "catalyst", "exhaust_gas_recirculation", "optical_sensor")
_CONTROL_REASONS = {rule.text for rule in RULES if rule.key in _CONTROLS}
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def _engines(farm: Farm) -> list[Use]:
    return [use for use in farm.uses if use.is_engine]


def _has_controls(machine: MachineInputs) -> bool:
    """Give whether a machine has, or by its class or year must have, emission controls."""
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


@dataclass(frozen=True, slots=True)
class _Bill:
    """One part that the oil burned wears, with the replacements expected in a year."""

    machine: str
    part: str
    cost: float
    expected: float

    @property
    def how_often(self) -> str:
        """Give how often it comes, in words."""
        if self.expected > 0.75:
            return f"about {self.expected:.1f} times a year"
        return f"about once in {1.0 / self.expected:,.0f} years"


def _bills(farm: Farm) -> list[_Bill]:
    found = []
    for machine, year in zip(farm.inputs.machines, farm.outcome.typical.machines, strict=True):
        for part in machine.wear:
            expected, cost = float(part.failures * year.oil_used), float(part.cost)
            if expected * cost > 0.0:
                found.append(_Bill(machine.name, part.part, cost, expected))
    return found


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
    uses = [u for u in farm.uses if u.machine.engine == "rotary pump" and u.kind in _DRY]
    if not uses:
        return None
    use = max(uses, key=lambda use: use.most)
    return (
        f"{some_names(u.name for u in uses)}: a rotary pump has no lubricant but its fuel, and"
        f" {Wording.percent(use.most)} {use.kind} is a dry one; expect pump rebuilds about twice as"
        " often as with diesel as the thinner. Ask a pump shop before the first fill."
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
    """Give machines whose thinner alone is too thick, with the months."""
    found = []
    for machine, pair in zip(farm.inputs.machines, farm.outcome.blends, strict=True):
        months = [
            _MONTHS[month]
            for month in range(12)
            if machine.blend_months[month]
            and bool(machine.blend_share > 0.0)
            and bool(pair[int(farm.inputs.winter_months[month])].too_thick)
        ]
        if months:
            found.append((machine.name, months))
    return found


def _too_thick(farm: Farm) -> str | None:
    found = _too_thick_months(farm)
    if not found:
        return None
    return (
        f"{some_names(name for name, _ in found)}: in {', '.join(found[0][1])} even the thinner"
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
    use, season, band = max(bands, key=lambda found: float(found[2].high / found[2].low))
    degrees = farm.wording.temperature
    return (
        f"{use.name}: {in_cst(band.likely)} cSt at {degrees(fuel_temperature(farm, season))} is an"
        f" estimate; rules in print give {in_cst(band.low)} to {in_cst(band.high)}, and ASTM D7152"
        f" warns of used multigrade oil. Used engine oils measure 27 to 66 cSt at {degrees(40.0)}:"
        " time your oil and your blend through a cup first."
    )


def _exhaust(farm: Farm) -> str | None:
    names = some_names(use.name for use in _engines(farm))
    if not names:
        return None
    return (
        f"{names}: watch exhaust temperature and deposits. Stop blending at hard starting, white"
        " smoke when warm, knock, a rising oil level in the sump, or fuel filters that last half as"
        " long, and have a mechanic look."
    )


ENGINE_CAUTIONS = (
    Caution(
        "emission_controls", "grave", ("decide", "machines"),
        ("usc_42_7522",), False, _emission_controls,
    ),
    Caution("wear", "serious", ("decide", "machines", "money"), ("common_practice",), False, _wear),
    Caution("ash", "serious", ("machines",), ("astm_d975", "used_oil_ash"), False, _ash),
    Caution("no_standard", "serious", ("decide", "machines"), ("astm_d6448",), False, _standards),
    Caution(
        "dry_fuel_in_rotary_pump", "serious", ("machines", "thinners"),
        ("common_practice",), False, _rotary,
    ),
    Caution(
        "unit_injector_thickness", "serious", ("machines", "thinners"),
        ("unit_injector_window",), False, _unit_injector,
    ),
    Caution(
        "unit_injector_heat", "serious", ("machines",),
        ("unit_injector_window",), False, _hot_fuel,
    ),
    Caution("exhaust", "serious", ("machines",), ("common_practice",), False, _exhaust),
    Caution(
        "thinner_too_thick", "note", ("decide", "machines", "thinners"),
        ("astm_d7152",), False, _too_thick,
    ),
    Caution(
        "thickness_estimated", "note", ("machines", "thinners"),
        ("astm_d7152",), False, _thickness,
    ),
)  # fmt: skip
