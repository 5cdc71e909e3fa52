"""Plans side by side: the budget adds up, chances mean what they say, unlike plans are refused."""

import copy
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from plan_farms import random_farm

from econ.answers.compare import compare_document
from econ.answers.document import answer, to_json
from econ.farm.differences import differences
from econ.farm.files import from_document, load
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.errors import ScenarioError
from econ.ground.units import LITRES_PER_GALLON
from econ.model.evaluate import evaluate
from econ.questions.chances import chances
from econ.questions.compare import Comparison, compare
from econ.questions.shared_draws import shared_draws

SCENARIOS = Path(__file__).parents[2] / "scenarios"
QUILLMERE, NEAR_HOME = (
    load(SCENARIOS / f"{name}.toml") for name in ("quillmere", "quillmere-near-home")
)


def farm(document: dict[str, Any], name: str = "farm.toml") -> Scenario:
    return from_document(document, name)


def small(seed: int = 3) -> dict[str, Any]:
    return {**random_farm(seed), "uncertainty": {"draws": 256}}


def dearer(document: dict[str, Any]) -> dict[str, Any]:
    result = copy.deepcopy(document)
    result["yearly"].append({"name": "One more bill", "cost": 1.0})
    return result


@pytest.fixture(scope="module")
def both() -> Comparison:
    return compare([QUILLMERE, NEAR_HOME])


def test_a_plan_beside_itself_ties_in_every_draw() -> None:
    result = compare([farm(small()), farm(small(), "again.toml")])
    beside = result.beside[0]

    assert beside.changed == ()
    assert beside.budget.net == 0.0
    for against in beside.chances.values():
        assert (against.beats, against.ties, against.loses) == (0.0, 1.0, 0.0)
    document = compare_document(result.scenarios)
    assert any("a tie" in text for text in document["beside"][0]["says"])


def test_a_plan_that_costs_one_more_never_beats() -> None:
    result = compare([farm(small()), farm(dearer(small()), "dearer.toml")])

    for against in result.beside[0].chances.values():
        assert against.beats == 0.0
        assert against.loses == 1.0
        assert against.mean == pytest.approx(-1.0, abs=0.5)


def test_set_the_other_way_round_everything_turns() -> None:
    bigger = dearer(small())
    bigger["kit"].append({"name": "More kit", "cost": 100.0, "life_years": 9})
    pair = [farm(small()), farm(bigger, "bigger.toml")]
    one, other = compare(pair).beside[0], compare(pair, 1).beside[0]

    assert other.plan == 0
    assert other.budget.net == pytest.approx(-one.budget.net)
    for key, against in one.chances.items():
        assert other.chances[key].beats == against.loses
        assert other.chances[key].mean == pytest.approx(-against.mean)
    assert other.increment.bigger == one.increment.bigger


def test_the_budget_is_the_difference_of_the_two_years(both: Comparison) -> None:
    first, second = both.outcomes
    budget = both.beside[0].budget
    apart = second.typical.savings["after_labour"] - first.typical.savings["after_labour"]

    assert budget.net == pytest.approx(float(apart), abs=1e-6)
    assert budget.added_returns == 0.0 or budget.reduced_returns == 0.0
    assert all(
        amount > 0.0 for amount in (*budget.added_costs.values(), *budget.reduced_costs.values())
    )


def test_an_increment_is_the_bigger_kit_less_the_smaller(both: Comparison) -> None:
    first, second = both.outcomes
    increment = both.beside[0].increment

    assert (increment.bigger, increment.smaller) == (0, 1)
    for key, ledger in increment.ledgers.items():
        flows = first.ledgers[key].ledger.flows - second.ledgers[key].ledger.flows
        assert np.allclose(ledger.flows, flows)
        npv = first.ledgers[key].measures["npv"] - second.ledgers[key].measures["npv"]
        assert float(increment.measures[key]["npv"]) == pytest.approx(float(npv))


def test_shared_draws_of_one_plan_are_its_own() -> None:
    scenario = farm(small())
    result = compare([scenario, scenario])
    alone = chances(scenario, draws=256, seed=scenario.uncertainty.seed)

    for key, share in result.ahead[0].items():
        assert share == alone.ahead[key]


def test_what_two_plans_guess_alike_is_drawn_alike() -> None:
    document = small()
    other = copy.deepcopy(document)
    del other["oils"][0]
    other["kit"], other["yearly"] = other["kit"][:1], other["yearly"][:1]
    other["oils"][0]["volume_per_month"] = {"low": 5, "likely": 9, "high": 30}
    pair = [farm(document), farm(other, "other.toml")]
    shared = shared_draws(pair, pair[0])
    raw = shared.raw(0)
    places = []
    for k in range(2):
        sampler, own = shared.of(k, raw)
        scores = sampler.scores(own)
        places.append({g.name: scores[row] for row, g in enumerate(sampler.guesses)})

    alike = places[0].keys() & places[1].keys()
    assert len(alike) >= 3
    for name in alike:
        assert np.array_equal(places[0][name], places[1][name]), name


def test_unit_systems_may_differ_and_changes_are_told_in_the_first_ones() -> None:
    document = small()
    document["oils"][0]["volume_per_month"] = 20.0
    us = farm(document)
    metric = load(SCENARIOS / "kurrabee-downs.toml")
    assert metric.scenario.units == "metric"
    other = copy.deepcopy(document)
    other["oils"][0]["volume_per_month"] = 20.0 * 1.5
    row = next(d for d in differences(us, farm(other)) if d.field == "volume_per_month")
    assert (row.before, row.after) == (20.0, 30.0)

    turned = next(
        d for d in differences(us, metric) if (d.table, d.field) == ("process", "batch_volume")
    )
    assert turned.before == 200.0
    assert turned.after == pytest.approx(metric.process.batch_volume / LITRES_PER_GALLON)


def test_prices_that_differ_are_told_first() -> None:
    other = small()
    other["prices"] = {**other["prices"], "heating_oil": 9.0}
    other["labour"] = {"wage": 16.0}
    document = compare_document([farm(small()), farm(other, "other.toml")])
    beside = document["beside"][0]

    assert beside["prices_differ"]
    assert beside["changed"][0]["table"] == "prices"
    assert "prices differ" in beside["says"][0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"finance": {"years": 9}}, "study period"),
        ({"finance": {"discount_rate": 0.05}}, "discount_rate"),
        ({"finance": {"tax_rate": 0.1}}, "tax_rate"),
        ({"finance": {"inflation": 0.02}}, "inflation"),
        ({"scenario": {"currency": "EUR"}}, "one currency only"),
    ],
)
def test_unlike_plans_are_refused_in_words(change: dict[str, Any], words: str) -> None:
    other = small()
    for table, values in change.items():
        other[table] = {**other[table], **values}

    with pytest.raises(ScenarioError, match=words):
        compare([farm(small()), farm(other, "other.toml")])


def test_all_that_is_unlike_is_told_at_once() -> None:
    other = small()
    other["finance"] = {**other["finance"], "years": 9, "tax_rate": 0.1}
    other["scenario"] = {**other["scenario"], "currency": "EUR"}

    with pytest.raises(ScenarioError) as caught:
        compare([farm(small()), farm(other, "other.toml")])
    assert len(caught.value.problems) == 3


def test_figures_stand_in_the_first_files_units(both: Comparison) -> None:
    document = compare_document([QUILLMERE, NEAR_HOME])
    figures = {row["key"]: row["values"] for row in document["figures"]}

    for k, scenario in enumerate((QUILLMERE, NEAR_HOME)):
        outcome = evaluate(prepare(scenario))
        replaced = float(outcome.typical.fuel["fuel_replaced"]) / LITRES_PER_GALLON
        assert figures["fuel_replaced"][k] == pytest.approx(replaced)
        npv = float(outcome.ledgers["time_paid"].measures["npv"])
        assert figures["time_paid.npv"][k] == pytest.approx(npv)
    assert document["against"] == "quillmere"


def test_another_guess_of_dearer_fuel_is_a_price_that_differs() -> None:
    other = small()
    other["finance"] = {**other["finance"], "fuel_inflation": 0.03}
    document = compare_document([farm(small()), farm(other, "other.toml")])

    assert document["beside"][0]["prices_differ"]


def test_the_cautions_of_both_plans_stand_beside_them_and_say_whose_they_are() -> None:
    document = compare_document([QUILLMERE, NEAR_HOME], draws=64)
    own = [
        {row["key"]: row for row in to_json(answer(plan))["cautions"]}
        for plan in (QUILLMERE, NEAR_HOME)
    ]
    told = {(row["key"], row["text"]): row["of"] for row in document["cautions"]}

    for name, rows, others in zip(
        ("quillmere", "quillmere-near-home"), own, own[::-1], strict=True
    ):
        for key, row in rows.items():
            alike = others.get(key, {}).get("text") == row["text"]
            assert told[key, row["text"]] == ("" if alike else f"in {name}"), key
    grave = {row["short"] for rows in own for row in rows.values() if row["severity"] == "grave"}
    assert {row["short"] for row in document["grave"]} == grave
    both = {row["short"] for row in own[0].values()} & {row["short"] for row in own[1].values()}
    assert {row["short"] for row in document["grave"] if not row["of"]} == grave & both


def test_what_differs_by_a_share_or_a_rate_is_told_in_percent() -> None:
    other = small()
    other["process"] = {
        **other["process"],
        "loss_share": {"low": 0.05, "likely": 0.125, "high": 0.2},
    }
    other["finance"] = {**other["finance"], "fuel_inflation": 0.031}
    document = compare_document([farm(small()), farm(other, "other.toml")], draws=64)
    rows = {row["field"]: row for row in document["beside"][0]["changed"]}

    assert rows["loss_share"]["after"] == "12.5 (5 to 20)"
    assert rows["fuel_inflation"]["after"] == "3.1"
    assert {row["unit"] for row in rows.values()} == {"%"}


def test_a_mean_of_draws_is_called_so() -> None:
    says = compare_document([QUILLMERE, NEAR_HOME], draws=64)["beside"][0]["says"]

    assert not [text for text in says if "on average" in text]
    assert len([text for text in says if "the mean of the draws" in text]) == 2
