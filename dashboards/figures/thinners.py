"""Thinners compared: money kept a year, tie prices, share against temperature, energy."""

from collections.abc import Sequence
from typing import Any

from dashboards.figures.words import label
from dashboards.theme import Theme, layout
from econ.ground.written import Numbers

Json = dict[str, Any]

_DASHES = ("solid", "dash", "dot", "dashdot", "longdash", "longdashdot")
_SYMBOLS = ("circle", "square", "diamond", "triangle-up", "x", "star")


def _hues(theme: Theme) -> tuple[str, ...]:
    return (theme.other, theme.bad, theme.good, theme.cost, theme.ink, theme.calm)


def lines(
    prices: Sequence[float],
    savings: Sequence[tuple[str, Sequence[float | None]]],
    ties: Sequence[tuple[float, float, str]],
    now: float | None,
    write: Numbers,
    theme: Theme,
) -> Json:
    """Draw the year's saving with each offer as one thinner's price moves.

    Parameters
    ----------
    prices : sequence of float
        Of the thinner that is moved. [currency per volume]
    savings : sequence of (name, values)
        Year's saving after one's own time, by offer. [currency per year]
    ties : sequence of (price, saving, words)
        Crossings to mark.
    now : float or None
        Today's price. [currency per volume]
    write : Numbers
        How the farm's numbers are written.
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    hues = _hues(theme)
    data: list[Json] = [
        {
            "type": "scatter",
            "mode": "lines",
            "name": name,
            "x": list(prices),
            "y": list(values),
            "line": {"color": hues[k % len(hues)], "dash": _DASHES[k % len(_DASHES)], "width": 3},
            "hovertemplate": f"{name} at {write.sign}%{{x:.2f}}/{write.volume_unit}: "
            f"{write.sign}%{{y:,.0f}} a year<extra></extra>",
        }
        for k, (name, values) in enumerate((label(n, 60), v) for n, v in savings)
    ]
    if ties:
        data.append(_ties(ties, theme))
    figure: Json = {
        "data": data,
        "layout": layout(theme, height=380, x_title=write.price_unit, y_title=f"{write.sign}/year"),
    }
    if now is not None:
        figure["layout"] |= _today(now, f"now {write.price(now)}", theme)
    return figure


def _ties(ties: Sequence[tuple[float, float, str]], theme: Theme) -> Json:
    """Mark where two offers change places."""
    ring = {"symbol": "circle-open", "size": 15, "color": theme.ink, "line": {"width": 3}}
    return {
        "type": "scatter",
        "mode": "markers",
        "name": "change places",
        "x": [tie[0] for tie in ties],
        "y": [tie[1] for tie in ties],
        "text": [label(tie[2], 60) for tie in ties],
        "marker": ring,
        "hovertemplate": "%{text}<extra></extra>",
    }


def _today(now: float, words: str, theme: Theme) -> Json:
    """Draw today's price as a line with its words at the foot."""
    line = {"color": theme.faint, "dash": "dot"}
    ends = {"x0": now, "x1": now, "yref": "paper", "y0": 0, "y1": 1}
    foot = {"x": now, "yref": "paper", "y": 0, "yanchor": "bottom", "xanchor": "left"}
    return {
        "shapes": [{"type": "line", "line": line, **ends}],
        "annotations": [{"showarrow": False, "text": words, **foot}],
    }


def shares(
    temperatures: Sequence[float],
    curves: Sequence[tuple[str, Sequence[float | None]]],
    unit: str,
    theme: Theme,
) -> Json:
    """Draw the thinner share needed against the fuel's temperature.

    Parameters
    ----------
    temperatures : sequence of float
        In the file's unit.
    curves : sequence of (name, shares)
        None where the thinner itself is too thick. [-]
    unit : str
        "°F" or "°C".
    theme : Theme
        Colours.

    Returns
    -------
    dict
        A plotly figure.
    """
    hues = _hues(theme)
    figure: Json = {
        "data": [
            {
                "type": "scatter",
                "mode": "lines+markers",
                "name": name,
                "x": list(temperatures),
                "y": [None if value is None else 100.0 * value for value in values],
                "line": {"color": hues[k % len(hues)], "dash": _DASHES[k % len(_DASHES)]},
                "marker": {"symbol": _SYMBOLS[k % len(_SYMBOLS)], "size": 7},
                "hovertemplate": f"{name} at %{{x:.0f}} {unit}: %{{y:.0f}} % thinner"
                "<extra></extra>",
            }
            for k, (name, values) in enumerate((label(n, 60), v) for n, v in curves)
        ],
        "layout": layout(
            theme,
            height=340,
            x_title=f"fuel temperature at the pump, {unit}",
            y_title="thinner in the mix, %",
        ),
    }
    figure["layout"]["yaxis"]["rangemode"] = "tozero"
    return figure


def energy(rows: Sequence[tuple[str, float]], theme: Theme) -> Json:
    """Draw the heat in a volume of each blend against diesel's.

    Parameters
    ----------
    rows : sequence of (name, ratio)
        Heat against diesel's. [-]
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
                "y": [label(name) for name, _ in rows],
                "x": [100.0 * value for _, value in rows],
                "marker": {"color": theme.cost},
                "text": [f"{100.0 * value:.1f} %" for _, value in rows],
                "textposition": "inside",
                "insidetextanchor": "end",
                "hovertemplate": "%{y}: %{text} of diesel's heat a volume<extra></extra>",
            }
        ],
        "layout": layout(theme, height=90 + 42 * max(len(rows), 1), x_title="%, diesel 100"),
    }
    figure["layout"]["yaxis"]["autorange"] = "reversed"
    figure["layout"]["shapes"] = [
        {
            "type": "line",
            "x0": 100,
            "x1": 100,
            "yref": "paper",
            "y0": 0,
            "y1": 1,
            "line": {"color": theme.other, "dash": "dot", "width": 2},
        }
    ]
    return figure
