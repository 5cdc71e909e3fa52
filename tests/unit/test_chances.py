"""Draws through the whole model: prices that wander, freedom to stop, past stretches."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from econ.farm.files import from_document, load
from econ.farm.prepare import inputs_at, prepare, settle
from econ.farm.schema import Scenario
from econ.model.evaluate import evaluate
from econ.questions.chances import chances
from econ.questions.draws import pick_from, sampler
from econ.questions.history import history, real_prices

ROOT = Path(__file__).parents[2] / "scenarios"
QUILLMERE = load(ROOT / "quillmere.toml")
SMALL = load(ROOT / "stonebark-own-oil.toml")
LEDGER_KEYS = ("time_free", "time_paid")


def without_guesses(value: Any) -> Any:
    if isinstance(value, dict):
        if set(value) == {"low", "likely", "high"}:
            return value["likely"]
        return {key: without_guesses(inner) for key, inner in value.items()}
    return [without_guesses(inner) for inner in value] if isinstance(value, list) else value


def changed(scenario: Scenario, *, guesses: bool = True, **uncertainty: float) -> Scenario:
    document = scenario.merged if guesses else without_guesses(scenario.merged)
    fields = {**document.get("uncertainty", {}), **uncertainty}
    return from_document({**document, "uncertainty": fields}, "x")


@pytest.mark.parametrize("pull", [0.0, 0.3])
def test_without_guesses_the_path_leaves_the_mean_and_has_its_closed_variance(pull: float) -> None:
    # npv = sum of m_y a_y + b, a_y each year's discounted fuel money: mean with all m_y = 1, and
    # variance sum a_y a_z (exp(Cov(x_y, x_z)) - 1), Cov = phi^(z - y) s^2 sum phi^(2k).
    farm = changed(QUILLMERE, guesses=False, fuel_price_swing=0.2, fuel_price_pull=pull)
    count, phi = 2**15, 1 - pull
    still = evaluate(prepare(farm)).ledgers["time_paid"]
    years = farm.finance.years
    rate = float(still.ledger.rate)
    fuel = [float(still.ledger.fuel_like[y]) * (1 + rate) ** -y for y in range(years + 1)]
    variance = sum(
        fuel[y]
        * fuel[z]
        * np.expm1(phi ** abs(y - z) * 0.04 * sum(phi ** (2 * k) for k in range(min(y, z))))
        for y in range(years + 1)
        for z in range(years + 1)
    )

    result = chances(farm, draws=count)

    npv = float(still.measures["npv"])
    assert result.mean["time_paid"] == pytest.approx(npv, abs=0.02 * variance**0.5)
    assert result.kept.npv["time_paid"].var() == pytest.approx(variance, rel=0.02)
    np.testing.assert_allclose(result.kept.still["time_paid"], npv, rtol=1e-9)


def test_prices_that_hold_still_leave_every_draw_as_it_was_to_the_bit() -> None:
    farm = changed(SMALL, fuel_price_swing=0)
    drawn = sampler(farm, 3000, 4)
    plain = (
        evaluate(inputs_at(farm, pick_from(drawn.values(0)), settle(farm)), by_month=False)
        .ledgers["time_paid"]
        .measures
    )

    result = chances(farm, draws=3000, seed=4)

    np.testing.assert_array_equal(result.kept.npv["time_paid"], plain["npv"])
    levels = np.quantile(plain["simple_payback"][np.isfinite(plain["simple_payback"])], 0.5)
    assert result.spreads["time_paid.simple_payback"].levels[1] == levels


def test_figures_of_the_typical_year_do_not_know_the_path() -> None:
    # With as many dimensions the draws are the same; only the path's swing differs.
    calm = chances(changed(SMALL, fuel_price_swing=0.001), draws=2000)
    wild = chances(changed(SMALL, fuel_price_swing=0.4), draws=2000)

    for key in ("fuel_replaced", "after_wear", "after_labour", "full_rung"):
        assert calm.spreads[key] == wild.spreads[key]
    assert calm.spreads["time_paid.npv"] != wild.spreads["time_paid.npv"]
    assert calm.fan["time_paid"][3] != wild.fan["time_paid"][3]
    assert calm.bad_year == wild.bad_year


@pytest.mark.parametrize("name", ["quillmere", "stonebark-own-oil", "tamsel-pumps", "wrenfold"])
def test_freedom_to_stop_adds_to_the_mean_when_prices_are_a_walk(name: str) -> None:
    result = chances(load(ROOT / f"{name}.toml"), draws=4096)

    for key in LEDGER_KEYS:
        error = result.kept.npv[key].std() / 64
        free = result.stopping[key]
        assert free.mean >= result.mean[key] - error
        assert free.spread.levels[0] >= result.spreads[f"{key}.npv"].levels[0]
        assert list(free.stopped) == sorted(free.stopped)
        assert 0.0 <= free.stopped[-1] <= 1.0


def test_a_plan_that_loses_every_year_is_stopped_at_the_first_new_year() -> None:
    dear = {**QUILLMERE.merged, "labour": {**QUILLMERE.merged["labour"], "wage": 400}}

    result = chances(from_document(dear, "x"), draws=500)

    assert result.stopping["time_paid"].stopped[0] == 1.0


def test_a_past_stretch_is_worth_what_its_prices_make_of_each_years_fuel() -> None:
    inputs = prepare(SMALL)
    ledger = evaluate(inputs).ledgers["time_free"]
    real, years = real_prices(), SMALL.finance.years
    apart = (1 + float(inputs.finance.inflation)) / (1 + float(inputs.finance.fuel_inflation))

    result = history(inputs)

    assert result is not None
    assert result.begun == tuple(range(1995, 2026 - years))
    for k in (0, 7, len(result.begun) - 1):
        worth = float(ledger.measures["npv"])
        for y in range(1, years + 1):
            moved = real[k + y] / real[k] * apart**y - 1
            fuel = float(ledger.ledger.fuel_like[y])
            worth += moved * fuel * (1 + float(ledger.ledger.rate)) ** -y
        assert result.npv["time_free"][k] == pytest.approx(worth)
    assert result.worst("time_free") == result.begun[int(np.argmin(result.npv["time_free"]))]
    assert result.ahead("time_free") == sum(result.npv["time_free"] > 0)


def test_a_plan_longer_than_the_record_has_no_past_stretch() -> None:
    long = {**SMALL.merged, "finance": {**SMALL.merged["finance"], "years": 40}}

    assert history(prepare(from_document(long, "x"))) is None
    assert chances(from_document(long, "x"), draws=10).history is None
