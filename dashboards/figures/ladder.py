"""The cost of one volume of fuel, in five steps, beside the price of the fuel it replaces."""

from typing import Any

from dashboards.theme import Theme, layout
from econ.answers.rows import RUNGS
from econ.ground.written import Numbers

Json = dict[str, Any]


def ladder(rungs: Json, pump_price: float | None, write: Numbers, theme: Theme) -> Json:
    """Draw the ladder.

    Parameters
    ----------
    rungs : dict
        Cost by rung; None where no fuel is made. [currency per volume]
    pump_price : float or None
        Of the fuel replaced. [currency per volume]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    labels = [rung.label for rung in RUNGS] + ["Pump fuel it replaces"]
    values = [rungs[rung.key] for rung in RUNGS] + [pump_price]
    colours = [theme.cost] * len(RUNGS) + [theme.other]
    figure: Json = {
        "data": [
            {
                "type": "bar",
                "orientation": "h",
                "y": labels,
                "x": values,
                "marker": {"color": colours},
                "text": [write.price(value) for value in values],
                "textposition": "outside",
                "cliponaxis": False,
                "hovertext": [rung.help for rung in RUNGS] + ["The pump price, as you gave it."],
                "hovertemplate": "%{y}: %{text}<br>%{hovertext}<extra></extra>",
            }
        ],
        "layout": layout(theme, height=300, x_title=write.price_unit),
    }
    figure["layout"]["yaxis"] |= {"autorange": "reversed", "tickfont": {"size": 12}}
    figure["layout"]["margin"]["r"] = 72
    # Room for the figures beside the bars.
    most = max((value for value in values if value is not None), default=1.0)
    least = min((value for value in values if value is not None), default=0.0)
    figure["layout"]["xaxis"]["range"] = [min(0.0, 1.3 * least), max(1.05 * most, 0.1)]
    if pump_price is not None:
        figure["layout"]["shapes"] = [
            {
                "type": "line",
                "x0": pump_price,
                "x1": pump_price,
                "yref": "paper",
                "y0": 0,
                "y1": 1,
                "line": {"color": theme.other, "width": 2, "dash": "dot"},
            }
        ]
    return figure
