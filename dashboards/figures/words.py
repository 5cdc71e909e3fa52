"""Words as charts may show them."""

import textwrap
from html import escape


def label(text: str, wide: int = 28) -> str:
    """Return a farm's own words as a chart may show them: no markup, broken into short lines.

    Parameters
    ----------
    text : str
        A name from a farm file; charts would read a tag in it.
    wide : int
        Characters a line.

    Returns
    -------
    str
    """
    lines = textwrap.wrap(text, wide) or [""]
    return "<br>".join(escape(line, quote=False) for line in lines)
