"""A row added to a registry is asked for on every surface; a forgotten place is named.

Each test does what a contributor would: the row is laid behind the registry, and nothing else is
touched. Pages answer through their own callbacks, in this process.
"""

import re
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import surfaces
from cut import drawn
from dash import html
from surfaces import Pages, renamed

from dashboards import command
from dashboards.commands import COMMANDS
from dashboards.terminal.chances import render_all as terminal_chances
from dashboards.terminal.decide import render
from dashboards.terminal.fields import render as terminal_fields
from dashboards.web.registry import PAGES, Page
from econ.advice.cautions import CAUTIONS, Caution
from econ.answers.outlook import outlook, outlook_json
from econ.farm.editing import UNSHOWN
from econ.farm.field_words import WAY_QUESTIONS, way_fields
from econ.farm.files import load
from econ.farm.schema import TABLES, about
from econ.ground.records import replace
from econ.ground.sources import SOURCES
from econ.model.costs import COST_LINES, CostLine
from econ.model.ledger import FLOW_LINES, FlowLine
from econ.model.levers import LEVERS, Lever
from econ.model.measures import MEASURES, SURFACES, Measure

FARM = load(Path(__file__).parents[2] / "scenarios" / "hollowmere.toml").merged
SHOWN = {
    "terminal": surfaces.terminal,
    "printed page": surfaces.printed,
    "workbook": surfaces.workbook_words,
    "CSV": surfaces.csv_words,
}
Add = Callable[[tuple[Any, ...], Any], None]


@pytest.fixture(scope="module")
def pages() -> Pages:
    return Pages()


def everywhere(pages: Pages, *outputs: str) -> dict[str, str]:
    """Return the words of each surface, by its name."""
    shown = {name: words(renamed(FARM)) for name, words in SHOWN.items()}
    return shown | {"pages": pages.words(renamed(FARM).merged, *outputs)}


def lacking(shown: dict[str, str], words: str) -> list[str]:
    return [name for name, text in shown.items() if words.lower() not in text.lower()]


def test_a_cost_line_is_named_on_every_surface_that_lists_costs(pages: Pages, add: Add) -> None:
    line = CostLine(
        "stirring",
        "Stirring the drums",
        "cash",
        "What stirring costs.",
        "blend",
        "prices",
        borne=lambda burned: 0.02 * burned.blend,
    )
    add(COST_LINES, line)

    shown = everywhere(pages, "tab-body")
    # The printed page sets costs by rung alone.
    assert lacking(shown, line.label) == ["printed page"]
    assert "typical_cost_stirring" in shown["workbook"]


def test_a_flow_line_moves_every_surface_and_is_named_where_years_are_listed(
    pages: Pages, add: Add
) -> None:
    before = everywhere(pages, "tab-body")

    def grant(money: Any) -> list[Any]:
        years = range(money.inputs.finance.years + 1)
        return [np.asarray(4_000.0 if year == 1 else 0.0) for year in years]

    line = FlowLine(
        "grant", "Grant for starting", "Paid once.", "saving", lambda _: True, "nothing", grant
    )
    add(FLOW_LINES, line)
    after = everywhere(pages, "tab-body")

    moved = {name for name, text in after.items() if _untitled(text) != _untitled(before[name])}
    assert moved == {*SHOWN, "pages"}
    assert line.label in after["CSV"]
    assert "time_free_line_grant" in after["workbook"]


def _untitled(text: str) -> str:
    return re.sub(r"Farm \d+", "Farm", text)


def test_each_measure_is_shown_where_its_row_says_and_nowhere_else(
    pages: Pages, swap: Callable[[tuple[Any, ...], tuple[Any, ...]], None]
) -> None:
    reason = "For this test."
    new = [Measure("last_flow", "", "last flow", "money", "Of the last year.", "nist_hb135",
                   lambda ledger: ledger.flows[-1])]  # fmt: skip
    new += [
        replace(new[0], key=f"not_on_{k}", not_on={surface: reason})
        for k, surface in enumerate(SURFACES)
    ]
    rows = tuple(replace(row, label=f"Label of {row.key}.") for row in (*MEASURES, *new))
    swap(MEASURES, rows)

    shown = everywhere(pages, "tab-body")
    for surface in SURFACES:
        seen = {row.key for row in rows if row.label in shown[surface]}
        assert seen == {row.key for row in rows if row.on(surface)}, surface
    assert lacking(shown, "Label of last_flow.") == []


def test_a_measure_says_why_it_is_not_shown() -> None:
    for row in MEASURES:
        assert set(row.not_on) <= set(SURFACES)
        assert all(reason.endswith(".") for reason in row.not_on.values())
        assert len(row.not_on) < len(SURFACES)


def test_a_lever_tips_on_the_terminal_as_in_the_document(add: Add) -> None:
    def tests(inputs: Any, factor: Any) -> Any:
        cost = inputs.process.test_cost_per_batch * factor
        return replace(inputs, process=replace(inputs.process, test_cost_per_batch=cost))

    lever = Lever(
        "tests",
        "the cost of testing a batch",
        tests,
        lambda inputs: inputs.process.test_cost_per_batch,
        "money",
    )
    add(LEVERS, lever)
    document = {**FARM, "process": {**FARM["process"], "test_cost_per_batch": 4.0}}
    scenario = renamed(document)
    result = outlook_json(outlook(scenario, draws=256))

    assert {"tests"} <= {tip["lever"] for tip in result["tipping_points"]}
    assert lever.label in drawn(terminal_chances(result), 400)


def test_a_caution_is_said_on_every_surface(pages: Pages, add: Add) -> None:
    caution = Caution(
        "boots",
        99,
        ("household",),
        ("cpsc_generators",),
        False,
        lambda farm: "Rubber boots stand by the door of the shed.",
        "Boots by the door.",
    )
    add(CAUTIONS, caution)

    shown = everywhere(pages, "tab-body", "first-paper")
    assert lacking(shown, "Rubber boots stand by the door of the shed.") == []
    assert "Boots by the door." in shown["printed page"]
    assert lacking(shown, SOURCES["cpsc_generators"]) == []
    decided = drawn(render(surfaces.worked(renamed(FARM))), 400)
    assert "Boots by the door." in decided


def test_a_command_is_listed_and_run(add: Add, capsys: pytest.CaptureFixture[str]) -> None:
    def enter(commands: Any) -> None:
        parser = commands.add_parser("weigh", help="weigh a drum")
        parser.set_defaults(run=lambda arguments: print("4 drums") or 0)

    add(COMMANDS, SimpleNamespace(add=enter, __name__="commands.weigh"))

    assert command.main(["weigh"]) == 0
    with pytest.raises(SystemExit):
        command.main(["--help"])
    said = capsys.readouterr().out
    assert said.startswith("4 drums")
    assert "weigh a drum" in said


def test_a_page_stands_in_the_list_and_at_its_address(add: Add) -> None:
    registered: list[Any] = []
    row = Page(
        "/drums",
        "Drums",
        lambda folder, levers: html.P("Four drums."),
        lambda app, folder: registered.append(app),
    )
    add(PAGES, row)
    pages = Pages()

    assert len(registered) == 1
    said = pages.at("/drums")
    assert "Four drums." in said
    assert row.label in said


def test_every_field_stands_in_the_list_of_fields_and_in_the_form(pages: Pages) -> None:
    listed = drawn(terminal_fields(None, "us"), 4_000)
    lost = []
    for table, model, is_list in TABLES:
        section = table.split(".")[0]
        entry: dict[str, Any] = {"name": "Scratch"}
        if section != table:
            entry["wear"] = [{"part": "Pump"}]
        form = pages.form({**FARM, section: [entry] if is_list else {}}, section)
        ways = {
            key
            for choice in WAY_QUESTIONS
            if choice.startswith(f"{table}.")
            for way in way_fields(choice)
            for key in way
        }
        for name in model.model_fields:
            label = about(model, name).label if name != "wear" else "wear"
            lost += [f"{table}.{name}: list"] if f"{name}: " not in listed else []
            # Fields of which one way is chosen are held by the tests of ways.
            if (table, name) not in UNSHOWN and name not in ways:
                lost += [f"{table}.{name}: form"] if label.lower() not in form.lower() else []
    assert lost == []


def test_every_chart_is_drawn_by_some_page() -> None:
    """A file of figures that no page takes its figure from shows nothing."""
    root = Path(__file__).parents[2] / "dashboards"
    shown = "".join(path.read_text(encoding="utf-8") for path in (root / "web").rglob("*.py"))
    taken = set(re.findall(r"from dashboards\.figures\.(\w+) import", shown))
    charts = {
        path.stem
        for path in (root / "figures").glob("*.py")
        if '"data":' in path.read_text(encoding="utf-8")
    }

    assert charts
    assert charts - taken == set()
