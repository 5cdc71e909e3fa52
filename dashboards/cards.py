"""`drumworth cards`: the cards of a farm as a page or a PDF."""

from collections.abc import Callable
from pathlib import Path

from dashboards.output import OutputError, refuse_existing, write_all
from econ.answers.card_keys import CardsDocument


def _html(document: CardsDocument) -> bytes:
    from dashboards.page.cards import cards_page

    return cards_page(document).encode()


def _pdf(document: CardsDocument) -> bytes:
    from dashboards.page.cards import cards_page
    from dashboards.page.pdf import pdf

    return pdf(cards_page(document))


RENDERINGS: dict[str, Callable[[CardsDocument], bytes]] = {".html": _html, ".pdf": _pdf}


def write_cards(document: CardsDocument, to: Path, *, force: bool) -> None:
    """Write a farm's cards.

    Parameters
    ----------
    document : CardsDocument
        From `econ.answers.cards_document`.
    to : Path
        A file in one of `RENDERINGS`.
    force : bool
        Whether a file that is there is replaced.

    Raises
    ------
    OutputError
        If it is in the way, or cannot be made or written.
    """
    suffix = to.suffix.lower()
    if suffix not in RENDERINGS:
        message = f"{to}: ends in {to.suffix or 'nothing'}; name a file in {', '.join(RENDERINGS)}"
        raise OutputError(message)
    refuse_existing([to], force=force)
    write_all({to: RENDERINGS[suffix](document)})
