"""A wheel of a clean tree, installed outside the checkout, does what the checkout does."""

import importlib.metadata
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path
from typing import Any

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
        command,
        cwd=place,
        env={**kept, **environment},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


# What is asked of the installed packages, all in one process; each answer is a line of JSON.
_ASKED = """
import contextlib, io, json, sys
from pathlib import Path
from dashboards.command import main
from dashboards.web.app import create_app

def say(key, value):
    print(json.dumps([key, value]))

for words in json.loads(sys.argv[1]):
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        status = main(words)
    say(" ".join(words), [status, said.getvalue()])
app = create_app(Path("."))
app.server.config["DRUMWORTH_HOSTS"] = ("127.0.0.1:1",)
client = app.server.test_client()
for path in json.loads(sys.argv[2]):
    say(path, client.get(path, headers={"Host": "127.0.0.1:1"}).status_code)
say("from", sys.modules["dashboards"].__file__)
"""
COMMANDS = (
    "decide farm.toml",
    "chances farm.toml --draws 256",
    "thinners farm.toml",
    "oils farm.toml",
    "check farm.toml",
)
FILES = ("present.html", "present.xlsx", "present.csv")
PAGES = (
    "/",
    "/thinners",
    "/present",
    "/farm",
    "/_dash-layout",
    "/assets/drumworth.js",
    "/sheet.css",
)


@pytest.fixture(scope="module")
def answers(installed: Path) -> dict[str, Any]:
    """Ask all of the installed packages, by command and page."""
    packages = next((installed / "here").rglob("site-packages"))
    script = next((installed / "here").rglob("bin/drumworth"))
    new = [sys.executable, str(script), "new", "farm.toml", "--from", "wrenfold"]
    _run(new, installed, PYTHONPATH=str(packages))
    words = [*map(str.split, COMMANDS), *(["present", "farm.toml", "--to", to] for to in FILES)]
    asked = [sys.executable, "-c", _ASKED, json.dumps(words), json.dumps(PAGES)]
    told = _run(asked, installed, PYTHONPATH=str(packages))
    result = dict(map(json.loads, told.splitlines()))
    assert Path(result["from"]).is_relative_to(packages)
    return result


def test_the_wheel_holds_the_packages_their_data_and_the_demo_farms(installed: Path) -> None:
    names = zipfile.ZipFile(next(installed.glob("*.whl"))).namelist()
    kept = {Path(name).name for name in names if "share/drumworth/scenarios/" in name}
    assert kept >= FARMS
    assert {name.split("/")[0].split("-")[0] for name in names} == {
        "econ",
        "dashboards",
        "drumworth",
    }
    for package in ("econ", "dashboards"):
        inside = {
            str(path.relative_to(ROOT))
            for path in (ROOT / package).rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
        }
        assert inside - {name for name in names if name.startswith(package)} == set()


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_works_outside_the_checkout(answers: dict[str, Any], command: str) -> None:
    status, said = answers[command]
    assert status == 0
    assert "Wrenfold" in said or command.startswith("check")


def test_pages_and_files_are_made_outside_the_checkout(
    installed: Path, answers: dict[str, Any]
) -> None:
    for name in FILES:
        assert answers[f"present farm.toml --to {name}"][0] == 0
        assert (installed / name).stat().st_size > 1000
    assert [answers[page] for page in PAGES] == [200] * len(PAGES)
