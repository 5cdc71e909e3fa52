"""What the person across the table asks, in the order they ask it, each answered in words.

>>> from econ import load
>>> from econ.answers.turned import Prepared
>>> from econ.farm.demos import demo_files
>>> results = Prepared.of(load(demo_files()["wrenfold"])).at({})
>>> [asked["key"] for asked in talk(results, results.answer.advice, None)["asked"]][:3]
['account', 'up_front', 'most_lost']
"""

from collections.abc import Iterable
from typing import Annotated, Any, TypedDict

from msgspec import Struct

from econ.advice.cautions import CLOSING
from econ.advice.chance_words import how_often
from econ.advice.verdict import Advice
from econ.answers.chance_keys import ChancesDocument
from econ.answers.keys import Key
from econ.answers.outlook import Repair, repairs
from econ.answers.turned import Results
from econ.ground.labels import FUELS
from econ.ground.units import Floats, from_canonical
from econ.ground.written import Numbers
from econ.model.changes import own_oil_only
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS
from econ.model.levers import turned
from econ.model.outcome import Outcome
from econ.questions.doubts import oil_lost, provenance, stop_rule

Json = dict[str, Any]

# How far the pump price is let fall, to see what then is left; judgement, no source.
_CHEAP = 0.75
# Hours beyond those planned that are too many; judgement, no source.
_TOO_MANY = 1.5
_REPAIRS = 3
# What the other one asks of law, tax, insurance and fire: the cautions that answer, first first.
_TOPICS = (
    (
        "Rules",
        (
            "processor",
            "own_oil_with_diesel",
            "off_specification",
            "australia",
            "ask_locally",
            "stays_used_oil",
        ),
    ),
    ("Tax", ("untaxed_fuel_on_road", "dyed_fuel_on_road", "road_tax", "road_tax_elsewhere")),
    ("Insurance", ("insurance",)),
    ("Fire", ("gasoline_vapour", "heated_near_flash", "flash_estimated")),
    ("Skin and smoke", ("skin",)),
)
_NO_TAX = (
    "no blend is burned on public roads in this plan, so no road tax is counted. Ask your tax"
    " preparer how fuel credits and the kit are treated before you rely on it."
)


class TalkTable(TypedDict):
    """Figures side by side."""

    caption: Annotated[str, Key("text", "What it shows")]
    heads: Annotated[list[str], Key("text", "Heads of its columns")]
    rows: Annotated[list[list[str]], Key("text", "Figures as written, the first cell in words")]


class Asked(TypedDict):
    """One question and its answer."""

    key: Annotated[str, Key("text", "Which question")]
    question: Annotated[str, Key("text", "As it is asked")]
    big: Annotated[str, Key("text", "The answer in a figure; empty where it is none")]
    lines: Annotated[list[str], Key("text", "The answer in sentences")]
    table: Annotated[TalkTable | None, Key("text", "Figures under it")]
    after: Annotated[list[str], Key("text", "Sentences after the figures")]
    list: Annotated[list[str], Key("text", "The answer as a list")]


class LawRow(TypedDict):
    """What is to be asked of others, on one topic."""

    topic: Annotated[str, Key("text", "Rules, tax, insurance, fire, skin")]
    text: Annotated[str, Key("text", "The caution")]
    basis: Annotated[str, Key("text", "What it rests on; empty where nothing is owed")]


class Talk(TypedDict):
    """The whole talk."""

    title: Annotated[str, Key("text", "Of the farm")]
    advice: Annotated[str, Key("text", "The advice")]
    reason: Annotated[str, Key("text", "Its first reason")]
    odds: Annotated[str, Key("text", "How sure it is; empty where levers are turned")]
    prices: Annotated[str, Key("text", "The prices that it rests on, and of which day")]
    asked: Annotated[list[Asked], Key("text", "Every question, in order")]
    law: Annotated[list[LawRow], Key("text", "Who must be asked")]
    law_rest: Annotated[str, Key("text", "What of the cautions is not said here")]


def _asked(
    key: str,
    question: str,
    lines: Iterable[str],
    *,
    big: str = "",
    table: TalkTable | None = None,
    after: Iterable[str] = (),
    listed: Iterable[str] = (),
) -> Asked:
    return {
        "key": key,
        "question": question,
        "big": big,
        "lines": list(lines),
        "table": table,
        "after": list(after),
        "list": list(listed),
    }


class _Teller(Struct, frozen=True):
    """Words for one farm's answer."""

    result: Results

    @property
    def write(self) -> Numbers:
        return self.result.write

    @property
    def doc(self) -> Json:
        return self.result.average

    @property
    def outcome(self) -> Outcome:
        return self.result.answer.expected

    def money(self, amount: float | None) -> str:
        return "none" if amount is None else self.write.spoken(amount)

    def volume(self, litres: float) -> str:
        return self.write.volume(float(from_canonical(litres, "volume", self.write.units)))

    def price(self, per_litre: Floats) -> str:
        units = self.write.units
        return self.write.price(float(from_canonical(per_litre, "price_per_volume", units)))

    def wage(self) -> str:
        return f"{self.write.cents(self.result.wage)}/h"

    def floors(self) -> list[tuple[str, str]]:
        """Write the price each fuel must stay above, one's time free."""
        prices = self.doc["ledgers"]["time_free"]["break_even_by_fuel"]
        return [
            (FUELS[fuel], self.write.price(price))
            for fuel, price in prices.items()
            if price is not None
        ]


def _account(teller: _Teller) -> Asked:
    """Say what comes into the account in a month."""
    savings, money = teller.doc["savings"], teller.money
    wear, paid = savings["after_wear"], savings["after_labour"]
    return _asked(
        "account",
        "What does this put in our account?",
        (
            f"after bills and repairs ({money(wear)} a year), before the kit and with the time"
            " unpaid.",
            f"With the kit and the hours at {teller.wage()} paid as well: {money(paid / 12)} a"
            f" month ({money(paid)} a year). All of it before tax.",
        ),
        big=f"{money(wear / 12)} a month",
    )


def _up_front(teller: _Teller) -> Asked:
    """Say what it takes to begin, and what is spent already."""
    doc, write = teller.doc, teller.write
    free, paid = (write.years(doc["ledgers"][k.key]["simple_payback"]) for k in LEDGERS)
    rows = [
        [item.name, "already there" if item.owned else "to buy", write.money(float(item.cost))]
        for item in teller.result.inputs.kit
    ]
    return _asked(
        "up_front",
        "How much up front?",
        (
            f"to buy; already there: {teller.money(doc['kit_cost'] - doc['kit_to_buy'])}.",
            f"Paid back in, time free: {free}; time paid: {paid}.",
        ),
        big=teller.money(doc["kit_to_buy"]),
        table={"caption": "Kit", "heads": ["", "", "price"], "rows": rows},
    )


def _most_lost(teller: _Teller) -> Asked:
    """Say what stopping loses."""
    ledgers = teller.doc["ledgers"]
    free, paid = (ledgers[kind.key]["lost_if_stopped"] for kind in LEDGERS)
    rows = [
        [f"Lost by stopping after year {year}", teller.money(a), teller.money(b)]
        for year, (a, b) in enumerate(zip(free, paid, strict=True), start=1)
    ]
    return _asked(
        "most_lost",
        "What can we lose if you get sick or bored?",
        (),
        table={
            "caption": "Lost by stopping",
            "heads": ["", "time free", "time paid"],
            "rows": rows,
        },
        after=(
            "Kit sold for what it fetches, tanks emptied and cleaned up, savings so far counted.",
        ),
    )


def _hours(teller: _Teller) -> Asked:
    yearly, write = teller.doc["fuel"]["own_hours"], teller.write
    line = f"{write.hours(yearly)} of your own a year, about {write.hours(yearly / 12)} a month."
    return _asked("hours", "How many hours, and when?", (line,))


def _by_yearly_cost(result: tuple[Repair, ...]) -> list[Repair]:
    """Rank repairs that cost anything, the dearest in a year first."""
    costly = (repair for repair in result if repair.cost > 0.0)
    return sorted(costly, key=lambda repair: -repair.cost / repair.years_between)


def _breaks(teller: _Teller) -> Asked:
    """Say what breaks, what it costs and how often."""
    rows = [
        f"{row.part} on {row.machine}: {teller.money(row.cost)}, {how_often(row.years_between)}."
        for row in _by_yearly_cost(repairs(teller.outcome))[:_REPAIRS]
    ]
    yearly = teller.money(teller.doc["costs"]["wear"])
    end = (
        f"In an average year {yearly} in all, but it comes as bills. Whose machine it is should be"
        " said before it burns any."
    )
    question = "What breaks, and what does it cost?"
    return _asked("breaks", question, [*rows, end] if rows else ["No repair is given."])


def _left(teller: _Teller, outcome: Outcome) -> str:
    wear, time = (float(outcome.typical.savings[key]) for key in ("after_wear", "after_labour"))
    return (
        f"{teller.money(wear)} a year is left after repairs, {teller.money(time)} after your time"
    )


def _changed(teller: _Teller) -> Asked:
    """Say what happens when the source dries up, or diesel gets cheap."""
    lost, inputs = oil_lost(teller.outcome), teller.result.inputs
    cheap = evaluate(turned(inputs, {"pump_price": _CHEAP}), by_month=False)
    floors = "; ".join(f"{fuel} {price}" for fuel, price in teller.floors())
    lines = [f"As planned: {_left(teller, teller.outcome)}."]
    if lost is not None:
        lines.append(
            f"Without the oil from {lost.name}: {teller.money(lost.after_wear)} a year"
            f" after repairs, {teller.money(lost.lost)} less."
        )
    lines += [
        f"If pump fuel falls by {100 * (1 - _CHEAP):.0f} %: {_left(teller, cheap)}.",
        f"Do not start below, time free: {floors}."
        if floors
        else "No fuel price decides it, even with the time free.",
    ]
    return _asked("changed", "What if things change?", lines)


def _own_only(inputs: Inputs) -> Outcome | None:
    """Work the plan through with one's own oil alone; None where all or none of it is."""
    owners = {oil.own for oil in inputs.oils if bool(oil.volume_per_month > 0.0)}
    return evaluate(own_oil_only(inputs), by_month=False) if len(owners) == 2 else None


def _smaller(teller: _Teller) -> Asked:
    """Set the plan with one's own oil alone beside this one."""
    question, own = "Why not smaller?", _own_only(teller.result.inputs)
    if own is None:
        line = "This is the small plan: there is no one else's oil in it, or none of our own."
        return _asked("smaller", question, (line,))
    both = [outcome.typical for outcome in (teller.outcome, own)]
    rows = [
        ["Up front", *(teller.money(float(o.kit_to_buy)) for o in (teller.outcome, own))],
        [
            "Pump fuel replaced",
            *(teller.volume(float(year.fuel["fuel_replaced"])) for year in both),
        ],
        [
            "Your own hours a year",
            *(teller.write.hours(float(year.fuel["own_hours"])) for year in both),
        ],
    ]
    for label, key in (
        ("Left after repairs", "after_wear"),
        ("Left after your time", "after_labour"),
    ):
        rows.append([label, *(teller.money(float(year.savings[key])) for year in both)])
    line = (
        "Our own oil only: no one else's is hauled or handled, and kit that serves only theirs is"
        " left out."
    )
    heads = ["", "this plan", "our own oil only"]
    table: TalkTable = {"caption": "Side by side", "heads": heads, "rows": rows}
    return _asked("smaller", question, (), table=table, after=(line,))


def _known(teller: _Teller) -> Asked:
    """Say how much rests on guesses, and what else the money could do."""
    rests, percent = provenance(teller.result.scenario), teller.write.percent
    kinds = ", ".join(
        f"{percent(share)} {kind}" for kind, share in rests.by_kind.items() if share >= 0.005
    )
    rate = 100 * float(teller.result.inputs.finance.discount_rate)
    worth = teller.money(teller.doc["ledgers"]["time_paid"]["npv"])
    return _asked(
        "known",
        "How do we know, and compared with what?",
        (
            f"{percent(rests.guessed)} of what moves the saving rests on guesses or numbers whose"
            f" source is not said ({kinds}).",
            f"Against leaving the kit money at {rate:.1f} % a year and working the hours at"
            f" {teller.wage()}, the whole plan is worth {worth} in today's money.",
        ),
    )


def _stop(teller: _Teller) -> Asked:
    """Say the lines drawn before the kit is bought."""
    rule, carry_on = stop_rule(teller.outcome), teller.doc["ledgers"]["time_free"]["stop_below"][:1]
    hours = teller.write.hours(_TOO_MANY * teller.doc["fuel"]["own_hours"] / 12)
    first = (
        []
        if rule is None
        else [
            f"After {rule.months} months less than {teller.volume(rule.oil)} of used oil has come"
            f" in: sell the kit; about {teller.money(rule.lost)} is lost by then, time free."
        ]
    )
    rows = [
        *first,
        *(
            f"Pump fuel below {teller.write.price(price)}, the mean of what is replaced, for three"
            " months."
            for price in carry_on
            if price
        ),
        f"More than {hours} of your own a month for three months.",
        "Fuel filters last half as long, hard starting, or rising oil in the sump: that machine"
        " goes back to pump fuel.",
        "The insurer or an office says no. Money already spent is no reason to go on.",
    ]
    return _asked("stop", "What would make us stop?", (), listed=rows)


def _law(cautions: list[Json]) -> tuple[list[LawRow], str]:
    """Pick the caution that answers on each topic, and say how many more there are."""
    texts = {row["key"]: row for row in cautions}
    rows: list[LawRow] = []
    for topic, keys in _TOPICS:
        row = next((texts[key] for key in keys if key in texts), None)
        if row is not None:
            rows.append({"topic": topic, "text": row["text"], "basis": row["basis"]})
        elif topic == "Tax":
            rows.append({"topic": topic, "text": _NO_TAX, "basis": ""})
    more = len(texts) - sum(1 for row in rows if row["basis"])
    rest = f"{more} more cautions stand on the Decide page; read them before buying. {CLOSING}"
    return rows, rest


def _prices(teller: _Teller) -> str:
    """Write the prices that the answer rests on."""
    dated = teller.result.scenario.scenario.priced_on
    of = f" of {dated.isoformat()}" if dated else ", not dated"
    prices = ", ".join(
        f"{FUELS[fuel]} {teller.price(price)}"
        for fuel, price in teller.result.inputs.prices.items()
    )
    moved = any(row.factor != 1.0 for row in teller.result.levers)
    return f"Prices{of}: {prices}.{' Some what-if sliders are moved.' if moved else ''}"


def talk(result: Results, advice: Advice, chances: ChancesDocument | None) -> Talk:
    """Answer what the other one asks.

    Parameters
    ----------
    result : Results
        Levers turned as they are.
    advice : Advice
        On it.
    chances : ChancesDocument or None
        Of the file; None where levers are turned.

    Returns
    -------
    Talk
        Money as people say it, in the farm's units.
    """
    teller = _Teller(result)
    words = None if chances is None else chances["words"]
    law, rest = _law(result.average["cautions"])
    answers = (
        _account,
        _up_front,
        _most_lost,
        _hours,
        _breaks,
        _changed,
        _smaller,
        _known,
        _stop,
    )
    return {
        "title": result.average["title"],
        "advice": advice.label,
        "reason": advice.reasons[0],
        "odds": "" if words is None else f"{words['ahead']} {words['bad_year'][0]}",
        "prices": _prices(teller),
        "asked": [answer(teller) for answer in answers],
        "law": law,
        "law_rest": rest,
    }
