"""One answer serves all that is shown: the farm as its file has it is worked through once."""

import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from dashboards.page.render import page
from dashboards.terminal.decide import render_all
from dashboards.theme import theme_of
from dashboards.web import tabs
from dashboards.web.decided import decided
from dashboards.web.pages import decide as decide_page
from dashboards.web.pages.present import body
from dashboards.workbook.book import workbook
from econ.answers.decision import decide
from econ.answers.turned import Prepared
from econ.farm.files import load
from econ.farm.prepare import prepare
from econ.model.evaluate import at_prices, evaluate
from econ.model.outcome import Outcome

FARM = load(Path("scenarios/stonebark-own-oil.toml"))
LIGHT = theme_of("light")


def _figures(outcome: Outcome) -> list[float]:
    values = [ledger.measures["npv"] for ledger in outcome.ledgers.values()]
    return [float(v) for v in (*values, outcome.kit_cost)] if np.ndim(values[0]) == 0 else []


@pytest.fixture
def base_runs(monkeypatch: pytest.MonkeyPatch) -> Callable[[], int]:
    """Count the runs that give the very figures of the file's own plan."""
    expected = _figures(evaluate(prepare(FARM)))
    runs = []

    def counted(*values: Any, **more: Any) -> Outcome:
        outcome = at_prices(*values, **more)
        if _figures(outcome) == expected:
            runs.append(values)
        return outcome

    for name, module in list(sys.modules.items()):
        # Every run ends in it, those that keep their volumes too.
        if name.startswith(("econ", "dashboards")) and vars(module).get("at_prices") is at_prices:
            monkeypatch.setattr(module, "at_prices", counted)
    return lambda: len(runs)


def test_a_decision_is_one_run_whatever_shows_it(base_runs: Callable[[], int]) -> None:
    decision = decide(FARM, draws=64)
    page(decision, full=True)
    render_all(decision)
    workbook(decision.answer)

    assert base_runs() == 1


def test_all_pages_of_a_farm_share_one_run(base_runs: Callable[[], int]) -> None:
    result = Prepared.of(FARM).at({})
    decided(result)
    decide_page.moved(result, {})
    decide_page.still(result)
    body(result, {}, LIGHT)
    for tab in tabs.TABS:
        tabs.tab(tab, result, {}, LIGHT)

    # One more for the tab that weighs each source of oil against the whole plan.
    assert base_runs() == 2
