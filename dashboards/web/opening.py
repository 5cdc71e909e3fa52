"""Opening and saving farms: what the strip on top of every page does."""

import datetime
from typing import Any
from urllib.parse import parse_qs

from dash import ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.documents import (
    ChangedOnDiskError,
    Folder,
    Opened,
    begun_farm,
    new_farm,
    open_farm,
    save,
    save_as,
)
from dashboards.web.draft import checked, draft_of
from econ.answers.form_words import fault_lines
from econ.farm.counting import counted, unfinished
from econ.farm.editing import same
from econ.ground.errors import RefusedError, ScenarioError

Json = dict[str, Any]


def asked_for(search: object) -> str | None:
    """Read which farm an address names."""
    result = parse_qs(search[1:]).get("farm") if isinstance(search, str) else None
    return result[0] if result else None


def strip() -> Component:
    """Make what stays on top: the farm, undo and redo, save."""
    return html.Div(
        [
            html.Div(
                [
                    html.Div(id=ids.HEADLINE, className="line"),
                    html.Span("", id="unsaved"),
                    html.Span(id=ids.HEAD_VERDICT, className="verdict slow"),
                ],
                className="told",
                role="status",
            ),
            html.Div(
                [
                    html.Button("Undo", id=ids.UNDO, n_clicks=0),
                    html.Button("Redo", id=ids.REDO, n_clicks=0),
                    html.Button("Save", id=ids.SAVE, n_clicks=0),
                ],
                className="tools",
            ),
        ],
        className="strip",
    )


def panel() -> Component:
    """Make what opens below the strip: questions before opening, names and faults of saving."""
    name = dcc.Input(id=ids.SAVE_NAME, type="text", value="my-farm.toml", autoComplete="off")
    saving = [
        html.Label("Name of the file", htmlFor=ids.SAVE_NAME),
        name,
        html.Button("Save as a new file", id=ids.SAVE_AS, n_clicks=0),
    ]
    conflict = [
        html.P("The file has changed on disk since you opened it."),
        html.Button("Open the file as it is now", type="button", **{"data-opens": "again"}),
        html.Button("Write my changes into it", id=ids.SAVE_OVER, n_clicks=0),
    ]
    return html.Div(
        [
            dcc.Input(id=ids.FILE, type="hidden", value=""),
            _ask_before_opening(),
            html.Div(saving, id=ids.SAVING, hidden=True, className="row saving"),
            html.Div(id=ids.SAID, role="status", className="said"),
            html.Div(conflict, id=ids.CONFLICT, hidden=True, className="conflict"),
        ],
        className="panel",
    )


def _ask_before_opening() -> Component:
    """Make the question that stands before changes are left behind."""
    text = (
        "This farm has changes that are not saved. Open the other one all the same? Undo brings"
        " this one back."
    )
    return html.Div(
        [
            html.P(text, id="ask-text"),
            html.Button("Stay here", id="ask-stay", n_clicks=0, className="main"),
            html.Button("Open the other one", id="ask-open", n_clicks=0),
        ],
        id="ask",
        hidden=True,
        className="conflict",
        role="alertdialog",
        **{"aria-labelledby": "ask-text"},
    )


def fault_list(error: ScenarioError) -> list[Component]:
    """Say why a farm was not written."""
    return [
        html.Strong("Not saved; the file is as it was."),
        html.Ul([html.Li(line) for line in fault_lines(error.problems[:20])]),
    ]


def _today() -> datetime.date:
    return datetime.datetime.now(tz=datetime.UTC).date()


def _starter(units: str) -> Opened:
    return new_farm(units, "USD", _today())


def _opened(folder: Folder, asked: str, draft: Json | None) -> Opened:
    """Open what a page asks for: a file, the same file again, or a new farm."""
    if asked.startswith("open:"):
        return open_farm(folder, asked.removeprefix("open:"))
    if asked == "again" and draft is not None and draft["name"] is not None:
        return open_farm(folder, draft["name"])
    if asked in ("new:us", "new:metric"):
        return _starter(asked.removeprefix("new:"))
    if asked == "new:questions":
        return begun_farm(_today())
    message = "nothing of that kind can be opened"
    raise RefusedError(message)


def _says(opened: Opened) -> str:
    name = opened.name
    if "answers" in opened.origin:
        return "A farm of usual values: every answer makes it more your own."
    if name is None:
        return "A starter farm with usual values: change every number to yours, then save it."
    return f"Opened {name}."


def _saved(draft: Json, name: str, stamp: str) -> Json:
    """Make the draft after it was written."""
    return {**draft, "name": name, "stamp": stamp, "opened": draft["opened"] + 1}


def own(document: Json) -> Json:
    """Make an example with other numbers in it the reader's own farm."""
    header = document.get("scenario")
    if not isinstance(header, dict) or header.get("example") is not True:
        return document
    return {**document, "scenario": {**header, "example": False}}


def _as_it_is(folder: Folder, name: object) -> Json:
    return open_farm(folder, name).document


def _write(folder: Folder, draft: Json, what: str, name: object) -> tuple[Json, str]:
    """Write the farm as a button asks."""
    document = counted(draft["document"])
    changed = draft["name"] is None or not same(document, _as_it_is(folder, draft["name"]))
    begun = ", ".join(row.name for row in unfinished(draft["document"]))
    more = f" Left out, because not complete yet: {begun}." if begun else ""
    if what == ids.SAVE_AS:
        wanted = name.strip() if isinstance(name, str) else name
        if isinstance(wanted, str) and not wanted.endswith(".toml"):
            wanted += ".toml"
        document = own(document) if changed else document
        stamp = save_as(folder, wanted, draft["name"], draft["origin"], document)
        draft = {**draft, "document": own(draft["document"]) if changed else draft["document"]}
        return _saved(draft, str(wanted), stamp), f"Saved as {wanted}.{more}"
    stamp = save(folder, draft["name"], draft["stamp"], document, over=what == ids.SAVE_OVER)
    return _saved(draft, draft["name"], stamp), f"Saved in {draft['name']}, comments kept.{more}"


def _register_opening(app: Dash, folder: Folder) -> None:
    @app.callback(
        Output(ids.DRAFT, "data"),
        Output(ids.URL, "pathname"),
        Input("first", "data"),
        State(ids.URL, "search"),
    )
    def _first(first: Any, search: Any) -> Any:
        name = asked_for(search) or first
        if name is None:
            # An empty folder opens on the questions, any other on its farms.
            if folder.names():
                return no_update, no_update
            return draft_of(begun_farm(_today()), 1), "/questions"
        return draft_of(open_farm(folder, name), 1), no_update

    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.SAID, "children", allow_duplicate=True),
        Output(ids.CONFLICT, "hidden", allow_duplicate=True),
        Output(ids.FILE, "value"),
        Input(ids.FILE, "value"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _open(asked: Any, draft: Any) -> Any:
        if not isinstance(asked, str) or not asked:
            return [no_update] * 4
        known = None if draft is None else checked(draft)
        opened = _opened(folder, asked, known)
        result = draft_of(opened, 1 if known is None else known["revision"] + 1)
        if known is not None:
            result["opened"] = max(known["opened"], known["revision"]) + 1
        return result, _says(opened), True, ""


def _register_saving(app: Dash, folder: Folder) -> None:
    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.SAID, "children", allow_duplicate=True),
        Output(ids.CONFLICT, "hidden", allow_duplicate=True),
        Output(ids.SAVING, "hidden"),
        Input(ids.SAVE, "n_clicks"),
        Input(ids.SAVE_OVER, "n_clicks"),
        Input(ids.SAVE_AS, "n_clicks"),
        State(ids.SAVE_NAME, "value"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _save(_: Any, over: Any, new: Any, name: Any, draft: Any) -> Any:
        if not (_ or over or new) or draft is None:
            return [no_update] * 4
        known, what = checked(draft), str(ctx.triggered_id)
        if known["name"] is None and what != ids.SAVE_AS:
            return no_update, "This farm is in no file yet; give it a name.", True, False
        try:
            result, text = _write(folder, known, what, name)
        except ChangedOnDiskError:
            return no_update, "", False, True
        except ScenarioError as error:
            return no_update, fault_list(error), True, no_update
        except RefusedError as error:
            return no_update, f"Not saved: {error}.", True, no_update
        return result, text, True, True


def register(app: Dash, folder: Folder) -> None:
    """Register the callbacks of the strip for a folder."""
    _register_opening(app, folder)
    _register_saving(app, folder)
    for name in (ids.UNDO, ids.REDO):
        app.clientside_callback(
            ClientsideFunction("drumworth", name),
            Output(ids.DRAFT, "data", allow_duplicate=True),
            Output(ids.LEVERS, "data", allow_duplicate=True),
            Input(name, "n_clicks"),
            State(ids.DRAFT, "data"),
            State(ids.LEVERS, "data"),
            prevent_initial_call=True,
        )
    app.clientside_callback(
        ClientsideFunction("drumworth", "remember"),
        Output(ids.REVISION, "data"),
        Output("unsaved", "children"),
        Input(ids.DRAFT, "data"),
        Input(ids.LEVERS, "data"),
        State(ids.REVISION, "data"),
    )
    app.clientside_callback(
        ClientsideFunction("drumworth", "address"),
        Output(ids.ADDRESS, "data"),
        Output("open-yet", "data"),
        Input(ids.URL, "pathname"),
        Input(ids.DRAFT, "data"),
        State("open-yet", "data"),
    )
