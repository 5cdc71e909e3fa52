"""Present: the page to turn the laptop round with, in the order the other one asks."""

from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, html, no_update
from dash.development.base_component import Component

from dashboards.figures.months import hours_by_month
from dashboards.figures.numbers import ScreenNumbers
from dashboards.theme import Theme, theme_of
from dashboards.web import ids
from dashboards.web.documents import Folder
from dashboards.web.downloads import links
from dashboards.web.draft import checked
from dashboards.web.flat import flat
from dashboards.web.parts import drawn, table
from dashboards.web.present_view import CHEAP, Talk, talk
from dashboards.web.results import Results, settled_of
from dashboards.web.sure import Sure, advice_of, sure_of
from econ.advice.cautions import CLOSING
from econ.advice.verdict import Advice
from econ.ground.labels import FUELS, MONTHS
from econ.ground.units import Floats, from_canonical
from econ.model.ledger import LEDGERS
from econ.model.outcome import Outcome

Json = dict[str, Any]

# What the other one asks of law, tax, insurance and fire: the cautions that answer, first first.
_TOPICS = (
    (
        "Rules",
        (
            "processor",
            "own_oil_with_diesel",
            "off_specification",
            "australia",
            "ask_locally",
            "stays_used_oil",
        ),
    ),
    ("Tax", ("untaxed_fuel_on_road", "dyed_fuel_on_road", "road_tax", "road_tax_elsewhere")),
    ("Insurance", ("insurance",)),
    ("Fire", ("gasoline_vapour", "heated_near_flash", "flash_estimated")),
    ("Skin and smoke", ("skin",)),
)
_NO_TAX = (
    "no blend is burned on public roads in this plan, so no road tax is counted. Ask your tax"
    " preparer how fuel credits and the kit are treated before you rely on it."
)


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Return the page."""
    return html.Div(
        [
            html.Button("Print this page", id=ids.PRINT, n_clicks=0, className="main"),
            html.Div(id=ids.DOWNLOADS, className="downloads"),
            html.Div(
                html.P("Working it out ...", className="waiting"),
                id=ids.PRESENT_BODY,
                className="slow",
            ),
        ],
        className="present",
    )


def _ask(question: str, *parts: Any) -> Component:
    return html.Section([html.H2(question), *parts], className="ask")


def _says(text: str) -> Component:
    return html.P(text, className="plain")


def _volume(result: Results, litres: float) -> str:
    units = result.document["units"]
    return result.write.volume(float(from_canonical(litres, "volume", units)))


def _price(result: Results, per_litre: Floats) -> str:
    units = result.document["units"]
    return result.write.price(float(from_canonical(per_litre, "price_per_volume", units)))


def money_in(result: Results) -> Component:
    """Say what comes into the account in a month."""
    doc, write = result.document, result.write
    free, paid = doc["savings"]["after_wear"], doc["savings"]["after_labour"]
    return _ask(
        "What does this put in our account?",
        html.P(f"{write.round_money(free / 12)} a month", className="huge"),
        _says(
            f"after bills and repairs ({write.round_money(free)} a year), before the kit and"
            " with the time unpaid."
        ),
        _says(
            f"With the kit and the hours at {write.cents(result.wage)}/h paid as well:"
            f" {write.round_money(paid / 12)} a month ({write.round_money(paid)} a year)."
        ),
    )


def up_front(result: Results) -> Component:
    """Say what it takes to begin, and what is spent already."""
    doc, write = result.document, result.write
    free, paid = (write.years(doc["ledgers"][k.key]["simple_payback"]) for k in LEDGERS)
    spent = doc["kit_cost"] - doc["kit_to_buy"]
    rows = [
        (item.name, "already there" if item.owned else "to buy", write.money(float(item.cost)))
        for item in result.inputs.kit
    ]
    return _ask(
        "How much up front?",
        html.P(write.round_money(doc["kit_to_buy"]), className="huge"),
        _says(f"to buy; already there: {write.round_money(spent)}."),
        _says(f"Paid back, time unpaid: {free}; time paid: {paid}."),
        html.Details(
            [
                html.Summary("The kit, piece by piece"),
                table(("", "", "price"), rows, left=(0, 1), caption="Kit"),
            ]
        ),
    )


def most_lost(result: Results) -> Component:
    """Say what stopping loses."""
    doc, write = result.document, result.write
    free, paid = (doc["ledgers"][key]["lost_if_stopped"] for key in ("time_free", "time_paid"))
    rows = [
        (f"Stop after year {year}", write.round_money(a), write.round_money(b))
        for year, (a, b) in enumerate(zip(free, paid, strict=True), start=1)
    ]
    return _ask(
        "What can we lose if you get sick or bored?",
        table(("", "time unpaid", "time paid"), rows, caption="Lost by stopping"),
        _says(
            "Kit sold for what it fetches, tanks emptied and cleaned up, savings so far counted."
        ),
    )


def hours(result: Results, theme: Theme) -> Component:
    """Return the hours, month by month."""
    doc, write = result.document, result.write
    return _ask(
        "How many hours, and when?",
        _says(
            f"{write.hours(doc['fuel']['hours'])} a year, about"
            f" {write.hours(doc['fuel']['hours'] / 12)} a month."
        ),
        drawn(
            hours_by_month(doc["months"], theme, height=190),
            "present-hours",
            "Bars by month: hours of hauling and batches: "
            + ", ".join(f"{month['hours']:.0f}" for month in doc["months"]),
        ),
        # Paper has no room to lay a chart out anew: the same hours as a strip of numbers.
        html.Div(
            table(
                [MONTHS[month["month"] - 1] for month in doc["months"]],
                [[f"{month['hours']:.0f}" for month in doc["months"]]],
                caption="Hours by month",
                left=(),
            ),
            className="on-paper",
            **{"aria-hidden": "true"},
        ),
    )


def breaks(result: Results, made: Talk) -> Component:
    """Say what breaks, what it costs and how often."""
    write = result.write
    rows = [
        _says(
            f"{row.part} on {row.machine}: {write.round_money(row.cost)},"
            f" {_often(row.years_between)}."
        )
        for row in made.repairs
    ]
    worth = result.document["costs"]["wear"]
    end = _says(
        f"In an average year {write.round_money(worth)} in all, but it comes as bills."
        " Whose machine it is should be said before it burns any."
    )
    return _ask(
        "What breaks, and what does it cost?",
        *(rows or [_says("No repair is given.")]),
        end if rows else None,
    )


def _often(years: float) -> str:
    if years < 1.5:
        return f"about {1.0 / years:.0f} a year" if years <= 0.67 else "about once a year"
    return f"about once in {years:,.0f} years"


def _left(outcome: Outcome, write: ScreenNumbers) -> str:
    free, paid = (float(outcome.typical.savings[key]) for key in ("after_wear", "after_labour"))
    return f"{write.round_money(free)} a year, {write.round_money(paid)} with kit and time paid"


def if_changed(result: Results, made: Talk) -> Component:
    """Say what happens when the source dries up, or diesel gets cheap."""
    write, now = result.write, _left(result.answer.expected, result.write)
    lost = made.oil_lost
    floors = [
        f"{FUELS[fuel]} must stay above {write.price(price)}"
        for fuel, price in result.document["ledgers"]["time_free"]["break_even_by_fuel"].items()
        if price is not None
    ]
    return _ask(
        "What if things change?",
        _says(f"As planned: {now}."),
        None
        if lost is None
        else _says(
            f"Without the oil from {lost.name}: {write.round_money(lost.after_wear)} a year,"
            f" {write.round_money(lost.lost)} less."
        ),
        _says(f"If pump fuel falls by {100 * (1 - CHEAP):.0f} %: {_left(made.cheap, write)}."),
        _says(f"To pay at all, time unpaid: {'; '.join(floors)}.")
        if floors
        else _says("At no fuel price does it pay, even with the time unpaid."),
    )


def smaller(result: Results, made: Talk) -> Component:
    """Set the smaller plan beside this one."""
    write, own = result.write, made.own_only
    if own is None:
        return _ask(
            "Why not smaller?",
            _says("This is the small plan: there is no one else's oil in it, or none of our own."),
        )
    full = result.answer.expected

    def row(label: str, key: str) -> tuple[str, ...]:
        return (label, *(write.round_money(float(o.typical.savings[key])) for o in (full, own)))

    rows = [
        (
            "Fuel replaced a year",
            *(_volume(result, float(o.typical.fuel["fuel_replaced"])) for o in (full, own)),
        ),
        ("Hours a year", *(write.hours(float(o.typical.fuel["hours"])) for o in (full, own))),
        row("Left after repairs", "after_wear"),
        row("Left after kit and time", "after_labour"),
    ]
    return _ask(
        "Why not smaller?",
        table(("", "this plan", "our own oil only"), rows, caption="Side by side"),
        _says(
            "Same kit in both; a smaller plan can do with less of it, and needs no one else's"
            " oil hauled or handled."
        ),
    )


def law(result: Results) -> Component:
    """Return the plain lines on law, tax, insurance and fire, each with its basis."""
    texts = {row["key"]: row for row in result.document["cautions"]}
    rows, said = [], 0
    for topic, keys in _TOPICS:
        row = next((texts[key] for key in keys if key in texts), None)
        if row is not None:
            said += 1
            basis = html.Span(f" Basis: {row['basis']}.", className="basis")
            rows.append(html.Li([html.Strong(f"{topic}: "), row["text"], basis]))
        elif topic == "Tax":
            rows.append(html.Li([html.Strong("Tax: "), _NO_TAX]))
    return html.Section(
        [
            html.H2("Rules, tax, insurance, fire: who must be asked"),
            html.Ul(rows),
            html.P(
                f"{len(texts) - said} more cautions stand on the Decide page; read them before"
                f" buying. {CLOSING}",
                className="basis",
            ),
        ],
        className="ask whole",
    )


def stop(result: Results, made: Talk) -> Component:
    """Return the stop rules, with figures."""
    doc, write, rule = result.document, result.write, made.stop_rule
    rows = []
    if rule is not None:
        rows.append(
            f"After {rule.months} months less than {_volume(result, rule.oil)} of used oil has come"
            f" in: sell the kit; about {write.round_money(rule.lost)} is lost by then, time unpaid."
        )
    for fuel, price in doc["ledgers"]["time_free"]["break_even_by_fuel"].items():
        if price is not None:
            rows.append(f"{FUELS[fuel].capitalize()} below {write.price(price)} for three months.")
    rows += [
        f"More than {write.hours(1.5 * doc['fuel']['hours'] / 12)} a month for three months.",
        "Fuel filters last half as long, hard starting, or rising oil in the sump: that machine"
        " goes back to pump fuel.",
        "The insurer or an office says no. Money already spent is no reason to go on.",
    ]
    return _ask("What would make us stop?", html.Ul([html.Li(row) for row in rows]))


def known(result: Results, made: Talk) -> Component:
    """Say how much rests on guesses, and what else the money could do."""
    write, finance = result.write, result.inputs.finance
    kinds = ", ".join(
        f"{write.percent(share)} {kind}"
        for kind, share in made.provenance.by_kind.items()
        if share >= 0.005
    )
    worth = result.document["ledgers"]["time_paid"]["npv"]
    return _ask(
        "How do we know, and compared with what?",
        _says(
            f"{write.percent(made.provenance.guessed)} of what moves the saving rests on guesses"
            f" or numbers whose source is not said ({kinds})."
        ),
        _says(
            f"Against leaving the kit money at {100 * float(finance.discount_rate):.1f} % a year"
            f" and working the hours at {write.cents(result.wage)}/h, the whole plan is worth"
            f" {write.round_money(worth)} in today's money."
        ),
    )


def head(result: Results, advice: Advice, sure: Sure | None) -> Component:
    """Return the advice, the worst honest figure beside it, and the day of the prices."""
    doc = result.document
    dated = result.scenario.scenario.priced_on
    prices = ", ".join(
        f"{FUELS[fuel]} {_price(result, price)}" for fuel, price in result.inputs.prices.items()
    )
    return html.Section(
        [
            html.P(doc["title"], className="basis"),
            html.H1([html.Span(advice.label, className="verdict"), f" {advice.reasons[0]}"]),
            None if sure is None else _says(odds(sure)),
            html.P(
                f"Prices{f' of {dated.isoformat()}' if dated else ', not dated'}: {prices}."
                + (
                    " Some what-if sliders are moved."
                    if any(row.factor != 1.0 for row in result.levers)
                    else ""
                ),
                className="basis",
            ),
        ],
        className="ask whole",
    )


def odds(sure: Sure) -> str:
    """Say how sure it is, the worst honest figure with it."""
    words = sure.chances["words"]
    return f"{words['ahead']} {words['bad_year'][0]}"


def body(
    result: Results, made: Talk, advice: Advice, sure: Sure | None, theme: Theme
) -> list[Component]:
    """Return the whole page, in the order the other one asks."""
    return [
        head(result, advice, sure),
        html.Div(
            [
                money_in(result),
                up_front(result),
                most_lost(result),
                hours(result, theme),
                breaks(result, made),
                if_changed(result, made),
                smaller(result, made),
                known(result, made),
                stop(result, made),
            ],
            className="asks",
        ),
        law(result),
    ]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks."""

    @app.callback(
        Output(ids.PRESENT_BODY, "children"),
        Input(ids.SETTLED, "data"),
        Input(ids.SCHEME, "data"),
    )
    def _show(settled: Any, scheme: Any) -> Any:
        state = settled_of(settled)
        if state is None:
            return no_update
        result, turned = state
        if not isinstance(result, Results):
            return html.P("Mend the faults above to see this page.")
        sure = sure_of(result, turned)
        made = body(result, talk(result), advice_of(result, turned), sure, theme_of(scheme))
        return flat(made)

    @app.callback(Output(ids.DOWNLOADS, "children"), Input(ids.DRAFT, "data"))
    def _hand_over(draft: Any) -> Any:
        return no_update if draft is None else links(checked(draft)["name"])

    app.clientside_callback(
        ClientsideFunction("drumworth", "print"),
        Output(ids.PRINT, "title"),
        Input(ids.PRINT, "n_clicks"),
    )
