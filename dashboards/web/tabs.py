"""What stands behind the first screen: machines, oil, money, how sure, cautions, exact figures."""

from collections.abc import Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboards.figures.balance import balance
from dashboards.figures.ladder import ladder
from dashboards.figures.months import hours_by_month, oil_by_month
from dashboards.figures.steps import steps
from dashboards.theme import Theme
from dashboards.web import ids
from dashboards.web.decided import first_screen_of
from dashboards.web.detail import left_out, matters_most, sources, spread, tank_sizes
from dashboards.web.parts import big, card, cautions, drawn, explain, table
from dashboards.web.sure import advice_of, sure_of
from econ.answers.first_screen import MonthHours
from econ.answers.rows import COST_LINES, LEDGERS, MEASURES, RUNGS, SAVINGS
from econ.answers.turned import Results
from econ.ground.labels import BOTTLENECKS, FITS, FUEL, MONTHS
from econ.ground.written import Numbers

Json = dict[str, Any]
TABS = {
    "machines": "Machines",
    "oil": "Oil",
    "money": "Money",
    "sure": "How sure",
    "cautions": "Cautions",
    "exact": "Exact figures",
}


def top(result: Results) -> Component:
    """Return the figures that decide it, as exact as they are."""
    return html.Div([*_worth_and_left(result), *_time_and_kit(result)], className="bigs")


def _worth_and_left(result: Results) -> list[Component]:
    """Return what the plan is worth a year, and what a typical year leaves."""
    doc, write = result.average, result.write
    worth = [
        big(
            f"Worth a year, {kind.short.lower()}",
            write.money(doc["ledgers"][kind.key]["equivalent_annual"]),
            "level over the years, kit and tax in it",
            title=_measure_help("equivalent_annual"),
        )
        for kind in LEDGERS
    ]
    left = [
        big(row.label, write.money(doc["savings"][row.key]), "of a typical year", title=row.help)
        for row in SAVINGS
        if row.key in ("after_wear", "after_kit", "after_labour")
    ]
    return worth + left


def _time_and_kit(result: Results) -> list[Component]:
    """Return what one's hours earn, and what is paid up front and paid back."""
    doc, write = result.average, result.write
    pay = doc["savings"]["pay_per_hour"]
    paid = [doc["ledgers"][kind.key]["simple_payback"] for kind in LEDGERS]
    return [
        big(
            "Pay for an hour of your time",
            "no own hours" if pay is None else f"{write.cents(pay)}/h",
            f"your wage: {write.cents(result.wage)}/h",
            title="The wage at which the plan is worth nothing with your time paid.",
        ),
        big(
            "Your own hours a year",
            write.hours(doc["fuel"]["own_hours"]),
            "hauling, batches and upkeep",
            title="Hours that nobody else is paid for.",
        ),
        big("Up front", write.money(doc["kit_to_buy"]), "kit still to buy"),
        big(
            "Paid back in, time free",
            write.years(paid[0]),
            f"paying you for your time: {write.years(paid[1])}",
            title=_measure_help("simple_payback"),
        ),
    ]


def _measure_help(key: str) -> str:
    return next(row.help for row in MEASURES if row.key == key)


def ladder_words(result: Results) -> Component:
    """Return the ladder as a table, and every cost line with its formula in words."""
    doc, write = result.average, result.write
    rungs = doc["rungs"]
    rows = [
        (
            html.Span(rung.label, title=rung.help),
            write.price(rungs["per_blend"][rung.key]),
            write.price(rungs["per_replaced"][rung.key]),
        )
        for rung in RUNGS
    ] + [("Pump fuel it replaces", "", write.price(result.pump_price))]
    lines = [
        (html.Span(line.label, title=line.help), line.help, write.money(doc["costs"][line.key]))
        for line in COST_LINES
        if doc["costs"][line.key]
    ]
    volumes = f"{write.volume(doc['fuel']['fuel_replaced'])} replaced,"
    return html.Div(
        [
            table(
                ("", "blend burned", "fuel replaced"),
                rows,
                caption=f"Cost of {write.a_volume}",
                strong=(len(rows) - 1,),
            ),
            explain(
                html.P(
                    "Each step adds its costs of a typical year to those of the step before and"
                    f" divides by the year's volume: {volumes}"
                    f" {write.volume(doc['fuel']['blend'])} of blend burned."
                ),
                table(
                    ("", "how it is worked out", "a year"), lines, caption="Cost lines", left=(0, 1)
                ),
            ),
        ]
    )


def steps_words(result: Results) -> Component:
    """Return the year's money on average and at likely values."""
    doc, write = result.document, result.write
    rows = [
        (
            html.Span(row.label, title=row.help),
            write.money(doc["savings"][row.key]),
            write.money(doc["likely"]["savings"][row.key]),
        )
        for row in SAVINGS
    ]
    fuel = [
        (
            html.Span(row.label, title=row.help),
            write.of(row.dimension, doc["fuel"][row.key]),
            write.of(row.dimension, doc["likely"]["fuel"][row.key]),
        )
        for row in FUEL
    ]
    return html.Div(
        [
            table(
                ("", "on average", "at likely values"), rows, caption="Money a year, today's prices"
            ),
            explain(
                table(
                    ("", "formula"),
                    [(row.label, row.help) for row in SAVINGS],
                    left=(0, 1),
                    caption="Formulas",
                ),
                table(
                    ("", "on average", "at likely values"), fuel, caption="Volumes and hours a year"
                ),
                html.P(
                    "On average: each guess weighed as (at least + 4 x most likely + at most) / 6."
                ),
            ),
        ]
    )


def balance_words(result: Results) -> Component:
    """Return the measures of both ledgers."""
    doc, write = result.average, result.write
    both = [doc["ledgers"][kind.key] for kind in LEDGERS]
    shown = [row for row in MEASURES if row.on("pages")]
    rows = [
        (
            html.Abbr(row.label, title=f"{row.term}: {row.help}"),
            *(write.of(row.dimension, ledger[row.key]) for ledger in both),
        )
        for row in shown
    ]
    years = range(result.years + 1)
    running = [
        (f"{year}", *(write.money(result.balance[kind.key][year]) for kind in LEDGERS))
        for year in years
    ]
    heads = ("", *(kind.label for kind in LEDGERS))
    return html.Div(
        [
            table(heads, rows, caption=f"Over {result.years} years"),
            explain(
                html.P(
                    "The balance starts with the kit's price and adds each year's money in and"
                    " out; the last year adds what the kit still fetches, less the cost of"
                    " stopping. Prices of that year, not discounted."
                ),
                table(("End of year", *heads[1:]), running, caption="Running balance"),
                table(
                    ("", "formula"),
                    [(row.label, row.help) for row in shown],
                    left=(0, 1),
                    caption="Formulas",
                ),
            ),
        ]
    )


def oil_words(result: Results, hours: Sequence[MonthHours]) -> Component:
    """Say what holds the plan back, and give the months as a table."""
    doc, write = result.average, result.write
    months = {
        key: [MONTHS[m["month"] - 1] for m in doc["months"] if m["bottleneck"] == key]
        for key in BOTTLENECKS
        if key != "need"
    }
    held = [f"{BOTTLENECKS[key]} in {', '.join(names)}" for key, names in months.items() if names]
    text = "Held back by " + "; ".join(held) + "." if held else "All that is wanted is made."
    unit = write.volume_unit
    rows = [
        (
            MONTHS[month["month"] - 1],
            *(
                f"{month[key]:,.0f} {unit}"
                for key in ("wanted", "processed", "oil_used", "raw_end", "clean_end")
            ),
            write.hours(own["hours"]),
            BOTTLENECKS[month["bottleneck"]],
        )
        for month, own in zip(doc["months"], hours, strict=True)
    ]
    last = ("own hours", "held back by")
    heads = ("", "wanted", "cleaned", "burned", "raw left", "clean left", *last)
    return html.Div(
        [
            html.P(text, className="binding"),
            explain(
                html.P(
                    "Oil is fetched while there is room and hours for it, cleaned in batches up"
                    " to the limits you gave, and burned by the machines that save most first."
                    " What is left is carried over."
                ),
                table(heads, rows, caption="Month by month", left=(0, 7)),
            ),
        ]
    )


def _share(machine: Json, write: Numbers) -> str:
    mild, cold = machine["thinner_share"], machine["thinner_share_winter"]
    text = "too thick" if mild is None else write.percent(mild)
    if cold is not None and cold != mild:
        text += f", winter {write.percent(cold)}"
    return text


def _reasons(reasons: list[str]) -> str | Component:
    if not reasons:
        return "no rule speaks against trying it"
    return html.Ul([html.Li(reason) for reason in reasons])


def machines(result: Results) -> Component:
    """Return each machine with its fit and reason."""
    doc, write = result.average, result.write
    marks = {"suited": "○", "caution": "△", "excluded": "×"}
    rows = [
        (
            row["name"],
            f"{marks[row['fit']]} {FITS[row['fit']]}",
            _reasons(row["reasons"]),
            _share(row, write),
            write.volume(row["fuel_replaced"]),
            write.money(row["saving"]),
        )
        for row in doc["machines"]
    ]
    return card(
        "Which machines",
        table(
            ("", "fit", "why", "thinner in the mix", "fuel replaced", "saves a year"),
            rows,
            caption="Machines, in a typical year",
            left=(0, 1, 2, 3),
        ),
        explain(
            html.P(
                "Saves a year: the fuel it no longer buys, less its thinner, additives, road"
                " tax and expected repairs. Costs that no single machine causes (filters,"
                " hauling, kit, your time) are not in it. Fit is no promise: it says only that"
                " no rule of the model speaks against a trial."
            )
        ),
        wide=True,
    )


def _loan(result: Results, factors: dict[str, float]) -> Component | None:
    """Say what a loan costs and how much of it the plan carries."""
    if result.average["loan"] is None:
        return None
    return html.P(f"Loan: {first_screen_of(result, factors)[0]['loan']}")


def money(result: Results, factors: dict[str, float], theme: Theme) -> Component:
    """Show what a gallon costs, what a year leaves and when the money is back."""
    doc, write = result.average, result.write
    return html.Div(
        [
            card(
                "What your own fuel really costs",
                drawn(
                    ladder(doc["rungs"]["per_replaced"], result.pump_price, write, theme),
                    ids.LADDER,
                    "Bars: cost of one volume of fuel in five steps, beside the"
                    " pump price. The numbers stand in the table below.",
                ),
                ladder_words(result),
            ),
            card(
                "What is left in a year",
                drawn(
                    steps(doc["savings"], write, theme),
                    ids.STEPS,
                    "Bars: money left in a typical year after each group of costs. The numbers"
                    " stand in the table below.",
                ),
                steps_words(result),
            ),
            card(
                "When the money is back",
                drawn(
                    balance(result.balance, write, theme),
                    ids.BALANCE,
                    "Lines: running balance by year for both ways of counting your time. The"
                    " numbers stand in the table below.",
                ),
                balance_words(result),
                _loan(result, factors),
            ),
        ],
        className="grid",
    )


def oil(result: Results, factors: dict[str, float], theme: Theme) -> Component:
    """Show where the oil goes and when the hours fall."""
    doc, write = result.average, result.write
    hours = first_screen_of(result, factors)[0]["months"]
    return html.Div(
        [
            card(
                "Where the oil goes",
                drawn(
                    oil_by_month(doc["months"], write, theme),
                    ids.OIL_MONTHS,
                    "Bars by month: clean oil wanted, cleaned and burned; line: clean oil left."
                    " Numbers in the table below.",
                ),
                oil_words(result, hours),
            ),
            card(
                "Your hours, month by month",
                drawn(
                    hours_by_month(hours, theme),
                    ids.HOURS_MONTHS,
                    "Bars by month: your own hours. The numbers stand in the table of the oil.",
                ),
                html.P(
                    f"{write.hours(doc['fuel']['own_hours'])} of your own in a typical year:"
                    " hauling, batches, and upkeep, which is spread over the months."
                ),
            ),
        ],
        className="grid",
    )


def sure(result: Results, factors: dict[str, float], theme: Theme) -> Component:
    """Show how sure it is, what matters most, which source, what tank, what was left out."""
    made = sure_of(result, factors)
    if made is None:
        return html.P("With sliders moved, chances are not counted. Move them back to see.")
    return html.Div(
        [
            html.Div(
                [
                    spread(result, made, theme),
                    matters_most(result, made, theme),
                    tank_sizes(made, result.write, theme),
                    left_out(made),
                ],
                className="grid",
            ),
            sources(result, made),
        ]
    )


def exact(result: Results, factors: dict[str, float]) -> Component:
    """Show why the advice is what it is, and the figures that decide it, not rounded."""
    advice = advice_of(result, factors)
    return html.Div(
        [
            card(
                "Why this advice",
                html.P(html.Strong(advice.label)),
                html.Ul([html.Li(reason) for reason in advice.reasons]),
                wide=True,
            ),
            card("Exact figures, on average", top(result), wide=True),
        ]
    )


def tab(key: object, result: Results, factors: dict[str, float], theme: Theme) -> Component | None:
    """Show one tab; none for an unknown one."""
    made = {
        "machines": lambda: machines(result),
        "oil": lambda: oil(result, factors, theme),
        "money": lambda: money(result, factors, theme),
        "sure": lambda: sure(result, factors, theme),
        "cautions": lambda: cautions(result.average["cautions"], "Before you do any of it"),
        "exact": lambda: exact(result, factors),
    }
    return made[key]() if isinstance(key, str) and key in made else None
