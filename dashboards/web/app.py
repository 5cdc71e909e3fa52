"""The pages put together: one app for each folder of farms, guarded before it answers."""

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import downloads, ids, levers, opening
from dashboards.web.decided import advised_now
from dashboards.web.documents import Folder
from dashboards.web.draft import checked, factors
from dashboards.web.guard import guard
from dashboards.web.last_few import LastFew
from dashboards.web.log_folder import FOLDER, today
from dashboards.web.registry import PAGES, page_at
from dashboards.web.results import results, settled_of
from dashboards.web.sure import advice_of
from econ.answers.first_screen import prices_of, short_name
from econ.answers.form_words import box_notes, fault_lines
from econ.answers.turned import Results

Json = dict[str, Any]

_INDEX = """<!DOCTYPE html>
<html lang="en">
  <head>{%metas%}<title>{%title%}</title>{%favicon%}{%css%}
    <link rel="stylesheet" href="/sheet.css"></head>
  <body>{%app_entry%}<footer>{%config%}{%scripts%}{%renderer%}</footer></body>
</html>
"""


def _frame(first: str | None) -> Component:
    """Return what stays while pages change."""
    return html.Div(
        [
            dcc.Location(id=ids.URL, refresh=False),
            dcc.Store(id=ids.DRAFT),
            dcc.Store(id=ids.LEVERS),
            dcc.Store(id=ids.SETTLED),
            dcc.Store(id=ids.REVISION),
            dcc.Store(id=ids.PROBLEMS),
            dcc.Store(id=ids.SCHEME, storage_type="local"),
            dcc.Store(id=ids.ADDRESS),
            dcc.Store(id="open-yet"),
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
            opening.strip(),
            opening.panel(),
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


def headline(result: Results, name: str | None) -> list[Component | None]:
    """Write the line that stays on top of every page: which farm, of when, and what if."""
    header = result.scenario.scenario
    moved = html.Span(result.what_if, className="moved") if result.what_if else None
    flag = (
        html.Span(
            ["EXAMPLE", html.Span(", not your farm", className="flag-more")], className="flag"
        )
        if header.example
        else None
    )
    return [
        html.Strong(short_name(header.title), title=header.title),
        flag,
        html.Span(f"in {name}" if name else "in no file yet", className="file"),
        html.Span(prices_of(header.priced_on, today()), className="file"),
        moved,
    ]


def faults(lines: list[str]) -> Component:
    """List every fault."""
    count = "1 fault" if len(lines) == 1 else f"{len(lines)} faults"
    rows = [html.Li(line) for line in lines[:50]]
    return html.Div([html.Strong(f"{count}: no figure is shown until mended."), html.Ul(rows)])


# The boxes of a form stay as they are while only levers move.
_BOXES: LastFew[Json, list[Json]] = LastFew(lambda document: box_notes(document, ()), 32)


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

    @app.callback(
        Output(ids.NAV, "children"),
        Output(ids.PAGE, "children"),
        Input(ids.URL, "pathname"),
        Input("open-yet", "data"),
        State("first", "data"),
        State(ids.URL, "search"),
        State(ids.LEVERS, "data"),
    )
    def _turn_to(path: Any, open_yet: Any, first: Any, search: Any, levers: Any) -> Any:
        asked = bool(open_yet or first or opening.asked_for(search))
        page = page_at(path, folder, open_yet=asked)
        if ctx.triggered_id == "open-yet" and page == page_at(path, folder, open_yet=False):
            return no_update, no_update
        return _links(page.path), page.layout(folder, factors(levers))

    _register_head(app)


def _register_head(app: Dash) -> None:
    """Register what every page has above it: the headline, the faults, the advice."""

    @app.callback(
        Output(ids.HEADLINE, "children"),
        Output(ids.FAULTS, "children"),
        Output(ids.PROBLEMS, "data"),
        Output(ids.HEAD_VERDICT, "children"),
        Input(ids.DRAFT, "data"),
        Input(ids.LEVERS, "data"),
    )
    def _sum_up(draft: Any, levers: Any) -> Any:
        if draft is None:
            return no_update, no_update, no_update, no_update
        known = checked(draft)
        document, result = known["document"], results(known, factors(levers))
        if isinstance(result, Results):
            boxes = _BOXES.of(json.dumps(document), document)
            return headline(result, known["name"]), None, boxes, advised_now(result)
        name = known["name"] or "Your farm"
        told = faults(fault_lines(result, document))
        return [html.Strong(name)], told, box_notes(document, result), ""

    @app.callback(
        Output(ids.HEAD_VERDICT, "children", allow_duplicate=True),
        Input(ids.SETTLED, "data"),
        prevent_initial_call=True,
    )
    def _advise(settled: Any) -> Any:
        state = settled_of(settled)
        if state is None or not isinstance(state[0], Results):
            return ""
        return advice_of(*state).label


@contextmanager
def _own_settings() -> Iterator[None]:
    """Keep settings meant for other apps, such as a prefix of addresses, from these pages."""
    others = {
        name: os.environ.pop(name) for name in list(os.environ) if name.upper().startswith("DASH_")
    }
    try:
        yield
    finally:
        os.environ.update(others)


def create_app(folder: Path, first: str | None = None) -> Dash:
    """Return the app for a folder of farms, its callbacks registered and its guards up.

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
    with _own_settings():
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
    app.server.config[FOLDER] = served
    app.index_string = _INDEX
    app.layout = _frame(first)
    _register(app, served)
    opening.register(app, served)
    levers.register(app)
    for page in PAGES:
        page.register(app, served)
    downloads.register(app.server, served)
    guard(app)
    return app
