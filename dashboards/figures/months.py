"""Month by month: oil wanted, made and in store; hours."""

from collections.abc import Sequence
from typing import Any

from dashboards.theme import Theme, layout
from econ.answers.first_screen import MonthHours
from econ.ground.labels import BOTTLENECKS, MONTHS
from econ.ground.written import Numbers

Json = dict[str, Any]


def _names(months: Sequence[Json]) -> list[str]:
    return [MONTHS[month["month"] - 1] for month in months]


def oil_by_month(months: Sequence[Json], write: Numbers, theme: Theme) -> Json:
    """Draw clean oil wanted, burned and in store, with what binds on hover.

    Parameters
    ----------
    months : sequence of dict
        The document's months. [volume per month]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    names = _names(months)
    bars = (
        ("wanted", "Wanted by the machines", theme.calm),
        ("processed", "Cleaned", theme.cost),
        ("oil_used", "Burned", theme.other),
    )
    data: list[Json] = [
        {
            "type": "bar",
            "name": label,
            "x": names,
            "y": [month[key] for month in months],
            "marker": {"color": colour},
            "text": [BOTTLENECKS[month["bottleneck"]] for month in months],
            "textposition": "none",
            "hovertemplate": f"%{{x}}, {label.lower()}: %{{y:,.0f}} {write.volume_unit}"
            "<br>held back by %{text}<extra></extra>",
        }
        for key, label, colour in bars
    ]
    data.append(
        {
            "type": "scatter",
            "mode": "lines+markers",
            "name": "Clean oil left at the month's end",
            "x": names,
            "y": [month["clean_end"] for month in months],
            "line": {"color": theme.ink, "dash": "dot"},
            "marker": {"symbol": "diamond", "size": 7, "color": theme.ink},
            "hovertemplate": f"%{{x}}, clean oil left: %{{y:,.0f}} {write.volume_unit}"
            "<extra></extra>",
        }
    )
    figure: Json = {"data": data, "layout": layout(theme, height=330, y_title=write.volume_unit)}
    figure["layout"]["bargap"] = 0.2
    return figure


def hours_by_month(months: Sequence[MonthHours], theme: Theme, *, height: int = 220) -> Json:
    """Draw one's own hours by month, upkeep in them.

    Parameters
    ----------
    months : sequence of MonthHours
        Of the first screen. [h]
    theme : Theme
        Colours.
    height : int
        [px]

    Returns
    -------
    dict
        A plotly figure.
    """
    hours = [month["hours"] for month in months]
    return {
        "data": [
            {
                "type": "bar",
                "x": [MONTHS[month["month"] - 1] for month in months],
                "y": hours,
                "marker": {"color": theme.other},
                "text": [f"{value:.0f} h" for value in hours],
                "textposition": "outside",
                "cliponaxis": False,
                "hovertemplate": "%{x}: %{y:.1f} hours<extra></extra>",
            }
        ],
        "layout": layout(theme, height=height, y_title="hours"),
    }
