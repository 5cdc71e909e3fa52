"""The sliders: one set of levers for every page that has them."""

from typing import Any

from dash import ALL, Dash, Input, Output, State, ctx, dcc, html, no_update
from dash.development.base_component import Component

from dashboards.web import ids
from dashboards.web.draft import LEAST_FACTOR, MOST_FACTOR, by_path, factors

Json = dict[str, Any]
LABELS = {
    "pump_price": "Price of the fuel replaced",
    "thinner_price": "Thinner price",
    "oil": "Oil that turns up",
    "hours_per_batch": "Hours a batch",
    "wage": "Wage",
    "kit": "Kit price",
}


def slider(key: str, factor: float, *, says: str = "lever-says", seen: bool = False) -> Component:
    """Make one slider: a native one with its name and where it stands.

    Parameters
    ----------
    key : str
        The lever's.
    factor : float
        Where it stands.
    says : str
        Type of the id under which the page writes its value.
    seen : bool
        Whether its name is shown, or only read aloud.
    """
    ident = {"type": "lever", "path": key}
    return html.Div(
        [
            html.Label(LABELS[key], htmlFor=f'{{"path":"{key}","type":"lever"}}',
                       className="" if seen else "unseen"),
            dcc.Input(
                id=ident, type="range", min=LEAST_FACTOR, max=MOST_FACTOR, step=0.01, value=factor,
                className="range",
            ),
            html.Output("", id={"type": says, "path": key}, className="says"),
        ],
        className="lever",
        id=f"slider-{key}" if says == "lever-says" else f"{says}-{key}",
    )  # fmt: skip


def _factor(value: Any) -> Any:
    """Read a slider: numbers come as text or as numbers."""
    try:
        return float(value) if isinstance(value, str) else value
    except ValueError:
        return value


def register(app: Dash) -> None:
    """Register what moves all sliders."""

    @app.callback(
        Output(ids.LEVERS, "data"),
        Input({"type": "lever", "path": ALL}, "value"),
        State({"type": "lever", "path": ALL}, "id"),
        prevent_initial_call=True,
    )
    def _pull(values: list[Any], names: list[Json]) -> Any:
        if not ctx.triggered_id:
            return no_update
        pulled = by_path(names, values)
        return factors({path: _factor(value) for path, value in pulled.items()})

    @app.callback(
        Output({"type": "lever", "path": ALL}, "value"),
        Input(ids.BACK, "n_clicks"),
        State({"type": "lever", "path": ALL}, "id"),
        prevent_initial_call=True,
    )
    def _back(_: Any, names: list[Json]) -> list[float]:
        return [1.0] * len(names)
