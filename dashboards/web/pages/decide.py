"""Decide: one truth in thirty seconds; everything else in tabs beneath."""

from typing import Any

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, dcc, html, no_update
from dash.development.base_component import Component
from dash.exceptions import PreventUpdate

from dashboards.theme import theme_of
from dashboards.web import first, ids
from dashboards.web.decided import decided, first_screen_of
from dashboards.web.documents import Folder
from dashboards.web.draft import checked, factors
from dashboards.web.flat import flat
from dashboards.web.levers import slider
from dashboards.web.parts import cautions as all_cautions
from dashboards.web.results import results, settled_of
from dashboards.web.tabs import TABS, tab
from econ.answers.turned import LEAST_FACTOR, MOST_FACTOR, SHOWN_LEVERS, Results

Json = dict[str, Any]
PARTS = (
    "advice",
    "gallon",
    "dots",
    "boxes",
    "price-line",
    "price-scale",
    "rests",
    "guesses",
    "cautions",
    "beside",
)
_HATCH = (
    '<svg width="0" height="0" aria-hidden="true" class="defs"><defs><pattern id="hatch" width="7"'
    ' height="7" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="hatch-bg"'
    ' width="7" height="7"/><line class="hatch-line" x1="0" x2="0" y1="0" y2="7"/></pattern></defs>'
    "</svg>"
)


def _part(name: str, tag: Any = html.Section, **more: Any) -> Component:
    made: Component = tag(id=f"first-{name}", className=f"{name} slow", **more)
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
    aside = html.Span([html.Span(back, id="first-back", hidden=True), more])
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


def whole(result: Results, turned: dict[str, float]) -> list[Any]:
    """Write every part of the first screen, in the order of `PARTS`."""
    screen, base = first_screen_of(result, turned)
    numbers = result.write
    # The smaller plan was found at the prices of the file.
    smaller = None if turned else decided(result).smaller
    end = None if base["price"] is None else base["price"]["end"]
    return [
        flat(first.advice(screen)),
        flat(first.gallon(screen, end, numbers)),
        flat(first.dots(screen)),
        flat(first.boxes(screen)),
        flat(first.price_line(base)),
        first.price_scale(base, numbers),
        flat(first.rests(base)),
        flat(first.guesses(base)),
        flat(first.cautions(screen)),
        flat(first.beside(screen["loan_in_words"], smaller)),
    ]


def register(app: Dash, folder: Folder) -> None:
    """Register the page's callbacks for a folder."""
    _register_first(app)
    _register_tabs(app)


def _outputs(*, again: bool) -> list[Output]:
    """List all that a new answer writes on the first screen."""
    shown = [(f"first-{part}", "children") for part in PARTS]
    shown += [("slider-pump_price", "style"), ("first-most", "data"), ("first-back", "hidden")]
    result = [Output(name, kind, allow_duplicate=again) for name, kind in shown]
    return [*result, Output(_SAYS, "children", allow_duplicate=again)]


_SAYS = {"type": "lever-says", "path": ALL}


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
        *_outputs(again=False),
        Input(ids.SETTLED, "data"),
        State(ids.LEVERS, "data"),
        State(_SAYS, "id"),
    )
    def _show(settled: Any, levers: Any, names: list[Json]) -> Any:
        if not isinstance(settled, dict):
            raise PreventUpdate
        return _whole(settled.get("draft"), levers, names)

    # A slider does not wait for the farm to settle: chances stay, all else moves at once.
    @app.callback(
        *_outputs(again=True),
        Input(ids.LEVERS, "data"),
        State(ids.DRAFT, "data"),
        State(_SAYS, "id"),
        prevent_initial_call=True,
    )
    def _move(levers: Any, draft: Any, names: list[Json]) -> Any:
        if draft is None:
            raise PreventUpdate
        return _whole(draft, levers, names)


def _whole(draft: Any, levers: Any, names: list[Json]) -> list[Any]:
    """Write the first screen of a draft, with where its slider lies and each slider stands."""
    turned = factors(levers)
    result = results(checked(draft), turned)
    if not isinstance(result, Results):
        note = html.P("Some value cannot be used; the faults stand above.")
        parts = [note, *[None] * (len(PARTS) - 1)]
        return [*parts, {"display": "none"}, MOST_FACTOR, True, [""] * len(names)]
    style, most = _laid_on(first_screen_of(result, turned)[1]["price"])
    shown = {row.key: row.shown for row in result.levers}
    stands = [shown.get(name["path"], "") for name in names]
    return [*whole(result, turned), style, most, not turned, stands]


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
