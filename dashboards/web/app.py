"""The pages put together: one app for each folder of farms, guarded before it answers."""

from pathlib import Path
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import handed, ids
from dashboards.web.documents import Folder
from dashboards.web.draft import checked, factors
from dashboards.web.guard import guard
from dashboards.web.registry import PAGES, page_at
from dashboards.web.results import Results, results, settled_of
from dashboards.web.sure import advice_of
from econ.ground.errors import Problem

Json = dict[str, Any]

_INDEX = """<!DOCTYPE html>
<html lang="en">
  <head>{%metas%}<title>{%title%}</title>{%favicon%}{%css%}</head>
  <body>{%app_entry%}<footer>{%config%}{%scripts%}{%renderer%}</footer></body>
</html>
"""


def _frame(first: str | None) -> Component:
    """Give what stays while pages change."""
    return html.Div(
        [
            dcc.Location(id=ids.URL, refresh=False),
            dcc.Store(id=ids.DRAFT),
            dcc.Store(id=ids.LEVERS),
            dcc.Store(id=ids.SETTLED),
            dcc.Store(id=ids.REVISION),
            dcc.Store(id=ids.PROBLEMS),
            dcc.Store(id=ids.SCHEME, storage_type="local"),
            dcc.Store(id="first", data=first),
            html.A("Skip to the page", href="#page", className="skip"),
            html.Header(
                [
                    html.Div("Drumworth", className="name"),
                    html.Nav(id=ids.NAV, **{"aria-label": "Pages"}),
                    html.Button("Light or dark", id=ids.SCHEME_SWITCH, n_clicks=0),
                ]
            ),
            html.Div(id=ids.LOST, role="alert", className="lost", hidden=True),
            html.Div(
                [
                    html.Span(id=ids.HEAD_VERDICT, className="verdict slow"),
                    html.Div(id=ids.HEADLINE, className="line"),
                ],
                className="headline",
                role="status",
            ),
            html.Div(id=ids.FAULTS, className="faults", role="alert"),
            html.Main(id=ids.PAGE, tabIndex=-1),
        ],
        id="frame",
    )


def _links(path: str) -> list[Component]:
    return [
        dcc.Link(page.label, href=page.path, className="here" if page.path == path else "")
        for page in PAGES
    ]


def headline(found: Results, name: str | None) -> list[Component | None]:
    """Give the line that stays on top of every page."""
    doc, show = found.document, found.show
    turned = [row for row in found.levers if row.factor != 1.0]
    moved = (
        html.Span(
            "What if: " + ", ".join(f"{row.label.lower()} {row.shown}" for row in turned),
            className="moved",
        )
        if turned
        else None
    )
    return [
        html.Strong(doc["title"]),
        html.Span(f"in {name}" if name else "not saved in a file yet", className="file"),
        html.Span(f"left in a year: {show.money(doc['savings']['after_kit'])} with your time free,"
                  f" {show.money(doc['savings']['after_labour'])} paying you"),
        html.Span("", id="unsaved"),
        moved,
    ]  # fmt: skip


def faults(problems: tuple[Problem, ...]) -> Component:
    """List every fault."""
    rows = [
        html.Li(": ".join(part for part in (
            p.where + ("" if p.value is None else f" = {p.value}"), p.message) if part))
        for p in problems
    ]  # fmt: skip
    count = "1 fault" if len(rows) == 1 else f"{len(rows)} faults"
    return html.Div([html.Strong(f"{count}: no figure is shown until mended."), html.Ul(rows[:50])])


def _register(app: Dash, folder: Folder) -> None:
    app.clientside_callback(
        ClientsideFunction("drumworth", "scheme"),
        Output(ids.SCHEME, "data"),
        Input(ids.SCHEME_SWITCH, "n_clicks"),
        State(ids.SCHEME, "data"),
    )
    app.clientside_callback(
        ClientsideFunction("drumworth", "settle"),
        Output(ids.SETTLED, "data"),
        Input(ids.DRAFT, "data"),
        Input(ids.LEVERS, "data"),
    )
    app.clientside_callback(
        ClientsideFunction("drumworth", "remember"),
        Output(ids.REVISION, "data"),
        Output("unsaved", "children"),
        Input(ids.DRAFT, "data"),
        Input(ids.HEADLINE, "children"),
        State(ids.REVISION, "data"),
    )

    @app.callback(Output(ids.NAV, "children"), Output(ids.PAGE, "children"),
                  Input(ids.URL, "pathname"), State(ids.LEVERS, "data"))  # fmt: skip
    def _turn_to(path: Any, levers: Any) -> tuple[list[Component], Component]:
        page = page_at(path)
        return _links(page.path), page.layout(folder, factors(levers))

    @app.callback(
        Output(ids.HEADLINE, "children"),
        Output(ids.FAULTS, "children"),
        Output(ids.PROBLEMS, "data"),
        Input(ids.DRAFT, "data"),
        Input(ids.LEVERS, "data"),
    )
    def _sum_up(draft: Any, levers: Any) -> Any:
        if draft is None:
            return no_update, no_update, no_update
        known = checked(draft)
        found = results(known, factors(levers))
        if isinstance(found, Results):
            return headline(found, known["name"]), None, []
        rows = [{"where": p.where, "message": p.message} for p in found]
        return (
            [html.Strong(known["name"] or "Your farm"), html.Span("", id="unsaved")],
            faults(found),
            rows,
        )

    @app.callback(Output(ids.HEAD_VERDICT, "children"), Input(ids.SETTLED, "data"))
    def _advise(settled: Any) -> Any:
        state = settled_of(settled)
        if state is None or not isinstance(state[0], Results):
            return ""
        return advice_of(*state).label


def create_app(folder: Path, first: str | None = None) -> Dash:
    """Give the app for a folder of farms, its callbacks registered and its guards up.

    Parameters
    ----------
    folder : Path
        Where farm files may lie.
    first : str, optional
        The file to open at once; without it a starter farm, or the folder's first.

    Returns
    -------
    Dash
        Served by any WSGI server; it answers to the hosts in its server's configuration.
    """
    app = Dash(
        "drumworth",
        title="Drumworth",
        assets_folder=str(Path(__file__).parent / "assets"),
        serve_locally=True,
        suppress_callback_exceptions=True,
        update_title="",
        enable_mcp=False,
        include_assets_files=True,
    )
    served = Folder(folder)
    app.index_string = _INDEX
    app.layout = _frame(first)
    _register(app, served)
    for page in PAGES:
        page.register(app, served)
    handed.register(app.server, served)
    guard(app)
    return app
