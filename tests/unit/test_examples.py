"""Every module of the physics, the money and the model shows its use; the tests run what it shows.

Run by pytest's own collection of examples in docstrings, which `pyproject.toml` turns on.
"""

import ast
import re
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
ROOMS = ("ground", "numbers", "finance", "fuel", "model")
# What a function takes that has a unit, or holds numbers that have one.
_QUANTITY = re.compile(r"\b(Floats|float|Numeric|NDArray|Inputs|Outcome|Ledger)\b")


def takes_quantities(function: ast.stmt) -> bool:
    """Say whether a statement makes a public function of numbers that have units."""
    if not isinstance(function, ast.FunctionDef) or function.name.startswith("_"):
        return False
    asked = [*function.args.args, *function.args.kwonlyargs]
    return any(one.annotation and _QUANTITY.search(ast.unparse(one.annotation)) for one in asked)


def test_every_module_of_quantities_has_an_example_that_is_run() -> None:
    asked, silent = 0, set()
    for room in ROOMS:
        for path in (ROOT / "econ" / room).rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            if any(map(takes_quantities, ast.parse(text).body)):
                asked += 1
                if ">>> " not in text:
                    silent.add(str(path.relative_to(ROOT)))

    assert asked > 20
    assert silent == set()


def test_examples_are_collected() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    pytest_settings = settings["tool"]["pytest"]

    assert "--doctest-modules" in pytest_settings["addopts"]
    assert "econ" in pytest_settings["testpaths"]


def test_a_function_of_numbers_is_known_by_what_it_takes() -> None:
    public, private, words = ast.parse(
        "def flow(x: Floats) -> Floats: ...\n"
        "def _flow(x: Floats) -> Floats: ...\n"
        "def label(key: str) -> str: ...\n"
    ).body

    assert takes_quantities(public)
    assert not takes_quantities(private)
    assert not takes_quantities(words)
