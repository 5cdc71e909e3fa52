"""Running it: write down what was done, see it beside the plan, mix for the oil at hand."""

from typing import Any

from dash import ALL, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.figures.records import guess_curves, plan_and_records, reserve_days
from dashboards.theme import Theme, theme_of
from dashboards.web import ids
from dashboards.web.documents import Folder
from dashboards.web.downloads import cards_link
from dashboards.web.draft import by_path, checked
from dashboards.web.log_folder import add_here, farm_of, log_here, log_name, records_here, today
from dashboards.web.parts import card, choices, drawn, explain, table
from dashboards.web.results import results
from econ.answers.document import answer
from econ.answers.hand_document import hand_document
from econ.answers.log_form import EVENT_KEYS, log_form
from econ.answers.records_document import RecordsDocument, curves, records_document
from econ.answers.turned import Results
from econ.ground.errors import RefusedError, ScenarioError
from econ.ground.units import to_canonical
from econ.ground.written import Numbers, signed

Json = dict[str, Any]
BODY, WHAT, FIELDS, ADD, SAID, ADDED = (
    "records-body",
    "log-what",
    "log-fields",
    "log-add",
    "log-said",
    "log-added",
)
CARDS = "cards-link"
CUP, WARMTH, HAND = "hand-viscosity", "hand-temperature", "hand-body"
_PLOTS = (("collected", "Used oil taken in"), ("fuel_replaced", "Pump fuel replaced"))


def _field(column: str, label: str, value: Any = None, **more: Any) -> Component:
    ident = {"type": "log", "path": column}
    return html.Label(
        [html.Span(label), dcc.Input(id=ident, value=value, **more)], className="field"
    )


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Return the page."""
    waiting = html.P("Working it out ...", className="waiting")
    return html.Div(
        [
            html.H1("Running it"),
            html.Div(id=CARDS),
            _entry(),
            _cup(),
            html.Div(waiting, id=BODY),
        ],
        className="log",
    )


def _entry() -> Component:
    """Make what writes a row into the log."""
    return card(
        "Write it down",
        choices(WHAT, "What was done", [(key, key) for key in EVENT_KEYS], "fetched"),
        html.Div(id=FIELDS, className="row"),
        html.Button("Write it down", id=ADD, n_clicks=0, className="main"),
        html.Div(id=SAID, role="status"),
        dcc.Store(id=ADDED, data=0),
    )


def _cup() -> Component:
    """Make what asks for a measured thickness."""
    number: Json = {"type": "number", "step": "any", "debounce": True}
    cup = [html.Span("The cup shows, cSt"), dcc.Input(id=CUP, min=0, **number)]
    warmth = [html.Span("How warm the oil is"), dcc.Input(id=WARMTH, **number)]
    both = [html.Label(parts, className="field") for parts in (cup, warmth)]
    return card("Mix for the oil at hand", html.Div(both, className="row"), html.Div(id=HAND))


def _draft(settled: object) -> Json | None:
    return checked(settled.get("draft")) if isinstance(settled, dict) else None


def _faults(error: ScenarioError) -> Component:
    rows = [
        html.Li(f"{p.where}{'' if p.value is None else f' = {p.value}'}: {p.message}".lstrip(": "))
        for p in error.problems
    ]
    return html.Ul(rows, role="alert")


def _balances(doc: RecordsDocument) -> Component | None:
    """Name what of the log does not count, or may count twice."""
    rows = [*doc["faults"]]
    if doc["torn"] is not None:
        rows.append(f"the last line has no end and does not count: {doc['torn']}")
    rows += [
        f"rows {pair['earlier']} and {pair['later']} say the same ({pair['text']}): both count"
        for pair in doc["twice"]
    ]
    return html.Ul([html.Li(row) for row in rows], role="alert") if rows else None


def _decision(doc: RecordsDocument, write: Numbers) -> Component:
    both = [("With your records in", doc["advice"])]
    if doc["advice_as_guessed"] is not None:
        both.append(("As you guessed; your records do not fit it", doc["advice_as_guessed"]))
    rows = [
        (
            name,
            row["key"],
            write.money(row["equivalent_annual"]["time_paid"]),
            write.money(row["equivalent_annual"]["time_free"]),
        )
        for name, row in both
    ]
    heads = ("", "advice", "worth a year, time paid", "time free")
    rules = [html.P(f"{rule['light'].capitalize()}. {rule['text']}") for rule in doc["stop_rules"]]
    return card("The decision with your records in", table(heads, rows, left=(0, 1)), *rules)


def _stores(doc: RecordsDocument, write: Numbers) -> Component:
    rows = [
        (
            row["store"],
            row["since"],
            row["until"],
            write.volume(row["expected"]),
            "" if row["dipped"] is None else write.volume(row["dipped"]),
            row["text"],
        )
        for row in doc["balances"]
    ]
    gaps = [html.P(html.Strong(row["text"])) for row in doc["balances"] if row["beyond_error"]]
    heads = ("store", "from", "to", "by the rows", "by the stick", "")
    now = [row for row in rows if not row[4]]
    return card(
        "What should be in store",
        *gaps,
        table(heads, now, left=(0, 1, 2, 5)),
        explain(table(heads, rows, left=(0, 1, 2, 5)), title="Every dip"),
    )


def _happened(doc: RecordsDocument, write: Numbers, theme: Theme) -> Component:
    rows = [
        (
            row["what"],
            write.of(row["dimension"], row["plan"]),
            "not recorded" if row["so_far"] is None else write.of(row["dimension"], row["so_far"]),
        )
        for row in doc["happened"]
    ]
    plots = [
        part
        for key, label in _PLOTS
        for part in (
            html.H3(label),
            drawn(
                plan_and_records(doc["months"], key, write.volume_unit, theme),
                f"log-{key}",
                f"{label} by month: the plan as a line, records as dots.",
            ),
        )
    ]
    notes = [html.P(note, className="basis") for note in doc["notes"]]
    return card("Plan and what happened", table(("", "plan", "so far"), rows), *plots, *notes)


def _learned(doc: RecordsDocument, drawings: list[Json], theme: Theme) -> Component:
    rows = [
        (
            row["where"],
            row["guess_text"],
            row["records_text"],
            row["now_text"],
            "fits" if row["fits"] else "does not fit what you guessed",
        )
        for row in doc["learned"]
    ]
    heads = ("", "guessed", "on record", "known now, 9 in 10", "")
    curves = [
        part
        for k, row in enumerate(drawings)
        for part in (
            html.H3(row["where"]),
            drawn(
                guess_curves(row, row["record"], theme),
                f"curve-{k}",
                f"{row['where']}: guessed, on record and known now.",
            ),
        )
    ]
    silent = [html.Li(text) for text in doc["cannot_tell"]]
    return card(
        "What the records say of each guess",
        table(heads, rows, left=(0, 1, 2, 3, 4)),
        html.Ul(silent) if silent else None,
        explain(*curves, title="Drawn") if curves else None,
    )


def body(folder: Folder, draft: Json, theme: Theme) -> Component:
    """Return what the log of a farm shows."""
    try:
        records = records_here(folder, draft)
        if records is None:
            text = f"There is no log yet: the first row makes {log_name(draft)} in this folder."
            return card("No records yet", html.P(text))
        doc = records_document(records)
    except (ScenarioError, RefusedError) as error:
        faults = _faults(error) if isinstance(error, ScenarioError) else html.P(str(error))
        return card("The log cannot be read", faults)
    write = Numbers(doc["units"], doc["currency"])
    counted = f"{doc['log']}: {doc['rows']} rows, {doc['from']} to {doc['to']}"
    return html.Div(
        [
            html.P(counted, className="basis"),
            _balances(doc),
            _decision(doc, write),
            _stores(doc, write),
            _happened(doc, write, theme),
            _learned(doc, curves(records), theme),
        ]
    )


def reserve(draft: Json, theme: Theme) -> Component | None:
    """Return the days without delivery; None where no machine must run."""
    result = results(draft, {})
    doc = result.average["reserve"] if isinstance(result, Results) else None
    if doc is None:
        return None
    spoken = "Days without delivery by month: " + ", ".join(f"{d:.0f}" for d in doc["days"])
    return card(
        "When nothing is delivered",
        *(html.P(text) for text in doc["sentences"]),
        drawn(reserve_days(doc["days"], doc["days_without"], theme), "reserve-figure", spoken),
    )


def fields(folder: Folder, draft: Json, what: object) -> list[Component]:
    """Return the fields that an event takes, the last one's name filled in."""
    if not isinstance(what, str) or what not in EVENT_KEYS:
        message = "there is no such event"
        raise RefusedError(message)
    event = log_form(farm_of(draft)).events[what]
    log = log_here(folder, draft)
    rows = log.rows if log is not None else ()
    last = next((row for row in reversed(rows) if row.what == what), None)
    parts = [
        _field("date", "Day", today().isoformat(), type="text", debounce=True),
        html.Datalist([html.Option(value=name) for name in event.names], id="log-names"),
        _field(
            "which",
            event.which,
            last.which if last else None,
            type="text",
            list="log-names",
            debounce=True,
        ),
    ]
    parts += [
        _field(one.column, one.label, type="number", step="any", debounce=True)
        for one in event.fields
    ]
    return [*parts, _field("note", event.note, type="text", debounce=True)]


def hand(draft: Json, viscosity: object, temperature: object) -> Component | None:
    """Return the mix for one measured oil."""
    plain = [
        v
        for v in (viscosity, temperature)
        if isinstance(v, int | float) and not isinstance(v, bool)
    ]
    if len(plain) < 2:
        return html.P("What the cup showed, and how warm the oil was.", className="basis")
    try:
        scenario = farm_of(draft)
        units = scenario.scenario.units
        celsius = float(to_canonical(float(plain[1]), "temperature", units))
        doc = hand_document(answer(scenario), float(plain[0]), celsius)
    except ScenarioError as error:
        return _faults(error)
    rows = [
        (row["machine"], row["thinner"] or "none", season["season"], season["text"])
        for row in doc["machines"]
        for season in row["seasons"]
    ]
    degrees = "°F" if units == "us" else "°C"
    warmth = signed(f"{doc['temperature']:g}")
    text = f"{doc['viscosity_40']:.0f} cSt at 40 °C, taken as clean oil like {doc['oil']}"
    return html.Div(
        [
            html.P(f"{doc['viscosity']:g} cSt at {warmth} {degrees}: {text}."),
            table(("machine", "thinner", "season", "mix"), rows, left=(0, 1, 2, 3)),
            *(html.P(note, className="basis") for note in doc["notes"]),
        ]
    )


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""

    @app.callback(
        Output(BODY, "children"),
        Output(CARDS, "children"),
        Input(ids.SETTLED, "data"),
        Input(ids.SCHEME, "data"),
        Input(ADDED, "data"),
    )
    def _body(settled: Any, scheme: Any, added: Any) -> Any:
        draft, theme = _draft(settled), theme_of(scheme)
        if draft is None:
            return no_update, no_update
        parts = [body(folder, draft, theme), reserve(draft, theme)]
        return [part for part in parts if part is not None], cards_link(draft["name"])

    @app.callback(Output(FIELDS, "children"), Input(WHAT, "value"), Input(ids.SETTLED, "data"))
    def _fields(what: Any, settled: Any) -> Any:
        draft = _draft(settled)
        if draft is None:
            return no_update
        try:
            return fields(folder, draft, what)
        except ScenarioError as error:
            return [_faults(error)]

    @app.callback(
        Output(HAND, "children"),
        Input(CUP, "value"),
        Input(WARMTH, "value"),
        Input(ids.SETTLED, "data"),
    )
    def _hand(viscosity: Any, temperature: Any, settled: Any) -> Any:
        draft = _draft(settled)
        return no_update if draft is None else hand(draft, viscosity, temperature)

    _register_entry(app, folder)


def _register_entry(app: Dash, folder: Folder) -> None:
    """Register what writes a row into the log."""

    @app.callback(
        Output(SAID, "children"),
        Output(ADDED, "data"),
        Input(ADD, "n_clicks"),
        State(WHAT, "value"),
        State({"type": "log", "path": ALL}, "id"),
        State({"type": "log", "path": ALL}, "value"),
        State(ids.SETTLED, "data"),
        State(ADDED, "data"),
    )
    def _add(clicks: Any, what: Any, names: Any, values: Any, settled: Any, added: Any) -> Any:
        draft = _draft(settled)
        if draft is None or not clicks:
            return no_update, no_update
        given = {key: value for key, value in by_path(names, values).items() if value is not None}
        try:
            done = add_here(folder, draft, {**given, "what": what})
        except ScenarioError as error:
            return _faults(error), no_update
        aside = (
            ""
            if done.set_aside is None
            else (f" An unfinished line was put aside in {done.set_aside.name}.")
        )
        text = f"Row {done.row.id} is written: {done.row.what} {done.row.which}.{aside}"
        return html.P(text), done.row.id
