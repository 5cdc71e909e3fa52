"""The page as PDF, through the Chromium that is installed; it asks nothing of any network."""

import os
import shutil
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

from dashboards.output import OutputError
from dashboards.page import watched

_NAMES = ("chromium", "chromium-browser")
_PATIENCE = 120
_PREFIX = "drumworth-pdf-"
# A browser looks for updates, models and lists by itself; here every name is refused and every
# connection sent to a proxy that is not there.
_ALONE = (
    "--host-resolver-rules=MAP * ~NOTFOUND",
    "--proxy-server=127.0.0.1:9",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-domain-reliability",
    "--disable-extensions",
    "--disable-quic",
    "--disable-sync",
    "--no-first-run",
    "--no-pings",
    "--disable-features=OptimizationHints,MediaRouter,Translate,AutofillServerCommunication,"
    "CertificateTransparencyComponentUpdater,InterestFeedContentSuggestions",
)


def browser() -> str:
    """Find Chromium.

    Returns
    -------
    str
        Its path.

    Raises
    ------
    OutputError
        If there is none.
    """
    for name in _NAMES:
        result = shutil.which(name)
        if result:
            return result
    message = (
        "Chromium is needed to make a PDF and is not installed (Debian: apt install chromium);"
        " or write FILE.html and print it from any browser"
    )
    raise OutputError(message)


def _cut_off() -> list[str]:
    """Return what to put before a command so that it has no network at all, where that can be."""
    program = shutil.which("unshare") if sys.platform == "linux" else None
    if program is None:
        return []
    words = [program, "--map-root-user", "--net"]
    tried = subprocess.run([*words, "true"], capture_output=True, check=False)  # noqa: S603
    return [] if tried.returncode else words


def _runs(process: int) -> bool:
    """Say whether a process still runs."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:  # another user's, or a system that does not tell
        return True
    return True


def sweep() -> None:
    """Remove the folders of runs that were ended before they could do so themselves."""
    if os.name != "posix":
        return
    for left in Path(tempfile.gettempdir()).glob(f"{_PREFIX}*"):
        owner = left.name.removeprefix(_PREFIX).partition("-")[0]
        if owner.isdecimal() and not _runs(int(owner)):
            shutil.rmtree(left, ignore_errors=True)


def _printed(command: list[str], folder: Path, target: Path) -> tuple[bytes, str]:
    """Run a command that ends, with all it starts and its folder, when this process does.

    Parameters
    ----------
    command : list of str
        Program and arguments.
    folder : Path
        Gone at the end, whatever happens.
    target : Path
        What the command is to write.

    Returns
    -------
    (bytes, str)
        What it wrote, nothing if it wrote none, and what it said.
    """
    said = folder / "said"
    script = [sys.executable, "-I", str(Path(watched.__file__)), str(folder)]
    with (
        said.open("wb") as stream,
        subprocess.Popen(  # noqa: S603
            [*script, *command], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=stream
        ) as process,
    ):
        try:
            _wait(process, command)
            made = target.read_bytes() if target.is_file() else b""
            return made, said.read_text(encoding="utf-8", errors="replace")
        finally:
            if process.stdin is not None:
                process.stdin.close()  # on this the watcher ends the browser and the folder
            process.wait()


def _wait(process: "subprocess.Popen[bytes]", command: list[str]) -> None:
    """Wait for the watcher's line that the program has ended."""
    ended = threading.Event()

    def listen() -> None:
        if process.stdout is not None:
            process.stdout.readline()
        ended.set()

    threading.Thread(target=listen, daemon=True).start()
    if not ended.wait(_PATIENCE):
        raise subprocess.TimeoutExpired(command, _PATIENCE)


def pdf(html: str) -> bytes:
    """Print a page.

    Parameters
    ----------
    html : str
        Self-contained page.

    Returns
    -------
    bytes

    Raises
    ------
    OutputError
        If Chromium is missing or fails.
    """
    program = browser()
    sweep()
    try:
        folder = Path(tempfile.mkdtemp(prefix=f"{_PREFIX}{os.getpid()}-"))
        source, target = folder / "page.html", folder / "page.pdf"
        try:
            source.write_text(html, encoding="utf-8")
            # No sandbox inside containers and for root; the page runs no script, loads nothing.
            command = [
                *_cut_off(),
                program,
                "--headless",
                "--disable-gpu",
                "--no-sandbox",
                *_ALONE,
                f"--user-data-dir={folder / 'profile'}",
                "--no-pdf-header-footer",
                "--virtual-time-budget=5000",
                f"--print-to-pdf={target}",
                source.as_uri(),
            ]
            made, said = _printed(command, folder, target)
        finally:
            shutil.rmtree(folder, ignore_errors=True)
    except subprocess.TimeoutExpired as error:
        message = f"Chromium made no PDF within {_PATIENCE} seconds"
        raise OutputError(message) from error
    except OSError as error:
        message = f"the PDF cannot be made: {error.strerror or error}"
        raise OutputError(message) from error
    if not made:
        words = said.strip().splitlines()
        message = f"Chromium made no PDF: {words[-1] if words else 'it said nothing'}"
        raise OutputError(message)
    return made
