"""Standard output and error as they are found: of any encoding, closed, full, or read no more."""

import codecs
import os
import sys
import unicodedata
from typing import Any, TextIO

# What people write where a sign is missing; all else is written as an escape.
_PLAIN = {
    "°": " deg ",
    "−": "-",
    "–": "-",
    "—": "-",
    "×": "x",
    "÷": "/",
    "≤": "<=",
    "≥": ">=",
    "≈": "about ",
    "…": "...",
    "·": ".",
    "•": "-",
    "€": "EUR ",
    "£": "GBP ",
    "µ": "u",
    "²": "2",
    "³": "3",
    "½": "1/2",
    "“": '"',
    "”": '"',
    "‘": "'",
    "’": "'",
    "→": "->",
    "\u00a0": " ",
    "\u202f": " ",
    "█": "#",
    "▏": "|",
    "─": "-",
    "│": "|",
}


def _spelled(error: UnicodeError) -> tuple[str, int]:
    """Spell out signs that a stream's encoding lacks."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end]
    return "".join(_PLAIN.get(sign) or _letter(sign) for sign in signs), error.end


def _letter(sign: str) -> str:
    """Return a letter without its accents, or an escape where there is none."""
    plain = unicodedata.normalize("NFKD", sign).encode("ascii", "ignore").decode("ascii")
    return plain or sign.encode("unicode_escape").decode("ascii")


def open_streams() -> None:
    """Have both streams spell out what their encoding lacks, instead of failing on it."""
    codecs.register_error("spelled", _spelled)
    for stream in (sys.stdout, sys.stderr):
        reconfigure: Any = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="spelled")


def output() -> TextIO | None:
    """Return standard output; None where the program was started with it closed.

    Returns
    -------
    TextIO or None
    """
    return sys.stdout


def flush_output() -> None:
    """Write out what waits.

    Raises
    ------
    OSError
        If standard output is full, closed or read no more.
    """
    stream = output()
    if stream is not None:
        stream.flush()


def drop_output() -> None:
    """Have what still waits for standard output go nowhere, so that leaving raises nothing."""
    stream = output()
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno() if stream is not None else 1)
        os.close(nowhere)
    except (OSError, ValueError):
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
