"""The farm: every field as a form, faults and oddities at their boxes."""

from typing import Any

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.documents import Folder
from dashboards.web.draft import by_path, checked
from dashboards.web.forms import Form, form_of
from dashboards.web.parts import choices, not_offered, picks
from dashboards.web.results import begin
from econ.farm.editing import LISTS, changed, edited, shape_of
from econ.farm.field_words import SECTIONS

Json = dict[str, Any]


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Lay out the page for a folder's farms."""
    heading = [
        html.H1("The farm, number by number"),
        _files(folder),
        not_offered(folder.listing().left_out),
    ]
    title = "Parts of the farm"
    parts = [
        html.H2(title),
        choices(ids.SECTION, title, SECTIONS.items(), "prices", "sections"),
    ]
    entry = [choices(ids.ENTRY, "Entries", (), "0", "entries"), html.Div(id=ids.FORM)]
    beside = [
        html.Section(parts, className="card side"),
        html.Section(entry, className="card"),
    ]
    return html.Div(
        [
            html.Section(heading, className="card wide"),
            html.Div(beside, className="two"),
            dcc.Store(id=ids.FORM_PAINTED),
            dcc.Store(id=ids.FOCUS),
        ]
    )


def _files(folder: Folder) -> Component:
    """Make what opens another farm, or saves this one under another name."""
    options = [html.Option("choose a farm ...", value="")]
    options += [html.Option(name, value=name) for name in folder.names()]
    return html.Div(
        [
            html.Label("Open", htmlFor="file-choice"),
            html.Select(options, id="file-choice", **{"data-opens-choice": "open:"}),
            _opens("New farm, US units", "new:us"),
            _opens("New farm, metric", "new:metric"),
            html.Button("Save under another name", type="button", **{"data-shows": ids.SAVING}),
        ],
        className="row",
    )


def _opens(text: str, what: str) -> Component:
    return html.Button(text, type="button", **{"data-opens": what})


def entry_options(document: Json, section: str) -> list[tuple[str, str]]:
    """List the entries of a list to choose from; none for a single table."""
    rows = document.get(section) if section in LISTS else None
    if not isinstance(rows, list):
        return []
    return [(str(k), _entry_name(k, row)) for k, row in enumerate(rows)]


def _entry_name(k: int, row: object) -> str:
    if not isinstance(row, dict):
        return "?"
    return str(row.get("name") or f"no name {k + 1}")


def _known(section: object) -> bool:
    return isinstance(section, str) and section in SECTIONS


def _index(entry: object) -> int:
    """Read which entry is looked at."""
    return int(entry) if isinstance(entry, str) and entry.isdecimal() and len(entry) < 5 else 0


# Among the boxes of a form: which opening of a farm it was drawn from.
_LINE = "#line"


def _line_of(draft: Json) -> Component:
    return dcc.Input(id={"type": "v", "path": _LINE}, type="hidden", value=str(draft["line"]))


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
        form = form_of(Form(known["document"], known["base"]), section, _index(entry))
        return [_line_of(known), *form]


def _register_edits(app: Dash) -> None:
    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Input({"type": "v", "path": ALL}, "value"),
        State({"type": "v", "path": ALL}, "id"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _edit(values: list[Any], names: list[Json], draft: Any) -> Any:
        known, given = checked(draft), by_path(names, values)
        # The boxes of one farm never write into another that was opened, or come back to, since.
        if given.pop(_LINE, str(known["line"])) != str(known["line"]):
            return no_update
        document = edited(known["document"], given)
        if document is None:
            return no_update
        result = {**known, "document": document}
        if shape_of(document) != shape_of(known["document"]):
            result["revision"] = known["revision"] + 1
        begin(result)
        return result


def _register_entries(app: Dash) -> None:
    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.ENTRY, "value", allow_duplicate=True),
        Output(ids.FOCUS, "data"),
        Input({"type": "do", "what": ALL, "path": ALL}, "n_clicks"),
        State(ids.DRAFT, "data"),
        State(ids.ENTRY, "value"),
        prevent_initial_call=True,
    )
    def _do(_: Any, draft: Any, entry: Any) -> Any:
        asked = ctx.triggered_id
        if not isinstance(asked, dict) or not ctx.triggered[0]["value"]:
            return no_update, no_update, no_update
        known = checked(draft)
        what, path = asked.get("what"), str(asked.get("path"))
        document, place = changed(known["document"], what, path)
        result = {**known, "document": document, "revision": known["revision"] + 1}
        inner = "wear" in path
        target = None
        if what != "remove":
            list_path = path.rsplit(".", 1)[0] if what == "copy" else path
            target = f"{list_path}.{place}.{'part' if inner else 'name'}"
        focus = {"path": target, "turn": known["revision"]}
        return result, entry if inner else str(place), focus


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""
    _register_form(app)
    _register_edits(app)
    _register_entries(app)
    app.clientside_callback(
        ClientsideFunction("drumworth", "paint"),
        Output(ids.FORM_PAINTED, "data"),
        Input(ids.FORM, "children"),
        Input(ids.PROBLEMS, "data"),
        State(ids.FOCUS, "data"),
    )
