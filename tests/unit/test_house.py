"""The house itself: who may import what, and how long a function may be."""

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from econ.model import changes
from econ.model.inputs import Inputs

ROOT = Path(__file__).parents[2]
SURFACES = sorted((ROOT / "dashboards").rglob("*.py"))
MODULES = sorted([*(ROOT / "econ").rglob("*.py"), *SURFACES])
# Rooms that surfaces may enter; all others are the model's own.
OPEN = ("econ.answers", "econ.ground")
# Surfaces on which people write their own file, and what each needs to know of its format.
FILES = {
    # a new file, and files put in place
    "commands/new.py": {"demos", "files", "starter"},
    "output.py": {"writing"},
    # a file opened in a browser, changed in a form, saved
    "web/documents.py": {"files", "rewriting", "starter"},
    "web/opening.py": {"counting", "editing"},
    "web/forms.py": {
        "editing",
        "faults",
        "field_words",
        "fields",
        "merging",
        "naming",
        "reading",
        "schema",
    },
    "web/pages/farm.py": {"editing", "field_words"},
    # rows added to a log
    "web/log_folder.py": {"counting", "files", "log", "log_reading", "log_writing", "rewriting"},
    # the sheet of the workbook that holds the file's fields
    "workbook/inputs.py": {"fields", "files", "schema"},
}
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
    return module.split(".")[0] != "econ" or module.startswith(OPEN)


def test_surfaces_import_answers_and_words_and_where_files_are_written_their_format() -> None:
    past, formats = set(), {}
    for path in SURFACES:
        place = str(path.relative_to(ROOT / "dashboards"))
        for module in imported(path):
            if module.startswith("econ.farm."):
                formats.setdefault(place, set()).add(module.removeprefix("econ.farm."))
            elif not may_enter(module):
                past.add(f"{place}: {module}")

    assert past == set()
    assert formats == FILES


@pytest.mark.parametrize(
    "module", ["econ.model.costs", "econ.farm.prepare", "econ:evaluate", "econ.questions.draws"]
)
def test_the_rooms_behind_answers_are_closed(module: str) -> None:
    assert not may_enter(module)


def test_records_are_declared_one_way() -> None:
    # Which module gives `replace` its types is not a declaration.
    data_classes = {
        str(path.relative_to(ROOT)) for path in MODULES if "dataclass" in path.read_text("utf-8")
    }

    assert data_classes == {"econ/ground/records.py"}


DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


def room_of(path: Path) -> str:
    parts = path.relative_to(ROOT).parts
    return parts[1] if parts[0] == "econ" else parts[0]


def test_the_drawing_of_rooms_is_what_they_import() -> None:
    drawn = {
        name: set(others.split(", ")) - {"nothing"}
        for name, others in re.findall(r"^(\w+) +-> ([\w, ]+)$", DEVELOPERS, re.MULTILINE)
    }
    rooms: dict[str, set[str]] = {name: set() for name in drawn}
    for path in MODULES:
        if path.parent != ROOT / "econ":
            imports = {module.split(".")[1] for module in imported(path) if module[:5] == "econ."}
            rooms[room_of(path)] |= imports - {room_of(path)}

    assert len(drawn) == 10
    assert drawn == rooms


def test_contributors_are_told_of_files_and_names_that_there_are() -> None:
    files = [path for top in ("econ", "dashboards", "tests") for path in (ROOT / top).rglob("*.*")]
    names = [path.relative_to(ROOT).as_posix() for path in files]
    told = set(re.findall(r"`([\w/]+\.(?:py|toml))`", DEVELOPERS)) - {"pyproject.toml"}
    gone = {name for name in told if not any(f"/{one}".endswith(f"/{name}") for one in names)}
    for module, name in set(re.findall(r"`([a-z_]+)\.([A-Za-z_]{4,})`", DEVELOPERS)):
        homes = [path for path in files if path.name == f"{module}.py"]
        if homes and not any(re.search(rf"\b{name}\b", path.read_text("utf-8")) for path in homes):
            gone.add(f"{module}.{name}")

    assert len(told) > 40
    assert gone == set()


# Where inputs may be made or edited, and why there.
EDITORS = {
    "econ/model/changes.py": "every edit by name",
    "econ/model/levers.py": "the factors that tipping points, grids and sliders turn",
    "econ/model/side_by_side.py": "many plans' edits at once, as arrays",
    "econ/model/variants.py": "many thinners' edits at once, as arrays",
    "econ/farm/prepare.py": "makes them from a file",
}


def edits_of_inputs(path: Path) -> Iterator[str]:
    """List calls of `replace` that set a field of a farm's inputs; a plan's decision is none."""
    names = set(Inputs.__struct_fields__)
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name)):
            continue
        target = ast.unparse(node.args[0]) if node.args else ""
        if node.func.id != "replace" or target in ("decision", "space", "outcome", "terms"):
            continue
        if names & {word.arg for word in node.keywords}:
            yield f"{path.relative_to(ROOT)}:{node.lineno}"


def test_every_edit_of_inputs_has_a_name_among_the_changes() -> None:
    elsewhere = [
        edit
        for path in MODULES
        if str(path.relative_to(ROOT)) not in EDITORS
        for edit in edits_of_inputs(path)
    ]
    assert elsewhere == []
    assert all(list(edits_of_inputs(ROOT / name)) for name in EDITORS)


def test_each_change_says_whether_the_order_is_settled_anew() -> None:
    silent = [
        name
        for name, change in inspect.getmembers(changes, inspect.isfunction)
        if change.__module__ == changes.__name__
        and not name.startswith("_")
        and inspect.signature(change).return_annotation is Inputs
        and "order" not in " ".join((change.__doc__ or "").lower().split())
    ]
    assert silent == []


def code_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Count a function's lines, its docstring apart."""
    words = ast.get_docstring(function, clean=False)
    return function.end_lineno - function.lineno + 1 - len((words or "").splitlines())


def functions(source: str) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def test_every_function_fits_a_screen() -> None:
    long = {
        f"{path.relative_to(ROOT)}: {function.name}"
        for path in MODULES
        for function in functions(path.read_text("utf-8"))
        if code_lines(function) > MOST_LINES
    }
    assert long == set()


def test_a_long_function_is_counted_without_its_docstring() -> None:
    body = '    """One.\n\n    Two.\n    """\n' + "    x = 1\n" * (MOST_LINES - 1)
    short, long = (next(functions(f"def f():\n{body}{more}")) for more in ("", "    x = 2\n"))

    assert code_lines(short) == MOST_LINES
    assert code_lines(long) == MOST_LINES + 1
