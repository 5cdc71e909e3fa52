"""The form of a farm, built from the schema: fields to components, typed text to values."""

import re
from dataclasses import dataclass
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.documents import LISTS, RefusedError, same
from dashboards.web.draft import day_of, number_of
from econ.farm.faults import where
from econ.farm.fields import About
from econ.farm.merging import name_key
from econ.farm.naming import following
from econ.farm.schema import TABLES, Table, about
from econ.ground.labels import MONTHS
from econ.ground.units import unit_label

Json = dict[str, Any]
MODELS: dict[str, type[Table]] = {name: model for name, model, _ in TABLES}
POINTS = (("low", "at least"), ("likely", "most likely"), ("high", "at most"))

SECTIONS = {
    "scenario": "About this farm",
    "prices": "Prices",
    "machines": "Machines",
    "oils": "Used oil",
    "hauling": "Fetching oil",
    "process": "Cleaning",
    "setups": "Ways of cleaning",
    "blending": "Winter and warmth",
    "filters": "Filters",
    "thinners": "Thinners",
    "additives": "Additives",
    "yearly": "Yearly bills",
    "labour": "Your time",
    "kit": "Kit",
    "finance": "Money over the years",
    "uncertainty": "How guesses move",
    "limits": "Limits of a plan",
    "reserve": "Reserve",
    "records": "Records",
}
# Where the farm file itself is meant, not the farm.
_UNSHOWN = {("scenario", "extends"), ("scenario", "sources"), ("machines", "wear")}
# Other units would need every number turned; a file keeps those it was begun in.
_FIXED = {("scenario", "units")}
_PATH = re.compile(
    r"([a-z]+)(?:[.](\d{1,4}))?(?:[.]wear[.](\d{1,3}))?[.]([a-z_0-9]{1,40})(?:#([a-z0-9]{1,6}))?",
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Place:
    """Where one field stands: table, entry of a list, row of wear, field, point."""

    table: str
    entry: int | None
    wear: int | None
    field: str
    point: str

    @property
    def model(self) -> type[Table]:
        """Give the model of its table."""
        return MODELS["machines.wear" if self.wear is not None else self.table]

    @property
    def about(self) -> About:
        """Give what is known of the field."""
        return about(self.model, self.field)


def place_of(path: object) -> Place:
    """Read a field's path that came from a browser.

    Raises
    ------
    RefusedError
        If no form has such a field.
    """
    match = _PATH.fullmatch(path) if isinstance(path, str) else None
    if match is None:
        message = "no form has such a field"
        raise RefusedError(message)
    table, entry, wear, field, point = match.groups()
    listed = table in LISTS
    known = table in SECTIONS and listed == (entry is not None)
    if not known or (wear is not None and table != "machines"):
        message = "no form has such a table"
        raise RefusedError(message)
    found = Place(
        table, None if entry is None else int(entry), None if wear is None else int(wear),
        field, point or "",
    )  # fmt: skip
    if field not in found.model.model_fields or (table, field) in _UNSHOWN:
        message = "no form has such a field"
        raise RefusedError(message)
    return found


def table_of(document: Json, place: Place) -> Json | None:
    """Give the table that holds a field; None where the document has none such."""
    here: Any = document.get(place.table)
    if place.entry is not None:
        here = here[place.entry] if isinstance(here, list) and place.entry < len(here) else None
    if place.wear is not None and isinstance(here, dict):
        rows = here.get("wear")
        here = rows[place.wear] if isinstance(rows, list) and place.wear < len(rows) else None
    return here if isinstance(here, dict) else None


def text_of(value: Any) -> str:
    """Write a value as its input shows it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        short = f"{value:.12g}"
        return short if float(short) == value else repr(value)
    if isinstance(value, list):
        return "|".join(text_of(item) for item in value)
    if isinstance(value, dict):
        return "|".join(f"{name} = {text_of(item)}" for name, item in value.items())
    return str(value)


def value_of(detail: About, text: str) -> Any:
    """Read what was typed or chosen; what cannot be read stays text, which the model refuses."""
    if detail.kind in ("number", "whole", "price"):
        return number_of(text)
    if detail.kind == "flag":
        return {"yes": True, "no": False}.get(text, text)
    if detail.kind == "date":
        return day_of(text)
    if detail.kind == "choices":
        return text.split("|")
    if detail.kind in ("months", "weights"):
        return [number_of(item) for item in text.split("|")]
    if detail.kind == "names":
        return [item.strip() for item in text.split("|") if item.strip()]
    if detail.kind == "volumes":
        pairs = [item.rpartition("=") for item in text.split("|") if item.strip()]
        return {name.strip(): number_of(volume) for name, _, volume in pairs}
    return text


def _points(detail: About, now: Any, typed: dict[str, str]) -> Any:
    """Read the three points of an estimate: the likely one alone is a plain number."""
    shown = points_of(now)
    texts = {point: typed.get(point, shown[point]) for point, _ in POINTS}
    if texts == shown:
        return now
    values = {point: value_of(detail, text) for point, text in texts.items() if text.strip()}
    if not values:
        return None
    return values["likely"] if values.keys() == {"likely"} else values


def points_of(value: Any) -> dict[str, str]:
    """Give the texts of the three points of a value."""
    if isinstance(value, dict):
        return {point: text_of(value.get(point)) for point, _ in POINTS}
    return {"low": "", "likely": text_of(value), "high": ""}


def _weights(now: Any, typed: dict[str, str]) -> Any:
    """Read twelve weights; all empty means even use."""
    shown = weights_of(now)
    texts = [typed.get(f"m{k + 1}", text) for k, text in enumerate(shown)]
    if texts == shown:
        return now
    if not any(text.strip() for text in texts):
        return None
    return [number_of(text) if text.strip() else 0 for text in texts]


def weights_of(value: Any) -> list[str]:
    """Give the texts of twelve weights."""
    if isinstance(value, list) and len(value) == 12:
        return [text_of(item) for item in value]
    return [""] * 12


def _read(place: Place, now: Any, typed: dict[str, str]) -> Any:
    """Give a field's value from all its inputs; None to leave it out."""
    detail = place.about
    if "" not in typed:
        return _weights(now, typed) if detail.kind == "weights" else _points(detail, now, typed)
    text = typed[""]
    if text == text_of(now):
        return now
    if not text.strip():
        return [] if detail.kind == "choices" and now is not None else None
    return value_of(detail, text)


def edited(document: Json, values: dict[str, Any]) -> Json | None:
    """Give a farm with what stands in the form's inputs; None where nothing differs.

    Parameters
    ----------
    document : dict
        The farm as the draft has it.
    values : dict of str to object
        Text by path, as the browser sent it.

    Raises
    ------
    RefusedError
        If a path or a value is none of a form's.
    """
    grouped: dict[Place, dict[str, str]] = {}
    for path, value in values.items():
        if value is not None and not isinstance(value, str):
            message = "an input holds text"
            raise RefusedError(message)
        if value is not None and len(value) > 5_000:
            message = "longer than any value of a farm"
            raise RefusedError(message)
        place = place_of(path)
        whole = Place(place.table, place.entry, place.wear, place.field, "")
        grouped.setdefault(whole, {})[place.point] = value or ""
    found, changed = _copy(document), False
    for place, typed in grouped.items():
        table = table_of(found, place)
        if table is None and place.entry is None:
            table = found.setdefault(place.table, {}) if place.table not in found else None
        if table is None:
            continue
        now = table.get(place.field)
        value = _read(place, now, typed)
        if value is None and place.field in table:
            del table[place.field]
            changed = True
        elif value is not None and not same(now, value):
            table[place.field] = value
            changed = True
    return following(document, found) if changed else None


def _copy(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copy(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_copy(inner) for inner in value]
    return value


def _input(path: str, label: str, text: str, *, words: bool = False, small: str = "") -> Component:
    """Give one text input with its label."""
    ident = ids.field(path)
    return html.Div(
        [
            html.Label(
                [html.Span(f"{label}: ", className="unseen"), small] if small else label,
                htmlFor=f'{{"path":"{path}","type":"v"}}',
                className="small" if small else "unseen",
            ),
            dcc.Input(
                id=ident, type="text", value=text, className="words" if words else "number",
                inputMode="text" if words else "decimal", autoComplete="off", debounce=False,
            ),
        ],
        className="one",
    )  # fmt: skip


def _carried(path: str, text: str) -> Component:
    return dcc.Input(id=ids.field(path), type="hidden", value=text)


def _choice(path: str, label: str, options: list[tuple[str, str]], text: str) -> Component:
    """Give a native choice; the hidden input beside it carries the value."""
    if text not in [value for value, _ in options]:
        options = [*options, (text, text)]
    name = f"choice-{path}"
    return html.Div(
        [
            html.Label(label, htmlFor=name, className="unseen"),
            html.Select(
                [
                    html.Option(
                        shown, value=value, **({"selected": "selected"} if value == text else {})
                    )
                    for value, shown in options
                ],
                id=name,
                **{"data-carries": path},
            ),
            _carried(path, text),
        ],
        className="one",
    )


def _toggles(path: str, label: str, options: list[tuple[str, str]], text: str) -> Component:
    """Give on-off buttons; the hidden input beside them carries the list."""
    on = set(text.split("|"))
    return html.Div(
        [
            html.Button(
                shown, type="button",
                **{"data-toggles": value, "aria-pressed": "true" if value in on else "false"},
            )
            for value, shown in options
        ] + [_carried(path, text)],
        className="toggles", role="group", **{"data-carries": path, "aria-label": label},
    )  # fmt: skip


def _inputs(path: str, detail: About, value: Any, names: list[str]) -> Component:
    """Give the inputs of one field by its kind."""
    label = detail.label
    if detail.kind in ("number", "price") and detail.estimate and not isinstance(value, str):
        shown = points_of(value)
        return html.Div(
            [_input(f"{path}#{point}", label, shown[point], small=says) for point, says in POINTS],
            className="three",
        )
    if detail.kind == "weights":
        texts = weights_of(value)
        return html.Div(
            [_input(f"{path}#m{k + 1}", label, text, small=MONTHS[k])
             for k, text in enumerate(texts)],
            className="twelve",
        )  # fmt: skip
    if detail.kind == "months":
        months = [(str(k + 1), name) for k, name in enumerate(MONTHS)]
        return _toggles(path, label, months, text_of(value))
    if detail.kind == "choices":
        return _toggles(path, label, [(word, word) for word in detail.choices], text_of(value))
    if detail.kind == "flag":
        options = [("", "not given"), ("yes", "yes"), ("no", "no")]
        return _choice(path, label, options, text_of(value))
    if detail.kind == "choice":
        return _choice(path, label, [("", "not given")] + [(w, w) for w in detail.choices],
                       text_of(value))  # fmt: skip
    if names:
        return _choice(path, label, [("", "none")] + [(n, n) for n in names], text_of(value))
    words = detail.kind in ("text", "date", "price", "names", "volumes")
    return _input(path, label, text_of(value), words=words)


def hints(detail: About, units: str, currency: str) -> str:
    """Say what people commonly see there."""
    found = detail.usual_in(units)
    if not found:
        return ""
    # The ranges are of the United States; on another farm they only show the order of size.
    unit = unit_label(detail.dimension, units, "USD")
    if currency != "USD" and "$" in unit:
        unit = f"US{unit}"
    ranges = [
        f"{row.low:.3g} to {row.high:.3g} {unit}{f' ({row.of})' if row.of else ''}"
        for row in found[:3]
    ]
    return "Commonly " + "; ".join(ranges) + "."


@dataclass(frozen=True, slots=True)
class Form:
    """What a form needs to know beside its fields."""

    document: Json
    base: Json

    @property
    def header(self) -> tuple[str, str]:
        """Give units and currency, ordinary ones where the file has none."""
        header = self.document.get("scenario")
        header = header if isinstance(header, dict) else {}
        units = header.get("units")
        currency = header.get("currency")
        return (
            units if units in ("us", "metric") else "us",
            currency if isinstance(currency, str) else "USD",
        )

    def names(self, table: str) -> list[str]:
        """Give the names in a list of tables."""
        rows = self.document.get(table)
        rows = rows if isinstance(rows, list) else []
        return [str(r.get("name")) for r in rows if isinstance(r, dict) and r.get("name")]


def _inherited(form: Form, place: Place, name: str | None, value: Any) -> str:
    """Say what a field inherits, in a file that changes another."""
    if not form.base:
        return ""
    table: Any = form.base.get(place.table)
    if isinstance(table, list):
        key = name_key(place.table)
        table = next((r for r in table if isinstance(r, dict) and r.get(key) == name), None)
    if not isinstance(table, dict):
        return "only in this file" if value is not None else ""
    if place.wear is not None:
        return ""
    if same(table.get(place.field), value):
        return "inherited" if value is not None else ""
    return f"changed here; inherited: {_shown(table.get(place.field))}"


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{says} {text_of(value.get(point))}" for point, says in POINTS)
    return text_of(value).replace("|", ", ") or "none"


def field(form: Form, path: str, table: Json, name: str | None) -> Component:
    """Give one field: label, unit, inputs, help, hint, inheritance, and room for its fault."""
    place = place_of(path)
    detail = place.about
    units, currency = form.header
    unit = unit_label(detail.dimension, units, currency)
    value = table.get(place.field)
    numbers = detail.kind in ("number", "whole", "price")
    steps = [place.table] if place.entry is None else [place.table, name or f"#{place.entry + 1}"]
    if place.wear is not None:
        machine = form.document["machines"][place.entry]
        steps = ["machines", str(machine.get("name")), "wear", name or f"#{place.wear + 1}"]
    names = form.names("thinners") if (place.table, place.field) == ("machines", "thinner") else []
    required = place.model.model_fields[place.field].is_required()
    left_out = "" if required else f" Left out: {_default(place)}."
    inherited = _inherited(form, place, name, value)
    fixed = (place.table, place.field) in _FIXED
    return html.Div(
        [
            html.Div(
                [html.Span(detail.label, className="title"),
                 html.Span(unit if numbers else "", className="unit")],
                className="head",
            ),
            html.Div(text_of(value)) if fixed else _inputs(path, detail, value, names),
            html.Div(f"{detail.help}{left_out} {hints(detail, units, currency)}", className="help"),
            html.Div(inherited, className="inherited") if inherited else None,
            html.Div("", className="message", id=f"message-{path}"),
        ],
        className="field",
        **{"data-where": where([*steps, place.field])},
    )  # fmt: skip


def _default(place: Place) -> str:
    if place.about.default:
        return place.about.default
    default = place.model.model_fields[place.field].default
    return text_of(default).replace("|", ", ") or "none"


def _buttons(path: str, what: str) -> Component:
    return html.Div(
        [
            html.Button(f"Copy this {what}", id=ids.action("copy", path), n_clicks=0),
            html.Button(f"Remove this {what}", id=ids.action("remove", path), n_clicks=0),
        ],
        className="row",
    )


def _fields(form: Form, start: str, model: type[Table], table: Json, name: str | None) -> list[Any]:
    place = start.split(".")[0]
    return [
        field(form, f"{start}.{key}", table, name)
        for key in model.model_fields
        if (place, key) not in _UNSHOWN
    ]


def _wear(form: Form, entry: int, machine: Json) -> Component:
    """Give the rows of parts that wear faster."""
    rows = machine.get("wear")
    rows = rows if isinstance(rows, list) else []
    parts: list[Any] = [html.H3("Parts that fail more often on blend")]
    if not rows:
        parts.append(html.P("None given: the usual rows for this engine stand in."))
    for k, row in enumerate(rows):
        if not isinstance(row, dict):
            continue
        start = f"machines.{entry}.wear.{k}"
        part = row.get("part")
        name = part if isinstance(part, str) else None
        parts.append(
            html.Fieldset(
                [html.Legend(name or f"Part {k + 1}"),
                 *_fields(form, start, MODELS["machines.wear"], row, name),
                 html.Button("Remove this part", id=ids.action("remove", start), n_clicks=0)]
            )
        )  # fmt: skip
    add = ids.action("add", f"machines.{entry}.wear")
    parts.append(html.Button("Add a part", id=add, n_clicks=0))
    return html.Div(parts)


def form_of(form: Form, section: str, entry: int) -> list[Any]:
    """Give the form of one table, or of one entry of a list of tables.

    Parameters
    ----------
    form : Form
        The farm.
    section : str
        Table.
    entry : int
        Which entry, in a list.

    Returns
    -------
    list
        Components.
    """
    model = MODELS[section]
    says = (model.__doc__ or "").split(": ", 1)[-1]
    head = [html.H2(SECTIONS[section]), html.P(says[0].upper() + says[1:], className="help")]
    if section not in LISTS:
        table = form.document.get(section)
        return head + _fields(form, section, model, table if isinstance(table, dict) else {}, None)
    add = html.Button(f"Add to {SECTIONS[section].lower()}", id=ids.action("add", section),
                      n_clicks=0)  # fmt: skip
    rows = form.document.get(section)
    rows = rows if isinstance(rows, list) else []
    if entry >= len(rows) or not isinstance(rows[entry], dict):
        return [*head, html.P("None yet."), add]
    name = rows[entry].get("name")
    name = name if isinstance(name, str) else None
    fields = _fields(form, f"{section}.{entry}", model, rows[entry], name)
    wear = [_wear(form, entry, rows[entry])] if section == "machines" else []
    return [*head, html.H3(name or "No name yet"), *fields, *wear,
            _buttons(f"{section}.{entry}", "entry"), add]  # fmt: skip
