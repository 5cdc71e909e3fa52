"""What a couple reads in thirty seconds, worded once for first screen, terminal and paper.

It is made from the decision's own document and chances: no figure here is worked out anew. At
most twelve numbers stand in it; the exact ones are those of the document.
"""

import datetime
import math
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, TypedDict

from msgspec import Struct

from econ.advice.plain_words import (
    busy_note,
    cautions_heading,
    gallon_title,
    loan_in_words,
    loan_sentence,
    lost_note,
    month_phrase,
    pay_sentence,
    rests_heading,
    stop_line,
    up_front_note,
    year_sentence,
)
from econ.advice.verdict import KINDS
from econ.answers.keys import Key
from econ.ground.labels import MONTH_NAMES
from econ.ground.written import Numbers

Json = Mapping[str, Any]

MOST_GUESSES = 5
MOST_CAUTIONS = 2
GUESSES_HEADING = "These move it most"
"""Head of the guesses where none of them decides alone."""
# The price scale ends at the next half unit of money above this much over the full cost ...
_ABOVE_FULL = 1.2
# ... or over the price at which the plan pays for one's time, or over today's, whose words stand
# to its right.
_ABOVE_PAID, _ABOVE_TODAY = 1.12, 1.3
_STEP = 0.5
# ... but no further than this many times the dearer of the two gallons: what lies beyond is far
# from deciding anything, and would press all that is near into a corner.
_FURTHEST = 2.0
# Fuel must stand this far above break-even before the whole plan is advised.
_HEADROOM = 1.1
# Less than this is rounding, not a part of a gallon. [currency/volume]
_NOTHING = 1e-9
# Prices older than this many days are told with their year.
_OLD = 92


class Part(TypedDict):
    """One part of a gallon."""

    key: Annotated[str, Key("text", "thinner, bills, repairs, kit or time")]
    label: Annotated[str, Key("text", "What people call it")]
    amount: Annotated[float, Key("price_per_volume", "Its cost for each volume replaced")]


class Gallon(TypedDict):
    """A volume of one's own fuel beside one at the pump."""

    title: Annotated[str, Key("text", "Whether it costs more or less")]
    parts: Annotated[list[Part], Key("text", "What it is made of, adding up to the full cost")]
    full: Annotated[float, Key("price_per_volume", "Full cost of a volume of fuel replaced")]
    pump: Annotated[float, Key("price_per_volume", "Mean price of the fuel replaced")]
    difference: Annotated[str, Key("text", "What the gap between the two is called")]
    description: Annotated[str, Key("text", "The bar in words, for those who hear it read")]


class Ahead(TypedDict):
    """Of a hundred ways it may go, how many come out ahead."""

    title: Annotated[str, Key("text", "Heading")]
    time_free: Annotated[int, Key("count", "Ahead with one's time free, of a hundred")]
    time_paid: Annotated[int, Key("count", "Ahead even with one's time paid, of a hundred")]
    lines: Annotated[list[str], Key("text", "One line for each count, the rest last")]
    description: Annotated[str, Key("text", "The dots in words")]


class Box(TypedDict):
    """One of the three figures a partner asks for."""

    key: Annotated[str, Key("text", "up_front, most_lost or time")]
    label: Annotated[str, Key("text", "What it is")]
    figure: Annotated[str, Key("text", "As people say it")]
    note: Annotated[str, Key("text", "What is and is not in it")]


class MonthHours(TypedDict):
    """One's own hours in one month."""

    month: Annotated[int, Key("count", "1 to 12")]
    hours: Annotated[float, Key("hours", "Hands-on hours, upkeep spread evenly")]
    busy: Annotated[bool, Key("flag", "Whether the farm burns more fuel than its mean month")]


class Zone(TypedDict):
    """A stretch of the price scale and what to do there."""

    key: Annotated[str, Key("text", "stop, carry_on, time_free, small or start")]
    label: Annotated[str, Key("text", "What to do")]
    until: Annotated[float, Key("price_per_volume", "Where it ends")]
    here: Annotated[bool, Key("flag", "Whether today's price lies in it")]


class PriceMark(TypedDict):
    """A price to find on the scale."""

    key: Annotated[str, Key("text", "last_year, today or what_if")]
    label: Annotated[str, Key("text", "What it is called there")]
    price: Annotated[float, Key("price_per_volume", "Mean price of the fuel replaced")]
    note: Annotated[str, Key("text", "Where it comes from; may be empty")]


class Price(TypedDict):
    """The one price that decides, from nothing to beyond what would pay for one's time."""

    line: Annotated[str, Key("text", "When to start and down to what to carry on")]
    today: Annotated[float | None, Key("price_per_volume", "Mean price of the fuel replaced")]
    end: Annotated[float, Key("price_per_volume", "Right end of the scale")]
    zones: Annotated[list[Zone], Key("text", "From the cheapest fuel to the dearest")]
    marks: Annotated[list[PriceMark], Key("text", "Last year's price, today's, or a what-if")]


class Rests(TypedDict):
    """What the year's worth rests on."""

    heading: Annotated[str, Key("text", "The finding")]
    bills: Annotated[float, Key("share", "Share that rests on bills")]
    measured: Annotated[float, Key("share", "Share that rests on measurements and quotes")]
    guesses: Annotated[float, Key("share", "Share that rests on guesses and usual values")]


class GuessRow(TypedDict):
    """One guess that matters."""

    name: Annotated[str, Key("text", "The entry and the field")]
    share: Annotated[float, Key("share", "Its swing beside the largest")]


class Guesses(TypedDict):
    """The guesses that matter most and can be found out."""

    heading: Annotated[str, Key("text", "What they could do")]
    rows: Annotated[list[GuessRow], Key("text", "The largest first")]


class CautionRow(TypedDict):
    """A caution in one line."""

    key: Annotated[str, Key("text", "Key of the caution in full")]
    short: Annotated[str, Key("text", "In plain words, without citations")]


class ShortCautions(TypedDict):
    """The gravest cautions."""

    heading: Annotated[str, Key("text", "How many, and whether more stand behind")]
    rows: Annotated[list[CautionRow], Key("text", "The gravest first")]
    all: Annotated[int, Key("count", "How many cautions there are in all")]


class FirstScreen(TypedDict):
    """What stands on the first screen."""

    farm: Annotated[str, Key("text", "The farm's short name")]
    example: Annotated[bool, Key("flag", "Whether it is an example, not the reader's farm")]
    prices_of: Annotated[str, Key("text", "When the prices were looked up, in words")]
    advice: Annotated[str, Key("text", "The advice, one sentence")]
    year: Annotated[str, Key("text", "What a year leaves, for how many hours, at what pay")]
    gallon: Annotated[Gallon | None, Key("text", "None where no fuel is made")]
    ahead: Annotated[Ahead, Key("text", "Of a hundred ways it may go")]
    boxes: Annotated[list[Box], Key("text", "Up front, most that can be lost, time")]
    months: Annotated[list[MonthHours], Key("text", "Twelve months of hours")]
    price: Annotated[Price | None, Key("text", "None where no fuel is replaced")]
    rests: Annotated[Rests, Key("text", "Bills, measurements, guesses")]
    guesses: Annotated[Guesses, Key("text", "What to find out first")]
    cautions: Annotated[ShortCautions, Key("text", "The gravest")]
    loan: Annotated[str, Key("text", "The loan, and whether the plan carries it")]
    loan_in_words: Annotated[str, Key("text", "The same without a number; empty without a loan")]


class Grounds(Struct, frozen=True):
    """What the first screen is made from, all of it worked out before.

    Parameters
    ----------
    document : dict
        The decision, in the file's units.
    ahead : dict of str to float
        Chance of coming out ahead by ledger. [-]
    swings : sequence of (name, (low, high))
        Equivalent annual worth of the ledger that the advice rests on, with each guess that
        can be found out at its low and its high. [currency/yr]
    shares : (float, float, float)
        Shares of the year's worth that rest on bills, measurements and guesses. [-]
    fuel_by_month : sequence of 12 floats
        Pump fuel of all machines without the plan. [volume]
    header : object
        The farm's header: title, currency, units, priced_on, example.
    wage, tax_rate : float
        [currency/h], [-]
    wage_taxed : bool
        Whether pay earned elsewhere would be taxed.
    loan : (float, int, float) or None
        Amount, years and rate of the loan. [currency, yr, 1/yr]
    today : date
        For the age of the prices.
    last_year : (float, str)
        Last year's price of the fuel over today's, and where that comes from. [-]
    """

    document: Json
    ahead: dict[str, float]
    swings: Sequence[tuple[str, tuple[float, float]]]
    shares: tuple[float, float, float]
    fuel_by_month: Sequence[float]
    header: Any
    wage: float
    tax_rate: float
    wage_taxed: bool
    loan: tuple[float, int, float] | None
    today: datetime.date
    last_year: tuple[float, str]


def short_name(title: str) -> str:
    """Take a farm's name from its title: what stands before the first colon."""
    return title.split(":", 1)[0].strip() or title


def prices_of(priced_on: datetime.date | None, today: datetime.date) -> str:
    """Say when prices were looked up: in words while they are fresh, with their age later.

    Parameters
    ----------
    priced_on : date or None
        As the file has it.
    today : date
        For their age.

    Returns
    -------
    str

    Examples
    --------
    >>> prices_of(datetime.date(2026, 6, 15), datetime.date(2026, 7, 1))
    'Prices of the middle of June'
    """
    if priced_on is None:
        return "Prices of no stated day"
    third = ("beginning", "middle", "end")[min(2, (priced_on.day - 1) // 10)]
    month = MONTH_NAMES[priced_on.month - 1]
    if (today - priced_on).days > _OLD:
        return f"Prices of {month} {priced_on.year}: old"
    return f"Prices of the {third} of {month}"


def ledger_of(advice: str) -> str:
    """Name the ledger that an advice rests on: paid where one's time is paid for."""
    return "time_paid" if advice in ("start", "try small first") else "time_free"


def mean_price(document: Json) -> float | None:
    """Work out the mean price of the fuel replaced. [currency/volume]"""
    replaced = document["fuel"]["fuel_replaced"]
    return document["savings"]["fuel_not_bought"] / replaced if replaced else None


def said_of_year(document: Json, *, wage: float, tax_rate: float, wage_taxed: bool) -> str:
    """Say what a year leaves, for how many hours, and what an hour of them pays.

    Parameters
    ----------
    document : dict
        The decision's.
    wage : float
        As one counts one's hour. [currency/h]
    tax_rate : float
        [-]
    wage_taxed : bool
        Whether that wage is before tax.

    Returns
    -------
    str
    """
    numbers = Numbers(document["units"], document["currency"])
    key = document["advice"]["key"]
    if not document["fuel"]["fuel_replaced"]:
        return str(document["advice"]["reasons"][0])
    ledger = ledger_of(key)
    taxed = tax_rate > 0.0
    year = year_sentence(
        numbers,
        worth=document["ledgers"][ledger]["equivalent_annual"],
        own_hours=document["fuel"]["own_hours"],
        paid=ledger == "time_paid",
        taxed=taxed,
    )
    pay = pay_sentence(
        numbers,
        pay=document["savings"]["pay_per_hour"],
        wage=wage,
        taxed=taxed and wage_taxed,
    )
    return f"{year} {pay}"


def _parts(document: Json) -> list[Part]:
    """Part a volume's full cost; what is negative goes with its neighbour, and says so."""
    rungs = document["rungs"]["per_replaced"]
    replaced = document["fuel"]["fuel_replaced"]
    costs = document["costs"]
    thinner = (costs["thinner"] + costs.get("refund", 0.0)) / replaced
    steps = [
        ("thinner", "thinner", thinner),
        ("bills", "filters and bills", rungs["cash"] - thinner),
        ("repairs", "repairs", rungs["wear"] - rungs["cash"]),
        ("kit", "kit", rungs["kit"] - rungs["wear"]),
        ("time", "your time", rungs["full"] - rungs["kit"]),
    ]
    parts: list[Part] = []
    owed = 0.0
    for key, label, amount in steps:
        left = amount + owed
        owed = 0.0
        if abs(left) < _NOTHING:
            owed = left
        elif left > 0.0:
            parts.append({"key": key, "label": label, "amount": left})
        elif parts and parts[-1]["amount"] + left > 0.0:
            parts[-1]["amount"] += left
            parts[-1]["label"] += ", less what comes in"
        else:
            owed = left
    return parts


def _gallon(document: Json, numbers: Numbers) -> Gallon | None:
    pump = mean_price(document)
    if pump is None:
        return None
    full = document["rungs"]["per_replaced"]["full"]
    parts = _parts(document)
    said = ", ".join(f"{part['label']} {numbers.per_volume(part['amount'])}" for part in parts)
    gap = "as much" if round(full, 2) == round(pump, 2) else "dearer" if full > pump else "cheaper"
    return {
        "title": gallon_title(numbers, full=full, pump=pump),
        "parts": parts,
        "full": full,
        "pump": pump,
        "difference": "as much as at the pump" if gap == "as much" else f"{gap} by this much",
        "description": f"{numbers.a_volume.capitalize()}: {said}; together"
        f" {numbers.per_volume(full)}. The pump asks {numbers.per_volume(pump)}.",
    }


def _ahead(chances: dict[str, float]) -> Ahead:
    free, paid = (round(100 * chances[key]) for key in ("time_free", "time_paid"))
    if free == paid:
        lines = [f"{free} come out ahead, your time paid or not"]
    else:
        lines = [
            f"{free} come out ahead if your time is free",
            f"{paid} of them even if it is paid",
        ]
    if free < 100:
        lines.append("the others lose money")
    return {
        "title": "Of a hundred ways it may go",
        "time_free": free,
        "time_paid": paid,
        "lines": lines,
        "description": "A hundred dots: " + "; ".join(lines) + ".",
    }


def _boxes(document: Json, months: Sequence[MonthHours], numbers: Numbers) -> list[Box]:
    lost = document["ledgers"]["time_free"]["lost_if_stopped"]
    hours = document["fuel"]["own_hours"]
    return [
        {
            "key": "up_front",
            "label": "Up front",
            "figure": numbers.spoken(document["kit_to_buy"]),
            "note": up_front_note(
                numbers, kit_cost=document["kit_cost"], kit_to_buy=document["kit_to_buy"]
            ),
        },
        {
            "key": "most_lost",
            "label": "Most you can lose by stopping",
            "figure": numbers.spoken(max(lost, default=0.0)),
            "note": lost_note(lost),
        },
        {
            "key": "time",
            "label": "Your time",
            "figure": month_phrase(hours),
            "note": busy_note([m["hours"] for m in months], [m["busy"] for m in months]),
        },
    ]


def _months(document: Json, fuel_by_month: Sequence[float]) -> list[MonthHours]:
    """Spread upkeep evenly, so that the months add up to the year; own hours alone."""
    worked = [month["hours"] for month in document["months"]]
    fuel = document["fuel"]
    upkeep = (fuel["hours"] - sum(worked)) / 12.0
    own = fuel["own_hours"] / fuel["hours"] if fuel["hours"] else 0.0
    mean = sum(fuel_by_month) / 12.0
    return [
        {"month": k + 1, "hours": own * (hours + upkeep), "busy": burned > mean}
        for k, (hours, burned) in enumerate(zip(worked, fuel_by_month, strict=True))
    ]


def _price(document: Json, last_year: tuple[float, str]) -> Price | None:
    today = mean_price(document)
    if today is None:
        return None
    numbers = Numbers(document["units"], document["currency"])
    free, paid = document["ledgers"]["time_free"], document["ledgers"]["time_paid"]
    start, full = free["break_even_fuel_price"], paid["break_even_fuel_price"]
    below = free["stop_below"][0] if free["stop_below"] else None
    cost = document["rungs"]["per_replaced"]["full"]
    edge = max(_ABOVE_FULL * cost, _ABOVE_PAID * (full or 0.0), _ABOVE_TODAY * today)
    edge = min(edge, _FURTHEST * max(cost, today))
    end = math.ceil(edge / _STEP) * _STEP
    return {
        "line": stop_line(numbers, start=start, carry_on=below, worth=free["npv"]),
        "today": today,
        "end": end,
        "zones": _zones(today, end, (below, start, full)),
        "marks": [
            {
                "key": "last_year",
                "label": "last year",
                "price": today * last_year[0],
                "note": last_year[1],
            },
            {"key": "today", "label": "today", "price": today, "note": ""},
        ],
    }


def _zones(
    today: float, end: float, marks: tuple[float | None, float | None, float | None]
) -> list[Zone]:
    """Part the scale at the prices that decide; a price that is not there drops its zone."""
    below, start, full = marks
    if start is None:
        return []
    rows: list[tuple[str, str, float]] = []
    if below is not None and 0.0 < below < start:
        rows += [("stop", "stop and sell the kit", below), ("carry_on", "carry on only", start)]
    elif below is not None and below <= 0.0:
        rows.append(("carry_on", "carry on only", start))
    else:
        rows.append(("stop", "stop and sell the kit", start))
    if full is None:
        rows.append(("time_free", "start only if time is free", end))
    else:
        if full > start:
            rows.append(("time_free", "start only if time is free", full))
        rows.append(("small", "try small", _HEADROOM * full))
        rows.append(("start", "start", end))
    zones: list[Zone] = []
    floor = 0.0
    for key, label, until in rows:
        top = min(until, end)
        if top > floor:
            zones.append({"key": key, "label": label, "until": top, "here": floor <= today < top})
            floor = top
    return zones


def _guesses(grounds: Grounds) -> Guesses:
    document = grounds.document
    key = document["advice"]["key"]
    rows = sorted(
        ((name, *pair) for name, pair in grounds.swings if pair[0] != pair[1]),
        key=lambda row: -abs(row[2] - row[1]),
    )[:MOST_GUESSES]
    widest = abs(rows[0][2] - rows[0][1]) if rows else 1.0
    crosses = bool(rows) and all(min(low, high) <= 0.0 < max(low, high) for _, low, high in rows)
    other = {
        "start only if your time is free": "do not start",
        "try small first": None,
        "start": "start only if your time is free",
        "do not start": None,
    }[key]
    heading = GUESSES_HEADING
    if crosses and other is not None:
        heading = f"Any one of these could make it “{other}”"
    elif crosses and key == "do not start":
        heading = "Any one of these could make it worth starting"
    return {
        "heading": heading,
        "rows": [{"name": name, "share": abs(high - low) / widest} for name, low, high in rows],
    }


def _cautions(document: Json) -> ShortCautions:
    shown = document["cautions"]
    first = shown[:MOST_CAUTIONS]
    return {
        "heading": cautions_heading(len(first), len(shown)),
        "rows": [{"key": row["key"], "short": row["short"]} for row in first],
        "all": len(shown),
    }


def _loan(grounds: Grounds, numbers: Numbers) -> str:
    loan = grounds.document["loan"]
    if loan is None or grounds.loan is None:
        return "No loan is planned."
    amount, years, rate = grounds.loan
    return loan_sentence(
        numbers,
        payment=loan["payment_per_year"] / 12.0,
        amount=amount,
        years=years,
        rate=rate,
        cover=loan["cover"],
    )


def first_screen(grounds: Grounds) -> FirstScreen:
    """Word the first screen.

    Parameters
    ----------
    grounds : Grounds
        A decision and what goes with it.

    Returns
    -------
    FirstScreen
    """
    document, header = grounds.document, grounds.header
    numbers = Numbers(document["units"], document["currency"])
    months = _months(document, grounds.fuel_by_month)
    bills, measured, guessed = grounds.shares
    loan = document["loan"]
    return {
        "farm": short_name(header.title),
        "example": header.example,
        "prices_of": prices_of(header.priced_on, grounds.today),
        "advice": next(kind.label for kind in KINDS if kind.key == document["advice"]["key"]),
        "year": said_of_year(
            document,
            wage=grounds.wage,
            tax_rate=grounds.tax_rate,
            wage_taxed=grounds.wage_taxed,
        ),
        "gallon": _gallon(document, numbers),
        "ahead": _ahead(grounds.ahead),
        "boxes": _boxes(document, months, numbers),
        "months": months,
        "price": _price(document, grounds.last_year),
        "rests": {
            "heading": rests_heading(guessed, bills),
            "bills": bills,
            "measured": measured,
            "guesses": guessed,
        },
        "guesses": _guesses(grounds),
        "cautions": _cautions(document),
        "loan": _loan(grounds, numbers),
        "loan_in_words": loan_in_words(loan["cover"]) if loan else "",
    }
