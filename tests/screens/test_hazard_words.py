"""Hazards are worded once, below every surface: no surface has a sentence of its own on them."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from presenting import demo

from dashboards.page.render import page
from econ.advice.cautions import CAUTIONS

ROOT = Path(__file__).parents[2] / "dashboards"
HAZARD = re.compile(
    r"gasoline|vapou?r|explo|carbon monoxide|cancer|closed-cup|flash(es|ed)? (at|figure|point)"
    r"|\bPCB|boil over|static\b.*bond",
    re.IGNORECASE,
)
FILES = sorted(path for path in ROOT.rglob("*.py"))


def sentences(path: Path) -> Iterator[str]:
    """Return the words that a file shows: its texts, but for docstrings and keys."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef)
    told = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, documented) and node.body and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        text = node.value if isinstance(node, ast.Constant) and id(node) not in told else None
        if isinstance(text, str) and " " in text.strip():
            yield text


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_surface_words_a_hazard_itself(path: Path) -> None:
    # "as gasoline" in a table's cell is the fire class in a word.
    result = [words for words in sentences(path) if HAZARD.search(words) and words != "as gasoline"]

    assert result == []


def test_the_search_for_words_can_find_some() -> None:
    assert HAZARD.search("Its vapour lights from a spark.")
    assert HAZARD.search("Treat it as gasoline.")


@pytest.mark.parametrize("name", ["quillmere", "wrenfold"])
def test_the_page_says_what_the_registry_says(name: str) -> None:
    decision = demo(name)
    briefs = {row.key: row.brief for row in CAUTIONS}
    text = page(decision)

    for caution in decision.document["cautions"]:
        assert caution["short"] == briefs[caution["key"]]
        if caution["severity"] == "grave":
            assert caution["short"].replace("'", "&#x27;") in text or caution["short"] in text
