"""Drawings of the first screen as SVG: real text, a name and a description, no script.

One drawing serves the pages and the printed sheet; their style sheets give it its colours.
Lengths across are shares of the width, so that a drawing fits any column.
"""

import html
from collections.abc import Sequence

from econ.answers.chance_keys import PastPrices
from econ.answers.first_screen import Ahead, Gallon, MonthHours, Price
from econ.ground.labels import MONTHS
from econ.ground.written import Numbers

# About how wide a letter is beside the drawing's width, for what fits inside a part. [%]
_LETTER = 1.45
# On a phone a letter is so much wider beside the drawing.
_NARROW = 1.35
# A sum is written so much larger than a label.
_LARGE = 1.6
# Marks closer than this share one name; closer to a side, a name is set inwards. [%]
_ONE_PLACE, _SIDE = 1.0, 12.0
_DOT = 17


def _svg(kind: str, height: int, description: str, inner: str, box: str = "") -> str:
    """Wrap a drawing with its words; `box` fixes its proportions."""
    size = f'viewBox="{box}"' if box else f'width="100%" height="{height}"'
    label = html.escape(description)
    return (
        f'<svg class="{kind}" {size} role="img" aria-label="{label}"'
        f' xmlns="http://www.w3.org/2000/svg"><title>{label}</title>{inner}</svg>'
    )


def _text(x: float, y: int, words: str, kind: str = "", anchor: str = "middle", dx: int = 0) -> str:
    return (
        f'<text x="{x:.2f}%" y="{y}" dx="{dx}" text-anchor="{anchor}" class="{kind}">'
        f"{html.escape(words)}</text>"
    )


def _line(x1: float, y1: int, x2: float, y2: int, kind: str) -> str:
    return f'<line x1="{x1:.2f}%" y1="{y1}" x2="{x2:.2f}%" y2="{y2}" class="{kind}"/>'


def gallon_bar(
    gallon: Gallon,
    end: float,
    numbers: Numbers,
    *,
    amounts: bool = False,
    letter: float = _LETTER,
) -> str:
    """Draw a volume's parts as one bar against the pump's price.

    Parameters
    ----------
    gallon : Gallon
        From the first screen.
    end : float
        Right end of the scale, as the price line below it has. [currency/volume]
    numbers : Numbers
        How prices are written.
    amounts : bool
        Whether each part carries its amount, as on paper.
    letter : float
        About how wide a letter is beside the drawing. [%]

    Returns
    -------
    str
    """
    pieces, under, left = [], [], 0.0
    pump = 100.0 * gallon["pump"] / end
    for part in gallon["parts"]:
        width = 100.0 * part["amount"] / end
        start, room = _clear_side(left, width, pump)
        middle = start + room / 2.0
        pieces.append(
            f'<rect class="part {part["key"]}" x="{left:.2f}%" y="40" width="{width:.2f}%"'
            ' height="46"/>'
        )
        cost = numbers.per_volume(part["amount"]) if amounts else ""
        if letter * max(len(part["label"]), len(cost) + 1) < room:
            kind = "on-time" if part["key"] == "time" else "on"
            tight = not cost and _NARROW * letter * len(part["label"]) >= room
            pieces += _inside(middle, part["label"], cost, kind, tight=tight)
        else:
            under.append((middle, f"{part['label']} {cost}".strip()))
        left += width
    beneath, lines = _beneath(under, letter)
    return _svg(
        "gallon-bar",
        94 + 14 * lines,
        gallon["description"],
        "".join([*pieces, *beneath, *_against_the_pump(gallon, end, numbers, letter)]),
    )


def _inside(x: float, label: str, cost: str, kind: str, *, tight: bool) -> list[str]:
    """Name a part inside it, with its cost below; a tight name breaks in two on a phone."""
    first, _, rest = label.partition(" ")
    if tight and rest:
        return [
            _text(x, 68, label, f"{kind} wide"),
            _text(x, 60, first, f"{kind} narrow"),
            _text(x, 77, rest, f"{kind} narrow"),
        ]
    if cost:
        return [_text(x, 60, label, kind), _text(x, 78, cost, kind)]
    return [_text(x, 68, label, kind)]


def _clear_side(at: float, width: float, pump: float) -> tuple[float, float]:
    """Find where a part's name goes: on the wider side of the pump's line, if that crosses it."""
    if not at < pump < at + width:
        return at, width
    left, right = pump - at, at + width - pump
    return (at, left) if left >= right else (pump, right)


def _beneath(labels: Sequence[tuple[float, str]], letter: float) -> tuple[list[str], int]:
    """Name narrow parts beneath the bar, each on a line of its own where two would touch.

    Returns the drawing and how many lines it takes; no name leaves the drawing at a side.
    """
    parts: list[str] = []
    reached: list[float] = []
    for place, words in labels:
        half = letter * len(words) / 2.0
        middle = min(max(place, half), 100.0 - half)
        fits = (k for k, edge in enumerate(reached) if edge < middle - half)
        level = next(fits, len(reached))
        reached[level : level + 1] = [middle + half]
        y = 104 + 14 * level
        parts += [_line(place, 86, place, y - 12, "lead"), _text(middle, y, words, "under")]
    return parts, len(reached)


def _against_the_pump(gallon: Gallon, end: float, numbers: Numbers, letter: float) -> list[str]:
    """Draw the pump's price across the bar, and the gap between it and one's own."""
    pump, full = 100.0 * gallon["pump"] / end, 100.0 * gallon["full"] / end
    low, high = sorted((pump, full))
    own, price = numbers.per_volume(gallon["full"]), f"pump {numbers.per_volume(gallon['pump'])}"
    room = _LARGE * letter * len(price)
    # Where the pump's price is too low for its words, they stand on the other side.
    before = room < pump
    gap = pump if before else pump + room
    parts = [
        _text(pump, 20, price, "sum", *(("end", -8) if before else ("start", 8))),
        _line(pump, 4, pump, 96, "pump"),
        _own(full if full >= pump or pump - full > 24.0 else pump, own),
        _text(gap, 20, gallon["difference"], "gap wide", "start", 8),
        _text(gap, 20, gallon["difference"].split(" by ")[0], "gap narrow", "start", 8),
    ]
    if high - low > 0.2:
        parts += [_line(low, 32, high, 32, "above"), _line(full, 27, full, 38, "above")]
    return parts


def _own(x: float, amount: str) -> str:
    """Write one's own cost; a narrow drawing leaves the word out."""
    return (
        f'<text x="{x:.2f}%" y="68" dx="8" text-anchor="start" class="sum">'
        f'<tspan class="wide">yours </tspan>{html.escape(amount)}</text>'
    )


def dots(ahead: Ahead) -> str:
    """Draw a hundred dots: full where ahead with time paid, half with time free, else empty.

    Parameters
    ----------
    ahead : Ahead
        From the first screen.

    Returns
    -------
    str
    """
    drawn = []
    for k in range(100):
        x, y = _DOT * (k % 10) + 7, _DOT * (k // 10) + 7
        kind = "paid" if k < ahead["time_paid"] else "free" if k < ahead["time_free"] else "behind"
        drawn.append(f'<circle class="{kind}" cx="{x}" cy="{y}" r="6"/>')
        if kind == "free":
            drawn.append(f'<path class="half" d="M{x} {y - 6}a6 6 0 0 0 0 12z"/>')
    side = _DOT * 9 + 15
    return _svg("dots", 0, ahead["description"], "".join(drawn), f"0 0 {side} {side}")


def dot_key(kind: str) -> str:
    """Draw one dot for the key: "paid", "free" or "behind"."""
    half = '<path class="half" d="M7 1a6 6 0 0 0 0 12z"/>' if kind == "free" else ""
    return (
        '<svg class="dot-key" viewBox="0 0 14 14" aria-hidden="true"'
        ' xmlns="http://www.w3.org/2000/svg">'
        f'<circle class="{kind}" cx="7" cy="7" r="6"/>{half}</svg>'
    )


def price_scale(price: Price, numbers: Numbers, *, letter: float = _LETTER) -> str:
    """Draw the price of fuel from nothing to beyond what pays for time, zone by zone.

    Parameters
    ----------
    price : Price
        From the first screen.
    numbers : Numbers
        How prices are written.
    letter : float
        Width of a letter beside the drawing's. [%]

    Returns
    -------
    str
    """
    end, left, taken, parts = price["end"], 0.0, 0.0, []
    for zone in price["zones"]:
        until = 100.0 * zone["until"] / end
        kind = "zone here" if zone["here"] else "zone"
        parts.append(_line(left + 0.2, 24, until - 0.2, 24, kind))
        label = "label here" if zone["here"] else "label"
        # A zone too narrow for its name goes without, but never today's; a name that reaches over
        # another zone takes that zone's place.
        reach = left + letter * (len(zone["label"]) + 0.5)
        if left >= taken and (zone["here"] or reach < until):
            inside = min(left, 100.0 - letter * len(zone["label"]))
            parts.append(_text(inside, 44, zone["label"], label, "start"))
            taken = reach
        left = until
    parts += _price_marks(price)
    said = "; ".join(
        f"to {numbers.per_volume(zone['until'])} {zone['label']}" for zone in price["zones"]
    )
    marked = ", ".join(f"{m['label']} {numbers.per_volume(m['price'])}" for m in price["marks"])
    notes = "".join(f" {mark['note']}" for mark in price["marks"] if mark["note"])
    words = f"Price of fuel: {said}. Marked: {marked}.{notes}"
    return _svg("price-scale", 50, words, "".join(parts))


def _price_marks(price: Price) -> list[str]:
    """Mark prices on the scale; the one that holds is round, another a stroke."""
    end, parts = price["end"], []
    marks = sorted(price["marks"], key=lambda mark: mark["price"])
    marks = [mark for mark in marks if mark["price"] <= end]
    for mark in marks:
        place = 100.0 * mark["price"] / end
        if mark["price"] == price["today"]:
            parts.append(f'<circle class="today" cx="{place:.2f}%" cy="24" r="7"/>')
        else:
            parts.append(_line(place, 14, place, 34, "other"))
    notes = "".join(f"<title>{html.escape(mark['note'])}</title>" for mark in marks if mark["note"])
    # The slider lies over the marks; their names alone can be pointed at.
    labels = "".join(_mark_labels([(100.0 * mark["price"] / end, mark["label"]) for mark in marks]))
    return [*parts, f"<g>{notes}{labels}</g>"]


def _mark_labels(labels: Sequence[tuple[float, str]]) -> list[str]:
    """Name the marks above the scale: the lower to its left, the higher to its right."""
    if not labels:
        return []
    (low, first), (high, last) = labels[0], labels[-1]
    far = high > 100.0 - _SIDE
    side = ("end", -10) if far else ("start", 10)
    near = high - low < (2.0 * _SIDE if far else _ONE_PLACE)
    if len(labels) == 1 or near or low < _SIDE:
        words = " and ".join(words for _, words in labels)
        return [_text(high, 11, words, "mark-label", *side)]
    return [
        _text(low, 11, first, "mark-label", "end", -6),
        _text(high, 11, last, "mark-label", *side),
    ]


def past_price_strip(past: PastPrices, numbers: Numbers) -> str:
    """Draw the fuel's past prices as columns, with the prices that decide as lines across.

    Parameters
    ----------
    past : PastPrices
        From the outlook.
    numbers : Numbers
        How prices are written.

    Returns
    -------
    str
    """
    rows = past["years"]
    marks = [
        (words, price, kind)
        for words, price, kind in (
            ("start above", past["start"], "start"),
            ("stop below", past["carry_on"], "stop"),
        )
        if price is not None and price > 0.0
    ]
    top = 1.08 * max(*(row["price"] for row in rows), *(price for _, price, _ in marks))
    wide, base, tall = 100.0 / len(rows), 140, 120.0
    parts = []
    for k, row in enumerate(rows):
        high = tall * row["price"] / top
        start = past["start"]
        kind = "over" if start is not None and row["price"] >= start else "under"
        parts.append(
            f'<rect class="{kind}" x="{wide * k + 0.25:.2f}%" y="{base - high:.1f}"'
            f' width="{wide - 0.5:.2f}%" height="{high:.1f}"/>'
        )
    parts += [
        _text(wide * k, 156, str(rows[k]["year"]), "label", "start")
        for k in range(0, len(rows), 10)
    ]
    # Two marks whose words would cover each other: the lower one's stand below its line.
    for k, (words, price, kind) in enumerate(marks):
        y = round(base - tall * price / top)
        parts.append(_line(0.0, y, 100.0, y, kind))
        lower = k > 0 and price < marks[0][1]
        label = f"{words} {numbers.per_volume(price)}"
        parts.append(_text(0.5, y + (13 if lower else -4), label, "mark", "start"))
    return _svg("past-prices", 160, past["sentence"], "".join(parts))


def marked(text: str, months: str) -> str:
    """Say in a text beside a drawing that it marks the months of which the text speaks."""
    return text.replace(months, f"{months} (marked)")


def month_strip(months: Sequence[MonthHours]) -> str:
    """Draw one's own hours by month, the farm's busy months marked.

    Parameters
    ----------
    months : sequence of 12 MonthHours
        From the first screen.

    Returns
    -------
    str
    """
    most = max((month["hours"] for month in months), default=0.0) or 1.0
    parts = []
    for k, month in enumerate(months):
        x = 13 * k
        if month["busy"]:
            parts.append(f'<rect class="busy" x="{x}" y="0" width="13" height="26"/>')
            parts.append(f'<rect class="busy-mark" x="{x}" y="0" width="13" height="2"/>')
        tall = 20.0 * month["hours"] / most
        parts.append(
            f'<rect class="hours" x="{x + 2}" y="{25 - tall:.1f}" width="9" height="{tall:.1f}"/>'
        )
        parts.append(f'<text x="{x + 6.5}" y="38" text-anchor="middle">{MONTHS[k][0]}</text>')
    busy = ", ".join(MONTHS[k] for k, month in enumerate(months) if month["busy"]) or "none"
    said = ", ".join(f"{MONTHS[k]} {month['hours']:.1f}" for k, month in enumerate(months))
    return _svg(
        "month-strip",
        0,
        f"Hours by month: {said}. Busy months: {busy}.",
        "".join(parts),
        "0 0 156 40",
    )
