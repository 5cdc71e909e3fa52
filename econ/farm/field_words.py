"""Full words for what a farm file writes in keys: tables, fields, allowed words, ways of giving.

Screens show these; the file itself keeps its keys.
"""

import re

from econ.farm.fields import PRICE_NAMES
from econ.farm.schema import TABLES, WAYS, Machine, Prices, Table, about

MODELS: dict[str, type[Table]] = {name: model for name, model, _ in TABLES}

SECTIONS = {
    "scenario": "About this farm",
    "prices": "Prices",
    "machines": "Machines",
    "oils": "Used oil",
    "hauling": "Fetching oil",
    "process": "Cleaning",
    "setups": "Ways of cleaning",
    "blending": "Winter and warmth",
    "filters": "Filters",
    "thinners": "Thinners",
    "additives": "Additives",
    "yearly": "Yearly bills",
    "labour": "Your time",
    "kit": "Kit",
    "finance": "Money over the years",
    "loan": "A loan",
    "uncertainty": "How guesses move",
    "limits": "Limits of a plan",
    "reserve": "Reserve",
    "records": "Records",
}

# Engine classes as their owner knows them: style, usual years, and what to look for.
ENGINES = {
    "indirect injection": "Indirect injection: prechamber; most pickups and small engines of the"
    " 1980s and 90s",
    "inline pump": "Inline pump: long, with a line to each cylinder and oil of its own; most"
    " tractors and trucks before about 2000",
    "rotary pump": "Rotary pump: round, lubricated by the fuel; many tractors and light engines,"
    " 1970 to 2005",
    "unit injector": "Unit injector: worked by the camshaft, under the rocker cover; trucks and"
    " earthmovers, 1985 to 2007",
    "hydraulic unit injector": "Oil-driven injector: worked by engine oil under pressure; pickups"
    " and loaders, 1994 to 2007",
    "early common rail": "Common rail before exhaust filters: one shared rail, electronic; about"
    " 1999 to 2006",
    "late common rail": "Common rail with exhaust filters: about 2007 and later",
    "burner": "Oil burner: furnace, boiler or shop heater",
}

WORDS = {
    **{name: about(Prices, name).label for name in PRICE_NAMES},
    **ENGINES,
    "us": "gallons, miles, °F, horsepower",
    "metric": "litres, kilometres, °C, kilowatts",
    "none": "not deducted",
    "expensed": "all at once",
    "straight line": "evenly over its life",
    "macrs 5": "by the 5-year table",
    "macrs 7": "by the 7-year table",
    "sobol": "evenly spread",
    "latin hypercube": "spread by layers",
}

SOURCES = {
    "": "not said",
    "bill": "a bill",
    "measured": "measured",
    "weighed": "weighed",
    "quote": "a quote",
    "guess": "a guess",
}

# For each choice of ways: what is asked, and for each way its words and what it needs.
WAY_QUESTIONS: dict[str, tuple[str, tuple[tuple[str, tuple[str, ...]], ...]]] = {
    "machines.fuel": (
        "How do you know what it burns?",
        (
            ("from bills or a tank log: fuel a year", ("fuel_per_year",)),
            ("hours a year and fuel an hour", ("hours_per_year", "fuel_per_hour")),
            (
                "distance a year and distance on a tank",
                ("distance_per_year", "distance_per_volume"),
            ),
            ("hours a year and its rated power", ("hours_per_year", "rated_power")),
        ),
    ),
    "machines.thinner": (
        "How is its mix settled?",
        (
            ("by a share of thinner", ("thinner_share",)),
            ("by the thickness its pump takes", ("viscosity_limit",)),
            ("by the usual thickness for its kind of engine", ()),
        ),
    ),
    "process.energy": (
        "How do you know what the cleaning uses?",
        (
            ("electricity for a volume of oil", ("energy_per_volume",)),
            ("from the heating", ("heat_from", "heat_to")),
        ),
    ),
    "setups.energy": (
        "How do you know what this cleaning uses?",
        (
            ("electricity for a volume of oil", ("energy_per_volume",)),
            ("from the heating", ("heat_from", "heat_to")),
            ("as the first way of cleaning has it", ()),
        ),
    ),
}

# What most farms fill in; every other field stands behind "more".
_COMMON = {
    "scenario": "title units currency priced_on",
    "machines": "name engine model_year replaces blend_share road_share thinner fuel_per_year"
    " hours_per_year fuel_per_hour distance_per_year distance_per_volume rated_power thinner_share"
    " thinner_share_winter viscosity_limit owner",
    "oils": "name kind own volume_per_month reliability price load_volume round_trip"
    " hours_per_trip",
    "process": "batch_volume hours_per_batch hours_per_month loss_share energy_per_volume heat_from"
    " heat_to raw_storage clean_storage",
    "setups": "name batch_volume hours_per_batch loss_share energy_per_volume heat_from heat_to"
    " raw_storage clean_storage filters",
    "additives": "name price dose",
    "yearly": "name cost",
    "blending": "winter_months",
    "thinners": "name kind price available_per_month",
    "labour": "wage upkeep_hours_per_year",
    "kit": "name cost life_years resale_share owned owner",
    "finance": "years discount_rate tax_rate exit_cost",
    "uncertainty": "",
}
_KEY = re.compile(r"\[\[?([a-z_.]+)\]?\]|\b([a-z]+(?:_[a-z0-9]+)+)\b")


def is_rare(table: str, field: str) -> bool:
    """Say whether a field stands behind "more"."""
    return table in _COMMON and field not in _COMMON[table].split()


def way_fields(choice: str) -> tuple[frozenset[str], ...]:
    """List the fields of each way of a choice, in the order of `WAY_QUESTIONS`."""
    known = WAYS[choice]
    count = len(WAY_QUESTIONS[choice][1])
    return (*known, *[frozenset[str]()] * (count - len(known)))


def label_of(field: str) -> str | None:
    """Name a field by its label, whichever table has it; None where none does."""
    order: list[type[Table]] = [Machine, *MODELS.values()]
    for model in order:
        if field in model.model_fields:
            try:
                return about(model, field).label
            except KeyError:
                continue
    return None


def in_words(word: str) -> str:
    """Write an allowed word as people read it."""
    return WORDS.get(word, word)


def plain_words(text: str) -> str:
    """Write a message about a farm file without its keys.

    Parameters
    ----------
    text : str
        Such as a fault's message or a field's help.

    Returns
    -------
    str

    Examples
    --------
    >>> plain_words("allowed: only beside thinner_share")
    'allowed: only beside “Thinner in the mix”'
    >>> plain_words("Name of one of [[thinners]]")
    'Name of one of “Thinners”'
    """

    def words(match: re.Match[str]) -> str:
        key = match[1] or match[2]
        label = SECTIONS.get(key) if match[1] else WORDS.get(key) or label_of(key)
        return f"“{label}”" if label else match[0]

    text = _KEY.sub(words, text)
    return text.replace('"“', "“").replace('”"', "”")


def where_in_words(where: str) -> str:
    """Write a place of a farm file as its form names it.

    Examples
    --------
    >>> where_in_words('[[machines]] "Hay tractor": thinner_share')
    'Machines, Hay tractor: Thinner in the mix'
    >>> where_in_words("[labour] wage")
    'Your time: Wage'
    """
    many = re.fullmatch(
        r'\[\[([a-z]+)\]\](?: "([^"]*)")?(?: \[\[wear\]\] "([^"]*)")?(?:: (\w+))?', where
    )
    one = re.fullmatch(r"\[([a-z]+)\](?: (.+))?", where)
    if many:
        table, *names, field = many.groups()
        steps = [SECTIONS.get(table, table), *[name for name in names if name]]
    elif one:
        table, field = one.groups()
        steps = [SECTIONS.get(table, table)]
    else:
        return where
    if field is None:
        return ", ".join(steps)
    model = MODELS.get("machines.wear" if many and many[3] else table)
    known = model is not None and field in model.model_fields
    label = about(model, field).label if known and model is not None else field
    return f"{', '.join(steps)}: {label}"
