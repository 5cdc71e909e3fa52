"""Small pieces of HTML: text made safe, headings, tables, lists."""

import html
import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterable, Sequence
from itertools import accumulate

# Longest name shown, in ordinary letters.
NAME = 44


def plain(text: str, most: int = 400) -> str:
    """Return text on one line, without control signs, cut at a length.

    Parameters
    ----------
    text : str
        As a farm file has it.
    most : int
        Longest length, in ordinary letters; a longer text ends in an ellipsis.

    Returns
    -------
    str
        Not yet escaped.
    """
    kept = (" " if unicodedata.category(c) in _UNSEEN else c for c in text[: 8 * most])
    line = " ".join("".join(kept).split())
    reach = list(accumulate(width(sign) for sign in line))
    if not reach or reach[-1] <= most:
        return line
    return line[: bisect_right(reach, most - 1)].rstrip() + "…"


def width(sign: str) -> float:
    """Return about how many ordinary letters wide a sign is printed."""
    if unicodedata.east_asian_width(sign) in "WF" or unicodedata.category(sign) == "So":
        return 2.0
    return 2.0 if sign in "WM@" else 1.3 if sign.isupper() else 1.0


# Control signs, bidirectional overrides among them, lone surrogates, line separators.
_UNSEEN = ("Cc", "Cf", "Cs", "Zl", "Zp")


def safe(text: str, most: int = 400) -> str:
    """Return text escaped, on one line, cut at a length, no figure parted from its minus.

    Parameters
    ----------
    text : str
        As a farm file has it.
    most : int
        Longest length before escaping.

    Returns
    -------
    str
    """
    return _MINUS.sub("\u2212\u2060", html.escape(plain(text, most)))


# A line may break between a minus and the sign of money after it: a word joiner forbids that.
_MINUS = re.compile("\u2212(?=\\S)")


def named(text: str, most: int = NAME) -> str:
    """Return a name set apart, so that its direction does not turn the sentence around it.

    Parameters
    ----------
    text : str
        A name from a farm file.
    most : int
        Longest length.

    Returns
    -------
    str
    """
    return f"<bdi>{safe(text, most)}</bdi>"


def bullets(items: Iterable[str]) -> str:
    """Return a list of items that are markup already."""
    inner = "".join(f"<li>{item}</li>" for item in items)
    return f"<ul>{inner}</ul>" if inner else ""


def table(caption: str, heads: Sequence[str], rows: Iterable[Sequence[str]], kind: str = "") -> str:
    """Return a table with a caption, column heads and row heads; cells are markup already.

    Parameters
    ----------
    caption : str
        What it shows.
    heads : sequence of str
        Column heads, the first over the row heads.
    rows : iterable of sequence of str
        Cells, the first of each the row's head.
    kind : str
        Class of the table.

    Returns
    -------
    str
    """
    top = "".join(f'<th scope="col">{head}</th>' for head in heads)
    body = "".join(
        f'<tr><th scope="row">{first}</th>' + "".join(f"<td>{cell}</td>" for cell in rest) + "</tr>"
        for first, *rest in rows
    )
    return (
        f'<table class="{kind}"><caption>{caption}</caption><thead><tr>{top}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )


def section(key: str, title: str, *parts: str) -> str:
    """Return a section under a heading of its own; nothing where it would be empty."""
    inner = "".join(parts)
    if not inner:
        return ""
    return (
        f'<section class="{key}" aria-labelledby="sheet-{key}"><h2 id="sheet-{key}">{title}</h2>'
        f"{inner}</section>"
    )
