"""One row of a table of published figures: what is computed, what is printed, and where."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from econ.ground.units import Numeric


@dataclass(frozen=True, slots=True)
class Printed:
    """A figure in print and the call that must give it."""

    case: str
    source: str
    """Publisher, document, table or page; "from memory" where it was not read."""
    found: Callable[[], Numeric]
    expected: float
    tolerance: float
    """Absolute: half the last printed digit, or what the source's rounded factors add to it."""


def printed(*rows: Printed) -> pytest.MarkDecorator:
    """Run a test on each row, under the row's name."""
    assert len({row.case for row in rows}) == len(rows)
    return pytest.mark.parametrize("row", [pytest.param(row, id=row.case) for row in rows])


def agree(row: Printed) -> None:
    """Assert that the computed figure is the printed one."""
    assert float(row.found()) == pytest.approx(row.expected, abs=row.tolerance, rel=0.0)
