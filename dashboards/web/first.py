"""The first screen set from its document: what a couple reads in thirty seconds."""

from collections.abc import Iterator
from html import escape

from dash import html
from dash.development.base_component import Component

from dashboards import drawings
from dashboards.web.flat import markup
from econ.answers.first_screen import FirstScreen
from econ.answers.smaller import Smaller
from econ.ground.written import Numbers

# A letter beside the two columns that the scale spans; a narrower screen names one zone. [%]
_LETTER = 0.85
# A figure in more letters than these is set smaller, that it stands on one line.
_LONG = 18
# Stretches of the meter: key of the document, class, and its words where there is none yet.
_METER = (
    ("bills", "bill", "bills"),
    ("measured", "seen", "measured"),
    ("guesses", "guess", "guesses"),
)


def _markup(text: str, name: str = "") -> Component:
    """Hold finished HTML; all words in it are escaped where it is made."""
    return html.Div(className=f"flat {name}".strip(), **{"data-markup": text})


def advice(screen: FirstScreen) -> list[Component]:
    """Write the advice and the year."""
    return [html.H1(screen["advice"]), html.P(screen["year"])]


def gallon(screen: FirstScreen, end: float | None, numbers: Numbers) -> list[Component]:
    """Draw a volume's cost in one bar, on the scale of the price below it."""
    if screen["gallon"] is None or end is None:
        return [html.H2("No fuel would be made, so none has a cost")]
    bar = drawings.gallon_bar(screen["gallon"], end, numbers)
    return [html.H2(screen["gallon"]["title"]), _markup(bar)]


def dots(screen: FirstScreen) -> list[Component]:
    """Draw the hundred dots with their key."""
    ahead = screen["ahead"]
    return [
        html.H2(ahead["title"]),
        html.Div(
            [_markup(drawings.dots(ahead)), html.Ul(list(_key(screen)), className="key")],
            className="pair",
        ),
    ]


def _key(screen: FirstScreen) -> Iterator[Component]:
    """Write the dots' key: the count large, its dots beside it, what it means below."""
    lines = screen["ahead"]["lines"]
    counted = [line for line in lines if line[:1].isdigit()]
    kinds = (("free", "paid"), ("paid",)) if len(counted) == 2 else (("paid",),)
    for k, line in enumerate(lines):
        if k < len(counted):
            count, _, words = line.partition(" ")
            marks = "".join(drawings.dot_key(kind) for kind in kinds[k])
            yield html.Li([html.B([count, _markup(marks)]), words])
        else:
            yield html.Li([_markup(drawings.dot_key("behind")), line], className="rest")


def boxes(screen: FirstScreen) -> list[Component]:
    """Write the three figures that a partner asks for."""
    parts: list[Component] = []
    for box in screen["boxes"]:
        strip, note = None, box["note"]
        if box["key"] == "time":
            strip = _markup(drawings.month_strip(screen["months"]))
            note = drawings.marked(note, "busy months")
        kind = "figure long" if len(box["figure"]) > _LONG else "figure"
        figure = html.Dd([html.Span(box["figure"]), strip], className=kind)
        parts.append(html.Div([html.Dt(box["label"]), figure, html.Dd(note, className="soft")]))
    return [html.Dl(parts, className="three-boxes")]


def price_line(screen: FirstScreen) -> Component:
    """Write below which price not to start, and down to which to carry on."""
    price = screen["price"]
    return html.H2("No fuel is replaced, so no price decides" if price is None else price["line"])


def price_scale(screen: FirstScreen, numbers: Numbers) -> list[Component] | None:
    """Draw the zones of the price; a narrow screen has room for today's zone alone."""
    price = screen["price"]
    if price is None:
        return None
    here = [zone["label"] for zone in price["zones"] if zone["here"]]
    today = html.P(f"At today's price: {here[0]}." if here else "", className="narrow soft")
    return [_markup(drawings.price_scale(price, numbers, letter=_LETTER)), _markup(markup(today))]


def rests(screen: FirstScreen) -> list[Component]:
    """Draw what the answer rests on: bills, measurements, guesses."""
    result = screen["rests"]
    shares = {
        "bills": result["bills"],
        "measured": result["measured"],
        "guesses": result["guesses"],
    }
    stretches = "".join(
        f'<i class="{kind}" style="width:{100 * shares[key]:.1f}%"></i>'
        for key, kind, _ in _METER
        if shares[key] > 0.005
    )
    legend = [
        html.Li([html.I(className=kind), f"{words}{_share_words(shares[key])}"])
        for key, kind, words in _METER
    ]
    said = ", ".join(f"{words}{_share_words(shares[key])}" for key, _, words in _METER)
    meter = f'<div class="meter" role="img" aria-label="{escape(said)}">{stretches}</div>'
    return [html.H2(result["heading"]), _markup(meter), html.Ul(legend, className="legend soft")]


def _share_words(share: float) -> str:
    """Say how much of the answer rests on something, without a number."""
    if share < 0.005:
        return ": none yet"
    if share > 0.995:
        return ": all of it"
    if share < 0.2:
        return ": a little"
    return ": about half" if 0.4 <= share <= 0.6 else ": most of it" if share > 0.6 else ": some"


def guesses(screen: FirstScreen) -> list[Component | None]:
    """List the guesses that matter most, longest bar first."""
    rows = [
        f'<li><span class="what">{escape(row["name"])}</span><span class="swing" aria-hidden='
        f'"true"><i style="width:{100 * row["share"]:.0f}%"></i></span></li>'
        for row in screen["guesses"]["rows"]
    ]
    if not rows:
        return [html.H2("No guess moves it")]
    return [
        html.H2(screen["guesses"]["heading"]),
        _markup(f'<ol class="find">{"".join(rows)}</ol>'),
    ]


def cautions(screen: FirstScreen) -> list[Component | None]:
    """Write the gravest cautions, citations a click away."""
    rows = [html.Li(row["short"]) for row in screen["cautions"]["rows"]]
    if not rows:
        return [html.H2(screen["cautions"]["heading"])]
    why = html.Button("why", type="button", className="link", **{"data-tab": "cautions"})
    return [html.H2([screen["cautions"]["heading"], " ", why]), html.Ul(rows)]


def beside(loan: str, smaller: Smaller | None) -> list[Component | None]:
    """Write beside the buttons a smaller plan that is worth as much, and whether a loan carries."""
    return [
        None if smaller is None else html.P(smaller["line"]),
        html.P(loan) if loan else None,
    ]
