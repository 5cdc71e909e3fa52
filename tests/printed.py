"""One row of a table of published figures: what is computed, what is printed, and where."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass

import pytest

from econ.ground.units import Numeric


@dataclass(frozen=True, slots=True)
class Printed:
    """A figure in print and the call that must give it."""

    case: str
    source: str
    """Publisher, document, table or page; "from memory" where it was not read."""
    result: Callable[[], Numeric]
    expected: float
    tolerance: float
    """Absolute: half the last printed digit, or what the source's rounded factors add to it."""


@dataclass(frozen=True, slots=True)
class Outside:
    """A figure from outside that some test holds the project to."""

    source: str
    case: str
    value: float
    result: Callable[[], Numeric] | None = None
    """The call that gives it, where the register knows it."""
    decision: bool = False
    """Whether it comes out of a whole decision, where the register does not know the call."""


# All that the tests loaded so far are held to, in the order in which they say so.
REGISTER: list[Outside] = []


def outside(source: str, figures: Iterable[tuple[str, float]], *, decision: bool = False) -> None:
    """Enter figures that a test of the same file asserts, each as (what it is, value)."""
    REGISTER.extend(Outside(source, case, value, None, decision) for case, value in figures)


def printed(*rows: Printed) -> pytest.MarkDecorator:
    """Run a test on each row, under the row's name, and enter it in the register."""
    assert len({row.case for row in rows}) == len(rows)
    REGISTER.extend(Outside(row.source, row.case, row.expected, row.result) for row in rows)
    return pytest.mark.parametrize("row", [pytest.param(row, id=row.case) for row in rows])


def agree(row: Printed) -> None:
    """Assert that the computed figure is the printed one."""
    assert float(row.result()) == pytest.approx(row.expected, abs=row.tolerance, rel=0.0)
