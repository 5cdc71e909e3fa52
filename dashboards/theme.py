"""Colours and chart manners, in one place, for light and dark screens.

The hues are those of Okabe and Ito's palette, which readers with any colour vision can tell
apart, darkened or lightened until text and marks stand out from their ground.
"""

from typing import Any

from msgspec import Struct

Json = dict[str, Any]


class Theme(Struct, frozen=True):
    """What one scheme looks like."""

    ink: str
    faint: str
    grid: str
    good: str
    bad: str
    cost: str
    other: str
    calm: str


THEMES: dict[str, Theme] = {
    "light": Theme(
        ink="#1d2a2f",
        faint="#56646a",
        grid="#d9dcd6",
        good="#00735a",
        bad="#b5480a",
        cost="#8a6d00",
        other="#0b62a0",
        calm="#8b969b",
    ),
    "dark": Theme(
        ink="#eceee8",
        faint="#a9b4b8",
        grid="#3b474c",
        good="#2fc19b",
        bad="#f0864b",
        cost="#e0b93a",
        other="#63b3ee",
        calm="#7f8b90",
    ),
}

_FONT = "system-ui, 'Segoe UI', 'Noto Sans', Arial, sans-serif"


def theme_of(scheme: object) -> Theme:
    """Return a scheme's theme; light for anything unknown."""
    return THEMES["dark"] if scheme == "dark" else THEMES["light"]


def layout(theme: Theme, *, height: int, y_title: str = "", x_title: str = "") -> Json:
    """Return what all charts have in common.

    Parameters
    ----------
    theme : Theme
        Colours.
    height : int
        [px]
    y_title, x_title : str
        What an axis measures, with its unit.

    Returns
    -------
    dict
        A plotly layout.
    """
    axis = {
        "automargin": True,
        "gridcolor": theme.grid,
        "zerolinecolor": theme.faint,
        "linecolor": theme.grid,
        "fixedrange": True,
    }
    return {
        "height": height,
        "margin": {"l": 8, "r": 8, "t": 8, "b": 8},
        "paper_bgcolor": "rgba(0,0,0,0)",
        "plot_bgcolor": "rgba(0,0,0,0)",
        "font": {"color": theme.ink, "family": _FONT, "size": 13},
        "xaxis": {**axis, "title": {"text": x_title}},
        "yaxis": {**axis, "title": {"text": y_title}},
        "legend": {"orientation": "h", "y": 1.02, "yanchor": "bottom", "x": 0},
        "hoverlabel": {"font": {"family": _FONT}},
        "bargap": 0.35,
        "uirevision": "same",
    }
