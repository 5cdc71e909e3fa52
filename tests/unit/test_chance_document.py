"""What chances say: keys and meanings, and sentences."""

import json
from pathlib import Path
from typing import Any, get_type_hints

import pytest

from econ.advice.chance_words import (
    ahead_sentence,
    bad_year_sentence,
    history_note,
    history_sentence,
    large_bill_sentence,
    stopping_sentence,
)
from econ.answers.chance_keys import ChancesDocument, OutlookDocument
from econ.answers.keys import described
from econ.answers.outlook import outlook, outlook_json
from econ.farm.files import from_document, load
from econ.ground.written import Numbers

ROOT = Path(__file__).parents[2] / "scenarios"
NUMBERS = Numbers("us", "USD")


@pytest.fixture(scope="module")
def quillmere() -> OutlookDocument:
    return outlook_json(outlook(load(ROOT / "quillmere.toml"), draws=600))


SMALLEST = load(ROOT / "wrenfold.toml")


def test_every_key_says_its_unit_and_meaning_and_none_is_missing(
    quillmere: OutlookDocument,
) -> None:
    assert set(quillmere) == set(get_type_hints(OutlookDocument))
    rows = list(described(OutlookDocument))
    assert len(rows) > 80
    assert all(row.key.meaning for row in rows)
    assert {row.path for row in described(ChancesDocument)} < {row.path for row in rows}


def test_a_stop_rule_is_said_together_with_the_price_to_start_at(
    quillmere: OutlookDocument,
) -> None:
    assert "Do not start below" in quillmere["stop_line"]
    assert "once running" in quillmere["stop_line"]


def test_what_to_find_out_first_names_nothing_that_nobody_can_know(
    quillmere: OutlookDocument,
) -> None:
    for rows in quillmere["worth_of_learning"].values():
        assert rows
        assert all(row["tells"] for row in rows)
        names = " ".join(row["name"] for row in rows)
        assert "inflation" not in names.lower()
        assert "Extra failures" not in names


def test_indices_share_out_the_whole_spread_with_the_path_as_one_group(
    quillmere: OutlookDocument,
) -> None:
    for rows in quillmere["first_order"].values():
        assert rows[0]["name"] == "fuel price from year to year"
        assert sum(row["index"] or 0.0 for row in rows) == pytest.approx(1.0, abs=0.06)


def test_swings_are_ordered_by_the_worth_of_a_year_paid(quillmere: OutlookDocument) -> None:
    widths = [
        abs((high or 0.0) - (low or 0.0))
        for low, high in (row["equivalent_annual"]["time_paid"] for row in quillmere["swings"])
    ]

    assert widths == sorted(widths, reverse=True)


EDGES: dict[str, Any] = {
    "one year": {"finance": {**SMALLEST.merged["finance"], "years": 1}},
    "fifty years": {"finance": {**SMALLEST.merged["finance"], "years": 50}},
    "no kit": {"kit": []},
    "no oil": {"oils": [{**o, "volume_per_month": 0} for o in SMALLEST.merged["oils"]]},
    "everything leans": {"uncertainty": {"guess_correlation": 1.0}},
    "nothing goes together": {
        "uncertainty": {"fuel_price_correlation": 0, "supply_correlation": 0}
    },
    "wild prices": {"uncertainty": {"fuel_price_swing": 1.0, "fuel_price_pull": 1.0}},
    "a part a day": {
        "machines": [
            {**m, "wear": [{"part": "Seal", "cost": 5, "extra_failures": 10_000}]}
            for m in SMALLEST.merged["machines"]
        ]
    },
}


@pytest.mark.parametrize("draws", [1, 7, 64])
@pytest.mark.parametrize("edge", EDGES)
def test_farms_at_the_edge_give_a_whole_document_without_nan(edge: str, draws: int) -> None:
    farm = from_document({**SMALLEST.merged, **EDGES[edge]}, "x")

    result = outlook_json(outlook(farm, draws=draws))

    assert json.dumps(result, allow_nan=False)
    assert all(result["words"].values())
    if draws == 1:
        assert not any(r["matters"] for rows in result["worth_of_learning"].values() for r in rows)


# --- sentences ---


def test_sentences_say_counts_as_people_do() -> None:
    assert ahead_sentence(0.5, 0.5).endswith("50 come out ahead, your time paid or not.")
    assert history_sentence(
        NUMBERS, stretches=23, years=8, ahead=(17, 0), worst=2013, best=2002
    ) == (
        "Of 23 past stretches of eight years this plan would have come out ahead in 17 if your"
        " time is free, in none if it is paid; the worst begun 2013, the best 2002."
    )
    assert "a stand-in" in history_note(1995, 2025, stand_in=True)
    assert "a stand-in" not in history_note(1995, 2025, stand_in=False)


def test_a_large_bill_is_said_by_how_often_it_comes() -> None:
    assert "once in 12 years" in large_bill_sentence(NUMBERS, 1078.0, 12.1)
    assert "2.0 times a year" in large_bill_sentence(NUMBERS, 1078.0, 0.5)
    assert "not to be expected" in large_bill_sentence(NUMBERS, 1078.0, None)


def test_a_bad_year_is_said_with_its_error_where_there_is_one() -> None:
    assert "± $21" in bad_year_sentence(NUMBERS, -500.0, 20.6)
    assert "±" not in bad_year_sentence(NUMBERS, -500.0, 0.0)


def test_freedom_that_brings_nothing_is_said_so() -> None:
    assert "adds nothing" in stopping_sentence(NUMBERS, "Free", 0.2, -100.0, -100.0)
    assert "$1,200 on average" in stopping_sentence(NUMBERS, "Free", 1200.0, -100.0, -900.0)
