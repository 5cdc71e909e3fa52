"""Every module of the model shows its use; the tests run what it shows.

Run by pytest's own collection of examples in docstrings, which `pyproject.toml` turns on.
"""

import ast
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
# Their use is to start other processes; tests do that, with time limits.
STARTS_PROCESSES = {"econ/answers/cluster.py", "econ/questions/workers.py"}


def is_public_function(statement: ast.stmt) -> bool:
    return isinstance(statement, ast.FunctionDef) and not statement.name.startswith("_")


def has_use(module: ast.Module) -> bool:
    """Say whether a module has something to call: a public function, or one of a public class."""
    classes = [each for each in module.body if isinstance(each, ast.ClassDef)]
    public = [each.body for each in classes if not each.name.startswith("_")]
    return any(is_public_function(each) for body in (module.body, *public) for each in body)


def test_every_module_that_can_be_called_has_an_example_that_is_run() -> None:
    asked, silent = 0, set()
    for path in (ROOT / "econ").rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        if has_use(ast.parse(text)):
            asked += 1
            if ">>> " not in text:
                silent.add(path.relative_to(ROOT).as_posix())

    assert asked > 120
    assert silent == STARTS_PROCESSES


def test_examples_are_collected() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    pytest_settings = settings["tool"]["pytest"]

    assert "--doctest-modules" in pytest_settings["addopts"]
    assert "econ" in pytest_settings["testpaths"]


def test_rows_and_types_alone_ask_for_no_example() -> None:
    function = "def flow(x: Floats) -> Floats: ...\n"
    method = "class Path:\n    def flow(self) -> Floats: ...\n"

    assert has_use(ast.parse(function))
    assert has_use(ast.parse(method))
    assert not has_use(ast.parse("def _flow(x: Floats) -> Floats: ...\n"))
    assert not has_use(ast.parse("class _Path:\n    def flow(self) -> Floats: ...\n"))
    assert not has_use(ast.parse('ROWS = ("oil",)\nclass Row(TypedDict):\n    label: str\n'))
