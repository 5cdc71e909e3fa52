"""What `check` says of a farm that can be worked with."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, page, paragraph
from econ.answers.check import CheckSection


def _section(section: CheckSection) -> Iterator[RenderableType]:
    if not section["notes"]:
        yield heading(f"{section['title']}: nothing")
        return
    yield heading(section["title"])
    for note in section["notes"]:
        yield bullet(f"{note['where']}: {note['text']}")


def render(path: Path | str, sections: Sequence[CheckSection]) -> RenderableType:
    """Return what is assumed and what looks odd in a farm.

    Parameters
    ----------
    path : Path or str
        Of its file.
    sections : sequence of CheckSection
        From `check`.

    Returns
    -------
    RenderableType
        At most 80 columns wide.
    """
    parts: list[RenderableType] = [
        paragraph(f"{path}: nothing is wrong with it", indent=0, style="bold")
    ]
    for section in sections:
        parts += _section(section)
    return page(parts)
