"""Every declared row has what surfaces need of it, and every cited source is in the list."""

import ast
import re
from pathlib import Path

import pytest

from econ.advice.verdict import KINDS
from econ.advice.verdict import RULES as ADVICE_RULES
from econ.farm.fields import About
from econ.farm.schema import TABLES, Table, about
from econ.fuel.fitness import RULES as FIT_RULES
from econ.fuel.substances import OILS, THINNERS, USUAL_LIMITS
from econ.ground.labels import BOTTLENECKS as BOTTLENECK_WORDS
from econ.ground.labels import FITS, FUEL, FUELS
from econ.ground.sources import SOURCES
from econ.ground.units import DIMENSIONS
from econ.model.costs import COST_LINES, RUNGS, SAVINGS
from econ.model.headlines import HEADLINES
from econ.model.levers import LEVERS
from econ.model.measures import MEASURES
from econ.model.months import BOTTLENECKS

ROOT = Path(__file__).parents[2]
FIELDS = [
    (name, model, field)
    for name, model, _ in TABLES
    for field in model.model_fields
    if field != "wear"
]


@pytest.mark.parametrize(
    "rows",
    [COST_LINES, RUNGS, SAVINGS, MEASURES, HEADLINES, LEVERS, FUEL, FIT_RULES, ADVICE_RULES, KINDS],
    ids=["costs", "rungs", "savings", "measures", "headlines", "levers", "fuel", "fit", "advice",
         "kinds"],
)  # fmt: skip
def test_keys_are_unique(rows: tuple[object, ...]) -> None:
    keys = [row.key for row in rows]  # type: ignore[attr-defined]

    assert len(set(keys)) == len(keys)


def test_cost_lines_and_measures_are_the_contracts() -> None:
    assert [line.key for line in COST_LINES] == [
        "filters", "energy", "additives", "oil", "hauling", "thinner", "tests", "disposal",
        "yearly", "road_tax", "fuel_duty", "refund", "hired_labour", "wear", "kit", "labour",
    ]  # fmt: skip
    assert [rung.key for rung in RUNGS] == ["quoted", "cash", "wear", "kit", "full"]
    assert {line.rung for line in COST_LINES} == {rung.key for rung in RUNGS}


def test_every_row_of_money_is_labelled_and_helped() -> None:
    for row in (*COST_LINES, *RUNGS, *SAVINGS, *FUEL):
        assert row.label[0].isupper() or row.label.startswith("of which")
        assert row.help.endswith(".")
    for row in MEASURES:
        assert row.term
        assert row.help.endswith(".")


def test_every_cited_source_is_in_the_bibliography() -> None:
    cited = {key for s in (*OILS.values(), *THINNERS.values()) for key in s.sources.values()}
    cited |= {row.source for row in MEASURES} | {key for rule in FIT_RULES for key in rule.sources}
    for path in (ROOT / "econ").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        cited |= {part.split("``")[0] for part in text.split("Source key ``")[1:]}

    assert cited - SOURCES.keys() == set()
    assert list(SOURCES) == sorted(SOURCES)


@pytest.mark.parametrize("rows", [MEASURES, HEADLINES, LEVERS, FUEL], ids=["m", "h", "l", "f"])
def test_every_dimension_is_known(rows: tuple[object, ...]) -> None:
    plain = {"flag", "rate", "ratio", "years", "share", "count", "hours", "money"}

    for row in rows:
        assert row.dimension in DIMENSIONS.keys() | plain  # type: ignore[attr-defined]


@pytest.mark.parametrize(("table", "model", "field"), FIELDS, ids=lambda value: str(value)[:30])
def test_every_field_is_told_about(table: str, model: type[Table], field: str) -> None:
    detail: About = about(model, field)

    assert detail.label
    assert detail.help.endswith(".")
    for usual in detail.usual:
        assert usual.low <= usual.likely <= usual.high
        assert usual.basis in SOURCES
        if detail.kind in ("number", "price"):
            assert detail.least <= usual.low
            assert usual.high <= detail.most


def test_every_bottleneck_fit_and_fuel_has_words() -> None:
    assert set(BOTTLENECKS) == set(BOTTLENECK_WORDS)
    assert {"suited", "caution", "excluded"} == set(FITS)
    assert {"road_diesel", "farm_diesel", "heating_oil"} == set(FUELS)


def test_every_engine_class_has_a_usual_limit_from_the_contract() -> None:
    assert USUAL_LIMITS["inline pump"] == 12.0
    assert USUAL_LIMITS["rotary pump"] == USUAL_LIMITS["early common rail"] == 7.0
    assert USUAL_LIMITS["burner"] == 30.0
    assert len(USUAL_LIMITS) == 8


def test_every_top_level_function_of_a_test_file_is_collected_or_called() -> None:
    """A test that is never collected can never fail."""
    lost = []
    for path in (ROOT / "tests").rglob("test_*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        used = {n.id for n in ast.walk(tree) if isinstance(n, ast.Name)}
        used |= {n.arg for n in ast.walk(tree) if isinstance(n, ast.arg)}
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and not node.name.startswith("test_"):
                fixture = any("fixture" in ast.dump(d) for d in node.decorator_list)
                if node.name not in used and not fixture:
                    lost.append(f"{path.name}: {node.name}")

    assert lost == []


def test_every_file_that_is_begun_early_is_there() -> None:
    """A file that was renamed would fall back to the end, and the run would last longer."""
    text = (ROOT / "tests" / "conftest.py").read_text(encoding="utf-8")
    named = re.findall(r'^    "(\w+/test_\w+\.py)",$', text, re.M)

    assert len(named) > 10
    assert [name for name in named if not (ROOT / "tests" / name).exists()] == []


def test_nothing_of_the_model_imports_the_screens() -> None:
    for path in (ROOT / "econ").rglob("*.py"):
        assert "dashboards" not in path.read_text(encoding="utf-8"), path.name
