"""Count the figures from outside that the tests hold the project to.

Run as ``python tests/published/count.py``. A figure counts once however many tests or sources
print it for the same thing; own arithmetic, identities and common practice do not count, and what
was only remembered stands apart.
"""

import importlib
import re
import sys
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parent))
sys.path.insert(0, str(HERE))

import decided  # noqa: E402
import printed  # noqa: E402

_NOT_OUTSIDE = re.compile(
    r"own arithmetic|identity|common practice|by definition|our own", re.IGNORECASE
)
_REMEMBERED = re.compile(r"from memory", re.IGNORECASE)


@dataclass(frozen=True)
class Count:
    """What the register holds."""

    read: int
    """Distinct figures whose source was read."""
    remembered: int
    """Distinct figures from memory."""
    decisions: int
    """Of those read, how many come out of a whole decision, a farm file in."""
    by_source: tuple[tuple[str, int], ...]


def short(source: str) -> str:
    """Return a source's publisher or document: what stands before the first comma or colon."""
    return re.split(r"[,:;(]", source)[0].strip()


def register() -> list[printed.Outside]:
    """Load every test of published figures and give what they enter."""
    for path in sorted(HERE.glob("test_*.py")):
        if path.stem != "test_count":
            importlib.import_module(path.stem)
    return list(printed.REGISTER)


def comes_of_a_decision(row: printed.Outside) -> bool:
    """Say whether a figure comes out of a whole decision, by working it out."""
    if row.result is None:
        return row.decision
    before = decided.runs()
    row.result()
    return decided.runs() > before


@cache
def count() -> Count:
    """Count the register."""
    read: dict[tuple[str, float], str] = {}
    remembered: set[tuple[str, float]] = set()
    whole: set[tuple[str, float]] = set()
    for row in register():
        key = (row.case, float(f"{row.value:.6g}"))
        if _NOT_OUTSIDE.search(row.source):
            continue
        if _REMEMBERED.search(row.source):
            remembered.add(key)
            continue
        read[key] = short(row.source)
        if comes_of_a_decision(row):
            whole.add(key)
    sources = Counter(read.values()).most_common()
    return Count(len(read), len(remembered - read.keys()), len(whole), tuple(sources))


if __name__ == "__main__":
    result = count()
    for name, figures in result.by_source:
        print(f"{figures:5}  {name}")
    print(f"{result.read:5}  distinct figures from outside, sources read")
    print(f"{result.decisions:5}  of them through a whole decision")
    print(f"{result.remembered:5}  from memory, apart")
