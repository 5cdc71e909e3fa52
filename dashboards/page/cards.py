"""The cards that hang in the shed as HTML: one sheet each, A4 or US letter, for oily hands."""

import html
from pathlib import Path

from dashboards.page.markup import safe
from econ.answers.card_keys import Card, CardsDocument, CardStep, CardTable

# Printed lines beyond which a card's type is set at its least size, 12 pt.
_LONG = 34


def _step(step: CardStep, bases: list[str]) -> str:
    """Return a step with its cautions; what each stands on is numbered below the card."""
    cautions = []
    for caution in step["cautions"]:
        if caution["basis"] not in bases:
            bases.append(caution["basis"])
        number = bases.index(caution["basis"]) + 1
        cautions.append(f'<p class="caution">{safe(caution["text"])} <sup>{number}</sup></p>')
    return f"<li><p>{safe(step['text'])}</p>{''.join(cautions)}</li>"


def _table(table: CardTable) -> str:
    heads = "".join(f'<th scope="col">{safe(head)}</th>' for head in table["heads"])
    blank = all(not cell for row in table["rows"] for cell in row)
    rows = []
    for number, row in enumerate(table["rows"]):
        kind = ' class="marked"' if number in table["marked"] else ""
        cells = "".join(f"<td>{safe(cell)}</td>" for cell in row)
        rows.append(f"<tr{kind}>{cells}</tr>")
    kind = "pencil" if blank else "figures"
    return (
        f'<table class="{kind}"><caption>{safe(table["caption"])}</caption><thead><tr>{heads}</tr>'
        f"</thead><tbody>{''.join(rows)}</tbody></table>"
    )


def _lines(card: Card) -> float:
    """Return about how many printed lines a card takes at 13 pt."""
    steps = sum(1.0 + len(s["text"]) / 85 + 1.05 * len(s["cautions"]) for s in card["steps"])
    return steps + sum(2.0 + 1.1 * len(table["rows"]) for table in card["tables"])


def _card(card: Card, title: str) -> str:
    bases: list[str] = []
    steps = "".join(_step(step, bases) for step in card["steps"])
    tables = "".join(_table(table) for table in card["tables"])
    notes = " ".join(safe(note, 500) for note in card["notes"])
    basis = "; ".join(f"<sup>{k}</sup> {safe(text, 160)}" for k, text in enumerate(bases, 1))
    notes += f" Basis: {basis}." if bases else ""
    long = " long" if _lines(card) > _LONG else ""
    return (
        f'<section class="sheet {card["key"]}{long}"><header><p>{safe(title)}</p>'
        f'<h1>{safe(card["title"])}</h1></header><p class="lead">{safe(card["lead"], 600)}</p>'
        f"<ol>{steps}</ol>{tables}<footer><p>{notes} Local codes, your regulator, your insurer and"
        " licensed practice come before anything written here.</p></footer></section>"
    )


def cards_page(document: CardsDocument) -> str:
    """Return the cards as a self-contained page.

    Parameters
    ----------
    document : CardsDocument
        From `econ.answers.cards_document`.

    Returns
    -------
    str
        HTML; each card one sheet of A4 or US letter when printed.
    """
    style = Path(__file__).with_name("cards.css").read_text(encoding="utf-8")
    sheets = "".join(_card(card, document["title"]) for card in document["cards"])
    return (
        '<!DOCTYPE html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{html.escape(document['title'])}: cards</title><style>{style}</style></head>"
        f"<body><main>{sheets}</main></body></html>"
    )
