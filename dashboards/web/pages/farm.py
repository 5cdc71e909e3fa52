"""The farm: every field as a form, faults at their fields, saved with comments kept."""

import copy
import datetime
from typing import Any
from urllib.parse import parse_qs

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.documents import (
    LISTS,
    ChangedOnDiskError,
    Folder,
    RefusedError,
    new_farm,
    open_farm,
    save,
    save_as,
)
from dashboards.web.draft import by_path, checked, draft_of
from dashboards.web.entries import changed
from dashboards.web.forms import SECTIONS, Form, edited, form_of
from dashboards.web.parts import choices, not_offered, picks
from econ.ground.errors import ScenarioError

Json = dict[str, Any]


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Give the page for a folder's farms."""
    return html.Div(
        [
            html.Section(
                [
                    html.H1("Your farm"),
                    html.Div(
                        [
                            html.Label("Open", htmlFor="file-choice"),
                            html.Select(
                                [html.Option("choose a farm ...", value="")]
                                + [html.Option(name, value=name) for name in folder.names()],
                                id="file-choice",
                                **{"data-sets": ids.FILE},
                            ),
                            dcc.Input(id=ids.FILE, type="hidden"),
                            html.Button("New farm, US units", id=ids.NEW_US, n_clicks=0),
                            html.Button("New farm, metric", id=ids.NEW_METRIC, n_clicks=0),
                        ],
                        className="row",
                    ),
                    not_offered(folder.listing().left_out),
                    html.Div(
                        [
                            html.Button("Save", id=ids.SAVE, n_clicks=0, className="main"),
                            html.Button("Undo", id=ids.UNDO, n_clicks=0),
                            html.Label("Save as", htmlFor=ids.SAVE_NAME),
                            dcc.Input(id=ids.SAVE_NAME, type="text", value="my-farm.toml",
                                      autoComplete="off"),
                            html.Button("Save as a new file", id=ids.SAVE_AS, n_clicks=0),
                        ],
                        className="row",
                    ),
                    html.Div(id=ids.SAID, role="status", className="said"),
                    html.Div(
                        [
                            html.P("The file has changed on disk since you opened it."),
                            html.Button("Open the file as it is now", id=ids.REOPEN, n_clicks=0),
                            html.Button("Write my changes into it", id=ids.SAVE_OVER, n_clicks=0),
                        ],
                        id=ids.CONFLICT,
                        hidden=True,
                        className="conflict",
                    ),
                ],
                className="card wide",
            ),
            html.Div(
                [
                    html.Section(
                        [
                            html.H2("Parts of the farm"),
                            choices(ids.SECTION, "Parts of the farm", SECTIONS.items(), "prices",
                                    "sections"),
                        ],
                        className="card side",
                    ),
                    html.Section(
                        [
                            choices(ids.ENTRY, "Entries", (), "0", "entries"),
                            html.Div(id=ids.FORM),
                        ],
                        className="card",
                    ),
                ],
                className="two",
            ),
            dcc.Store(id=ids.FORM_PAINTED),
        ]
    )  # fmt: skip


def entry_options(document: Json, section: str) -> list[tuple[str, str]]:
    """Give the entries of a list to choose from; none for a single table."""
    rows = document.get(section) if section in LISTS else None
    if not isinstance(rows, list):
        return []
    return [
        (str(k), str(row.get("name") or f"no name {k + 1}") if isinstance(row, dict) else "?")
        for k, row in enumerate(rows)
    ]


def _known(section: object) -> bool:
    return isinstance(section, str) and section in SECTIONS


def _index(entry: object) -> int:
    """Read which entry is looked at."""
    return int(entry) if isinstance(entry, str) and entry.isdecimal() and len(entry) < 5 else 0


def told(error: ScenarioError) -> list[Component]:
    """Give why a farm was not written."""
    return [
        html.Strong("Not saved; the file is as it was."),
        html.Ul([html.Li(": ".join(part for part in (p.where, p.message) if part))
                 for p in error.problems[:20]]),
    ]  # fmt: skip


def _saved(draft: Json, name: str, stamp: str) -> Json:
    """Give the draft after it was written."""
    return {**draft, "name": name, "stamp": stamp, "opened": draft["opened"] + 1, "fresh": False}


def _write(folder: Folder, draft: Json, what: str, name: object) -> tuple[Json, str]:
    """Write the farm as a button asks."""
    if what == ids.SAVE_AS:
        wanted = name.strip() if isinstance(name, str) else name
        if isinstance(wanted, str) and not wanted.endswith(".toml"):
            wanted += ".toml"
        stamp = save_as(folder, wanted, draft["name"], draft["origin"], draft["document"])
        return _saved(draft, str(wanted), stamp), f"Saved as {wanted}."
    if draft["name"] is None:
        message = "this farm is in no file yet; give it a name and use Save as"
        raise RefusedError(message)
    stamp = save(folder, draft["name"], draft["stamp"], draft["document"],
                 over=what == ids.SAVE_OVER)  # fmt: skip
    return _saved(draft, draft["name"], stamp), f"Saved in {draft['name']}, comments kept."


def _register_files(app: Dash, folder: Folder) -> None:
    @app.callback(Output(ids.DRAFT, "data"), Input("first", "data"), State(ids.URL, "search"))
    def _first(first: Any, search: Any) -> Json:
        asked = parse_qs(search[1:]).get("farm") if isinstance(search, str) else None
        name = asked[0] if asked else first or next(iter(folder.names()), None)
        opened = _starter("us") if name is None else open_farm(folder, name)
        return {**draft_of(opened, 1), "fresh": True}

    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.SAID, "children", allow_duplicate=True),
        Output(ids.CONFLICT, "hidden", allow_duplicate=True),
        Output(ids.FILE, "value"),
        Input(ids.FILE, "value"),
        Input(ids.NEW_US, "n_clicks"),
        Input(ids.NEW_METRIC, "n_clicks"),
        Input(ids.REOPEN, "n_clicks"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _open(name: Any, us: Any, metric: Any, again: Any, draft: Any) -> Any:
        asked = ctx.triggered_id
        clicks = {ids.NEW_US: us, ids.NEW_METRIC: metric, ids.REOPEN: again, ids.FILE: name}
        if not clicks.get(asked):
            return [no_update] * 4
        known = checked(draft)
        if asked in (ids.NEW_US, ids.NEW_METRIC):
            opened = _starter("us" if asked == ids.NEW_US else "metric")
        else:
            opened = open_farm(folder, known["name"] if asked == ids.REOPEN else name)
        found = draft_of(opened, known["revision"] + 1)
        return {**found, "opened": known["opened"] + 1, "fresh": True}, _says(opened.name), True, ""

    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.SAID, "children", allow_duplicate=True),
        Output(ids.CONFLICT, "hidden", allow_duplicate=True),
        Input(ids.SAVE, "n_clicks"),
        Input(ids.SAVE_OVER, "n_clicks"),
        Input(ids.SAVE_AS, "n_clicks"),
        State(ids.SAVE_NAME, "value"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _save(_: Any, over: Any, new: Any, name: Any, draft: Any) -> Any:
        if not (_ or over or new):
            return no_update, no_update, no_update
        try:
            found, text = _write(folder, checked(draft), str(ctx.triggered_id), name)
        except ChangedOnDiskError:
            return no_update, "", False
        except ScenarioError as error:
            return no_update, told(error), True
        except RefusedError as error:
            return no_update, f"Not saved: {error}.", True
        return found, text, True


def _starter(units: str) -> Any:
    today = datetime.datetime.now(tz=datetime.UTC).date()
    return new_farm(units, "USD", today)


def _says(name: str | None) -> str:
    if name is None:
        return "A starter farm with usual values: change every number to yours, then Save as."
    return f"Opened {name}."


def _register_form(app: Dash) -> None:
    @app.callback(
        Output(f"{ids.ENTRY}-buttons", "children"),
        Output(ids.ENTRY, "value"),
        Input(ids.SECTION, "value"),
        Input(ids.REVISION, "data"),
        State(ids.DRAFT, "data"),
        State(ids.ENTRY, "value"),
    )
    def _entries(section: Any, _: Any, draft: Any, entry: Any) -> Any:
        if draft is None or not _known(section):
            return [], "0"
        options = entry_options(checked(draft)["document"], section)
        keep = ctx.triggered_id != ids.SECTION and _index(entry) < len(options)
        return picks(options), str(_index(entry)) if keep else "0"

    @app.callback(
        Output(ids.FORM, "children"),
        Input(ids.SECTION, "value"),
        Input(ids.ENTRY, "value"),
        Input(ids.REVISION, "data"),
        State(ids.DRAFT, "data"),
    )
    def _form(section: Any, entry: Any, _: Any, draft: Any) -> Any:
        if draft is None or not _known(section):
            return no_update
        known = checked(draft)
        return form_of(Form(known["document"], known["base"]), section, _index(entry))

    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Input({"type": "v", "path": ALL}, "value"),
        State({"type": "v", "path": ALL}, "id"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _edit(values: list[Any], names: list[Json], draft: Any) -> Any:
        known = checked(draft)
        document = edited(known["document"], by_path(names, values))
        return no_update if document is None else {**known, "document": document}

    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.ENTRY, "value", allow_duplicate=True),
        Input({"type": "do", "what": ALL, "path": ALL}, "n_clicks"),
        State(ids.DRAFT, "data"),
        State(ids.ENTRY, "value"),
        prevent_initial_call=True,
    )
    def _do(_: Any, draft: Any, entry: Any) -> Any:
        asked = ctx.triggered_id
        if not isinstance(asked, dict) or not ctx.triggered[0]["value"]:
            return no_update, no_update
        known = checked(draft)
        what, path = asked.get("what"), asked.get("path")
        document, at = changed(copy.deepcopy(known["document"]), what, path)
        found = {**known, "document": document, "revision": known["revision"] + 1}
        return found, entry if "wear" in str(path) else str(at)


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""
    _register_files(app, folder)
    _register_form(app)
    app.clientside_callback(
        ClientsideFunction("drumworth", "undo"),
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Input(ids.UNDO, "n_clicks"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    app.clientside_callback(
        ClientsideFunction("drumworth", "paint"),
        Output(ids.FORM_PAINTED, "data"),
        Input(ids.FORM, "children"),
        Input(ids.PROBLEMS, "data"),
    )
