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
    found = count()

    assert stated is not None
    assert tuple(map(int, stated.groups())) == (found.read, found.decisions, found.remembered)


def test_there_are_enough_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    # Own bar: 300 figures, 80 of them through a whole decision, and few from memory.
    monkeypatch.syspath_prepend(str(Path(__file__).parent))
    from count import count

    found = count()

    assert found.read >= 300
    assert found.decisions >= 80
    assert found.remembered <= 0.1 * found.read
