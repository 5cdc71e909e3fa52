"""Cautions of a document that stand where its decision is made."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, paragraph
from econ.answers.rows import CLOSING


def gravest(rows: Iterable[Mapping[str, Any]], rest: str) -> Iterator[RenderableType]:
    """Return the gravest cautions in a line each, and where the rest stand, if anywhere."""
    for row in rows:
        yield bullet(row["short"], mark="!")
    if rest:
        yield paragraph(rest, indent=0, style="dim")


def cautions(doc: Mapping[str, Any]) -> Iterator[RenderableType]:
    """Return a document's cautions with their basis, and what holds for all of them."""
    if doc["cautions"]:
        yield heading("Before you do any of it")
    for caution in doc["cautions"]:
        yield bullet(caution["text"], mark="!")
        yield paragraph(f"Basis: {caution['basis']}", indent=4, style="dim")
    yield paragraph(CLOSING, indent=0)
