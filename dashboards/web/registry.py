"""The pages: each a row. A new page is a file in `pages/` and a line here."""

from collections.abc import Callable

from dash import Dash
from dash.development.base_component import Component
from msgspec import Struct

from dashboards.web.documents import Folder
from dashboards.web.pages import (
    compare,
    decide,
    farm,
    farms,
    plan,
    present,
    questions,
    records,
    thinners,
)


class Page(Struct, frozen=True):
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
    needs_farm : bool
        Whether it shows a farm that is open.
    """

    path: str
    label: str
    layout: Callable[[Folder, dict[str, float]], Component]
    register: Callable[[Dash, Folder], None]
    needs_farm: bool = True


PAGES = (
    Page("/", "Decide", decide.layout, decide.register),
    Page("/thinners", "Thinners", thinners.layout, thinners.register),
    Page("/plan", "Which plan", plan.layout, plan.register),
    Page("/compare", "Side by side", compare.layout, compare.register),
    Page("/present", "Present", present.layout, present.register),
    Page("/records", "Running it", records.layout, records.register),
    Page("/questions", "Twelve questions", questions.layout, questions.register),
    Page("/farm", "Its numbers", farm.layout, farm.register),
    Page("/farms", "Farms", farms.layout, farms.register, needs_farm=False),
)


def page_at(path: object, folder: Folder, *, open_yet: bool) -> Page:
    """Find the page at an address that came from a browser.

    Parameters
    ----------
    path : object
        The address; the first page stands for an unknown one.
    folder : Folder
        Where farms lie.
    open_yet : bool
        Whether a farm is open; until then the folder's farms are shown, or the questions
        where it has none.

    Returns
    -------
    Page
    """
    result = next((page for page in PAGES if page.path == path), PAGES[0])
    if open_yet or not result.needs_farm:
        return result
    start = "/farms" if folder.names() else "/questions"
    return next(page for page in PAGES if page.path == start)
