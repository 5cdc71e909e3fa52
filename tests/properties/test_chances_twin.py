"""Chances against their second reading: draws, stopping, history, bad years, what matters.

The second reading takes the same points one by one and loops; what single guesses do it finds
by quadrature, so that a share of variance or a worth of knowing has no sampling error there.
"""

import copy
import statistics
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import reference
import seeded
from reference.chances import BAD_SIDES, LEDGERS, Chances, bad_year, history

from econ.answers.outlook import outlook, outlook_json
from econ.farm.files import from_document, load
from econ.farm.schema import TABLES, Scenario, about
from econ.questions.draws import sampler
from econ.questions.history import real_prices

Document = dict[str, Any]
SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
FUEL_GROUP = "fuel prices and oil volumes, which move together"
LEAN_GROUP = "all other guesses, which lean one way"
PATH_GROUP = "fuel price from year to year"
# A quantile comes from a table: good to this share of the guess's range.
TABLE = 2e-7


def guess(low: float, likely: float, high: float) -> Document:
    return {"low": low, "likely": likely, "high": high}


def small_farm(**uncertainty: float) -> Document:
    """Return one tractor that burns a neighbour's oil with bought gasoline, all of it certain."""
    return {
        "scenario": {"title": "Small", "units": "us", "currency": "USD"},
        "prices": {"farm_diesel": 4.0, "electricity": 0.15},
        "machines": [{
            "name": "Tractor", "engine": "inline pump", "model_year": 1985,
            "replaces": "farm_diesel", "fuel_per_year": 900, "blend_share": 0.8,
            "thinner": "Gasoline", "thinner_share": 0.2, "resale_loss": 150,
            "wear": [{"part": "Pump", "cost": 1800, "extra_failures": 0.4},
                     {"part": "Filter", "cost": 40, "extra_failures": 5}],
        }],
        "oils": [{"name": "Garage", "kind": "engine oil", "volume_per_month": 45,
                  "load_volume": 45, "round_trip": 20, "hours_per_trip": 1.0}],
        "hauling": {"cost_per_distance": 0.6},
        "process": {"batch_volume": 50, "hours_per_batch": 2, "loss_share": 0.08,
                    "energy_per_volume": 0.3, "raw_storage": 200, "clean_storage": 150},
        "filters": [{"name": "Cartridge", "price": 18, "volume_per_element": 90}],
        "thinners": [{"name": "Gasoline", "kind": "gasoline", "price": 3.6}],
        "labour": {"wage": 18},
        "kit": [{"name": "Centrifuge", "cost": 1500, "life_years": 6, "resale_share": 0.4}],
        "finance": {"years": 4, "discount_rate": 0.06, "inflation": 0.02,
                    "fuel_inflation": 0.03, "tax_rate": 0.15, "depreciation": "straight line",
                    "exit_cost": 100},
        "uncertainty": {"fuel_price_swing": 0, **uncertainty},
    }  # fmt: skip


def guessed_farm() -> Document:
    """Return the small farm with a guess of every sort, on a path that pulls back a little."""
    farm = small_farm(fuel_price_swing=0.25, fuel_price_pull=0.15, supply_correlation=-0.4)
    farm["prices"]["farm_diesel"] = guess(3.0, 4.0, 5.6)
    farm["thinners"][0]["price"] = guess(2.8, 3.5, 4.8)
    farm["oils"][0]["volume_per_month"] = guess(25, 45, 60)
    farm["oils"][0]["hours_per_trip"] = guess(0.5, 1, 2.5)
    farm["process"]["hours_per_batch"] = guess(1, 2, 4)
    farm["filters"][0]["volume_per_element"] = guess(40, 90, 130)
    farm["machines"][0]["fuel_per_year"] = guess(700, 900, 1000)
    farm["finance"]["inflation"] = guess(0.01, 0.02, 0.05)
    farm["kit"][0]["cost"] = guess(1200, 1500, 2400)
    return farm


def sides() -> dict[tuple[str, str], int]:
    """Read from the schema which way each field must lean to be bad news."""
    made = {}
    for name, model, _ in TABLES:
        for field in model.model_fields:
            side = "" if field == "wear" else about(model, field).bad_side
            if side:
                made[name.removeprefix("machines."), field] = 1 if side == "high" else -1
    return made


def answered(farm: Document | Scenario, draws: int, seed: int = 0) -> Document:
    scenario = from_document(farm, "farm.toml") if isinstance(farm, dict) else farm
    return dict(outlook_json(outlook(scenario, draws=draws, seed=seed)))


# --- draws ---------------------------------------------------------------------------------


def test_the_schema_agrees_which_guesses_have_a_bad_side() -> None:
    result = sides()

    assert {key: result.get(key) for key in BAD_SIDES} == BAD_SIDES


@pytest.mark.parametrize(
    "farm", [3, 4, 11, *SCENARIOS], ids=lambda farm: getattr(farm, "stem", farm)
)
def test_every_draw_of_every_guess_is_that_of_the_second_reading(farm: int | Path) -> None:
    if isinstance(farm, int):
        document = seeded.farm(farm)
        scenario = from_document(document, "farm.toml")
    else:
        document, scenario = reference.read(farm), load(farm)
    draws, twin = sampler(scenario, 6, 3), Chances(document, sides())
    values, raw = draws.values(0), draws.raw(0)
    paths = draws.path.multipliers(draws.states(raw))[1:]

    assert [g.path for g in draws.guesses] == [g.path for g in twin.guesses]
    assert raw.shape[0] == twin.dimensions
    for k, scores in enumerate(twin.scores(6, 3)):
        drawn = twin.drawn(scores)
        for one in twin.guesses:
            entry: Any = drawn
            for step in one.path:
                entry = entry[step]
            if "wear" in one.path:
                # Usual wear is held per 1,000 gal whatever the file's units.
                assert values[one.path][k] == pytest.approx(entry, rel=1e-5) or (
                    document["scenario"]["units"] == "metric"
                )
                continue
            assert abs(values[one.path][k] - entry) <= TABLE * (one.high - one.low)
        assert twin.prices(scores)[1] == pytest.approx(list(paths[:, k]), rel=TABLE)


# --- what the draws come to ----------------------------------------------------------------

DRAWS = 160


@pytest.fixture(scope="module")
def worked() -> tuple[Document, list[Document]]:
    farm = guessed_farm()
    return answered(farm, DRAWS, 5), Chances(farm, sides()).sample(DRAWS, 5)


def test_the_small_farm_meets_both_sides_of_what_is_counted(
    worked: tuple[Document, list[Document]],
) -> None:
    _, twin = worked
    for name, _ in LEDGERS:
        assert {row["ledgers"][name]["npv"] > 0 for row in twin} == {True, False}
    assert {row["ledgers"]["time_paid"]["stopped"] for row in twin} == {None, 1, 2, 3}


@pytest.mark.parametrize("ledger", [name for name, _ in LEDGERS])
def test_worth_chance_and_stopping_are_those_of_the_second_reading(
    worked: tuple[Document, list[Document]], ledger: str
) -> None:
    model, draws = worked
    twin = [row["ledgers"][ledger] for row in draws]
    npv, stopping = [t["npv"] for t in twin], [t["with_stopping"] for t in twin]
    stops = [t["stopped"] or 4 for t in twin]

    assert model["ahead"][ledger] == sum(v > 0 for v in npv) / DRAWS
    assert model["mean"][ledger] == pytest.approx(statistics.fmean(npv), rel=1e-6)
    spread = model["spreads"][f"{ledger}.npv"]["levels"]
    assert spread == pytest.approx(list(np.quantile(npv, [0.05, 0.5, 0.95])), rel=1e-5)
    free = model["with_stopping"][ledger]
    assert free["mean"] == pytest.approx(statistics.fmean(stopping), rel=1e-6)
    assert free["levels"] == pytest.approx(list(np.quantile(stopping, [0.05, 0.5, 0.95])), rel=1e-5)
    assert free["ahead"] == sum(v > 0 for v in stopping) / DRAWS
    assert free["stopped"] == [sum(s <= y for s in stops) / DRAWS for y in (1, 2, 3)]


@pytest.mark.parametrize("ledger", [name for name, _ in LEDGERS])
def test_payback_and_running_balance_are_those_of_the_second_reading(
    worked: tuple[Document, list[Document]], ledger: str
) -> None:
    model, draws = worked
    twin = [row["ledgers"][ledger] for row in draws]
    within = {
        str(limit): sum(
            t["simple_payback"] is not None and t["simple_payback"] <= limit for t in twin
        )
        / DRAWS
        for limit in (1, 2, 3, 4)
    }
    balance = [
        list(np.quantile([t["running"][y] for t in twin], [0.05, 0.5, 0.95])) for y in range(5)
    ]

    assert {str(k): v for k, v in model["payback_within"][ledger].items()} == within
    assert len(model["running_balance"][ledger]) == 5
    for ours, theirs in zip(model["running_balance"][ledger], balance, strict=True):
        assert ours == pytest.approx(theirs, rel=1e-5, abs=0.01)


def test_the_typical_year_of_draws_is_that_of_the_second_reading(
    worked: tuple[Document, list[Document]],
) -> None:
    model, draws = worked
    figures = {
        "fuel_replaced": [d["fuel"]["fuel_replaced"] / reference.liquids.GALLON for d in draws],
        "hours": [d["fuel"]["hours"] for d in draws],
        "after_wear": [d["savings"]["after_wear"] for d in draws],
        "after_labour": [d["savings"]["after_labour"] for d in draws],
    }
    for key, values in figures.items():
        levels = model["spreads"][key]["levels"]
        assert levels == pytest.approx(list(np.quantile(values, [0.05, 0.5, 0.95])), rel=1e-5), key


# --- looking back and bad years ------------------------------------------------------------


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_past_stretches_are_worth_what_the_second_reading_says(path: Path) -> None:
    rows = answered(load(path), 8)["history"]["stretches"]
    real = {1995 + k: float(price) for k, price in enumerate(real_prices())}
    twin = history(reference.read(path), real)

    assert [row["begun"] for row in rows] == [row["from"] for row in twin]
    for ours, theirs in zip(rows, twin, strict=True):
        for name, _ in LEDGERS:
            assert ours["npv"][name] == pytest.approx(theirs[name], rel=1e-9, abs=1e-6)


def test_a_bad_year_is_that_of_the_exact_distribution_of_repairs() -> None:
    farm = small_farm()
    model = answered(farm, 64)
    [draw] = Chances(farm, sides()).sample(1, 0)
    parts = [(cost, mean) for machine in draw["wear"] for _, cost, mean in machine]
    before = draw["savings"]["cash"]
    large = [mean for cost, mean in parts if cost > 150]

    exact = bad_year(before, parts)
    assert exact < draw["savings"]["after_wear"] - 200
    assert abs(model["bad_year"] - exact) <= 4 * max(model["bad_year_error"], 1.0)
    assert model["large_bill"]["above"] == pytest.approx(150)
    assert model["large_bill"]["years_between"] == pytest.approx(1 / sum(large), rel=1e-9)


# --- what matters, and what is worth finding out -------------------------------------------


def index_of(model: Document, ledger: str, name: str) -> float:
    return next(row["index"] for row in model["first_order"][ledger] if row["name"] == name)


def still(ledger: str) -> Any:
    return lambda row: row["ledgers"][ledger]["npv"]


def test_shares_of_the_spread_are_those_found_by_quadrature() -> None:
    farm = small_farm(supply_correlation=-0.6)
    farm["prices"]["farm_diesel"] = guess(2.5, 4.0, 6.0)
    farm["oils"][0]["volume_per_month"] = guess(10, 35, 60)
    model, twin = answered(farm, 16_384), Chances(farm, sides())

    grid = twin.grid(still("time_free"), 9)

    assert index_of(model, "time_free", FUEL_GROUP) == pytest.approx(
        grid.first_order("F"), abs=0.02
    )
    for one in twin.guesses:
        [name] = [
            g.name for g in sampler(from_document(farm, "f"), 2, 0).guesses if g.path == one.path
        ]
        assert index_of(model, "time_free", name) == pytest.approx(
            grid.first_order(one.path), abs=0.02
        )


def test_the_share_of_guesses_that_lean_one_way_is_that_found_by_quadrature() -> None:
    farm = small_farm(guess_correlation=0.5)
    farm["process"]["hours_per_batch"] = guess(1, 2, 6)
    farm["filters"][0]["volume_per_element"] = guess(20, 60, 130)
    model, twin = answered(farm, 16_384), Chances(farm, sides())

    grid = twin.grid(still("time_paid"), 9)

    assert grid.first_order("G") > 0.3
    assert index_of(model, "time_paid", LEAN_GROUP) == pytest.approx(
        grid.first_order("G"), abs=0.02
    )


def test_the_share_of_the_path_is_that_found_by_quadrature() -> None:
    farm = small_farm(fuel_price_swing=0.2, fuel_price_pull=0.2)
    farm["finance"]["years"] = 2
    farm["machines"][0]["fuel_per_year"] = guess(150, 500, 700)
    model, twin = answered(farm, 16_384), Chances(farm, sides())

    grid = twin.grid(still("time_paid"), 9)

    assert 0.1 < grid.first_order("path") < 0.9
    assert index_of(model, "time_paid", PATH_GROUP) == pytest.approx(
        grid.first_order("path"), abs=0.02
    )
    [one], [drawn] = twin.guesses, sampler(from_document(farm, "f"), 2, 0).guesses
    assert grid.first_order(one.path) > 0.05
    assert index_of(model, "time_paid", drawn.name) == pytest.approx(
        grid.first_order(one.path), abs=0.02
    )


def test_what_a_guess_is_worth_to_know_is_that_found_by_quadrature() -> None:
    farm = small_farm(supply_correlation=-0.6)
    farm["prices"]["farm_diesel"] = guess(2.2, 3.0, 4.4)
    farm["oils"][0]["volume_per_month"] = guess(5, 30, 60)
    model, twin = answered(farm, 32_768), Chances(farm, sides())
    names = {g.path: g.name for g in sampler(from_document(farm, "f"), 2, 0).guesses}
    rows = {row["name"]: row for row in model["worth_of_learning"]["time_free"]}

    for k, one in enumerate(twin.guesses):
        # Eleven nodes of the others as well come to the same within 0.03 %.
        grid = twin.grid(still("time_free"), 11, knowing=k, beside=5)
        exact = grid.worth_of_knowing(one.path)
        row = rows[names[one.path]]
        assert exact > 1.0
        assert row["value"] == pytest.approx(exact, rel=0.05, abs=4 * row["error"])


def test_nobody_can_find_out_first_what_inflation_or_next_years_prices_will_be() -> None:
    farm = guessed_farm()
    farm["finance"]["fuel_inflation"] = guess(0.0, 0.03, 0.06)
    names = {g.path: g.name for g in sampler(from_document(farm, "f"), 2, 0).guesses}
    ranked = {row["name"] for row in answered(farm, 512)["worth_of_learning"]["time_paid"]}

    assert names["finance", "inflation"] not in ranked
    assert names["finance", "fuel_inflation"] not in ranked
    assert PATH_GROUP not in ranked
    assert names["prices", "farm_diesel"] in ranked


# --- swings --------------------------------------------------------------------------------


def test_a_swing_moves_one_guess_alone_all_others_at_their_means() -> None:
    farm = guessed_farm()
    names = {g.path: g.name for g in sampler(from_document(farm, "f"), 2, 0).guesses}
    rows = {row["name"]: row for row in answered(farm, 64)["swings"]}
    for path, name in names.items():
        for k, end in enumerate(("low", "high")):
            turned = copy.deepcopy(farm)
            entry: Any = turned
            for step in path[:-1]:
                entry = entry[step]
            entry[path[-1]] = entry[path[-1]][end]
            settled, order = reference.expected(farm)
            twin = reference.work(reference.Farm(turned, "expected", settled), order)
            for ledger, _ in LEDGERS:
                ours = rows[name]["equivalent_annual"][ledger][k]
                theirs = twin["ledgers"][ledger]["equivalent_annual"]
                assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-6), (name, end)
