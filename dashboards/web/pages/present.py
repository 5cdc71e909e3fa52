"""Present: the page to turn the laptop round with, in the order the other one asks."""

from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, html, no_update
from dash.development.base_component import Component

from dashboards.figures.months import hours_by_month
from dashboards.theme import Theme, theme_of
from dashboards.web import ids
from dashboards.web.decided import first_screen_of
from dashboards.web.documents import Folder
from dashboards.web.downloads import links
from dashboards.web.draft import checked
from dashboards.web.flat import flat
from dashboards.web.parts import drawn, table
from dashboards.web.results import settled_of
from dashboards.web.sure import talk_of
from econ.answers.first_screen import MonthHours
from econ.answers.talk import Asked, Talk, TalkTable
from econ.answers.turned import Results
from econ.ground.labels import MONTHS

Json = dict[str, Any]


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


def _says(text: str) -> Component:
    return html.P(text, className="plain")


def _months(months: list[MonthHours], theme: Theme) -> list[Component]:
    """Draw the hours month by month; paper has no room to lay a chart out anew."""
    written = [f"{month['hours']:.0f}" for month in months]
    strip = table(
        [MONTHS[month["month"] - 1] for month in months],
        [written],
        caption="Hours by month",
        left=(),
    )
    return [
        drawn(
            hours_by_month(months, theme, height=190),
            "present-hours",
            f"Bars by month: your own hours, upkeep in them: {', '.join(written)}",
        ),
        html.Div(strip, className="on-paper", **{"aria-hidden": "true"}),
    ]


def _table(made: TalkTable, key: str) -> Component:
    """Lay a table out; the kit's is long and stands behind a click."""
    if key != "up_front":
        return table(made["heads"], made["rows"], caption=made["caption"])
    kit = table(made["heads"], made["rows"], caption=made["caption"], left=(0, 1))
    return html.Details([html.Summary("The kit, piece by piece"), kit])


def _ask(one: Asked, more: list[Component]) -> Component:
    parts: list[Any] = [html.H2(one["question"])]
    if one["big"]:
        parts.append(html.P(one["big"], className="huge"))
    parts += [_says(line) for line in one["lines"]]
    if one["table"] is not None:
        parts.append(_table(one["table"], one["key"]))
    parts += [*more, *(_says(line) for line in one["after"])]
    if one["list"]:
        parts.append(html.Ul([html.Li(line) for line in one["list"]]))
    return html.Section(parts, className="ask")


def law(talk: Talk) -> Component:
    """Return the plain lines on law, tax, insurance and fire, each with its basis."""
    rows = [
        html.Li(
            [
                html.Strong(f"{row['topic']}: "),
                row["text"],
                html.Span(f" Basis: {row['basis']}.", className="basis") if row["basis"] else None,
            ]
        )
        for row in talk["law"]
    ]
    return html.Section(
        [
            html.H2("Rules, tax, insurance, fire: who must be asked"),
            html.Ul(rows),
            html.P(talk["law_rest"], className="basis"),
        ],
        className="ask whole",
    )


def head(talk: Talk) -> Component:
    """Return the advice, the worst honest figure beside it, and the day of the prices."""
    return html.Section(
        [
            html.P(talk["title"], className="basis"),
            html.H1([html.Span(talk["advice"], className="verdict"), f" {talk['reason']}"]),
            _says(talk["odds"]) if talk["odds"] else None,
            html.P(talk["prices"], className="basis"),
        ],
        className="ask whole",
    )


def body(result: Results, talk: Talk, theme: Theme) -> list[Component]:
    """Return the whole page, in the order the other one asks."""
    factors = {row.key: row.factor for row in result.levers if row.factor != 1.0}
    months = _months(first_screen_of(result, factors)[0]["months"], theme)
    asked = [_ask(one, months if one["key"] == "hours" else []) for one in talk["asked"]]
    return [head(talk), html.Div(asked, className="asks"), law(talk)]


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
        return flat(body(result, talk_of(result, turned), theme_of(scheme)))

    @app.callback(Output(ids.DOWNLOADS, "children"), Input(ids.DRAFT, "data"))
    def _hand_over(draft: Any) -> Any:
        return no_update if draft is None else links(checked(draft)["name"])

    app.clientside_callback(
        ClientsideFunction("drumworth", "print"),
        Output(ids.PRINT, "title"),
        Input(ids.PRINT, "n_clicks"),
    )
