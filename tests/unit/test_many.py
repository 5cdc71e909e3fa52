"""Folders of many farms: on a cluster as alone, and no farm goes with the worker that had it."""

import os
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest

from dashboards.command import main
from econ.answers.folder import FarmRow, folder_document
from econ.ground.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a folder of fourteen farms, one of which is refused."""
    path = tmp_path_factory.mktemp("many")
    for number in range(13):
        shutil.copy(SCENARIOS / "wrenfold.toml", path / f"farm {number:02}.toml")
    (path / "broken.toml").write_text("[scenario]\ntitle = 3\n", encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def alone(folder: Path) -> list[FarmRow]:
    return folder_document(folder, workers=1)["farms"]


def killer(command: str) -> Callable[[int, int], None]:
    """Make what kills one worker when the first farm is done."""

    def tell(done: int, total: int) -> None:
        if done == 1:
            children = psutil.Process().children(recursive=True)
            next(c for c in children if command in " ".join(c.cmdline())).kill()

    return tell


def test_a_cluster_brings_the_same_rows_and_a_killed_worker_takes_none(
    folder: Path, alone: list[FarmRow]
) -> None:
    result = folder_document(folder, killer("spawn_main"), workers=2, cluster="local")

    assert result["farms"] == alone
    assert result["refused"] == 1


def test_a_killed_process_takes_none_either(folder: Path, alone: list[FarmRow]) -> None:
    result = folder_document(folder, killer("spawn_main"), workers=2)

    assert result["farms"] == alone


def test_an_address_where_nothing_answers_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("econ.answers.cluster._PATIENCE", 0.2)
    for address in ("tcp://127.0.0.1:1", "no address"):
        with pytest.raises(ScenarioError, match="no Dask scheduler answers there"):
            folder_document(folder, cluster=address)


def test_without_the_extra_it_is_named(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)

    assert main(["decide", str(folder), "--cluster", "local"]) == 2
    assert "pip install 'drumworth[many]'" in capsys.readouterr().err


def test_one_farm_needs_no_cluster(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decide", str(SCENARIOS / "wrenfold.toml"), "--cluster", "local"]) == 2
    assert "name a folder" in capsys.readouterr().err


def test_workers_of_a_cluster_end_with_a_command_that_is_killed(folder: Path) -> None:
    command = [sys.executable, "-m", "dashboards", "decide", str(folder), "--cluster", "local"]
    quiet = subprocess.DEVNULL
    with subprocess.Popen(command, stdout=quiet, stderr=quiet, stdin=quiet) as run:  # noqa: S603
        started: list[psutil.Process] = []
        end = time.monotonic() + 60
        while len(started) < (os.cpu_count() or 1) and time.monotonic() < end:
            time.sleep(0.02)
            started = psutil.Process(run.pid).children(recursive=True)
        assert started, "no worker was started"
        run.send_signal(signal.SIGKILL)
    _, left = psutil.wait_procs(started, timeout=5)
    assert not left
