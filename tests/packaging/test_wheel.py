"""A wheel of a clean tree, installed outside the checkout, does what the checkout does."""

import importlib.metadata
import importlib.util
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FARMS = {path.name for path in (ROOT / "scenarios").glob("*.toml")}

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        importlib.util.find_spec("setuptools") is None
        or importlib.util.find_spec("pip") is None
        or int(importlib.metadata.version("setuptools").partition(".")[0]) < 77,
        reason="needs pip and the setuptools of pyproject.toml",
    ),
]


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the wheel installed, and nothing of the checkout."""
    place = tmp_path_factory.mktemp("wheel")
    tree = place / "tree"
    tree.mkdir()
    for name in ("pyproject.toml", "README.md"):
        shutil.copy(ROOT / name, tree)
    for name in ("econ", "dashboards", "scenarios"):
        shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
    # What an older build left must not get into a newer wheel: there is no such folder here.
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    _run([*pip, "wheel", "--no-deps", "--no-build-isolation", "-w", str(place), str(tree)], place)
    shutil.rmtree(tree)
    wheel = next(place.glob("*.whl"))
    _run([*pip, "install", "--no-deps", "--ignore-installed", "--prefix", str(place / "here"),
          str(wheel)], place)  # fmt: skip
    return place


def _run(command: list[str], place: Path, **environment: str) -> str:
    kept = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    done = subprocess.run(  # noqa: S603 - our own interpreter
        command, cwd=place, env={**kept, **environment}, capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return done.stdout


def _drumworth(place: Path, *words: str) -> str:
    packages = next((place / "here").rglob("site-packages"))
    script = next((place / "here").rglob("bin/drumworth"))
    return _run([sys.executable, str(script), *words], place, PYTHONPATH=str(packages))


def test_the_wheel_holds_the_packages_their_data_and_the_demo_farms(installed: Path) -> None:
    names = zipfile.ZipFile(next(installed.glob("*.whl"))).namelist()
    kept = {Path(name).name for name in names if "share/drumworth/scenarios/" in name}
    assert kept >= FARMS
    assert {name.split("/")[0].split("-")[0] for name in names} == {
        "econ", "dashboards", "drumworth",
    }  # fmt: skip
    for package in ("econ", "dashboards"):
        inside = {
            str(path.relative_to(ROOT))
            for path in (ROOT / package).rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
        }
        assert inside - {name for name in names if name.startswith(package)} == set()


@pytest.mark.parametrize("command", ["decide", "chances", "thinners", "oils", "check"])
def test_every_command_works_outside_the_checkout(installed: Path, command: str) -> None:
    farm = installed / f"{command}.toml"
    _drumworth(installed, "new", str(farm), "--from", "wrenfold")
    few = ["--draws", "256"] if command == "chances" else []
    assert "Wrenfold" in _drumworth(installed, command, str(farm), *few) or command == "check"


def test_pages_and_files_are_made_outside_the_checkout(installed: Path) -> None:
    farm = installed / "present.toml"
    _drumworth(installed, "new", str(farm), "--from", "wrenfold")
    for kind in ("html", "xlsx", "csv"):
        target = installed / f"present.{kind}"
        _drumworth(installed, "present", str(farm), "--to", str(target))
        assert target.stat().st_size > 1000
    code = (
        "import sys; from pathlib import Path; from dashboards.web.app import create_app;"
        "app = create_app(Path('.')); app.server.config['DRUMWORTH_HOSTS'] = ('127.0.0.1:1',);"
        "client = app.server.test_client(); head = {'Host': '127.0.0.1:1'};"
        "print([client.get(path, headers=head).status_code for path in"
        " ('/', '/thinners', '/present', '/farm', '/_dash-layout', '/assets/drumworth.js')])"
    )
    packages = next((installed / "here").rglob("site-packages"))
    told = _run([sys.executable, "-c", code], installed, PYTHONPATH=str(packages))
    assert told.strip() == "[200, 200, 200, 200, 200, 200]"
