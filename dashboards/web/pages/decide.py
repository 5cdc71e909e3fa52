"""Decide: one truth in thirty seconds; everything else in tabs beneath."""

from typing import Any

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.theme import theme_of
from dashboards.web import first, ids
from dashboards.web.decided import decided, first_screen_of
from dashboards.web.documents import Folder
from dashboards.web.draft import checked, factors, paths
from dashboards.web.flat import flat, markup
from dashboards.web.head import head_of
from dashboards.web.levers import slider
from dashboards.web.parts import cautions as all_cautions
from dashboards.web.results import results, settled_of
from dashboards.web.tabs import TABS, tab
from econ.answers.turned import LEAST_FACTOR, MOST_FACTOR, SHOWN_LEVERS, Results
from econ.ground.errors import Problem

Json = dict[str, Any]
MOVED = ("advice", "gallon", "dots", "boxes", "cautions", "beside")
"""Parts that follow from the levers too, in the order that `moved` writes them."""
STILL = ("price-line", "price-scale", "rests", "guesses")
"""Parts that the file alone decides, in the order that `still` writes them."""
_HATCH = (
    '<svg width="0" height="0" aria-hidden="true" class="defs"><defs><pattern id="hatch" width="7"'
    ' height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="hatch-bg"'
    ' width="7" height="7"/><line class="hatch-line" x1="0" x2="0" y1="0" y2="7"/></pattern></defs>'
    "</svg>"
)


def _part(name: str, tag: Any = html.Section, **more: Any) -> Component:
    ident = ids.part(name) if name in MOVED else f"first-{name}"
    made: Component = tag(id=ident, className=f"{name} slow first-{name}", **more)
    return made


def _price(turned: dict[str, float]) -> Component:
    """Make the line that decides, the scale with its slider, and the others behind "more"."""
    others = [
        slider(key, turned.get(key, 1.0), seen=True) for key in SHOWN_LEVERS if key != "pump_price"
    ]
    back = html.Button("Back to the file", id=ids.BACK, n_clicks=0, className="link")
    more = html.Button(
        "more sliders",
        type="button",
        className="link",
        **{"data-reveals": "more-sliders", "aria-expanded": "false"},
    )
    aside = html.Span([html.Span(back, id="first-back", hidden=not turned), more])
    scale = [html.Div(id="first-price-scale"), slider("pump_price", turned.get("pump_price", 1.0))]
    return html.Section(
        [
            html.Div([html.Div(id="first-price-line"), aside], className="head"),
            html.Div(scale, className="scale"),
            html.Div(others, className="levers", id="more-sliders", hidden=True),
        ],
        className="price",
        **{"aria-label": "What if the price changes?"},
    )


def _actions() -> Component:
    return html.Div(
        [
            html.Button(
                "Put in my numbers",
                type="button",
                className="main",
                id="my-numbers",
                **{"data-mine": "/farm", "data-opens": "new:questions", "data-goes": "/questions"},
            ),
            html.Button("Compare thinners", type="button", **{"data-goes": "/thinners"}),
            html.Button("Print for us both", type="button", **{"data-goes": "/present"}),
            _part("beside", html.Div),
        ],
        className="actions",
    )


def layout(folder: Folder, turned: dict[str, float]) -> Component:
    """Lay out the page; its figures follow from the farm that is open."""
    tabs = [
        html.Button(
            label, type="button", className="tab", **{"data-tab": key, "aria-pressed": "false"}
        )
        for key, label in TABS.items()
    ]
    return html.Div(
        [
            html.Div(className="flat", **{"data-markup": _HATCH}),
            _part("advice", html.Div, role="status"),
            html.Div(
                [
                    _part("gallon"),
                    _part("dots"),
                    _price(turned),
                    _part("boxes", html.Div),
                    html.Div([_part("rests"), _part("guesses")], className="rests-row"),
                    _part("cautions"),
                ],
                className="tri",
            ),
            _actions(),
            html.Nav(tabs, className="tabs", **{"aria-label": "More about this plan"}),
            dcc.Store(id="first-most"),
            dcc.Input(id=ids.TAB, type="hidden", value=""),
            html.Div(id=ids.TAB_BODY, tabIndex=-1),
            html.Div(id="first-paper", className="paper-only"),
        ],
        className="first",
    )


def _laid_on(price: Json | None) -> tuple[Json, float]:
    """Lay the slider on the scale: its style, and the greatest factor that the scale reaches."""
    if price is None or not price["today"]:
        return {"display": "none"}, MOST_FACTOR
    today, end = float(price["today"]), float(price["end"])
    most = min(MOST_FACTOR, end / today)
    left = 100.0 * LEAST_FACTOR * today / end
    width = 100.0 * (most - LEAST_FACTOR) * today / end
    return {"left": f"calc({left:.2f}% - 12px)", "width": f"calc({width:.2f}% + 24px)"}, most


def moved(result: Results, turned: dict[str, float]) -> list[Any]:
    """Write the parts of `MOVED`."""
    screen, base = first_screen_of(result, turned)
    # The smaller plan was found at the prices of the file.
    smaller = None if turned else decided(result).smaller
    end = None if base["price"] is None else base["price"]["end"]
    return [
        first.advice(screen),
        first.gallon(screen, end, result.write),
        first.dots(screen),
        first.boxes(screen),
        first.cautions(screen),
        first.beside(screen["loan_in_words"], smaller),
    ]


def still(result: Results) -> list[Any]:
    """Write the parts of `STILL`."""
    base = decided(result).first_screen
    return [
        first.price_line(base),
        first.price_scale(base, result.write),
        first.rests(base),
        first.guesses(base),
    ]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""
    _register_first(app)
    _register_tabs(app)


_PARTS = {"type": "first", "path": ALL}
_SAYS = {"type": "lever-says", "path": ALL}
_FAULTY = html.P("Some value cannot be used; the faults stand above.")


def _register_first(app: Dash) -> None:
    pump = {"type": "lever", "path": "pump_price"}

    @app.callback(Output("first-paper", "children"), Input(ids.SETTLED, "data"))
    def _paper(settled: Any) -> Any:
        state = settled_of(settled)
        if state is None or not isinstance(state[0], Results):
            return None
        return flat(all_cautions(state[0].average["cautions"], "Before you do any of it"))

    @app.callback(Output(pump, "max"), Input("first-most", "data"), prevent_initial_call=True)
    def _reach(most: Any) -> Any:
        return no_update if most is None else most

    @app.callback(
        *(Output(f"first-{part}", "data-markup") for part in STILL),
        Output("slider-pump_price", "style"),
        Output("first-most", "data"),
        Input(ids.SETTLED_FARM, "data"),
    )
    def _lay(draft: Any) -> Any:
        if not isinstance(draft, dict):
            raise PreventUpdate
        result = results(checked(draft), {})
        if not isinstance(result, Results):
            return [*[""] * len(STILL), {"display": "none"}, MOST_FACTOR]
        price = decided(result).first_screen["price"]
        return [*map(markup, still(result)), *_laid_on(price)]

    _register_moved(app)


def _register_moved(app: Dash) -> None:
    """Register what follows from the levers too: with the farm, and at each step of a slider."""

    @app.callback(
        Output(_PARTS, "data-markup"),
        Output(_SAYS, "data-markup"),
        Input(ids.SETTLED_FARM, "data"),
        State(ids.LEVERS, "data"),
        State(_PARTS, "id"),
        State(_SAYS, "id"),
    )
    def _show(draft: Any, levers: Any, parts: Any, says: Any) -> Any:
        if not isinstance(draft, dict):
            raise PreventUpdate
        turned = factors(levers)
        return _follows(results(checked(draft), turned), turned, parts, says)

    # A slider does not wait for the farm to settle: chances stay, all else moves at once, on
    # whichever page it stands.
    @app.callback(
        Output(_PARTS, "data-markup", allow_duplicate=True),
        Output(_SAYS, "data-markup", allow_duplicate=True),
        Output(ids.HEADLINE, "data-markup", allow_duplicate=True),
        Output(ids.FAULTS, "children", allow_duplicate=True),
        Output(ids.HEAD_VERDICT, "children", allow_duplicate=True),
        Input(ids.LEVERS, "data"),
        State(ids.DRAFT, "data"),
        State(_PARTS, "id"),
        State(_SAYS, "id"),
        prevent_initial_call=True,
    )
    def _move(levers: Any, draft: Any, parts: Any, says: Any) -> Any:
        if draft is None:
            raise PreventUpdate
        known, turned = checked(draft), factors(levers)
        result = results(known, turned)
        return [*_follows(result, turned, parts, says), *head_of(known, result)]


def _follows(
    result: Results | tuple[Problem, ...], turned: dict[str, float], parts: Any, says: Any
) -> tuple[list[str], list[str]]:
    """Write the parts that levers move, and where each slider stands, as far as they are shown."""
    shown, sliders = paths(parts, MOVED), paths(says, SHOWN_LEVERS)
    if not isinstance(result, Results):
        faulty = {"advice": markup(_FAULTY)}
        return [faulty.get(part, "") for part in shown], [""] * len(sliders)
    made = dict(zip(MOVED, map(markup, moved(result, turned)), strict=True)) if shown else {}
    stands = {row.key: markup(row.shown) for row in result.levers}
    return [made[part] for part in shown], [stands[key] for key in sliders]


def _register_tabs(app: Dash) -> None:
    @app.callback(
        Output(ids.TAB_BODY, "children"),
        Input(ids.TAB, "value"),
        Input(ids.SETTLED, "data"),
        Input(ids.SCHEME, "data"),
    )
    def _tab(key: Any, settled: Any, scheme: Any) -> Any:
        state = settled_of(settled)
        if not key or state is None or not isinstance(state[0], Results):
            return None
        return flat(tab(key, *state, theme_of(scheme)))

    app.clientside_callback(
        ClientsideFunction("drumworth", "tab"),
        Output(ids.TAB_BODY, "data-tab-shown"),
        Input(ids.TAB, "value"),
    )
