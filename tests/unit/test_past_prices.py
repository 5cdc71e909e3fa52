"""Own fuel at past prices: the record's ratios on today's price, and the years on either side."""

from pathlib import Path

import pytest

from dashboards.drawings import past_price_strip
from econ.answers.decision import decide
from econ.answers.first_screen import mean_price
from econ.answers.past_prices import past_prices
from econ.farm.files import load
from econ.questions.history import price_record, real_prices

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_past_prices_are_todays_moved_as_the_record_and_counted_on_either_side(path: Path) -> None:
    decision = decide(load(path), draws=64)
    past = past_prices(decision.answer.expected, decision.numbers)
    today = mean_price(decision.document)
    if today is None:
        assert past is None
        return

    assert past is not None
    assert past["today"] == pytest.approx(today, rel=1e-12)
    assert past["years"][-1]["price"] == pytest.approx(today, rel=1e-12)
    assert [row["year"] for row in past["years"]] == [row.year for row in price_record()]
    real = real_prices()
    for row, price in zip(past["years"], real, strict=True):
        assert row["price"] / today == pytest.approx(price / real[-1], rel=1e-12)
    free = decision.document["ledgers"]["time_free"]
    if free["break_even_fuel_price"] is None:
        assert past["start"] is None
        return
    assert past["start"] == pytest.approx(free["break_even_fuel_price"], rel=1e-12)
    above = sum(row["price"] >= past["start"] for row in past["years"])
    assert f" in {above} of {len(real)} years" in past["sentence"]
    drawn = past_price_strip(past, decision.numbers)
    assert drawn.count('class="over"') == above
    assert drawn.count("<rect") == len(real)
