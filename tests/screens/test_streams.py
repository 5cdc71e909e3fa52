"""Standard output as it is found: narrow encodings, closed, full, read no more.

Whatever a stream of that kind does to a command is looked at here in this process, and once each in
a process of its own: what the environment, a shell and the end of a process add.
"""

import contextlib
import io
import json
import os
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path

import pytest

from dashboards.command import main

ROOT = Path(__file__).parents[2]
FARM = str(ROOT / "scenarios" / "wrenfold.toml")


def run(
    *words: str | bytes, script: str | None = None, **environment: str
) -> subprocess.CompletedProcess[bytes]:
    """Run the command in a process of its own, by a shell where its streams are to be bent."""
    command: list[str | bytes] = [sys.executable, "-m", "dashboards", *words]
    if script is not None:
        command = ["sh", "-c", script, "sh", *command]
    return subprocess.run(  # noqa: S603
        command, capture_output=True, cwd=ROOT, env={**os.environ, **environment}, check=False
    )


@cache
def in_full(*words: str) -> str:
    """Return what a command prints where every sign may be printed, here in this process."""
    said = io.StringIO()
    with contextlib.redirect_stdout(said):
        assert main(words) == 0
    return said.getvalue()


def here(words: Sequence[str], encoding: str = "utf-8") -> tuple[int, bytes, bytes]:
    """Run a command in this process; return its status and what it wrote to either stream."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding=encoding) for _ in range(2))
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main(words)
        err.flush()
    return status, out.buffer.getvalue(), err.buffer.getvalue()


COMMANDS = (("decide", FARM), ("oils", FARM), ("check", FARM))


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_narrow_encoding_spells_signs_out(words: tuple[str, ...], encoding: str) -> None:
    status, out, err = here(words, encoding)

    assert (status, err) == (0, b"")
    text = out.decode(encoding)
    whole = in_full(*words)
    assert len(text.splitlines()) == len(whole.splitlines())
    assert "°" in whole or words[0] != "check"
    if encoding == "ascii" and "°" in whole:
        assert " deg " in text
        assert "\\x" not in text


def test_the_environments_encoding_is_the_streams() -> None:
    done = run("check", FARM, PYTHONIOENCODING="ascii")

    assert (done.returncode, done.stdout, done.stderr) == here(("check", FARM), "ascii")


def test_json_stays_json_in_a_narrow_encoding() -> None:
    _, narrow, _ = here(("oils", FARM, "--json"), "ascii")

    assert json.loads(narrow) == json.loads(in_full("oils", FARM, "--json"))


def test_a_fault_is_told_in_any_encoding(tmp_path: Path) -> None:
    bad = tmp_path / "Gehöft.toml"
    bad.write_text('[scenario]\ntitle = "°"\nunits = "é"\n', encoding="utf-8")
    done = run("decide", str(bad), PYTHONIOENCODING="ascii")
    narrow = here(("decide", str(bad)), "cp1252")
    for status, _, err in ((done.returncode, done.stdout, done.stderr), narrow):
        assert status == 2
        assert b"Traceback" not in err
        assert b"units" in err


FULL = ["standard output: No space left on device"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_full_output_is_told_with_status_two(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    with open("/dev/full", "w", encoding="utf-8") as full, contextlib.redirect_stdout(full):  # noqa: PTH123
        assert main(words) == 2
    assert capsys.readouterr().err.splitlines() == FULL


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
def test_a_process_whose_output_is_full_ends_with_status_two() -> None:
    done = run("decide", FARM, script='"$@" > /dev/full')

    assert (done.returncode, done.stderr.decode().splitlines()) == (2, FULL)


CLOSED = ["standard output is closed: nothing was done"]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_closed_output_is_told_with_status_two(
    words: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    with contextlib.redirect_stdout(None):  # as Python has it where it was started so
        assert main(words) == 2
    assert capsys.readouterr().err.splitlines() == CLOSED


def test_a_process_whose_output_is_closed_ends_with_status_two() -> None:
    done = run("decide", FARM, script='"$@" >&-')

    assert (done.returncode, done.stderr.decode().splitlines()) == (2, CLOSED)


def test_both_streams_closed_is_quiet_with_status_two() -> None:
    assert run("decide", FARM, script='"$@" >&- 2>&-').returncode == 2


def test_whoever_reads_only_the_start_is_left_in_peace() -> None:
    done = run("oils", FARM, "--json", script='"$@" | head -n 1')

    assert done.stderr == b""
    assert len(done.stdout.splitlines()) == 1


def test_whoever_reads_nothing_is_left_in_peace(capsys: pytest.CaptureFixture[str]) -> None:
    reader, writer = os.pipe()
    os.close(reader)
    with os.fdopen(writer, "w", encoding="utf-8") as pipe, contextlib.redirect_stdout(pipe):
        assert main(("decide", FARM)) == 0
    assert capsys.readouterr().err == ""


NO_TEXT = b"\xff\xfe.toml"


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
@pytest.mark.parametrize("command", ["decide", "thinners", "oils", "chances", "check", "dashboard"])
def test_an_argument_that_is_no_text_is_told_in_words(command: str) -> None:
    status, _, err = here((command, os.fsdecode(NO_TEXT)))

    assert status == 2
    assert b"\\udcff\\udcfe.toml" in err


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
def test_a_process_takes_an_argument_that_is_no_text() -> None:
    done = run("decide", NO_TEXT)

    assert (done.returncode, done.stdout, done.stderr) == here(("decide", os.fsdecode(NO_TEXT)))


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
def test_a_farm_whose_name_is_no_text_is_worked(tmp_path: Path) -> None:
    path = str(tmp_path / os.fsdecode(b"\xff.toml"))
    assert here(("new", path))[0] == 0
    status, _, err = here(("check", path))
    assert (status, err) == (0, b"")
    status, _, err = here(("present", path, "--to", path.replace(".toml", ".html")))
    assert (status, err) == (0, b"")


def test_colour_and_bold_go_where_they_are_not_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    def shown(**environment: str) -> bytes:
        with monkeypatch.context() as patch:
            for name, value in environment.items():
                patch.setenv(name, value)
            return here(("oils", FARM))[1]

    for wish in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
        assert b"\x1b" not in shown(FORCE_COLOR="1", **wish)
    assert b"\x1b[1m" in shown(TERM="xterm", FORCE_COLOR="1")
