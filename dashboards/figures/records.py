"""Plan and what happened by month, and what records make of a guess."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboards.theme import Theme, layout
from econ.ground.labels import MONTHS

Json = dict[str, Any]


def plan_and_records(
    months: Sequence[Mapping[str, Any]], key: str, unit: str, theme: Theme
) -> Json:
    """Draw one line of the plan by month, records as dots.

    Parameters
    ----------
    months : sequence of dict
        The records document's months.
    key : str
        Which line of them.
    unit : str
        What it is counted in.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure; months that the log does not cover whole are open dots.
    """
    names = [month["month"] for month in months]
    symbols = ["circle" if month["compared"] else "circle-open" for month in months]
    data: list[Json] = [
        {
            "type": "scatter",
            "mode": "lines",
            "name": "plan",
            "x": names,
            "y": [month["plan"][key] for month in months],
            "line": {"color": theme.calm, "width": 2},
            "hovertemplate": f"%{{x}}, plan: %{{y:,.0f}} {unit}<extra></extra>",
        },
        {
            "type": "scatter",
            "mode": "markers",
            "name": "on record",
            "x": names,
            "y": [month["so_far"][key] for month in months],
            "marker": {"color": theme.ink, "size": 9, "symbol": symbols},
            "hovertemplate": f"%{{x}}, on record: %{{y:,.0f}} {unit}<extra></extra>",
        },
    ]
    figure: Json = {"data": data, "layout": layout(theme, height=220, y_title=unit)}
    figure["layout"]["xaxis"]["type"] = "category"
    return figure


def guess_curves(curve: dict[str, list[float]], record: float | None, theme: Theme) -> Json:
    """Draw a guess, its record and what both say.

    Parameters
    ----------
    curve : dict
        ``at``, ``guess`` and ``now``: values and densities, each at its highest 1.
    record : float or None
        The record's mean.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    rows = (("guess", "guessed", theme.calm, "dot"), ("now", "known now", theme.other, "solid"))
    data: list[Json] = [
        {
            "type": "scatter",
            "mode": "lines",
            "name": label,
            "x": curve["at"],
            "y": curve[key],
            "line": {"color": colour, "dash": dash, "width": 2},
            "hoverinfo": "skip",
        }
        for key, label, colour, dash in rows
    ]
    if record is not None:
        data.append(
            {
                "type": "scatter",
                "mode": "lines",
                "name": "on record",
                "x": [record, record],
                "y": [0.0, 1.0],
                "line": {"color": theme.bad, "width": 2},
                "hovertemplate": "on record: %{x:.3g}<extra></extra>",
            }
        )
    figure: Json = {"data": data, "layout": layout(theme, height=150)}
    figure["layout"]["yaxis"] |= {"visible": False, "range": [0.0, 1.05]}
    return figure


def reserve_days(days: Sequence[float], without: Sequence[float], theme: Theme) -> Json:
    """Draw the days without delivery by month, with and without oil held back.

    Parameters
    ----------
    days, without : sequence of float
        Twelve each. [days]
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    rows = (
        ("with what is held back", days, theme.other),
        ("with nothing held back", without, theme.calm),
    )
    data: list[Json] = [
        {
            "type": "bar",
            "name": label,
            "x": list(MONTHS),
            "y": list(values),
            "marker": {"color": colour},
            "hovertemplate": f"%{{x}}, {label}: %{{y:.1f}} days<extra></extra>",
        }
        for label, values, colour in rows
    ]
    return {"data": data, "layout": layout(theme, height=220, y_title="days")}
