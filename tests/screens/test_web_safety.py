"""The running server against what another page, or a hand, may send it."""

import hashlib
import json
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from web_client import Client, callbacks, running

from dashboards.web.documents import Folder, open_farm, save, save_as
from dashboards.web.draft import draft_of
from econ.ground.errors import RefusedError, ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
# Thousands of forged calls look at this one: a farm of one machine is soon worked through.
SMALL = "hollowmere.toml"
UPDATE = "/_dash-update-component"
# One value of each JSON type, and some that are nearly right.
FORGED: list[Any] = [
    None, True, False, 0, -1, 1e308, 2**70, "", "x", "../x.toml", "/etc/passwd", "a\x00.toml",
    [], [[]], {}, {"document": {}}, {"document": 1}, {"draft": {"document": []}},
    {"pump_price": "1"}, {"pump_price": 1e9}, {"document": {"scenario": {"units": []}}},
]  # fmt: skip


def fingerprint(folder: Path) -> dict[str, str]:
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    result = tmp_path_factory.mktemp("served") / "farms"
    result.mkdir()
    for name in ("wrenfold.toml", SMALL):
        shutil.copy(SCENARIOS / name, result)
    shutil.copy(SCENARIOS / "wrenfold.toml", result.parent / "outside.toml")
    (result / "way-out.toml").symlink_to(result.parent / "outside.toml")
    return result


@pytest.fixture(scope="module")
def client(folder: Path) -> Iterator[Client]:
    with running(folder) as result:
        yield result


@pytest.fixture(autouse=True)
def _nothing_changes(folder: Path, client: Client) -> Iterator[None]:
    before = fingerprint(folder.parent)
    yield
    assert fingerprint(folder.parent) == before
    assert client.send("GET", "/")[0] == 200


@pytest.mark.parametrize("host", ["example.org", "127.0.0.1", "localhost:1", "", "127.0.0.1:80"])
def test_a_foreign_host_is_refused(client: Client, host: str) -> None:
    assert client.send("GET", "/", Host=host)[0] in (400, 403)
    assert client.send("GET", "/_dash-layout", Host=host)[0] in (400, 403)


def test_localhost_is_answered(client: Client) -> None:
    assert client.send("GET", "/", Host=f"localhost:{client.port}")[0] == 200


@pytest.mark.parametrize("origin", [None, "null", "http://example.org", "https://127.0.0.1"])
def test_a_foreign_or_missing_origin_is_refused(client: Client, origin: str | None) -> None:
    assert client.send("POST", UPDATE, b"{}", Origin=origin)[0] == 403


@pytest.mark.parametrize("kind", [None, "text/plain", "application/x-www-form-urlencoded"])
def test_another_kind_of_body_is_refused(client: Client, kind: str | None) -> None:
    assert client.send("POST", UPDATE, b"{}", Content_Type=kind)[0] == 415


def test_a_large_body_is_refused(client: Client) -> None:
    assert client.send("POST", UPDATE, b" " * 2_000_000)[0] == 413
    assert client.send("POST", UPDATE, b" " * 1_500_000)[0] == 413


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
@pytest.mark.parametrize("path", ["/", "/farm", "/assets/drumworth.css", "/_mcp"])
def test_nothing_else_is_written_to(client: Client, method: str, path: str) -> None:
    assert 400 <= client.send(method, path, b"{}")[0] < 500


@pytest.mark.parametrize(
    "path",
    [
        "/assets/../serve.py",
        "/assets/%2e%2e/serve.py",
        "/assets/..%2fserve.py",
        "/_dash-component-suites/dash/../../etc/passwd",
        "/assets//etc/passwd",
    ],
)
def test_no_path_leads_out_of_the_assets(client: Client, path: str) -> None:
    _, _, text = client.send("GET", path)
    assert b"waitress" not in text
    assert b"root:" not in text


@pytest.mark.parametrize("text", [b"", b"{", b"[]", b"1", b'"x"', b"null", b"[" * 100_000])
def test_a_body_that_is_no_callback_is_refused(client: Client, text: bytes) -> None:
    assert 400 <= client.send("POST", UPDATE, text)[0] < 500


@pytest.mark.parametrize("field", ["output", "outputs", "inputs", "state", "changedPropIds"])
def test_a_callback_with_any_part_forged_is_refused(client: Client, field: str) -> None:
    row = callbacks(client)[0]
    whole = {
        "output": row["output"],
        "outputs": {"id": "x", "property": "y"},
        "inputs": [],
        "state": [],
        "changedPropIds": [],
    }
    for value in FORGED:
        body = json.dumps({**whole, field: value}).encode()
        assert 200 <= client.send("POST", UPDATE, body)[0] < 500, (field, value)


def test_forged_values_of_every_type_are_refused_or_answered(client: Client) -> None:
    """Every callback, every argument, every JSON type: no fault of the server's, no file."""
    good = draft_of(open_farm(Folder(SCENARIOS), SMALL), 1)
    broken = []
    for row in callbacks(client):
        arguments = [f"{a['id']}.{a['property']}" for a in (*row["inputs"], *row["state"])]
        sound = {
            name: good
            if name.startswith("draft.")
            else {"draft": good, "levers": None}
            if name.startswith("settled.")
            else 1
            if name.endswith("n_clicks")
            else None
            for name in arguments
        }
        for name in arguments:
            for value in FORGED[::2]:
                status, _ = client.call(row, {**sound, name: value}, name)
                if status >= 500:
                    broken.append((row["output"], name, value))
    assert broken == []


def test_forged_parts_of_a_draft_are_refused_or_answered(client: Client) -> None:
    """A draft whose tables, entries and points are of every other type."""
    opened = open_farm(Folder(SCENARIOS), SMALL)
    rows = [row for row in callbacks(client) if any(a["id"] == "draft" for a in row["inputs"])]
    rows += [row for row in callbacks(client) if row["output"].startswith("form.")]
    broken = []
    for table in opened.document:
        for value in (None, True, -1, 2**70, "x", [], [[]], {}):
            draft = draft_of(opened, 1)
            for document in (
                {**opened.document, table: value},
                {**opened.document, table: [value]},
                {**opened.document, table: {"price": value, "wage": value, "wear": value}},
            ):
                draft["document"] = document
                for row in rows:
                    sound = {"draft.data": draft, "section.value": table, "entry.value": "0"}
                    status, _ = client.call(row, sound)
                    if status >= 500:
                        broken.append((row["output"], table, document[table]))
    assert broken == []


@pytest.mark.parametrize(
    "name",
    ["../outside.toml", "..\\outside.toml", "/etc/hosts", "outside", "a/b.toml", ".hidden.toml",
     "way-out.toml", "x\n.toml", "x.toml\n", "x\x1b.toml", "", None, 3, ["wrenfold.toml"],
     "a" * 300 + ".toml", "a\ud800.toml", "..toml", "con .toml/../x.toml"],
)  # fmt: skip
def test_a_name_that_leads_out_is_refused(client: Client, folder: Path, name: Any) -> None:
    served = Folder(folder)
    with pytest.raises(RefusedError):
        open_farm(served, name)
    draft = draft_of(open_farm(served, "wrenfold.toml"), 1)
    with pytest.raises(RefusedError):
        save(served, name, draft["stamp"], draft["document"], over=True)
    with pytest.raises(RefusedError):
        save_as(served, name, "wrenfold.toml", {}, draft["document"])
    rows = [row for row in callbacks(client) if any(i["id"] == "save" for i in row["inputs"])]
    forged = {"draft.data": {**draft, "name": name}, "save.n_clicks": 1, "save-name.value": name}
    status, _ = client.call(rows[0], forged, "save.n_clicks")
    assert status < 500


def test_headers_keep_the_page_to_itself(client: Client) -> None:
    _, headers, text = client.send("GET", "/")
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe-eval" not in policy
    assert "frame-ancestors 'none'" in policy
    assert headers["x-content-type-options"] == "nosniff"
    assert "server" not in headers
    assert b"http://" not in text.replace(client.origin.encode(), b"")
    assert b"https://" not in text


def test_a_farm_with_faults_is_not_written(folder: Path) -> None:
    served = Folder(folder)
    opened = open_farm(served, "wrenfold.toml")
    broken = {**opened.document, "labour": {"wage": "dear"}}
    with pytest.raises(ScenarioError, match="wage"):
        save(served, "wrenfold.toml", opened.stamp, broken)


@pytest.mark.slow
def test_a_kill_while_saving_leaves_a_whole_file(tmp_path: Path) -> None:
    """Kill -9 a hundred times in the middle of saving: the old file or the new, whole."""
    text = (SCENARIOS / "tamsel-pumps.toml").read_text(encoding="utf-8")
    target = tmp_path / "farm.toml"
    target.write_text(text, encoding="utf-8")
    folder = Folder(tmp_path)
    opened = open_farm(folder, "farm.toml")
    whole = set()
    for wage in (20, 21):
        stamp = open_farm(folder, "farm.toml").stamp
        opened.document["labour"]["wage"] = wage
        save(folder, "farm.toml", stamp, opened.document)
        whole.add(target.read_bytes())
    assert len(whole) == 2
    # One start of Python serves a fork for each kill.
    assert _killed_forks(folder, target, whole, 100) == 100
    # What the last killed save left beside the file goes with the next one.
    opened = open_farm(folder, "farm.toml")
    save(folder, "farm.toml", opened.stamp, opened.document)
    assert list(tmp_path.iterdir()) == [target]


def _killed_forks(folder: Folder, target: Path, whole: set[bytes], count: int) -> int:
    code = (
        "import os, signal, sys, time, random\n"
        "from pathlib import Path\n"
        "from dashboards.web.documents import Folder, open_farm, save\n"
        "folder, random_ = Folder(Path(sys.argv[1])), random.Random(7)\n"
        "for n in range(int(sys.argv[2])):\n"
        "    child = os.fork()\n"
        "    if child == 0:\n"
        "        opened = open_farm(folder, 'farm.toml')\n"
        "        stamp, document = opened.stamp, opened.document\n"
        "        k = 0\n"
        "        while True:\n"
        "            document['labour']['wage'] = 20 + k % 2\n"
        "            stamp = save(folder, 'farm.toml', stamp, document)\n"
        "            k += 1\n"
        "    time.sleep(0.02 + 0.08 * random_.random())\n"
        "    os.kill(child, signal.SIGKILL)\n"
        "    os.waitpid(child, 0)\n"
        "    print('killed', flush=True)\n"
        "    sys.stdin.readline()\n"
    )
    process = subprocess.Popen(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", code, str(folder.path), str(count)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    killed = 0
    with process:
        for _ in process.stdout:
            assert target.read_bytes() in whole
            killed += 1
            process.stdin.write("\n")
            process.stdin.flush()
    return killed


def test_ctrl_c_closes_cleanly(tmp_path: Path) -> None:
    code = (
        "import argparse, sys\n"
        "from dashboards.commands.dashboard import add\n"
        "parser = argparse.ArgumentParser()\n"
        "add(parser.add_subparsers())\n"
        "found = parser.parse_args(['dashboard', sys.argv[1], '--no-browser'])\n"
        "sys.exit(found.run(found))\n"
    )
    process = subprocess.Popen(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", code, str(tmp_path)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # A shell's background jobs ignore Ctrl-C, and hand that on.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    assert process.stdout is not None
    assert "127.0.0.1" in process.stdout.readline()
    time.sleep(0.2)
    process.send_signal(signal.SIGINT)
    _, said = process.communicate(timeout=20)
    assert process.returncode == 0
    assert said == ""
