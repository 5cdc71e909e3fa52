"""What a narrow terminal must not lose: every amount and every word of a page."""

import io
import re
from collections import Counter

from rich.console import Console, RenderableType

WIDTHS = (30, 40, 60, 80, 120, 200)
# A figure with its sign, money before it and unit behind it, as far as no blank parts them.
_AMOUNT = re.compile(r"[^\s\d()\[\]]*\d[^\s()\[\]]*")


def drawn(page: RenderableType, width: int) -> str:
    """Draw a page without colours."""
    screen = Console(
        file=io.StringIO(),
        width=width,
        highlight=False,
        markup=False,
        emoji=False,
        color_system=None,
    )
    screen.print(page)
    return str(screen.file.getvalue())


def _plain(word: str) -> str:
    # Heads of columns get a colon when they are stacked.
    return word.strip(".,;:")


def amounts(text: str) -> Counter[str]:
    """Count the amounts of a page."""
    return Counter(_plain(word) for word in _AMOUNT.findall(text))


def words(text: str) -> set[str]:
    """Return the words of a page."""
    return {_plain(word) for word in text.split()}


def faults(page: RenderableType, widths: tuple[int, ...] = WIDTHS) -> list[str]:
    """Compare a page at each width with the page on a sheet as wide as it likes.

    Parameters
    ----------
    page : renderable
        From a module of `dashboards.terminal`.
    widths : tuple of int
        Columns.

    Returns
    -------
    list of str
        What is missing, cut or wider than the terminal; words longer than 24 signs are left out,
        for they wrap.
    """
    whole = drawn(page, 2000)
    long = [word for word in words(whole) if len(word) > 24]
    result = []
    for width in widths:
        text = drawn(page, width)
        if too_wide := max((len(line) for line in text.splitlines()), default=0) - width > 0:
            result.append(f"{width}: {too_wide} columns too wide")
        fewer = amounts(whole) - amounts(text)
        result += [f"{width}: missing {amount}" for amount in fewer if len(amount) <= 24]
        strange = words(text) - words(whole)
        result += [
            f"{width}: cut {word}"
            for word in sorted(strange)
            if not any(word in one for one in long)
        ]
    return result
