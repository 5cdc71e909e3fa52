"""One screen of forty lines says what decides; `--all` leaves nothing out."""

import datetime
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from cut import amounts, drawn

from dashboards.terminal import chances, decide
from dashboards.terminal.layout import LINES, WIDTH
from econ.answers import decision
from econ.answers.decision import at_once
from econ.answers.outlook import outlook, outlook_json
from econ.answers.turned import Prepared
from econ.farm.files import load

ROOT = Path(__file__).parents[2] / "scenarios"
FARMS = sorted(path.stem for path in ROOT.glob("*.toml"))
DRAWS = 256


@pytest.mark.parametrize("name", FARMS)
def test_what_pages_say_at_once_is_what_the_decision_says(name: str) -> None:
    farm = load(ROOT / f"{name}.toml")
    said, screen = at_once(Prepared.of(farm).at({})), decision.decide(farm, draws=64).first_screen

    assert said.year == screen["year"]
    assert not said.certain or said.advice == screen["advice"]


def pages(path: Path) -> Iterator[tuple[str, Any, Any]]:
    """Return each command's name, its one screen and all of it."""
    farm = load(path)
    decided = decision.decide(farm, draws=DRAWS)
    yield "decide", decide.render(decided), decide.render_all(decided)
    odds = outlook_json(outlook(farm, draws=DRAWS))
    yield "chances", chances.render(odds), chances.render_all(odds)


@pytest.mark.parametrize("name", FARMS)
def test_each_command_fits_one_screen_and_all_has_every_amount_of_it(name: str) -> None:
    for command, screen, everything in pages(ROOT / f"{name}.toml"):
        lines = drawn(screen, WIDTH).rstrip("\n").split("\n")
        assert len(lines) <= LINES, (command, len(lines))
        assert max(map(len, lines)) <= WIDTH

        short, long = drawn(screen, 2000), drawn(everything, 2000)
        told = "\n".join(line for line in short.split("\n") if "cautions and the rest" not in line)
        assert not set(amounts(told)) - set(amounts(long)), command


def test_the_decision_that_the_readme_shows_is_the_one_that_is_printed() -> None:
    decided = decision.decide(load(ROOT / "quillmere.toml"), today=datetime.date(2026, 11, 27))
    lines = drawn(decide.render(decided), WIDTH).rstrip("\n").split("\n")
    printed = "\n".join(line.rstrip() for line in lines)

    assert f"```\n{printed}\n```" in (ROOT.parent / "README.md").read_text(encoding="utf-8")


def test_sixty_machines_are_counted_not_printed(tmp_path: Path) -> None:
    text = (ROOT / "quillmere.toml").read_text(encoding="utf-8")
    start = text.index("[[machines]]")
    end = text.index("[[machines]]", start + 1)
    machine = text[start:end]
    more = "".join(machine.replace("Tillage tractor", f"Tractor {k}") for k in range(60))
    path = tmp_path / "many.toml"
    path.write_text(text[:start] + more + text[start:], encoding="utf-8")

    decided = decision.decide(load(path), draws=64)
    short = drawn(decide.render(decided), WIDTH)

    assert len(short.rstrip("\n").split("\n")) <= LINES
    assert "Tractor 59" not in short
    assert "Tractor 59" in drawn(decide.render_all(decided), WIDTH)
    shown = sum(f"Tractor {k} " in short for k in range(60))
    assert f"and {len(decided.document['machines']) - shown} more" in short
