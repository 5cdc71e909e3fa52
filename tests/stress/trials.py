"""One trial of each kind: a file put under a command or a page, and what was wrong with it."""

import contextlib
import functools
import io
import json
import os
import re
import tempfile
import traceback
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

from cut import WIDTHS, faults
from stress.random_files import file_of
from web_client import Client, callbacks

_NO_NUMBER = re.compile(r"(?<![A-Za-z])(nan|NaN|inf|-inf|Infinity)(?![A-Za-z])")
_TAGS = re.compile(r"<(style|script|title)\b.*?</\1>|<[^>]*>", re.DOTALL)


@dataclass(frozen=True)
class Trial:
    """What became of one file."""

    number: int
    kind: str
    command: str
    accepted: bool
    fault: str
    """Empty where nothing was wrong."""


def _last(error: BaseException) -> str:
    """Name an error and where it came from."""
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "/tests/" not in frame.filename]
    place = ours[-1] if ours else frames[-1]
    name = Path(place.filename).name
    return f"{type(error).__name__}: {error} ({name}:{place.lineno} {place.name})"


@contextlib.contextmanager
def _pages() -> Iterator[list[Any]]:
    """Catch what commands would draw on a terminal."""
    from dashboards import commands

    drawn: list[Any] = []
    kept = {}
    for command in commands.COMMANDS:
        if hasattr(command, "print_page"):
            kept[command] = command.print_page
            command.print_page = drawn.append  # type: ignore[attr-defined]
    try:
        yield drawn
    finally:
        for command, function in kept.items():
            command.print_page = function  # type: ignore[attr-defined]


def _command(path: Path, words: tuple[str, ...], dice: Random) -> tuple[bool, str]:
    """Run a command on a file in this process, warnings being errors."""
    from dashboards.command import main

    said, told = io.StringIO(), io.StringIO()
    with (
        warnings.catch_warnings(),
        contextlib.redirect_stdout(said),
        contextlib.redirect_stderr(told),
        _pages() as drawn,
    ):
        warnings.simplefilter("error")
        status = main([words[0], str(path), *words[1:]])
    if status not in (0, 2):
        return False, f"status {status}"
    if status == 2:
        # A folder's table says itself what was refused.
        silent = not told.getvalue().strip() and not (path.is_dir() and drawn)
        return False, "refused without a word" if silent else ""
    text = said.getvalue()
    for page in drawn:
        width = dice.choice(WIDTHS)
        if result := faults(page, (width,)):
            return True, f"cut at {result[0]}"
        from cut import drawn as sheet

        text += sheet(page, 200)
    return True, _unnumbered(text)


def _unnumbered(text: str) -> str:
    result = _NO_NUMBER.search(text)
    return (
        "" if result is None else f"no number: {text[max(0, result.start() - 40) : result.end()]}"
    )


def _beside_itself(path: Path, words: tuple[str, ...], dice: Random) -> tuple[bool, str]:
    """Set a farm beside itself, the least that can be compared."""
    return _command(path, (words[0], str(path), *words[1:]), dice)


_LOG = """id,date,what,which,volume [gal],left [gal],hours,money
1,2025-03-02,cleaned,first batch,50,46,1.5,2
2,2025-03-09,cleaned,second batch,50,41,2,
3,2025-03-10,dipped,raw,20,,,
4,2025-03-11,dipped,clean,80,,,
5,2025-03-12,tested,raw,,,,12
"""


def _logged(path: Path, words: tuple[str, ...], dice: Random) -> tuple[bool, str]:
    """Set a short log beside a farm; its cleaning and its stores name no entry of the file."""
    log = path.with_suffix(".csv")
    log.write_text(_LOG, encoding="utf-8")
    return _command(path, (words[0], str(log), *words[1:]), dice)


def _alone(path: Path, words: tuple[str, ...], dice: Random) -> tuple[bool, str]:
    """Run a command on a folder that holds the farm alone; its table names what was refused."""
    folder = path.with_suffix("")
    folder.mkdir(exist_ok=True)
    path.rename(folder / "farm.toml")
    return _command(folder, words, dice)


def _present(path: Path, words: tuple[str, ...], dice: Random) -> tuple[bool, str]:
    """Write a file and look into it."""
    target = path.with_suffix(words[1])
    accepted, fault = _command(path, (words[0], "--to", str(target), *words[2:]), dice)
    if accepted and not fault and words[1] in (".html", ".csv"):
        fault = _unnumbered(_TAGS.sub(" ", target.read_text(encoding="utf-8")))
    target.unlink(missing_ok=True)
    return accepted, fault


class _Within(Client):
    """A client of an app in this process, whose failures come through as they are."""

    def __init__(self, folder: Path, *, guarded: bool = False) -> None:
        from dashboards.web.app import create_app

        super().__init__("http://127.0.0.1:8050")
        app = create_app(folder)
        app.server.config["DRUMWORTH_HOSTS"] = ("127.0.0.1:8050",)
        if not guarded:
            app.server.error_handler_spec[None].clear()
            app.server.testing = True
        self._client = app.server.test_client()

    def send(
        self, method: str, path: str, body: bytes | None = None, **headers: str | None
    ) -> tuple[int, dict[str, str], bytes]:
        sent = {"Host": "127.0.0.1:8050", "Origin": "http://127.0.0.1:8050"}
        answer = self._client.open(
            path, method=method, data=body, headers=sent, content_type="application/json"
        )
        return answer.status_code, dict(answer.headers), answer.data


@functools.cache
def _within(folder: Path) -> tuple[_Within, list[dict[str, Any]]]:
    client = _Within(folder)
    rows = [
        row
        for row in callbacks(client)
        if any(str(one["id"]) in ("draft", "settled") for one in row["inputs"])
        or str(row["output"]).startswith(("form.", "plan-body.", "compare-body."))
    ]
    return client, rows


def _page(path: Path, words: tuple[str, ...], dice: Random) -> tuple[bool, str]:
    """Hand a file to all that pages work out of a farm."""
    from dashboards.web.documents import Folder, open_farm
    from dashboards.web.draft import draft_of
    from econ.answers.turned import SHOWN_LEVERS

    with warnings.catch_warnings():
        warnings.simplefilter("error")
        client, rows = _within(path.parent)
        opened = open_farm(Folder(path.parent), path.name)
        faulty = not _sound(opened.document)
        draft = draft_of(opened, 1)
        values = {
            "draft.data": draft,
            "settled.data": {"draft": draft, "levers": None},
            "section.value": dice.choice(["machines", "oils", "prices", "finance"]),
            "entry.value": "0",
            "revision.data": 1,
            "plan-search.n_clicks": 1,
            "compare-first.value": path.name,
        }
        values |= {
            f"{one['id']}.id": [
                {
                    "id": {"type": kind, "path": key},
                    "property": "id",
                    "value": {"type": kind, "path": key},
                }
                for key in SHOWN_LEVERS
            ]
            for row in rows
            for one in row["state"]
            for kind in ("lever-says", "thinner-lever-says")
            if f'"{kind}"' in str(one["id"])
        }
        many = {
            kind: [{"type": kind, "path": key} for key in SHOWN_LEVERS]
            for kind in ("lever-says", "thinner-lever-says")
        }
        for row in rows:
            with contextlib.suppress(Refused()):
                status, text = client.call(row, values, many=many)
                if status >= 400:
                    return False, f"page: {status} from {row['output'][:60]}"
                # A fault repeats what stands in the file, be it no number.
                read = "" if faulty else _TAGS.sub(" ", text.decode())
                if result := _unnumbered(read):
                    return True, f"page {row['output'][:40]}: {result}"
    return not faulty, ""


def _sound(document: dict[str, Any]) -> bool:
    from econ.farm.files import from_document
    from econ.farm.rewriting import typed
    from econ.ground.errors import ScenarioError

    try:
        from_document(typed(document), "farm.toml")
    except ScenarioError:
        return False
    return True


def Refused() -> type[Exception]:  # noqa: N802, reads as the name it stands for
    from dashboards.web.documents import RefusedError

    return RefusedError


Run = Callable[[Path, tuple[str, ...], Random], tuple[bool, str]]
COMMANDS: tuple[tuple[str, Run, tuple[str, ...]], ...] = (
    ("decide", _command, ("decide",)),
    ("thinners", _command, ("thinners",)),
    ("oils", _command, ("oils",)),
    ("chances", _command, ("chances", "--draws", "128")),
    ("check", _command, ("check",)),
    ("present .html", _present, ("present", ".html", "--full")),
    ("decide --json", _command, ("decide", "--json")),
    ("thinners --json", _command, ("thinners", "--json")),
    ("pages", _page, ()),
    ("present .csv", _present, ("present", ".csv")),
    ("present .xlsx", _present, ("present", ".xlsx")),
    ("plan", _command, ("plan",)),
    ("compare", _beside_itself, ("compare",)),
    ("records", _logged, ("records",)),
    ("cards --json", _command, ("cards", "--json")),
    ("cards .html", _present, ("cards", ".html")),
    ("chances --json", _command, ("chances", "--draws", "128", "--json")),
    ("plan --json", _command, ("plan", "--time", "free", "--json")),
    ("compare --json", _beside_itself, ("compare", "--json")),
    ("records --json", _logged, ("records", "--json")),
    ("decide on a folder", _alone, ("decide",)),
)


def trial(number: int) -> Trial:
    """Put one file under one command.

    Parameters
    ----------
    number : int
        Of the file, and thereby of the command.

    Returns
    -------
    Trial
    """
    kind, text = file_of(number)
    name, run, words = COMMANDS[number % len(COMMANDS)]
    folder = _folder()
    path = folder / f"farm-{os.getpid()}.toml"
    path.write_bytes(text.encode("utf-8", errors="surrogateescape"))
    try:
        accepted, fault = run(path, words, Random(number))  # noqa: S311, nothing secret
    except (Exception, SystemExit) as error:
        accepted, fault = True, _last(error)
    return Trial(number, kind, name, accepted, fault)


@functools.cache
def _folder() -> Path:
    return Path(tempfile.mkdtemp(prefix="drumworth-trials-"))


def as_json(result: Trial) -> str:
    return json.dumps(result.__dict__)
