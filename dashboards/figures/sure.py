"""How sure: the balance as a fan, what matters most, and the size of the tank."""

from collections.abc import Sequence
from typing import Any

from dashboards.figures.words import label
from dashboards.theme import Theme, layout
from econ.ground.written import Numbers

Json = dict[str, Any]


def fan(years: Sequence[Sequence[float | None]], write: Numbers, theme: Theme) -> Json:
    """Draw the running balance's bad, middle and good case by year.

    Parameters
    ----------
    years : sequence of (low, middle, high)
        Years 0..N. [currency]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    looks = (
        (2, "1 in 20 above", theme.good, "dash"),
        (1, "middle", theme.ink, "solid"),
        (0, "1 in 20 below", theme.bad, "dot"),
    )
    figure: Json = {
        "data": [
            {
                "type": "scatter",
                "mode": "lines+markers",
                "name": name,
                "x": list(range(len(years))),
                "y": [year[at] for year in years],
                "line": {"color": colour, "dash": dash, "width": 3},
                "text": [write.money(year[at]) for year in years],
                "hovertemplate": f"{name}, end of year %{{x}}: %{{text}}<extra></extra>",
            }
            for at, name, colour, dash in looks
        ],
        "layout": layout(theme, height=300, x_title="end of year", y_title=write.sign),
    }
    figure["layout"]["yaxis"]["zerolinewidth"] = 3
    return figure


def matters(rows: Sequence[Json], base: float, write: Numbers, theme: Theme) -> Json:
    """Draw what moves the answer most: bars from the low to the high end of each guess.

    Parameters
    ----------
    rows : sequence of dict
        name, low and high (saving at either end). [currency per year]
    base : float
        Saving at likely values. [currency per year]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    figure: Json = {
        "data": [
            {
                "type": "bar",
                "orientation": "h",
                "name": name,
                "y": [label(row["name"]) for row in rows],
                "base": base,
                "x": [row[key] - base for row in rows],
                "marker": {"color": colour, "pattern": {"shape": shape}},
                "text": [write.money(row[key]) for row in rows],
                "textposition": "none",
                "hovertemplate": f"%{{y}} {name}: %{{text}} a year<extra></extra>",
            }
            for key, name, colour, shape in (
                ("low", "at the least guessed", theme.other, ""),
                ("high", "at the most guessed", theme.cost, "/"),
            )
        ],
        "layout": layout(theme, height=110 + 44 * max(len(rows), 1), x_title=f"{write.sign}/year"),
    }
    figure["layout"]["barmode"] = "overlay"
    figure["layout"]["yaxis"]["autorange"] = "reversed"
    return figure


def tanks(points: Sequence[tuple[float, float]], now: float, write: Numbers, theme: Theme) -> Json:
    """Draw the plan's worth a year against the room for oil.

    Parameters
    ----------
    points : sequence of (volume, saving)
        Room for raw and clean oil together; [currency per year].
    now : float
        Room as the farm has it.
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    figure: Json = {
        "data": [
            {
                "type": "scatter",
                "mode": "lines+markers",
                "name": "left in a year",
                "x": [point[0] for point in points],
                "y": [point[1] for point in points],
                "line": {"color": theme.other, "width": 3},
                "text": [write.money(point[1]) for point in points],
                "hovertemplate": f"%{{x:,.0f}} {write.volume_unit} of room: %{{text}} a year"
                "<extra></extra>",
            }
        ],
        "layout": layout(
            theme,
            height=280,
            x_title=f"room for oil, {write.volume_unit}",
            y_title=f"{write.sign}/year",
        ),
    }
    figure["layout"]["shapes"] = [
        {
            "type": "line",
            "x0": now,
            "x1": now,
            "yref": "paper",
            "y0": 0,
            "y1": 1,
            "line": {"color": theme.faint, "dash": "dot"},
        }
    ]
    return figure
