"""A seeded few of the one-line changes are tried in every run of the tests; one that lives fails.

The whole table is for ``python tests/mutations/run.py``. What is tried here are changes whose
first test is quick; with another seed other rows are tried.
"""

import importlib
import random
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
TRIED, SEED = 6, 20
# Changes that are held by a file of tests that takes seconds, not a whole farm's documents.
QUICK = (
    "tests/published/test_substances.py",
    "tests/published/test_oil_physics.py",
    "tests/published/test_rules.py",
    "tests/published/test_factors.py",
    "tests/published/test_limits.py",
    "tests/unit/test_band_and_hazard.py",
    "tests/unit/test_fitness.py",
    "tests/published/test_tractors.py",
)


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.syspath_prepend(str(HERE))
    return importlib.import_module("run")


def test_the_table_names_lines_that_stand_there_once(run: Any) -> None:
    rows = run.mutants()

    assert len(rows) >= 150
    assert len({(row.file, row.old, row.new) for row in rows}) == len(rows)
    for row in rows:
        text = (run.ROOT / row.file).read_text(encoding="utf-8")
        assert text.count(row.old) == 1, row.name
        assert row.old != row.new
        assert "\n" not in row.old + row.new
        assert row.why
        for path in row.tests:
            assert (run.ROOT / path).exists(), path


def test_at_most_two_in_a_hundred_live_each_explained(run: Any) -> None:
    rows = run.mutants()
    living = [row for row in rows if row.lives]

    assert len(living) <= 0.02 * len(rows)
    assert all(len(row.lives) > 20 for row in living)


@pytest.mark.slow
def test_a_seeded_few_are_noticed(run: Any) -> None:
    rows = [row for row in run.mutants() if row.tests[0] in QUICK and not row.lives]
    chosen = random.Random(SEED).sample(rows, TRIED)  # noqa: S311

    lived = [mutant.name for mutant, killed in run.run(chosen) if not killed]

    assert lived == []
