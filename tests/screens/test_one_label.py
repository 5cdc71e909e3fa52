"""One label, one value: every labelled figure of every surface of every demo farm, compared."""

import io
import re
from functools import cache
from pathlib import Path
from typing import Any

import labelled
import pytest
from labelled import Gathered
from openpyxl import load_workbook
from presenting import FARMS, LISTS, changed

from dashboards.page.render import page
from dashboards.terminal import chances as chances_page
from dashboards.terminal import decide as decide_page
from dashboards.terminal import oils as oils_page
from dashboards.terminal import plan as plan_page
from dashboards.terminal import thinners as thinners_page
from dashboards.theme import theme_of
from dashboards.web import tabs
from dashboards.web.compared import view_of
from dashboards.web.decided import decided
from dashboards.web.flat import markup
from dashboards.web.pages import decide as decide_web
from dashboards.web.pages import present as present_web
from dashboards.web.pages import thinners as thinners_web
from dashboards.web.sure import sure_of
from dashboards.workbook.book import _FIGURES, workbook
from econ.answers.decision import Decision
from econ.answers.outlook import outlook, outlook_json
from econ.answers.plan import which_plan_document
from econ.answers.rows import COST_LINES, LEDGERS, MEASURES, RUNGS, SAVINGS
from econ.answers.turned import Prepared
from econ.farm.files import load
from econ.farm.schema import Scenario
from econ.ground.labels import FUEL

# Few, and the same on every surface.
DRAWS = 512
LIGHT = theme_of("light")
_UNITS = {"money": "money", "money_per_year": "money", "money_per_hour": "money",
          "price_per_volume": "money", "hours": "h", "years": "years", "rate": "%", "share": "%",
          "ratio": "", "count": ""}  # fmt: skip


def _names(scenario: Scenario) -> frozenset[str]:
    entries = (entry for key in LISTS for entry in getattr(scenario, key))
    return frozenset(entry.name for entry in entries)


def _terminal(
    found: Gathered, scenario: Scenario, decision: Decision, view: Any, sources: Any
) -> None:
    labelled.terminal(found, "decide", decide_page.render(decision))
    labelled.terminal(found, "decide --all", decide_page.render_all(decision))
    odds = outlook_json(outlook(scenario))
    labelled.terminal(found, "chances", chances_page.render(odds))
    labelled.terminal(found, "chances --all", chances_page.render_all(odds))
    labelled.terminal(found, "thinners --all", thinners_page.render_all(view.document))
    labelled.terminal(found, "oils --all", oils_page.render_all(sources))
    best, _ = which_plan_document(scenario, "time_paid")
    labelled.terminal(found, "plan", plan_page.render(best), "the best plan")


def _pages(found: Gathered, result: Any, view: Any) -> None:
    def enter(name: str, part: Any, of: str = "") -> None:
        labelled.page(found, name, markup(part), of, spoken=name in ("Decide", "Present"))

    enter("Decide", [decide_web.moved(result, {}), decide_web.still(result)])
    for key in tabs.TABS:
        enter(f"Decide, {key}", tabs.tab(key, result, {}, LIGHT))
    for k, scope in enumerate(view.document["scopes"]):
        enter("Thinners", thinners_web.body(result, view, k, LIGHT), scope["machine"] or "")
        if scope["best"] is not None:
            ties = thinners_web.ties(result.write, view, k, scope["best"], LIGHT)
            enter("Thinners", ties, scope["machine"] or "")
    enter("Present", present_web.body(result, {}, LIGHT))


def _json(found: Gathered, decision: Decision) -> None:
    doc = decision.document

    def enter(label: str, dimension: str, value: Any, *of: str, ledger: str = "") -> None:
        unit = _unit(decision, dimension)
        scaled = 100.0 * value if value is not None and unit == "%" else value
        found.value(label, of, ledger, unit, scaled)

    for row in FUEL:
        enter(row.label, row.dimension, doc["fuel"][row.key])
    for line in COST_LINES:
        if doc["costs"][line.key]:
            enter(line.label, "money", doc["costs"][line.key])
    for rung in RUNGS:
        enter(rung.label, "price_per_volume", doc["rungs"]["per_replaced"][rung.key])
    for saving in SAVINGS:
        enter(saving.label, "money", doc["savings"][saving.key])
    for measure in MEASURES:
        for kind in LEDGERS:
            value = doc["ledgers"][kind.key][measure.key]
            if measure.dimension != "flag":
                enter(measure.label, measure.dimension, value, ledger=kind.key[5:])
    for machine in doc["machines"]:
        enter("saves a year", "money", machine["saving"], machine["name"])
        enter("fuel replaced", "volume", machine["fuel_replaced"], machine["name"])


@cache
def _first_sheet() -> list[tuple[str, str, str]]:
    """Read the label, the name and the unit of each figure of the workbook's first sheet."""
    answer = Prepared.of(load("scenarios/wrenfold.toml")).at({}).answer
    sheet = load_workbook(io.BytesIO(workbook(answer)))["Summary"]
    rows = [row for row in sheet.iter_rows(max_col=3, values_only=True) if row[1] is not None]
    return [(str(a), str(b).removeprefix("="), str(c).strip()) for a, b, c in rows if c != "Unit"]


def _workbook(found: Gathered, decision: Decision) -> None:
    """Enter the figures of the first sheet; its formulas are recalculated by tests of their own."""
    worth, dimensions = _by_name(decision.document), {name: d for name, _, d in _FIGURES}
    rows = _first_sheet()
    assert len(rows) >= 10
    for label, name, _ in rows:
        found.value(label, (), "", _unit(decision, dimensions[name]), worth[name], "workbook")


def _unit(decision: Decision, dimension: str) -> str:
    return {**_UNITS, "volume": decision.numbers.volume_unit}[dimension]


def _by_name(doc: dict[str, Any]) -> dict[str, Any]:
    """Find what each of the workbook's names is worth, as its own tests hold it to."""
    names: dict[str, Any] = {f"typical_{key}": value for key, value in doc["fuel"].items()}
    names |= {f"typical_saving_{key}": value for key, value in doc["savings"].items()}
    names["pay_per_hour"] = doc["savings"]["pay_per_hour"]
    for ladder, rungs in doc["rungs"].items():
        names |= {f"typical_{ladder}_{key}": value for key, value in rungs.items()}
    for kind, ledger in doc["ledgers"].items():
        names |= {f"{kind}_{key}": value for key, value in ledger.items()}
    return {**names, "kit_to_buy": doc["kit_to_buy"]}


def everything(path: Path) -> Gathered:
    """Gather every labelled figure of a farm."""
    scenario = changed(load(path), {("uncertainty",): {"draws": DRAWS}})
    result = Prepared.of(scenario).at({})
    decision, view = decided(result), view_of(result)
    ledger = (
        "paid" if decision.document["advice"]["key"] in ("start", "try small first") else "free"
    )
    found = Gathered(_names(scenario), scenario.scenario.currency, ledger)
    _json(found, decision)
    _terminal(found, scenario, decision, view, sure_of(result, {}).sources)
    _pages(found, result, view)
    labelled.page(found, "printed page", page(decision, full=True), spoken=True)
    _workbook(found, decision)
    return found


# The words for what is asked most; no other stand for it on any surface.
_WORDS = {
    "left": {saving.label.lower() for saving in SAVINGS},
    "worth": {"worth a year", "worth in today's money", "worth knowing it first"},
    "pay for an hour": {"pay for an hour your time"},
    "your hours": set(),
    "your own hours": {"your own hours a year"},
}


def other_words(found: Gathered) -> list[str]:
    """Name every label that says a figure of the decision in words of its own."""
    terms = {term for key in found.figures for term in key.label.split(" | ") if "“" not in term}
    return sorted(
        term
        for term in terms
        for start, allowed in _WORDS.items()
        if term.startswith(start) and re.sub(r" #\d+$", "", term) not in allowed
    )


@pytest.mark.parametrize("path", FARMS, ids=lambda path: path.stem)
def test_no_label_has_two_values_and_no_figure_other_words(path: Path) -> None:
    found = everything(path)

    assert len(found.figures) > 1_000
    assert found.shared() > 100
    assert found.contradictions() == []
    assert other_words(found) == []


def test_the_comparison_sees_a_figure_that_differs() -> None:
    """A changed figure of one surface, a label of two ledgers, a rounding too far."""
    found = Gathered(frozenset({"Tractor"}), "USD", "free")
    found.table("a", ("Machine", "saves a year"), [("Tractor", "$1,750")])
    found.words("b", "The plan leaves $100 a year after tax for 89 hours of work.")
    found.value("Worth a year", (), "free", "money", 97.9)
    assert found.contradictions() == []

    found.table("c", ("", "saves a year"), [("Tractor (now)", "$1,752")])
    found.table("c", ("", "time free", "time paid"), [("Worth a year", "$106", "-$9")])
    assert [fault.split(" (")[0] for fault in found.contradictions()] == [
        "saves a year",
        "worth a year",
    ]
