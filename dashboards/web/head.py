"""What every page has above it: which farm, its faults, the advice."""

from typing import Any

from dash import Dash, Input, Output, State, html, no_update
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.decided import advised_now
from dashboards.web.draft import checked, factors
from dashboards.web.flat import markup
from dashboards.web.log_folder import today
from dashboards.web.results import results, settled_of
from dashboards.web.sure import advice_of
from econ.answers.first_screen import prices_of, short_name
from econ.answers.form_words import box_notes, fault_lines
from econ.answers.turned import Results
from econ.ground.errors import Problem

Json = dict[str, Any]


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


def faults(lines: list[str]) -> Component:
    """List every fault."""
    count = "1 fault" if len(lines) == 1 else f"{len(lines)} faults"
    rows = [html.Li(line) for line in lines[:50]]
    return html.Div([html.Strong(f"{count}: no figure is shown until mended."), html.Ul(rows)])


def head_of(draft: Json, result: Results | tuple[Problem, ...]) -> tuple[str, Any, str]:
    """Write the headline as HTML, the faults, and the advice on average.

    Parameters
    ----------
    draft : dict
        Checked.
    result : Results or tuple of Problem
        Of the draft, levers turned or not.

    Returns
    -------
    (str, component or None, str)
    """
    if isinstance(result, Results):
        return markup(headline(result, draft["name"])), None, advised_now(result)
    name = html.Strong(draft["name"] or "Your farm")
    return markup(name), faults(fault_lines(result, draft["document"])), ""


def register(app: Dash) -> None:
    """Register what follows from the farm; what follows from a slider is its page's."""

    @app.callback(
        Output(ids.HEADLINE, "data-markup"),
        Output(ids.FAULTS, "children"),
        Output(ids.PROBLEMS, "data"),
        Output(ids.HEAD_VERDICT, "children"),
        Input(ids.DRAFT, "data"),
        State(ids.LEVERS, "data"),
    )
    def _sum_up(draft: Any, levers: Any) -> Any:
        if draft is None:
            return no_update, no_update, no_update, no_update
        known = checked(draft)
        result = results(known, factors(levers))
        line, wrong, advice = head_of(known, result)
        problems = () if isinstance(result, Results) else result
        return line, wrong, box_notes(known["document"], problems), advice

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
