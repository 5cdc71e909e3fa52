"""Kill writers of a log in the middle, again and again: no acknowledged row may be lost.

`python tests/log_kills.py 1000` does it a thousand times; the test suite does it forty times.
"""

import os
import random
import signal
import sys
import tempfile
import time
from pathlib import Path

from econ.farm import log_writing
from econ.farm.files import load
from econ.farm.log_reading import read_log
from econ.farm.schema import Scenario

FARM = Path(__file__).parents[1] / "scenarios" / "quillmere.toml"


def _write_in_pieces(rng: random.Random) -> None:
    """Let every write reach the file in a few bytes at a time, so that a kill tears lines."""
    whole = os.write

    def piecewise(handle: int, content: bytes) -> int:
        time.sleep(0.0003)
        return whole(handle, content[: rng.randint(1, 9)])

    log_writing.os.write = piecewise  # type: ignore[assignment]


def _writer(path: Path, scenario: Scenario, answer: int, rng: random.Random) -> None:
    """Add rows until killed, telling each one's number only once it is acknowledged."""
    tell = os.write
    _write_in_pieces(rng)
    source = scenario.oils[0].name
    while True:
        values = {
            "date": "2026-03-01",
            "what": "fetched",
            "which": source,
            "volume": rng.randint(1, 500) / 4.0,
            "note": "a note, of some kind",
        }
        added = log_writing.add_row(path, scenario, values)
        tell(answer, f"{added.row.id} {added.row.volume:.12g}\n".encode())


def _killed_writer(path: Path, scenario: Scenario, rng: random.Random) -> dict[int, float]:
    """Run one writer for a moment, kill it, and give what it had acknowledged."""
    reading, answer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _writer(path, scenario, answer, random.Random(rng.random()))  # noqa: S311
    os.close(answer)
    time.sleep(rng.uniform(0.002, 0.05))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    told = b""
    while part := os.read(reading, 1 << 16):
        told += part
    os.close(reading)
    lines = told.decode().splitlines(keepends=True)
    pairs = [line.split() for line in lines if line.endswith("\n")]
    return {int(number): float(volume) for number, volume in pairs}


def kill_writers(path: Path, kills: int, seed: int = 0) -> tuple[int, int, int]:
    """Kill writers of one log and read it back.

    Returns how many rows were acknowledged, how many of them are lost or changed, and how many
    lines were torn.
    """
    rng = random.Random(seed)  # noqa: S311
    scenario = load(FARM)
    acknowledged: dict[int, float] = {}
    for _ in range(kills):
        acknowledged |= _killed_writer(path, scenario, rng)
    log_writing.add_row(path, scenario, {"date": "2026-03-02", "what": "tested", "which": "end"})
    log = read_log(path, scenario)
    rows = {row.id: row.volume for row in log.rows}
    lost = sum(rows.get(number) != volume for number, volume in acknowledged.items())
    torn = path.with_name(f"{path.name}.torn")
    lines = len(torn.read_bytes().splitlines()) if torn.exists() else 0
    if log.faults or log.torn is not None:
        lost += 1
    return len(acknowledged), lost, lines


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
        known, gone, unfinished = kill_writers(Path(folder) / "log.csv", count)
        print(f"{count} kills: {known} rows acknowledged, {gone} lost, {unfinished} lines torn")
        sys.exit(1 if gone else 0)
