"""Figures that no farm has are refused in words, at every field; ordinary farms are not."""

import copy
import datetime
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from strategies import to_metric, to_toml

from dashboards.command import main
from econ.farm.files import from_document, load
from econ.farm.schema import TABLES, about
from econ.farm.starter import starter
from econ.ground.errors import ScenarioError
from econ.ground.units import DIMENSIONS
from econ.questions.tie_prices import crossings

SCENARIOS = Path(__file__).parents[2] / "scenarios"
QUILLMERE = SCENARIOS / "quillmere.toml"
FIELDS = [
    (table, field)
    for table, model, _ in TABLES
    for field in model.model_fields
    if not (table == "machines" and field == "wear")
    and about(model, field).kind in ("number", "price")
]
SIGNED = {"temperature"}


def farm_with(table: str, field: str, value: Any) -> dict[str, Any]:
    """Return a farm in which one field holds a figure, its entry made where there is none."""
    result = copy.deepcopy(load(QUILLMERE).merged)
    outer, _, inner = table.partition(".")
    lists = {name for name, _, is_list in TABLES if is_list}
    holder = result.setdefault(outer, [{"name": "x"}] if outer in lists else {})
    entry = holder[0] if isinstance(holder, list) else holder
    if inner:
        entry = entry.setdefault(inner, [{"part": "x"}])[0]
    entry[field] = value
    return result


@pytest.mark.parametrize(("table", "field"), FIELDS)
def test_every_field_refuses_what_no_farm_has(table: str, field: str) -> None:
    model = next(model for name, model, _ in TABLES if name == table)
    tiny = [] if about(model, field).dimension in SIGNED else [1e-308, 1e-200]
    for value in [*tiny, 1e300, -1e300]:
        with pytest.raises(ScenarioError) as refused:
            from_document(farm_with(table, field, value), "farm.toml")
        own = [p for p in refused.value.problems if p.where.split()[-1].strip(":") == field]
        assert own, (value, [str(p) for p in refused.value.problems])
        assert "allowed:" in own[0].message


def test_words_name_the_bound_in_the_files_own_unit() -> None:
    with pytest.raises(ScenarioError, match=r"more than any farm has; allowed: up to [\d,]+ gal"):
        from_document(farm_with("process", "raw_storage", 1e9), "farm.toml")
    with pytest.raises(ScenarioError, match="too small to be told from nothing; allowed: 0, or"):
        from_document(farm_with("finance", "discount_rate", 1e-9), "farm.toml")


def test_every_dimension_of_a_figure_has_a_floor_or_grain_and_a_ceiling() -> None:
    for table, field in FIELDS:
        model = next(model for name, model, _ in TABLES if name == table)
        kind = DIMENSIONS[about(model, field).dimension]
        assert kind.grain > 0.0 or kind.least != 0.0, kind.key
        assert kind.most < np.inf


def test_farms_in_currencies_of_small_units_are_not_refused(tmp_path: Path) -> None:
    """A litre at 25,000 and kit at two milliards: the dong, the rupiah."""
    text = starter("metric", "VND", datetime.date(2026, 6, 15))
    path = tmp_path / "farm.toml"
    path.write_text(text, encoding="utf-8")
    result = load(path)
    dear = copy.deepcopy(result.merged)
    for fuel in dear["prices"]:
        dear["prices"][fuel] = 25_000
    dear["kit"][0]["cost"] = 2e9
    from_document(dear, path)


@pytest.mark.parametrize("name", ["wrenfold", "tamsel-pumps"])
@pytest.mark.parametrize("command", ["decide", "chances"])
def test_the_discount_rate_may_be_the_only_guess(
    tmp_path: Path, name: str, command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    document = certain(copy.deepcopy(load(SCENARIOS / f"{name}.toml").merged))
    document["finance"]["discount_rate"] = {"low": 0.03, "likely": 0.06, "high": 0.12}
    path = written(document, tmp_path)
    assert main([command, str(path), *(["--draws", "256"] if command == "chances" else [])]) == 0
    assert not re.search(r"\b(nan|inf)\b", capsys.readouterr().out)


def certain(value: Any) -> Any:
    """Put each guess at its likely value, and give every machine wear rows of its own."""
    if isinstance(value, dict):
        if set(value) == {"low", "likely", "high"}:
            return value["likely"]
        result = {key: certain(inner) for key, inner in value.items()}
        if "engine" in result:
            result.setdefault("wear", [{"part": "pump", "cost": 900, "extra_failures": 0.1}])
        return result
    return [certain(inner) for inner in value] if isinstance(value, list) else value


def written(document: dict[str, Any], tmp_path: Path) -> Path:
    import tomlkit

    path = tmp_path / "farm.toml"
    path.write_text(tomlkit.dumps(document), encoding="utf-8")
    return path


@pytest.mark.parametrize("name", ["wrenfold", "kurrabee-downs"])
@pytest.mark.parametrize("share", [0.0, {"low": 0.0, "likely": 0.0, "high": 0.5}])
def test_thinners_may_be_compared_where_no_blend_may_be_burned(
    tmp_path: Path, name: str, share: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    document = copy.deepcopy(load(SCENARIOS / f"{name}.toml").merged)
    for machine in document["machines"]:
        machine["blend_share"] = share
    assert main(["thinners", str(written(document, tmp_path))]) == 0
    assert capsys.readouterr().out


def test_a_tie_finer_than_the_arithmetic_is_found_where_it_lies() -> None:
    """Savings of a large farm come in steps; none of them is nothing near the tie."""

    def steps(prices: Any) -> Any:
        return np.where(prices < 1.23456, -7.0, 5.0) * 1e-3 + 0.0 * prices

    def jump(prices: Any) -> Any:
        return np.where(prices < 3.3, -1e6, 1e-3)

    places = np.linspace(0.0, 10.0, 9)
    assert crossings(steps, places) == pytest.approx([1.23456], abs=1e-9)
    assert crossings(jump, places) == pytest.approx([3.3], abs=1e-9)


def test_no_demo_nor_its_metric_twin_is_refused() -> None:
    import tomllib

    for path in SCENARIOS.glob("*.toml"):
        load(path)
    from seeded import farm

    for seed in range(20):
        from_document(tomllib.loads(to_toml(to_metric(farm(seed)))), "farm.toml")
