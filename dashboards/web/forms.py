"""The form of a farm, built from the schema: fields to components."""

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component
from msgspec import Struct

from dashboards.web import ids
from dashboards.web.flat import held
from econ.farm.editing import (
    LISTS,
    UNSHOWN,
    Place,
    place_of,
    same,
    shown_value,
    source_of,
    units_of,
    way_chosen,
)
from econ.farm.faults import where
from econ.farm.field_words import (
    MODELS,
    SECTIONS,
    SOURCES,
    WAY_QUESTIONS,
    in_words,
    is_rare,
    plain_words,
    way_fields,
)
from econ.farm.fields import PRICE_NAMES, About
from econ.farm.merging import name_key
from econ.farm.naming import may_name
from econ.farm.reading import (
    POINTS,
    Units,
    allowed_words,
    amount,
    help_text,
    points_of,
    text_of,
    weights_of,
)
from econ.farm.schema import Table
from econ.ground.labels import MONTHS
from econ.ground.units import unit_label

Json = dict[str, Any]
# Other units would need every number turned; a file keeps those it was begun in.
_FIXED = {("scenario", "units")}
_NUMBERS = ("number", "whole", "price")


class Form(Struct, frozen=True):
    """What a form needs to know beside its fields."""

    document: Json
    base: Json

    @property
    def units(self) -> Units:
        """Units and currency of the farm."""
        return units_of(self.document)

    def names(self, table: str) -> list[str]:
        """List the names in a list of tables."""
        rows = self.document.get(table)
        rows = rows if isinstance(rows, list) else []
        return [str(r.get("name")) for r in rows if isinstance(r, dict) and r.get("name")]

    def names_for(self, place: Place) -> list[str] | None:
        """List the names that a field may hold; None where it holds no names."""
        if (place.table, place.field) == ("machines", "thinner"):
            return self.names("thinners")
        tables = may_name(place.table, place.field)
        return [name for table in tables for name in self.names(table)] if tables else None


def _input(path: str, label: str, text: str, *, words: bool = False, small: str = "") -> Component:
    """Make one text input with its label and room for its fault."""
    ident = ids.field(path)
    return html.Div(
        [
            held(
                html.Label(
                    [html.Span(f"{label}: ", className="unseen"), small] if small else label,
                    htmlFor=f'{{"path":"{path}","type":"v"}}',
                    className="small" if small else "unseen",
                )
            ),
            dcc.Input(
                id=ident,
                type="text",
                value=text,
                className="words" if words else "number",
                inputMode="text" if words else "decimal",
                autoComplete="off",
                debounce=False,
            ),
            held(html.Div("", className="message", id=f"message-{path}")),
        ],
        className="one",
        **{"data-point": path.partition("#")[2]},
    )


def _carried(path: str, text: str) -> Component:
    return dcc.Input(id=ids.field(path), type="hidden", value=text)


def _choice(
    path: str, label: str, options: list[tuple[str, str]], text: str, *, seen: bool = False
) -> Component:
    """Make a native choice; the hidden input beside it carries the value."""
    if text not in [value for value, _ in options]:
        options = [*options, (text, text)]
    name = f"choice-{path}"
    rows = [
        html.Option(shown, value=value, selected="selected" if value == text else None)
        for value, shown in options
    ]
    choice = held(
        html.Label(label, htmlFor=name, className="small" if seen else "unseen"),
        html.Select(rows, id=name, **{"data-carries": path}),
    )
    return html.Div([choice, _carried(path, text)], className="one")


def _toggles(path: str, label: str, options: list[tuple[str, str]], text: str) -> Component:
    """Make on-off buttons; the hidden input beside them carries the list."""
    on = set(text.split("|"))
    buttons = [
        html.Button(
            shown,
            type="button",
            **{"data-toggles": value, "aria-pressed": "true" if value in on else "false"},
        )
        for value, shown in options
    ]
    return html.Div(
        [held(buttons), _carried(path, text)],
        className="toggles",
        role="group",
        **{"data-carries": path, "aria-label": label},
    )


def _three(path: str, label: str, value: Any) -> Component:
    shown = points_of(value)
    return html.Div(
        [_input(f"{path}#{point}", label, shown[point], small=says) for point, says in POINTS],
        className="three",
    )


def _price(path: str, label: str, value: Any) -> Component:
    """Make a price that is a number of its own or follows a fuel's."""
    tied = value if isinstance(value, str) and value in PRICE_NAMES else ""
    options = [("", "a price of its own")]
    options += [(name, f"the price of {in_words(name).lower()}") for name in PRICE_NAMES]
    choice = _choice(f"{path}#tied", f"{label} is", options, tied, seen=True)
    return html.Div([choice] if tied else [choice, _three(path, label, value)])


def _inputs(path: str, detail: About, value: Any, names: list[str] | None) -> Component:
    """Make the inputs of one field by its kind."""
    label, text = detail.label, text_of(value)
    if detail.kind == "price":
        return _price(path, label, value)
    if detail.kind == "number" and detail.estimate:
        return _three(path, label, value)
    if detail.kind == "weights":
        texts = weights_of(value)
        return html.Div(
            [
                _input(f"{path}#m{k + 1}", label, weight, small=MONTHS[k])
                for k, weight in enumerate(texts)
            ],
            className="twelve",
        )
    if detail.kind == "months":
        months = [(str(k + 1), name) for k, name in enumerate(MONTHS)]
        return _toggles(path, label, months, text)
    if detail.kind == "choices":
        return _toggles(path, label, allowed_words(detail), text)
    if detail.kind == "flag":
        options = [("", "not said"), ("yes", "yes"), ("no", "no")]
        return _choice(path, label, options, text)
    if detail.kind == "choice":
        return _choice(path, label, [("", "choose ..."), *allowed_words(detail)], text)
    if detail.kind == "names":
        return _toggles(path, label, [(name, name) for name in names or []], text)
    if names is not None:
        return _choice(path, label, [("", "none")] + [(n, n) for n in names], text)
    return _input(path, label, text, words=detail.kind in ("text", "date", "volumes"))


def hints(detail: About, units: Units) -> str:
    """Say what people commonly see there."""
    result = detail.usual_in(units.units)
    if not result:
        return ""
    # The ranges are of the United States; on another farm they only show the order of size.
    priced = unit_label(detail.dimension, units.units, "USD").startswith("$")
    shown = Units(units.units, "USD") if priced else units
    us = "US" if priced and units.currency != "USD" else ""
    ranges = [
        f"{us}{amount(row.low, detail, shown)} to {us}{amount(row.high, detail, shown)}"
        f"{f' ({row.of})' if row.of else ''}"
        for row in result[:3]
    ]
    return "Commonly " + "; ".join(ranges) + "."


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
    return ", ".join(in_words(word) for word in text_of(value).split("|")) or "none"


def _heading(form: Form, place: Place, name: str | None) -> list[str]:
    steps = [place.table] if place.entry is None else [place.table, name or f"#{place.entry + 1}"]
    if place.wear is not None:
        machine = form.document["machines"][place.entry]
        steps = ["machines", str(machine.get("name")), "wear", name or f"#{place.wear + 1}"]
    return steps


def _source(form: Form, place: Place, path: str) -> Component:
    """Make the choice of where a number is from."""
    said = source_of(form.document, place)
    label = f"{place.about.label} is from"
    return _choice(f"{path}#source", label, list(SOURCES.items()), said, seen=True)


def field(form: Form, path: str, table: Json, name: str | None) -> Component:
    """Make one field: label, unit, inputs, source, help, inheritance, and room for its fault."""
    place = place_of(path)
    detail = place.about
    units = form.units
    value = shown_value(table, place.field)
    numbers = detail.kind in _NUMBERS
    unit = unit_label(detail.dimension, units.units, units.currency) if numbers else ""
    unit = "" if unit == "years" and "year" in detail.label.lower() else unit
    names = form.names_for(place)
    required = place.model.model_fields[place.field].is_required()
    left_out = "" if required else f" Left out: {_default(place)}."
    inherited = _inherited(form, place, name, value)
    fixed = (place.table, place.field) in _FIXED
    label = html.Div(
        [html.Span(detail.label, className="title"), html.Span(unit, className="unit")],
        className="head",
    )
    inputs = html.Div(in_words(text_of(value))) if fixed else _inputs(path, detail, value, names)
    source = _source(form, place, path) if numbers and detail.estimate else None
    return html.Div(
        [
            held(label),
            html.Div([inputs, source], className="beside") if source else inputs,
            held(
                html.Div(f"{help_text(detail)}{left_out} {hints(detail, units)}", className="help"),
                html.Div(inherited, className="inherited") if inherited else None,
                html.Div("", className="message whole", id=f"message-{path}-whole"),
            ),
        ],
        className="field",
        **{"data-where": where([*_heading(form, place, name), place.field]), "data-path": path},
    )


def _default(place: Place) -> str:
    if place.about.default:
        return plain_words(place.about.default)
    default = place.model.model_fields[place.field].default
    return ", ".join(in_words(word) for word in text_of(default).split("|")) or "none"


def _buttons(path: str, what: str) -> Component:
    return html.Div(
        [
            html.Button(f"Copy this {what}", id=ids.action("copy", path), n_clicks=0),
            html.Button(f"Remove this {what}", id=ids.action("remove", path), n_clicks=0),
        ],
        className="row",
    )


def _way(start: str, choice: str, table: Json) -> Component:
    """Ask in which way something is given; the old way counts until the new one is complete."""
    question, ways = WAY_QUESTIONS[choice]
    path = f"{start}#way.{choice.split('.')[1]}"
    options = [(str(k), words) for k, (words, _) in enumerate(ways)]
    return html.Div(
        [
            held(html.Div(html.Span(question, className="title"), className="head")),
            _choice(path, question, options, str(way_chosen(table, choice))),
            html.P("", className="begun", **{"data-begun": path}),
        ],
        className="field way",
    )


def _fields(form: Form, start: str, model: type[Table], table: Json, name: str | None) -> list[Any]:
    """Make a table's fields: the common ones, then the rare behind "more"."""
    section = start.split(".")[0]
    choices = [c for c in WAY_QUESTIONS if c.split(".")[0] == section and ".wear" not in start]
    common: list[Any] = []
    rare: list[Any] = []
    asked: set[str] = set()
    for key in model.model_fields:
        if (section, key) in UNSHOWN:
            continue
        choice = next((c for c in choices if any(key in way for way in way_fields(c))), None)
        shown = is_rare(section, key) and ".wear" not in start
        holder = rare if shown else common
        if choice is not None:
            if choice == "machines.thinner" and not table.get("thinner"):
                continue
            if choice not in asked:
                asked.add(choice)
                common.append(_way(start, choice, table))
            if key not in way_fields(choice)[way_chosen(table, choice)]:
                continue
        holder.append(field(form, f"{start}.{key}", table, name))
    if not rare:
        return common
    given = sum(1 for key in model.model_fields if is_rare(section, key) and key in table)
    summary = f"More fields ({len(rare)}, {given} given)"
    more = html.Details([html.Summary(summary), *rare], className="more", open=not common)
    return [*common, more]


def _wear(form: Form, entry: int, machine: Json) -> Component:
    """Make the rows of parts that wear faster."""
    rows = machine.get("wear")
    rows = rows if isinstance(rows, list) else []
    parts: list[Any] = []
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
                [
                    html.Legend(name or f"Part {k + 1}"),
                    _not_yet(start),
                    *_fields(form, start, MODELS["machines.wear"], row, name),
                    html.Button("Remove this part", id=ids.action("remove", start), n_clicks=0),
                ]
            )
        )
    add = ids.action("add", f"machines.{entry}.wear")
    parts.append(html.Button("Add a part", id=add, n_clicks=0))
    summary = f"Parts that fail more often on blend ({len(rows)} given)"
    return html.Details([html.Summary(summary), *parts], className="more", open=bool(rows))


def _not_yet(path: str) -> Component:
    """Leave room to say that an entry does not count yet, and what it still needs."""
    return html.P("", className="begun", **{"data-begun": path})


def form_of(form: Form, section: str, entry: int) -> list[Any]:
    """Make the form of one table, or of one entry of a list of tables.

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
    says = plain_words(says[0].upper() + says[1:])
    head = [html.H2(SECTIONS[section]), html.P(says, className="help")]
    if section not in LISTS:
        table = form.document.get(section)
        table = table if isinstance(table, dict) else {}
        return [*head, _not_yet(section), *_fields(form, section, model, table, None)]
    add = html.Button(
        f"Add to {SECTIONS[section].lower()}", id=ids.action("add", section), n_clicks=0
    )
    rows = form.document.get(section)
    rows = rows if isinstance(rows, list) else []
    if entry >= len(rows) or not isinstance(rows[entry], dict):
        return [*head, html.P("None yet."), add]
    row = rows[entry]
    name = row.get("name")
    name = name if isinstance(name, str) else None
    fields = _fields(form, f"{section}.{entry}", model, row, name)
    wear = [_wear(form, entry, row)] if section == "machines" else []
    heading = html.H3(name or "No name yet", id="entry-heading", tabIndex=-1)
    return [
        *head,
        heading,
        _not_yet(f"{section}.{entry}"),
        *fields,
        *wear,
        _buttons(f"{section}.{entry}", "entry"),
        add,
    ]
