"""The page as PDF, through the Chromium that is installed."""

import shutil
import subprocess
import tempfile
from pathlib import Path

from dashboards.output import OutputError

_NAMES = ("chromium", "chromium-browser")
_PATIENCE = 120


def browser() -> str:
    """Give the path of Chromium.

    Returns
    -------
    str

    Raises
    ------
    OutputError
        If there is none.
    """
    for name in _NAMES:
        found = shutil.which(name)
        if found:
            return found
    message = (
        "Chromium is needed to make a PDF and is not installed (Debian: apt install chromium);"
        " or write FILE.html and print it from any browser"
    )
    raise OutputError(message)


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
    try:
        with tempfile.TemporaryDirectory(prefix="drumworth-") as folder:
            source, target = Path(folder, "page.html"), Path(folder, "page.pdf")
            source.write_text(html, encoding="utf-8")
            # No sandbox inside containers and for root; the page runs no script and loads nothing.
            command = [program, "--headless", "--disable-gpu", "--no-sandbox",
                       f"--user-data-dir={folder}/profile", "--no-pdf-header-footer",
                       "--virtual-time-budget=5000", f"--print-to-pdf={target}",
                       source.as_uri()]  # fmt: skip
            done = subprocess.run(command, capture_output=True, timeout=_PATIENCE, check=False)  # noqa: S603
            if not target.is_file() or not target.stat().st_size:
                words = done.stderr.decode(errors="replace").strip().splitlines()
                message = f"Chromium made no PDF: {words[-1] if words else 'it said nothing'}"
                raise OutputError(message)
            return target.read_bytes()
    except subprocess.TimeoutExpired as error:
        message = f"Chromium made no PDF within {_PATIENCE} seconds"
        raise OutputError(message) from error
    except OSError as error:
        message = f"the PDF cannot be made: {error.strerror or error}"
        raise OutputError(message) from error
