"""Every caution speaks when its condition holds, is silent when not, and words itself with care."""

import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from builders import (
    WINTER,
    blending,
    farm,
    gallons,
    kit,
    machine,
    number,
    oil,
    process,
    thinner,
)

from econ.advice.cautions import CAUTIONS, CLOSING, SEVERITIES, Caution, Farm, cautions
from econ.advice.cautions.farm import some_names
from econ.fuel.fitness import assess
from econ.fuel.hazard import flash_estimate
from econ.ground.records import replace
from econ.ground.sources import SOURCES
from econ.model.inputs import WearPart, YearlyInputs

Make = Callable[[], Farm]

GARAGE = oil("Garage", own=False, volume_per_month=200.0)
NO_OIL = (oil(volume_per_month=0.0),)
WEAR = (WearPart("pump overhaul", number(3_800.0), number(1e-5)),)


def burner(**changes: object) -> dict[str, object]:
    return {"machines": (machine("Heater", engine="burner", replaces="heating_oil", **changes),)}


def judged(engine: str, year: int, controls: tuple[str, ...]) -> dict[str, object]:
    """Return a machine with its fit, kept off blend when excluded."""
    fit = assess(engine, year, controls, on_road=False, gasoline_share_above_zero=False)
    share = 0.0 if fit.key == "excluded" else 1.0
    return {"machines": (machine("Loader", engine=engine, fit=fit, blend_share=share),)}


def stores(raw: float, clean: float) -> dict[str, object]:
    return {"process": process(raw_storage=gallons(raw), clean_storage=gallons(clean))}


def heated(to_celsius: float) -> dict[str, object]:
    return {
        "process": process(
            energy_per_volume=None, heat_from=number(10.0), heat_to=number(to_celsius)
        )
    }


def thick_in_winter(kind: str) -> dict[str, object]:
    """Return a machine whose limit only a thin thinner reaches in the cold of winter."""
    return {
        "machines": (machine(thinner=0, viscosity_limit=number(3.0)),),
        "thinners": (thinner(kind),),
        "winter_months": WINTER,
        "fuel_temperature_winter": number(-10.0),
    }


@dataclass(frozen=True)
class Case:
    """A caution, a farm it speaks to and words it must use, and a farm near it without."""

    key: str
    speaks: Make
    says: str
    silent: Make


CASES = (
    Case(
        "exhaust_when_essential",
        lambda: farm(machines=(machine("Generator", essential_per_day=20.0),)),
        "carbon monoxide",
        farm,
    ),
    Case(
        "transfer_switch",
        lambda: farm(machines=(machine("Generator", essential_per_day=20.0),)),
        "transfer switch",
        farm,
    ),
    Case(
        "dyed_fuel_on_road",
        lambda: farm(machines=(machine("Truck", road_share=0.1),)),
        "26 USC 6715",
        lambda: farm(machines=(machine("Truck", road_share=0.0),)),
    ),
    Case(
        "untaxed_fuel_on_road",
        lambda: farm("metric", "AUD", machines=(machine("Ute", road_share=0.1),)),
        "Ute",
        lambda: farm("metric", "AUD", machines=(machine(road_share=0.1, replaces="road_diesel"),)),
    ),
    Case("ask_locally", lambda: farm("metric", "AUD"), "where you live", farm),
    Case(
        "australia",
        lambda: farm("metric", "AUD"),
        "Australian Taxation Office",
        lambda: farm("metric", "NZD"),
    ),
    Case("canada", lambda: farm("metric", "CAD"), "province", lambda: farm("metric", "EUR")),
    Case(
        "road_tax",
        lambda: farm(machines=(machine(road_share=0.1, replaces="road_diesel"),)),
        "24.4 cents a gallon",
        lambda: farm(machines=(machine(road_share=0.1, blend_share=0.0),)),
    ),
    Case(
        "road_tax_elsewhere",
        lambda: farm("metric", "AUD", road_tax=0.5, machines=(machine(road_share=0.1),)),
        "A$0.50/L",
        lambda: farm("metric", "AUD", road_tax=0.5),
    ),
    Case(
        "diesel_price_not_tied",
        lambda: farm(thinners=(thinner("diesel"),)),
        "price of its own",
        lambda: farm(thinners=(thinner("diesel", tied_to="farm_diesel"), thinner("kerosene"))),
    ),
    Case(
        "gasoline_vapour",
        lambda: farm(**blending("gasoline", 0.25)),
        "up to 25 % gasoline",
        lambda: farm(**blending("kerosene", 0.25)),
    ),
    Case(
        "gasoline_static",
        lambda: farm(**blending("gasoline E10", 0.25)),
        "bond and ground",
        lambda: farm(**blending("gasoline E10", 0.0)),
    ),
    Case(
        "gasoline_containers",
        lambda: farm(**blending("gasoline", 0.01)),
        "100 °F",
        lambda: farm(**blending("gasoline", 0.25, blend_share=0.0)),
    ),
    Case(
        "gasoline_never_hot",
        lambda: farm(**blending("gasoline", 0.25), **heated(80.0)),
        "You heat oil to 176 °F",
        lambda: farm(**blending("diesel", 0.25), **heated(80.0)),
    ),
    Case(
        "gasoline_near_burner",
        lambda: farm(**burner(), thinners=(thinner("gasoline"),)),
        "refused",
        lambda: farm(**burner(), thinners=(thinner("kerosene"),)),
    ),
    Case(
        "gasoline_keeps",
        lambda: farm(**blending("gasoline", 0.2)),
        "3 months",
        lambda: farm(**blending("kerosene", 0.2)),
    ),
    Case(
        "ethanol_water",
        lambda: farm(**blending("gasoline E10", 0.2)),
        "draws water",
        lambda: farm(**blending("gasoline", 0.2)),
    ),
    Case(
        "heated_near_flash",
        lambda: farm(**heated(45.0)),
        "You heat to 113 °F; engine oil with fuel in it can flash at 138 °F",
        lambda: farm(**heated(40.0)),
    ),
    Case(
        "water_boil_over",
        lambda: farm(**heated(95.0)),
        "212 °F",
        lambda: farm(**heated(80.0)),
    ),
    Case(
        "warm_fuel_near_flash",
        lambda: farm(**blending("kerosene", 0.4), fuel_temperature=50.0),
        "fuel warmed to 122 °F",
        lambda: farm(**blending("kerosene", 0.4), fuel_temperature=40.0),
    ),
    Case(
        "flash_estimated",
        lambda: farm(**blending("kerosene", 0.37)),
        "37 % kerosene, index method). US OSHA 29 CFR 1910.106: category 3",
        lambda: farm(**blending("gasoline", 0.37)),
    ),
    Case(
        "boil_over_unstated",
        lambda: farm(process=process(energy_per_volume=0.05)),
        "water boils at 212 °F",
        lambda: farm(**heated(80.0)),
    ),
    Case(
        "carbon_monoxide",
        lambda: farm(**burner()),
        "Heater: carbon monoxide",
        farm,
    ),
    Case("exhaust_indoors", farm, "closed shed", lambda: farm(**burner())),
    Case("tank_vents", farm, "211 gal of tanks", lambda: farm(oils=NO_OIL)),
    Case("oily_rags", farm, "900 US home fires", lambda: farm(oils=NO_OIL)),
    Case(
        "bonding_when_warm",
        lambda: farm(**blending("kerosene", 0.4), **heated(60.0)),
        "kerosene flashes at 100 °F, and you warm oil or fuel to 140 °F",
        lambda: farm(**blending("biodiesel", 0.4), **heated(60.0)),
    ),
    Case("children", farm, "drinking bottle", lambda: farm(oils=NO_OIL)),
    Case("breathing", farm, "benzene", lambda: farm(oils=NO_OIL)),
    Case(
        "centrifuge",
        lambda: farm(kit=(kit(900.0, 5, name="Small centrifuge"),)),
        "Small centrifuge: a rotor can burst",
        lambda: farm(kit=(kit(900.0, 5, name="Settling tank"),)),
    ),
    Case(
        "own_oil",
        farm,
        "brake-cleaner",
        lambda: farm(oils=(GARAGE,)),
    ),
    Case(
        "state_hazardous_waste",
        farm,
        "California's code (25250.4)",
        lambda: farm("metric", "AUD"),
    ),
    Case(
        "used_oil_in_later_engines",
        lambda: farm(**judged("rotary pump", 2012, ())),
        "40 CFR 80.522",
        lambda: farm(**judged("rotary pump", 2010, ())),
    ),
    Case("engine_runaway", farm, "air shut-off", lambda: farm(**burner())),
    Case(
        "filters_plug",
        lambda: farm(**blending("diesel", 0.4)),
        "0.5 %",
        farm,
    ),
    Case("warranty", farm, "warranty", lambda: farm(**burner())),
    Case(
        "fuel_blender",
        lambda: farm(
            **blending("diesel", 0.4, road_share=1.0, replaces="road_diesel", blend_share=0.5)
        ),
        "400 gal",
        lambda: farm(**blending("diesel", 0.4)),
    ),
    Case(
        "spill_conditions",
        lambda: farm(**stores(800.0, 680.0)),
        "1,000 gal on separate parcels",
        lambda: farm(**stores(660.0, 660.0)),
    ),
    Case("sheen", farm, "film on water", lambda: farm(oils=NO_OIL)),
    Case(
        "heat_not_stated",
        lambda: farm(process=process(energy_per_volume=0.05)),
        "no temperature",
        lambda: farm(**heated(95.0)),
    ),
    Case(
        "transformer_oil",
        lambda: farm(oils=(oil("Line crew", kind="transformer oil"),)),
        "from 2 ppm, disposal rules from 50 ppm",
        farm,
    ),
    Case(
        "hydraulic_oil",
        lambda: farm(oils=(oil("Bench", kind="hydraulic oil", own=False),)),
        "2 ppm",
        farm,
    ),
    Case(
        "halogens",
        lambda: farm(oils=(oil(), GARAGE)),
        "1,000 ppm",
        lambda: farm(oils=(oil(), replace(GARAGE, volume_per_month=number(0.0)))),
    ),
    Case(
        "heater_others_oil",
        lambda: farm(**burner(), oils=(GARAGE,)),
        "0.5 million Btu/h",
        lambda: farm(**burner(blend_share=0.0), oils=(GARAGE,)),
    ),
    Case(
        "heater_own_oil",
        lambda: farm(**burner()),
        "Beyond the rule: take one built for used oil",
        lambda: farm(**burner(), oils=(oil(), GARAGE)),
    ),
    Case(
        "off_specification",
        lambda: farm(**blending("gasoline", 0.2)),
        "which a gasoline blend must be taken to miss",
        lambda: farm(**blending("diesel", 0.2)),
    ),
    Case(
        "stays_used_oil",
        lambda: farm(**blending("kerosene", 0.2)),
        "mixed with kerosene it stays used oil",
        lambda: farm(**blending("diesel", 0.2)),
    ),
    Case(
        "pooled_oil",
        lambda: farm(**blending("diesel", 0.2), oils=(oil(), GARAGE)),
        "shares a store",
        lambda: farm(**blending("kerosene", 0.2), oils=(oil(), GARAGE)),
    ),
    Case(
        "processor",
        lambda: farm(oils=(GARAGE,)),
        "40 CFR 279.50",
        farm,
    ),
    Case(
        "transporter",
        lambda: farm(oils=(replace(GARAGE, load_volume=gallons(240.0)),)),
        "loads of 240 gal from Garage",
        lambda: farm(oils=(GARAGE,)),
    ),
    Case(
        "own_transport",
        lambda: farm(oils=(oil(load_volume=gallons(56.0), round_trip=5.0),)),
        "the limit without an EPA number is 55 gal",
        lambda: farm(oils=(oil(load_volume=gallons(55.0), round_trip=5.0),)),
    ),
    Case(
        "own_oil_with_diesel",
        lambda: farm(**blending("diesel", 0.2)),
        "279.20(a)(3)",
        lambda: farm(**blending("diesel", 0.2), oils=(oil(), GARAGE)),
    ),
    Case(
        "stationary_engine",
        lambda: farm(**blending("diesel", 0.2)),
        '"vehicles"',
        lambda: farm(**blending("diesel", 0.2, road_share=0.5)),
    ),
    Case(
        "generator",
        lambda: farm(oils=(oil(volume_per_month=gallons(41.0)),)),
        "comes to 41 gal a month; farmers averaging 25 gal",
        lambda: farm(oils=(oil(volume_per_month=gallons(24.9)),)),
    ),
    Case(
        "used_oil_label",
        lambda: farm(oils=(GARAGE,), **stores(300.0, 100.0)),
        "300 gal of raw storage",
        lambda: farm(oils=(oil(volume_per_month=gallons(24.9)),)),
    ),
    Case(
        "emission_controls",
        lambda: farm(**judged("late common rail", 2016, ("particulate filter",))),
        "every emission control stays on and working",
        lambda: farm(**judged("rotary pump", 2007, ())),
    ),
    Case(
        "wear",
        lambda: farm(machines=(machine("Tractor", wear=WEAR),)),
        "pump overhaul on Tractor, $3,800",
        lambda: farm(oils=NO_OIL),
    ),
    Case(
        "ash",
        lambda: farm(**blending("diesel", 0.8)),
        "10 to 30 times",
        lambda: farm(**burner()),
    ),
    Case(
        "no_standard",
        farm,
        "ASTM D6448",
        lambda: farm(machines=(machine(blend_share=0.0),)),
    ),
    Case(
        "dry_fuel_in_rotary_pump",
        lambda: farm(**blending("kerosene", 0.3, engine="rotary pump")),
        "30 % kerosene",
        lambda: farm(**blending("diesel", 0.3, engine="rotary pump")),
    ),
    Case(
        "unit_injector_thickness",
        lambda: farm(**blending("diesel", 0.1, engine="unit injector")),
        "1.4 to 20 cSt",
        lambda: farm(**blending("diesel", 0.8, engine="unit injector")),
    ),
    Case(
        "unit_injector_heat",
        lambda: farm(**blending("diesel", 0.5, engine="unit injector"), fuel_temperature=70.0),
        "151 °F",
        lambda: farm(**blending("diesel", 0.5, engine="inline pump"), fuel_temperature=70.0),
    ),
    Case("exhaust", farm, "white smoke when warm", lambda: farm(**burner())),
    Case(
        "thickness_estimated",
        lambda: farm(**blending("diesel", 0.475)),
        "10 cSt at 104 °F is an estimate",
        farm,
    ),
    Case(
        "no_source_found",
        lambda: farm(oils=(oil("Shop", kind="transmission fluid"),)),
        "transmission fluid: density, thickness)",
        lambda: farm(**blending("diesel", 0.3)),
    ),
    Case(
        "thinner_too_thick",
        lambda: farm(**thick_in_winter("diesel")),
        "in Jan, Feb, Dec",
        lambda: farm(**thick_in_winter("gasoline")),
    ),
    Case(
        "spill_plan",
        lambda: farm(**stores(800.0, 680.0)),
        "You plan 1,480 gal of oil storage; the limit is 1,320 gal",
        lambda: farm(**stores(660.0, 660.0)),
    ),
    Case(
        "spill_count",
        lambda: farm(**stores(660.0, 660.0)),
        "diesel tanks",
        lambda: farm(**stores(165.0, 110.0)),
    ),
    Case(
        "sludge",
        lambda: farm(process=process(loss_share=0.1)),
        "licensed collector",
        farm,
    ),
    Case(
        "store_not_steady",
        lambda: filling(0.01),
        "into store",
        lambda: filling(0.004),
    ),
    Case("skin", farm, "skin", lambda: farm(oils=NO_OIL)),
    Case(
        "mineral_spirits",
        lambda: farm(**blending("mineral spirits", 0.3)),
        "500 ppm",
        lambda: farm(**blending("kerosene", 0.3)),
    ),
    Case(
        "insurance",
        lambda: farm(yearly=(YearlyInputs("Farm insurance loading", number(250.0), number(0.0)),)),
        "the file enters $250 a year",
        lambda: farm(machines=(machine(blend_share=0.0),)),
    ),
    Case("smoke", farm, "neighbours", lambda: farm(**burner())),
)


def filling(share: float) -> Farm:
    """Return a farm whose clean store ends the typical year higher, by a share of its oil."""
    steady = farm()
    outcome = steady.outcome
    year = outcome.typical
    more = share * float(year.fuel["oil_collected"])
    flows = replace(year.flows, clean_end=np.asarray(float(year.flows.clean_start) + more))
    typical = replace(year, flows=flows)
    return replace(steady, outcome=replace(outcome, typical=typical))


ALL = tuple(
    pytest.param(make, id=f"{case.key}-{name}")
    for case in CASES
    for name, make in (("speaks", case.speaks), ("silent", case.silent))
)


def keys(one: Farm) -> list[str]:
    return [shown.key for shown in cautions(one)]


def text_of(key: str, one: Farm) -> str:
    return next(shown.text for shown in cautions(one) if shown.key == key)


def test_every_caution_has_a_case() -> None:
    assert len({row.key for row in CAUTIONS}) == len(CAUTIONS)
    assert {case.key for case in CASES} == {row.key for row in CAUTIONS}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.key)
def test_a_caution_speaks_with_the_farms_own_numbers(case: Case) -> None:
    assert case.says in text_of(case.key, case.speaks())


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.key)
def test_a_caution_is_silent_when_its_condition_is_absent(case: Case) -> None:
    assert case.key not in keys(case.silent())


@pytest.mark.parametrize("row", CAUTIONS, ids=lambda row: row.key)
def test_every_caution_has_a_basis_a_gravity_a_short_line_and_a_place(row: Caution) -> None:
    assert 1 <= row.gravity <= 99
    assert row.brief.endswith(".")
    assert len(row.brief) <= 80
    assert row.sources
    assert set(row.sources) <= set(SOURCES)
    assert row.severity in SEVERITIES
    # A grave one may stand on the first screen, where every number is to be weighed.
    assert row.severity != "grave" or not re.search(r"\d", row.brief)
    assert row.where


@pytest.mark.parametrize("make", ALL)
def test_words_are_plain_short_and_promise_nothing(make: Make) -> None:
    for shown in cautions(make()):
        assert len(shown.text) <= 400, shown.key
        assert shown.text.endswith("."), shown.key
        assert shown.basis, shown.key
        assert not re.search(
            r"legal|\bsafe\b|no problem|don't worry|allowed|you may\b|✓"
            r"|\de[+-]\d|\bnan\b|\binf\b|(?-i:None)",
            shown.text,
            re.IGNORECASE,
        ), shown.text


@pytest.mark.parametrize("make", ALL)
def test_us_rules_are_named_so_and_send_people_to_their_state(make: Make) -> None:
    one = make()
    us_rules = {row.key for row in CAUTIONS if row.us_rule}
    for shown in cautions(one):
        if shown.key in us_rules:
            assert one.us
            assert re.search(r"US federal|26 USC", shown.text), shown.key
            assert "Your state may be stricter" in shown.text, shown.key
        if re.search(r"\b(CFR|USC|OSHA)\b", shown.text):
            assert "US" in shown.text.replace("USC", ""), shown.key
            assert "Your state may be stricter" in shown.text or "US yardstick" in shown.text


@pytest.mark.parametrize("currency", ["AUD", "CAD", "EUR"])
def test_elsewhere_nobody_is_sent_to_a_us_state(currency: str) -> None:
    tables = blending("gasoline", 0.2) | stores(2_000.0, 2_000.0)
    one = farm("metric", currency, oils=(oil(), GARAGE), **tables)

    assert "ask_locally" in keys(one)
    assert not any("Your state may be stricter" in shown.text for shown in cautions(one))


@pytest.mark.parametrize(
    ("units", "currency", "expected"),
    [("us", "USD", True), ("us", "CAD", True), ("metric", "USD", True), ("metric", "AUD", False)],
)
def test_us_rules_apply_to_us_units_or_us_money(units: str, currency: str, expected: bool) -> None:
    assert farm(units, currency).us is expected


def test_a_metric_file_in_us_money_reads_limits_in_its_own_units() -> None:
    text = text_of("spill_plan", farm("metric", "USD", **stores(800.0, 680.0)))

    assert "You plan 5,602 L of oil storage; the limit is 4,997 L" in text


def test_what_kills_at_once_comes_before_law_and_money() -> None:
    one = farm(
        **blending("gasoline E10", 0.2, road_share=0.5),
        **heated(95.0),
        oils=(oil(kind="transformer oil"), GARAGE),
    )
    order = [SEVERITIES.index(shown.severity) for shown in cautions(one)]

    assert order == sorted(order)
    assert len(set(order)) == len(SEVERITIES)
    assert keys(one)[:2] == ["gasoline_vapour", "gasoline_never_hot"]
    assert keys(one).index("dyed_fuel_on_road") < keys(one).index("road_tax")


@pytest.mark.parametrize(
    "changes",
    [
        {"replaces": "farm_diesel"},
        {"replaces": "heating_oil"},
        {"replaces": "road_diesel", "thinner": 0, "thinner_share": 0.5},
    ],
    ids=["fuel", "heating oil", "thinner"],
)
def test_dyed_fuel_on_the_road_is_found_as_fuel_and_as_thinner(changes: dict[str, object]) -> None:
    one = farm(
        machines=(machine("Truck", road_share=0.5, **changes),),
        thinners=(thinner("diesel", tied_to="farm_diesel"),),
    )

    assert "dyed_fuel_on_road" in keys(one)


def test_a_road_machine_on_taxed_fuel_hears_nothing_of_dye() -> None:
    one = farm(
        machines=(machine(road_share=0.5, replaces="road_diesel", thinner=0, thinner_share=0.5),),
        thinners=(thinner("diesel", tied_to="road_diesel"),),
    )

    assert "dyed_fuel_on_road" not in keys(one)


CONTROL_WORDS = r"remov|bypass|delet|disabl|defeat|unplug|disconnect|not work|take \w+ off|blank"
NEGATIVE = r"\bnobody may\b|\bnever\b|\bmust not\b"


@pytest.mark.parametrize("make", ALL)
def test_nothing_speaks_of_taking_a_control_off_but_to_forbid_it(make: Make) -> None:
    for shown in cautions(make()):
        for sentence in re.split(r"(?<=[.;])\s", shown.text):
            if re.search(CONTROL_WORDS, sentence, re.IGNORECASE):
                assert re.search(NEGATIVE, sentence, re.IGNORECASE), sentence


def test_the_control_words_test_can_fail() -> None:
    assert re.search(CONTROL_WORDS, "Remove the filter and drive on.", re.IGNORECASE)
    assert not re.search(NEGATIVE, "Remove the filter and drive on.", re.IGNORECASE)


def test_recirculation_under_caution_also_stays() -> None:
    one = farm(**judged("inline pump", 2004, ("exhaust gas recirculation",)))

    assert "Loader" in text_of("emission_controls", one)


def test_a_farm_that_burns_nothing_hears_of_no_engine() -> None:
    silent = {"ash", "no_standard", "exhaust", "wear", "smoke", "stays_used_oil", "insurance"}

    assert not silent & set(keys(farm(machines=(machine(blend_share=0.0),))))


def test_months_without_fuel_or_blend_do_not_count() -> None:
    summer = tuple(not winter for winter in WINTER)
    tables = thick_in_winter("diesel")
    idle = replace(tables["machines"][0], blend_months=summer)  # type: ignore[index]

    assert "thinner_too_thick" not in keys(farm(**(tables | {"machines": (idle,)})))


def test_wear_of_nothing_is_told() -> None:
    assert "enters no extra wear" in text_of("wear", farm())


def test_insurance_missing_from_the_file_is_told() -> None:
    assert "enters no insurance cost" in text_of("insurance", farm())


def test_both_stores_are_told_when_both_move() -> None:
    one = filling(0.02)
    year = one.outcome.typical
    drained = replace(year.flows, raw_start=year.flows.raw_end + 50.0)
    outcome = replace(one.outcome, typical=replace(year, flows=drained))
    text = text_of("store_not_steady", replace(one, outcome=outcome))

    assert "13 gal of raw oil out of store and" in text
    assert "clean oil into store" in text


def test_names_are_counted_once_there_are_many() -> None:
    assert some_names(["A", "B"]) == "A and B"
    assert some_names(["A", "B", "C", "D"]) == "A, B and 2 more"
    assert some_names(["A, old", "B", "C"]) == "A, old; B and 1 more"


def test_the_closing_line_defers_to_local_codes_and_licensed_practice() -> None:
    assert "Local codes" in CLOSING
    assert "licensed practice" in CLOSING
    assert "legal" not in CLOSING.lower()


def test_thick_blend_is_written_without_powers_of_ten() -> None:
    tables = blending("diesel", 0.01, engine="unit injector")
    text = text_of("unit_injector_thickness", farm(**tables, fuel_temperature=0.0))

    assert re.search(r"estimated at \d{3} cSt at 32 °F", text)


def test_warm_gasoline_blend_gets_no_flash_number() -> None:
    result = keys(farm(**blending("gasoline", 0.2), fuel_temperature=60.0))

    assert "warm_fuel_near_flash" not in result
    assert "flash_estimated" not in result
    assert "gasoline_vapour" in result


def test_the_lowest_flash_of_all_machines_is_shown() -> None:
    two = (
        machine("Loader", thinner=0, thinner_share=0.4),
        machine("Tractor", thinner=1, thinner_share=0.4),
    )
    one = farm(machines=two, thinners=(thinner("biodiesel"), thinner("kerosene")))

    assert "Tractor" in text_of("flash_estimated", one)


def test_the_lowest_flash_of_all_oils_is_warned_from() -> None:
    # Engine oil flashes at 59 °C, transformer oil at 95: 50 °C is near the first alone.
    pooled = (oil(), oil("Line crew", kind="transformer oil"))

    assert "engine oil with fuel in it" in text_of(
        "heated_near_flash", farm(oils=pooled, **heated(50.0))
    )


def test_what_is_grave_is_what_can_kill_cannot_be_undone_or_is_a_federal_offence() -> None:
    # Judgement: the gravest stand open on every surface, the others behind a click.
    grave = {row.key for row in CAUTIONS if row.severity == "grave"}

    assert grave == {
        "boil_over_unstated", "carbon_monoxide", "centrifuge", "children",
        "dyed_fuel_on_road", "emission_controls", "engine_runaway",
        "exhaust_when_essential", "gasoline_containers", "gasoline_near_burner",
        "gasoline_never_hot", "gasoline_static", "gasoline_vapour", "heated_near_flash",
        "tank_vents", "transfer_switch", "transformer_oil", "untaxed_fuel_on_road",
        "used_oil_in_later_engines", "water_boil_over",
    }  # fmt: skip


def test_oils_of_one_kind_count_together_in_a_flash_estimate() -> None:
    dry = oil("Transformers", kind="transformer oil", volume_per_month=400.0)

    def flash_of(*volumes: float) -> str:
        oils = tuple(oil(f"Oil {k}", volume_per_month=volume) for k, volume in enumerate(volumes))
        return text_of("flash_estimated", farm(oils=(*oils, dry)))

    assert flash_of(60.0) == flash_of(10.0, 20.0, 30.0)
    assert flash_of(60.0) != flash_of(600.0)


def test_the_flash_estimate_is_of_oil_and_thinner_by_their_shares() -> None:
    made = farm(
        machines=(machine("Loader", thinner=0, thinner_share=0.4),), thinners=(thinner("kerosene"),)
    )
    blend = flash_estimate((0.6, 0.4), ("engine oil", "kerosene"))

    assert f" {made.wording.temperature(float(blend))} (Loader" in text_of("flash_estimated", made)
