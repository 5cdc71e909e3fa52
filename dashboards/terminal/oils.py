"""What each source of oil is worth, on a terminal. Reads only the document."""

from collections.abc import Iterator

from rich.console import RenderableType
from rich.text import Text

from dashboards.terminal.layout import (
    bullet,
    columns,
    heading,
    one_screen,
    page,
    paragraph,
    shown_rows,
)
from dashboards.terminal.notices import cautions, gravest
from econ.answers.comparison_document import Json
from econ.answers.first_screen import MOST_CAUTIONS
from econ.ground.written import Numbers

# Rows of sources on the one screen, at most; the others are counted.
_ROWS = 10


def _distance(value: float | None, write: Numbers) -> str:
    if value is None:
        return "none"
    return f"{value:,.0f} {'miles' if write.units == 'us' else 'km'}"


def _money(doc: Json, write: Numbers) -> Iterator[RenderableType]:
    rows = [
        (
            source["name"],
            f"{source['taken']:,.0f}",
            f"{source['trips']:.1f}",
            write.money(source["kept"]["time_paid"]),
            write.cents(source["kept_per_volume"]),
            write.money(source["kept_per_trip"]),
            write.cents(source["kept_per_hour"]),
        )
        for source in doc["sources"]
    ]
    heads = (
        "What the farm keeps by it",
        f"{write.volume_unit}\na year",
        "trips\na year",
        "a year,\ntime paid",
        f"per\n{write.volume_unit}",
        "per\ntrip",
        "per hour\nit takes",
    )
    yield columns(heads, rows)
    hour = f"before your own hours are paid for, beside your wage of {write.cents(doc['wage'])}."
    if doc["hired_share"] == 1.0:
        hour = "left after the hands you hire are paid."
    yield paragraph(
        f"What the plan is worth a year with the source, less without it. Per hour: {hour}"
    )


def _farthest(source: Json, write: Numbers) -> str:
    """Write the farthest round trip that pays, in words where there is no figure."""
    if source["taken"] <= 0.0:
        return "none taken"
    if not source["round_trip"]:
        return "no drive"
    if source["pays_at_any_distance"]:
        return "any"
    if source["farthest_round_trip"] is None:
        return "not next door"
    return _distance(source["farthest_round_trip"], write)


def _drums(doc: Json, write: Numbers) -> Iterator[RenderableType]:
    rows = [
        (
            source["name"],
            write.money(source["drum_at_gate"]["time_paid"]),
            write.money(source["drum_at_gate"]["time_free"]),
            write.money(source["drum_fetched"]["time_paid"]),
            _distance(source["round_trip"], write) if source["round_trip"] else "no drive",
            _farthest(source, write),
        )
        for source in doc["sources"]
    ]
    heads = (
        f"One more drum, {write.volume(doc['drum'])}",
        "at the gate,\ntime paid",
        "at the gate,\ntime free",
        "fetched,\ntime paid",
        "round\ntrip",
        "farthest\nthat pays",
    )
    yield columns(heads, rows)
    faster = "40 mph" if write.units == "us" else "64 km/h"
    yield paragraph(
        "At the gate: what a drum of such oil brought to you free adds to the year; more than that"
        " never pay for one. Farthest: the round trip at which the source keeps nothing for you,"
        f" each mile or kilometre more driven at {faster} (common practice, no source)."
    )


def _thickness(doc: Json, write: Numbers) -> Iterator[RenderableType]:
    rows = []
    for source in (source for source in doc["sources"] if source["taken"] > 0.0):
        effect = source["thinner_shares"][0] if source["thinner_shares"] else None
        without = (
            "only oil"
            if source["pool_viscosity_40_without"] is None
            else (f"{source['pool_viscosity_40_without']:.0f} cSt")
        )
        shares = ("none", "none")
        if effect:
            needed = effect["without"]
            shares = (
                f"{100 * effect['with']:.1f} %",
                "too thick" if needed is None else f"{100 * needed:.1f} %",
            )
        rows.append((source["name"], f"{source['viscosity_40']:.0f} cSt", without, *shares))
    warm = "104 °F" if write.units == "us" else "40 °C"
    heads = (
        f"Thickness at {warm}",
        "this oil",
        "all oil\nwithout it",
        "thinner\nwith it",
        "thinner\nwithout it",
    )
    yield columns(heads, rows)
    names = {
        source["thinner_shares"][0]["machine"]
        for source in doc["sources"]
        if source["thinner_shares"]
    }
    words = f"All oil together: {doc['pool_viscosity_40']:.0f} cSt."
    for name in sorted(names):
        words += f" Thinner shares are those of {name}, doing the same job either way."
    words += " Used oils measured in print run from 27 to 66 cSt: measure yours with a cup."
    yield paragraph(words)


def _verdict(doc: Json) -> Iterator[RenderableType]:
    """Return the sentences that decide: which to fetch first, which to leave, a drum's worth."""
    yield heading("Which oil to fetch, and what a drum is worth")
    for text in doc["verdict"]:
        yield bullet(text)


def _at_a_glance(doc: Json, write: Numbers, most: int) -> Iterator[RenderableType]:
    """Show what each source is worth, a trip of it, a drum more, and how far to drive for it."""
    rows, more = shown_rows(
        [
            (
                source["name"],
                write.volume(source["taken"]),
                write.money(source["kept"]["time_paid"]),
                write.money(source["kept_per_trip"]) if source["round_trip"] else "no drive",
                write.money(source["drum_at_gate"]["time_paid"]),
                _farthest(source, write) if source["round_trip"] else "",
            )
            for source in doc["sources"]
        ],
        most,
    )
    heads = (
        "Source",
        "taken\na year",
        "worth a year,\ntime paid",
        "a\ntrip",
        "a drum\nat the gate",
        "round trip\nthat pays",
    )
    yield columns(heads, rows)
    if more:
        yield paragraph(f"and {more} more")


def render(doc: Json, file: str) -> RenderableType:
    """Lay the worth of every oil source out on one screen.

    Parameters
    ----------
    doc : dict
        From `oils_document`.
    file : str
        Name of the farm's file, for the command that shows the rest.

    Returns
    -------
    RenderableType
        At most forty lines at 80 columns.
    """
    write = Numbers(doc["units"], doc["currency"])

    def parts(rows: int) -> Iterator[RenderableType]:
        yield paragraph(doc["title"], indent=0, style="bold")
        yield Text()
        shown, more = doc["verdict"][:rows], len(doc["verdict"]) - rows
        for text in shown:
            yield bullet(text, style="bold")
        if more > 0:
            yield paragraph(f"and {more} more")
        yield Text()
        yield from _at_a_glance(doc, write, rows)
        yield from gravest(
            doc["cautions"][:MOST_CAUTIONS],
            f"All {len(doc['cautions'])} cautions and the rest: drumworth oils {file} --all",
        )

    return one_screen(parts, _ROWS)


def render_all(doc: Json) -> RenderableType:
    """Lay out all there is on every oil source, ending on which to fetch.

    Parameters
    ----------
    doc : dict
        From `oils_document`.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    write = Numbers(doc["units"], doc["currency"])
    return page(
        [
            paragraph(doc["title"], indent=0, style="bold"),
            paragraph(
                "The model is run with each source and without it, and with a drum more. Figures"
                " are on average; kit and bills that hang on a source alone go with it.",
                indent=0,
            ),
            heading("Sources, by what they are worth a year"),
            *_money(doc, write),
            *_drums(doc, write),
            *_thickness(doc, write),
            *cautions(doc),
            *_verdict(doc),
        ]
    )
