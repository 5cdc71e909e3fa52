"""What is handed over: the page, the workbook and the tables of a saved farm, as downloads.

The bytes are those of the `present` command, so a figure is the same wherever it is read.
"""

from pathlib import PurePath
from urllib.parse import quote

from dash import html
from dash.development.base_component import Component
from flask import Flask, Response, abort

from dashboards.present import RENDERINGS
from dashboards.web.documents import Folder
from econ.answers.decision import decide
from econ.answers.records import load_with_records
from econ.ground.errors import ScenarioError

_KINDS = {
    "html": ("One page (HTML)", "text/html"),
    "xlsx": ("Workbook (XLSX)",
             "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"),
    "csv": ("Table (CSV)", "text/csv"),
}  # fmt: skip
_ROUTE, _CARDS = "/handed", "/cards"


def links(name: str | None) -> list[Component]:
    """Give links to what can be handed over of a saved farm.

    Parameters
    ----------
    name : str or None
        The farm's file; None while it is in none.

    Returns
    -------
    list of Component
    """
    if name is None:
        return [html.P("Save the farm to a file to hand over its page and workbook.")]
    plain = PurePath(name).stem
    made: list[Component] = [html.Span("As saved, to hand over: ")]
    for kind, (label, _) in _KINDS.items():
        href = f"{_ROUTE}/{kind}/{quote(name)}"
        made.append(html.A(label, href=href, download=f"{plain}.{kind}", className="hand"))
    return made


def cards_link(name: str | None) -> Component:
    """Give the link to the cards of a saved farm.

    Parameters
    ----------
    name : str or None
        The farm's file; None while it is in none.

    Returns
    -------
    Component
    """
    if name is None:
        return html.P("Save the farm to a file to print its cards.")
    return html.A(
        "Cards for the shed, to print: load, batch, mixes, buying", href=f"{_CARDS}/{quote(name)}",
        target="_blank", className="hand",
    )  # fmt: skip


def _cards(folder: Folder, name: str) -> Response:
    """Give the cards of a farm in the folder as a page."""
    from dashboards.page.cards import cards_page
    from econ.answers.cards_document import cards_document
    from econ.answers.document import answer

    path = folder.place(name)
    if not path.is_file():
        abort(404)
    try:
        document = cards_document(answer(load_with_records(path)[0]))
    except ScenarioError as error:
        return Response(str(error), 400, mimetype="text/plain")
    return Response(cards_page(document), mimetype="text/html")


def register(server: Flask, folder: Folder) -> None:
    """Serve what is handed over; a name outside the folder is refused.

    Parameters
    ----------
    server : Flask
        The app's server.
    folder : Folder
        Where farm files lie.
    """

    def handed(kind: str, name: str) -> Response:
        if kind not in _KINDS:
            abort(404)
        path = folder.place(name)
        if not path.is_file():
            abort(404)
        try:
            decision = decide(load_with_records(path)[0])
        except ScenarioError as error:
            return Response(str(error), 400, mimetype="text/plain")
        made = RENDERINGS[f".{kind}"](decision, False)
        return Response(made, mimetype=_KINDS[kind][1])

    server.add_url_rule(f"{_ROUTE}/<kind>/<name>", "handed", handed)
    server.add_url_rule(f"{_CARDS}/<name>", "cards", lambda name: _cards(folder, name))
