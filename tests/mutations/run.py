"""Change one line at a time and see that a test notices: a change that nothing notices is a gap.

Run as ``python tests/mutations/run.py``, with ``--sample 20 --seed 3`` for some of the rows only.
Each row of ``table.toml`` is applied to a scratch copy of the project and the tests that it
names are run there; they must fail.
"""

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from queue import SimpleQueue

ROOT = Path(__file__).parents[2]
COPIED = ("econ", "dashboards", "tests", "scenarios", "pyproject.toml", "README.md")
# The whole of a run that must fail takes seconds; one that hangs is as good as failed.
LONGEST = 600


@dataclass(frozen=True)
class Mutant:
    """One change of one line."""

    file: str
    old: str
    new: str
    why: str
    """What would be wrong with it."""
    tests: tuple[str, ...]
    """Files that should notice, the likeliest first."""
    lives: str = ""
    """Why no test can tell it from the right one; empty where one must."""

    @property
    def name(self) -> str:
        """Return a name for lists."""
        return f"{self.file}: {self.old.strip()} -> {self.new.strip()}"


def mutants() -> list[Mutant]:
    """Read the table."""
    document = tomllib.loads((Path(__file__).parent / "table.toml").read_text(encoding="utf-8"))
    result = []
    for group in document["groups"]:
        for old, new, why in group["changes"]:
            lives = document.get("lives", {}).get(f"{old} -> {new}", "")
            result.append(Mutant(group["file"], old, new, why, tuple(group["tests"]), lives))
    return result


def apply(mutant: Mutant, root: Path) -> str:
    """Change the line in a copy of the project and return the text before.

    Raises
    ------
    ValueError
        If the old text does not stand there exactly once.
    """
    path = root / mutant.file
    text = path.read_text(encoding="utf-8")
    if text.count(mutant.old) != 1:
        message = f"{mutant.name}: stands {text.count(mutant.old)} times; name it so that it is one"
        raise ValueError(message)
    path.write_text(text.replace(mutant.old, mutant.new), encoding="utf-8")
    return text


def noticed(mutant: Mutant, root: Path) -> bool:
    """Apply a change in a copy of the project, run its tests there, and undo it."""
    before = apply(mutant, root)
    try:
        command = [sys.executable, "-m", "pytest", "-q", "-x", "-n", "0", "-p", "no:cacheprovider",
                   "-p", "no:randomly", *mutant.tests]  # fmt: skip
        environment = {**os.environ, "PYTHONPATH": str(root), "PYTHONDONTWRITEBYTECODE": "1"}
        done = subprocess.run(  # noqa: S603 (our own command)
            command, cwd=root, env=environment, capture_output=True, timeout=LONGEST, check=False
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        (root / mutant.file).write_text(before, encoding="utf-8")
    # 1: tests failed; 2: a test file no longer loads. Anything else is no verdict.
    if done.returncode not in (0, 1, 2):
        message = f"{mutant.name}: pytest ended with {done.returncode}\n{done.stdout.decode()}"
        raise RuntimeError(message)
    return done.returncode != 0


def copy(to: Path) -> Path:
    """Copy what the tests need of the project, compiled modules with it.

    A compiled module counts for a source of the same time and size, which a copy keeps; a changed
    line is of another time, and what is compiled of it is written nowhere.
    """
    for name in COPIED:
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, to / name)
        else:
            shutil.copy2(source, to / name)
    return to


def run(chosen: Iterable[Mutant], at_once: int = 2) -> Iterator[tuple[Mutant, bool]]:
    """Try changes, each in a copy that no other uses meanwhile."""
    with tempfile.TemporaryDirectory() as folder:
        free: SimpleQueue[Path] = SimpleQueue()
        for k in range(at_once):
            free.put(copy(Path(folder) / str(k)))

        def one(mutant: Mutant) -> tuple[Mutant, bool]:
            root = free.get()
            try:
                return mutant, noticed(mutant, root)
            finally:
                free.put(root)

        with ThreadPoolExecutor(at_once) as pool:
            yield from pool.map(one, chosen)


def sample(count: int | None, seed: int) -> list[Mutant]:
    """Pick some rows by a seed, all of them where no count is given."""
    rows = mutants()
    return rows if count is None else random.Random(seed).sample(rows, count)  # noqa: S311


def main() -> int:
    """Run from the command line; exit status 1 where a change lives that should not."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=None, metavar="N", help="only N of the rows")
    parser.add_argument("--seed", type=int, default=0, metavar="S", help="which N")
    parser.add_argument("--at-once", type=int, default=2, metavar="K", help="copies side by side")
    parser.add_argument(
        "--file", action="append", metavar="PART", help="only rows of files whose path holds this"
    )
    given = parser.parse_args()
    parts = given.file or [""]
    rows = [
        row for row in sample(given.sample, given.seed) if any(part in row.file for part in parts)
    ]
    living = unexplained = 0
    for count, (mutant, killed) in enumerate(run(rows, given.at_once), start=1):
        if not killed:
            living += 1
            unexplained += not mutant.lives
            note = f" ({mutant.lives})" if mutant.lives else ""
            print(f"LIVES {mutant.name}: {mutant.why}{note}", flush=True)
        elif sys.stderr.isatty():
            print(f"\r{count} of {len(rows)}", end="", file=sys.stderr, flush=True)
    share = 100.0 * living / len(rows) if rows else 0.0
    print(f"{len(rows)} changes, {living} live ({share:.1f} %), {unexplained} of them unexplained")
    return 1 if unexplained else 0


if __name__ == "__main__":
    sys.exit(main())
