"""The sentences that decide on oil: which to fetch first, which to leave, a drum's worth.

>>> garage = {"name": "Garage", "taken": 0.0, "round_trip": 8.0, "kept": {"time_paid": 0.0}}
>>> garage["drum_at_gate"] = {"time_paid": 0.0, "time_free": 0.0}
>>> oils_verdict(0.0, [garage], {"oil": ["6", "7"]}, 55.0, Numbers("us", "USD"))[1]
'Garage: nothing of it is taken.'
"""

from collections.abc import Mapping, Sequence
from typing import Any

from econ.answers.buying_keys import SourceDocument
from econ.ground.labels import BOTTLENECKS
from econ.ground.written import Numbers

Json = Mapping[str, Any]
# What rounds to nothing. [currency]
_NOTHING = 0.5


def _held_back(months_held_back_by: Mapping[str, Sequence[str]]) -> str:
    """Say in how many months it is oil that holds the farm back, and what else does."""
    months = len(months_held_back_by.get("oil", ()))
    words = (
        f"Oil is what holds the farm back in {months} months of the year"
        if months
        else "Oil is never what holds the farm back"
    )
    for key, others in months_held_back_by.items():
        if key not in ("oil", "need"):
            words += f"; {BOTTLENECKS[key]} in {len(others)}"
    return words + "."


def _fetch_first(sources: Sequence[Json], write: Numbers) -> list[str]:
    """Name the fetched source that pays best for the hours it takes."""
    pays = [s for s in sources if s["round_trip"] and s["kept"]["time_paid"] > _NOTHING]
    if not pays:
        return []
    first = max(pays, key=lambda source: source["kept_per_hour"] or 0.0)
    return [
        f"Fetch first: {first['name']}, {write.money(first['kept_per_trip'])} a trip after your"
        f" time, and {write.cents(first['kept_per_hour'])} for each hour it takes."
    ]


def _leave(source: Json, write: Numbers) -> str | None:
    """Say so where a source is not worth taking."""
    kept = source["kept"]["time_paid"]
    if source["taken"] <= 0.0:
        return f"{source['name']}: nothing of it is taken."
    if kept > _NOTHING:
        return None
    more = "as much" if kept >= -_NOTHING else f"{write.money(-kept)} a year more"
    return f"Leave: {source['name']}. Without it the farm keeps {more}."


def _drum(sources: Sequence[Json], drum: float, write: Numbers) -> str:
    """Say what one more drum at the gate is worth."""
    worths = [source["drum_at_gate"]["time_paid"] for source in sources]
    free = [source["drum_at_gate"]["time_free"] for source in sources]
    words = f"A drum more at your gate, {write.volume(drum)},"
    if max(worths) <= _NOTHING:
        words += " is worth nothing to you after your time"
        if max(free) > _NOTHING:
            words += f", and at most {write.money(max(free))} if your time is free"
        return words + ": do not pay for one."
    low, high = write.money(min(worths)), write.money(max(worths))
    spread = low if low == high else f"{low} to {high} by its kind"
    return f"{words} is worth {spread} after your time: pay no more for one."


def _plan_itself(worth: float, write: Numbers) -> list[str]:
    """Say so where no source makes the plan one to follow."""
    if worth >= -_NOTHING:
        return []
    return [
        f"With all of them the plan loses {write.money(-worth)} a year, your time paid; no plan"
        " loses nothing. What follows holds only if you go on."
    ]


def oils_verdict(
    worth: float,
    sources: Sequence[SourceDocument],
    months_held_back_by: Mapping[str, Sequence[str]],
    drum: float,
    write: Numbers,
) -> list[str]:
    """Say which oil to fetch first, which to leave, and what a drum more is worth.

    Parameters
    ----------
    worth : float
        Of the plan with all sources, time paid. [currency/yr]
    sources : sequence of SourceDocument
        Rows of the oils document.
    months_held_back_by : mapping of str to sequence of str
        Months by what holds the farm back in them.
    drum : float
        In the file's units. [volume]
    write : Numbers
        How the file's numbers are written.

    Returns
    -------
    list of str
    """
    left = [text for source in sources if (text := _leave(source, write)) is not None]
    return [
        *_plan_itself(worth, write),
        _held_back(months_held_back_by),
        *_fetch_first(sources, write),
        *left,
        _drum(sources, drum, write),
    ]
