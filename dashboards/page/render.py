"""The one page as HTML: self-contained, printed on one sheet of A4 or US letter."""

import html
import math
import re
from collections.abc import Iterator
from importlib import resources

from dashboards.page.charts import Bar, Curve, bars, columns, curves
from dashboards.page.facts import Facts, gather
from dashboards.page.markup import bullets, named, plain, safe, section, table, width
from dashboards.page.second import second_page
from econ.advice.cautions import CLOSING
from econ.advice.verdict import KINDS
from econ.answers.document import Answer, Json
from econ.ground.labels import FITS, FUELS, MONTHS
from econ.model.costs import RUNGS
from econ.model.ledger import LEDGERS
from econ.questions.partner import GUESSES

_MOST_MACHINES = 6
# Signs of caution text that the page has room for, beside all grave ones.
_ROOM = 1750
# Printed lines beyond which the type is set smaller, so that one sheet still holds all.
_SIZES = (("longest", 56), ("long", 46))
# Signs that a printed line holds, over the whole sheet and in one of two columns.
_WIDE, _NARROW = 150, 68
_SHORT_LABELS = {"time_free": "time free", "time_paid": "time paid"}


def _range(facts: Facts, key: str, write: str) -> str:
    """Write the 1-in-20 levels of a figure."""
    found = facts.spread(key)
    if found is None or None in found:
        return ""
    low, high = (facts.show.of(write, value) for value in found)
    return f" <span>(1 in 20 below {safe(low)}, 1 in 20 above {safe(high)})</span>"


def _card(title: str, figure: str, *lines: str) -> str:
    inner = "".join(f"<p>{line}</p>" for line in lines if line)
    return f'<div class="card"><h2>{title}</h2><p class="figure">{figure}</p>{inner}</div>'


def _cards(facts: Facts) -> str:
    doc, show = facts.doc, facts.show
    savings, fuel = doc["savings"], doc["fuel"]
    wage = float(facts.found.expected.inputs.labour.wage)
    pay = savings["pay_per_hour"]
    earns = (
        "None of the hours are your own."
        if pay is None
        else f"An hour of your time earns <b>{show.cents(pay)}</b>, beside a wage of"
        f" {show.cents(wage)}.{_range(facts, 'pay_per_hour', 'money_per_hour')}"
    )
    free, paid = (doc["ledgers"][kind.key]["simple_payback"] for kind in LEDGERS)
    owned = doc["kit_cost"] - doc["kit_to_buy"]
    kit = f"Kit: {show.money(doc['kit_cost'])}, {show.money(doc['kit_to_buy'])} still to buy"
    kit += f", {show.money(owned)} already there." if owned else "."
    return (
        '<div class="cards">'
        + _card(
            "Left in a typical year, time unpaid",
            show.money(savings["after_wear"]),
            "After all costs and repairs, before the kit." + _range(facts, "after_wear", "money"),
            f"After kit and your time at your wage: <b>{show.money(savings['after_labour'])}</b>."
            + _range(facts, "after_labour", "money"),
        )
        + _card(
            "Hours in a typical year",
            show.hours(fuel["hours"]),
            f"About {show.hours(fuel['hours'] / 12)} a month.{_range(facts, 'hours', 'hours')}",
            earns,
        )
        + _card(
            "Kit paid back, time unpaid",
            show.years(free),
            f"Paying you for your time: <b>{show.years(paid)}</b>.",
            kit,
            _payback_odds(facts),
        )
        + "</div>"
    )


def _payback_odds(facts: Facts) -> str:
    if facts.chances is None:
        return ""
    within = facts.chances["payback_within"]["time_free"]
    last = list(within)[-1]
    return f"Paid back within {last} years in {facts.show.percent(within[last])} of draws."


def _ladder(facts: Facts) -> str:
    doc, show = facts.doc, facts.show
    rungs = doc["rungs"]["per_replaced"]
    if not facts.makes_fuel:
        return "<p>No fuel is made, so none has a cost.</p>"
    mean = doc["savings"]["fuel_not_bought"] / doc["fuel"]["fuel_replaced"]
    rows = [Bar(r.label, rungs[r.key], show.price(rungs[r.key])) for r in RUNGS]
    rows.append(Bar("Pump fuel replaced", mean, show.price(mean), strong=True))
    return bars("ladder", f"What {show.a_volume} of fuel replaced costs, step by step", rows)


def _balance(facts: Facts) -> str:
    show, rows, seen = facts.show, [], [0.0]
    for k, kind in enumerate(LEDGERS):
        total, values = 0.0, []
        for flow in facts.doc["ledgers"][kind.key]["flows"]:
            total += flow
            values.append(total)
        band: list[tuple[float, float]] = []
        if facts.chances is not None and k == 1:
            levels = facts.chances["running_balance"][kind.key]
            band = [(year[0], year[2]) for year in levels]
        seen += [*values, *(v for pair in band for v in pair)]
        rows.append(
            Curve(_SHORT_LABELS[kind.key], values, show.money(values[-1]), dashed=k == 1, band=band)
        )
    ends = show.money(max(seen)), show.money(0.0), show.money(min(seen))
    return curves("balance", "All money in and out so far, by year", rows, ends)


def _pictures(facts: Facts) -> str:
    band = " Grey: nine in ten draws, time paid." if facts.chances is not None else ""
    return (
        '<div class="two">'
        + section("cost", f"What {facts.show.a_volume} of fuel replaced costs", _ladder(facts))
        + section(
            "money",
            "Money so far, by year",
            _balance(facts),
            f'<p class="small">Not discounted, kit sold at the end.{band}</p>',
        )
        + "</div>"
    )


def _chance_rows(facts: Facts) -> Iterator[tuple[str, str]]:
    """Give what draws say, where there are any."""
    if facts.chances is None:
        return
    free, paid = (100 * facts.chances["ahead"][kind.key] for kind in LEDGERS)
    text = f"In 100 farms like this about {free:.0f} come out ahead with time free"
    yield "How sure", f"{text}, {paid:.0f} with time paid."
    bad = facts.show.money(facts.chances["bad_year"])
    yield "Worst year in twenty", f"Repairs as they fall: {bad} or less left after repairs."


def _risk_rows(facts: Facts) -> Iterator[tuple[str, str]]:
    doc, show = facts.doc, facts.show
    yield from _chance_rows(facts)
    repair, lost_oil = facts.repair, facts.oil_lost
    if repair is not None:
        years = repair.years_between
        often = f"about once in {years:,.0f} years" if years >= 1.5 else "about once a year or more"
        text = f"{named(repair.part)} on {named(repair.machine)}: {show.money(repair.cost)}"
        yield "An engine repair", f"{text}, {often}."
    if lost_oil is not None:
        text = f"Without {named(lost_oil.name)}: {show.money(lost_oil.after_wear)} left a year"
        now = show.money(doc["savings"]["after_wear"])
        yield "Oil drying up", f"{text} after repairs, instead of {now}."
    for fuel in doc["ledgers"]["time_free"]["break_even_by_fuel"]:
        yield f"Price of {FUELS[fuel]}", _price(facts, fuel)
    lost = doc["ledgers"]["time_free"]["lost_if_stopped"]
    amounts = ", ".join(
        f"{show.money(amount)} after year {year}" for year, amount in enumerate(lost, start=1)
    )
    exit_cost = show.money(float(facts.found.expected.inputs.finance.exit_cost))
    yield "Stopping", f"Loses {amounts} (kit sold, {exit_cost} to clean up, time unpaid)."


def _price(facts: Facts, fuel: str) -> str:
    show = facts.show
    low = facts.low_price(fuel)
    floors = [facts.doc["ledgers"][kind.key]["break_even_by_fuel"][fuel] for kind in LEDGERS]
    free, paid = ("never pays" if floor is None else show.price(floor) for floor in floors)
    text = f"{show.price(facts.likely_price(fuel))} now"
    text += f", may fall to {show.price(low)}" if low is not None else ""
    return f"{text}; must stay above {free} with time free, {paid} with time paid."


def _stop(facts: Facts) -> str:
    rule, show = facts.stop_rule, facts.show
    if rule is None:
        return ""
    if not facts.starts:
        return "<p><b>Stop rule:</b> it is met today. Buy nothing for this plan.</p>"
    return (
        f"<p><b>Stop rule, agreed before buying:</b> if after {rule.months} months less than"
        f" {show.volume(facts.volume(rule.oil))} of used oil has come in, sell the kit after the"
        f" first year and lose about {show.money(rule.lost)}, time unpaid. Also stop when an"
        " insurer or an office says no, or hours run half over plan for three months.</p>"
    )


def _risks(facts: Facts) -> str:
    heads = ("What", "What it would cost")
    return section(
        "risks",
        "What could go wrong, and what it would cost",
        table("What could go wrong", heads, _risk_rows(facts)),
        _stop(facts),
    )


def _machines(facts: Facts) -> str:
    show = facts.show
    rows = []
    for machine in facts.doc["machines"][:_MOST_MACHINES]:
        cells = FITS[machine["fit"]], show.volume(machine["fuel_replaced"])
        rows.append((named(machine["name"], 28), *cells, show.money(machine["saving"])))
    more = len(facts.doc["machines"]) - len(rows)
    note = f"<p>And {more} more machines.</p>" if more > 0 else ""
    heads = ("Machine", "Fit", "Fuel replaced", "Saves a year")
    return table("Machines", heads, rows, "machines") + note


def _storage(facts: Facts) -> str:
    process, show = facts.found.expected.inputs.process, facts.show
    raw, clean = (
        facts.volume(float(process.raw_storage)),
        facts.volume(float(process.clean_storage)),
    )
    return (
        f"<p>Room for {show.volume(raw)} of used oil and {show.volume(clean)} of clean oil. Where"
        " the drums stand, how far from the house and its well, and over what pan, is agreed with"
        " the fire office before the first load.</p>"
    )


def _household(facts: Facts) -> str:
    hours = [month["hours"] for month in facts.doc["months"]]
    words = "What it would ask of us" if not facts.starts else "What it asks of us"
    return section(
        "household",
        words,
        f'<p class="small">Hours by month, hauling and batches{_upkeep(facts)}</p>',
        columns("hours", "Hours by month", MONTHS, hours),
        _storage(facts),
    )


def _upkeep(facts: Facts) -> str:
    upkeep = float(facts.found.expected.inputs.labour.upkeep_hours_per_year)
    return f"; upkeep of {facts.show.hours(upkeep)} a year on top" if upkeep else ""


def _cautions(facts: Facts) -> str:
    shown: list[str] = []
    used = 0
    for caution in facts.cautions:
        near = bool({"household", "storage", "money"} & set(caution.where))
        # The two gravest in full; of the others one line each, with the full text on request.
        text = caution.text if len(shown) < 2 else caution.brief
        if caution.severity == "grave" or (near and used + len(text) < _ROOM):
            shown.append(safe(text, 700))
            used += len(text)
    more = len(facts.cautions) - len(shown)
    note = f"<p>{more} more cautions stand in the full list; read them before buying.</p>"
    return section(
        "cautions", "Fire, spills, health and law", bullets(shown), note if more > 0 else ""
    )


def _assumed(facts: Facts) -> str:
    inputs, show, scenario = facts.found.expected.inputs, facts.show, facts.found.scenario
    finance = inputs.finance
    fuels = ", ".join(
        f"{FUELS[fuel]} {show.price(facts.likely_price(fuel))}" for fuel in inputs.prices
    )
    dated = scenario.scenario.priced_on
    oils = f"{show.volume(facts.doc['fuel']['oil_collected'])} of used oil a year"
    lines = [
        f"Prices{f' of {dated.isoformat()}' if dated else ', not dated'}: {fuels}.",
        f"{oils} from {len(inputs.oils)} source{'s' if len(inputs.oils) != 1 else ''};"
        f" {show.percent(float(inputs.process.loss_share))} lost in cleaning.",
        f"{finance.years} years; money costs {100 * float(finance.discount_rate):.1f} % a year,"
        f" inflation {100 * float(finance.inflation):.1f} %, tax"
        f" {show.percent(float(finance.tax_rate))}.",
    ]
    return section("assumed", "What we assumed", _machines(facts), bullets(lines), _sources(facts))


def _sources(facts: Facts) -> str:
    found = facts.provenance
    known = ", ".join(
        f"{facts.show.percent(share)} {plain(kind, 24)}"
        for kind, share in sorted(found.by_kind.items(), key=lambda row: -row[1])
        if kind not in GUESSES and share >= 0.005
    )
    rest = (
        f" The rest: {safe(known, 200)}." if known else " No bill, quote or measurement is named."
    )
    return (
        f"<p><b>Where the numbers come from:</b> {facts.show.percent(found.guessed)} of what moves"
        f" the saving rests on guesses or on numbers whose source is not said.{rest}</p>"
    )


def _advice(facts: Facts) -> str:
    advice = facts.doc["advice"]
    label = next(kind.label for kind in KINDS if kind.key == advice["key"])
    first = safe(advice["reasons"][0], 300)
    others = bullets(safe(text, 220) for text in advice["reasons"][1:4])
    step = {
        "do not start": "As it stands, the best plan is to keep buying pump fuel.",
        "try small first": "First step: our own oil, one old machine, three months; write down oil"
        " in and lost, filters, hours, fuel an hour; then work it out again.",
    }.get(advice["key"], "")
    return (
        f'<div class="advice"><p><strong>{label}</strong> {first}</p>{others}'
        + (f"<p>{step}</p>" if step else "")
        + "</div>"
    )


def _lines(markup: str, wide: int) -> int:
    """Estimate how many printed lines some markup takes."""
    texts = (
        html.unescape(re.sub(r"<[^>]*>|^[^>]*>", " ", piece))
        for piece in re.split(r"<(?:li|p|tr|h2)\b", markup)
    )
    return sum(math.ceil(sum(map(width, text)) / wide) for text in texts)


def _body(facts: Facts) -> tuple[str, str]:
    """Give the page's content and the class that sets its type."""
    top, risks = _advice(facts), _risks(facts)
    left, right = _household(facts) + _assumed(facts), _cautions(facts)
    # The picture of the hours is as tall as seven lines.
    lower = max(_lines(left, _NARROW) + 7, _lines(right, _NARROW))
    lines = _lines(top, _WIDE) + _lines(risks, _WIDE) + lower
    size = next((name for name, most in _SIZES if lines > most), "")
    body = (
        f"<main><h1>Should we make our own fuel from used oil?</h1>"
        f"<p><bdi>{safe(facts.doc['title'], 110)}</bdi></p>{top}"
        '<p class="small">The advice rests on averages over each guess\'s range. All figures below'
        f" are the most likely ones, at today's prices.</p>{_cards(facts)}{_pictures(facts)}{risks}"
        f'<div class="two"><div>{left}</div><div>{right}</div></div>'
        f"<footer><p>{safe(CLOSING)}</p></footer></main>"
    )
    return body, size


def page(found: Answer, chances: Json | None = None, *, full: bool = False) -> str:
    """Give the page as HTML that asks nothing of any network.

    Parameters
    ----------
    found : Answer
        A farm worked through.
    chances : dict, optional
        Its chances, from `econ.answers.outlook`; lines about them are left out without.
    full : bool
        Whether all assumptions, cautions and months follow on further sheets.

    Returns
    -------
    str
    """
    facts = gather(found, chances)
    body, size = _body(facts)
    style = resources.files("dashboards.page").joinpath("style.css").read_text(encoding="utf-8")
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\';'
        " style-src 'unsafe-inline'\">"
        f"<title>{safe(facts.doc['title'], 110)}</title><style>{style}</style></head>"
        f'<body class="{size}">{body}{second_page(facts) if full else ""}</body></html>\n'
    )
