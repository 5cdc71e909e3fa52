"""Everything that is started ends with its starter, and asks nothing of any network."""

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from dashboards.page import pdf as printing

ROOT = Path(__file__).parents[2]
WRENFOLD = str(ROOT / "scenarios" / "wrenfold.toml")
linux = pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
chromium = pytest.mark.skipif(shutil.which("chromium") is None, reason="needs Chromium")


def descendants(mark: str) -> list[int]:
    """Return the processes whose arguments or environment hold a mark."""
    result = []
    for path in Path("/proc").iterdir():
        if not path.name.isdecimal():
            continue
        try:
            words = (path / "environ").read_bytes() + (path / "cmdline").read_bytes()
            state = (path / "stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
        except OSError:  # another user's, or gone meanwhile
            continue
        if mark.encode() in words and state != "Z":
            result.append(int(path.name))
    return result


def until(ready: Callable[[], bool], seconds: float) -> bool:
    end = time.monotonic() + seconds
    while not ready():
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


def _clear(process: "subprocess.Popen[bytes]", mark: str) -> None:
    for left in descendants(mark):
        os.kill(left, signal.SIGKILL)
    process.wait()
    if process.stderr is not None:
        process.stderr.close()


def started(mark: str, *words: str) -> "subprocess.Popen[bytes]":
    return subprocess.Popen(  # noqa: S603 - our own interpreter
        [sys.executable, "-m", "dashboards", *words],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        cwd=ROOT,
        env={**os.environ, "DRUMWORTH_TEST_MARK": mark},
        # A shell's background jobs ignore Ctrl-C, and hand that on.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )


@linux
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_workers_end_with_the_chances_that_started_them(sent: signal.Signals) -> None:
    mark = f"mark-{os.getpid()}-{sent.name}"
    process = started(mark, "chances", WRENFOLD, "--draws", "5000000")
    try:
        assert until(lambda: len(descendants(mark)) >= 3, 60)
        time.sleep(0.5)  # they are at work
        process.send_signal(sent)
        # A second, and what a busy machine adds.
        assert until(lambda: not descendants(mark), 5)
        assert process.wait(5) != 0
        assert process.stderr is not None
        assert b"Traceback" not in process.stderr.read()
    finally:
        _clear(process, mark)


def _slow_browser(folder: Path) -> Path:
    """Return a browser that starts another process and makes nothing for a minute."""
    path = folder / "chromium"
    path.write_text(
        f"#!/bin/sh\nsleep 61 &\ntouch '{folder}/browser-runs'\nsleep 62\n", encoding="utf-8"
    )
    path.chmod(0o755)
    return path


@linux
@pytest.mark.parametrize("sent", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_the_browser_and_its_folder_end_with_the_command(
    tmp_path: Path, sent: signal.Signals, monkeypatch: pytest.MonkeyPatch
) -> None:
    mark = f"mark-{os.getpid()}-{sent.name}-pdf"
    _slow_browser(tmp_path)
    temporary = tmp_path / "temporary"
    temporary.mkdir()
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    monkeypatch.setenv("TMPDIR", str(temporary))
    process = started(mark, "present", WRENFOLD, "--to", str(tmp_path / "farm.pdf"))
    try:
        # Draws have workers too: only the browser's own sign says that it runs.
        assert until((tmp_path / "browser-runs").exists, 60)
        process.send_signal(sent)
        assert until(lambda: not descendants(mark), 5)
        assert list(temporary.iterdir()) == []
        assert not (tmp_path / "farm.pdf").exists()
    finally:
        _clear(process, mark)


@linux
def test_folders_of_runs_that_could_not_clear_up_are_swept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    gone = subprocess.run(
        [sys.executable, "-c", "import os; print(os.getpid())"],
        capture_output=True,
        text=True,
        check=True,
    ).stdout.strip()
    (tmp_path / f"drumworth-pdf-{gone}-x").mkdir()
    (tmp_path / f"drumworth-pdf-{os.getpid()}-y").mkdir()
    (tmp_path / "drumworth-mine").mkdir()
    printing.sweep()
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "drumworth-mine",
        f"drumworth-pdf-{os.getpid()}-y",
    ]


PAGE = (
    '<!DOCTYPE html><html><head><link rel="stylesheet" href="http://styles.example/a.css"></head>'
    '<body><h1>A page</h1><img src="https://pictures.example/a.png"></body></html>'
)


@chromium
@pytest.mark.slow
def test_the_browser_that_prints_reaches_no_network(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Even a page that asks for the outside; the browser's own log of its network is read."""
    log, real = tmp_path / "net.json", printing.browser()
    wrapper = tmp_path / "chromium"
    wrapper.write_text(f'#!/bin/sh\nexec "{real}" --log-net-log="{log}" "$@"\n', encoding="utf-8")
    wrapper.chmod(0o755)
    monkeypatch.setattr(printing, "browser", lambda: str(wrapper))
    monkeypatch.setattr(printing, "_cut_off", list)  # as where no namespace is to be had
    assert printing.pdf(PAGE).startswith(b"%PDF")

    text = log.read_text(encoding="utf-8").rstrip().rstrip(",")
    try:
        recorded = json.loads(text)
    except ValueError:  # ended before the log was
        recorded = json.loads(text + "]}")
    names = {number: name for name, number in recorded["constants"]["logEventTypes"].items()}
    reached = [
        (names[event["type"]], event.get("params"))
        for event in recorded["events"]
        if names[event["type"]]
        in (
            "TCP_CONNECT_ATTEMPT",
            "UDP_BYTES_SENT",
            "TCP_BYTES_SENT",
            "HOST_RESOLVER_DNS_TASK",
            "HOST_RESOLVER_SYSTEM_TASK",
        )
    ]
    # What is tried at all is the proxy that is not there.
    outside = [row for row in reached if "127.0.0.1:9" not in str(row[1])]
    assert outside == []


@chromium
@pytest.mark.slow
@pytest.mark.skipif(
    shutil.which("unshare") is None
    or subprocess.run(
        ["/usr/bin/unshare", "-rn", "true"], capture_output=True, check=False
    ).returncode,
    reason="needs a network namespace of one's own",
)
def test_a_pdf_is_made_where_there_is_no_network(tmp_path: Path) -> None:
    target = tmp_path / "farm.pdf"
    done = subprocess.run(  # noqa: S603 - our own interpreter
        ["/usr/bin/unshare", "-rn", sys.executable, "-m", "dashboards", "present", WRENFOLD,
         "--to", str(target)],
        capture_output=True, cwd=ROOT, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, b"")
    assert target.read_bytes().startswith(b"%PDF")


def test_more_draws_than_are_taken_are_refused_in_words_at_every_door(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from dashboards.command import main

    assert main(["chances", WRENFOLD, "--draws", "500000000"]) == 2
    assert "draws lie between 1 and 10,000,000" in capsys.readouterr().err
    text = Path(WRENFOLD).read_text(encoding="utf-8")
    path = tmp_path / "farm.toml"
    path.write_text(
        text + "\n[uncertainty]\ndraws = 500000000\n"
        if "[uncertainty]" not in text
        else text.replace("[uncertainty]", "[uncertainty]\ndraws = 500000000"),
        encoding="utf-8",
    )
    assert main(["decide", str(path)]) == 2
    assert "draws" in capsys.readouterr().err
