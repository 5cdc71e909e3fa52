"""Standard output as it is found: narrow encodings, closed, full, read no more."""

import contextlib
import io
import json
import os
import subprocess
import sys
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


COMMANDS = (("decide", FARM), ("oils", FARM), ("check", FARM))


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_narrow_encoding_spells_signs_out(words: tuple[str, ...], encoding: str) -> None:
    done = run(*words, PYTHONIOENCODING=encoding)

    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode(encoding)
    whole = in_full(*words)
    assert len(text.splitlines()) == len(whole.splitlines())
    assert "°" in whole or words[0] != "check"
    if encoding == "ascii" and "°" in whole:
        assert " deg " in text
        assert "\\x" not in text


def test_json_stays_json_in_a_narrow_encoding() -> None:
    narrow = run("oils", FARM, "--json", PYTHONIOENCODING="ascii")

    assert json.loads(narrow.stdout) == json.loads(in_full("oils", FARM, "--json"))


def test_a_fault_is_told_in_any_encoding(tmp_path: Path) -> None:
    bad = tmp_path / "Gehöft.toml"
    bad.write_text('[scenario]\ntitle = "°"\nunits = "é"\n', encoding="utf-8")
    for encoding in ("ascii", "cp1252"):
        done = run("decide", str(bad), PYTHONIOENCODING=encoding)
        assert done.returncode == 2
        assert b"Traceback" not in done.stderr
        assert b"units" in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_full_output_is_told_with_status_two(words: tuple[str, ...]) -> None:
    done = run(*words, script='"$@" > /dev/full')

    assert done.returncode == 2
    assert done.stderr.decode().splitlines() == ["standard output: No space left on device"]


@pytest.mark.parametrize("words", COMMANDS, ids=lambda words: words[0])
def test_a_closed_output_is_told_with_status_two(words: tuple[str, ...]) -> None:
    done = run(*words, script='"$@" >&-')

    assert done.returncode == 2
    assert done.stderr.decode().splitlines() == ["standard output is closed: nothing was done"]


def test_both_streams_closed_is_quiet_with_status_two() -> None:
    assert run("decide", FARM, script='"$@" >&- 2>&-').returncode == 2


@pytest.mark.parametrize("words", [("decide", FARM), ("oils", FARM, "--json")],
                         ids=lambda words: "-".join((words[0], words[-1][:2])))  # fmt: skip
def test_whoever_reads_only_the_start_is_left_in_peace(words: tuple[str, ...]) -> None:
    done = run(*words, script='"$@" | head -n 1')

    assert done.stderr == b""
    assert len(done.stdout.splitlines()) == 1


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
@pytest.mark.parametrize("command", ["decide", "thinners", "oils", "chances", "check", "dashboard"])
def test_an_argument_that_is_no_text_is_told_in_words(command: str) -> None:
    done = run(command, b"\xff\xfe.toml")

    assert done.returncode == 2
    assert b"Traceback" not in done.stderr
    assert b"\\udcff\\udcfe.toml" in done.stderr


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
def test_a_farm_whose_name_is_no_text_is_worked(tmp_path: Path) -> None:
    path = os.fsencode(tmp_path) + b"/\xff.toml"
    assert run("new", path).returncode == 0
    done = run("check", path)
    assert (done.returncode, done.stderr) == (0, b"")
    done = run("present", path, "--to", path.replace(b".toml", b".html"))
    assert (done.returncode, done.stderr) == (0, b"")


def test_colour_and_bold_go_where_they_are_not_wanted() -> None:
    for wish in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
        assert b"\x1b" not in run("oils", FARM, **{"FORCE_COLOR": "1", **wish}).stdout
    assert b"\x1b[1m" in run("oils", FARM, TERM="xterm", FORCE_COLOR="1").stdout
