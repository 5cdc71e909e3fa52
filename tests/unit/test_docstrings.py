"""Every public function of the model that takes quantities says their units and shapes."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
# What holds numbers that have a unit: numbers, arrays, estimates, and the names for sets of them.
_QUANTITY = re.compile(r"\b(Floats|float|Numeric|Quantity|Series|Line|Pair|Points)\b")
_ARRAY = re.compile(r"\b(Floats|Numeric|Series|Line)\b")
_HEADS = "Parameters|Returns|Yields|Raises|Warnings|Notes|References|Examples"
_SECTION = re.compile(rf"^(?:{_HEADS})\n-+", re.MULTILINE)


def public_functions(module: ast.Module) -> Iterator[tuple[str, ast.FunctionDef]]:
    """Name the functions of a module and of its public classes."""
    for each in module.body:
        if isinstance(each, ast.FunctionDef) and not each.name.startswith("_"):
            yield each.name, each
        elif isinstance(each, ast.ClassDef) and not each.name.startswith("_"):
            inside = ast.Module(body=each.body, type_ignores=[])
            yield from ((f"{each.name}.{name}", one) for name, one in public_functions(inside))


def quantities(function: ast.FunctionDef) -> Iterator[tuple[str, str]]:
    """Name a function's quantities with their types; functions that it takes are none."""
    taken = function.args
    for one in (*taken.posonlyargs, *taken.args, *taken.kwonlyargs):
        kind = ast.unparse(one.annotation) if one.annotation else ""
        if _QUANTITY.search(kind) and "Callable" not in kind:
            yield one.arg, kind


def described(function: ast.FunctionDef) -> dict[str, str]:
    """Return what a docstring says under "Parameters", by parameter."""
    words = ast.get_docstring(function) or ""
    heads = [match.group().split("\n")[0] for match in _SECTION.finditer(words)]
    parts = dict(zip(heads, _SECTION.split(words)[1:], strict=True))
    said = {}
    for entry in re.split(r"\n(?=\S)", parts.get("Parameters", "").strip()):
        for name in entry.split(" : ")[0].split(", "):
            said[name] = entry
    return said


def faults(module: ast.Module) -> Iterator[str]:
    """Say which quantities of a module's functions have no unit in brackets, or no shape."""
    for name, function in public_functions(module):
        said = described(function)
        for taken, kind in quantities(function):
            entry = said.get(taken, "")
            if not re.search(r"\[[^\]]+\]", entry):
                yield f"{name}: {taken} has no unit"
            elif _ARRAY.search(kind) and "shape" not in entry:
                yield f"{name}: {taken} has no shape"


def test_every_quantity_that_a_public_function_takes_has_its_unit_and_shape() -> None:
    modules = {
        path.relative_to(ROOT).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in (ROOT / "econ").rglob("*.py")
    }
    wanting = {f"{path}: {fault}" for path, module in modules.items() for fault in faults(module)}
    taken = sum(
        any(quantities(function))
        for module in modules.values()
        for _, function in public_functions(module)
    )

    assert taken > 170
    assert wanting == set()


def test_a_quantity_without_unit_or_shape_is_found() -> None:
    module = ast.parse(
        "class Tank:\n"
        "    def level(self, volume: float) -> float:\n"
        '        """Return the level of a volume. [L]"""\n'
        "def flow(a: Floats, b: Numeric, name: str, _pick: Callable[[float], float]) -> Floats:\n"
        '    """Return a flow.\n\n'
        "    Parameters\n    ----------\n"
        "    a, c : ndarray\n        [L]\n"
        "    b : float or ndarray, shape (...,)\n        Per year. [1/yr]\n\n"
        '    Returns\n    -------\n    ndarray\n    """\n'
        "def _hidden(x: Floats) -> Floats: ...\n"
    )

    assert list(faults(module)) == ["Tank.level: volume has no unit", "flow: a has no shape"]
