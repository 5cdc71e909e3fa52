"""A row added to a registry is asked for on every surface; a forgotten place is named.

Each test does what a contributor would: the row is laid behind the registry, and nothing else is
touched. Pages answer through their own callbacks, in this process.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import surfaces
from surfaces import Pages, renamed

from econ.farm.files import load
from econ.model.costs import COST_LINES, CostLine
from econ.model.ledger import FLOW_LINES, FlowLine
from econ.model.measures import MEASURES, SURFACES, Measure

FARM = load(Path(__file__).parents[2] / "scenarios" / "hollowmere.toml").merged
SHOWN = {
    "terminal": surfaces.terminal,
    "printed page": surfaces.printed,
    "workbook": surfaces.workbook_words,
    "CSV": surfaces.csv_words,
}
Add = Callable[[tuple[Any, ...], Any], None]


@pytest.fixture(scope="module")
def pages() -> Pages:
    return Pages()


def everywhere(pages: Pages, *outputs: str) -> dict[str, str]:
    """Return the words of each surface, by its name."""
    shown = {name: words(renamed(FARM)) for name, words in SHOWN.items()}
    return shown | {"pages": pages.words(renamed(FARM), *outputs)}


def lacking(shown: dict[str, str], words: str) -> list[str]:
    return [name for name, text in shown.items() if words.lower() not in text.lower()]


def test_a_cost_line_is_named_on_every_surface_that_lists_costs(pages: Pages, add: Add) -> None:
    line = CostLine("stirring", "Stirring the drums", "cash", "What stirring costs.", "blend",
                    "prices", borne=lambda burned: 0.02 * burned.blend)  # fmt: skip
    add(COST_LINES, line)

    shown = everywhere(pages, "tab-body")
    # The printed page sets costs by rung alone.
    assert lacking(shown, line.label) == ["printed page"]
    assert "typical_cost_stirring" in shown["workbook"]


def test_a_flow_line_moves_every_surface_and_is_named_where_years_are_listed(
    pages: Pages, add: Add
) -> None:
    before = everywhere(pages, "tab-body")

    def grant(money: Any) -> list[Any]:
        years = range(money.inputs.finance.years + 1)
        return [np.asarray(4_000.0 if year == 1 else 0.0) for year in years]

    line = FlowLine("grant", "Grant for starting", "Paid once.", "saving", lambda _: True,
                    "nothing", grant)  # fmt: skip
    add(FLOW_LINES, line)
    after = everywhere(pages, "tab-body")

    moved = {name for name, text in after.items() if _untitled(text) != _untitled(before[name])}
    assert moved == {*SHOWN, "pages"}
    assert line.label in after["CSV"]
    assert "time_free_line_grant" in after["workbook"]


def _untitled(text: str) -> str:
    return re.sub(r"Farm \d+", "Farm", text)


def test_each_measure_is_shown_where_its_row_says_and_nowhere_else(
    pages: Pages, swap: Callable[[tuple[Any, ...], tuple[Any, ...]], None]
) -> None:
    reason = "For this test."
    new = [Measure("last_flow", "", "last flow", "money", "Of the last year.", "nist_hb135",
                   lambda ledger: ledger.flows[-1])]  # fmt: skip
    new += [
        replace(new[0], key=f"not_on_{k}", not_on={surface: reason})
        for k, surface in enumerate(SURFACES)
    ]
    rows = tuple(replace(row, label=f"Label of {row.key}.") for row in (*MEASURES, *new))
    swap(MEASURES, rows)

    shown = everywhere(pages, "tab-body")
    for surface in SURFACES:
        seen = {row.key for row in rows if row.label in shown[surface]}
        assert seen == {row.key for row in rows if row.on(surface)}, surface
    assert lacking(shown, "Label of last_flow.") == []


def test_a_measure_says_why_it_is_not_shown() -> None:
    for row in MEASURES:
        assert set(row.not_on) <= set(SURFACES)
        assert all(reason.endswith(".") for reason in row.not_on.values())
        assert len(row.not_on) < len(SURFACES)
