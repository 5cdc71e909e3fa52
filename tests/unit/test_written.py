"""Figures as people read them: one sign below zero on every surface, none before nothing."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from econ.farm.fields import About
from econ.farm.reading import Units, amount, number_of
from econ.farm.schema import Finance, Oil, about
from econ.ground.wording import Wording
from econ.ground.written import MINUS, Numbers, signed

GOLDEN = Path(__file__).parents[1] / "golden"
WRITERS = (
    "money",
    "cents",
    "spoken",
    "spoken_pay",
    "per_volume",
    "price",
    "volume",
    "percent",
    "hours",
    "temperature",
)
BELOW = st.floats(-1e7, 0.0, exclude_max=True)


def of_all_kinds(value: float, units: str, money: str) -> list[str]:
    numbers = Numbers(units, money)
    written = [getattr(numbers, name)(value) for name in WRITERS]
    return written + [numbers.of(dimension, value) for dimension in ("count", "ratio", "rate")]


@given(value=BELOW, units=st.sampled_from(["us", "metric"]), money=st.sampled_from(["USD", "EUR"]))
def test_no_figure_below_zero_has_a_hyphen(value: float, units: str, money: str) -> None:
    written = [*of_all_kinds(value, units, money), Wording(units, money).temperature(value)]

    assert [text for text in written if "-" in text] == []


@given(value=st.floats(-1e7, -100.0), money=st.sampled_from(["USD", "EUR"]))
def test_every_figure_well_below_zero_has_a_minus(value: float, money: str) -> None:
    assert [text for text in of_all_kinds(value, "us", money) if text[0] != MINUS] == []


@pytest.mark.parametrize("figure", ["-0", "-0.0", "-0.00"])
def test_nothing_has_no_sign(figure: str) -> None:
    assert signed(figure) == figure.removeprefix("-")


@pytest.mark.parametrize(
    ("value", "detail"), [(-0.3, about(Oil, "price")), (-0.025, about(Finance, "fuel_inflation"))]
)
def test_a_figure_of_a_form_is_read_back_with_its_sign(value: float, detail: About) -> None:
    units = Units("us", "USD")
    text = amount(value, detail, units)

    assert text.startswith(MINUS)
    assert number_of(text, detail, units) == pytest.approx(value)


def texts(value: Any) -> list[str]:
    if isinstance(value, dict):
        return [text for inner in value.values() for text in texts(inner)]
    if isinstance(value, list):
        return [text for inner in value for text in texts(inner)]
    return [value] if isinstance(value, str) else []


def test_no_sentence_of_a_golden_document_has_a_hyphen_for_a_minus() -> None:
    documents = [json.loads(path.read_text("utf-8")) for path in GOLDEN.rglob("*.json")]
    said = [text for document in documents for text in texts(document)]

    assert sum(MINUS in text for text in said) > 5
    assert [text for text in said if re.search(r"(?<![\w.)-])-(?:[A-Z]{0,3}[$€£])?\d", text)] == []
