"""Thinners: which keeps most money a year, how much of each, in which machine."""

from dash import Dash, html
from dash.development.base_component import Component


def layout() -> Component:
    """Give the page."""
    return html.Div()


def register(app: Dash) -> None:
    """Register the page's callbacks."""
