"""How a command prints its answer: one JSON object, or a page for the terminal."""

import codecs
import json
import sys
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from econ.ground.wording import visible

if TYPE_CHECKING:
    # For types alone: a command that prints JSON needs no terminal.
    from rich.console import RenderableType


def print_json(document: Mapping[str, Any]) -> None:
    """Write one JSON object on standard output.

    Parameters
    ----------
    document : mapping
        Plain numbers, text, lists and None.
    """
    # JSON's own escapes stand in for what the output cannot carry.
    narrow = not _carries_everything(sys.stdout.encoding)
    text = json.dumps(document, indent=2, ensure_ascii=narrow, allow_nan=False)
    sys.stdout.write(text + "\n")


def _carries_everything(encoding: str | None) -> bool:
    try:
        return codecs.lookup(encoding or "ascii").name.startswith("utf-")
    except LookupError:
        return False


def print_page(page: "RenderableType") -> None:
    """Write a page on the terminal.

    Parameters
    ----------
    page : renderable
        From a module of `dashboards.terminal`.
    """
    from dashboards.terminal.layout import console

    console().print(page)


def print_line(text: str) -> None:
    """Write a plain line on standard output.

    Parameters
    ----------
    text : str
        Without its line end.
    """
    sys.stdout.write(visible(text) + "\n")
