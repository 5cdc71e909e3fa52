"""The number of outside figures that README states is the one that the register counts."""

import re
from pathlib import Path

import pytest

README = Path(__file__).parents[2] / "README.md"
STATED = re.compile(
    r"(\d+) distinct figures from outside.*?(\d+) of them through a whole decision.*?"
    r"(\d+)\s+more\s+from memory",
    re.DOTALL,
)


def test_the_readme_states_the_count(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.syspath_prepend(str(Path(__file__).parent))
    from count import count

    stated = STATED.search(README.read_text(encoding="utf-8"))
    result = count()

    assert stated is not None
    assert tuple(map(int, stated.groups())) == (result.read, result.decisions, result.remembered)


def test_there_are_enough_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    # Own bar: 300 figures, 80 of them through a whole decision, and few from memory.
    monkeypatch.syspath_prepend(str(Path(__file__).parent))
    from count import count

    result = count()

    assert result.read >= 300
    assert result.decisions >= 80
    assert result.remembered <= 0.1 * result.read
