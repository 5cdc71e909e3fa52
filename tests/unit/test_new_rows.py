"""Where a new thing goes is one row: a row is added, and each document is asked for it.

Documents are what every surface reads, so a row that reaches them needs no further place.
"""

import ast
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import builders
import numpy as np
import pytest

import econ.answers.compare
import econ.answers.tables
import econ.questions.tipping
from econ.answers.comparison_document import thinners_document
from econ.answers.document import answer, document
from econ.farm.files import load
from econ.farm.prepare import prepare
from econ.farm.schema import TABLES, Scenario
from econ.ground.records import replace
from econ.model.costs import COST_LINES, CostLine
from econ.model.evaluate import evaluate
from econ.model.ledger import FLOW_LINES, FlowLine
from econ.model.levers import LEVERS, Lever
from econ.model.measures import MEASURES, Measure
from econ.model.oil_money import kept_per_oil, oil_terms

ROOT = Path(__file__).parents[2]
Row = TypeVar("Row")
Add = Callable[[tuple[Row, ...], Row], None]


@pytest.fixture(scope="module")
def tamsel() -> Scenario:
    return load(ROOT / "scenarios" / "tamsel-pumps.toml")


# 1.50 for each litre of blend: enough to be seen in every figure that it moves.
STIRRING = CostLine(
    "stirring",
    "Stirring",
    "cash",
    "Blend times what stirring it costs.",
    "blend",
    "prices",
    borne=lambda burned: 1.5 * burned.blend,
)


def test_a_cost_line_of_the_blend_reaches_every_sum_and_document(
    tamsel: Scenario, add: Add[CostLine]
) -> None:
    before, thinners_before = document(tamsel), thinners_document(tamsel)
    add(COST_LINES, STIRRING)
    after, thinners_after = document(tamsel), thinners_document(tamsel)

    # A gallon is 3.785411784 L.
    per_gallon = 1.5 * 3.785411784
    cost = per_gallon * before["fuel"]["blend"]
    assert after["costs"]["stirring"] == pytest.approx(cost)
    for rung in ("cash", "wear", "kit", "full"):
        moved = after["rungs"]["per_blend"][rung] - before["rungs"]["per_blend"][rung]
        assert moved == pytest.approx(per_gallon)
    assert after["rungs"]["per_blend"]["quoted"] == before["rungs"]["per_blend"]["quoted"]
    for saving in ("cash", "after_wear", "after_kit", "after_labour"):
        assert before["savings"][saving] - after["savings"][saving] == pytest.approx(cost)
    machines = zip(before["machines"], after["machines"], strict=True)
    lost = sum(was["saving"] - now["saving"] for was, now in machines)
    assert lost == pytest.approx(cost)
    for key, was in before["ledgers"].items():
        paid = np.subtract(was["lines"]["costs"], after["ledgers"][key]["lines"]["costs"])
        assert paid[2] == pytest.approx(cost * 1.025**2)
        assert after["ledgers"][key]["npv"] < was["npv"]
    assert after["likely"]["costs"]["stirring"] > 0.0
    assert after["first_year"]["costs"]["stirring"] > 0.0

    def earned(result: dict[str, Any]) -> float:
        rows = {row["thinner"]: row for row in result["scopes"][0]["rows"]}
        mix = rows["Dyed diesel"]["mixes"][0]
        return float(mix["oil_earns"]) * (1.0 - float(mix["seasons"][0]["thinner_share"]))

    assert earned(thinners_before) - earned(thinners_after) == pytest.approx(per_gallon)
    frame = econ.answers.tables.tables(answer(tamsel))["costs"].set_index("line")
    assert frame.loc["stirring", "label"] == "Stirring"


def test_a_cost_line_that_a_machine_bears_moves_what_its_oil_earns_and_the_order_of_serving(
    add: Add[CostLine],
) -> None:
    tractors = tuple(builders.machine(name) for name in ("First", "Second"))
    inputs = builders.inputs(machines=tractors)
    before = float(kept_per_oil(oil_terms(inputs, 0, None), 0.0))
    assert evaluate(inputs).burn_order == (0, 1)

    toll = replace(
        STIRRING,
        key="toll",
        per="oil burned",
        borne=lambda burned: burned.oil * (0.2 if burned.machine.name == "First" else 0.0),
    )
    add(COST_LINES, toll)

    assert float(kept_per_oil(oil_terms(inputs, 0, None), 0.0)) == pytest.approx(before - 0.2)
    assert evaluate(inputs).burn_order == (1, 0)


def test_a_cost_line_grows_with_what_its_row_says(tamsel: Scenario, add: Add[CostLine]) -> None:
    before = document(tamsel)["ledgers"]["time_free"]
    add(COST_LINES, replace(STIRRING, grows_with="fuel", borne=lambda burned: 0.01 * burned.blend))
    after = document(tamsel)["ledgers"]["time_free"]

    assert after["lines"]["costs"] == pytest.approx(before["lines"]["costs"])
    assert after["lines"]["fuel"][3] < before["lines"]["fuel"][3]


def test_a_cost_line_of_the_farm_is_no_part_of_what_a_machine_saves(
    tamsel: Scenario, add: Add[CostLine]
) -> None:
    before = document(tamsel)
    rent = CostLine(
        "rent", "Rent", "cash", "Of the shed.", "year", "prices", lambda bill: np.asarray(240.0)
    )
    add(COST_LINES, rent)
    after = document(tamsel)

    assert after["costs"]["rent"] == 240.0
    assert after["savings"]["cash"] == pytest.approx(before["savings"]["cash"] - 240.0)
    assert [m["saving"] for m in after["machines"]] == [m["saving"] for m in before["machines"]]


@pytest.mark.parametrize("taxed", [False, True])
def test_a_flow_line_reaches_ledgers_measures_and_tables(
    taxed: bool, tamsel: Scenario, add: Add[FlowLine]
) -> None:
    before = document(tamsel)

    def grant(money: Any) -> list[Any]:
        years = range(money.inputs.finance.years + 1)
        return [np.asarray(100.0 if year == 1 else 0.0) for year in years]

    add(
        FLOW_LINES,
        FlowLine("grant", "Grant", "Paid once.", "saving", lambda _: taxed, "nothing", grant),
    )
    after = document(tamsel)

    finance = prepare(tamsel).finance
    kept = 100.0 * (1.0 - float(finance.tax_rate) if taxed else 1.0)
    for key, was in before["ledgers"].items():
        now = after["ledgers"][key]
        assert now["lines"]["grant"][:3] == [0.0, 100.0, 0.0]
        assert now["flows"][1] - was["flows"][1] == pytest.approx(kept)
        gained = now["npv"] - was["npv"]
        assert gained == pytest.approx(kept / (1.0 + float(finance.discount_rate)))
        assert now["simple_payback"] < was["simple_payback"]
    frame = econ.answers.tables.tables(answer(tamsel))["flows"]
    assert set(frame[frame["line"] == "grant"]["label"]) == {"Grant"}


def test_the_flow_table_adds_up_to_the_years(tamsel: Scenario) -> None:
    frames = econ.answers.tables.tables(answer(tamsel))
    added = frames["flows"].groupby(["ledger", "year"])["amount [$]"].sum()

    for _, row in frames["years"].iterrows():
        assert added[row["ledger"], row["year"]] == pytest.approx(row["flow [$]"], abs=1e-9)


def test_a_measure_reaches_both_ledgers_and_the_tables(tamsel: Scenario, add: Add[Measure]) -> None:
    add(MEASURES, Measure("last_flow", "Last year's money", "last flow", "money", "Of year N.",
                          "nist_hb135", lambda ledger: ledger.flows[-1]))  # fmt: skip
    result = document(tamsel)

    for ledger in (*result["ledgers"].values(), *result["likely"]["ledgers"].values()):
        assert ledger["last_flow"] == ledger["flows"][-1]
    frame = econ.answers.tables.tables(answer(tamsel))["figures"]
    assert list(frame["figure"]).count("last_flow") == 2


def test_a_lever_reaches_the_tipping_points(tamsel: Scenario, add: Add[Lever]) -> None:
    def tests(inputs: Any, factor: Any) -> Any:
        cost = inputs.process.test_cost_per_batch * factor
        return replace(inputs, process=replace(inputs.process, test_cost_per_batch=cost))

    def now(inputs: Any) -> Any:
        return inputs.process.test_cost_per_batch

    add(LEVERS, Lever("tests", "the cost of testing a batch", tests, now, "money", most=1000.0))
    tips = econ.questions.tipping.tipping_points(prepare(tamsel))

    result = {tip.ledger: tip for tip in tips if tip.lever.key == "tests"}
    assert set(result) == {"time_free", "time_paid"}
    assert result["time_paid"].factor > 1.0
    assert not result["time_paid"].rises


# --- fields

# What is said for people to read, and read by them alone.
_FOR_READERS = {("scenario", "note"), ("machines", "owner"), ("kit", "owner")}


def unread(fields: set[tuple[str, str]], texts: list[str]) -> set[tuple[str, str]]:
    """Return the fields whose name stands in no code, neither read nor named."""
    used: set[str] = set()
    for text in texts:
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Attribute):
                used.add(node.attr)
            elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                used.add(node.value)
    return {(table, field) for table, field in fields if field not in used}


def _code_below_the_file() -> list[str]:
    """Return the code that takes what the file says; the schema itself reads nothing."""
    folders = ("farm", "advice", "model", "questions", "answers")
    paths = [path for folder in folders for path in (ROOT / "econ" / folder).rglob("*.py")]
    starter = {"schema.py", "starter.py", "naming.py", "overlooked.py", "field_words.py"}
    return [path.read_text(encoding="utf-8") for path in paths if path.name not in starter]


def test_every_field_of_the_schema_is_read_somewhere() -> None:
    fields = {(name, field) for name, model, _ in TABLES for field in model.model_fields}

    assert unread(fields - _FOR_READERS, _code_below_the_file()) == set()


def test_a_field_that_nothing_reads_is_found() -> None:
    assert unread({("kit", "colour_of_the_lid")}, _code_below_the_file()) == {
        ("kit", "colour_of_the_lid")
    }
