"""Pieces that pages are built of: cards, tables, explanations, figures with words beside them."""

from collections.abc import Iterable, Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from econ.answers.rows import CLOSING
from econ.ground.errors import ScenarioError

Json = dict[str, Any]
Part = Component | str | list[Any] | None

_CONFIG = {"displayModeBar": False, "responsive": True, "scrollZoom": False, "doubleClick": False}


def card(title: str, *parts: Part, wide: bool = False, name: str = "") -> Component:
    """Return a titled part of a page."""
    held: list[Any] = [html.H2(title), *parts]
    return html.Section(held, className=f"card{' wide' if wide else ''} {name}".strip())


def refusals(error: ScenarioError) -> Component:
    """List why a farm cannot be worked through, in the errors' own words."""
    return html.Ul([html.Li(str(problem)) for problem in error.problems], role="alert")


def explain(*parts: Part, title: str = "How this comes about") -> Component:
    """Return words and inputs behind a figure, opened on a click or by the keyboard."""
    return html.Details([html.Summary(title), html.Div(list(parts), className="explained")])


def not_offered(left_out: Sequence[tuple[str, str]]) -> Component | None:
    """Name the files of a folder that cannot be chosen, each with its reason.

    Parameters
    ----------
    left_out : sequence of (str, str)
        Name and reason.

    Returns
    -------
    Component or None
        None where every file is offered.
    """
    if not left_out:
        return None
    files = "1 file is" if len(left_out) == 1 else f"{len(left_out):,} files are"
    rows: list[Any] = [html.Li(f"{name}: {reason}") for name, reason in left_out]
    return html.Details([html.Summary(f"{files} not offered here"), html.Ul(rows)])


def drawn(result: Json, ident: str, spoken: str) -> Component:
    """Return a chart that is drawn at once."""
    return html.Div(
        dcc.Graph(id=ident, config=_CONFIG, figure=result),
        role="img",
        className="chart",
        **{"aria-label": spoken},
    )


def table(
    heads: Sequence[str],
    rows: Iterable[Sequence[Any]],
    *,
    caption: str = "",
    left: Sequence[int] = (0,),
    strong: Sequence[int] = (),
) -> Component:
    """Return a table that scrolls sideways on its own where the screen is narrow.

    Parameters
    ----------
    heads : sequence of str
        Column heads.
    rows : iterable of sequences
        Cells; the first of each row heads it.
    caption : str
        What the table shows.
    left : sequence of int
        Columns of words.
    strong : sequence of int
        Rows in bold.
    """

    def cell(k: int, value: Any, *, strongly: bool) -> Component:
        words = "words" if k in left else "figures"
        if k == 0:
            return html.Th(value, scope="row", className=words)
        return html.Td(html.Strong(value) if strongly else value, className=words)

    body = [
        html.Tr([cell(k, value, strongly=n in strong) for k, value in enumerate(row)])
        for n, row in enumerate(rows)
    ]
    head = html.Tr(
        [
            html.Th(head, scope="col", className="words" if k in left else "figures")
            if head
            else html.Td("")
            for k, head in enumerate(heads)
        ]
    )
    parts: list[Any] = [html.Caption(caption)] if caption else []
    inner = html.Table([*parts, html.Thead(head), html.Tbody(body)])
    return html.Div(
        inner,
        className="scroll",
        tabIndex=0,
        role="region",
        **{"aria-label": caption or " ".join(heads)},
    )


def big(label: str, value: str, note: str = "", *, title: str = "", tone: str = "") -> Component:
    """Return one large figure with its label and its formula in words on hover."""
    return html.Div(
        [
            html.Div(label, className="label"),
            html.Div(value, className="value"),
            html.Div(note, className="note"),
        ],
        className=f"big {tone}".strip(),
        title=title or None,
    )


def choices(
    ident: str, label: str, options: Iterable[tuple[str, str]], value: str | None, name: str = ""
) -> Component:
    """Return one choice of few as buttons; the hidden input beside them holds the chosen value.

    Parameters
    ----------
    ident : str
        Id of the hidden input; that of the buttons is the same with "-buttons".
    label : str
        What is chosen, for those who do not see it.
    options : iterable of (value, text)
        What may be chosen.
    value : str or None
        What is chosen.
    name : str
        Class of the style sheet.
    """
    return html.Div(
        [
            html.Div(
                picks(options),
                id=f"{ident}-buttons",
                className=f"picks {name}",
                role="group",
                **{"aria-label": label, "data-picks-for": ident},
            ),
            dcc.Input(id=ident, type="hidden", value=value),
        ]
    )


def picks(options: Iterable[tuple[str, str]]) -> list[Component]:
    """Return the buttons of a choice."""
    return [
        html.Button(
            text, type="button", className="pick", **{"data-picks": value, "aria-pressed": "false"}
        )
        for value, text in options
    ]


def cautions(rows: Iterable[Json], title: str) -> Component | None:
    """Return cautions, the gravest open and the others behind a click; never a wall.

    Parameters
    ----------
    rows : iterable of dict
        Those of the document that belong at this place.
    title : str
        What to call them together.
    """
    result = list(rows)
    if not result:
        return None

    def item(row: Json) -> Component:
        return html.Li(
            [html.Span(row["text"]), html.Span(f" Basis: {row['basis']}", className="basis")]
        )

    first, rest = result[:2], result[2:]
    more = (
        html.Details(
            [
                html.Summary(f"{len(rest)} more to know before you do it"),
                html.Ul([item(row) for row in rest]),
            ]
        )
        if rest
        else None
    )
    return html.Div(
        [
            html.H3(title),
            html.Ul([item(row) for row in first]),
            more,
            html.P(CLOSING, className="basis"),
        ],
        className="cautions",
    )
