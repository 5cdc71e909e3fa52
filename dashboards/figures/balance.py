"""The running balance by year: how far the money put in has come back."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboards.theme import Theme, layout
from econ.answers.rows import LEDGERS
from econ.ground.written import Numbers

Json = dict[str, Any]


def balance(by_ledger: Mapping[str, Sequence[float]], write: Numbers, theme: Theme) -> Json:
    """Draw the running balance of both ledgers.

    Parameters
    ----------
    by_ledger : mapping of str to sequence of float
        Balance at the end of years 0..N. [currency]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    looks = {
        "time_free": (theme.good, "circle", "solid"),
        "time_paid": (theme.bad, "square", "dash"),
    }
    data = []
    for kind in LEDGERS:
        colour, symbol, dash = looks[kind.key]
        values = list(by_ledger[kind.key])
        data.append(
            {
                "type": "scatter",
                "mode": "lines+markers",
                "name": kind.label,
                "x": list(range(len(values))),
                "y": values,
                "line": {"color": colour, "dash": dash, "width": 3},
                "marker": {"symbol": symbol, "size": 8, "color": colour},
                "text": [write.money(value) for value in values],
                "hovertemplate": "%{fullData.name}, end of year %{x}: %{text}<extra></extra>",
            }
        )
    figure: Json = {
        "data": data,
        "layout": layout(theme, height=300, x_title="end of year", y_title=write.sign),
    }
    figure["layout"]["xaxis"]["dtick"] = 1 if len(data[0]["x"]) <= 16 else 5
    figure["layout"]["yaxis"]["zerolinewidth"] = 3
    return figure
