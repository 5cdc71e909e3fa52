"""A year's money, from the fuel not bought down to what is left after one's own time."""

from typing import Any

from dashboards.theme import Theme, layout
from econ.answers.rows import SAVINGS
from econ.ground.written import Numbers

Json = dict[str, Any]


def steps(savings: Json, write: Numbers, theme: Theme) -> Json:
    """Draw what is left after each group of costs.

    Parameters
    ----------
    savings : dict
        By key of `econ.answers.rows.SAVINGS`. [currency per year]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    values = [savings[row.key] for row in SAVINGS]
    figure: Json = {
        "data": [
            {
                "type": "bar",
                "orientation": "h",
                "y": [row.label for row in SAVINGS],
                "x": values,
                "marker": {
                    "color": [theme.other]
                    + [theme.good if value >= 0.0 else theme.bad for value in values[1:]]
                },
                "text": [write.money(value) for value in values],
                "textposition": "outside",
                "cliponaxis": False,
                "hovertext": [row.help for row in SAVINGS],
                "hovertemplate": "%{y}: %{text} a year<br>%{hovertext}<extra></extra>",
            }
        ],
        "layout": layout(theme, height=260, x_title=f"{write.sign}/year"),
    }
    figure["layout"]["yaxis"] |= {"autorange": "reversed", "tickfont": {"size": 12}}
    figure["layout"]["margin"]["r"] = 72
    low, high = min(0.0, *values), max(0.0, *values)
    room = 0.45 * max(high - low, 1.0)
    figure["layout"]["xaxis"]["range"] = [low - (room if low < 0.0 else 0.0), 1.05 * high]
    return figure
