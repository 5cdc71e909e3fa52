"""Decide: the advice, what a gallon really costs, when the kit is paid, where the oil goes."""

from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.figures.balance import balance
from dashboards.figures.ladder import ladder
from dashboards.figures.months import hours_by_month, oil_by_month
from dashboards.figures.numbers import ScreenNumbers
from dashboards.figures.steps import steps
from dashboards.theme import theme_of
from dashboards.web import ids
from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import (
    LEAST_FACTOR,
    MOST_FACTOR,
    SHOWN_LEVERS,
    by_path,
    checked,
    draft_of,
    factors,
)
from dashboards.web.flat import flat
from dashboards.web.pages.deeper import deeper
from dashboards.web.parts import big, card, cautions, choices, explain, figure, table
from dashboards.web.results import Results, results, settled_of
from dashboards.web.sure import advice_of, sure_of
from econ.advice.verdict import Advice
from econ.ground.labels import BOTTLENECKS, FITS, FUEL, MONTHS
from econ.model.costs import COST_LINES, RUNGS, SAVINGS
from econ.model.ledger import LEDGERS
from econ.model.measures import MEASURES

Json = dict[str, Any]
_LABELS = {
    "pump_price": "Pump price",
    "thinner_price": "Thinner price",
    "oil": "Oil that turns up",
    "hours_per_batch": "Hours a batch",
    "wage": "Wage",
    "kit": "Kit price",
}


def _lever(key: str, factor: float) -> Component:
    """Give one lever: a native slider with its name and where it stands."""
    ident = {"type": "lever", "path": key}
    return html.Div(
        [
            html.Label(_LABELS[key], htmlFor=f'{{"path":"{key}","type":"lever"}}'),
            dcc.Input(
                id=ident, type="range", min=LEAST_FACTOR, max=MOST_FACTOR, step=0.05, value=factor,
                className="range",
            ),
            html.Output("", id={"type": "lever-says", "path": key}, className="says"),
        ],
        className="lever",
    )  # fmt: skip


def layout(folder: Folder, found: dict[str, float]) -> Component:
    """Give the page; its numbers follow from the farm that is open."""
    switch = choices(
        ids.PER,
        "Cost for each volume of what",
        (("per_replaced", "of pump fuel replaced"), ("per_blend", "of blend burned")),
        "per_replaced",
        "switch",
    )
    return html.Div(
        [
            html.Section(
                [
                    html.Div(
                        html.P("Working out the advice ...", className="waiting"),
                        id=ids.VERDICT,
                        className="slow",
                    ),
                    html.Div(id=ids.DECIDE_TOP),
                ],
                className="card wide advice",
            ),
            html.Section(
                [
                    html.H2("What if?"),
                    html.Div(
                        [_lever(key, found.get(key, 1.0)) for key in SHOWN_LEVERS],
                        className="levers",
                    ),
                    html.Button("Back to the file", id=ids.BACK, n_clicks=0),
                ],
                className="card wide what-if",
            ),
            html.Div(
                [
                    card(
                        "What your own fuel really costs",
                        switch,
                        figure(ids.LADDER, "Bars: cost of one volume of fuel in five steps, "
                               "beside the pump price. The numbers stand in the table below."),
                        html.Div(id="ladder-words"),
                    ),
                    card(
                        "What is left in a year",
                        figure(ids.STEPS, "Bars: money left in a typical year after each group "
                               "of costs. The numbers stand in the table below."),
                        html.Div(id="steps-words"),
                    ),
                    card(
                        "When the money is back",
                        figure(ids.BALANCE, "Lines: running balance by year for both ways of "
                               "counting your time. The numbers stand in the table below."),
                        html.Div(id="balance-words"),
                    ),
                    card(
                        "Where the oil goes",
                        figure(ids.OIL_MONTHS, "Bars by month: clean oil wanted, cleaned and "
                               "burned; line: clean oil left. Numbers in the table below."),
                        html.Div(id="oil-words"),
                    ),
                    card(
                        "Your hours, month by month",
                        figure(ids.HOURS_MONTHS, "Bars by month: hands-on hours. The numbers "
                               "stand in the table of the oil."),
                        html.Div(id="hours-words"),
                    ),
                ],
                className="grid",
            ),
            html.Div(id=ids.DECIDE_REST),
            card(
                "Another plan beside this one",
                html.Div(
                    [
                        html.Label("Farm file", htmlFor="other-choice"),
                        html.Select(
                            [html.Option("choose a plan ...", value="")]
                            + [html.Option(name, value=name) for name in folder.names()],
                            id="other-choice",
                            **{"data-sets": ids.OTHER},
                        ),
                        dcc.Input(id=ids.OTHER, type="hidden", value=""),
                    ],
                    className="row",
                ),
                html.Div(id=ids.OTHER_BODY, className="slow"),
                wide=True,
            ),
            html.Div(
                html.P("Working out how sure it is ...", className="waiting"),
                id=ids.SURE,
                className="slow",
            ),
        ]
    )  # fmt: skip


def verdict(advice: Advice, *, with_chances: bool) -> list[Component | None]:
    """Give the advice in one sentence, with every reason that speaks for it."""
    first, *others = advice.reasons
    chances = "" if with_chances else " With sliders moved, chances are not counted in it."
    return [
        html.H1([html.Span(advice.label, className="verdict"), " ", first]),
        html.Ul([html.Li(reason) for reason in others]) if others else None,
        html.P(
            "The advice and the figures below rest on average values: guesses weighed by their"
            f" range.{chances}",
            className="basis",
        ),
    ]


def top(found: Results) -> Component:
    """Give the figures that decide it."""
    doc, show = found.document, found.show
    pay = doc["savings"]["pay_per_hour"]
    paid = [doc["ledgers"][kind.key]["simple_payback"] for kind in LEDGERS]
    return html.Div(
        [
            big("Left in a year, your time free", show.money(doc["savings"]["after_kit"]),
                "after fuel, repairs and kit", title=_help("after_kit")),
            big("Left in a year, your time paid", show.money(doc["savings"]["after_labour"]),
                f"at {show.cents(found.wage)}/h", title=_help("after_labour")),
            big("Pay for an hour of yours",
                "no own hours" if pay is None else f"{show.cents(pay)}/h",
                f"your wage: {show.cents(found.wage)}/h",
                title="The wage at which the plan is worth nothing with your time paid."),
            big("Your hours in a year", show.hours(doc["fuel"]["own_hours"]),
                "hauling, batches and upkeep", title="Hours that nobody else is paid for."),
            big("Kit paid back in", show.years(paid[0]),
                f"paying you for your time: {show.years(paid[1])}",
                title=_measure_help("simple_payback")),
        ],
        className="bigs",
    )  # fmt: skip


def _help(key: str) -> str:
    return next(row.help for row in SAVINGS if row.key == key)


def _measure_help(key: str) -> str:
    return next(row.help for row in MEASURES if row.key == key)


def ladder_words(found: Results) -> Component:
    """Give the ladder as a table, and every cost line with its formula in words."""
    doc, show = found.document, found.show
    rungs = doc["rungs"]
    rows = [
        (html.Span(rung.label, title=rung.help), show.price(rungs["per_blend"][rung.key]),
         show.price(rungs["per_replaced"][rung.key]))
        for rung in RUNGS
    ] + [("Pump fuel it replaces", "", show.price(found.pump_price))]  # fmt: skip
    lines = [
        (html.Span(line.label, title=line.help), line.help, show.money(doc["costs"][line.key]))
        for line in COST_LINES
        if doc["costs"][line.key]
    ]
    volumes = f"{show.volume(doc['fuel']['fuel_replaced'])} replaced,"
    return html.Div(
        [
            table(("", "blend burned", "fuel replaced"), rows,
                  caption=f"Cost of {show.a_volume}", strong=(len(rows) - 1,)),
            explain(
                html.P(
                    "Each step adds its costs of a typical year to those of the step before and"
                    f" divides by the year's volume: {volumes}"
                    f" {show.volume(doc['fuel']['blend'])} of blend burned."
                ),
                table(("", "how it is worked out", "a year"), lines, caption="Cost lines",
                      left=(0, 1)),
            ),
        ]
    )  # fmt: skip


def steps_words(found: Results) -> Component:
    """Give the year's money on average and at likely values."""
    doc, show = found.document, found.show
    rows = [
        (html.Span(row.label, title=row.help), show.money(doc["savings"][row.key]),
         show.money(doc["likely"]["savings"][row.key]))
        for row in SAVINGS
    ]  # fmt: skip
    fuel = [
        (html.Span(row.label, title=row.help), show.of(row.dimension, doc["fuel"][row.key]),
         show.of(row.dimension, doc["likely"]["fuel"][row.key]))
        for row in FUEL
    ]  # fmt: skip
    return html.Div(
        [
            table(("", "on average", "at likely values"), rows,
                  caption="Money a year, today's prices"),
            explain(
                table(("", "formula"), [(row.label, row.help) for row in SAVINGS], left=(0, 1),
                      caption="Formulas"),
                table(("", "on average", "at likely values"), fuel,
                      caption="Volumes and hours a year"),
                html.P("On average: each guess weighed as (at least + 4 x most likely + at most)"
                       " / 6."),
            ),
        ]
    )  # fmt: skip


def balance_words(found: Results) -> Component:
    """Give the measures of both ledgers."""
    doc, show = found.document, found.show
    both = [doc["ledgers"][kind.key] for kind in LEDGERS]
    keys = ("simple_payback", "discounted_payback", "npv", "equivalent_annual",
            "break_even_fuel_price", "sir", "irr")  # fmt: skip
    rows = [
        (html.Abbr(row.label, title=f"{row.term}: {row.help}"),
         *(show.of(row.dimension, ledger[row.key]) for ledger in both))
        for row in MEASURES
        if row.key in keys
    ]  # fmt: skip
    years = range(found.years + 1)
    running = [
        (f"{year}", *(show.money(found.balance[kind.key][year]) for kind in LEDGERS))
        for year in years
    ]
    heads = ("", *(kind.label for kind in LEDGERS))
    return html.Div(
        [
            table(heads, rows, caption=f"Over {found.years} years"),
            explain(
                html.P(
                    "The balance starts with the kit's price and adds each year's money in and"
                    " out; the last year adds what the kit still fetches, less the cost of"
                    " stopping. Prices of that year, not discounted."
                ),
                table(("End of year", *heads[1:]), running, caption="Running balance"),
                table(("", "formula"),
                      [(row.label, row.help) for row in MEASURES if row.key in keys],
                      left=(0, 1), caption="Formulas"),
            ),
        ]
    )  # fmt: skip


def oil_words(found: Results) -> Component:
    """Say what holds the plan back, and give the months as a table."""
    doc, show = found.document, found.show
    months = {
        key: [MONTHS[m["month"] - 1] for m in doc["months"] if m["bottleneck"] == key]
        for key in BOTTLENECKS
        if key != "need"
    }
    held = [f"{BOTTLENECKS[key]} in {', '.join(names)}" for key, names in months.items() if names]
    text = "Held back by " + "; ".join(held) + "." if held else "All that is wanted is made."
    unit = show.volume_unit
    rows = [
        (MONTHS[month["month"] - 1],
         *(f"{month[key]:,.0f} {unit}" for key in
           ("wanted", "processed", "oil_used", "raw_end", "clean_end")),
         show.hours(month["hours"]), BOTTLENECKS[month["bottleneck"]])
        for month in doc["months"]
    ]  # fmt: skip
    heads = ("", "wanted", "cleaned", "burned", "raw left", "clean left", "hours", "held back by")
    return html.Div(
        [
            html.P(text, className="binding"),
            explain(
                html.P("Oil is fetched while there is room and hours for it, cleaned in batches up"
                       " to the limits you gave, and burned by the machines that save most first."
                       " What is left is carried over."),
                table(heads, rows, caption="Month by month", left=(0, 7)),
            ),
        ]
    )  # fmt: skip


def _share(machine: Json, show: ScreenNumbers) -> str:
    mild, cold = machine["thinner_share"], machine["thinner_share_winter"]
    text = "too thick" if mild is None else show.percent(mild)
    if cold is not None and cold != mild:
        text += f", winter {show.percent(cold)}"
    return text


def _reasons(reasons: list[str]) -> str | Component:
    if not reasons:
        return "no rule speaks against trying it"
    return html.Ul([html.Li(reason) for reason in reasons])


def machines(found: Results) -> Component:
    """Give each machine with its fit and reason."""
    doc, show = found.document, found.show
    marks = {"suited": "○", "caution": "△", "excluded": "×"}
    rows = [
        (row["name"], f"{marks[row['fit']]} {FITS[row['fit']]}",
         _reasons(row["reasons"]), _share(row, show),
         show.volume(row["fuel_replaced"]), show.money(row["saving"]))
        for row in doc["machines"]
    ]  # fmt: skip
    return card(
        "Which machines",
        table(("", "fit", "why", "thinner in the mix", "fuel replaced", "saves a year"), rows,
              caption="Machines, in a typical year", left=(0, 1, 2, 3)),
        explain(
            html.P("Saves a year: the fuel it no longer buys, less its thinner, additives, road"
                   " tax and expected repairs. Costs that no single machine causes (filters,"
                   " hauling, kit, your time) are not in it. Fit is no promise: it says only that"
                   " no rule of the model speaks against a trial.")
        ),
        wide=True,
    )  # fmt: skip


def beside(found: Results, other: Results) -> Component:
    """Set two plans side by side, such as with and without a centrifuge."""
    columns = []
    for plan in (found, other):
        doc, show = plan.document, plan.show
        free, paid = (doc["ledgers"][kind.key] for kind in LEDGERS)
        columns.append(
            (show.volume(doc["fuel"]["fuel_replaced"]), show.hours(doc["fuel"]["own_hours"]),
             show.money(doc["kit_to_buy"]), show.money(doc["savings"]["after_kit"]),
             show.money(doc["savings"]["after_labour"]), show.years(free["simple_payback"]),
             show.money(paid["npv"]), *(show.money(v) for v in free["lost_if_stopped"][:1]))
        )  # fmt: skip
    labels = ("Fuel replaced a year", "Your hours a year", "Kit to buy",
              "Left in a year, time free", "Left in a year, time paid", "Paid back, time free",
              "Worth today, time paid", "Lost by stopping after year 1")  # fmt: skip
    heads = ("", found.document["title"], other.document["title"])
    return html.Div(
        [
            table(heads, zip(labels, *columns, strict=True), caption="Two plans, most likely"),
            explain(html.P("Save a copy of the farm under another name, leave out what you doubt"
                           " (a centrifuge, a source, a machine), change what follows from it"
                           " (loss, filters, hours), and look at both here.")),
        ]
    )  # fmt: skip


def rest(found: Results) -> list[Component | None]:
    """Give machines and cautions."""
    return [
        machines(found),
        cautions(found.document["cautions"], "Before you do any of it"),
    ]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""

    @app.callback(
        Output(ids.OTHER_BODY, "children"), Input(ids.OTHER, "value"), Input(ids.SETTLED, "data")
    )
    def _beside(name: Any, settled: Any) -> Any:
        state = settled_of(settled)
        if not name or state is None or not isinstance(state[0], Results):
            return None
        other = results(draft_of(open_farm(folder, name), 1), {})
        if not isinstance(other, Results):
            return "That plan has faults; open it on the farm's page to see them."
        return flat(beside(state[0], other))

    @app.callback(
        Output(ids.LEVERS, "data"),
        Input({"type": "lever", "path": ALL}, "value"),
        State({"type": "lever", "path": ALL}, "id"),
        prevent_initial_call=True,
    )
    def _pull(values: list[Any], names: list[Json]) -> Any:
        if not ctx.triggered_id:
            return no_update
        pulled = by_path(names, values)
        return factors({path: _factor(value) for path, value in pulled.items()})

    @app.callback(
        Output({"type": "lever", "path": ALL}, "value"),
        Input(ids.BACK, "n_clicks"),
        State({"type": "lever", "path": ALL}, "id"),
        prevent_initial_call=True,
    )
    def _back(_: Any, names: list[Json]) -> list[float]:
        return [1.0] * len(names)

    @app.callback(
        Output(ids.DECIDE_TOP, "children"),
        Output(ids.LADDER, "figure"),
        Output(ids.STEPS, "figure"),
        Output(ids.BALANCE, "figure"),
        Output(ids.OIL_MONTHS, "figure"),
        Output(ids.HOURS_MONTHS, "figure"),
        Output("ladder-words", "children"),
        Output("steps-words", "children"),
        Output("balance-words", "children"),
        Output("oil-words", "children"),
        Output("hours-words", "children"),
        Output(ids.DECIDE_REST, "children"),
        Output({"type": "lever-says", "path": ALL}, "children"),
        Input(ids.DRAFT, "data"),
        Input(ids.LEVERS, "data"),
        Input(ids.SCHEME, "data"),
        Input(ids.PER, "value"),
        State({"type": "lever-says", "path": ALL}, "id"),
    )
    def _show(draft: Any, levers: Any, scheme: Any, per: Any, says: list[Json]) -> Any:
        if draft is None:
            return [no_update] * 12 + [[no_update] * len(says)]
        found = results(checked(draft), factors(levers))
        if not isinstance(found, Results):
            return blank(len(says))
        return whole(found, scheme, per)

    @app.callback(Output(ids.VERDICT, "children"), Input(ids.SETTLED, "data"))
    def _advise(settled: Any) -> Any:
        state = settled_of(settled)
        if state is None or not isinstance(state[0], Results):
            return no_update if state is None else None
        return flat(verdict(advice_of(*state), with_chances=not state[1]))

    @app.callback(
        Output(ids.SURE, "children"), Input(ids.SETTLED, "data"), Input(ids.SCHEME, "data")
    )
    def _sure(settled: Any, scheme: Any) -> Any:
        state = settled_of(settled)
        if state is None or not isinstance(state[0], Results):
            return no_update if state is None else None
        sure = sure_of(*state)
        return None if sure is None else flat(deeper(state[0], sure, theme_of(scheme)))


def _factor(value: Any) -> Any:
    """Read a slider: numbers come as text or as numbers."""
    try:
        return float(value) if isinstance(value, str) else value
    except ValueError:
        return value


def blank(levers: int) -> list[Any]:
    """Give the page with nothing on it that is no longer true."""
    empty: Json = {"data": [], "layout": {}}
    note = html.P("Some value cannot be used; the faults stand above. Mend them to see the answer.")
    return [note, *[empty] * 5, *[None] * 6, [""] * levers]


def whole(found: Results, scheme: object, per: object) -> list[Any]:
    """Give all that the page shows, in the order of its outputs."""
    doc, show, theme = found.document, found.show, theme_of(scheme)
    rungs = doc["rungs"]["per_blend" if per == "per_blend" else "per_replaced"]
    hours = doc["fuel"]["hours"]
    return [
        flat(top(found)),
        ladder(rungs, found.pump_price, show, theme),
        steps(doc["savings"], show, theme),
        balance(found.balance, show, theme),
        oil_by_month(doc["months"], show, theme),
        hours_by_month(doc["months"], theme),
        flat(ladder_words(found)),
        flat(steps_words(found)),
        flat(balance_words(found)),
        flat(oil_words(found)),
        html.P(f"{show.hours(hours)} hands-on in a typical year, hauling, batches and upkeep."),
        flat(rest(found)),
        [f"{row.shown} (x {row.factor:.2f})" for row in found.levers],
    ]
