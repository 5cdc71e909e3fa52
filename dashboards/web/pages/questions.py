"""Twelve questions: from nothing to a decision of one's own, after each answer."""

from typing import Any

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.decided import advised_now, decided
from dashboards.web.documents import Folder
from dashboards.web.draft import by_path, checked
from dashboards.web.flat import flat
from dashboards.web.results import begin, results, settled_of
from econ.answers.asked import Asked, AskedFarm, Box, asked_from
from econ.answers.decision import at_once, find_out_next
from econ.answers.turned import Results

Json = dict[str, Any]


def layout(folder: Folder, factors: dict[str, float]) -> Component:
    """Lay out the page; questions come with the farm that is open."""
    asked = html.Section(
        [
            html.H1("Twelve questions"),
            html.P(
                "Answer what you know; leave the rest empty and a usual value stands in, marked"
                " as such. The decision at the side follows every answer.",
                className="help",
            ),
            html.Div(id=ids.QUESTIONS),
        ],
        className="card",
    )
    return html.Div(
        [
            html.Div([asked, _beside()], className="asked"),
            dcc.Store(id=ids.QUESTIONS_PAINTED),
            dcc.Store(id=ids.ANSWER_FAULTS),
        ]
    )


def _beside() -> Component:
    """Lay out what the answers come to: the decision at once, what chances add after it."""
    now = html.Div(html.P("Working it out ...", className="waiting"), id=ids.SO_FAR_NOW)
    so_far = html.Div([now, html.Div(id=ids.SO_FAR_SURE)], id=ids.SO_FAR, role="status")
    return html.Aside(
        [html.H2("What it says so far"), so_far],
        className="card so-far",
        **{"aria-label": "What it says so far"},
    )


def farm_of(draft: Json) -> AskedFarm | None:
    """Make the farm of a draft's answers again; None for one that was not made from questions."""
    return asked_from(draft["origin"]) if "answers" in draft["origin"] else None


def _box(box: Box, text: str) -> Component:
    """Make one box of a question: a list to choose from, or a number with its usual value."""
    ident = ids.blank(box.key)
    if box.choices:
        name = f"answer-{box.key}"
        chosen = text or box.choices[0][0]
        options = [
            html.Option(words, value=value, **({"selected": "selected"} if value == chosen else {}))
            for value, words in box.choices
        ]
        control: list[Any] = [
            html.Label(box.label, htmlFor=name, className="small"),
            html.Select(options, id=name, **{"data-answers": box.key}),
            dcc.Input(id=ident, type="hidden", value=text),
        ]
        return html.Div(control, className="one choice")
    message = f"answer-message-{box.key}"
    return html.Div(
        [
            html.Label(
                [box.label, " ", html.Span(box.unit, className="unit")],
                htmlFor=f'{{"path":"{box.key}","type":"q"}}',
                className="small",
            ),
            dcc.Input(
                id=ident,
                type="text",
                value=text,
                className="number",
                inputMode="decimal",
                autoComplete="off",
                debounce=False,
                placeholder=box.usual,
            ),
            html.Div("", className="message", id=message, **{"data-answer": box.key}),
        ],
        className="one",
    )


def asked(question: Asked, number: int, answers: dict[str, str]) -> Component:
    """Make one question."""
    boxes = [_box(box, answers.get(box.key, "")) for box in question.boxes]
    return html.Fieldset(
        [
            html.Legend(f"{number}. {question.ask}"),
            html.P(question.help, className="help"),
            html.Div(boxes, className="blanks"),
        ],
        className="question",
    )


def questions(draft: Json) -> list[Component]:
    """Make the questions of a farm made from them, or the way to begin one."""
    farm = farm_of(draft)
    if farm is None:
        return [
            html.P("The farm that is open was not made from these questions."),
            html.Button(
                "Begin a farm of my own",
                type="button",
                className="main",
                **{"data-opens": "new:questions"},
            ),
            html.Button(
                "Change this one number by number", type="button", **{"data-goes": "/farm"}
            ),
        ]
    note = (
        None
        if farm.stands_in(draft["document"])
        else html.P(
            "You have since changed numbers one by one. An answer here starts again from the"
            " answers alone; Undo brings the changes back.",
            className="begun",
        )
    )
    rows = [asked(each, k, farm.answers) for k, each in enumerate(farm.questions, start=1)]
    after = html.Div(
        [
            html.Button(
                "See the whole decision", type="button", className="main", **{"data-goes": "/"}
            ),
            html.Button("Every number of it", type="button", **{"data-goes": "/farm"}),
        ],
        className="row",
    )
    return [*([note] if note else []), *rows, after]


def boxes_say(farm: AskedFarm) -> Json:
    """List what boxes show beside what is typed: faults, usual values, units."""
    numbers = [box for question in farm.questions for box in question.boxes if not box.choices]
    return {
        "faults": farm.made.faults,
        "usual": {box.key: box.usual for box in numbers},
        "unit": {box.key: box.unit for box in numbers},
    }


def answered(draft: Json, given: dict[str, str]) -> tuple[Json, Json] | None:
    """Make the farm of what stands in the boxes, and what boxes then say.

    Nothing where nothing was answered, or where boxes of another farm were taken away.
    """
    origin = draft["origin"]
    if "answers" not in origin:
        return None
    farm = asked_from({**origin, "answers": given})
    if farm.answers == origin["answers"]:
        return None
    made = {
        **draft,
        "document": farm.document,
        "origin": {**origin, "answers": farm.answers},
    }
    return made, boxes_say(farm)


def so_far(advice: str, year: str) -> list[Any]:
    """Write the decision so far."""
    return [html.P(advice, className="advice-now"), html.P(year)]


def so_far_sure(result: Results) -> list[Any]:
    """Write how sure the decision is so far, and what to find out next, by money."""
    decision = decided(result)
    dots, rows = decision.first_screen["ahead"], find_out_next(decision)
    parts: list[Any] = [
        html.P([html.Strong(f"{dots['title']}: "), "; ".join(dots["lines"]), "."]),
    ]
    if rows:
        parts += [
            html.H3("What to find out next"),
            html.Ol(
                [
                    html.Li([name, html.Span(f" moves the year by {moves}", className="note")])
                    for name, moves in rows
                ]
            ),
        ]
    return parts


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""

    @app.callback(
        Output(ids.QUESTIONS, "children"), Input(ids.REVISION, "data"), State(ids.DRAFT, "data")
    )
    def _ask(_: Any, draft: Any) -> Any:
        return no_update if draft is None else questions(checked(draft))

    @app.callback(
        Output(ids.DRAFT, "data", allow_duplicate=True),
        Output(ids.ANSWER_FAULTS, "data"),
        Input({"type": "q", "path": ALL}, "value"),
        State({"type": "q", "path": ALL}, "id"),
        State(ids.DRAFT, "data"),
        prevent_initial_call=True,
    )
    def _answer(values: list[Any], names: list[Json], draft: Any) -> Any:
        given = {key: text or "" for key, text in by_path(names, values).items()}
        made = answered(checked(draft), given)
        if made is None:
            return no_update, no_update
        begin(made[0])
        return made

    _register_shown(app)


def _register_shown(app: Dash) -> None:
    """Register what is shown beside the questions."""

    # Average values answer at once; chances wait until the answers stop changing.
    @app.callback(Output(ids.SO_FAR_NOW, "children"), Input(ids.DRAFT, "data"))
    def _now(draft: Any) -> Any:
        if draft is None:
            return no_update
        result = results(checked(draft), {})
        if not isinstance(result, Results):
            return html.P("Some number of this farm cannot stand; see the faults above.")
        return flat(so_far(advised_now(result), at_once(result).year))

    @app.callback(
        Output(ids.SO_FAR_SURE, "children"),
        Output(ids.SO_FAR_NOW, "children", allow_duplicate=True),
        Input(ids.SETTLED, "data"),
        prevent_initial_call="initial_duplicate",
    )
    def _sure(settled: Any) -> Any:
        state = settled_of(settled)
        if state is None or not isinstance(state[0], Results):
            return None, no_update
        said = decided(state[0]).first_screen
        return flat(so_far_sure(state[0])), flat(so_far(said["advice"], said["year"]))

    app.clientside_callback(
        ClientsideFunction("drumworth", "paintAnswers"),
        Output(ids.QUESTIONS_PAINTED, "data"),
        Input(ids.QUESTIONS, "children"),
        Input(ids.ANSWER_FAULTS, "data"),
    )
