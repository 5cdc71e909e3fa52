"""A farm as each surface shows it, as plain words: terminal, pages, printed page, workbook, CSV."""

import io
import json
import re
from html import unescape
from itertools import count
from pathlib import Path
from typing import Any

from cut import drawn
from openpyxl import load_workbook
from stress.trials import _Within
from web_client import callbacks

from dashboards.csv_tables import csv_text
from dashboards.page.render import page
from dashboards.terminal.decide import render_all
from dashboards.terminal.oils import render_all as terminal_oils
from dashboards.terminal.thinners import render_all as terminal_thinners
from dashboards.web.documents import Folder, open_farm
from dashboards.web.draft import draft_of
from dashboards.web.tabs import TABS
from dashboards.workbook.book import workbook
from econ.answers.comparison_document import oils_document, thinners_document
from econ.answers.decision import Decision, decide
from econ.answers.tables import tables
from econ.farm.files import from_document
from econ.farm.schema import Scenario

SCENARIOS = Path(__file__).parents[1] / "scenarios"
_TAGS = re.compile(r"<(style|script)\b.*?</\1>|<[^>]*>", re.DOTALL)
_TITLES = count(1)


def renamed(document: dict[str, Any]) -> Scenario:
    """Return a farm under a title of its own: pages remember a farm by what its file says."""
    head = {**document["scenario"], "title": f"Farm {next(_TITLES)}"}
    head.pop("extends", None)
    return from_document({**document, "scenario": head}, Path("scratch.toml"))


def worked(scenario: Scenario) -> Decision:
    return decide(scenario, draws=256)


def terminal(scenario: Scenario) -> str:
    """Return what the decision, the thinners and the oils print."""
    parts = [render_all(worked(scenario)), terminal_oils(oils_document(scenario))]
    if scenario.thinners:
        parts.append(terminal_thinners(thinners_document(scenario)))
    return "\n".join(drawn(part, 400) for part in parts)


def printed(scenario: Scenario) -> str:
    """Return the words of the printed page, its further sheets with it."""
    return unescape(_TAGS.sub(" ", page(worked(scenario), full=True))).replace("\u2060", "")


def cells(scenario: Scenario) -> list[list[Any]]:
    """Return the rows of all sheets of the workbook; formulas are not worked out."""
    book = load_workbook(io.BytesIO(workbook(worked(scenario).answer)))
    return [[cell.value for cell in row] for sheet in book for row in sheet.iter_rows()]


def workbook_words(scenario: Scenario) -> str:
    """Return the texts and the formulas of the workbook."""
    return "\n".join(str(value) for row in cells(scenario) for value in row if value is not None)


def csv_words(scenario: Scenario) -> str:
    """Return all tables as the CSV files have them."""
    return "\n".join(csv_text(frame) for frame in tables(worked(scenario).answer).values())


class Pages:
    """The local pages in this process, over a folder with one farm."""

    def __init__(self) -> None:
        self._client = _Within(SCENARIOS)
        self._rows = callbacks(self._client)
        self._opened = open_farm(Folder(SCENARIOS), "hollowmere.toml")

    def words(self, document: dict[str, Any], *outputs: str) -> str:
        """Return what the callbacks that fill parts of a page answer, every tab with it."""
        draft = self._draft(document)
        values = {"draft.data": draft, "settled.data": {"draft": draft, "levers": None}}
        asked = [row for row in self._rows if row["output"].strip(".").split(".")[0] in outputs]
        assert len(asked) == len(outputs), f"a page's part among {outputs} is gone"
        texts = []
        for row in asked:
            keys = list(TABS) if row["output"] == "tab-body.children" else [""]
            for key in keys:
                status, text = self._client.call(row, {**values, "tab.value": key})
                assert status in (200, 204), (row["output"], text)
                texts.append(_shown(text))
        return "\n".join(texts)

    def at(self, address: str) -> str:
        """Return the list of pages and the page that stand at an address."""
        [row] = [row for row in self._rows if row["output"].startswith("..nav.children")]
        status, text = self._client.call(row, {"url.pathname": address, "open-yet.data": True})
        assert status == 200, text
        return _shown(text)

    def form(self, document: dict[str, Any], table: str) -> str:
        """Return the form of a table's first entry, which may be unfinished."""
        [row] = [row for row in self._rows if row["output"] == "form.children"]
        values = {
            "draft.data": self._draft(document),
            "section.value": table,
            "entry.value": "0",
            "revision.data": 1,
        }
        status, text = self._client.call(row, values)
        assert status == 200, text
        return _shown(text)

    def _draft(self, document: dict[str, Any]) -> dict[str, Any]:
        return {**draft_of(self._opened, 1), "document": _as_sent(document)}


def _as_sent(document: dict[str, Any]) -> dict[str, Any]:
    """Return a farm's document as a page holds it, dates as text."""
    sent: dict[str, Any] = json.loads(json.dumps(document, default=str))
    return sent


def _shown(text: bytes) -> str:
    """Return an answer's texts; pages are sent as markup inside JSON."""
    whole = "\n".join(_strings(json.loads(text))) if text else ""
    return unescape(_TAGS.sub(" ", whole))


def _strings(part: Any) -> list[str]:
    if isinstance(part, str):
        return [part]
    inner = part.values() if isinstance(part, dict) else part if isinstance(part, list) else ()
    return [text for one in inner for text in _strings(one)]
