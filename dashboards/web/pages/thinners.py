"""Thinners: which keeps most money a year, how much of each, in which machine."""

from collections.abc import Sequence
from typing import Any

from dash import ALL, Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from dashboards.drawings import marked
from dashboards.figures.thinners import energy, lines, shares
from dashboards.theme import Theme, theme_of
from dashboards.web import ids
from dashboards.web.compared import view_of
from dashboards.web.documents import Folder
from dashboards.web.draft import checked, factors
from dashboards.web.flat import flat
from dashboards.web.levers import slider
from dashboards.web.parts import card, cautions, choices, drawn, explain, picks, table
from dashboards.web.results import results
from econ.answers.thinner_curves import ThinnerView, grid, moved, temperatures
from econ.answers.turned import SHOWN_LEVERS, Results
from econ.ground.errors import ScenarioError
from econ.ground.labels import MONTHS
from econ.ground.written import Numbers

Json = dict[str, Any]


def layout(folder: Folder, turned: dict[str, float]) -> Component:
    """Return the page."""
    says = "thinner-lever-says"
    sliders = [slider(key, turned.get(key, 1.0), says=says, seen=True) for key in SHOWN_LEVERS]
    top = [
        html.H1("Which thinner?"),
        html.P(
            "A thinner is an entry fee: it makes the oil usable. Each is given the share that"
            " does the same job (the same thickness at the pump), and the whole farm is worked"
            " through with it."
        ),
        choices(ids.THINNER_SCOPE, "Machine or whole farm", (), "0", "entries"),
        html.Details(
            [
                html.Summary("What if prices change?"),
                html.Div(sliders, className="levers"),
                html.Button("Back to the file", id=ids.BACK, n_clicks=0),
            ],
            open=bool(turned),
        ),
    ]
    waiting = html.P("Working the farm through with each thinner ...", className="waiting")
    places = [
        html.H2("When two thinners change places"),
        choices(ids.THINNER_MOVED, "Which price moves", (), None, "switch"),
        html.Div(id=ids.THINNER_TIES),
    ]
    return html.Div(
        [
            html.Section(top, className="card wide"),
            html.Div(waiting, id=ids.THINNER_BODY),
            html.Section(places, className="card wide"),
        ]
    )


def _able(scope: Json) -> list[Json]:
    return [row for row in scope["rows"] if row["result"]]


def ranking(scope: Json, words: dict[str, str], write: Numbers) -> Component:
    """Return the offers by money kept a year."""
    rows = _able(scope)
    if not rows or not scope["oil_reaches_it"]:
        return card(
            "Money kept in a year",
            html.P("No oil is left for it, or no thinner can do the job."),
            wide=True,
        )
    return card(
        "Money kept in a year",
        html.P(scope["finding"], className="binding"),
        ranks(scope["ranking"], write),
        html.P("A year with your time paid, after everything.", className="basis"),
        _winter(scope, write),
        html.Details([html.Summary("The figures behind it"), _figures(scope, rows, write)]),
        _apart(scope),
        explain(
            html.P(
                "Kept a year: fuel not bought, less all costs, the kit's yearly cost and your"
                " hours at your wage, with this thinner in the machines named above."
            ),
            html.P(
                "What a volume of oil brings: fuel not bought less thinner, additives, road"
                " tax and repairs, divided by the oil. Never by the blend: a bigger blend made"
                " of bought thinner is no gain."
            ),
            html.P(words["ethanol"]),
            html.P(
                "Need covered: how much of the thinner needed is to be had under the limit you"
                " gave a month. One thinner to a tank: two are never mixed here. Bulk or jugs:"
                " enter each as a thinner with its own price and compare."
            ),
        ),
        wide=True,
    )


def _figures(scope: Json, rows: Sequence[Json], write: Numbers) -> Component:
    """Return the figures of every offer that can do the job."""

    def cells(row: Json) -> tuple[str, ...]:
        result = row["result"]
        return (
            row["thinner"] + (" (now)" if row["present"] else ""),
            write.money(result["worth"]["time_paid"]),
            write.price(result["cost_per_replaced"]["cash"]),
            write.price(result["cost_per_replaced"]["full"]),
            write.volume(result["thinner"]),
            write.percent(result["covered"]),
            f"{write.cents(result['kept_per_oil'])}/{write.volume_unit}",
        )

    heads = (
        "",
        "kept a year, your time paid",
        "out of pocket per volume replaced",
        "everything, per volume replaced",
        "thinner bought",
        "need covered",
        f"{write.a_volume} of oil brings, before kit, shared bills and time",
    )
    best = tuple(k for k, row in enumerate(rows) if row["thinner"] == scope["best"])
    return table(heads, [cells(row) for row in rows], caption="Offers, best first", strong=best)


def ranks(rows: Sequence[Json], write: Numbers) -> Component:
    """Draw the ranking as bars under their names, so that a narrow screen reads it too."""
    values = [row["kept"] or 0.0 for row in rows]
    low, high = min(0.0, *values), max(0.0, *values)
    span = max(high - low, 1e-9)
    items = []
    for row, value in zip(rows, values, strict=True):
        start, width = (min(value, 0.0) - low) / span, abs(value) / span
        words = " (now)" if row["kind"] == "now" else ""
        aside = ", not put forward" if row["set_aside"] else ""
        name = row["name"] if row["name"].endswith("now") else row["name"] + words
        bar = html.I(style=f"margin-left:{100 * start:.1f}%;width:{100 * width:.1f}%")
        items.append(
            html.Li(
                [
                    html.Span(f"{name}{aside}", className="what"),
                    html.Span(write.money(row["kept"]), className="value"),
                    html.Span(bar, className="swing", **{"aria-hidden": "true"}),
                ],
                className=row["kind"] + (" loss" if value < 0.0 else ""),
            )
        )
    return html.Ol(items, className="ranks")


def _winter(scope: Json, write: Numbers) -> Component | None:
    """Show the thinner's bill month by month, winter's months marked and added up."""
    months = scope["thinner_by_month"]
    if scope["thinner_bill"] is None:
        return None
    most = max(month["cost"] for month in months)
    bars = [
        html.Li(
            [
                html.Span(
                    html.I(style=f"height:{100 * month['cost'] / most:.0f}%"), className="tall"
                ),
                html.Abbr(
                    MONTHS[month["month"] - 1][0],
                    title=f"{MONTHS[month['month'] - 1]}: {write.money(month['cost'])}",
                ),
            ],
            className="winter" if month["winter"] else "",
        )
        for month in months
    ]
    bill = marked(scope["thinner_bill"], "winter months")
    return html.Div([html.P(bill), html.Ol(bars, className="month-bars")])


def _apart(scope: Json) -> Component | None:
    """Say what is refused or not put forward, and why."""
    words = []
    for row in scope["rows"]:
        if row["refused"]:
            words.append(f"{row['thinner']}: {row['refused']}.")
        if row["set_aside"]:
            words.append(f"{row['thinner']}, not put forward: {row['set_aside']}.")
        words += [f"{row['thinner']}: {note}" for note in row["notes"]]
    return html.Ul([html.Li(word) for word in words]) if words else None


def _share(season: Json, write: Numbers) -> str:
    if season["too_thick"]:
        return "too thick: pump fuel"
    parts = season["oil_parts_to_one_of_thinner"]
    share = f"{write.percent(season['thinner_share'])}"
    return share + (f", 1 part to {parts:.1f} of oil" if parts is not None else "")


def _band(season: Json, limit: float) -> str:
    if season["too_thick"]:
        return "none"
    band = season["viscosity_40"]
    return f"{band['likely']:.1f} cSt ({band['low']:.1f} to {band['high']:.1f}); limit {limit:g}"


def _fire(season: Json) -> str:
    if season["too_thick"]:
        return "none"
    return f"{season['flash_text']}; fire class: {season['fire_label']}"


def _mixed(both: Sequence[tuple[str, Json]], write: Numbers) -> Component:
    """Return the table of mixes, one row for each season."""

    def cells(name: str, mix: Json, season: Json) -> tuple[str, ...]:
        heat, fee = season["energy_against_diesel"], mix["entry_fee_per_oil"]
        return (
            f"{name}, {mix['machine']}",
            season["season"],
            _share(season, write),
            _band(season, mix["viscosity_limit"]),
            write.temperature(season["cold_limit"]),
            "none" if heat is None else write.percent(heat),
            _fire(season),
            mix["rule_label"],
            f"{mix['cetane_of_thinner']}",
            "none" if fee is None else f"{write.cents(fee)}/{write.volume_unit}",
        )

    warm = write.temperature(104.0 if write.units == "us" else 40.0)
    heads = (
        "",
        "season",
        "thinner in the mix",
        f"thickness at {warm} (rules' range)",
        "too thick below",
        "heat, diesel = 100 %",
        "flash (estimate)",
        "US used-oil rules",
        "cetane of the thinner (diesel: 40 at least)",
        "entry fee per volume of oil",
    )
    rows = [cells(name, mix, season) for name, mix in both for season in mix["seasons"]]
    return table(heads, rows, caption="Mixes, summer and winter", left=(0, 1, 2, 3, 6, 7))


def mixes(scope: Json, words: dict[str, str], write: Numbers) -> Component:
    """Return what each thinner makes of the blend: share, thickness, heat, fire, rules."""
    both = [(row["thinner"], mix) for row in scope["rows"] for mix in row["mixes"]]
    concerns = {f"{name}: {concern}" for name, mix in both for concern in mix["concerns"]}
    concerns |= {mix["machine_concern"] for _, mix in both if mix["machine_concern"]}
    rules, mixed = {mix["rule_text"] for _, mix in both}, _mixed(both, write)
    return card(
        "What goes into the tank",
        mixed if scope["machine"] else html.Details([html.Summary("Every machine's mix"), mixed]),
        html.P(f"{scope['band_note']} {words['flash']}"),
        html.Ul([html.Li(word) for word in sorted(concerns)]),
        explain(
            html.P(
                "Thinner in the mix: the share at which oil and thinner together have the"
                " job's thickness (blending rule of ASTM D7152)."
            ),
            html.P(
                "Entry fee: what the thinner costs more than the pump fuel it stands for, for"
                " each volume of oil it makes usable; below zero it earns by itself."
            ),
            *[html.P(text) for text in sorted(rules)],
        ),
        wide=True,
    )


def _heat_rows(scope: Json) -> list[tuple[str, float]]:
    rows = []
    for row in scope["rows"]:
        heats = [s["energy_against_diesel"] for mix in row["mixes"] for s in mix["seasons"]]
        known = [heat for heat in heats if heat is not None]
        if known:
            rows.append((row["thinner"], known[0]))
    return rows


def curves(view: ThinnerView, scope: int, theme: Theme, write: Numbers) -> Component:
    """Return share against temperature, and energy."""
    result = temperatures(view, scope)
    unit = "°F" if write.units == "us" else "°C"
    of = "its class's usual limit" if result["usual"] else "the limit you gave"
    rows = _heat_rows(view.document["scopes"][scope])
    warming = card(
        "Does warming the fuel save thinner?",
        drawn(
            shares(result["temperatures"], result["curves"], unit, theme),
            "shares-figure",
            "Lines: thinner share needed against the fuel's temperature.",
        ),
        html.P(
            f"{result['machine']}: {result['limit']:g} cSt, {of}. A line ends where the thinner"
            f" itself is too thick. {view.document['words']['never_warmed']}"
        ),
        explain(
            html.P(
                "At each temperature, the share at which the blend just has the limit's thickness."
            )
        ),
    )
    heat = card(
        "Heat in a volume, against diesel",
        drawn(
            energy(rows, theme),
            "energy-figure",
            "Bars: heat in a volume of each blend against diesel.",
        ),
        explain(
            html.P(
                "Oil and thinner each bring their heat by volume. Less heat means more fuel for"
                " the same work, and the figures above count it."
            )
        ),
    )
    return html.Div([warming, heat], className="grid")


def together(result: Results) -> Component:
    """Return the two-way table of pump price and thinner price."""
    write, made = result.write, grid(result.inputs)
    heads = ("pump price", *(f"thinner {100 * f - 100:+.0f} %" for f in made["factors"]))
    rows = [
        (f"{100 * factor - 100:+.0f} %", *(write.money(value) for value in row))
        for factor, row in zip(made["factors"], made["savings"], strict=True)
    ]
    return card(
        "If pump and thinner prices move",
        table(heads, rows, caption="Left after your time, with the thinners you have now"),
        explain(
            html.P(
                "Bought thinner moves by the column; pump fuel, and any thinner tied to its"
                " price, by the row. The diagonal is both moving together."
            )
        ),
        wide=True,
    )


def body(result: Results, view: ThinnerView, scope: int, theme: Theme) -> list[Component | None]:
    """Return one scope's comparison."""
    write = result.write
    chosen, words = view.document["scopes"][scope], view.document["words"]
    out = [f"{row['machine']} {row['why']}" for row in view.document["left_out"]]
    return [
        ranking(chosen, words, write),
        cautions(view.document["cautions"], "Before you buy any thinner"),
        mixes(chosen, words, write),
        curves(view, scope, theme, write),
        together(result),
        card("Takes no part", html.Ul([html.Li(word) for word in out]), wide=True) if out else None,
    ]


def _opened(settled: Any) -> tuple[Results, ThinnerView] | None:
    """Return a farm's results and comparison; None where it has faults."""
    if not isinstance(settled, dict):
        return None
    result = results(checked(settled.get("draft")), factors(settled.get("levers")))
    if not isinstance(result, Results):
        return None
    try:
        return result, view_of(result)
    except ScenarioError:
        return None


def _at(view: ThinnerView, scope: object) -> int | None:
    """Return a scope's index that came from a browser; None without any scope."""
    count = len(view.comparison.scopes)
    if not count:
        return None
    known = [str(k) for k in range(count)]
    return known.index(scope) if isinstance(scope, str) and scope in known else 0


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks."""

    @app.callback(
        Output(f"{ids.THINNER_SCOPE}-buttons", "children"),
        Output(f"{ids.THINNER_MOVED}-buttons", "children"),
        Output(ids.THINNER_MOVED, "value"),
        Input(ids.SETTLED, "data"),
        State(ids.THINNER_MOVED, "value"),
    )
    def _choices(settled: Any, moving: Any) -> Any:
        opened = _opened(settled)
        if opened is None or not opened[1].comparison.scopes:
            return [], [], None
        scopes = opened[1].document["scopes"]
        names = [row["thinner"] for row in scopes[0]["rows"] if row["listed"]]
        return (
            picks((str(k), s["machine"] or "The whole farm") for k, s in enumerate(scopes)),
            picks((name, f"move the price of {name}") for name in names),
            moving if moving in names else next(iter(names), None),
        )

    @app.callback(
        Output({"type": "thinner-lever-says", "path": ALL}, "children"),
        Input(ids.SETTLED, "data"),
        State({"type": "thinner-lever-says", "path": ALL}, "id"),
    )
    def _says(settled: Any, names: list[Json]) -> Any:
        opened = _opened(settled)
        shown = {} if opened is None else {row.key: row.shown for row in opened[0].levers}
        return [shown.get(name["path"], "") for name in names]

    _register_body(app)


def _register_body(app: Dash) -> None:
    """Register what shows the comparison of one scope."""

    @app.callback(
        Output(ids.THINNER_BODY, "children"),
        Input(ids.SETTLED, "data"),
        Input(ids.THINNER_SCOPE, "value"),
        Input(ids.SCHEME, "data"),
    )
    def _body(settled: Any, scope: Any, scheme: Any) -> Any:
        if settled is None:
            return no_update
        opened = _opened(settled)
        if opened is None:
            return html.P("Mend the faults above to see the comparison.")
        at = _at(opened[1], scope)
        if at is None:
            out = [f"{r['machine']} {r['why']}" for r in opened[1].document["left_out"]]
            return card("No machine here takes a thinner", html.Ul([html.Li(w) for w in out]))
        return flat(body(*opened, at, theme_of(scheme)))

    @app.callback(
        Output(ids.THINNER_TIES, "children"),
        Input(ids.SETTLED, "data"),
        Input(ids.THINNER_SCOPE, "value"),
        Input(ids.THINNER_MOVED, "value"),
        Input(ids.SCHEME, "data"),
    )
    def _ties(settled: Any, scope: Any, name: Any, scheme: Any) -> Any:
        opened = _opened(settled)
        at = None if opened is None else _at(opened[1], scope)
        if opened is None or at is None or not isinstance(name, str):
            return None
        return flat(ties(opened[0].write, opened[1], at, name, theme_of(scheme)))


def ties(write: Numbers, view: ThinnerView, scope: int, name: str, theme: Theme) -> Component:
    """Return the chart of one thinner's price, and its ties in words."""
    made = moved(view, scope, name)
    rows = [
        (
            tie["against"] or "no blend at all",
            "never" if tie["price"] is None else write.price(tie["price"]),
            ""
            if tie["price"] is None
            else f"below it {name} keeps more than {tie['against'] or 'no blend at all'}"
            if tie["keeps_more_below"]
            else f"above it {name} keeps more than {tie['against'] or 'no blend at all'}",
        )
        for tie in view.document["scopes"][scope]["ties"]
        if tie["moved"] == name
    ]
    if made is None:
        return html.P("It cannot do the job here, or has no price of its own to move.")
    return html.Div(
        [
            drawn(
                lines(made["prices"], made["savings"], made["ties"], made["now"], write, theme),
                "ties-figure",
                "Lines: the year's saving with each thinner as one price moves.",
            ),
            table(
                ("", f"price of {name} at which they tie", ""),
                rows,
                left=(0, 2),
                caption=f"Now {write.price(made['now'])}",
            ),
            explain(
                html.P(
                    "Only this one price moves (a thinner tied to a fuel moves that fuel"
                    " too). Each line is the whole farm worked through with that thinner;"
                    " where two lines cross, the two keep the same money."
                )
            ),
        ]
    )
