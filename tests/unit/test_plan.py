"""The search for a plan: nothing overlooked, nothing counted twice, a file that says the same."""

import copy
import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import seeded
import tomlkit
from plan_farms import best_by_brute_force, random_farm, worth_of

from econ.answers.plan import which_plan_document, write_best
from econ.farm.files import from_document, load
from econ.farm.plan_file import plan_file
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.errors import ScenarioError
from econ.ground.records import replace
from econ.model.evaluate import evaluate
from econ.questions.chances import chances
from econ.questions.plan import PlanAnswer, planned, tied, which_plan, worth_at
from econ.questions.plan_draws import worth_in_draws
from econ.questions.plan_search import allowed_by, decision_of_row, ranked, search
from econ.questions.plan_space import decision_of_file, space_of
from econ.questions.plan_timing import timing_bound
from econ.questions.plan_values import figures_of_each

SEEDS = range(4)
SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


def farm(document: dict[str, Any], path: str = "farm.toml") -> Scenario:
    return from_document(document, path)


def times(value: Any, factor: float) -> Any:
    if isinstance(value, dict):
        return {point: number * factor for point, number in value.items()}
    return value if isinstance(value, str) else value * factor


def few_draws(document: dict[str, Any]) -> dict[str, Any]:
    return {**document, "uncertainty": {"draws": 64}}


def best_worth(document: dict[str, Any], ledger: str = "time_paid") -> float:
    space = space_of(farm(document))
    table = search(space, ledger)
    if table is None or not table.allowed.any():
        return 0.0
    return max(0.0, float(table.figures.worth(ledger)[ranked(space, table, ledger)[0]]))


def answer(document: dict[str, Any], **words: Any) -> PlanAnswer:
    return which_plan(farm(few_draws(document)), **words)


@pytest.mark.parametrize(("seed", "hangs"), [(0, True), (1, True), (2, False), (5, False)])
def test_the_best_is_that_of_every_plan_as_a_file_of_its_own(seed: int, hangs: bool) -> None:
    document = random_farm(seed, hangs=hangs)
    for machine in document["machines"]:
        machine.pop("thinners", None)

    brute = best_by_brute_force(document)
    assert brute.keys() == {"time_free", "time_paid"}
    for ledger, worth in brute.items():
        assert best_worth(document, ledger) == pytest.approx(worth, rel=1e-9, abs=1e-7)


@pytest.mark.parametrize("seed", SEEDS)
def test_each_figure_is_the_models_own(seed: int) -> None:
    space = space_of(farm(random_farm(seed)))
    table = search(space, "time_paid")
    assert table is not None
    rng = np.random.default_rng(seed)

    for row in rng.choice(table.tried, size=min(12, table.tried), replace=False):
        plan = planned(space, decision_of_row(space, table, int(row)))
        figures = table.figures
        for ledger in ("time_free", "time_paid"):
            assert plan.worth(ledger) == pytest.approx(float(figures.worth(ledger)[row]), rel=1e-12)
        assert plan.kit_to_buy == pytest.approx(float(figures.kit_to_buy[row]), rel=1e-12)
        for key in ("own_hours", "fuel_replaced"):
            assert plan.yearly(key) == pytest.approx(float(getattr(figures, key)[row]), rel=1e-12)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plan_written_down_comes_to_the_same(seed: int, tmp_path: Path) -> None:
    base = tmp_path / "farm.toml"
    base.write_text(tomlkit.dumps(random_farm(seed)), encoding="utf-8")
    scenario = load(base)
    space = space_of(scenario)
    table = search(space, "time_paid")
    assert table is not None
    rng = np.random.default_rng(seed)
    says = {"title": "A plan", "note": "One of many.\nWritten to be read again."}

    for k, row in enumerate(rng.choice(table.tried, size=min(10, table.tried), replace=False)):
        if not table.figures.possible[row]:
            continue
        plan = planned(space, decision_of_row(space, table, int(row)))
        decision, inputs = plan.decision, plan.inputs
        assert decision is not None
        assert inputs is not None
        path = tmp_path / f"plan{k}.toml"
        decided = (decision.setup, decision.oils)
        may_burn = space.choices.may_burn
        path.write_text(plan_file(scenario, path, decided, inputs, may_burn, says))
        assert worth_of(load(path)) == pytest.approx(plan.worth("time_paid"), rel=1e-9, abs=1e-9)


def test_what_a_plan_cannot_be_is_refused_as_a_file_too() -> None:
    document = random_farm(1)
    document["machines"][0] |= {"viscosity_limit": 2.0, "thinner": "Dyed", "thinners": []}
    document["machines"][0].pop("thinner_share", None)
    document["machines"][0].pop("thinner_share_winter", None)
    document["machines"][0]["blend_share"] = 0.4

    with pytest.raises(ScenarioError, match="thicker than the machine's"):
        space_of(farm(document))


@pytest.mark.parametrize("seed", SEEDS)
def test_one_option_more_never_lowers_the_best(seed: int) -> None:
    document = random_farm(seed)
    less = copy.deepcopy(document)
    less["oils"][-1]["choice"] = "never"
    fewer = copy.deepcopy(document)
    for machine in fewer["machines"]:
        machine.pop("thinners", None)

    whole = best_worth(document)
    assert whole >= best_worth(less) - 1e-9
    assert whole >= best_worth(fewer) - 1e-9


@pytest.mark.parametrize("seed", SEEDS)
def test_what_the_best_plan_leaves_out_changes_nothing_when_it_is_gone(seed: int) -> None:
    document = random_farm(seed)
    best = answer(document).best
    if best.decision is None:
        pytest.skip("nothing is best, and a farm needs a source")
    gone = [k for k in range(len(document["oils"])) if k not in best.decision.oils]
    for k in gone:
        name = document["oils"][k]["name"]
        less = copy.deepcopy(document)
        del less["oils"][k]
        for table in ("kit", "yearly"):
            for entry in less[table]:
                if "serves" in entry:
                    entry["serves"] = [n for n in entry["serves"] if n != name]
            less[table] = [e for e in less[table] if e.get("serves", [1])]
        assert best_worth(less) == pytest.approx(best.worth("time_paid"), rel=1e-9)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_order_of_entries_does_not_matter(seed: int) -> None:
    document = random_farm(seed)
    turned = copy.deepcopy(document)
    # Sources keep theirs: a raw store that is nearly full is filled in their order.
    for table in ("machines", "thinners", "setups", "kit", "yearly"):
        turned[table] = turned[table][::-1]

    first, second = answer(document), answer(turned)
    assert second.best.worth("time_paid") == pytest.approx(first.best.worth("time_paid"), rel=1e-9)
    assert second.best.names == first.best.names
    assert second.tried == first.tried


@pytest.mark.parametrize("seed", [0, 2, 4])
def test_steps_find_what_trying_everything_finds(seed: int) -> None:
    space = space_of(farm(random_farm(seed)))
    every, steps = search(space, "time_paid"), search(space, "time_paid", most=0)
    assert every is not None
    assert steps is not None
    assert every.exhaustive
    assert not steps.exhaustive

    best = float(every.figures.time_paid[ranked(space, every, "time_paid")[0]])
    result = float(steps.figures.time_paid[ranked(space, steps, "time_paid")[0]])
    assert result == pytest.approx(best, rel=1e-9)


def test_the_files_own_plan_is_the_ordinary_evaluation() -> None:
    scenario = farm(random_farm(3))
    space = space_of(scenario)
    figures = figures_of_each(space, [decision_of_file(space)])

    assert float(figures.time_paid[0]) == pytest.approx(worth_of(scenario), rel=1e-12)


def test_the_stair_ends_at_the_best_of_its_sets_and_adds_up() -> None:
    result = answer(random_farm(0))
    worths = [step.plan.worth("time_paid") for step in result.stair]

    assert len(result.stair) == len(result.space.oils)
    assert np.cumsum([step.gain for step in result.stair]) == pytest.approx(worths)
    assert max(0.0, *worths) <= result.best.worth("time_paid") + 1e-9
    taken: set[int] = set()
    for step in result.stair:
        taken |= {step.added}
        assert step.plan.decision is not None
        assert set(step.plan.decision.oils) == taken


def test_must_and_never_are_kept() -> None:
    document = random_farm(2)
    document["oils"][1]["choice"] = "must"
    document["machines"][-1]["choice"] = "must"
    document["oils"][0]["choice"] = "never"
    space = space_of(farm(document))
    table = search(space, "time_paid")
    assert table is not None

    assert not table.taken[:, 0].any()
    assert table.taken[:, 1].all()
    assert (table.picks[:, -1] > 0).all()


def test_a_machine_that_must_but_cannot_leaves_no_plan_and_says_why() -> None:
    document = random_farm(2)
    document["machines"][0] |= {"choice": "must", "emission_controls": ["particulate filter"]}
    document["kit"], document["yearly"] = document["kit"][:1], document["yearly"][:1]
    result = answer(document)

    assert result.best.decision is None
    assert "must burn blend" in result.space.blocked[0]


def test_limits_are_kept_and_told_where_no_plan_fits() -> None:
    document = few_draws(random_farm(4))
    loose = which_plan(farm({**document, "limits": {"kit_to_buy": 5000.0}}))
    assert loose.best.kit_to_buy <= 5000.0
    tight = which_plan(
        farm({**document, "limits": {"kit_to_buy": 1.0, "own_hours_per_year": 4000.0}})
    )
    assert tight.best.decision is None
    needed = {limit.key: limit.needed for limit in tight.limits}
    assert needed["own_hours_per_year"] is None
    kit = needed["kit_to_buy"]
    assert kit is not None
    space = space_of(farm({**document, "limits": {"kit_to_buy": kit}}))
    table = search(space, "time_paid")
    assert table is not None
    assert allowed_by(space, table.figures).any()
    below = space_of(farm({**document, "limits": {"kit_to_buy": kit * 0.999}}))
    assert not allowed_by(below, table.figures).any()


def test_no_gasoline_means_none_anywhere() -> None:
    document = random_farm(0)
    document["limits"] = {"gasoline": False}
    space = space_of(farm(document))

    kinds = {
        space.inputs[0].thinners[t].kind
        for way in space.ways
        for t in way.thinners
        if t is not None
    }
    assert "gasoline" not in kinds
    assert any("allow no gasoline" in note for note in space.notes)


def test_farm_diesel_is_not_put_forward_for_a_road_machine() -> None:
    document = random_farm(0)
    document["machines"][0] |= {"road_share": 0.3, "thinners": ["Dyed", "Kerosene"]}
    document["prices"]["road_tax"] = 0.5
    space = space_of(farm(document))
    names = [thinner.name for thinner in space.inputs[0].thinners]

    assert names.index("Dyed") not in space.ways[0].thinners
    assert names.index("Kerosene") in space.ways[0].thinners


def test_regret_is_that_of_moved_prices() -> None:
    result = answer(random_farm(0))
    inputs = result.file.inputs
    assert inputs is not None
    for factor in (0.6, 1.5):
        moved = copy.deepcopy(random_farm(0))
        prices = moved["prices"]
        prices |= {fuel: times(prices[fuel], factor) for fuel in ("farm_diesel", "heating_oil")}
        for thinner in moved["thinners"]:
            thinner["price"] = times(thinner["price"], factor)
        held = prepare(farm(moved))
        outcome = evaluate(replace(held, burn_order=inputs.burn_order))
        worth = float(outcome.ledgers["time_paid"].measures["equivalent_annual"])
        assert worth_at(result.file, "time_paid", factor) == pytest.approx(worth, rel=1e-9)
    for row in result.regret:
        assert row.worst >= 0.0


def test_a_tie_is_within_ten_or_a_hundredth() -> None:
    assert tied(491.0, 500.0)
    assert not tied(489.0, 500.0)
    assert tied(1981.0, 2000.0)
    assert not tied(1979.0, 2000.0)


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_timing_never_does_worse_than_the_model(path: Path) -> None:
    outcome = evaluate(prepare(load(path)))

    assert timing_bound(outcome) >= -1e-5


@pytest.mark.parametrize("seed", range(30))
def test_timing_never_does_worse_on_any_farm(seed: int) -> None:
    document = random_farm(seed)
    if seed % 3 == 0:
        document["thinners"][0]["available_per_month"] = 3.0
    if seed % 2 == 0:
        document["process"]["max_batches_per_month"] = 1
    if seed % 5 == 0:
        document["reserve"] = {"clean_oil": 60.0}
    outcome = evaluate(prepare(farm(document)))

    assert timing_bound(outcome) >= -1e-5


def test_timing_finds_what_a_wasteful_order_leaves() -> None:
    # One machine burns in winter only and oil comes all year: a small clean store caps what the
    # model holds ready, but holding raw oil back for winter is no better, so nothing is gained;
    # where oil burned earns less than cleaning it costs, cleaning none of it gains all of that.
    document = random_farm(0)
    document["process"]["hours_per_batch"] = 60.0
    outcome = evaluate(prepare(farm(document)))
    year = outcome.typical

    assert float(year.fuel["fuel_replaced"]) > 0.0
    assert timing_bound(outcome) > 0.0


@pytest.mark.parametrize("time", ["time_paid", "time_free"])
def test_the_document_and_the_file_written_say_the_same(time: str, tmp_path: Path) -> None:
    base = tmp_path / "farm.toml"
    base.write_text(tomlkit.dumps(few_draws(random_farm(0))), encoding="utf-8")
    document, result = which_plan_document(load(base), time)
    before = document["best"]["equivalent_annual"]
    written = write_best(result, document, tmp_path / "best.toml")

    assert written["best"]["equivalent_annual"] == pytest.approx(before, rel=1e-9)
    assert worth_of(load(tmp_path / "best.toml"), time) == pytest.approx(before, rel=1e-9)
    assert document["best"]["equivalent_annual"] >= document["file"]["equivalent_annual"] - 1e-9
    with pytest.raises(ScenarioError, match="already"):
        write_best(result, document, tmp_path / "best.toml")


def test_nothing_is_not_written(tmp_path: Path) -> None:
    document = few_draws(random_farm(0))
    document["labour"] = {"wage": 500.0}
    answer_document, result = which_plan_document(farm(document))

    assert result.best.decision is None
    assert answer_document["best"]["oils"] == []
    assert answer_document["best"]["equivalent_annual"] == 0.0
    assert "No plan is worth more than doing nothing" in answer_document["says"]["best"]
    with pytest.raises(ScenarioError, match="there is no plan to write"):
        write_best(result, answer_document, tmp_path / "best.toml")


def test_the_draws_of_one_plan_are_those_of_its_file() -> None:
    scenario = farm(few_draws(random_farm(3)))
    space = space_of(scenario)
    plan = planned(space, decision_of_file(space))
    assert plan.decision is not None
    assert plan.inputs is not None
    rows = [(plan.decision, plan.inputs, plan.names)]
    worth = worth_in_draws(space, rows, "time_paid", lambda done, total: None)[0]
    alone = chances(scenario, draws=64, seed=scenario.uncertainty.seed)

    assert float(np.mean(worth > 0.0)) == pytest.approx(alone.ahead["time_paid"])


@pytest.mark.parametrize("seed", range(200, 206))
def test_a_farm_with_every_field_has_an_answer_no_worse_than_its_own_plan(seed: int) -> None:
    document, result = which_plan_document(farm(few_draws(seeded.farm(seed))))

    json.dumps(document, allow_nan=False)
    if result.file_allowed:
        best, own = document["best"], document["file"]
        assert best["equivalent_annual"] >= own["equivalent_annual"] - 1e-6
    assert document["best"]["equivalent_annual"] >= 0.0
    assert document["timing_gain"] is None or document["timing_gain"] >= 0.0
