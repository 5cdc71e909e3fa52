"""Charts as inline SVG: real text, a title and a description, legible without colour."""

import html
from collections.abc import Sequence

_WIDTH = 360.0


def _svg(key: str, title: str, about: str, height: float, inner: str) -> str:
    """Wrap a drawing with its words."""
    return (
        f'<svg viewBox="0 0 {_WIDTH:g} {height:g}" role="img"'
        f' aria-labelledby="{key}-title {key}-about" xmlns="http://www.w3.org/2000/svg">'
        f'<title id="{key}-title">{html.escape(title)}</title>'
        f'<desc id="{key}-about">{html.escape(about)}</desc>{inner}</svg>'
    )


def _text(x: float, y: float, text: str, anchor: str = "start", kind: str = "") -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" class="{kind}">'
        f"{html.escape(text)}</text>"
    )


def _line(x1: float, y1: float, x2: float, y2: float, kind: str) -> str:
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" class="{kind}"/>'


def columns(key: str, title: str, names: Sequence[str], values: Sequence[float]) -> str:
    """Draw twelve standing bars with their value above and their name below.

    Parameters
    ----------
    key : str
        Unique on the page.
    title : str
        Of the chart.
    names : sequence of str
        Below the bars.
    values : sequence of float
        None below zero.

    Returns
    -------
    str
    """
    height, base = 66.0, 52.0
    most = max(*values, 1e-9)
    step = _WIDTH / len(values)
    parts = [_line(0.0, base, _WIDTH, base, "axis")]
    for k, (name, value) in enumerate(zip(names, values, strict=True)):
        tall = 36.0 * value / most
        parts.append(
            f'<rect x="{step * k + 4.0:.1f}" y="{base - tall:.1f}" width="{step - 8.0:.1f}"'
            f' height="{tall:.1f}" class="bar"/>'
        )
        middle = step * (k + 0.5)
        parts.append(_text(middle, base - tall - 3.0, f"{value:,.0f}", "middle", "value"))
        parts.append(_text(middle, height - 3.0, name, "middle"))
    about = "; ".join(f"{n} {v:,.1f}" for n, v in zip(names, values, strict=True))
    return _svg(key, title, about, height, "".join(parts))
