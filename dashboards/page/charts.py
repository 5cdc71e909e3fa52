"""Charts as inline SVG: real text, a title and a description, legible without colour."""

import html
from collections.abc import Sequence
from dataclasses import dataclass

_WIDTH = 360.0
# Room for labels beside bars, in the drawing's units.
_LABELS = 112.0
_VALUES = 58.0


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


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: what it is called, how long, and its value as people read it."""

    label: str
    value: float
    shown: str
    strong: bool = False


def bars(key: str, title: str, rows: Sequence[Bar]) -> str:
    """Draw lying bars, names at their left and values at their right.

    Parameters
    ----------
    key : str
        Unique on the page.
    title : str
        Of the chart.
    rows : sequence of Bar
        From the top down; a strong one is drawn outlined, with a line down to compare with.

    Returns
    -------
    str
    """
    step, height = 19.5, 19.5 * len(rows) + 3.0
    least = min(0.0, *(row.value for row in rows))
    most = max(0.0, *(row.value for row in rows))
    scale = (_WIDTH - _LABELS - _VALUES) / ((most - least) or 1.0)

    def place(value: float) -> float:
        return _LABELS + (value - least) * scale

    parts, values = [], []
    for k, row in enumerate(rows):
        y, start, end = step * k + 2.0, *sorted((place(0.0), place(row.value)))
        kind = "bar strong" if row.strong else "bar"
        parts.append(_text(_LABELS - 5.0, y + 12.0, row.label, "end"))
        parts.append(
            f'<rect x="{start:.1f}" y="{y:.1f}" width="{max(end - start, 0.5):.1f}" height="16"'
            f' class="{kind}"/>'
        )
        values.append(_text(end + 4.0, y + 12.0, row.shown, "start", "value"))
        if row.strong:
            parts.append(_line(place(row.value), 0.0, place(row.value), height, "mark"))
    parts += [_line(place(0.0), 0.0, place(0.0), height, "axis"), *values]
    about = "; ".join(f"{row.label} {row.shown}" for row in rows)
    return _svg(key, title, about, height, "".join(parts))


@dataclass(frozen=True, slots=True)
class Curve:
    """One line over the years, and the band around it where there is one."""

    label: str
    values: Sequence[float]
    shown: str
    """Its last value as people read it."""
    dashed: bool = False
    band: Sequence[tuple[float, float]] = ()


def _path(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _apart(wanted: Sequence[float], least: float, room: tuple[float, float]) -> list[float]:
    """Move labels apart so that none covers another, inside the room there is."""
    order = sorted(range(len(wanted)), key=lambda k: wanted[k])
    result = list(wanted)
    floor = room[0]
    for k in order:
        result[k] = floor = max(result[k], floor)
        floor += least
    over = max(0.0, max(result) - room[1])
    return [y - over for y in result]


def curves(key: str, title: str, rows: Sequence[Curve], ends: tuple[str, str, str]) -> str:
    """Draw lines over the years, each named at its end.

    Parameters
    ----------
    key : str
        Unique on the page.
    title : str
        Of the chart.
    rows : sequence of Curve
        All over the same years, 0 first.
    ends : (str, str, str)
        Highest, zero and lowest value of the scale as people read them.

    Returns
    -------
    str
    """
    height, top, bottom, left = 120.0, 8.0, 102.0, 46.0
    right = _WIDTH - 92.0
    seen = [v for row in rows for v in (*row.values, *(v for pair in row.band for v in pair))]
    low, high = min(0.0, *seen), max(0.0, *seen)
    years = len(rows[0].values) - 1

    def place(year: float, value: float) -> tuple[float, float]:
        share = (value - low) / ((high - low) or 1.0)
        return left + (right - left) * year / years, bottom - (bottom - top) * share

    parts = []
    for row in rows:
        if row.band:
            up = [place(y, pair[1]) for y, pair in enumerate(row.band)]
            down = [place(y, pair[0]) for y, pair in enumerate(row.band)]
            parts.append(f'<polygon points="{_path([*up, *reversed(down)])}" class="band"/>')
    zero = place(0, 0.0)[1]
    parts.append(_line(left, zero, right, zero, "axis"))
    marks = [(zero, ends[1])]
    marks += [(top, ends[0])] if high > 0.0 else []
    marks += [(bottom, ends[2])] if low < 0.0 else []
    placed: list[float] = []
    for y, text in marks:
        if all(abs(y - other) > 10.0 for other in placed):
            parts.append(_text(left - 4.0, y + 4.0, text, "end"))
            placed.append(y)
    last = [place(years, row.values[-1])[1] for row in rows]
    for row, y in zip(rows, _apart(last, 24.0, (top + 4.0, bottom - 8.0)), strict=True):
        points = [place(year, value) for year, value in enumerate(row.values)]
        kind = "curve dashed" if row.dashed else "curve"
        parts.append(f'<polyline points="{_path(points)}" class="{kind}"/>')
        parts.append(_text(right + 5.0, y + 2.0, row.label))
        parts.append(_text(right + 5.0, y + 13.0, row.shown, "start", "value"))
    parts += [
        _text(place(year, 0.0)[0], height - 4.0, str(year), "middle")
        for year in range(0, years + 1, max(1, -(-years // 8)))
    ]
    about = "; ".join(f"{row.label}: {row.shown} after {years} years" for row in rows)
    return _svg(key, title, about, height, "".join(parts))


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
