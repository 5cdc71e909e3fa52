"""The mix for the oil at hand, on a terminal."""

from collections.abc import Iterator

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, page, paragraph
from econ.answers.card_keys import HandDocument
from econ.ground.written import signed


def _degrees(value: float, units: str) -> str:
    return f"{signed(f'{value:g}')} {'°F' if units == 'us' else '°C'}"


def _machines(doc: HandDocument) -> Iterator[RenderableType]:
    for row in doc["machines"]:
        thinner = f", {row['thinner']}" if row["thinner"] else ""
        yield heading(f"{row['machine']}{thinner}")
        for season in row["seasons"]:
            when = "" if season["season"] == "all year" else f"{season['season']}: "
            yield bullet(f"{when}{season['text']}")


def render(doc: HandDocument) -> RenderableType:
    """Return the mix for the oil at hand.

    Parameters
    ----------
    doc : HandDocument
        From `econ.answers.hand_document`.

    Returns
    -------
    RenderableType
    """
    at, forty = _degrees(doc["temperature"], doc["units"]), 104.0 if doc["units"] == "us" else 40.0
    text = (
        f"{doc['viscosity']:g} cSt at {at}, taken as clean oil like {doc['oil']}:"
        f" {doc['viscosity_40']:.0f} cSt at {_degrees(forty, doc['units'])}"
    )
    parts = [heading(doc["title"]), paragraph(text), *_machines(doc), paragraph("")]
    return page([*parts, *(bullet(note) for note in doc["notes"])])
