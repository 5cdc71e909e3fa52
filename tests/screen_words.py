"""The pages read back as words, and a farm's results as the pages have them."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

from econ.answers.turned import Prepared, Results
from econ.farm.files import load


def results_of(path: Path, turned: dict[str, float] | None = None) -> Results:
    return Prepared.of(load(path)).at(turned or {})


def texts(part: Any) -> Iterator[str]:
    """Return all text of a layout."""
    if isinstance(part, str):
        yield part
    elif isinstance(part, list | tuple):
        for item in part:
            yield from texts(item)
    elif part is not None and hasattr(part, "to_plotly_json"):
        held = getattr(part, "data-markup", None)
        if held is not None:
            yield unescape(re.sub(r"<[^>]*>", " ", held))
        yield from texts(getattr(part, "children", None))


def words(part: Any) -> str:
    return " ".join(texts(part))
