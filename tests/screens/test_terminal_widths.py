"""No digit, sign, unit or name is cut on any terminal; names print as they are."""

import os
import pty
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from cut import WIDTHS, amounts, drawn, faults

from dashboards.command import main
from dashboards.commands import chances as odds
from dashboards.commands import check, decide, fields, oils, plan, thinners
from dashboards.terminal.layout import columns

ROOT = Path(__file__).parents[2]
QUILLMERE = ROOT / "scenarios" / "quillmere.toml"
KURRABEE = ROOT / "scenarios" / "kurrabee-downs.toml"
COMMANDS = {
    "decide": decide,
    "chances": odds,
    "thinners": thinners,
    "oils": oils,
    "plan": plan,
    "check": check,
    "fields": fields,
}


def page_of(monkeypatch: pytest.MonkeyPatch, command: str, *rest: str) -> Any:
    """Return the page that a command prints, before it is laid out."""
    pages: list[Any] = []
    monkeypatch.setattr(COMMANDS[command], "print_page", pages.append)
    assert main([command, *rest]) == 0
    return pages[0]


@pytest.mark.parametrize("farm", [QUILLMERE, KURRABEE], ids=lambda path: path.stem)
@pytest.mark.parametrize("command", [name for name in COMMANDS if name != "fields"])
def test_no_amount_or_word_is_cut_at_any_width(
    monkeypatch: pytest.MonkeyPatch, command: str, farm: Path
) -> None:
    few = ["--draws", "256"] if command == "chances" else []
    assert faults(page_of(monkeypatch, command, str(farm), *few)) == []


def test_no_word_of_the_fields_is_cut(monkeypatch: pytest.MonkeyPatch) -> None:
    assert faults(page_of(monkeypatch, "fields")) == []


def test_the_comparison_sees_a_cut_figure() -> None:
    from rich.table import Table

    table = Table.grid(padding=(0, 1))
    for _ in range(3):
        table.add_column(no_wrap=True, overflow="crop")
    table.add_row("a name of some length", "$1,234", "$330")
    assert "30: missing $330" in faults(table, (30,))


# The width of its own terminal is what the command asks for, as it would anywhere.
IN_A_TERMINAL = """
import fcntl, struct, sys, termios
from dashboards.command import main
farm, *widths = sys.argv[1:]
for width in map(int, widths):
    fcntl.ioctl(1, termios.TIOCSWINSZ, struct.pack("HHHH", 50, width, 0, 0))
    assert main(["oils", farm]) == 0
    print(end="\\f", flush=True)
"""


@cache
def _in_a_terminal() -> dict[int, str]:
    """Run a command in a real terminal of each width."""
    environment = {**os.environ, "NO_COLOR": "1"}
    environment.pop("COLUMNS", None)
    parent, child = pty.openpty()
    command = [sys.executable, "-c", IN_A_TERMINAL, str(KURRABEE), *map(str, WIDTHS)]
    process = subprocess.Popen(command, stdout=child, stderr=child, cwd=ROOT, env=environment)  # noqa: S603 - our own interpreter
    os.close(child)
    parts = []
    while True:
        try:
            parts.append(os.read(parent, 65536))
        except OSError:  # the other side is closed
            break
    os.close(parent)
    assert process.wait() == 0
    pages = b"".join(parts).decode().replace("\r\n", "\n").split("\f")
    return dict(zip(WIDTHS, pages[:-1], strict=True))


@pytest.mark.parametrize("width", WIDTHS)
def test_a_terminal_of_any_width_shows_the_figures_of_the_widest(width: int) -> None:
    text = _in_a_terminal()[width]
    assert max(len(line) for line in text.splitlines()) <= min(width, 80)
    assert not amounts(_in_a_terminal()[80]) - amounts(text)
    assert "\x1b" not in text


HOSTILE = "[/bold] [red]dear[/red] :smile:"


def test_brackets_and_codes_in_heads_and_cells_print_as_they_are() -> None:
    table = columns((HOSTILE, "x"), [(HOSTILE, "1"), ("\x1b]0;title\x07\x1b[2J", "2")])
    text = drawn(table, 100)

    assert text.count(HOSTILE) == 2
    assert "\\x1b]0;title\\x07\\x1b[2J" in text


@pytest.fixture
def hostile(tmp_path: Path) -> Path:
    """Return a farm whose names hold brackets, codes and control characters."""
    text = QUILLMERE.read_text(encoding="utf-8")
    for name in ("Gasoline, farm tank", "Tillage tractor", "Crossroads garage"):
        assert name in text
        text = text.replace(name, f"{name} {HOSTILE} \\u001b[2J\\u202e")
    text = text.replace('title = "Quillmere', 'title = "\\u001b]0;gone\\u0007Quillmere')
    path = tmp_path / "farm.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("command", [name for name in COMMANDS if name != "fields"])
def test_hostile_names_print_as_they_are_on_a_terminal(
    hostile: Path, command: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("COLUMNS", "80")
    few = ["--draws", "256"] if command == "chances" else []
    assert main([command, str(hostile), *few]) == 0

    text = capsys.readouterr().out
    flat = " ".join(text.split())
    assert "\x1b[2J" not in text
    assert "\x1b]0" not in text
    assert "\x07" not in text
    assert "\u202e" not in text
    if command != "check":
        assert "\\x1b]0;gone\\x07Quillmere" in flat
        assert "[red]dear[/red] :smile:" in flat


def test_hostile_names_print_as_they_are_in_faults_and_json(
    hostile: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = hostile.read_text(encoding="utf-8")
    hostile.write_text(text.replace("blend_share = ", "blend_share = 7\nx = ", 1), encoding="utf-8")

    assert main(["decide", str(hostile)]) == 2
    told = capsys.readouterr().err
    assert "\x1b" not in told
    assert "\\x1b[2J\\u202e" in told
    assert main(["decide", str(hostile), "--json"]) == 2
    assert "\x1b" not in capsys.readouterr().err


@pytest.mark.parametrize("kind", ["html", "csv"])
def test_hostile_names_are_visible_in_what_is_handed_over(hostile: Path, kind: str) -> None:
    target = hostile.with_suffix(f".{kind}")
    assert main(["present", str(hostile), "--to", str(target)]) == 0

    text = target.read_text(encoding="utf-8")
    assert not set(text) & {"\x1b", "\x07", "\u202e"}
    shown = {"html": "\\x1b]0;gone\\x07Quillmere", "csv": "\\x1b[2J\\u202e"}
    assert shown[kind] in text


def test_a_column_in_which_nothing_is_said_is_left_out_at_every_width() -> None:
    table = columns(
        ("plan", "worth", "1 in 20\nbelow"), [("the file's", "$739", ""), ("nothing", "$0", " ")]
    )
    assert "20" not in drawn(table, 100)
    assert faults(table) == []
