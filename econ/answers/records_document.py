"""The JSON document of a farm's records: balances, plan and what happened, what they say.

>>> day_in_words(datetime.date(2026, 5, 3))
'3 May 2026'
"""

import datetime
import math
from collections.abc import Iterator
from typing import Annotated, Any, TypedDict

import numpy as np

from econ.answers.document import Answer, answer, number, to_json
from econ.answers.keys import Key
from econ.answers.outlook import answer_with_odds
from econ.answers.records import Records
from econ.farm.fields import Quantity
from econ.farm.log import Log, Row
from econ.ground.errors import Problem
from econ.ground.labels import FUELS, MONTHS
from econ.ground.units import LITRES_PER_GALLON
from econ.ground.written import Numbers
from econ.model.ledger import LEDGERS
from econ.questions.balances import Gap, exceeds_error
from econ.questions.happened import Happened, happened
from econ.questions.learning import Learned, years_to_tell
from econ.questions.observed import Count, mean_of, unlisted_repairs

# A gap below this is a stick's error: 5 gal or 20 L; judgement, no source.
_STICK = {"us": 5.0, "metric": 20.0}
# A stop rule within this share of its price is near.
_NEAR = 0.10
# With so many failures expected, none at all has a chance below 1 in 20: ln 20.
_TELLING = math.log(20.0)


class Balance(TypedDict):
    """One stretch of a store, from its start or a dip to the next dip or the log's end."""

    store: Annotated[str, Key("text", "raw, clean, or a tank of blend.")]
    since: Annotated[str, Key("date", "Its first day.")]
    until: Annotated[str, Key("date", "Its last day.")]
    expected: Annotated[float, Key("volume", "What should be there by the rows.")]
    dipped: Annotated[float | None, Key("volume", "What the stick showed; null: not dipped.")]
    gap: Annotated[float | None, Key("volume", "Dipped less expected.")]
    beyond_error: Annotated[bool, Key("flag", "Whether the gap is beyond what a stick can err by.")]
    text: Annotated[str, Key("text", "It in words; empty where there is nothing to say.")]


class Beside(TypedDict):
    """One line, plan and so far."""

    what: Annotated[str, Key("text", "Which line.")]
    dimension: Annotated[str, Key("text", "What it measures.")]
    plan: Annotated[float, Key("ratio", "By the plan, over the months compared, in its unit.")]
    so_far: Annotated[
        float | None, Key("ratio", "By the log, over the same months; null: not recorded.")
    ]


class MonthRow(TypedDict):
    """One calendar month."""

    month: Annotated[str, Key("date", "Year and month.")]
    compared: Annotated[bool, Key("flag", "Whether the log covers it whole.")]
    beside: Annotated[str, Key("text", "Which of the plan's years stands beside it.")]
    plan: Annotated[dict[str, float], Key("ratio", "By line, in its unit.")]
    so_far: Annotated[dict[str, float], Key("ratio", "By line, in its unit.")]


class GuessRow(TypedDict):
    """What was guessed."""

    mean: Annotated[float, Key("ratio", "Its mean, in its unit.")]
    low: Annotated[float, Key("ratio", "Its low end.")]
    high: Annotated[float, Key("ratio", "Its high end.")]


class RecordRow(TypedDict):
    """What was recorded."""

    count: Annotated[float, Key("count", "How many batches, loads, months or failures.")]
    over: Annotated[float, Key("ratio", "Over how much: batches, loads, thousand volumes.")]
    mean: Annotated[float | None, Key("ratio", "Their mean; null where nothing was burned.")]


class NowRow(TypedDict):
    """What guess and records say together."""

    mean: Annotated[float, Key("ratio", "Its mean, in its unit.")]
    p5: Annotated[float, Key("ratio", "1 in 20 lies below.")]
    p95: Annotated[float, Key("ratio", "1 in 20 lies above.")]


class LearnedRow(TypedDict):
    """One number of the farm with its record."""

    where: Annotated[str, Key("text", "Which number.")]
    dimension: Annotated[str, Key("text", "What it measures.")]
    guess: Annotated[GuessRow, Key("text", "What was guessed.")]
    records: Annotated[RecordRow, Key("text", "What was recorded.")]
    now: Annotated[NowRow, Key("text", "What is known now.")]
    fits: Annotated[bool, Key("flag", "False: the records do not fit what was guessed.")]
    certain: Annotated[bool, Key("flag", "A certain number is not moved.")]
    guess_text: Annotated[str, Key("text", "The guess in words: mean, range.")]
    records_text: Annotated[str, Key("text", "The record in words.")]
    now_text: Annotated[str, Key("text", "What is known: mean, range of 9 cases in 10.")]


class Bill(TypedDict):
    """A price of the plan beside the last bill."""

    what: Annotated[str, Key("text", "Which price.")]
    dimension: Annotated[str, Key("text", "What it measures.")]
    plan: Annotated[float, Key("ratio", "As the farm has it, on average.")]
    bill: Annotated[float, Key("ratio", "As last paid.")]
    on: Annotated[str, Key("date", "The bill's day.")]


class StopRule(TypedDict):
    """A price of fuel below which to stop, beside the last bill."""

    fuel: Annotated[str, Key("text", "Which pump fuel.")]
    stop_below: Annotated[float, Key("price_per_volume", "At the end of this year of the plan.")]
    bill: Annotated[float, Key("price_per_volume", "As last paid.")]
    on: Annotated[str, Key("date", "The bill's day.")]
    light: Annotated[str, Key("choice", "met, near or clear.")]
    text: Annotated[str, Key("text", "It in words.")]


class AdviceRow(TypedDict):
    """An advice."""

    key: Annotated[str, Key("text", "The advice.")]
    reasons: Annotated[list[str], Key("text", "Why.")]
    equivalent_annual: Annotated[
        dict[str, float | None], Key("money_per_year", "Worth a year, by ledger.")
    ]


class RowPair(TypedDict):
    """Two rows that say the same."""

    earlier: Annotated[int, Key("count", "Number of the earlier row.")]
    later: Annotated[int, Key("count", "Number of the later row.")]
    text: Annotated[str, Key("text", "What both say.")]


# "from" is a word of the language, so that these two are declared as a table.
_Span = TypedDict(
    "_Span",
    {
        "from": Annotated[str | None, Key("date", "The log's first day; null: no row.")],
        "to": Annotated[str | None, Key("date", "Its last day.")],
    },
)


class RecordsDocument(_Span):
    """What `drumworth records FILE LOG --json` prints."""

    title: Annotated[str, Key("text", "The farm's title.")]
    units: Annotated[str, Key("choice", "us or metric.")]
    currency: Annotated[str, Key("text", "ISO 4217 code.")]
    log: Annotated[str, Key("text", "Name of the log.")]
    rows: Annotated[int, Key("count", "Rows that count.")]
    undone: Annotated[int, Key("count", "Rows undone.")]
    faults: Annotated[list[str], Key("text", "Rows that cannot be read, and why.")]
    torn: Annotated[str | None, Key("text", "A last line without its end, not counted.")]
    twice: Annotated[list[RowPair], Key("text", "Rows perhaps imported twice; both count.")]
    balances: Annotated[list[Balance], Key("text", "Each store by stretches.")]
    happened: Annotated[list[Beside], Key("text", "Plan and so far, over whole months.")]
    months: Annotated[list[MonthRow], Key("text", "Month by month.")]
    notes: Annotated[list[str], Key("text", "What to know beside it.")]
    learned: Annotated[list[LearnedRow], Key("text", "What the records say of each guess.")]
    cannot_tell: Annotated[list[str], Key("text", "What the records cannot tell yet.")]
    bills: Annotated[list[Bill], Key("text", "Prices beside the last bill.")]
    stop_rules: Annotated[list[StopRule], Key("text", "When to stop.")]
    advice: Annotated[AdviceRow, Key("text", "The decision with the records in.")]
    advice_as_guessed: Annotated[
        AdviceRow | None, Key("text", "The decision without them, where they do not fit.")
    ]


def records_document(records: Records) -> RecordsDocument:
    """Say what a farm's log shows.

    Parameters
    ----------
    records : Records
        From `load_with_records` or `records_of`.

    Returns
    -------
    RecordsDocument
        In the file's units.

    Raises
    ------
    ScenarioError
        If only the blend physics can refuse the farm.
    """
    log, header = records.log, records.guess.scenario
    write = Numbers(header.units, header.currency)
    plan = answer(records.guess)
    beside = happened(records.guess, log, records.account, plan.expected)
    now, _ = answer_with_odds(records.scenario)
    fit = all(one.fits for one in records.learned)
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        "log": log.path.name,
        "from": log.first.isoformat() if log.first else None,
        "to": log.last.isoformat() if log.last else None,
        "rows": len(log.rows),
        "undone": len(log.undone),
        "faults": [_fault(problem) for problem in log.faults],
        "torn": log.torn,
        "twice": [
            {"earlier": a.id, "later": b.id, "text": _said(b, write)} for a, b in log.suspects
        ],
        "balances": [_balance(gap, write) for gap in records.account.gaps],
        "happened": [
            {"what": line.label, "dimension": line.dimension, "plan": planned, "so_far": so_far}
            for line, planned, so_far in beside.sums()
            if planned or so_far
        ],
        "months": _months(beside),
        "notes": list(_notes(records, beside, write)),
        "learned": [_learned(one, write) for one in records.learned],
        "cannot_tell": list(_cannot_tell(records, plan)),
        "bills": list(_bills(records)),
        "stop_rules": list(_stop_rules(records, plan, write)),
        "advice": _advice(now),
        "advice_as_guessed": None if fit else _advice(answer_with_odds(records.guess)[0]),
    }


def _fault(problem: Problem) -> str:
    """Word a fault without the log's place: line, column, value, what is allowed."""
    value = "" if problem.value is None else f" = {problem.value}"
    return f"{problem.where}{value}: {problem.message}"


def day_in_words(day: datetime.date) -> str:
    """Write a day as people say it: 3 May 2026."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _said(row: Row, write: Numbers) -> str:
    """Write what a row says, for people to know it again."""
    volume = "" if row.volume is None else f", {row.volume:g} {write.volume_unit}"
    return f"{day_in_words(row.date)}: {row.what} {row.which}{volume}".strip()


def _balance(gap: Gap, write: Numbers) -> Balance:
    beyond = exceeds_error(gap, _STICK[write.units])
    text = ""
    if beyond and gap.gap is not None:
        size, since = write.volume(abs(gap.gap)), day_in_words(gap.since)
        words = "unaccounted for" if gap.gap < 0.0 else "more than the rows explain"
        text = f"{size} {words} since {since}"
    elif gap.dipped is None and gap.expected < -_STICK[write.units]:
        text = (
            f"by the rows {write.volume(-gap.expected)} more went than came: a row or a first dip"
            " is missing"
        )
    return {
        "store": gap.store,
        "since": gap.since.isoformat(),
        "until": gap.until.isoformat(),
        "expected": gap.expected,
        "dipped": gap.dipped,
        "gap": gap.gap,
        "beyond_error": beyond,
        "text": text,
    }


def _months(beside: Happened) -> list[MonthRow]:
    return [
        {
            "month": month.month.isoformat()[:7],
            "compared": month.compared,
            "beside": "year 1" if month.first_year else "typical year",
            "plan": month.plan,
            "so_far": month.so_far,
        }
        for month in beside.months
    ]


def _notes(records: Records, beside: Happened, write: Numbers) -> Iterator[str]:
    """Say what must be known to read plan and log side by side."""
    if any(month.compared for month in beside.months):
        yield (
            "The plan begins in January with empty stores. Your first twelve whole months stand"
            " beside its months of the same name in year 1, later ones beside the typical"
            " year's; months that the log does not cover whole are shown, not compared."
        )
    elif records.log.rows:
        yield "No calendar month is whole in the log yet, so that nothing is compared."
    if beside.shelf:
        stock = " and ".join(
            f"{write.volume(s.left)} of {s.name}"
            if s.dimension == "volume"
            else f"{s.left:g} {s.name if s.left != 1.0 else s.name.removesuffix('s')}"
            for s in beside.shelf
        )
        yield f"Bought and still on the shelf: {stock}."
    for row in unlisted_repairs(records.guess, records.log):
        yield (
            f"{row.which}: the farm does not list this part; its repair of"
            f" {day_in_words(row.date)} counts nowhere."
        )


def _figure(value: float, dimension: str) -> str:
    """Write a learnt number without its unit, with the digits that tell it from its guess."""
    if dimension == "share":
        return f"{100.0 * value:.1f}"
    if dimension == "hours":
        return f"{value:.1f}"
    return f"{value:.2g}" if dimension == "failures_per_volume" else f"{value:,.0f}"


def _unit(dimension: str, write: Numbers) -> str:
    return {
        "share": "%",
        "hours": "h",
        "volume_per_month": f"{write.volume_unit} a month",
        "volume": write.volume_unit,
        "failures_per_volume": f"per 1,000 {write.volume_unit}",
    }[dimension]


def _range(low: float, high: float, dimension: str, write: Numbers) -> str:
    return f"{_figure(low, dimension)} to {_figure(high, dimension)} {_unit(dimension, write)}"


def _written(value: float, dimension: str, write: Numbers) -> str:
    return f"{_figure(value, dimension)} {_unit(dimension, write)}"


def _recorded(one: Learned, write: Numbers) -> str:
    """Say what was recorded."""
    count, over, mean = one.record
    dimension = one.seen.dimension
    if isinstance(one.seen.record, Count):
        return f"{count:g} in {1000.0 * over:,.0f} {write.volume_unit} of oil burned"
    one_of, more = {
        "hours": ("time", "times"),
        "volume_per_month": ("month", "months"),
        "volume": ("batch", "batches"),
    }.get(dimension, ("batch or load", "batches or loads"))
    many = f"1 {one_of}" if count == 1.0 else f"{count:.0f} {more}"
    return f"{_written(mean or 0.0, dimension, write)}, {many}"


def _learned(one: Learned, write: Numbers) -> LearnedRow:
    dimension = one.seen.dimension
    guess, record, now = one.guess, one.record, one.now
    if one.posterior is None:
        words = (_written(guess[0], dimension, write), _recorded(one, write), "not moved: certain")
    else:
        words = (
            f"{_figure(guess[0], dimension)}, {_range(guess[1], guess[2], dimension, write)}",
            _recorded(one, write),
            f"{_figure(now[0], dimension)}, {_range(now[1], now[2], dimension, write)}",
        )
    return {
        "where": one.seen.name,
        "dimension": dimension,
        "guess": {"mean": guess[0], "low": guess[1], "high": guess[2]},
        "records": {"count": record[0], "over": record[1], "mean": record[2]},
        "now": {"mean": now[0], "p5": now[1], "p95": now[2]},
        "fits": one.fits,
        "certain": one.posterior is None,
        "guess_text": words[0],
        "records_text": words[1],
        "now_text": words[2],
    }


def _cannot_tell(records: Records, plan: Answer) -> Iterator[str]:
    """Say of each part that never failed how long it would take to tell."""
    litres = LITRES_PER_GALLON if records.guess.scenario.units == "us" else 1.0
    for one in records.learned:
        record = one.seen.record
        if not isinstance(record, Count) or record.count > 0.0 or one.posterior is None:
            continue
        index = int(one.seen.path[1])
        burned = float(plan.expected.typical.machines[index].oil_used) / litres / 1000.0
        years = years_to_tell(one.guess[0], burned)
        if years is None or one.guess[0] * record.exposure >= _TELLING:
            continue
        needed = f"{years:,.0f} years" if years >= 1.5 else "a year"
        yield f"{one.seen.name}: that none failed proves nothing yet; {needed} would"


def _last_bill(log: Log, which: str, per: str) -> tuple[float, datetime.date] | None:
    """Return the last price paid for something, and when."""
    for row in reversed(log.rows):
        amount = row.volume if per == "volume" else row.count
        if row.what in ("bought", "fetched") and row.which == which and row.money is not None:
            amount = 1.0 if amount is None and per == "count" else amount
            if amount:
                return row.money / amount, row.date
    return None


def _bills(records: Records) -> Iterator[Bill]:
    """Set each price beside its last bill."""
    farm = records.guess
    rows: list[tuple[str, str, Quantity | str | None, str, str]] = [
        *(
            (FUELS[key], key, getattr(farm.prices, key), "volume", "price_per_volume")
            for key in FUELS
        ),
        *((t.name, t.name, t.price, "volume", "price_per_volume") for t in farm.thinners),
        *((o.name, o.name, o.price, "volume", "price_per_volume") for o in farm.oils),
        *((f.name, f.name, f.price, "count", "money") for f in farm.filters),
    ]
    for label, which, price, per, dimension in rows:
        bill = _last_bill(records.log, which, per)
        if isinstance(price, str):
            price = getattr(farm.prices, price)
        if bill is None or price is None:
            continue
        yield {
            "what": label,
            "dimension": dimension,
            "plan": mean_of(price),
            "bill": bill[0],
            "on": bill[1].isoformat(),
        }


def _year_of_plan(log: Log, years: int) -> int:
    """Return the year of the plan that the log's last day lies in, from 1."""
    if log.first is None or log.last is None:
        return 1
    whole = (log.last - log.first).days // 365
    return min(whole + 1, max(years - 1, 1))


def _stop_rules(records: Records, plan: Answer, write: Numbers) -> Iterator[StopRule]:
    """Set the price of fuel below which to stop beside the last fuel bill."""
    document = to_json(plan)
    ledger = document["ledgers"]["time_free"]
    prices = ledger["stop_below"]
    year = _year_of_plan(records.log, records.guess.finance.years)
    stop = prices[year - 1] if year <= len(prices) else None
    replaced, not_bought = document["fuel"]["fuel_replaced"], document["savings"]["fuel_not_bought"]
    if stop is None or not replaced or not_bought is None:
        return
    mean = not_bought / replaced
    for key in ledger["break_even_by_fuel"]:
        bill = _last_bill(records.log, key, "volume")
        if bill is None:
            continue
        # All fuel-like prices move together: each has its own price at which to stop.
        limit = mean_of(getattr(records.guess.prices, key)) * stop / mean
        light = (
            "met" if bill[0] < limit else "near" if bill[0] <= limit * (1.0 + _NEAR) else "clear"
        )
        words = {
            "met": "the last bill is below it: carrying on is worth less than stopping",
            "near": "the last bill is within a tenth of it",
            "clear": "the last bill is well above it",
        }
        yield {
            "fuel": FUELS[key],
            "stop_below": limit,
            "bill": bill[0],
            "on": bill[1].isoformat(),
            "light": light,
            "text": f"Stop at the end of year {year} with {FUELS[key]} below"
            f" {write.price(limit)}: {words[light]} ({write.price(bill[0])},"
            f" {day_in_words(bill[1])}).",
        }


def _advice(result: Answer) -> AdviceRow:
    return {
        "key": result.advice.key,
        "reasons": list(result.advice.reasons),
        "equivalent_annual": {
            kind.key: number(result.expected.per_year(kind.key)) for kind in LEDGERS
        },
    }


_CURVE_POINTS = 61


def curves(records: Records) -> list[dict[str, Any]]:
    """Return the densities of each guess that records moved, for drawings.

    Parameters
    ----------
    records : Records
        From `records_of`.

    Returns
    -------
    list of dict
        ``where``, ``at`` (values, in the file's units), ``guess`` and ``now`` (densities, each
        at its highest 1) and ``record`` (its mean).
    """
    result = []
    for one in records.learned:
        posterior = one.posterior
        if posterior is None:
            continue
        prior = posterior.prior
        places = (np.arange(_CURVE_POINTS) + 0.5) / _CURVE_POINTS
        at = prior.low + (prior.high - prior.low) * places
        logs = (prior.alpha - 1.0) * np.log(places) + (prior.beta - 1.0) * np.log1p(-places)
        both = logs + posterior.likelihood(at)
        result.append(
            {
                "where": one.seen.name,
                "at": at.tolist(),
                "guess": np.exp(logs - logs.max()).tolist(),
                "now": np.exp(both - both.max()).tolist(),
                "record": one.record[2],
            }
        )
    return result
