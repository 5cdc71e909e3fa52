"""Farms: the folder as a table, each with its advice, what it leaves and its chance."""

from collections.abc import Sequence
from typing import Any

from dash import MATCH, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import draft_of
from dashboards.web.parts import card, not_offered
from dashboards.web.results import results
from dashboards.web.sure import advice_of, ahead_of
from econ.answers.first_screen import ledger_of
from econ.answers.turned import Results

HEADS = ("farm", "advice", "left a year after tax", "ahead, of a hundred")


def _row(name: str) -> Component:
    """Make the row of one farm; what it says is worked out once the table stands."""
    ident = {"type": "farm-row", "name": name}
    link = html.A(
        name.removesuffix(".toml"), href="/", **{"data-opens": f"open:{name}", "data-goes": "/"}
    )
    return html.Tr(
        [
            html.Th(
                [link, dcc.Store(id={"type": "farm-asked", "name": name}, data=name)],
                scope="row",
                className="words",
            ),
            html.Td("working it out ...", className="words waiting", colSpan=3),
        ],
        id=ident,
    )


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Lay out the page for a folder."""
    listing = folder.listing()
    parts = [
        html.H1("Which farm?"),
        _table(listing.names) if listing.names else html.P("There is no farm in this folder yet."),
        not_offered(listing.left_out),
    ]
    own = card(
        "Your own farm",
        html.P("In ten minutes, from what you know by heart and your last fuel bills."),
        _start(),
        wide=True,
    )
    return html.Div([html.Section(parts, className="card wide"), own])


def _table(names: Sequence[str]) -> Component:
    """Make the table of farms; each row fills when it has been worked out."""
    heads = [
        html.Th(head, scope="col", className="words" if k < 2 else "figures")
        for k, head in enumerate(HEADS)
    ]
    caption, body = "Farms in this folder", [_row(name) for name in names]
    return html.Div(
        html.Table([html.Caption(caption), html.Thead(html.Tr(heads)), html.Tbody(body)]),
        className="scroll",
        tabIndex=0,
        role="region",
        **{"aria-label": caption},
    )


def _start() -> Component:
    """Make the two ways to a farm of one's own."""
    return html.Div(
        [
            html.Button(
                "Answer twelve questions",
                type="button",
                className="main",
                **{"data-opens": "new:questions", "data-goes": "/questions"},
            ),
            html.Button(
                "Start from a farm with usual values",
                type="button",
                **{"data-opens": "new:us", "data-goes": "/farm"},
            ),
        ],
        className="row",
    )


def cells(result: Results) -> list[Any]:
    """Write what a farm's row says."""
    advice = advice_of(result, {})
    left = result.average["ledgers"][ledger_of(advice.key)]["equivalent_annual"]
    ahead = ahead_of(result)
    key = "time_paid" if ledger_of(advice.key) == "time_paid" else "time_free"
    counting = "your time paid" if key == "time_paid" else "your time free"
    write = result.write
    return [
        html.Td(advice.label, className="words"),
        html.Td(
            [write.spoken(left), html.Span(f" {counting}", className="note")], className="figures"
        ),
        html.Td(f"{round(100 * ahead[key])}", className="figures"),
    ]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""

    @app.callback(
        Output({"type": "farm-row", "name": MATCH}, "children"),
        Input({"type": "farm-asked", "name": MATCH}, "data"),
        State({"type": "farm-row", "name": MATCH}, "children"),
    )
    def _fill(name: Any, children: Any) -> Any:
        if not isinstance(children, list) or not children:
            return no_update
        result = results(draft_of(open_farm(folder, name), 1), {})
        if not isinstance(result, Results):
            many = f"{len(result)} fault{'s' if len(result) != 1 else ''}; open it to mend them"
            return [children[0], html.Td(many, className="words", colSpan=3)]
        return [children[0], *cells(result)]
