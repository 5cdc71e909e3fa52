"""What is handed over: the page, the workbook and the tables of a saved farm, as downloads.

The bytes are those of the `present` command, so a figure is the same wherever it is read.
"""

import secrets
import threading
from functools import partial
from pathlib import PurePath
from urllib.parse import quote

from dash import html
from dash.development.base_component import Component
from flask import Flask, Response, abort, request

from dashboards.output import OutputError
from dashboards.present import RENDERINGS
from dashboards.web.documents import Folder, short
from dashboards.web.log_folder import today
from econ.answers.decision import decide
from econ.answers.records import load_with_records
from econ.ground.errors import ScenarioError

_KINDS = {
    "html": ("One page (HTML)", "text/html"),
    "pdf": ("The same as a PDF", "application/pdf"),
    "xlsx": (
        "Workbook (XLSX)",
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ),
    "csv": ("Table (CSV)", "text/csv"),
}
_ROUTE, _CARDS, _CARDS_PDF = "/download", "/cards", "/cards-pdf"
_CARD_KINDS = {".html": "text/html", ".pdf": "application/pdf"}
# Only a page of ours knows the key of this run: it proves, as no header of a plain link does,
# that a farm is worked for its owner.
KEY = secrets.token_urlsafe(16)
# One run at a time: a second would only slow the first.
_WORKING = threading.Lock()


def links(name: str | None) -> list[Component]:
    """Return links to what can be downloaded of a saved farm.

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
        href = f"{_ROUTE}/{kind}/{quote(name)}?key={KEY}"
        made.append(html.A(label, href=href, download=f"{plain}.{kind}", className="hand"))
    return made


def cards_link(name: str | None) -> Component:
    """Return the links to the cards of a saved farm, as a page and as a PDF.

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
    words = "Cards for the shed, to print: load, batch, mixes, buying"
    page = html.A(
        words, href=f"{_CARDS}/{quote(name)}?key={KEY}", target="_blank", className="hand"
    )
    sheets = html.A(
        "The same cards as a PDF",
        href=f"{_CARDS_PDF}/{quote(name)}?key={KEY}",
        download=f"{PurePath(name).stem}-cards.pdf",
        className="hand",
    )
    return html.Div([page, " ", sheets])


def _is_ours() -> bool:
    """Say whether a request shows the key that our pages put into their links."""
    shown = request.args.get("key", "")
    return secrets.compare_digest(shown.encode(), KEY.encode())


def _foreign() -> Response:
    return Response("open this from the page of the farm", 403, mimetype="text/plain")


def _faults_answer(error: ScenarioError) -> Response:
    """Tell a farm's faults, without the folders they lie in."""
    text = "\n".join(str(problem) for problem in short(error.problems))
    return Response(text, 400, mimetype="text/plain")


def _cards(folder: Folder, name: str, suffix: str) -> Response:
    """Return the cards of a farm in the folder as a page or a PDF."""
    from dashboards.cards import RENDERINGS as CARDS
    from econ.answers.cards_document import cards_document
    from econ.answers.document import answer

    if not _is_ours():
        return _foreign()
    path = folder.place(name)
    if not path.is_file():
        abort(404)
    try:
        with _WORKING:
            made = CARDS[suffix](cards_document(answer(load_with_records(path)[0])))
    except ScenarioError as error:
        return _faults_answer(error)
    except OutputError as error:
        return Response(str(error), 503, mimetype="text/plain")
    return Response(made, mimetype=_CARD_KINDS[suffix])


def register(server: Flask, folder: Folder) -> None:
    """Serve what is downloaded; a name outside the folder is refused.

    Parameters
    ----------
    server : Flask
        The app's server.
    folder : Folder
        Where farm files lie.
    """

    def download(kind: str, name: str) -> Response:
        if kind not in _KINDS:
            abort(404)
        if not _is_ours():
            return _foreign()
        path = folder.place(name)
        if not path.is_file():
            abort(404)
        try:
            with _WORKING:
                decision = decide(load_with_records(path)[0], today=today())
                made = RENDERINGS[f".{kind}"](decision, False)
        except ScenarioError as error:
            return _faults_answer(error)
        except OutputError as error:
            return Response(str(error), 503, mimetype="text/plain")
        return Response(made, mimetype=_KINDS[kind][1])

    server.add_url_rule(f"{_ROUTE}/<kind>/<name>", "download", download)
    for route, suffix in ((_CARDS, ".html"), (_CARDS_PDF, ".pdf")):
        server.add_url_rule(
            f"{route}/<name>", f"cards{suffix[1:]}", partial(_cards, folder, suffix=suffix)
        )
