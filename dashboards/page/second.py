"""The sheets that follow on request: every month, measure, assumption and caution."""

import math

from dashboards.page.charts import columns
from dashboards.page.markup import bullets, named, safe, section, table
from econ.answers.assumptions import assumptions
from econ.answers.decision import Decision
from econ.answers.rows import LEDGERS, MEASURES
from econ.ground.labels import BOTTLENECKS, MONTHS

_VOLUMES = ("wanted", "collected", "processed", "raw_end", "clean_end", "blend", "fuel_replaced")


def _months(decision: Decision) -> str:
    hours = decision.first_screen["months"]
    rows = [
        (
            MONTHS[month["month"] - 1],
            *(f"{month[key]:,.0f}" for key in _VOLUMES),
            f"{own['hours']:,.1f}",
            BOTTLENECKS[month["bottleneck"]],
        )
        for month, own in zip(decision.document["months"], hours, strict=True)
    ]
    heads = (
        "Month",
        "Wanted",
        "Collected",
        "Cleaned",
        "Raw left",
        "Clean left",
        "Blend",
        "Fuel replaced",
        "Own hours",
        "Held back by",
    )
    unit = decision.numbers.volume_unit
    return section("months", f"Month by month, typical year ({unit})", table("Months", heads, rows))


def _reserve(decision: Decision) -> str:
    """Set the days without delivery as a strip of twelve bars, whole days, and in words."""
    result = decision.document["reserve"]
    if result is None:
        return ""
    days = [float(math.floor(value + 1e-9)) for value in result["days"]]
    strip = columns("reserve-days", "Days without delivery, from each month's end", MONTHS, days)
    words = bullets(safe(text) for text in result["sentences"])
    return section("reserve", "When nothing is delivered", strip, words)


def _worth(decision: Decision) -> str:
    """Set every measure by its plain and its standard name, both ways of counting time."""
    both = [decision.document["ledgers"][kind.key] for kind in LEDGERS]
    rows = [
        (
            safe(row.label),
            safe(row.term),
            *(safe(decision.numbers.of(row.dimension, ledger[row.key])) for ledger in both),
        )
        for row in MEASURES
        if row.on("printed page")
    ]
    heads = ("What", "Standard term", *(kind.label for kind in LEDGERS))
    years = decision.scenario.finance.years
    return section("worth", f"What it is worth over {years} years", table("Worth", heads, rows))


def _assumed(decision: Decision) -> str:
    rows = (
        (named(row["of"], 60), safe(row["what"]), safe(row["value"], 120), safe(row["unit"]))
        for row in assumptions(decision.scenario)
    )
    heads = ("Of", "What", "Likely (low to high)", "Unit")
    return section("all", "Everything assumed", table("Assumptions", heads, rows))


def second_page(decision: Decision) -> str:
    """Set the sheets that follow the one page.

    Parameters
    ----------
    decision : Decision
        A farm worked through.

    Returns
    -------
    str
    """
    note = decision.scenario.scenario.note
    every = (
        f"{safe(c['text'], 2_000)} <span>Basis: {safe(c['basis'], 2_000)}</span>"
        for c in decision.document["cautions"]
    )
    return (
        '<div class="sheet second">'
        + section("note", "Note", f"<p>{safe(note, 2000)}</p>" if note else "")
        + _months(decision)
        + _reserve(decision)
        + _worth(decision)
        + _assumed(decision)
        + section("every", "Every caution, with its basis", bullets(every))
        + "</div>"
    )
