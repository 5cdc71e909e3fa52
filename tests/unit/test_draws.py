"""Draws of a farm's guesses: repeatable, in the file's order, independent of workers."""

from pathlib import Path

import numpy as np
import pytest
from scipy import special, stats
from scipy.stats import qmc

from econ.farm.files import from_document, load
from econ.farm.prepare import prepare, prepare_whole, settle
from econ.farm.schema import Finance, Scenario, about
from econ.ground.errors import ScenarioError
from econ.ground.labels import NO_PLAN
from econ.model.evaluate import evaluate
from econ.model.levers import LEVERS, turned
from econ.questions.chances import KEPT_BLOCKS, chances
from econ.questions.draws import BLOCK, MOST_DRAWS, sampler
from econ.questions.guesses import guesses
from econ.questions.odds import likely
from econ.questions.swings import swings
from econ.questions.tipping import tipping_points, two_levers

ROOT = Path(__file__).parents[2] / "scenarios"
QUILLMERE = load(ROOT / "quillmere.toml")
SMALL = load(ROOT / "stonebark-own-oil.toml")


def test_guesses_stand_in_the_files_order_and_a_tied_price_has_none() -> None:
    result = guesses(QUILLMERE)
    names = [guess.path for guess in result]

    assert names[:3] == [
        ("prices", "road_diesel"),
        ("prices", "farm_diesel"),
        ("prices", "heating_oil"),
    ]
    assert ("thinners", 1, "price") not in names
    assert ("thinners", 3, "price") in names
    usual = [name for name in names if name[:2] == ("machines", 3)]
    assert all("wear" in name for name in usual)
    assert usual


def test_low_equal_to_high_takes_no_dimension() -> None:
    document = dict(SMALL.merged)
    document["labour"] = {**document["labour"], "wage": {"low": 9, "likely": 9, "high": 9}}

    flat = guesses(from_document(document, "x"))

    assert len(flat) == len(guesses(SMALL)) - 1


def test_the_same_seed_gives_the_same_draws_to_the_bit_and_another_does_not() -> None:
    one, same, other = (chances(QUILLMERE, draws=3000, seed=s) for s in (5, 5, 6))

    assert one.spreads == same.spreads
    assert np.array_equal(one.kept.npv["time_paid"], same.kept.npv["time_paid"])
    assert one.spreads != other.spreads


def test_the_first_draws_are_the_same_however_many_there_are() -> None:
    few = sampler(QUILLMERE, 100, 0).values(0)
    many = sampler(QUILLMERE, 50_000, 0).values(0)

    for path, values in few.items():
        np.testing.assert_array_equal(values, many[path][:100])


@pytest.mark.slow
def test_results_do_not_depend_on_workers(monkeypatch: pytest.MonkeyPatch) -> None:
    # So few draws would be one task, in this process.
    monkeypatch.setattr("econ.questions.chances._WORKER_DRAWS", 0)
    monkeypatch.setattr("econ.questions.chances._TASK_BLOCKS", 3)
    draws = (KEPT_BLOCKS + 8) * BLOCK + 17

    two = chances(SMALL, draws=draws, workers=2)
    alone = chances(SMALL, draws=draws, workers=1)

    assert two.spreads == alone.spreads
    assert two.ahead == alone.ahead
    assert two.draws == alone.draws == draws


def test_binned_levels_of_many_draws_equal_the_sorted_ones_of_few() -> None:
    kept = chances(SMALL, draws=KEPT_BLOCKS * BLOCK)
    binned = chances(SMALL, draws=(KEPT_BLOCKS + 8) * BLOCK)

    for key, spread in kept.spreads.items():
        for ours, theirs in zip(binned.spreads[key].levels, spread.levels, strict=True):
            width = spread.levels[2] - spread.levels[0]
            assert ours == pytest.approx(theirs, abs=0.01 * width, nan_ok=True)


@pytest.mark.parametrize("draws", [7, 5000, KEPT_BLOCKS * BLOCK + 1])
def test_the_odds_alone_are_those_of_all_chances_to_the_bit(draws: int) -> None:
    document = {**SMALL.merged, "uncertainty": {"draws": draws}}
    farm = from_document(document, "drawn")

    alone, drawn = likely(farm), chances(farm)

    assert alone.odds == drawn.odds
    assert alone.ahead == drawn.ahead


def test_drawn_prices_move_together_and_oil_against_them() -> None:
    drawn = sampler(QUILLMERE, 4096, 0).values(0)
    diesel = drawn[("prices", "farm_diesel")]
    gasoline, oil = drawn[("thinners", 0, "price")], drawn[("oils", 3, "volume_per_month")]
    wage = drawn[("labour", "wage")]

    def rank(x: np.ndarray) -> float:
        return float(stats.spearmanr(diesel, x).statistic)

    assert rank(gasoline) == pytest.approx(6 / np.pi * np.arcsin(0.9 / 2), abs=0.03)
    assert rank(oil) == pytest.approx(6 / np.pi * np.arcsin(-0.3 / 2), abs=0.03)
    assert rank(wage) == pytest.approx(0.0, abs=0.03)


def with_uncertainty(scenario: Scenario, **fields: float) -> Scenario:
    document = dict(scenario.merged)
    document["uncertainty"] = {**document.get("uncertainty", {}), **fields}
    return from_document(document, "x")


def test_guesses_lean_one_way_each_by_its_bad_side() -> None:
    drawn = sampler(QUILLMERE, 4096, 0).values(0)
    hours = drawn[("process", "hours_per_batch")]
    loss = drawn[("process", "loss_share")]
    element = drawn[("filters", 0, "volume_per_element")]
    fuel = drawn[("machines", 0, "hours_per_year")]

    def rank(x: np.ndarray) -> float:
        return float(stats.spearmanr(hours, x).statistic)

    # Rank correlation of a Gaussian copula, 6/pi arcsin(r/2): Kruskal (1958); from memory.
    assert rank(loss) == pytest.approx(6 / np.pi * np.arcsin(0.25 / 2), abs=0.03)
    assert rank(element) == pytest.approx(-6 / np.pi * np.arcsin(0.25 / 2), abs=0.03)
    assert rank(fuel) == pytest.approx(0.0, abs=0.03)


def test_each_common_factor_and_each_year_of_the_path_has_a_dimension_after_the_guesses() -> None:
    plain = with_uncertainty(QUILLMERE, guess_correlation=0, fuel_price_swing=0)
    alone = with_uncertainty(plain, fuel_price_correlation=0, supply_correlation=0)
    count, years = len(guesses(QUILLMERE)), QUILLMERE.finance.years

    shapes = [len(sampler(s, 8, 0).raw(0)) for s in (alone, plain, QUILLMERE)]

    assert shapes == [count, count + 1, count + 2 + years]


def test_without_leaning_and_swings_draws_are_scipys_points_through_one_copula() -> None:
    # Built here from scipy alone: Sobol points with the fuel factor's last, normal scores,
    # beta quantiles (modified PERT: alpha = 1 + 4 m).
    plain = with_uncertainty(QUILLMERE, guess_correlation=0, fuel_price_swing=0)
    result = guesses(plain)
    rng = np.random.default_rng(3)
    points = qmc.Sobol(len(result) + 1, scramble=True, rng=rng).random(256).T + 2.0**-31
    factor = special.ndtri(points[-1])

    drawn = sampler(plain, 256, 3).values(0)

    for k, guess in enumerate(result):
        load = {"fuel price": 0.9**0.5, "oil volume": -0.3 / 0.9**0.5, None: 0.0}[guess.group]
        u = special.ndtr(load * factor + (1 - load**2) ** 0.5 * special.ndtri(points[k]))
        exact = special.betaincinv(1 + 4 * guess.place, 5 - 4 * guess.place, u)
        expected = guess.low + (guess.high - guess.low) * exact
        np.testing.assert_allclose(
            drawn[guess.path], expected, atol=2e-6 * (guess.high - guess.low)
        )


def test_every_guess_of_a_cost_hours_or_failures_has_its_high_side_bad() -> None:
    costly = {"cost", "hours_per_batch", "hours_per_trip", "loss_share", "extra_failures",
              "disposal_cost", "upkeep_hours_per_year", "exit_cost", "reject_share"}  # fmt: skip
    short = {"volume_per_element", "reliability", "resale_share", "heater_efficiency"}

    for guess in (*guesses(QUILLMERE), *guesses(SMALL)):
        field = guess.path[-1]
        if field in costly | short:
            assert guess.bad_side == ("high" if field in costly else "low"), guess.name


def test_inflation_and_failures_cannot_be_found_out_but_prices_stand_on_a_bill() -> None:
    by_path = {guess.path: guess.learned_from for guess in guesses(QUILLMERE)}

    assert by_path[("prices", "farm_diesel")] == "your last bills"
    assert by_path[("machines", 0, "wear", 0, "extra_failures")] == ""
    assert about(Finance, "inflation").learned_from == ""


@pytest.mark.parametrize("draws", [0, -1, MOST_DRAWS + 1, 10**12])
def test_a_number_of_draws_out_of_range_is_refused(draws: int) -> None:
    with pytest.raises(ScenarioError, match="draws lie between 1 and"):
        chances(SMALL, draws=draws)


def test_without_any_guess_every_draw_is_the_likely_one() -> None:
    def plain(value: object) -> object:
        if isinstance(value, dict):
            if set(value) == {"low", "likely", "high"}:
                return value["likely"]
            return {key: plain(inner) for key, inner in value.items()}
        return [plain(inner) for inner in value] if isinstance(value, list) else value

    document = plain(with_uncertainty(SMALL, fuel_price_swing=0).merged)
    assert isinstance(document, dict)
    result = chances(from_document(document, "x"), draws=10)

    assert result.ahead["time_free"] in (0.0, 1.0)
    low, middle, high = result.spreads["time_free.npv"].levels
    assert low == middle == high


# --- coverage: truth from closed forms and numpy's own generators ---------------------------------


def test_the_ninety_per_cent_band_holds_ninety_per_cent_of_outcomes() -> None:
    # An invented farm whose saving is its wage times its upkeep hours: truth is
    # drawn here with numpy's beta generator, not with the model's own draws.
    document = dict(SMALL.merged)
    document = {
        **document,
        "labour": {
            "wage": {"low": 10, "likely": 20, "high": 45},
            "upkeep_hours_per_year": {"low": 5, "likely": 40, "high": 60},
            "hired_share": 1.0,
        },
    }
    document["uncertainty"] = {**document.get("uncertainty", {}), "guess_correlation": 0}
    for table in ("machines", "oils", "kit"):
        document[table] = [dict(entry) for entry in document[table]]
    for oil in document["oils"]:
        oil["volume_per_month"] = 0
    document["process"] = {**document["process"], "hours_per_batch": 0}
    scenario = from_document(document, "x")
    result = chances(scenario, draws=8192).spreads["after_wear"].levels
    rng = np.random.default_rng(11)

    def beta(low: float, likely: float, high: float) -> np.ndarray:
        place = (likely - low) / (high - low)
        return low + (high - low) * rng.beta(1 + 4 * place, 5 - 4 * place, 200_000)

    fixed = sum(float(y.cost) for y in scenario.yearly if not hasattr(y.cost, "low"))
    truth = -beta(10, 20, 45) * beta(5, 40, 60) - fixed

    inside = np.mean((truth >= result[0]) & (truth <= result[2]))
    assert inside == pytest.approx(0.90, abs=4 * np.sqrt(0.09 / 8192))


# --- tipping points and swings ---


def test_tipping_points_re_run_on_the_model_are_worth_nothing() -> None:
    inputs = prepare(QUILLMERE, at="expected")
    result = [tip for tip in tipping_points(inputs) if np.isfinite(tip.factor)]

    assert len(result) >= 10
    for tip in result:
        again = evaluate(turned(inputs, {tip.lever.key: tip.factor})).ledgers[tip.ledger]
        assert float(again.measures["npv"]) == pytest.approx(0.0, abs=1e-5)


def test_the_tipping_pump_price_is_the_break_even_price() -> None:
    inputs = prepare(SMALL, at="expected")
    tip = next(t for t in tipping_points(inputs) if t.lever.key == "pump_price")
    ledger = evaluate(inputs).ledgers[tip.ledger]

    by_price = float(ledger.measures["break_even_fuel_price"] / ledger.ledger.mean_price)
    assert tip.factor == pytest.approx(by_price, rel=1e-9)


def test_two_levers_left_alone_are_the_farm_as_it_is() -> None:

    inputs = prepare(SMALL)
    factors = np.array([0.5, 1.0, 2.0])

    grid = two_levers(inputs, LEVERS[0], LEVERS[4], factors)["time_paid"]

    npv = float(evaluate(inputs).ledgers["time_paid"].measures["npv"])
    assert grid[1, 1] == pytest.approx(npv, rel=1e-12)
    assert grid[2, 1] > grid[1, 1] > grid[0, 1]
    assert grid[1, 2] < grid[1, 1] < grid[1, 0]


def test_a_swing_moves_tied_thinners_along_with_their_fuel() -> None:
    rows = swings(SMALL, settle(SMALL), guesses(SMALL))
    diesel = next(row for row in rows if row.guess.path == ("prices", "farm_diesel"))

    assert rows[0] is diesel
    # A dollar on diesel brings in fuel replaced less the tied thinner, not all fuel replaced.
    per_dollar = diesel.width / (diesel.guess.high - diesel.guess.low)
    assert 0 < per_dollar < 500


def test_a_zero_line_runs_through_the_tipping_point() -> None:
    from econ.questions.tipping import zero_line

    inputs = prepare(SMALL, at="expected")
    levers = {lever.key: lever for lever in LEVERS}
    factors = np.linspace(0.5, 2.0, 31)
    line = zero_line(inputs, levers["pump_price"], levers["wage"], "time_paid", factors)
    tip = next(
        t for t in tipping_points(inputs) if t.lever.key == "wage" and t.ledger == "time_paid"
    )

    at_present = dict(line.factors)[1.0]
    assert at_present == pytest.approx(tip.factor, rel=2e-3)


def test_shares_of_the_best_thinner_add_up_and_the_one_best_on_average_wins_often() -> None:
    from econ.questions.best_thinner import best_thinners
    from econ.questions.thinners import compare

    farm = load(ROOT / "tamsel-pumps.toml")
    result = best_thinners(farm, settle(farm), sampler(farm, 512, 0), 512)
    best = compare(prepare_whole(farm)).scopes[0].best

    assert sum(result.values()) == pytest.approx(1.0)
    assert best is not None
    assert next(iter(result)) == best.offer.name
    assert result[best.offer.name] > 0.5


@pytest.mark.parametrize("name", ["tamsel-pumps", "quillmere"])
def test_no_plan_is_best_in_no_more_draws_than_the_farms_own_plan_loses(name: str) -> None:
    """The best of several thinners loses at most as often as the one that is burned now."""
    from econ.questions.best_thinner import best_thinners

    farm = load(ROOT / f"{name}.toml")
    loses = 1.0 - chances(farm, draws=512).ahead["time_paid"]
    share = best_thinners(farm, settle(farm), sampler(farm, 512, 0), 512)[NO_PLAN]

    # A thinner's price wanders from year to year in the one and not in the other.
    assert 0.0 < share <= loses + 0.1
