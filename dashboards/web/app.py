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
from econ.answers.turned import Results
from econ.farm.counting import unfinished
from econ.farm.editing import waiting_ways
from econ.farm.field_words import plain_words, where_in_words
from econ.farm.marks import Mark, marks
from econ.ground.errors import Problem

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


def faults(problems: tuple[Problem, ...], said: list[Mark]) -> Component:
    """List every fault, in the words of the form."""
    better = {mark.where: mark.text for mark in said if mark.kind == "fault"}
    rows = [
        html.Li(
            ": ".join(
                part
                for part in (where_in_words(p.where), better.get(p.where) or plain_words(p.message))
                if part
            )
        )
        for p in problems
    ]
    count = "1 fault" if len(rows) == 1 else f"{len(rows)} faults"
    return html.Div([html.Strong(f"{count}: no figure is shown until mended."), html.Ul(rows[:50])])


def box_rows(draft: Json, problems: tuple[Problem, ...]) -> list[Json]:
    """List what is to be said at the boxes of the form."""
    said = marks(draft["document"])
    worded = {mark.where for mark in said if mark.kind == "fault"}
    rows = [
        {"path": mark.path, "point": mark.point, "kind": mark.kind, "message": mark.text}
        for mark in said
    ]
    rows += [
        {"where": p.where, "kind": "fault", "message": plain_words(p.message)}
        for p in problems
        if p.where not in worded
    ]
    rows += [
        {
            "path": row.path,
            "kind": "begun",
            "message": "Not counted yet. Still needed: " + plain_words(", ".join(row.lacks)) + ".",
        }
        for row in unfinished(draft["document"])
    ]
    rows += [
        {
            "path": path,
            "kind": "begun",
            "message": "What was given before counts until this is complete.",
        }
        for path in waiting_ways(draft["document"])
    ]
    return rows


# The boxes of a form stay as they are while only levers move.
_BOXES: LastFew[Json, list[Json]] = LastFew(lambda draft: box_rows(draft, ()), 32)


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
        result = results(known, factors(levers))
        if isinstance(result, Results):
            boxes = _BOXES.of(json.dumps(known["document"]), known)
            return headline(result, known["name"]), None, boxes, advised_now(result)
        name = known["name"] or "Your farm"
        said = marks(known["document"])
        return [html.Strong(name)], faults(result, said), box_rows(known, result), ""

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
