"""The farm file: every table and field, declared once with its dimension, words and ranges.

Usual ranges are what people commonly see, from bills, surveys and trade practice; their basis
stands beside them. They are hints, never limits.

>>> from econ.farm.demos import demo_files
>>> from econ.farm.files import load
>>> farm = load(demo_files()["quillmere-two-ways"])
>>> [farm.process_with(setup) == farm.process for setup in range(len(farm.setups))]
[True, False]
"""

import datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, PrivateAttr

from econ.farm.fields import PRICE_NAMES, About, Estimate, Quantity, Usual, about
from econ.finance.worth import DEPRECIATION
from econ.fuel.substances import OILS, REFUSED_OILS, THINNERS, USUAL_LIMITS

__all__ = ["MOST_DRAWS", "Estimate", "Machine", "Oil", "Scenario", "Table", "Thinner", "about"]

# Fields stand as rows of a table; formatted, each of their words would have a line of its own.
_NO_SOURCE = "common_practice"
_JUDGEMENT = "judgement"
ENGINES = tuple(USUAL_LIMITS)
EMISSION_CONTROLS = (
    "particulate filter",
    "catalyst",
    "exhaust gas recirculation",
    "optical sensor",
)
MOST_DRAWS = 10_000_000
"""No figure shown would move beyond this, and nobody should wait for more."""
# How a number can be found out before a start; fields without one cannot, by anybody.
_ASK = "asking its owner"
_BANK = "the bank"
_BILL = "your last bills"
_GAUGE = "a thermometer at the pump"
_LABORATORY = "a laboratory's report"
_LOG = "a few months' notes"
_MARKET = "what used ones sell for"
_METER = "meters read twice"
_OFFICE = "the tax office"
_PAPERS = "the maker's papers"
_PAY = "what work near you pays"
_PREPARER = "your tax preparer"
_QUOTE = "a written quote"
_TAPE = "a tape measure"
_TRIAL = "a trial batch"
CHOICES = ("may", "must", "never")
SOURCE_KINDS = ("bill", "quote", "measured", "weighed", "guess")


class Table(BaseModel):
    """A table of a farm file; unknown keys are refused."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class Header(Table):
    """[scenario]: what the farm is called and how its numbers are written."""

    title: Annotated[str, About("text", "Title", "Shown at the top of every page.", "text")]
    note: Annotated[
        str, About("text", "Note", "Anything a reader should know first.", "text", lines=True)
    ] = ""
    units: Annotated[
        Literal["us", "metric"],
        About("choice", "Units", "us: gallon, mile, °F, hp; metric: litre, km, °C, kW.", "choice",
              choices=("us", "metric")),
    ]  # fmt: skip
    currency: Annotated[
        str, About("text", "Currency", "ISO 4217 code, such as USD or AUD.", "text")
    ]
    priced_on: Annotated[
        datetime.date | None,
        About("date", "Prices of", "The day the prices were looked up.", "date"),
    ] = None
    extends: Annotated[
        str | None,
        About("text", "Extends", "Another farm file whose values this one overrides.", "text"),
    ] = None
    example: Annotated[
        bool,
        About("flag", "Example", "Whether this is an example, not the reader's own farm.", "flag"),
    ] = False
    sources: Annotated[
        dict[str, str],
        About(
            "text",
            "Where numbers come from",
            'Field path = "bill", "quote", "measured", "weighed" or "guess".',
            "sources",
        ),
    ] = {}


class Prices(Table):
    """[prices]: what this buyer really pays, net of rebates and credits."""

    road_diesel: Annotated[
        Quantity | None,
        About("price_per_volume", "Road diesel", "Taxed diesel at the pump.",
              learned_from=_BILL, usual=(
            Usual(3.5, 4.7, 6.5, "eia_diesel"),)),
    ] = None  # fmt: skip
    farm_diesel: Annotated[
        Quantity | None,
        About("price_per_volume", "Dyed (farm) diesel", "Untaxed or credited off-road diesel.",
              learned_from=_BILL,
              usual=(Usual(2.7, 3.9, 5.8, _JUDGEMENT),)),
    ] = None  # fmt: skip
    heating_oil: Annotated[
        Quantity | None,
        About("price_per_volume", "Heating oil", "As on the last bill.",
              learned_from=_BILL,
              usual=(Usual(3.1, 4.0, 5.2, _JUDGEMENT),)),
    ] = None  # fmt: skip
    electricity: Annotated[
        Quantity | None,
        About("energy_price", "Electricity", "The bill's price for one more kWh.",
              bad_side="high", learned_from=_BILL,
              usual=(Usual(0.10, 0.16, 0.32, "from_memory"),)),
    ] = None  # fmt: skip
    road_tax: Annotated[
        Quantity | None,
        About("price_per_volume", "Road tax you would owe",
              "Owed on your own blend burned on public roads.",
              bad_side="high", learned_from=_OFFICE,
              usual=(Usual(0.34, 0.57, 1.0, "usc_26_4041"),)),
    ] = None  # fmt: skip
    fuel_duty: Annotated[
        Quantity,
        About("price_per_volume", "Fuel duty you would owe",
              "Owed on your own blend wherever it is burned.",
              bad_side="high", learned_from=_OFFICE),
    ] = 0.0  # fmt: skip
    fuel_duty_back: Annotated[
        Quantity,
        About("share", "Duty given back off the road",
              "Share of the duty given back for what is burned off the road.",
              bad_side="low", learned_from=_OFFICE, most=1.0),
    ] = 0.0  # fmt: skip


class Wear(Table):
    """[[machines.wear]]: a part that fails more often on blend."""

    part: Annotated[str, About("text", "Part", "What breaks.", "text")]
    cost: Annotated[
        Quantity,
        About(
            "money",
            "One repair",
            "Parts, labour, towing and lost days.",
            bad_side="high",
            learned_from=_QUOTE,
        ),
    ]
    extra_failures: Annotated[
        Quantity,
        About("failures_per_volume", "Extra failures",
              "Expected extra replacements, beyond those on pump fuel.",
              bad_side="high", most=1e4),
    ]  # fmt: skip


class Machine(Table):
    """[[machines]]: what burns fuel; give its yearly fuel in exactly one way."""

    name: Annotated[str, About("text", "Name", "What you call it.", "text")]
    engine: Annotated[
        str,
        About("choice", "Engine", "How its fuel system works; see the manual.", "choice",
              choices=ENGINES),
    ]  # fmt: skip
    model_year: Annotated[
        int,
        About(
            "years", "Model year", "Of the engine.", "whole", estimate=False, least=1900, most=2100
        ),
    ]
    owner: Annotated[
        str,
        About("text", "Owner", "Whose it is, where several people share the plan.", "text",
              default="not said"),
    ] = ""  # fmt: skip
    resale_loss: Annotated[
        Quantity,
        About("money", "Taken off by its buyer",
              "What it will fetch less for what it burned, when the plan ends.",
              bad_side="high", learned_from=_MARKET,
              usual=(Usual(0, 500, 4000, _JUDGEMENT, "sold with its history told"),)),
    ] = 0.0  # fmt: skip
    emission_controls: Annotated[
        list[str],
        About("choice", "Emission parts", "Parts on its exhaust or intake; they stay.", "choices",
              choices=EMISSION_CONTROLS),
    ] = []  # fmt: skip
    replaces: Annotated[
        str,
        About("choice", "Fuel it burns now", "The pump fuel that blend would replace.", "choice",
              choices=PRICE_NAMES),
    ]  # fmt: skip
    fuel_per_year: Annotated[
        Quantity | None,
        About("volume_per_year", "Fuel a year", "From bills or the tank log.",
              learned_from=_BILL,
              usual=(Usual(150, 400, 900, _NO_SOURCE, "oil-fired heater"),)),
    ] = None  # fmt: skip
    hours_per_year: Annotated[
        Quantity | None,
        About("hours_per_year", "Hours a year", "From the hour meter.",
              learned_from=_METER, most=8784, usual=(
            Usual(40, 120, 250, _NO_SOURCE, "homestead tractor"),
            Usual(200, 350, 700, _NO_SOURCE, "main farm tractor"),
            Usual(300, 700, 1300, _NO_SOURCE, "dozer or excavator"),
            Usual(10, 60, 300, _NO_SOURCE, "standby generator"))),
    ] = None  # fmt: skip
    fuel_per_hour: Annotated[
        Quantity | None,
        About("volume_per_hour", "Fuel an hour", "Logged fuel over the hour meter.",
              learned_from=_METER, usual=(
            Usual(0.9, 1.6, 2.2, "asae_ep496", "utility tractor"),
            Usual(2.5, 4.2, 5.5, "asae_ep496", "row-crop tractor"),
            Usual(6.0, 9.5, 14.0, _NO_SOURCE, "combine"),
            Usual(3.5, 5.5, 9.0, "trade_articles", "dozer"),
            Usual(3.0, 4.5, 7.0, _NO_SOURCE, "excavator, 20 ton"),
            Usual(2.2, 3.8, 6.0, "trade_articles", "wheel loader"),
            Usual(0.4, 0.65, 0.9, "supplier_charts", "generator, 10 kW"))),
    ] = None  # fmt: skip
    distance_per_year: Annotated[
        Quantity | None,
        About("distance_per_year", "Distance a year", "From the odometer.", learned_from=_METER),
    ] = None
    distance_per_volume: Annotated[
        Quantity | None,
        About("distance_per_volume", "Distance for a volume of fuel", "Between two full tanks.",
              learned_from=_METER,
              above=True, usual=(
                  Usual(12, 16, 20, _NO_SOURCE, "one-ton pickup"),
                  Usual(8, 10.5, 13, _NO_SOURCE, "pickup towing"),
                  Usual(5, 7, 9, _NO_SOURCE, "grain or dump truck"))),
    ] = None  # fmt: skip
    rated_power: Annotated[
        Quantity | None,
        About("power", "Rated power at the shaft",
              "With hours a year: 0.044 gal/h for each hp, an extension rule.",
              learned_from=_PAPERS, most=1e5),
    ] = None  # fmt: skip
    road_share: Annotated[
        Quantity | None,
        About("share", "Share burned on public roads", "Road tax is owed on that part.",
              learned_from=_METER, most=1.0,
              default="0, but must be given with road_diesel", usual=(
                  Usual(0.7, 0.95, 1.0, _NO_SOURCE, "pickup"),
                  Usual(0.0, 0.05, 0.8, _NO_SOURCE, "farm tractor or truck"))),
    ] = None  # fmt: skip
    use_by_month: Annotated[
        list[float] | None,
        About(
            "weights", "Use by month", "Twelve weights, January first.", "weights", default="even"
        ),
    ] = None
    blend_share: Annotated[
        Quantity,
        About("share", "How much of its fuel would be blend?",
              "Share of its fuel replaced in its blend months; 0 leaves it on pump fuel.",
              most=1.0, usual=(Usual(0.2, 0.5, 1.0, _NO_SOURCE, "cautious starter"),)),
    ]  # fmt: skip
    blend_months: Annotated[
        list[int] | None,
        About("months", "Months with blend", "Months in which it may burn blend.", "months",
              default="all"),
    ] = None  # fmt: skip
    use_factor: Annotated[
        Quantity,
        About("ratio", "Extra fuel for the same work",
              "On clean oil alone, beyond its energy content.",
              bad_side="high", learned_from=_TRIAL, least=0.5, most=2.0,
              usual=(Usual(1.0, 1.02, 1.06, _JUDGEMENT),)),
    ] = 1.02  # fmt: skip
    thinner: Annotated[
        str | None,
        About("text", "Thinner", "Name of one of [[thinners]]; left out, clean oil alone.", "text",
              default="none: clean oil alone"),
    ] = None  # fmt: skip
    thinner_share: Annotated[
        Quantity | None,
        About("share", "Thinner in the mix", "By volume of the finished blend.",
              learned_from=_TRIAL, most=1.0,
              below=True, usual=(
                  Usual(0.10, 0.17, 0.25, _NO_SOURCE, "gasoline"),
                  Usual(0.20, 0.30, 0.45, _NO_SOURCE, "kerosene or mineral spirits"),
                  Usual(0.40, 0.60, 0.90, _NO_SOURCE, "diesel"))),
    ] = None  # fmt: skip
    thinner_share_winter: Annotated[
        Quantity | None,
        About("share", "Thinner in the winter mix", "In the winter months.",
              learned_from=_TRIAL, most=1.0, below=True,
              default="as thinner_share", usual=(
                  Usual(0.15, 0.22, 0.30, _NO_SOURCE, "gasoline"),
                  Usual(0.30, 0.40, 0.60, _NO_SOURCE, "kerosene"))),
    ] = None  # fmt: skip
    viscosity_limit: Annotated[
        Quantity | None,
        About("viscosity", "Thickness its pump takes",
              "At the fuel's temperature; the thinner share follows from it.",
              learned_from=_PAPERS, least=0.3,
              most=1000, default="the engine class's usual limit, without a share", usual=(
                  Usual(8, 12, 20, _JUDGEMENT, "inline pump, unit injector"),
                  Usual(5, 7, 10, _JUDGEMENT, "rotary pump, common rail"),
                  Usual(15, 30, 60, _NO_SOURCE, "burner with preheat"))),
    ] = None  # fmt: skip
    thinners: Annotated[
        list[str],
        About("text", "Thinners it may take", "Names of [[thinners]] that a search for a plan may"
              " give it, each at the share that does its own thinner's job.", "names",
              default="its own alone"),
    ] = []  # fmt: skip
    choice: Annotated[
        str,
        About("choice", "In the search for a plan",
              "Whether it may burn blend, must, or never does.", "choice", choices=CHOICES),
    ] = "may"  # fmt: skip
    essential_per_day: Annotated[
        Quantity,
        About("volume", "Fuel it needs a day when nothing is delivered",
              "Pump fuel on each such day; 0 where it can stand still."),
    ] = 0.0  # fmt: skip
    wear: list[Wear] = []


class Oil(Table):
    """[[oils]]: a source of used oil."""

    name: Annotated[str, About("text", "Name", "Who it comes from.", "text")]
    kind: Annotated[
        str,
        About("choice", "Kind of oil",
              f"Gear oil is not used here: {REFUSED_OILS['gear oil']}.", "choice",
              choices=tuple(OILS)),
    ]  # fmt: skip
    own: Annotated[
        bool,
        About("flag", "My own", "Drained from your own machines.", "flag"),
    ] = False
    volume_per_month: Annotated[
        Quantity,
        About("volume_per_month", "Promised a month", "Averaged over the year.",
              learned_from=_ASK, usual=(
            Usual(0.5, 1, 2, _JUDGEMENT, "own: homestead"),
            Usual(4, 8, 15, _NO_SOURCE, "own: 600-acre farm"),
            Usual(15, 35, 80, _NO_SOURCE, "own: earthworks, 6-10 machines"),
            Usual(2, 6, 15, _NO_SOURCE, "neighbours' own changes"),
            Usual(4, 12, 35, _NO_SOURCE, "neighbour farm"),
            Usual(20, 55, 120, _NO_SOURCE, "small garage"),
            Usual(40, 100, 250, _NO_SOURCE, "truck fleet yard"),
            Usual(10, 35, 90, _NO_SOURCE, "transmission shop"),
            Usual(8, 30, 100, _NO_SOURCE, "hydraulic shop"))),
    ]  # fmt: skip
    reliability: Annotated[
        Quantity,
        About("share", "How much of what they promise arrives?", "1 is all of it.",
              bad_side="low", learned_from=_LOG, most=1.0,
              usual=(Usual(0.9, 1.0, 1.0, _NO_SOURCE, "own"),
                     Usual(0.5, 0.75, 0.95, _NO_SOURCE, "neighbour farm"),
                     Usual(0.3, 0.65, 0.9, _NO_SOURCE, "garage"))),
    ] = 1.0  # fmt: skip
    reject_share: Annotated[
        Quantity,
        About("share", "Loads you'd turn away", "Looked at and left with its owner.",
              bad_side="high", learned_from=_LOG, most=1.0,
              usual=(Usual(0.0, 0.01, 0.05, _NO_SOURCE, "own"),
                     Usual(0.02, 0.05, 0.15, _NO_SOURCE, "farm"),
                     Usual(0.03, 0.10, 0.30, _NO_SOURCE, "garage"))),
    ] = 0.0  # fmt: skip
    price: Annotated[
        Quantity,
        About("price_per_volume", "Price", "For what is taken; negative when you are paid to take"
              " it or save a haul-away fee.",
              bad_side="high", learned_from=_ASK, least=-1e6,
              usual=(Usual(0.0, 0.0, 0.25, _NO_SOURCE, "collected"),
                     Usual(-0.6, 0.0, 0.5, _NO_SOURCE, "own"))),
    ] = 0.0  # fmt: skip
    load_volume: Annotated[
        Quantity | None,
        About("volume", "A usual load", "Not what the tank holds; left out, no trips.",
              bad_side="low", learned_from=_LOG,
              above=True, default="no trips", usual=(
                  Usual(40, 100, 165, "cfr_279_24", "pickup with drums"),
                  Usual(150, 250, 275, _NO_SOURCE, "tote on a trailer"))),
    ] = None  # fmt: skip
    round_trip: Annotated[
        Quantity,
        About("distance", "Round trip", "There and back.",
              bad_side="high", learned_from=_METER,
              usual=(Usual(4, 24, 70, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    hours_per_trip: Annotated[
        Quantity,
        About("hours", "Hours a trip", "Drive, pump, chat, test, unload.",
              bad_side="high", learned_from=_LOG, most=1000,
              usual=(Usual(0.7, 1.5, 3.0, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    viscosity_40: Annotated[
        Quantity | None,
        About("viscosity", "Measured thickness at 40 °C",
              "From a laboratory report, or timed through a viscosity cup with the oil held at"
              " 40 °C (104 °F) and read off the cup's table. One used oil measured 27, another"
              " about 60.",
              learned_from=_LABORATORY,
              least=1.0, most=5000, default="the kind's table value"),
    ] = None  # fmt: skip
    viscosity_100: Annotated[
        Quantity | None,
        About("viscosity", "Measured thickness at 100 °C", "From a laboratory report.",
              learned_from=_LABORATORY, least=0.5,
              most=1000, default="the kind's table value"),
    ] = None  # fmt: skip
    density: Annotated[
        Quantity | None,
        About("density", "Density", "At 15 °C, in kg/L in either unit system.",
              learned_from=_LABORATORY, least=0.6,
              most=1.2, default="the kind's table value"),
    ] = None  # fmt: skip
    energy: Annotated[
        Quantity | None,
        About("heating_value", "Heat", "Lower heating value.",
              learned_from=_LABORATORY, above=True,
              default="the kind's table value"),
    ] = None  # fmt: skip
    pcb_tested: Annotated[
        bool,
        About("flag", "PCB test in hand", "Transformer oil is refused without one.", "flag"),
    ] = False
    choice: Annotated[
        str,
        About("choice", "In the search for a plan",
              "Whether it may be fetched, must, or never is.", "choice", choices=CHOICES),
    ] = "may"  # fmt: skip


class Hauling(Table):
    """[hauling]: fetching oil."""

    cost_per_distance: Annotated[
        Quantity,
        About("price_per_distance", "Vehicle cost", "Fuel, wear and tyres of the vehicle.",
              bad_side="high", learned_from=_BILL,
              usual=(Usual(0.45, 0.75, 1.20, "irs_mileage_2026"),)),
    ] = 0.0  # fmt: skip


class Process(Table):
    """[process]: cleaning; give energy_per_volume, or heat_from and heat_to."""

    batch_volume: Annotated[
        Quantity,
        About("volume", "One batch", "Raw oil in one run.",
              learned_from=_TRIAL, above=True, usual=(
            Usual(45, 55, 110, _NO_SOURCE, "drum"), Usual(180, 240, 275, _NO_SOURCE, "tote"))),
    ]  # fmt: skip
    hours_per_batch: Annotated[
        Quantity,
        About("hours", "Hours a batch", "Hands-on, from boots on to boots off.",
              bad_side="high", learned_from=_TRIAL, most=1000, usual=(
            Usual(1.5, 3.0, 6.0, _NO_SOURCE, "drum"), Usual(3.0, 5.5, 10.0, _NO_SOURCE, "tote"))),
    ]  # fmt: skip
    max_batches_per_month: Annotated[
        Quantity | None,
        About("count_per_month", "Batches a month at most", "Settling takes its time.",
              bad_side="low", learned_from=_TRIAL,
              default="no limit", usual=(Usual(2, 4, 10, _NO_SOURCE),)),
    ] = None  # fmt: skip
    first_year_share: Annotated[
        Quantity,
        About("share", "What turns up in the first year",
              "Share of the promised oil in year 1, while all is being learnt.",
              bad_side="low", most=1.0, usual=(Usual(0.3, 0.6, 1.0, _JUDGEMENT),)),
    ] = 1.0  # fmt: skip
    hours_per_month: Annotated[
        Quantity | None,
        About("hours_per_month", "Hours to spare a month",
              "For trips and batches, your own and hired.",
              bad_side="low", learned_from=_LOG, most=1e5, default="no limit",
              usual=(Usual(4, 10, 30, _NO_SOURCE),)),
    ] = None  # fmt: skip
    loss_share: Annotated[
        Quantity,
        About("share", "Lost as water and sludge", "Part of raw oil that does not become clean.",
              bad_side="high", learned_from=_TRIAL,
              most=1.0, below=True, usual=(
                  Usual(0.03, 0.06, 0.12, _NO_SOURCE, "own oil"),
                  Usual(0.06, 0.11, 0.22, _NO_SOURCE, "mixed collected oil"))),
    ] = 0.0  # fmt: skip
    energy_per_volume: Annotated[
        Quantity | None,
        About("energy_per_volume", "Electricity for a volume", "Heating and pumping, raw oil.",
              bad_side="high", learned_from=_TRIAL,
              usual=(Usual(0.2, 0.45, 1.1, _NO_SOURCE),)),
    ] = None  # fmt: skip
    heat_from: Annotated[
        Quantity | None,
        About("temperature", "Heated from", "The oil as it comes.",
              learned_from=_TRIAL, least=-80, most=500,
              usual=(Usual(20, 55, 80, _NO_SOURCE),)),
    ] = None  # fmt: skip
    heat_to: Annotated[
        Quantity | None,
        About("temperature", "Heated to", "Above 212 °F (100 °C) water boils over.",
              learned_from=_TRIAL, least=-80,
              most=500, usual=(Usual(140, 175, 210, _NO_SOURCE),)),
    ] = None  # fmt: skip
    heater_efficiency: Annotated[
        Quantity,
        About("share", "Heater efficiency", "Bare drum low, insulated high.",
              bad_side="low", learned_from=_TRIAL, most=1.0, above=True,
              usual=(Usual(0.35, 0.60, 0.85, _NO_SOURCE),)),
    ] = 1.0  # fmt: skip
    motor_energy_per_volume: Annotated[
        Quantity,
        About("energy_per_volume", "Pump and centrifuge", "Electricity beside the heating.",
              bad_side="high", learned_from=_TRIAL,
              usual=(Usual(0.05, 0.2, 0.6, _JUDGEMENT),)),
    ] = 0.0  # fmt: skip
    test_cost_per_batch: Annotated[
        Quantity,
        About("money", "Tests for a batch", "Water, chlorine strip.",
              bad_side="high", learned_from=_QUOTE,
              usual=(Usual(0, 6, 30, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    disposal_cost: Annotated[
        Quantity,
        About("price_per_volume", "Getting rid of sludge", "By a licensed collector.",
              bad_side="high", learned_from=_QUOTE,
              usual=(Usual(0, 1.5, 6.0, "trade_articles"),)),
    ] = 0.0  # fmt: skip
    raw_storage: Annotated[
        Quantity,
        About("volume", "Room for raw oil", "All tanks and drums together.",
              learned_from=_TAPE,
              usual=(Usual(110, 330, 1100, _NO_SOURCE),)),
    ]  # fmt: skip
    clean_storage: Annotated[
        Quantity,
        About("volume", "Room for clean oil", "All tanks and drums together.",
              learned_from=_TAPE,
              usual=(Usual(55, 275, 800, _NO_SOURCE),)),
    ]  # fmt: skip


class SetUp(Process):
    """[[setups]]: one way of cleaning; its fields are laid over [process], the first one's here."""

    batch_volume: Annotated[Quantity | None, about(Process, "batch_volume")] = None  # type: ignore[assignment]
    hours_per_batch: Annotated[Quantity | None, about(Process, "hours_per_batch")] = None  # type: ignore[assignment]
    raw_storage: Annotated[Quantity | None, about(Process, "raw_storage")] = None  # type: ignore[assignment]
    clean_storage: Annotated[Quantity | None, about(Process, "clean_storage")] = None  # type: ignore[assignment]
    name: Annotated[str, About("text", "Name", "What you call it.", "text")]
    filters: Annotated[
        list[str] | None,
        About(
            "text", "Filters in its line", "Names of [[filters]].", "names", default="all of them"
        ),
    ] = None


class Blending(Table):
    """[blending]: winter, and how warm the fuel is at the injection pump."""

    winter_months: Annotated[
        list[int],
        About("months", "Winter months", "Months of the winter mix.", "months"),
    ] = []
    fuel_temperature: Annotated[
        Quantity | None,
        About("temperature", "Fuel temperature", "At the injection pump, engine warm; used with a"
              " thickness limit.",
              learned_from=_GAUGE, least=-40, most=250, default="40 °C (104 °F)",
              usual=(Usual(50, 104, 140, _JUDGEMENT),)),
    ] = None  # fmt: skip
    fuel_temperature_winter: Annotated[
        Quantity | None,
        About("temperature", "Fuel temperature in winter", "The same in the winter months.",
              learned_from=_GAUGE,
              least=-40, most=250, default="25 °C (77 °F)",
              usual=(Usual(0, 77, 120, _JUDGEMENT),)),
    ] = None  # fmt: skip


class Filter(Table):
    """[[filters]]: one filter in the line."""

    name: Annotated[str, About("text", "Name", "Which filter.", "text")]
    price: Annotated[
        Quantity,
        About("money", "Price of an element", "Bag, cartridge or spin-on.",
              bad_side="high", learned_from=_QUOTE, usual=(
            Usual(5, 9, 18, _NO_SOURCE, "bag"), Usual(11, 18, 32, _NO_SOURCE, "10 micron"),
            Usual(18, 30, 48, _NO_SOURCE, "2-5 micron"),
            Usual(24, 36, 58, _NO_SOURCE, "water-absorbing"))),
    ]  # fmt: skip
    volume_per_element: Annotated[
        Quantity,
        About("volume", "Raw oil through one element", "Until it plugs.",
              bad_side="low", learned_from=_TRIAL, above=True, usual=(
            Usual(60, 180, 500, _NO_SOURCE, "bag"), Usual(60, 150, 300, _NO_SOURCE, "10 micron"),
            Usual(50, 120, 250, _NO_SOURCE, "2-5 micron"),
            Usual(40, 100, 220, _NO_SOURCE, "water-absorbing"))),
    ]  # fmt: skip


class Thinner(Table):
    """[[thinners]]: what is added so that the pump can handle the oil."""

    name: Annotated[str, About("text", "Name", "Which offer.", "text")]
    kind: Annotated[
        str,
        About("choice", "Kind of thinner", "Gasoline in any share: treat the blend as gasoline.",
              "choice", choices=tuple(THINNERS)),
    ]  # fmt: skip
    price: Annotated[
        Quantity | str,
        About("price_per_volume", "Price", "Or the name of a fuel, which it then follows.",
              "price",
              learned_from=_BILL, usual=(
                  Usual(2.8, 3.7, 4.7, _NO_SOURCE, "gasoline"),
                  Usual(2.7, 3.6, 4.6, _NO_SOURCE, "gasoline E10"),
                  Usual(3.8, 5.2, 7.5, _NO_SOURCE, "kerosene"),
                  Usual(2.7, 3.9, 5.6, _JUDGEMENT, "diesel"),
                  Usual(5.5, 9.0, 13.0, _NO_SOURCE, "mineral spirits"),
                  Usual(3.6, 4.6, 6.2, _NO_SOURCE, "biodiesel"))),
    ]  # fmt: skip
    available_per_month: Annotated[
        Quantity | None,
        About(
            "volume_per_month",
            "To be had a month",
            "Not carried over.",
            bad_side="low",
            learned_from=_ASK,
            default="no limit",
        ),
    ] = None
    road_tax_paid: Annotated[
        bool | None,
        About("flag", "Road tax paid", "Its price includes road tax and duty.", "flag",
              default="false; true when tied to road_diesel or with a refund"),
    ] = None  # fmt: skip
    refund: Annotated[
        Quantity,
        About("price_per_volume", "Tax given back",
              "Given back on what is burned off the road.",
              bad_side="low", learned_from=_OFFICE, usual=(
                  Usual(0.183, 0.183, 0.6, "usc_26_6421",
                        "gasoline"),)),
    ] = 0.0  # fmt: skip
    density: Annotated[
        Quantity | None,
        About("density", "Density", "At 15 °C, in kg/L in either unit system.",
              learned_from=_LABORATORY, least=0.6,
              most=1.2, default="the kind's table value"),
    ] = None  # fmt: skip
    energy: Annotated[
        Quantity | None,
        About("heating_value", "Heat", "Lower heating value.",
              learned_from=_LABORATORY, above=True,
              default="the kind's table value"),
    ] = None  # fmt: skip


class Additive(Table):
    """[[additives]]: dosed by volume of blend."""

    name: Annotated[str, About("text", "Name", "Which additive.", "text")]
    price: Annotated[
        Quantity,
        About("price_per_volume", "Price", "For a volume of additive.",
              bad_side="high", learned_from=_QUOTE, usual=(
            Usual(28, 45, 90, _NO_SOURCE, "cetane improver"),
            Usual(60, 110, 180, _NO_SOURCE, "lubricity, detergent"))),
    ]  # fmt: skip
    dose: Annotated[
        Quantity,
        About("dose", "Dose", "Volume for each volume of blend.",
              bad_side="high", learned_from=_PAPERS, most=1.0, usual=(
            Usual(0.0005, 0.001, 0.002, _NO_SOURCE, "cetane improver"),
            Usual(0.0004, 0.0008, 0.002, _NO_SOURCE, "lubricity, detergent"))),
    ]  # fmt: skip
    serves: Annotated[
        list[str],
        About("choice", "Goes into", "Names of the thinners or machines whose blend takes it.",
              "names", default="all blend"),
    ] = []  # fmt: skip


class Yearly(Table):
    """[[yearly]]: clothing, absorbents, insurance, permits, tests, upkeep."""

    name: Annotated[str, About("text", "Name", "Which bill.", "text")]
    cost: Annotated[
        Quantity,
        About("money_per_year", "Cost a year", "Comes whatever the volume.",
              bad_side="high", learned_from=_QUOTE, usual=(
            Usual(50, 120, 350, _NO_SOURCE, "gloves, wipes"),
            Usual(25, 80, 250, _NO_SOURCE, "absorbents"),
            Usual(0, 220, 900, _NO_SOURCE, "laboratory test"),
            Usual(0, 250, 1500, _NO_SOURCE, "insurance loading"),
            Usual(0, 75, 800, _NO_SOURCE, "permits"),
            Usual(30, 100, 350, _NO_SOURCE, "tank and hose upkeep"))),
    ]  # fmt: skip
    hours: Annotated[
        Quantity,
        About("hours_per_year", "Hours a year", "Upkeep that comes with it.",
              bad_side="high", learned_from=_LOG, most=8784),
    ] = 0.0  # fmt: skip
    serves: Annotated[
        list[str],
        About("text", "Hangs on", "Names of oils, thinners, machines or set-ups: it is in a plan"
              " when any of them is.", "names", default="always in the plan"),
    ] = []  # fmt: skip


class Labour(Table):
    """[labour]: hands."""

    wage: Annotated[
        Quantity,
        About("money_per_hour", "Wage", "Before tax: what the hours would earn, or cost.",
              bad_side="high", learned_from=_PAY,
              most=1e5, usual=(
                  Usual(15, 22, 35, "usda_farm_labor", "family member"),
                  Usual(28, 40, 75, _NO_SOURCE, "operator or mechanic"))),
    ]  # fmt: skip
    upkeep_hours_per_year: Annotated[
        Quantity,
        About("hours_per_year", "Upkeep hours a year", "Tanks, pumps, records, clean-up.",
              bad_side="high", learned_from=_LOG,
              most=8784, usual=(Usual(6, 16, 50, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    hired_share: Annotated[
        Quantity,
        About("share", "Share of the hours paid to others", "1: none of it is your own.", most=1.0),
    ] = 0.0
    wage_taxed: Annotated[
        bool,
        About("flag", "Other pay is taxed",
              "Whether the pay your hours could earn elsewhere would be taxed.", "flag"),
    ] = True  # fmt: skip


class Kit(Table):
    """[[kit]]: what must be there before the first gallon."""

    name: Annotated[str, About("text", "Name", "Which item.", "text")]
    cost: Annotated[
        Quantity,
        About(
            "money",
            "Price",
            "What it costs, or, owned, would sell for today.",
            bad_side="high",
            learned_from=_QUOTE,
        ),
    ]
    life_years: Annotated[
        int,
        About("years", "Lasts", "Whole years until a new one is bought.", "whole", estimate=False,
              least=1, most=100),
    ]  # fmt: skip
    resale_share: Annotated[
        Quantity,
        About("share", "Resale", "Share of its price it would fetch soon after first use; it falls"
              " to nothing over its life.",
              bad_side="low", learned_from=_MARKET,
              most=1.0, usual=(Usual(0.0, 0.3, 0.7, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    owned: Annotated[
        bool, About("flag", "Already there", "Counted at what it would sell for.", "flag")
    ] = False
    new_cost: Annotated[
        Quantity | None,
        About("money", "Price of a new one", "What replaces owned kit at the end of its life.",
              bad_side="high", learned_from=_QUOTE, default="its price"),
    ] = None  # fmt: skip
    exit_cost: Annotated[
        Quantity,
        About("money", "Getting rid of it",
              "When the plan ends: pumping out, cutting up, hauling away.",
              bad_side="high", learned_from=_QUOTE),
    ] = 0.0  # fmt: skip
    owner: Annotated[
        str,
        About("text", "Owner", "Whose it is, where several people share the plan.", "text",
              default="not said"),
    ] = ""  # fmt: skip
    serves: Annotated[
        list[str],
        About("text", "Hangs on", "Names of oils, thinners, machines or set-ups: it is in a plan"
              " when any of them is.", "names", default="always in the plan"),
    ] = []  # fmt: skip


class Finance(Table):
    """[finance]: years, rates, tax, the way out."""

    years: Annotated[
        int,
        About("years", "Years looked at", "How long you would do it.", "whole", estimate=False,
              least=1, most=50, usual=(Usual(5, 7, 10, _NO_SOURCE),)),
    ]  # fmt: skip
    discount_rate: Annotated[
        Quantity,
        About("rate", "What your money costs", "Loan rate after tax, inflation included.",
              learned_from=_BANK,
              least=0.0, most=1.0, usual=(
                  Usual(0.04, 0.07, 0.12, _JUDGEMENT),)),
    ]  # fmt: skip
    inflation: Annotated[
        Quantity,
        About("rate", "Inflation", "Of all but fuel.", least=-0.5, most=1.0,
              usual=(Usual(0.015, 0.025, 0.04, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    fuel_inflation: Annotated[
        Quantity | None,
        About("rate", "Fuel inflation", "Of fuel and thinner.", least=-0.5, most=1.0,
              default="as inflation", usual=(Usual(0.0, 0.025, 0.06, _NO_SOURCE),)),
    ] = None  # fmt: skip
    tax_rate: Annotated[
        Quantity,
        About("rate", "Tax rate", "On the last dollar; 0 for a homestead.",
              learned_from=_PREPARER, most=1.0, below=True,
              usual=(Usual(0.0, 0.25, 0.38, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    depreciation: Annotated[
        str,
        About("choice", "Deducting the kit", "Ask your preparer.", "choice", choices=DEPRECIATION),
    ] = "none"
    exit_cost: Annotated[
        Quantity,
        About("money", "Cost of stopping", "Emptying and cleaning tanks, last sludge, soil.",
              bad_side="high", learned_from=_QUOTE,
              usual=(Usual(150, 800, 6000, _NO_SOURCE),)),
    ] = 0.0  # fmt: skip
    kit_contingency: Annotated[
        Quantity,
        About("share", "Added for what is forgotten",
              "Share added to the first purchase of kit that is not owned: fittings, hoses, a"
              " second pump.", bad_side="high", learned_from=_QUOTE, most=1.0,
              usual=(Usual(0.05, 0.15, 0.4, _JUDGEMENT),)),
    ] = 0.0  # fmt: skip


class Loan(Table):
    """[loan]: money borrowed for the plan, paid back in level payments."""

    amount: Annotated[
        Quantity,
        About("money", "Borrowed", "What the lender pays out.", learned_from=_QUOTE),
    ]
    rate: Annotated[
        Quantity,
        About("rate", "Interest", "Nominal, a year, as the lender states it.",
              bad_side="high", learned_from=_QUOTE, most=1.0),
    ]  # fmt: skip
    years: Annotated[
        int,
        About("years", "Paid back over", "Whole years, no more than the years looked at.",
              "whole", estimate=False, least=1, most=50),
    ]  # fmt: skip
    payments_per_year: Annotated[
        int,
        About(
            "count", "Payments a year", "12: monthly.", "whole", estimate=False, least=1, most=365
        ),
    ] = 12


class Uncertainty(Table):
    """[uncertainty]: how guesses move together, and how they are drawn."""

    fuel_price_correlation: Annotated[
        float,
        About("ratio", "Fuel prices move together", "Correlation of their scores.",
              estimate=False, most=1.0,
              usual=(Usual(0.74, 0.93, 0.98, "eia_gasoline_diesel"),)),
    ] = 0.9  # fmt: skip
    supply_correlation: Annotated[
        float,
        About("ratio", "Oil is harder to get when diesel is dear",
              "Correlation of oil volumes with fuel prices.", estimate=False, least=-1.0,
              most=1.0),
    ] = -0.3  # fmt: skip
    guess_correlation: Annotated[
        float,
        About("ratio", "Guesses lean one way",
              "Correlation of the bad sides of all other guesses: who hopes, hopes throughout.",
              estimate=False, most=1.0),
    ] = 0.25  # fmt: skip
    fuel_price_swing: Annotated[
        float,
        About("rate", "Fuel prices swing",
              "Standard deviation of the yearly change of a fuel price's logarithm; 0 holds still.",
              estimate=False, most=1.0,
              usual=(Usual(0.13, 0.20, 0.25, "eia_diesel"),)),
    ] = 0.2  # fmt: skip
    fuel_price_pull: Annotated[
        float,
        About("share", "Fuel prices come back",
              "Share of the distance to today's price that closes each year; 0, a random walk.",
              estimate=False, most=1.0),
    ] = 0.0  # fmt: skip
    seed: Annotated[
        int,
        About("count", "Seed", "The same seed gives the same draws.", "whole", estimate=False),
    ] = 0
    draws: Annotated[
        int, About("count", "Draws", "How many farms like this one.", "whole", estimate=False,
                   least=1, most=MOST_DRAWS),
    ] = 5000  # fmt: skip


class Limits(Table):
    """[limits]: what a search for a plan keeps to."""

    kit_to_buy: Annotated[
        float | None,
        About("money", "Kit to buy, at most", "Price of all kit that is not there yet.",
              estimate=False, default="no limit"),
    ] = None  # fmt: skip
    own_hours_per_year: Annotated[
        float | None,
        About("hours_per_year", "Your own hours a year, at most", "In a typical year.",
              estimate=False, most=8784, default="no limit"),
    ] = None  # fmt: skip
    gasoline: Annotated[
        bool, About("flag", "Gasoline as a thinner", "Whether a plan may use any.", "flag")
    ] = True


class Reserve(Table):
    """[reserve]: what is kept for days on which nothing is delivered."""

    clean_oil: Annotated[
        Quantity,
        About(
            "volume", "Clean oil held back", "Part of the clean store that the plan never burns."
        ),
    ] = 0.0
    diesel: Annotated[
        Quantity,
        About("volume", "Pump fuel usually on hand", "Good for any machine."),
    ] = 0.0
    thinners: Annotated[
        dict[str, float],
        About("volume", "Thinner usually on hand", "Name of a thinner = volume.", "volumes",
              estimate=False),
    ] = {}  # fmt: skip


class Records(Table):
    """[records]: what was done, written down as it was done."""

    log: Annotated[
        str | None,
        About("text", "Log", "Name of the file with the records, beside this one.", "text"),
    ] = None


class Scenario(Table):
    """A whole farm, validated, in its file's units."""

    scenario: Header
    prices: Prices = Prices()
    machines: list[Machine]
    oils: list[Oil]
    hauling: Hauling = Hauling()
    process: Process
    """As the first set-up has it, where there are any."""
    setups: list[SetUp] = []
    blending: Blending = Blending()
    filters: list[Filter] = []
    thinners: list[Thinner] = []
    additives: list[Additive] = []
    yearly: list[Yearly] = []
    labour: Labour
    kit: list[Kit] = []
    finance: Finance
    loan: Loan | None = None
    uncertainty: Uncertainty = Uncertainty()
    limits: Limits = Limits()
    reserve: Reserve = Reserve()
    records: Records = Records()

    _processes: tuple[Process, ...] = PrivateAttr(default=())
    _path: Path = PrivateAttr(default=Path("farm.toml"))
    _merged: dict[str, Any] = PrivateAttr(default_factory=dict)
    _known: dict[tuple[str | int, ...], Estimate] = PrivateAttr(default_factory=dict)

    @property
    def known(self) -> dict[tuple[str | int, ...], Estimate]:
        """Return what records have made of guesses, by path; empty without records."""
        return self._known

    @property
    def path(self) -> Path:
        """Return the file it was read from."""
        return self._path

    @property
    def merged(self) -> dict[str, Any]:
        """Return the raw document after `extends` and `[remove]`, in the file's order."""
        return self._merged

    def process_with(self, setup: int) -> Process:
        """Return the cleaning as a set-up has it; as the file has it, where there is none.

        Parameters
        ----------
        setup : int
            Which set-up.

        Returns
        -------
        Process
        """
        return self._processes[setup] if setup else self.process


# Which tables there are: name in the file, model, whether it is a list.
TABLES: tuple[tuple[str, type[Table], bool], ...] = (
    ("scenario", Header, False),
    ("prices", Prices, False),
    ("machines", Machine, True),
    ("machines.wear", Wear, True),
    ("oils", Oil, True),
    ("hauling", Hauling, False),
    ("process", Process, False),
    ("setups", SetUp, True),
    ("blending", Blending, False),
    ("filters", Filter, True),
    ("thinners", Thinner, True),
    ("additives", Additive, True),
    ("yearly", Yearly, True),
    ("labour", Labour, False),
    ("kit", Kit, True),
    ("finance", Finance, False),
    ("loan", Loan, False),
    ("uncertainty", Uncertainty, False),
    ("limits", Limits, False),
    ("reserve", Reserve, False),
    ("records", Records, False),
)

_ENERGY_WAYS = (
    frozenset({"energy_per_volume"}),
    frozenset({"heat_from", "heat_to", "heater_efficiency", "motor_energy_per_volume"}),
)
# A value that gives one way of a choice drops the other, inherited way.
WAYS: dict[str, tuple[frozenset[str], ...]] = {
    "machines.fuel": (
        frozenset({"fuel_per_year"}),
        frozenset({"hours_per_year", "fuel_per_hour"}),
        frozenset({"distance_per_year", "distance_per_volume"}),
        frozenset({"hours_per_year", "rated_power"}),
    ),
    "machines.thinner": (
        frozenset({"thinner_share", "thinner_share_winter"}),
        frozenset({"viscosity_limit"}),
    ),
    "process.energy": _ENERGY_WAYS,
    "setups.energy": _ENERGY_WAYS,
}
