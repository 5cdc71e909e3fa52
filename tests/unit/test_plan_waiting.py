"""Small first, then choose: checked on a printed example of waiting, and on what must hold."""

from typing import Any

import numpy as np
import pytest
from plan_farms import choosing_farm

from econ.farm.files import from_document
from econ.questions.plan import which_plan
from econ.questions.plan_waiting import (
    best_by_cell,
    cells_of,
    small_first,
    worth_of_rule,
)


def farm(seed: int, **changes: Any) -> Any:
    return from_document({**choosing_farm(seed), **changes}, "farm.toml")


def test_waiting_for_a_price_is_worth_what_is_printed() -> None:
    """Dixit and Pindyck, Investment under Uncertainty (1994), chapter 2; from memory.

    A factory costs 1,600 and makes one widget a year for ever. The price is 200 now and will be
    300 or 100 for ever from next year, even odds; money costs 10 %. Investing now is worth 600;
    waiting a year and investing only if the price rose, 773.
    """
    rate = 0.10
    price = np.array([300.0, 100.0])
    for_ever = (1.0 + rate) / rate
    now = -1600.0 + 200.0 + np.mean(price) / rate
    later = {
        "bigger": (-1600.0 + price * for_ever) / (1.0 + rate),
        "stop": np.zeros(2),
    }
    cells = cells_of(price, np.ones(2))
    rule = best_by_cell(later, cells)
    waiting = float(np.mean(worth_of_rule(later, cells, rule)))

    assert now == pytest.approx(600.0)
    assert waiting == pytest.approx(773.0, abs=0.5)
    assert sorted(rule.values()) == ["bigger", "stop"]


def test_a_third_of_the_draws_lies_in_each_third() -> None:
    rng = np.random.default_rng(1)
    cells = cells_of(rng.normal(size=9000), rng.normal(size=9000))

    assert np.bincount(cells).min() > 900
    assert len(np.bincount(cells)) == 9
    assert set(cells_of(np.zeros(30), np.arange(30.0))) == {3, 4, 5}


def test_a_rule_by_cell_is_never_worse_than_any_one_way() -> None:
    rng = np.random.default_rng(2)
    ways = {way: rng.normal(size=900) for way in ("bigger", "carry on", "stop")}
    cells = cells_of(rng.normal(size=900), rng.normal(size=900))
    followed = worth_of_rule(ways, cells, best_by_cell(ways, cells))

    assert np.mean(followed) >= max(np.mean(worth) for worth in ways.values())


@pytest.mark.parametrize("seed", [0, 4])
def test_in_each_future_the_best_way_on_is_taken(seed: int) -> None:
    waiting = small_first(which_plan(farm(seed)))
    assert waiting is not None

    assert 2.0 * waiting.small.kit_to_buy <= waiting.big.kit_to_buy
    assert sum(cell.share for cell in waiting.cells) == pytest.approx(1.0)
    assert "bigger" in {cell.then for cell in waiting.cells}
    for cell in waiting.cells:
        assert cell.worth[cell.then] == max(cell.worth.values())


def test_where_bigger_never_pays_choosing_is_staying_small() -> None:
    waiting = small_first(which_plan(farm(3)))
    assert waiting is not None

    assert {cell.then for cell in waiting.cells} == {"carry on"}
    assert waiting.small_first == pytest.approx(waiting.start_small)


def test_a_plan_of_one_year_cannot_wait() -> None:
    scenario = farm(0, finance={"years": 1, "discount_rate": 0.06})

    assert small_first(which_plan(scenario)) is None
