"""Present: the page to turn the laptop round with."""

from dash import Dash, html
from dash.development.base_component import Component


def layout() -> Component:
    """Give the page."""
    return html.Div()


def register(app: Dash) -> None:
    """Register the page's callbacks."""
