"""Put the program under attack and print what was tried and what failed.

    python tests/stress/run.py --files 10000

Takes about an hour on two processors; the tests of every day try a sample of each.
"""

import argparse
import collections
import multiprocessing
import os
import sys
import tempfile
import time
from collections.abc import Iterable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from stress import attacks
from stress.trials import COMMANDS, Trial, trial


def _row(what: str, tried: int, failed: list[str]) -> None:
    print(f"{what:<34} {tried:>7,} {len(failed):>7,}", flush=True)
    for one in failed[:5]:
        print(f"    {one}", flush=True)


def _files(count: int, start: int) -> int:
    """Try the files, and print a row for each command and each kind of file."""
    result: list[Trial] = []
    begun = time.monotonic()
    with multiprocessing.get_context("spawn").Pool(os.cpu_count()) as pool:
        for done, one in enumerate(pool.imap_unordered(trial, range(start, start + count), 8), 1):
            result.append(one)
            if done % 500 == 0:
                print(f"  {done:,} files, {time.monotonic() - begun:.0f} s", file=sys.stderr)
    for name, _, _ in COMMANDS:
        own = [one for one in result if one.command == name]
        words = [f"file {one.number} ({one.kind}): {one.fault}" for one in own if one.fault]
        taken = sum(one.accepted for one in own)
        _row(f"files under {name} ({taken:,} worked)", len(own), words)
    kinds = collections.Counter(one.kind for one in result)
    for kind, number in kinds.items():
        _row(
            f"  of them {kind}",
            number,
            [one.fault for one in result if one.kind == kind and one.fault],
        )
    return sum(bool(one.fault) for one in result)


def _attack(what: str, tries: Iterable[str]) -> int:
    result = list(tries)
    failed = [one for one in result if one]
    _row(what, len(result), failed)
    return len(failed)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=300, help="random files to try")
    parser.add_argument("--start", type=int, default=0, help="number of the first one")
    asked = parser.parse_args()
    share = max(1, asked.files // 100)
    # What the attacks write goes at the end, however it ends.
    with tempfile.TemporaryDirectory(prefix="drumworth-stress-") as place:
        tempfile.tempdir = os.environ["TMPDIR"] = place
        print(f"{'tried':<34} {'number':>7} {'failed':>7}")
        failed = _files(asked.files, asked.start)
        failed += _attack("forged calls of the pages", attacks.forged_calls(30 * share))
        failed += _attack("killed saves", attacks.killed_saves(2 * share))
        failed += _attack("parallel saves", attacks.parallel_saves(4 * share))
        failed += _attack("full disks", attacks.full_disks(max(4, share // 4)))
        commands = ("decide", "thinners", "oils", "chances", "check")
        failed += _attack("terminals: widths, encodings", attacks.terminals(commands))
        failed += _attack("file names by kind", attacks.names())
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
