"""The house itself: who may import what, and how long a function may be."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SURFACES = sorted((ROOT / "dashboards").rglob("*.py"))
MODULES = sorted([*(ROOT / "econ").rglob("*.py"), *SURFACES])
# Rooms that surfaces may enter; all others are the model's own.
OPEN = ("econ.answers", "econ.farm", "econ.ground")
# Public names that run nothing.
SHOWN = {"Inputs", "Outcome", "Scenario", "ScenarioError", "DrumworthError"}
MOST_LINES = 40


def imported(path: Path) -> Iterator[str]:
    """Name every module of the model that a file imports, inside functions too."""
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module == "econ":
            yield from (f"econ:{name.name}" for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
        elif isinstance(node, ast.Import):
            yield from (name.name for name in node.names)


def may_enter(module: str) -> bool:
    if module.startswith("econ:"):
        return module.removeprefix("econ:") in SHOWN
    if module.split(".")[0] != "econ":
        return True
    return module.startswith(OPEN) and not module.startswith("econ.farm.prepare")


def test_surfaces_import_answers_words_and_files_alone() -> None:
    past = {
        f"{path.relative_to(ROOT)}: {module}"
        for path in SURFACES
        for module in imported(path)
        if not may_enter(module)
    }
    assert past == set()


@pytest.mark.parametrize(
    "module", ["econ.model.costs", "econ.farm.prepare", "econ:evaluate", "econ.questions.draws"]
)
def test_the_rooms_behind_answers_are_closed(module: str) -> None:
    assert not may_enter(module)
