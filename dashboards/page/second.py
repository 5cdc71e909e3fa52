"""The sheets that follow on request: every assumption, every month, every caution."""

from collections.abc import Iterator

from pydantic import BaseModel

from dashboards.page.facts import Facts
from dashboards.page.markup import bullets, named, safe, section, table
from econ.farm.schema import TABLES, Estimate, about
from econ.ground.labels import BOTTLENECKS, MONTHS
from econ.ground.units import unit_label

_PLAIN = ("text", "date", "flag", "choice", "weights", "months")


def _entries(facts: Facts) -> Iterator[tuple[str, BaseModel]]:
    """Give every table of the farm with a heading."""
    scenario = facts.found.scenario
    for name, _, is_list in TABLES:
        if name == "machines.wear":
            for machine in scenario.machines:
                for row in machine.wear:
                    yield f"{named(machine.name)}: {named(row.part)}", row
        elif is_list:
            for entry in getattr(scenario, name):
                yield f"{name}: {named(entry.name)}", entry
        else:
            if (table := getattr(scenario, name)) is not None:
                yield name, table


def _value(value: object) -> str:
    if isinstance(value, Estimate):
        return f"{value.likely:g} ({value.low:g} to {value.high:g})"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, list):
        return safe(", ".join(map(str, value)), 120)
    return safe(str(value), 120)


def _assumptions(facts: Facts) -> Iterator[tuple[str, str, str, str]]:
    header = facts.found.scenario.scenario
    for heading, entry in _entries(facts):
        for field in type(entry).model_fields:
            value = getattr(entry, field)
            if field in ("wear", "sources", "note", "name", "part", "extends") or value is None:
                continue
            detail = about(type(entry), field)
            unit = (
                ""
                if detail.dimension in _PLAIN
                else unit_label(detail.dimension, header.units, header.currency)
            )
            yield heading, safe(detail.label), _value(value), unit


def _months(facts: Facts) -> str:
    keys = ("wanted", "collected", "processed", "raw_end", "clean_end", "blend", "fuel_replaced")
    rows = [
        (
            MONTHS[month["month"] - 1],
            *(f"{month[key]:,.0f}" for key in keys),
            f"{month['hours']:,.1f}",
            BOTTLENECKS[month["bottleneck"]],
        )
        for month in facts.doc["months"]
    ]
    heads = ("Month", "Wanted", "Collected", "Cleaned", "Raw left", "Clean left", "Blend",
             "Fuel replaced", "Hours", "Held back by")  # fmt: skip
    unit = facts.show.volume_unit
    return section("months", f"Month by month, typical year ({unit})", table("Months", heads, rows))


def second_page(facts: Facts) -> str:
    """Give the sheets that follow the one page.

    Parameters
    ----------
    facts : Facts
        From `dashboards.page.facts.gather`.

    Returns
    -------
    str
    """
    note = facts.found.scenario.scenario.note
    every = (
        f"{safe(c.text, 500)} <span>Basis: {safe(c.basis, 500)}</span>" for c in facts.cautions
    )
    heads = ("Of", "What", "Likely (low to high)", "Unit")
    return (
        '<div class="second">'
        + section("note", "Note", f"<p>{safe(note, 2000)}</p>" if note else "")
        + _months(facts)
        + section("all", "Everything assumed", table("Assumptions", heads, _assumptions(facts)))
        + section("every", "Every caution, with its basis", bullets(every))
        + "</div>"
    )
