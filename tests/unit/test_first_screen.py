"""What a couple reads first: words and zones from a decision's figures. Invented figures."""

import datetime
from typing import Any

import pytest

from econ.advice.plain_words import (
    busy_note,
    gallon_title,
    loan_in_words,
    pay_sentence,
    stop_line,
    year_sentence,
)
from econ.answers.first_screen import FirstScreen, Grounds, first_screen, prices_of
from econ.answers.keys import described
from econ.answers.past_prices import year_ago
from econ.ground.written import Numbers
from econ.questions.history import real_prices

DOLLARS = Numbers("us", "USD")


class Header:
    title = "Quillmere: 600-acre mixed farm"
    example = True
    priced_on = datetime.date(2026, 6, 15)


def ledger(worth: float, even: float | None, stop: float | None) -> dict[str, Any]:
    return {
        "npv": 8.0 * worth,
        "equivalent_annual": worth,
        "break_even_fuel_price": even,
        "stop_below": [stop],
        "lost_if_stopped": [4662.0, 3300.0, 1800.0],
    }


def document(**changed: Any) -> dict[str, Any]:
    result: dict[str, Any] = {
        "title": Header.title, "units": "us", "currency": "USD",
        "fuel": {"fuel_replaced": 1000.0, "hours": 96.0, "own_hours": 96.0},
        "costs": {"thinner": 1100.0, "refund": 0.0, "labour": 1040.0},
        "rungs": {"per_replaced": {"quoted": 0.5, "cash": 2.68, "wear": 3.02, "kit": 3.91,
                                   "full": 4.95}},
        "savings": {"fuel_not_bought": 4070.0, "pay_per_hour": 3.63},
        "months": [{"month": k + 1, "hours": 6.0} for k in range(12)],
        "kit_cost": 10_780.0, "kit_to_buy": 10_780.0,
        "ledgers": {"time_free": ledger(229.79, 3.856, 2.898),
                    "time_paid": ledger(-1278.0, 5.275, 3.9)},
        "advice": {"key": "start only if your time is free", "reasons": ["A reason."]},
        "cautions": [{"key": "a", "short": "Short."}, {"key": "b", "short": "Other."},
                     {"key": "c", "short": "Third."}],
        "loan": None,
    }  # fmt: skip
    return {**result, **changed}


def screen(doc: dict[str, Any], **changed: Any) -> FirstScreen:
    grounds: dict[str, Any] = {
        "document": doc,
        "ahead": {"time_free": 0.47, "time_paid": 0.19},
        "swings": [("what you pay for diesel", (-900.0, 1400.0)), ("oil", (-10.0, 500.0))],
        "shares": (0.0, 0.0, 1.0),
        "fuel_by_month": [1.0] * 6 + [3.0] * 6,
        "header": Header(),
        "wage": 23.83,
        "tax_rate": 0.27,
        "wage_taxed": True,
        "loan": None,
        "today": datetime.date(2026, 7, 1),
        "last_year": year_ago(),
    }
    return first_screen(Grounds(**{**grounds, **changed}))


def test_the_year_is_said_with_its_hours_and_the_pay_for_one() -> None:
    said = screen(document())["year"]

    assert said == (
        "The plan leaves $230 a year after tax for 96 hours of work. That pays like a taxed job at"
        " $3.60 an hour; you count your hour at $24."
    )


def test_a_loss_with_free_time_is_said_as_a_loss() -> None:
    said = year_sentence(DOLLARS, worth=-640.0, own_hours=40.0, paid=False, taxed=False)

    assert said == "Even with your time free the plan loses $640 a year for 40 hours of work."


def test_the_parts_of_a_gallon_add_up_to_its_full_cost() -> None:
    gallon = screen(document())["gallon"]

    assert gallon is not None
    assert sum(part["amount"] for part in gallon["parts"]) == pytest.approx(gallon["full"])
    assert gallon["difference"] == "dearer by this much"


def test_what_comes_in_goes_with_its_neighbour_and_the_sum_stays() -> None:
    doc = document()
    doc["rungs"]["per_replaced"] = {
        "quoted": 0.1,
        "cash": 0.6,
        "wear": 0.7,
        "kit": 0.7,
        "full": 0.9,
    }

    gallon = screen(doc)["gallon"]

    assert gallon is not None
    assert [part["label"] for part in gallon["parts"]] == [
        "thinner, less what comes in",
        "repairs",
        "your time",
    ]
    assert sum(part["amount"] for part in gallon["parts"]) == pytest.approx(0.9)


def test_today_lies_in_the_zone_of_the_advice() -> None:
    price = screen(document())["price"]

    assert price is not None
    assert [zone["key"] for zone in price["zones"]] == [
        "stop",
        "carry_on",
        "time_free",
        "small",
        "start",
    ]
    assert [zone["key"] for zone in price["zones"] if zone["here"]] == ["time_free"]
    assert price["line"] == "Do not start below $3.86; once running, carry on down to $2.90."


def test_last_years_price_is_todays_moved_back_as_the_record_moved() -> None:
    price = screen(document())["price"]
    real = real_prices()

    assert price is not None
    marks = {mark["key"]: mark for mark in price["marks"]}
    assert marks["today"]["price"] == pytest.approx(4.07)
    assert marks["last_year"]["price"] == pytest.approx(4.07 * real[-2] / real[-1])
    assert "US road diesel moved from 2024 to 2025" in marks["last_year"]["note"]


def test_the_scale_ends_where_prices_still_decide() -> None:
    doc = document()
    doc["ledgers"]["time_paid"]["break_even_fuel_price"] = 40.0

    price = screen(doc)["price"]

    assert price is not None
    assert price["end"] == pytest.approx(10.0)  # twice the dearer gallon, to the next half
    assert price["zones"][-1]["until"] == price["end"]


@pytest.mark.parametrize(
    ("start", "carry_on", "worth", "said"),
    [
        (None, None, 1.0, "No pump price alone makes this plan lose."),
        (None, 2.0, -1.0, "No pump price alone makes this plan pay."),
        (3.0, None, 1.0, "Do not start below $3.00."),
        (3.0, 0.0, 1.0, "Do not start below $3.00; once running, carry on at any price."),
    ],
)
def test_a_price_that_is_no_limit_is_said_so(
    start: float | None, carry_on: float | None, worth: float, said: str
) -> None:
    assert stop_line(DOLLARS, start=start, carry_on=carry_on, worth=worth) == said


def test_only_guesses_that_all_cross_the_line_are_said_to_turn_it() -> None:
    crossing = screen(document())["guesses"]
    short = screen(document(), swings=[("oil", (10.0, 500.0))])["guesses"]

    assert crossing["heading"] == "Any one of these could make it “do not start”"
    assert short["heading"] == "These move it most"


def test_months_add_up_to_the_year_with_upkeep_in_them() -> None:
    months = screen(document())["months"]

    assert sum(month["hours"] for month in months) == pytest.approx(96.0)
    assert [month["busy"] for month in months] == [False] * 6 + [True] * 6


def test_work_in_busy_months_is_told() -> None:
    busy = [True] * 6 + [False] * 6

    assert busy_note([9.0] * 6 + [3.0] * 6, busy).startswith("more in your busy months")
    assert busy_note([3.0] * 6 + [9.0] * 6, busy).startswith("less in your busy months")


@pytest.mark.parametrize(
    ("cover", "said"),
    [
        (1.0, "The plan carries its loan."),
        (0.84, "The plan carries most of its loan; the farm pays the rest."),
        (0.5, "The plan carries about half of its loan; the farm pays the rest."),
        (0.39, "The plan carries some of its loan; the farm pays the rest."),
        (0.01, "The plan carries little of its loan; the farm pays the rest."),
        (-0.2, "The plan carries none of its loan; the farm pays all."),
        (None, ""),
    ],
)
def test_a_loan_is_said_without_a_number(cover: float | None, said: str) -> None:
    assert loan_in_words(cover) == said


def test_pay_drops_the_word_taxed_where_no_tax_is_counted() -> None:
    said = pay_sentence(DOLLARS, pay=12.0, wage=20.0, taxed=False)

    assert said == "That pays like a job at $12 an hour; you count your hour at $20."


def test_a_gallon_is_called_dearer_only_when_it_is() -> None:
    assert "more than" in gallon_title(DOLLARS, full=4.0, pump=3.0)
    assert "less than" in gallon_title(Numbers("metric", "AUD"), full=1.0, pump=1.4)


def test_old_prices_are_called_old() -> None:
    assert prices_of(datetime.date(2026, 6, 15), datetime.date(2027, 1, 2)) == (
        "Prices of June 2026: old"
    )


def test_no_fuel_has_no_gallon_and_says_why() -> None:
    doc = document()
    doc["fuel"]["fuel_replaced"] = 0.0

    said = screen(doc)

    assert said["gallon"] is None
    assert said["price"] is None
    assert said["year"] == "A reason."


def test_every_key_says_its_unit_and_meaning() -> None:
    rows = list(described(FirstScreen))

    assert "gallon.parts[].amount" in {row.path for row in rows}
    assert all(row.key.meaning for row in rows)
