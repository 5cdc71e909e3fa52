"""Days without delivery, as the JSON document has them and in words.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["hollowmere"])))
>>> days = reserve_document(outcome, Numbers("us", "USD"))
>>> min(days["days"]) >= days["diesel_alone"]
True
"""

import math
from typing import Annotated, TypedDict

from econ.answers.keys import Key
from econ.ground.labels import MONTHS
from econ.ground.units import from_canonical
from econ.ground.written import Numbers
from econ.model.outcome import Outcome
from econ.questions.reserve import THINNER, Lasting, Reserve, reserve


class ReserveCost(TypedDict):
    """What holding oil back costs."""

    time_free: Annotated[float, Key("money_per_year", "A year, own time unpaid.")]
    time_paid: Annotated[float, Key("money_per_year", "A year, own time paid.")]


class ReserveDocument(TypedDict):
    """How long the machines that must run last when nothing is delivered."""

    days: Annotated[list[float], Key("days", "By month, from the stores at its end.")]
    days_without: Annotated[list[float], Key("days", "The same with no oil held back.")]
    binds: Annotated[
        list[str | None], Key("text", "What more days would need: clean oil or thinner.")
    ]
    diesel_alone: Annotated[float, Key("days", "On the pump fuel on hand alone.")]
    cost: Annotated[ReserveCost, Key("text", "What holding oil back costs.")]
    sentences: Annotated[list[str], Key("text", "It in words.")]


def reserve_document(outcome: Outcome, write: Numbers) -> ReserveDocument | None:
    """Write a farm's days without delivery.

    Parameters
    ----------
    outcome : Outcome
        At expected values, with its months.
    write : Numbers
        How the file's numbers are written.

    Returns
    -------
    ReserveDocument or None
        None where no machine is essential.
    """
    result = reserve(outcome)
    if result is None:
        return None
    return {
        "days": [month.days for month in result.months],
        "days_without": [month.days for month in result.without],
        "binds": [month.binds for month in result.months],
        "diesel_alone": result.diesel_alone,
        "cost": {"time_free": result.cost["time_free"], "time_paid": result.cost["time_paid"]},
        "sentences": _sentences(result, outcome, write),
    }


def _days(days: float) -> str:
    """Write days, rounded down: a reserve is not rounded up."""
    down = math.floor(days + 1e-9) if days >= 2.0 else math.floor(10.0 * days + 1e-9) / 10.0
    return f"{down:g}"


def _who(outcome: Outcome) -> str:
    names = [m.name for m in outcome.inputs.machines if float(m.essential_per_day) > 0.0]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]} together"


def _span(months: tuple[Lasting, ...]) -> str:
    low, high = (_days(pick(month.days for month in months)) for pick in (min, max))
    unit = "day" if low == high == "1" else "days"
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def _runs(result: Reserve, outcome: Outcome) -> str:
    verb = "run" if " together" in _who(outcome) else "runs"
    least = min(range(12), key=lambda k: round(result.months[k].days, 6))
    text = f"When nothing is delivered, {_who(outcome)} {verb} {_span(result.months)}"
    if max(m.days for m in result.months) - result.months[least].days >= 1.0:
        text += f", the fewest at the end of {MONTHS[least]}"
    return f"{text}; on the pump fuel on hand alone {_days(result.diesel_alone)}."


def _bought(result: Reserve, outcome: Outcome, write: Numbers) -> str:
    """Say what oil held back costs and what it buys."""
    litres = float(outcome.inputs.reserve.clean_oil)
    held = write.volume(float(from_canonical(litres, "volume", write.units)))
    if litres <= 0.0:
        return "No clean oil is held back."
    gains = [a.days - b.days for a, b in zip(result.months, result.without, strict=True)]
    best = max(range(12), key=lambda k: gains[k])
    cost = result.cost["time_paid"]
    price = (
        f"for {write.money(cost)} a year"
        if cost >= 0.5
        else "and costs nothing"
        if cost > -0.5
        else f"and the plan is worth {write.money(-cost)} a year more with it"
    )
    if gains[best] < 0.05:
        return f"The {held} held back add no day {price}."
    added = f"{gains[best]:.1f}" if gains[best] < 2.0 else _days(gains[best])
    return f"The {held} held back add up to {added} days (end of {MONTHS[best]}) {price}."


def _months(flags: list[bool]) -> str:
    """Write months as runs around the year: "Nov to Mar, Jun"."""
    starts = [k for k in range(12) if flags[k] and not flags[k - 1]]
    runs = []
    for start in starts:
        length = next(n for n in range(1, 13) if n == 12 or not flags[(start + n) % 12])
        end = (start + length - 1) % 12
        runs.append(MONTHS[start] if length == 1 else f"{MONTHS[start]} to {MONTHS[end]}")
    return ", ".join(runs)


def _binding(result: Reserve) -> str | None:
    """Say where more oil would add no day."""
    binds = [month.binds for month in result.months]
    tight = [bind == THINNER for bind in binds]
    if not any(binds):
        return "It may burn no blend, so that only pump fuel on hand counts."
    if not any(tight):
        return None
    when = "All year" if all(tight) else f"At the end of {_months(tight)}"
    return (
        f"{when} the thinner on hand runs out first: more oil held back would add no day, more"
        " thinner would. Thinner goes stale in store (common practice, no source)."
    )


def _sentences(result: Reserve, outcome: Outcome, write: Numbers) -> list[str]:
    """Say how long, what it costs, what binds, and what it does not promise."""
    promise = (
        "This is no promise: a machine that has not been run on its blend in the cold is no"
        " reserve. Raw oil is not counted."
    )
    parts = [_runs(result, outcome), _bought(result, outcome, write), _binding(result), promise]
    return [text for text in parts if text]
