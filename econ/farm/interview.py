"""Twelve questions that make a farm: what a farmer knows by heart, and usual values for the rest.

Each question is declared once and asked by the page and the terminal alike. A blank left empty
takes its usual value, which is written down as usual and not as the reader's own.

>>> made = interviewed({"wage": "90"}, datetime.date(2026, 6, 15))
>>> made.document["labour"]["wage"], made.answered, made.faults
(90, 1, {})
"""

import datetime
import tomllib
from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from econ.farm.bounds import beyond
from econ.farm.field_words import SOURCES
from econ.farm.fields import About
from econ.farm.reading import Units, amount, number_of
from econ.farm.schema import Kit, Labour, Machine, Oil, Prices, Process, Thinner, about
from econ.farm.starter import Said, farm_text
from econ.ground.errors import RefusedError
from econ.ground.records import replace
from econ.ground.units import DIMENSIONS, from_canonical, to_canonical, unit_label

Json = dict[str, Any]
Answers = Mapping[str, str]

MACHINE_ROWS, GIVER_ROWS = 3, 2
_LONGEST = 80
_VOLUME = replace(about(Machine, "fuel_per_year"), usual=())


class Blank(Struct, frozen=True):
    """One box of a question.

    Parameters
    ----------
    key : str
        Its answer's key.
    label : str
        What stands beside it.
    detail : About or None
        Of the number; None for a choice.
    choices : tuple of (value, words)
        What may be chosen; the first stands where nothing is.
    """

    key: str
    label: str
    detail: About | None = None
    choices: tuple[tuple[str, str], ...] = ()


class Question(Struct, frozen=True):
    """One question with its boxes."""

    key: str
    ask: str
    help: str
    blanks: tuple[Blank, ...]


class MachineKind(Struct, frozen=True):
    """A machine of the short list: how its owner knows it, and what is usual for it.

    Volumes are in gallons a year; common practice, no source.
    """

    key: str
    name: str
    words: str
    engine: str
    model_year: int
    replaces: str
    fuel: tuple[float, float, float]
    road_share: float = 0.0
    controls: tuple[str, ...] = ()


MACHINES = (
    MachineKind(
        "main_tractor",
        "Main tractor",
        "Main tractor or loader, 1965 to 2000: long pump with a line to each cylinder",
        "inline pump",
        1988,
        "farm_diesel",
        (500, 1470, 2700),
    ),
    MachineKind(
        "small_tractor",
        "Small tractor",
        "Smaller tractor, 1970 to 2005: round pump, lubricated by the fuel",
        "rotary pump",
        1990,
        "farm_diesel",
        (40, 190, 550),
    ),
    MachineKind(
        "pickup",
        "Pickup",
        "Pickup, 1982 to 1998: prechamber diesel, glow plugs, rattles when cold",
        "indirect injection",
        1992,
        "road_diesel",
        (200, 500, 900),
        0.95,
    ),
    MachineKind(
        "truck",
        "Truck",
        "Grain or dump truck before 2004: long pump with a line to each cylinder",
        "inline pump",
        1991,
        "road_diesel",
        (250, 550, 1200),
        0.85,
    ),
    MachineKind(
        "earthmover",
        "Earthmover",
        "Dozer or excavator, 1985 to 2005: injectors under the rocker cover, no high lines",
        "unit injector",
        1995,
        "farm_diesel",
        (1200, 3300, 8000),
    ),
    MachineKind(
        "generator",
        "Generator",
        "Standby generator with an old diesel: long pump",
        "inline pump",
        1990,
        "farm_diesel",
        (5, 40, 180),
    ),
    MachineKind(
        "heater",
        "Shop heater",
        "Oil burner: shop heater, furnace or boiler",
        "burner",
        2000,
        "heating_oil",
        (150, 400, 900),
    ),
    MachineKind(
        "newer",
        "Newer engine",
        "Tractor or truck, about 1999 to 2006: one shared rail, electronic, no exhaust filter",
        "early common rail",
        2004,
        "farm_diesel",
        (200, 900, 2500),
    ),
    MachineKind(
        "newest",
        "Engine with exhaust filters",
        "Anything of 2007 or later with exhaust filters: stays on pump fuel",
        "late common rail",
        2014,
        "farm_diesel",
        (200, 900, 2500),
        0.0,
        ("particulate filter",),
    ),
)

# Who gives oil: kind, gallons a month, how much arrives, turned away, hours a trip.
# Common practice, no source.
_GIVERS = {
    "neighbour": (
        "A neighbour's farm",
        "engine oil",
        (4, 12, 35),
        (0.5, 0.75, 0.95),
        (0.02, 0.05, 0.15),
        10.0,
    ),
    "garage": ("A garage", "engine oil", (20, 55, 120), (0.3, 0.65, 0.9), (0.03, 0.10, 0.30), 24.0),
    "fleet": (
        "A truck or machine yard",
        "engine oil",
        (40, 100, 250),
        (0.5, 0.75, 0.95),
        (0.02, 0.05, 0.15),
        24.0,
    ),
    "hydraulic": (
        "A hydraulic shop",
        "hydraulic oil",
        (8, 30, 100),
        (0.3, 0.65, 0.9),
        (0.03, 0.10, 0.30),
        24.0,
    ),
}

_THINNERS = {
    "farm_diesel": ("Dyed (farm) diesel", "diesel", "farm_diesel"),
    "road_diesel": ("Road diesel", "diesel", "road_diesel"),
    "kerosene": ("Kerosene", "kerosene", (3.8, 5.2, 7.5)),
    "gasoline": ("Gasoline", "gasoline", (2.8, 3.7, 4.7)),
    "spirits": ("Mineral spirits", "mineral spirits", (5.5, 9.0, 13.0)),
    "none": ("", "", ""),
}
_SHARES = {"third": (0.2, 0.33, 0.45), "half": (0.3, 0.5, 0.7), "most": (0.7, 0.9, 1.0)}

# Two sizes of doing it: batch, hours a batch, kit and its price. Common practice, no source.
_SCALES: dict[str, dict[str, Any]] = {
    "drum": {
        "batch_volume": 55,
        "hours_per_batch": (1.5, 3.0, 6.0),
        "loss_share": (0.04, 0.08, 0.15),
        "name": "Drums, heater, pump, filters, safety gear",
        "cost": (900, 1700, 3500),
        "room": 385.0,
        "load": 100,
    },
    "tote": {
        "batch_volume": 240,
        "hours_per_batch": (3.0, 5.5, 10.0),
        "loss_share": (0.06, 0.11, 0.22),
        "name": "Tank, centrifuge, heater, pumps, safety gear",
        "cost": (5000, 8500, 14000),
        "room": 900.0,
        "load": 250,
    },
}


def _source(key: str, label: str) -> Blank:
    kinds = ("guess", "bill", "measured", "quote")
    return Blank(key, label, None, tuple((kind, SOURCES[kind]) for kind in kinds))


QUESTIONS = (
    Question(
        "units",
        "Gallons or litres, and which money?",
        "Every number below is then in these.",
        (
            Blank(
                "units",
                "Units",
                None,
                (("us", "gallons and miles"), ("metric", "litres and kilometres")),
            ),
            Blank(
                "currency",
                "Money",
                None,
                tuple((code, code) for code in ("USD", "AUD", "CAD", "NZD", "GBP", "EUR")),
            ),
        ),
    ),
    Question(
        "prices",
        "What do you pay for each fuel?",
        "From the last bill, after rebates. Leave out what you do not use.",
        (
            Blank("farm_diesel", "Dyed (farm) diesel", about(Prices, "farm_diesel")),
            Blank("road_diesel", "Road diesel", about(Prices, "road_diesel")),
            Blank("heating_oil", "Heating oil", about(Prices, "heating_oil")),
            _source("prices_source", "These are from"),
        ),
    ),
    Question(
        "bills",
        "How much of each did you buy last year?",
        "Your machines then share it out. Left out: usual use of each machine.",
        (
            Blank("bill.farm_diesel", "Dyed (farm) diesel", _VOLUME),
            Blank("bill.road_diesel", "Road diesel", _VOLUME),
            Blank("bill.heating_oil", "Heating oil", _VOLUME),
            _source("bills_source", "These are from"),
        ),
    ),
    Question(
        "machines",
        "Which machines could burn it?",
        "Look at the pump on the engine: that tells more than the name on the hood.",
        tuple(
            blank
            for k in range(MACHINE_ROWS)
            for blank in (
                Blank(
                    f"machine.{k}",
                    f"Machine {k + 1}",
                    None,
                    (
                        *((("", "none"),) if k else ()),
                        *((kind.key, kind.words) for kind in MACHINES),
                    ),
                ),
                Blank(f"machine.{k}.fuel", "burns", _VOLUME),
            )
        ),
    ),
    Question(
        "share",
        "How much of their fuel would blend replace?",
        "Cautious people begin with a third.",
        (
            Blank(
                "share",
                "Share",
                None,
                (("half", "about half"), ("third", "about a third"), ("most", "nearly all")),
            ),
        ),
    ),
    Question(
        "own",
        "How much used oil do your own machines give?",
        "Sump size times changes a year, divided by twelve.",
        (Blank("own", "Own oil", about(Oil, "volume_per_month")),),
    ),
    Question(
        "givers",
        "Who else would give you oil?",
        "Only who has promised it. Count a promise for what arrives.",
        tuple(
            blank
            for k in range(GIVER_ROWS)
            for blank in (
                Blank(
                    f"giver.{k}",
                    f"Giver {k + 1}",
                    None,
                    (
                        ("", "nobody"),
                        *((key, row[0]) for key, row in _GIVERS.items()),
                    ),
                ),
                Blank(f"giver.{k}.volume", "promised", about(Oil, "volume_per_month")),
                Blank(f"giver.{k}.trip", "there and back", about(Oil, "round_trip")),
            )
        ),
    ),
    Question(
        "thinner",
        "What would you thin it with?",
        "Gasoline makes the whole tank as dangerous as gasoline, and never goes into a burner.",
        (
            Blank(
                "thinner",
                "Thinner",
                None,
                (
                    ("farm_diesel", "the farm diesel I buy"),
                    ("road_diesel", "road diesel"),
                    ("kerosene", "kerosene"),
                    ("gasoline", "gasoline"),
                    ("spirits", "mineral spirits"),
                    ("none", "nothing: clean oil alone"),
                ),
            ),
            Blank("thinner.price", "Its price", about(Thinner, "price")),
        ),
    ),
    Question(
        "room",
        "How much oil can you store?",
        "Tanks and drums together, raw and clean.",
        (Blank("room", "Room for oil", about(Process, "raw_storage")),),
    ),
    Question(
        "kit",
        "What kit: there already, or to buy?",
        "Heater, pump, filters, tanks, safety gear.",
        (
            Blank(
                "kit",
                "Size",
                None,
                (("drum", "drums, one at a time"), ("tote", "big tank and centrifuge")),
            ),
            Blank("kit.cost", "Its price, or what yours would sell for", about(Kit, "cost")),
            Blank("kit.owned", "Is it there?", None, (("no", "to buy"), ("yes", "already there"))),
        ),
    ),
    Question(
        "wage",
        "What would an hour of yours earn otherwise?",
        "Before tax.",
        (Blank("wage", "An hour", about(Labour, "wage")),),
    ),
    Question(
        "hours",
        "How many hours a month can you spare?",
        "For fetching, cleaning and blending, in an ordinary month.",
        (Blank("hours", "Hours to spare", about(Process, "hours_per_month")),),
    ),
)

BLANKS = {blank.key: blank for question in QUESTIONS for blank in question.blanks}


class Interviewed(Struct, frozen=True):
    """A farm made from answers."""

    text: str
    """A commented farm file, with usual values marked."""
    document: Json
    faults: dict[str, str]
    """What could not be read, by the blank's key; the usual value stands in for it."""
    answered: int
    """How many blanks hold an answer."""


def checked_answers(answers: object) -> dict[str, str]:
    """Check answers that came from outside.

    Parameters
    ----------
    answers : object
        Any JSON value.

    Returns
    -------
    dict of str to str

    Raises
    ------
    RefusedError
        If they are no answers to these questions.
    """
    if not isinstance(answers, dict):
        message = "answers are a table of texts"
        raise RefusedError(message)
    for key, text in answers.items():
        if key not in BLANKS or not isinstance(text, str) or len(text) > _LONGEST:
            message = "no question has such an answer"
            raise RefusedError(message)
        choices = [value for value, _ in BLANKS[key].choices]
        if choices and text not in (*choices, ""):
            message = "no question has such a choice"
            raise RefusedError(message)
    return dict(answers)


def units_of(answers: Answers) -> Units:
    """Read the units and money of the answers."""
    return Units(answers.get("units") or "us", answers.get("currency") or "USD")


def unit_of(blank: Blank, units: Units) -> str:
    """Write the unit of a blank; empty for a choice."""
    if blank.detail is None:
        return ""
    return unit_label(blank.detail.dimension, units.units, units.currency)


def usual_text(blank: Blank, answers: Answers) -> str:
    """Say what stands where a blank is left empty; empty where nothing is said.

    Parameters
    ----------
    blank : Blank
        A number's.
    answers : mapping of str to str
        So far.

    Returns
    -------
    str
        Such as "usual: 8 gal/month".
    """
    detail, units = blank.detail, units_of(answers)
    value = _usual_of(blank.key, answers)
    if detail is None or value is None:
        return ""
    likely = value[1] if isinstance(value, tuple) else value
    canonical = to_canonical(likely, detail.dimension, "us")
    return "usual: " + amount(
        float(from_canonical(canonical, detail.dimension, units.units)), detail, units
    )


def _usual_of(key: str, answers: Answers) -> Any:
    """Find the usual value of a blank, in US units; None where none stands alone."""
    steps = key.split(".")
    scale = _SCALES[answers.get("kit") or "drum"]
    if steps[0] == "machine" and len(steps) == 3:
        kind = _machine_kind(answers, int(steps[1]))
        return None if kind is None else kind.fuel
    if steps[0] == "giver" and len(steps) == 3:
        row = _GIVERS.get(answers.get(f"giver.{steps[1]}", ""))
        return None if row is None else row[2] if steps[2] == "volume" else row[5]
    if key == "thinner.price":
        price = _THINNERS[answers.get("thinner") or "farm_diesel"][2]
        return price if isinstance(price, tuple) else None
    plain = {
        "farm_diesel": (2.7, 3.9, 5.0),
        "road_diesel": (3.5, 4.6, 5.6),
        "heating_oil": (3.1, 4.0, 5.2),
        "own": (4, 8, 15),
        "room": scale["room"],
        "kit.cost": scale["cost"],
        "wage": (15, 22, 35),
        "hours": 10,
    }
    return plain.get(key)


def _machine_kind(answers: Answers, k: int) -> MachineKind | None:
    key = answers.get(f"machine.{k}", "") or ("main_tractor" if k == 0 else "")
    return next((kind for kind in MACHINES if kind.key == key), None)


# A range that is drawn around an answer must keep within what a farm can have, too.
_ROOM = 10.0


class _Reader:
    """Reads the answers, notes faults, and marks what is usual and what is the reader's."""

    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.units = units_of(answers)
        self.faults: dict[str, str] = {}

    def chosen(self, key: str) -> str:
        """Read a choice; the first where nothing is chosen."""
        return self.answers.get(key) or BLANKS[key].choices[0][0]

    def number(self, key: str) -> float | None:
        """Read a number in the farm's units; None where there is none or it cannot stand."""
        text, detail = self.answers.get(key, ""), BLANKS[key].detail
        if not text.strip() or detail is None:
            return None
        value = number_of(text, detail, self.units)
        if isinstance(value, str):
            self.faults[key] = f"“{text}” is not a number; the usual value stands in."
            return None
        try:
            detail.parse(value)
        except ValueError:
            self.faults[key] = "That cannot stand here; the usual value stands in."
            return None
        kind = DIMENSIONS[detail.dimension]
        far = beyond(_ROOM * value, kind, self.units.units, self.units.currency)
        if far is not None:
            self.faults[key] = "That is more than any farm has; the usual value stands in."
            return None
        return float(value)

    def said(self, key: str, *, spread: tuple[float, float, float] | None = None) -> object:
        """Return the answer to a blank, or its usual value, each with its word."""
        value = self.number(key)
        usual = _usual_of(key, self.answers)
        if value is None:
            return usual
        if spread is None or value <= 0.0:
            return Said(value, "Your answer.")
        low, likely, high = spread
        points = (_three(value * low / likely), _three(value), _three(value * high / likely))
        return Said(points, "Your answer, with the usual spread around it.")


def _three(value: float) -> float:
    return float(f"{value:.3g}")


def _fuel_rows(read: _Reader) -> list[tuple[MachineKind, object]]:
    """Find each machine's fuel: as answered, else its part of the bill, else what is usual."""
    kinds = [kind for k in range(MACHINE_ROWS) if (kind := _machine_kind(read.answers, k))]
    given = {
        k: read.number(f"machine.{k}.fuel")
        for k in range(MACHINE_ROWS)
        if _machine_kind(read.answers, k)
    }
    rows: list[tuple[MachineKind, object]] = []
    for value, kind in zip(given.values(), kinds, strict=True):
        if value is not None:
            rows.append((kind, Said(value, "Your answer.")))
            continue
        bill = read.number(f"bill.{kind.replaces}")
        open_kinds = [
            other
            for n, other in zip(given, kinds, strict=True)
            if given[n] is None and other.replaces == kind.replaces
        ]
        taken = sum(
            float(given[n] or 0.0)
            for n, other in zip(given, kinds, strict=True)
            if other.replaces == kind.replaces
        )
        left = 0.0 if bill is None else bill - taken
        if bill is not None and left <= 0.0:
            read.faults[f"bill.{kind.replaces}"] = (
                "Your machines burn more than this; usual use stands in for the others."
            )
        share = kind.fuel[1] / sum(other.fuel[1] for other in open_kinds)
        fuel = Said(_three(left * share), "Its part of your bill.") if left > 0.0 else kind.fuel
        rows.append((kind, fuel))
    return rows


def _numbered(names: list[str]) -> list[str]:
    """Tell entries of one name apart."""
    return [
        name if names[:k].count(name) == 0 else f"{name} {names[:k].count(name) + 1}"
        for k, name in enumerate(names)
    ]


def _machine_tables(read: _Reader, thinner: str) -> list[tuple[str, dict[str, object]]]:
    rows = _fuel_rows(read)
    names = _numbered([kind.name for kind, _ in rows])
    gasoline = read.chosen("thinner") == "gasoline"
    tables = []
    for name, (kind, fuel) in zip(names, rows, strict=True):
        table: dict[str, object] = {
            "name": name,
            "engine": kind.engine,
            "model_year": kind.model_year,
            "emission_controls": list(kind.controls),
            "replaces": kind.replaces,
            "fuel_per_year": fuel,
            "road_share": kind.road_share,
            "blend_share": _SHARES[read.chosen("share")],
        }
        if thinner and not (gasoline and kind.engine == "burner"):
            table["thinner"] = thinner
        tables.append(("machines", table))
    return tables


def _oil_tables(read: _Reader, load: float) -> list[tuple[str, dict[str, object]]]:
    own = read.said("own", spread=(4, 8, 15))
    tables: list[tuple[str, dict[str, object]]] = [
        (
            "oils",
            {
                "name": "Our own changes",
                "kind": "engine oil",
                "own": True,
                "volume_per_month": own,
                "reject_share": 0.01,
                "load_volume": 55,
                "hours_per_trip": 0.4,
            },
        ),
    ]
    keys = [(k, read.answers.get(f"giver.{k}", "")) for k in range(GIVER_ROWS)]
    givers = [(k, _GIVERS[key]) for k, key in keys if key in _GIVERS]
    names = _numbered([row[0] for _, row in givers])
    for name, (k, row) in zip(names, givers, strict=True):
        tables.append(
            (
                "oils",
                {
                    "name": name,
                    "kind": row[1],
                    "own": False,
                    "volume_per_month": read.said(f"giver.{k}.volume", spread=row[2]),
                    "reliability": row[3],
                    "reject_share": row[4],
                    "price": 0.0,
                    "load_volume": load,
                    "round_trip": read.said(f"giver.{k}.trip"),
                    "hours_per_trip": (0.7, 1.5, 3.0),
                },
            )
        )
    return tables


def _price_table(read: _Reader, kinds: list[MachineKind], thinner: str) -> dict[str, object]:
    """Return the prices that are used or answered."""
    used = {kind.replaces for kind in kinds} | {thinner}
    table: dict[str, object] = {
        fuel: read.said(fuel)
        for fuel in ("road_diesel", "farm_diesel", "heating_oil")
        if fuel in used or read.number(fuel) is not None
    }
    return {**table, "electricity": 0.16, "road_tax": 0.57}


def _sources(read: _Reader, tables: list[tuple[str, Mapping[str, object]]]) -> dict[str, str]:
    """Say of each answered number where it comes from."""
    prices, bills = read.chosen("prices_source"), read.chosen("bills_source")
    result: dict[str, str] = {}
    for table, values in tables:
        name = values.get("name")
        for field, value in values.items():
            if isinstance(value, Said):
                kind = {"prices": prices, "machines": bills}.get(table, "guess")
                middle = f"{name}." if name is not None else ""
                result[f"{table}.{middle}{field}"] = kind
    return result


_TOP = """\
# A farm for drumworth, made from answers to twelve questions. See what it says with:
#   drumworth decide FILE
# "Your answer" marks what you gave; "a usual value" marks what is not yours yet.
# A number may be a guess: { low = at least, likely = most likely, high = at most }.
"""


def _process_table(read: _Reader, scale: Json) -> dict[str, object]:
    room = read.number("room")
    raw, clean = (0.6, 0.4)
    note = "Your answer, shared out between raw and clean."
    stores: dict[str, object] = (
        {"raw_storage": raw * scale["room"], "clean_storage": clean * scale["room"]}
        if room is None
        else {
            "raw_storage": Said(_three(raw * room), note),
            "clean_storage": Said(_three(clean * room), note),
        }
    )
    return {
        "batch_volume": scale["batch_volume"],
        "hours_per_batch": scale["hours_per_batch"],
        "hours_per_month": read.said("hours"),
        "loss_share": scale["loss_share"],
        "energy_per_volume": (0.2, 0.45, 1.1),
        "test_cost_per_batch": 6,
        "disposal_cost": (0.0, 1.5, 6.0),
        **stores,
    }


def _kit_table(read: _Reader, scale: Json) -> dict[str, object]:
    owned = read.chosen("kit.owned") == "yes"
    return {
        "name": scale["name"],
        "cost": read.said("kit.cost"),
        "life_years": 8,
        "resale_share": 0.2,
        "owned": owned,
    }


def _thinner_tables(read: _Reader) -> list[tuple[str, dict[str, object]]]:
    name, kind, price = _THINNERS[read.chosen("thinner")]
    if not name:
        return []
    own = read.said("thinner.price")
    return [("thinners", {"name": name, "kind": kind, "price": price if own is None else own})]


# What is not asked for, usual values; judgement, no source.
_FILTER = {"name": "5 micron spin-on", "price": 30, "volume_per_element": (50, 120, 250)}
_BILL = {"name": "Gloves, absorbents, insurance, tests", "cost": (100, 350, 1200)}
_FINANCE = {
    "years": 7,
    "discount_rate": 0.07,
    "inflation": 0.025,
    "tax_rate": 0.0,
    "depreciation": "none",
    "exit_cost": (150, 800, 6000),
}


def interviewed(answers: Answers, day: datetime.date) -> Interviewed:
    """Make a farm from answers; every blank may be empty.

    Parameters
    ----------
    answers : mapping of str to str
        By the blanks' keys, as typed.
    day : date
        To write down for the prices.

    Returns
    -------
    Interviewed
        A farm that always works: what cannot be read is told and its usual value stands in.
    """
    read = _Reader(answers)
    scale = _SCALES[read.chosen("kit")]
    thinners = _thinner_tables(read)
    thinner = str(thinners[0][1]["name"]) if thinners else ""
    tied = str(thinners[0][1]["price"]) if thinners else ""
    kinds = [kind for k in range(MACHINE_ROWS) if (kind := _machine_kind(answers, k))]
    tables: list[tuple[str, Mapping[str, object]]] = [
        ("prices", _price_table(read, kinds, tied)),
        *_machine_tables(read, thinner),
        *_oil_tables(read, scale["load"]),
        ("hauling", {"cost_per_distance": 0.75}),
        ("process", _process_table(read, scale)),
        ("blending", {"winter_months": [11, 12, 1, 2, 3]}),
        ("filters", _FILTER),
        *thinners,
        ("yearly", _BILL),
        ("labour", {"wage": read.said("wage"), "upkeep_hours_per_year": 16}),
        ("kit", _kit_table(read, scale)),
        ("finance", _FINANCE),
    ]
    header: dict[str, object] = {"title": "My farm", "sources": _sources(read, tables)}
    text = farm_text(
        [("scenario", header), *tables],
        _TOP,
        read.units.units,
        read.units.currency,
        day,
        "A usual value, not yours yet.",
    )
    answered = sum(1 for text_ in answers.values() if text_.strip())
    return Interviewed(text, tomllib.loads(text), read.faults, answered)
