"""Twelve questions: whatever is answered, a farm comes out that works, and says what is whose."""

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from econ.farm.files import from_document
from econ.farm.interview import (
    BLANKS,
    MACHINES,
    QUESTIONS,
    checked_answers,
    interviewed,
    usual_text,
)
from econ.farm.schema import ENGINES, Estimate, Scenario
from econ.ground.errors import RefusedError

DAY = datetime.date(2026, 6, 15)


def farm(**answers: str) -> Scenario:
    made = interviewed({key.replace("__", "."): text for key, text in answers.items()}, DAY)
    assert made.faults == {}
    return from_document(made.document, "farm.toml")


def text_for(key: str) -> st.SearchStrategy[str]:
    blank = BLANKS[key]
    if blank.choices:
        return st.sampled_from([value for value, _ in blank.choices])
    return st.sampled_from(["", "0", "3", "$4.10", "4,10", "1,500", "50 %", "dear", "-2", "1e9"])


ANSWERS = st.fixed_dictionaries({}, optional={key: text_for(key) for key in BLANKS})


@given(answers=ANSWERS)
@settings(max_examples=60, deadline=None)
def test_whatever_is_answered_a_farm_comes_out_that_works(answers: dict[str, str]) -> None:
    """A page that shows no figures at all leaves its reader alone; ours never does."""
    made = interviewed(checked_answers(answers), DAY)
    from_document(made.document, "farm.toml")
    assert set(made.faults) <= set(BLANKS)


def test_there_are_twelve_questions_and_thirty_numbers_at_most() -> None:
    assert len(QUESTIONS) == 12
    assert len({question.key for question in QUESTIONS}) == 12
    assert len(BLANKS) == sum(len(question.blanks) for question in QUESTIONS)
    assert sum(1 for blank in BLANKS.values() if blank.detail) <= 30


def test_no_answer_at_all_gives_usual_values_and_says_so() -> None:
    made = interviewed({}, DAY)
    assert made.answered == 0
    assert made.faults == {}
    assert "Your answer" not in made.text.split("[scenario]")[1]
    assert "sources" not in made.document["scenario"]
    assert made.text.count("# A usual value, not yours yet.") > 20


def test_an_answer_stands_in_the_file_as_the_readers_own() -> None:
    made = interviewed({"wage": "$24", "farm_diesel": "4,10", "prices_source": "bill"}, DAY)
    result = from_document(made.document, "farm.toml")
    assert result.labour.wage == 24.0
    assert result.prices.farm_diesel == 4.1
    assert result.scenario.sources == {"prices.farm_diesel": "bill", "labour.wage": "guess"}
    assert "# Your answer.\nwage = 24" in made.text


def test_a_promise_keeps_the_usual_spread_around_it() -> None:
    result = farm(giver__0="garage", giver__0__volume="110")
    volume = result.oils[1].volume_per_month
    assert isinstance(volume, Estimate)
    assert (volume.low, volume.likely, volume.high) == (40.0, 110.0, 240.0)


def test_a_bill_is_shared_out_among_its_machines() -> None:
    result = farm(machine__0="main_tractor", machine__1="small_tractor", bill__farm_diesel="1,660")
    assert [machine.fuel_per_year for machine in result.machines] == [1470.0, 190.0]
    result = farm(
        machine__0="main_tractor",
        machine__1="small_tractor",
        machine__1__fuel="160",
        bill__farm_diesel="1660",
    )
    assert [machine.fuel_per_year for machine in result.machines] == [1500.0, 160.0]


def test_machines_that_burn_more_than_the_bill_are_noticed() -> None:
    made = interviewed(
        {"machine.0.fuel": "900", "machine.1": "small_tractor", "bill.farm_diesel": "800"}, DAY
    )
    assert "burn more than this" in made.faults["bill.farm_diesel"]


def test_two_machines_of_one_kind_are_told_apart() -> None:
    result = farm(machine__0="pickup", machine__1="pickup")
    assert [machine.name for machine in result.machines] == ["Pickup", "Pickup 2"]


def test_gasoline_never_goes_into_a_burner() -> None:
    """29 CFR 1910.106 flash classes: gasoline in a burner can flash back and explode."""
    result = farm(machine__0="heater", thinner="gasoline")
    assert result.machines[0].thinner is None


def test_metric_answers_stay_as_typed_and_usual_ones_are_turned() -> None:
    result = farm(units="metric", currency="AUD", own="40", machine__0__fuel="5000")
    assert result.oils[0].volume_per_month.likely == 40.0  # type: ignore[union-attr]
    assert result.machines[0].fuel_per_year == 5000.0
    assert result.process.batch_volume == pytest.approx(55 * 3.785411784, rel=0.01)
    assert usual_text(BLANKS["machine.0.fuel"], {"units": "metric"}).startswith("usual: 5,560 L")


def test_every_engine_class_is_in_the_short_list() -> None:
    missing = set(ENGINES) - {kind.engine for kind in MACHINES}
    assert missing == {"hydraulic unit injector"}


@pytest.mark.parametrize(
    "answers", [None, [], {"none": "x"}, {"wage": 3}, {"units": "stone"}, {"wage": "9" * 99}]
)
def test_what_no_page_sends_is_refused(answers: object) -> None:
    with pytest.raises(RefusedError):
        checked_answers(answers)
