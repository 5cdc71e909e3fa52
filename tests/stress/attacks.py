"""Attacks other than files: forged calls, killed and parallel saves, full disks, terminals, names.

Each gives how many were tried and what failed.
"""

import copy
import itertools
import os
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random
from typing import Any

from cut import WIDTHS, amounts, faults
from stress.trials import _Within
from web_client import callbacks

from dashboards.web.documents import ChangedOnDiskError, Folder, open_farm, save
from dashboards.web.draft import draft_of

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FARM = "tamsel-pumps.toml"
Attacked = Iterator[str]
"""One text for each try: empty, or what failed."""

FORGED: tuple[Any, ...] = (
    None, True, False, 0, -1, 1e308, 2**70, "", "x", "../x.toml", "/etc/passwd", "a\x00.toml",
    "=1+1", "\ud800", [], [[]], [None], {}, {"document": {}}, {"document": 1}, {"a": {"b": []}},
    {"draft": {"document": []}}, {"pump_price": "1"}, {"pump_price": 1e9},
    {"document": {"scenario": {"units": []}}}, "9" * 400, [["x"] * 50] * 3,
)  # fmt: skip


def _farms() -> Path:
    folder = Path(tempfile.mkdtemp(prefix="drumworth-trials-"))
    for path in SCENARIOS.glob("*.toml"):
        shutil.copyfile(path, folder / path.name)
    return folder


def forged_calls(count: int) -> Attacked:
    """Call every callback with every argument forged, then with several at once."""
    folder = _farms()
    client = _Within(folder, guarded=True)
    rows, dice = callbacks(client), Random(5)  # noqa: S311, nothing secret
    good = draft_of(open_farm(Folder(folder), FARM), 1)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    tried = 0
    while tried < count:
        for row in rows:
            names = [f"{a['id']}.{a['property']}" for a in (*row["inputs"], *row["state"])]
            values = {name: _sound(name, good) for name in names}
            for name in dice.sample(names, min(len(names), dice.randint(1, 2))):
                values[name] = dice.choice(FORGED)
            status, _ = client.call(row, values, dice.choice(names) if names else None)
            tried += 1
            yield f"{status} from {row['output']}" if status >= 500 else ""
    after = {path.name: path.read_bytes() for path in folder.iterdir()}
    if any(after.get(name) != content for name, content in before.items() if name != FARM):
        yield "a file was changed"


def _sound(name: str, good: dict[str, Any]) -> Any:
    if name.startswith("draft."):
        return good
    if name.startswith("settled."):
        return {"draft": good, "levers": None}
    return 1 if name.endswith("n_clicks") else None


_SAVER = """
import os, signal, sys, time, random
from pathlib import Path
from dashboards.web.documents import Folder, open_farm, save
folder, dice = Folder(Path(sys.argv[1])), random.Random(int(sys.argv[3]))
for n in range(int(sys.argv[2])):
    child = os.fork()
    if child == 0:
        opened = open_farm(folder, 'tamsel-pumps.toml')
        stamp, document, k = opened.stamp, opened.document, 0
        while True:
            document['labour']['wage'] = 20 + k % 2
            stamp = save(folder, 'tamsel-pumps.toml', stamp, document)
            k += 1
    time.sleep(0.02 + 0.08 * dice.random())
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    print('killed', flush=True)
    sys.stdin.readline()
"""


def killed_saves(count: int) -> Attacked:
    """Kill savers in the middle: the old file or the new, whole; the next save sweeps."""
    folder = Folder(_farms())
    target, whole = folder.path / FARM, set()
    for wage in (20, 21):
        opened = open_farm(folder, FARM)
        opened.document["labour"]["wage"] = wage
        save(folder, FARM, opened.stamp, opened.document)
        whole.add(target.read_bytes())
    process = subprocess.Popen(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", _SAVER, str(folder.path), str(count), "7"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    with process:
        for _ in process.stdout:
            yield "" if target.read_bytes() in whole else "a torn file"
            process.stdin.write("\n")
            process.stdin.flush()
    opened = open_farm(folder, FARM)
    save(folder, FARM, opened.stamp, opened.document)
    left = [path.name for path in folder.path.glob(".*")]
    if left:
        yield f"left behind: {left}"


def parallel_saves(count: int) -> Attacked:
    """Have four save at once what they opened: one is kept, three are told."""
    folder = Folder(_farms())
    for turn in range(count // 4):
        stamp, gate = open_farm(folder, FARM).stamp, threading.Barrier(4)
        document = open_farm(folder, FARM).document

        def tab(
            wage: int,
            stamp: str = stamp,
            gate: threading.Barrier = gate,
            document: dict[str, Any] = document,
        ) -> bool:
            mine = copy.deepcopy(document)
            mine["labour"]["wage"] = wage
            gate.wait()
            try:
                save(folder, FARM, stamp, mine)
            except ChangedOnDiskError:
                return False
            return True

        with ThreadPoolExecutor(4) as pool:
            saved = list(pool.map(tab, range(20 + 4 * turn, 24 + 4 * turn)))
        kept = open_farm(folder, FARM).document["labour"]["wage"]
        right = sum(saved) == 1 and kept == 20 + 4 * turn + saved.index(True)
        yield from ["" if right else f"{saved} saved, {kept} kept", "", "", ""]


def _run(words: list[Any], **environment: str) -> subprocess.CompletedProcess[bytes]:
    room = int(environment.pop("ROOM", "-1"))

    def narrow() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    return subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-m", "dashboards", *words],
        capture_output=True,
        env={**os.environ, **environment},
        check=False,
        preexec_fn=narrow if room >= 0 else None,
        cwd=SCENARIOS.parent,
    )


def full_disks(count: int) -> Attacked:
    """Write where there is room for some bytes only: status 2, words, nothing left behind."""
    folder = Path(tempfile.mkdtemp(prefix="drumworth-trials-"))
    kept = folder / "kept.html"
    kept.write_bytes(b"mine")
    farm = str(SCENARIOS / FARM)
    jobs = (
        ["new", str(folder / "new.toml")],
        ["present", farm, "--to", str(kept), "--force"],
        ["present", farm, "--to", str(folder / "x.xlsx")],
        ["present", farm, "--to", str(folder / "x.csv")],
    )
    for k, words in zip(range(count), itertools.cycle(jobs), strict=False):
        done = _run(list(words), ROOM=str((0, 1, 100, 1000)[k // len(jobs) % 4]))
        left = sorted(path.name for path in folder.iterdir())
        whole = left == ["kept.html"] and kept.read_bytes() == b"mine"
        told = done.returncode == 2 and done.stderr and b"Traceback" not in done.stderr
        yield (
            "" if whole and told else f"{words[0]}: {done.returncode} {left} {done.stderr[-200:]!r}"
        )
    shutil.rmtree(folder)


def terminals(commands: tuple[str, ...]) -> Attacked:
    """Draw every command's page of every demo farm at every width, and print it in encodings."""
    from stress.trials import _pages

    from dashboards.command import main

    for path, command in itertools.product(sorted(SCENARIOS.glob("*.toml")), commands):
        with _pages() as drawn:
            main([command, str(path), *(["--draws", "256"] if command == "chances" else [])])
        for width in WIDTHS:
            result = [fault for page in drawn for fault in faults(page, (width,))]
            yield f"{command} {path.stem}: {result[0]}" if result else ""
    for command, encoding in itertools.product(commands, ("ascii", "cp1252", "cp437", "utf-8")):
        farm = str(SCENARIOS / "kurrabee-downs.toml")
        wide = _run([command, farm], PYTHONIOENCODING="utf-8")
        done = _run([command, farm], PYTHONIOENCODING=encoding)
        same = not amounts(wide.stdout.decode()) - amounts(
            done.stdout.decode(encoding).replace(" deg ", "°").replace("deg ", "°")
        )
        fine = done.returncode == 0 and not done.stderr and (same or encoding in ("ascii", "cp437"))
        yield "" if fine else f"{command} in {encoding}: {done.stderr[-200:]!r}"


NAMES = {
    "a blank": "my farm.toml",
    "an umlaut": "Gehöft.toml",
    "an apostrophe": "o'hara.toml",
    "an underscore first": "_mine.toml",
    "120 letters": "a" * 120 + ".toml",
    "another script": "ферма.toml",
    "signs": "x & y <1> 100%.toml",
    "capitals": "FARM.TOML",
    "a dash first": "-x.toml",
    "brackets": "[red].toml",
    "two dots": "a..toml",
}


def names() -> Attacked:
    """Offer, open, save, check and decide farms of every kind of name."""
    folder = Folder(_farms())
    for kind, name in NAMES.items():
        path = folder.path / name
        shutil.copyfile(SCENARIOS / FARM, path)
        opened = open_farm(folder, name)
        opened.document["labour"]["wage"] = 33
        save(folder, name, opened.stamp, opened.document)
        offered = name in folder.names()
        done = _run(["check", str(path)])
        fine = offered and done.returncode == 0 and not done.stderr
        yield "" if fine else f"{kind}: offered {offered}, {done.stderr[-200:]!r}"
