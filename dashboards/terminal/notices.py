"""Cautions of a document that stand where its decision is made."""

from collections.abc import Iterator, Mapping
from typing import Any

from rich.console import RenderableType

from dashboards.terminal.layout import bullet, heading, paragraph
from econ.answers.rows import CLOSING


def cautions(doc: Mapping[str, Any]) -> Iterator[RenderableType]:
    """Return a document's cautions with their basis, and what holds for all of them."""
    if doc["cautions"]:
        yield heading("Before you do any of it")
    for caution in doc["cautions"]:
        yield bullet(caution["text"], mark="!")
        yield paragraph(f"Basis: {caution['basis']}", indent=4, style="dim")
    yield paragraph(CLOSING, indent=0)
