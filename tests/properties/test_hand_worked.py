"""A farm worked out on paper, step by step in tests/hand/worked.md, against the model.

The figures are arithmetic from the file's inputs, in fractions, and come from no program here.
"""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import reference

from econ.answers.document import document
from econ.farm.files import load

HAND = Path(__file__).parents[1] / "hand"
WORKED = tomllib.loads((HAND / "worked.toml").read_text(encoding="utf-8"))
UNDEFINED = WORKED.pop("undefined")


def leaves(table: Any, place: str = "") -> Iterator[tuple[str, Any]]:
    """List every figure with its place, as `costs.filters` or `months.0.wanted`."""
    if isinstance(table, dict):
        for key, value in table.items():
            yield from leaves(value, f"{place}.{key}".lstrip("."))
    elif isinstance(table, list):
        for index, value in enumerate(table):
            yield from leaves(value, f"{place}.{index}")
    else:
        yield place, table


def at(answer: Any, place: str) -> Any:
    """Return the figure of an answer at a place."""
    for step in place.split("."):
        answer = answer[int(step) if isinstance(answer, list) else step]
    return answer


@pytest.fixture(scope="module")
def model() -> dict[str, Any]:
    return document(load(HAND / "farm.toml"))


@pytest.fixture(scope="module")
def twin() -> dict[str, Any]:
    return reference.evaluate(reference.read(HAND / "farm.toml"))


def check(answer: dict[str, Any], place: str, figure: Any) -> None:
    if isinstance(figure, str | bool):
        assert at(answer, place) == figure
    else:
        # A millionth of a cent stands in for nought where a store is emptied.
        assert at(answer, place) == pytest.approx(figure, rel=1e-9, abs=1e-8)


@pytest.mark.parametrize(("place", "figure"), list(leaves(WORKED)))
def test_the_model_gives_the_figure_worked_by_hand(
    model: dict[str, Any], place: str, figure: Any
) -> None:
    check(model, place, figure)


@pytest.mark.parametrize("place", UNDEFINED)
def test_the_model_leaves_undefined_what_has_no_value_by_hand(
    model: dict[str, Any], place: str
) -> None:
    assert at(model, place) is None


def test_likely_values_of_plain_numbers_are_the_expected_ones(model: dict[str, Any]) -> None:
    for key in ("fuel", "costs", "savings", "ledgers"):
        for place, figure in leaves(WORKED[key]):
            check(model["likely"][key], place, figure)


@pytest.mark.parametrize(
    ("place", "figure"),
    [
        (place, figure)
        for place, figure in leaves(WORKED)
        if not place.startswith("advice") and not place.endswith("fit")
    ],
)
def test_the_second_reading_gives_the_figure_worked_by_hand(
    twin: dict[str, Any], place: str, figure: Any
) -> None:
    check(twin, place, figure)
