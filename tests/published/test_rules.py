"""Thresholds of rules and standards, each taken from its text, held at both sides.

The rows give the printed words' number; the farm is built on each side of it, so a threshold
moved by a digit, a unit or an equal sign is caught.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass

import pytest
from builders import blending, farm, gallons, machine, number, oil, process, thinner
from printed import outside

from econ.advice.cautions import Farm, cautions
from econ.fuel.fitness import assess
from econ.fuel.viscosity_band import cold_limit
from econ.ground.records import replace
from econ.model.equal_job import thinner_part

At = Callable[[float], Farm]


def shown(one: Farm) -> dict[str, str]:
    return {caution.key: caution.text for caution in cautions(one)}


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32.0) / 1.8


def heated_to(fahrenheit: float) -> Farm:
    cleaning = process(
        energy_per_volume=None, heat_from=number(5.0), heat_to=number(celsius(fahrenheit))
    )
    return farm(process=cleaning)


def stored(volume: float) -> Farm:
    return farm(process=process(raw_storage=gallons(volume), clean_storage=gallons(0.0)))


def own_oil(volume: float) -> Farm:
    return farm(oils=(oil(volume_per_month=gallons(volume)),))


def own_load(volume: float) -> Farm:
    return farm(oils=(oil(load_volume=gallons(volume), round_trip=10.0),))


def warm_fuel(fahrenheit: float) -> Farm:
    tables = blending("diesel", 0.5, engine="unit injector")
    return farm(**tables, fuel_temperature=celsius(fahrenheit))


@dataclass(frozen=True)
class Threshold:
    """A number in print: the caution it moves, the last value below and the first above."""

    source: str
    key: str
    at: At
    silent: float
    speaks: float
    prints: str


THRESHOLDS = (
    Threshold(
        # 40 CFR 112.1(d)(2)(ii): exempt when "aggregate aboveground storage capacity of the
        # facility is 1,320 gallons or less of oil". [gal]
        "40 CFR 112.1(d)(2)(ii)", "spill_plan", stored, 1_320.0, 1_320.1, "1,320 gal",
    ),
    Threshold(
        # 40 CFR 279.20(a)(4): farmers who generate "an average of 25 gallons per month or less"
        # in a calendar year. [gal/month]
        "40 CFR 279.20(a)(4)", "generator", own_oil, 25.0, 25.1, "25 gal",
    ),
    Threshold(
        # 40 CFR 279.24(a)(2): "no more than 55 gallons of used oil at any time". [gal]
        "40 CFR 279.24(a)(2)", "own_transport", own_load, 55.0, 55.1, "55 gal",
    ),
    Threshold(
        # 29 CFR 1910.106(a)(19)(iii) and (iv): "heated for use to within 30 °F of its
        # flashpoint". Used engine oil: 59 °C (138 °F) measured (NOAA oil data, one sample).
        "29 CFR 1910.106(a)(19)", "heated_near_flash", heated_to, 108.0, 108.3, "30 °F",
    ),
    Threshold(
        # Unit injectors: at most 66 °C (150 °F) fuel; one engine maker, not named in the text.
        "unit-injector guidance", "unit_injector_heat", warm_fuel, 150.0, 151.0, "151 °F",
    ),
)  # fmt: skip


for _row in THRESHOLDS:
    outside(_row.source, [(_row.key, _row.silent)])


@pytest.mark.parametrize("row", THRESHOLDS, ids=lambda row: row.key)
def test_a_threshold_is_where_its_text_puts_it(row: Threshold) -> None:
    assert row.key not in shown(row.at(row.silent))
    assert row.prints in shown(row.at(row.speaks))[row.key]


@dataclass(frozen=True)
class Words:
    """Numbers that a caution must print as its source does."""

    source: str
    key: str
    one: Callable[[], Farm]
    prints: tuple[str, ...]


GARAGE = oil("Garage", own=False, load_volume=gallons(100.0), volume_per_month=200.0)

WORDS = (
    Words(
        # Table 1: arsenic 5, cadmium 2, chromium 10, lead 100 ppm maximum; flash point 100 °F
        # minimum; total halogens 4,000 ppm maximum.
        "40 CFR 279.11, table 1",
        "off_specification",
        farm,
        ("arsenic 5", "cadmium 2", "chromium 10", "lead 100", "halogens 4,000 ppm", "100 °F"),
    ),
    Words(
        # "Used oil containing more than 1,000 ppm total halogens is presumed to be a hazardous
        # waste".
        "40 CFR 279.11, table 1, note 2; 279.10(b)(1)",
        "halogens",
        lambda: farm(oils=(GARAGE,)),
        ("over 1,000 ppm halogens", "presumed hazardous waste"),
    ),
    Words(
        # "not more than 0.5 million Btu per hour"; own or household do-it-yourselfers' oil;
        # "vented to the ambient air".
        "40 CFR 279.23, as in Ohio 3745-279-23",
        "heater_others_oil",
        lambda: farm(machines=(machine(engine="burner"),), oils=(GARAGE,)),
        ("0.5 million Btu/h", "household do-it-yourselfers'", "vented outdoors"),
    ),
    Words(
        "40 CFR 279.24(a), 279.42(a)",
        "transporter",
        lambda: farm(oils=(GARAGE,)),
        ("100 gal from Garage", "55 gal", "279.24", "279.42"),
    ),
    Words(
        # 2 ppm: burner and marketer rules; 50 ppm: disposal rules; "may not be avoided through
        # dilution".
        "40 CFR 761.20(e), EPA P1014BV1 (2018)",
        "transformer_oil",
        lambda: farm(oils=(oil(kind="transformer oil"),)),
        ("2 ppm", "50 ppm", "thinning changes neither"),
    ),
    Words(
        # "the greater of $1,000, or $10 for each gallon of the dyed fuel".
        "26 USC 6715",
        "dyed_fuel_on_road",
        lambda: farm(machines=(machine(road_share=0.5),)),
        ("$1,000", "$10 a gallon"),
    ),
    Words(
        # "Containers of oil with a capacity of 55 gallons or greater are counted".
        "40 CFR 112.1(d)(5)",
        "spill_count",
        lambda: stored(1_000.0),
        ("drums of 55 gal and more",),
    ),
    Words(
        # Section 1049: tanks up to 1,000 gal on separate parcels do not count; a plan of 6,000 to
        # 20,000 gal without a tank over 10,000 gal may be certified by the owner.
        "WRRDA 2014, section 1049, by a law firm's note on farms",
        "spill_conditions",
        lambda: stored(1_400.0),
        ("up to 1,000 gal on separate", "from 6,000 gal to 20,000 gal", "no tank over 10,000 gal"),
    ),
    Words(
        # "Mixtures ... less than 400 gallons" of untaxed liquid "during a calendar quarter".
        "IRS Publication 510, blended taxable fuel",
        "fuel_blender",
        lambda: farm(machines=(machine(road_share=0.5, replaces="road_diesel"),)),
        ("under 400 gal of untaxed", "Form 720", "Form 637"),
    ),
    Words(
        # NFPA, second hand: about 900 home fires a year; covered containers.
        "29 CFR 1926.252(e)",
        "oily_rags",
        farm,
        ("about 900 US home fires",),
    ),
    Words(
        # 66,000 calls and 40,000 emergency visits, children under 5, 2000 to 2009.
        "Pediatrics, June 2013, as reported by the American Academy of Pediatrics",
        "children",
        farm,
        ("40,000 children under 5",),
    ),
    Words(
        # "the disposal mixing is generally less than 0.5%".
        "SAE 2003-01-3139, quoted in Army Logistician",
        "filters_plug",
        lambda: farm(**blending("diesel", 0.4)),
        ("generally under 0.5 %",),
    ),
    Words(
        # 24.3 + 0.1 cents a gallon.
        "26 USC 4041(a)(1), 4081(a)(2)",
        "road_tax",
        lambda: farm(machines=(machine(road_share=0.5, replaces="road_diesel"),)),
        ("24.4 cents a gallon",),
    ),
    Words(
        # Used oil ash 0.5 to 1.5 % (trade data sheet); 2-D diesel 0.01 % (ASTM D975): 50 to 150
        # times.
        "ASTM D975, table 1",
        "ash",
        farm,
        ("0.5 to 1.5 %", "0.01 %", "50 to 150 times"),
    ),
    Words(
        # "not intended for use in residential heaters, small commercial boilers, or combustion
        # engines".
        "ASTM D6448, 1.1",
        "no_standard",
        farm,
        ("residential heaters, small commercial boilers or combustion engines",),
    ),
    Words(
        # Permissible exposure limit 500 ppm, 8-hour average; NIOSH 350 mg/m³.
        "OSHA Chemical Sampling Information, Stoddard solvent",
        "mineral_spirits",
        lambda: farm(**blending("mineral spirits", 0.3)),
        ("500 ppm", "350 mg/m³"),
    ),
    Words(
        # "Only liquids with a closed cup flash point of 38 °C (100 °F) or greater are permitted"
        # in nonmetallic bulk containers.
        "NFPA 30, as in the IBC General Fact Sheet",
        "gasoline_containers",
        lambda: farm("metric", "AUD", **blending("gasoline", 0.2)),
        ("below 38 °C",),
    ),
)


# The numbers of the printed words, but for those of the sections that they cite.
for _words in WORDS:
    outside(
        _words.source,
        [
            (f"{_words.key}: {text}", float(number_.replace(",", "")))
            for text in _words.prints
            if not re.match(r"279\.", text)
            for number_ in re.findall(r"\d[\d,]*\.?\d*", text)
        ],
    )
outside("WRRDA 2014, section 1049", [("farms under", 2_500.0), ("clean record under", 6_000.0)])


@pytest.mark.parametrize("row", WORDS, ids=lambda row: row.key)
def test_a_caution_prints_its_sources_numbers(row: Words) -> None:
    text = shown(row.one())[row.key]

    for words in row.prints:
        # Not as the head or the tail of a longer number.
        assert re.search(rf"(?<!\d){re.escape(words)}(?![\d,.]*\d)", text), words


@pytest.mark.parametrize(
    ("gal", "says"),
    [
        # WRRDA 2014, section 1049: farms under 2,500 gal; 2,500 to 6,000 gal with no reportable
        # discharge; a plan above.
        (1_400.0, "needs no plan under 2,500 gal"),
        (2_499.9, "needs no plan under 2,500 gal"),
        (2_500.0, "under 6,000 gal needs none with"),
        (5_999.0, "under 6,000 gal needs none with"),
        (6_000.0, "6,000 gal and more need one too"),
    ],
)
def test_farm_levels_of_the_spill_rule(gal: float, says: str) -> None:
    assert says in shown(stored(gal))["spill_plan"]


@pytest.mark.parametrize(
    ("share", "kind", "inside"),
    [
        # 1.4 to 20 cSt at the injector; one engine maker's guidance. Diesel alone is 1.9 to 4.1
        # cSt at 40 °C (ASTM D975) and stays inside, gasoline alone 0.5 to 0.6 (DOE AFDC) and
        # used engine oil 27 to 66 (measured) do not.
        (0.999, "diesel", True),
        (0.999, "gasoline", False),
        (0.001, "diesel", False),
    ],
)
def test_the_unit_injector_window(share: float, kind: str, inside: bool) -> None:
    result = shown(farm(**blending(kind, share, engine="unit injector")))

    assert ("unit_injector_thickness" not in result) is inside


def injected_at(viscosity: float, kind: str) -> Farm:
    """Return a farm whose unit injectors see a thinner alone at a viscosity in cSt."""
    thin = thinner_part(thinner(kind))
    warm = float(cold_limit(thin.line, viscosity))
    return farm(**blending(kind, 1.0 - 1e-9, engine="unit injector"), fuel_temperature=warm)


@pytest.mark.parametrize(
    ("viscosity", "kind", "speaks"),
    [
        # The same window, at both of its ends: 1.4 to 20 cSt.
        (1.38, "kerosene", True),
        (1.42, "kerosene", False),
        (19.8, "biodiesel", False),
        (20.2, "biodiesel", True),
    ],
)
def test_the_unit_injector_window_ends_where_it_is_printed(
    viscosity: float, kind: str, speaks: bool
) -> None:
    assert ("unit_injector_thickness" in shown(injected_at(viscosity, kind))) is speaks


outside("unit-injector guidance", [("least at the injector", 1.4), ("warmest fuel", 66.0)])


@pytest.mark.parametrize(
    ("kind", "own", "leaves"),
    [
        # EPA, What are Used Oil Mixing Requirements? (July 1997): "Used oil mixed with a fuel
        # other than diesel is considered used oil"; mixed with diesel it is not "if the
        # resulting mixture is used as fuel in engines owned by the persons who generated the
        # original used oil".
        ("diesel", True, True),
        ("diesel", False, False),
        ("kerosene", True, False),
        ("gasoline", True, False),
        ("mineral spirits", True, False),
        ("biodiesel", True, False),
    ],
)
def test_only_own_oil_with_diesel_leaves_the_used_oil_rules(
    kind: str, own: bool, leaves: bool
) -> None:
    result = shown(farm(**blending(kind, 0.4), oils=(oil(own=own),)))

    assert ("own_oil_with_diesel" in result) is leaves
    assert ("stays_used_oil" in result) is not leaves


def test_an_own_diesel_mix_beside_another_machines_gasoline_is_treated_apart() -> None:
    # Same fact sheet: each mixture is judged by itself.
    two = (
        machine("Loader", thinner=0, thinner_share=0.4),
        machine("Tractor", thinner=1, thinner_share=0.2),
    )
    result = shown(farm(machines=two, thinners=(thinner("diesel"), thinner("gasoline"))))

    assert "Loader" in result["own_oil_with_diesel"]
    assert "Tractor" not in result["own_oil_with_diesel"]
    assert "Tractor" in result["stays_used_oil"]
    assert "Loader" not in result["stays_used_oil"]


def test_filtering_and_blending_others_oil_is_processing() -> None:
    # 40 CFR 279.50(a): "blending used oil with virgin petroleum products ... filtration".
    ours = oil()
    result = shown(farm(oils=(ours, replace(GARAGE, load_volume=None))))

    assert "279.50" in result["processor"]
    assert "transporter" not in result


@pytest.mark.parametrize(
    ("year", "road", "key"),
    [
        # Common practice, no source: engines of 2006 and later with emission controls are left
        # on pump diesel. The US bar on used motor oil (40 CFR 80.522) begins with model years
        # 2007 on the road (EPA's slides: "MY 2007 and later vehicles") and 2011 off it (from
        # memory).
        (2005, True, "suited"),
        (2006, True, "excluded"),
        (2007, True, "excluded"),
        (2010, False, "caution"),
        (2011, False, "excluded"),
    ],
)
def test_model_years_kept_on_pump_diesel(year: int, road: bool, key: str) -> None:
    fit = assess("inline pump", year, (), on_road=road, gasoline_share_above_zero=False)

    assert fit.key == key
