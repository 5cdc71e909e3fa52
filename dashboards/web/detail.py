"""How sure it is: what matters most, which source, what tank, what was left out."""

from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboards.drawings import past_price_strip
from dashboards.figures.sure import fan, matters, tanks
from dashboards.theme import Theme
from dashboards.web.parts import card, drawn, explain, table
from econ.answers.rows import LEDGERS
from econ.answers.sure import Sure
from econ.answers.turned import Results
from econ.ground.written import Numbers, signed

Json = dict[str, Any]
_MOST = 7


def spread(result: Results, sure: Sure, theme: Theme) -> Component:
    """Show how far the answer may be off."""
    write, made = result.write, sure.chances
    words = made["words"]
    names = (
        ("after_labour", "Left after your time", write.money),
        ("pay_per_hour", "Pay for an hour of your time", write.cents),
        ("full_rung", "Full cost of fuel replaced", write.price),
        ("time_free.npv", "Worth in today's money, time free", write.money),
        ("time_paid.npv", "Worth in today's money, time paid", write.money),
    )
    rows = [
        (label, *(write(v) for v in made["spreads"][key]["levels"])) for key, label, write in names
    ]
    bill = "" if sure.repair is None else f" {sure.repair}"
    return card(
        "How sure is it?",
        html.P(" ".join((words["ahead"], *words["bad_year"])) + bill, className="binding"),
        drawn(
            fan(made["running_balance"]["time_paid"], write, theme),
            "fan-figure",
            "Lines: running balance with your time paid, bad, middle and good case by year.",
        ),
        html.P("Running balance, your time paid.", className="basis"),
        table(("", "1 in 20 below", "middle", "1 in 20 above"), rows, caption="Range"),
        html.H3("Free to stop"),
        html.P(words["stopping"][0]),
        html.Ul([html.Li(text) for text in words["stopping"][1:]]),
        html.H3("Looking back"),
        *(html.P(text) for text in words["history"]),
        *_past_prices(result, sure),
        _drawn_farms(result, sure),
    )


def _drawn_farms(result: Results, sure: Sure) -> Component:
    """Show the chances that the kit is paid back, and how the farms are drawn."""
    made, percent = sure.chances, result.write.percent
    paid = [
        (
            f"within {years} years",
            *(percent(made["payback_within"][kind.key][years]) for kind in LEDGERS),
        )
        for years in made["payback_within"]["time_free"]
    ]
    return explain(
        table(("Kit paid back", *(kind.label for kind in LEDGERS)), paid, caption="Chances"),
        html.P(
            f"{made['draws']:,} farms are drawn, each guess between its least and most, fuel"
            f" prices together; the same seed gives the same farms. {made['words']['prices']}"
        ),
    )


def _past_prices(result: Results, sure: Sure) -> list[Component]:
    """Draw own fuel at past prices beside the prices that decide."""
    past = sure.past
    if past is None:
        return []
    strip = past_price_strip(past, result.write)
    return [html.Div(className="flat", **{"data-markup": strip}), html.P(past["sentence"])]


def matters_most(result: Results, sure: Sure, theme: Theme) -> Component:
    """Show what moves the year most, and what is worth finding out."""
    write = result.write
    rows = [
        {"name": row.name, "low": row.worth[0], "high": row.worth[1]}
        for row in sure.swings[:_MOST]
        if row.width > 0.0
    ]
    base = result.average["ledgers"]["time_paid"]["equivalent_annual"]
    cells = [
        (
            row.name,
            " to ".join(signed(f"{end:g}") for end in (row.guess.low, row.guess.high)),
            *map(write.money, row.worth),
        )
        for row in sure.swings[:_MOST]
    ]
    return card(
        "What matters most",
        drawn(
            matters(rows, base, write, theme),
            "matters-figure",
            "Bars: what a year is worth at the least and the most of each guess.",
        ),
        explain(
            table(
                ("", "guess", "at its least", "at its most"),
                cells,
                left=(0, 1),
                caption="Worth a year, your time paid",
            ),
            html.P("Each guess alone is moved to its least and its most, all else on average."),
        ),
        *_to_measure(result, sure),
    )


def _to_measure(result: Results, sure: Sure) -> list[Component]:
    """Say what to measure first, and what knowing it is worth."""
    first = [row for row in sure.learning if row.matters][:5]
    learn = [(row.name, row.guess.learned_from, result.write.money(row.value)) for row in first]
    heads = ("", "what tells it", "worth of knowing it first")
    return [
        html.H3("What to measure in the first three months"),
        html.P(
            "Used oil taken in, water and sludge lost, filters used, hours, fuel an hour; then"
            " put them in and look again."
        ),
        table(heads, learn, left=(0, 1), caption="Worth finding out before buying")
        if learn
        else html.P(sure.nothing_to_learn),
    ]


_SOURCES = (
    "",
    "taken a year",
    "keeps a year",
    "a trip",
    "an hour, before pay",
    "round trip",
    "pays up to",
)


def sources(result: Results, sure: Sure) -> Component:
    """Show what each source of oil keeps."""
    write = result.write
    miles = "miles" if write.units == "us" else "km"

    def farthest(row: Json) -> str:
        if row["farthest_round_trip"] is None:
            return "any distance" if row["pays_at_any_distance"] else "at no distance"
        return f"{row['farthest_round_trip']:,.0f} {miles}"

    def money(value: float | None, unit: str = "") -> str:
        return "none" if value is None else f"{write.money(value)}{unit}"

    def cells(row: Json) -> tuple[str, ...]:
        return (
            row["name"],
            write.volume(row["taken"]),
            money(row["kept"]["time_paid"]),
            money(row["kept_per_trip"]),
            money(row["kept_per_hour"], "/h"),
            f"{row['round_trip']:,.0f} {miles}",
            farthest(row),
        )

    rows = [cells(row) for row in sure.sources["sources"]]
    return card(
        "Which oil is worth the drive",
        table(_SOURCES, rows, caption="Sources, the one that keeps most first"),
        explain(
            html.P(
                "The farm worked through with and without each source: the difference is"
                " what it keeps, your time at your wage counted except in the hourly"
                " figure."
            )
        ),
        wide=True,
    )


def tank_sizes(sure: Sure, write: Numbers, theme: Theme) -> Component:
    """Show what a year is worth at other sizes of the stores."""
    return card(
        "What size of tank",
        drawn(
            tanks(sure.tanks, sure.room, write, theme),
            "tanks-figure",
            "Line: what the plan is worth a year against the room for oil.",
        ),
        explain(
            html.P(
                f"Room for raw and clean oil together, {write.volume(sure.room)} now (dotted),"
                " both made larger or smaller alike. Where the line is flat, a bigger tank"
                " brings nothing; its price is not in the line."
            ),
            table(
                ("room", "worth a year"),
                [(write.volume(room), write.money(value)) for room, value in sure.tanks],
                caption="Tank sizes",
            ),
        ),
    )


def left_out(sure: Sure) -> Component:
    """List what looks odd and what was left to usual values."""
    parts: list[Any] = []
    for title, notes in sure.notes:
        if notes:
            rows = [html.Li(note) for note in notes]
            parts.append(html.Details([html.Summary(f"{title} ({len(rows)})"), html.Ul(rows)]))
    return card("What did I leave out?", *(parts or [html.P("Nothing: every field is given.")]))
