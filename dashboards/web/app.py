"""The pages put together: one app for each folder of farms, guarded before it answers."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from dash import ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import downloads, head, ids, levers, opening
from dashboards.web.documents import Folder
from dashboards.web.draft import factors
from dashboards.web.guard import guard
from dashboards.web.log_folder import FOLDER
from dashboards.web.registry import PAGES, page_at

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
            dcc.Store(id=ids.SETTLED_FARM),
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
        Output(ids.SETTLED_FARM, "data"),
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
    head.register(app)
    opening.register(app, served)
    levers.register(app)
    for page in PAGES:
        page.register(app, served)
    downloads.register(app.server, served)
    guard(app)
    return app
