"""The pages: each a row. A new page is a file in `pages/` and a line here."""

from collections.abc import Callable
from dataclasses import dataclass

from dash import Dash
from dash.development.base_component import Component

from dashboards.web.documents import Folder
from dashboards.web.pages import decide, farm, present, thinners


@dataclass(frozen=True, slots=True)
class Page:
    """One page: where it stands, what it is called, what it holds and what answers it.

    Parameters
    ----------
    path : str
        Its address.
    label : str
        Its name in the list of pages.
    layout : callable
        From the folder and the factors of the levers that are turned to its components.
    register : callable
        Registers its callbacks with the app, for a folder.
    """

    path: str
    label: str
    layout: Callable[[Folder, dict[str, float]], Component]
    register: Callable[[Dash, Folder], None]


PAGES = (
    Page("/", "Decide", decide.layout, decide.register),
    Page("/thinners", "Thinners", thinners.layout, thinners.register),
    Page("/present", "Present", present.layout, present.register),
    Page("/farm", "The farm", farm.layout, farm.register),
)


def page_at(path: object) -> Page:
    """Find the page at an address that came from a browser; the first for an unknown one."""
    return next((page for page in PAGES if page.path == path), PAGES[0])
