"""The demo farms: in a copy of the project its folder of scenarios, else what was installed.

>>> sorted(demo_files())[-2:]
['wrenfold', 'wrenfold-heater-only']
"""

import importlib.metadata
from pathlib import Path

from econ.farm.faults import near
from econ.farm.files import chain
from econ.ground.errors import Problem, ScenarioError

_NAME = "drumworth"
_PLACE = "share/drumworth/scenarios/"


def demo_files() -> dict[str, Path]:
    """Find the demo farms.

    Returns
    -------
    dict of str to Path
        By name, without the ending; empty where they were not installed.
    """
    beside = Path(__file__).parents[2] / "scenarios"
    result = list(beside.glob("*.toml")) if (beside.parent / "pyproject.toml").is_file() else []
    if not result:
        try:
            listed = importlib.metadata.files(_NAME) or []
        except importlib.metadata.PackageNotFoundError:
            listed = []
        result = [
            Path(str(file.locate())).resolve()
            for file in listed
            if _PLACE in file.as_posix() and file.suffix == ".toml"
        ]
    return {path.stem: path for path in sorted(result, key=lambda path: path.name)}


def demo_copy(name: str, to: Path) -> dict[Path, bytes]:
    """Return what to write so that a demo farm stands at a place of one's own.

    Parameters
    ----------
    name : str
        As in `demo_files`.
    to : Path
        The new farm file; what the farm extends stands beside it under its own name.

    Returns
    -------
    dict of Path to bytes

    Raises
    ------
    ScenarioError
        If there is no such farm.
    """
    known = demo_files()
    if name not in known:
        names = ", ".join(known) or "none is installed"
        message = f"no demo farm of that name{near(name, known)}; there are {names}"
        raise ScenarioError((Problem("new --from", "", name, message),))
    *bases, own = chain(known[name])
    return {to: own.content, **{to.parent / base.path.name: base.content for base in bases}}
