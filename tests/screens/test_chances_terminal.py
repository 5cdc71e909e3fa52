"""Chances on a terminal: a short page that bears on the decision, and all tables on demand."""

from pathlib import Path

import pytest
from rich.console import Console

from dashboards.command import main
from dashboards.terminal.chances import render, render_all
from econ.answers.chance_keys import OutlookDocument
from econ.answers.outlook import outlook, outlook_json
from econ.farm.files import load

ROOT = Path(__file__).parents[2] / "scenarios"


def document(name: str) -> OutlookDocument:
    scenario = load(ROOT / f"{name}.toml")
    return outlook_json(outlook(scenario, draws=600))


def printed(doc: OutlookDocument, *, everything: bool) -> list[str]:
    console = Console(width=80, record=True, file=None, highlight=False)
    with console.capture() as capture:
        console.print(render_all(doc) if everything else render(doc))
    return capture.get().rstrip("\n").split("\n")


def test_the_long_page_adds_every_table() -> None:
    quillmere = document("quillmere")
    short, long = (printed(quillmere, everything=flag) for flag in (False, True))

    for head in (
        "Better stopped by the end of year",
        "Where it tips",
        "Running balance: 1 in 20",
    ):
        assert any(head in line for line in long)
        assert not any(head in line for line in short)


def test_the_command_prints_the_short_page_and_with_all_the_long_one(
    capsys: pytest.CaptureFixture[str],
) -> None:
    farm = str(ROOT / "wrenfold.toml")
    assert main(["chances", farm, "--draws", "300"]) == 0
    short = capsys.readouterr().out
    assert main(["chances", farm, "--draws", "300", "--all"]) == 0

    assert "Where it tips" in capsys.readouterr().out
    assert "Looking back" in short
    assert "Where it tips" not in short
