"""Stopping any New Year's Day: the rule against a plain search of every later year."""

import itertools
import math

import numpy as np
import pytest

from econ.questions.price_path import PricePath
from econ.questions.stopping import Yearly, carrying_on, last_years, worth_with_stopping

DRAWS, YEARS = 40, 6


def drawn(pull: float, seed: int = 0) -> tuple[Yearly, PricePath, np.ndarray]:
    """An invented ledger: fuel money near its costs, one replacement, resale that falls."""
    rng = np.random.default_rng(seed)
    path = PricePath(0.35, pull, YEARS)
    states = path.states(rng.standard_normal((YEARS, DRAWS)))
    fuel = np.concatenate([np.zeros((1, DRAWS)), rng.uniform(300, 900, (YEARS, DRAWS))])
    other = -rng.uniform(300, 900, (YEARS + 1, DRAWS))
    swapped = np.zeros((YEARS + 1, DRAWS))
    swapped[3] = -400.0
    stopped = np.linspace(900, -200, YEARS + 1)[:, None] * rng.uniform(0.5, 1.5, DRAWS)
    other[0] = 0.0
    money = Yearly(fuel, other, swapped, stopped, rng.uniform(1e3, 2e3, DRAWS), np.asarray(0.07))
    return money, path, states


def plain_best(money: Yearly, path: PricePath, states: np.ndarray, year: int, k: int) -> float:
    """The best of stopping at any later year, each summed up by itself."""
    p, s = path.pull, path.swing

    def variance(n: int) -> float:
        return s * s * sum((1 - p) ** (2 * j) for j in range(n))

    def saving(t: int) -> float:
        ahead = t - year
        seen = math.exp((1 - p) ** ahead * states[year, k] + (variance(ahead) - variance(t)) / 2)
        return float(seen * money.fuel[t, k] + money.other[t, k])

    result = []
    for z in range(year + 1, YEARS + 1):
        worth = float(money.swapped[year, k])
        for t in range(year + 1, z):
            worth += (saving(t) + float(money.swapped[t, k])) * 1.07 ** (year - t)
        worth += (saving(z) + float(money.stopped[z, k])) * 1.07 ** (year - z)
        result.append(worth)
    return max(result)


@pytest.mark.parametrize("pull", [0.0, 0.4])
def test_carrying_on_is_worth_the_best_of_every_later_year(pull: float) -> None:
    money, path, states = drawn(pull)

    worth = carrying_on(money, path, states)

    for year, k in itertools.product(range(1, YEARS), range(DRAWS)):
        assert worth[year - 1, k] == pytest.approx(plain_best(money, path, states, year, k))


def test_a_draw_ends_in_the_first_year_in_which_carrying_on_is_worth_less() -> None:
    money, path, states = drawn(0.0)
    worth = carrying_on(money, path, states)

    ends = last_years(money, path, states)

    for k, end in enumerate(ends):
        years = [y for y in range(1, YEARS) if worth[y - 1, k] < money.stopped[y, k]]
        assert end == (years[0] if years else YEARS)
    assert len(set(ends.tolist())) > 2


def test_a_plan_that_ends_is_worth_its_years_and_its_resale() -> None:
    money, path, states = drawn(0.0)
    ends = last_years(money, path, states)
    m = path.multipliers(states)

    worth = worth_with_stopping(money, m, ends)

    for k, end in enumerate(ends):
        plain = -float(money.kit_cost[k])
        for t in range(1, int(end) + 1):
            after = money.stopped[t, k] if t == end else money.swapped[t, k]
            plain += float(m[t, k] * money.fuel[t, k] + money.other[t, k] + after) * 1.07**-t
        assert worth[k] == pytest.approx(plain)


def test_freedom_to_stop_is_worth_something_on_average() -> None:
    gains = []
    for seed in range(50):
        money, path, states = drawn(0.0, seed)
        m = path.multipliers(states)
        to_the_end = np.full(DRAWS, YEARS)
        free = worth_with_stopping(money, m, last_years(money, path, states))
        gains.append(np.mean(free - worth_with_stopping(money, m, to_the_end)))

    assert np.mean(gains) > 4 * np.std(gains) / np.sqrt(len(gains))


def test_a_plan_of_one_year_has_no_new_years_day_to_stop_on() -> None:
    path = PricePath(0.2, 0.0, 1)
    one = np.ones((2, 3))
    money = Yearly(one, -one, 0 * one, one, np.ones(3), np.asarray(0.1))

    np.testing.assert_array_equal(last_years(money, path, path.states(one[1:])), [1, 1, 1])
