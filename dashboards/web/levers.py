"""The sliders: one set of levers for every page that has them."""

from dash import ALL, ClientsideFunction, Dash, Input, Output, State, dcc, html
from dash.development.base_component import Component

from dashboards.web import ids
from econ.answers.turned import LEAST_FACTOR, MOST_FACTOR, SHOWN_LEVERS


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
            html.Label(
                SHOWN_LEVERS[key],
                htmlFor=f'{{"path":"{key}","type":"lever"}}',
                className="" if seen else "unseen",
            ),
            dcc.Input(
                id=ident,
                type="range",
                min=LEAST_FACTOR,
                max=MOST_FACTOR,
                step=0.01,
                value=factor,
                className="range",
            ),
            html.Output("", id={"type": says, "path": key}, className="says"),
        ],
        className="lever",
        id=f"slider-{key}" if says == "lever-says" else f"{says}-{key}",
    )


def register(app: Dash) -> None:
    """Register what puts all sliders back; the browser itself reads where one is moved to."""
    app.clientside_callback(
        ClientsideFunction("drumworth", "back"),
        Output(ids.LEVERS, "data"),
        Output({"type": "lever", "path": ALL}, "value"),
        Input(ids.BACK, "n_clicks"),
        State({"type": "lever", "path": ALL}, "id"),
        prevent_initial_call=True,
    )
