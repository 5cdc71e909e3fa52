"""Present: the sheet that is printed, and beside it what the other one asks."""

from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, html, no_update
from dash.development.base_component import Component
from flask import Response

from dashboards.figures.months import hours_by_month
from dashboards.page.render import sheet, style
from dashboards.theme import Theme, theme_of
from dashboards.web import ids
from dashboards.web.decided import decided
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

Json = dict[str, Any]
# Answers that the height of the sheet has room for beside it.
_BESIDE = 4


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Return the page."""
    return html.Div(
        [
            html.Div(
                [
                    html.Button("Print this sheet", id=ids.PRINT, n_clicks=0, className="main"),
                    html.Div(id=ids.DOWNLOADS, className="downloads"),
                ],
                className="off-paper row",
            ),
            html.Div(
                html.P("Working it out ...", className="waiting"),
                id=ids.PRESENT_BODY,
            ),
        ],
        className="present",
    )


def _says(text: str) -> Component:
    return html.P(text, className="plain")


def _months(months: list[MonthHours], theme: Theme) -> Component:
    written = [f"{month['hours']:.0f}" for month in months]
    return drawn(
        hours_by_month(months, theme, height=190),
        "present-hours",
        f"Bars by month: your own hours, upkeep in them: {', '.join(written)}",
    )


def _table(made: TalkTable, key: str) -> Component:
    """Lay a table out; the kit's is long and stands behind a click."""
    if key != "up_front":
        return table(made["heads"], made["rows"], caption=made["caption"])
    kit = table(made["heads"], made["rows"], caption=made["caption"], left=(0, 1))
    return html.Details([html.Summary("The kit, piece by piece"), kit])


def _ask(one: Asked, more: list[Component]) -> Component:
    parts: list[Any] = [html.H3(one["question"])]
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
            html.H3("Rules, tax, insurance, fire: who must be asked"),
            html.Ul(rows),
            html.P(talk["law_rest"], className="basis"),
        ],
        className="ask",
    )


def head(talk: Talk) -> Component:
    """Return why it is so advised, the worst honest figure, and the prices it rests on."""
    return html.Section(
        [
            html.H2("What the other one asks"),
            html.P([html.Span(talk["advice"], className="verdict"), f" {talk['reason']}"]),
            _says(talk["odds"]) if talk["odds"] else None,
            html.P(talk["prices"], className="basis"),
        ],
        className="ask",
    )


def body(result: Results, factors: dict[str, float], theme: Theme) -> list[Component]:
    """Return the sheet as it prints, and beside it the answers in the order they are asked."""
    decision, talk = decided(result).turned(result), talk_of(result, factors)
    months = [_months(decision.first_screen["months"], theme)]
    asked = [_ask(one, months if one["key"] == "hours" else []) for one in talk["asked"]]
    return [
        html.Div(className="flat", **{"data-markup": sheet(decision)}),
        html.Div([head(talk), *asked[:_BESIDE]], className="asks off-paper"),
        html.Div([*asked[_BESIDE:], law(talk)], className="asks below off-paper"),
    ]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks."""
    app.server.add_url_rule("/sheet.css", "sheet", lambda: Response(style(), mimetype="text/css"))

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
        return flat(body(result, turned, theme_of(scheme)))

    @app.callback(Output(ids.DOWNLOADS, "children"), Input(ids.DRAFT, "data"))
    def _hand_over(draft: Any) -> Any:
        return no_update if draft is None else links(checked(draft)["name"])

    app.clientside_callback(
        ClientsideFunction("drumworth", "print"),
        Output(ids.PRINT, "title"),
        Input(ids.PRINT, "n_clicks"),
    )
