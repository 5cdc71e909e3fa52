"""Farms for the tests of what is presented: worked through, changed, and badly named."""

import copy
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from econ.answers.chance_keys import ChancesDocument
from econ.answers.decision import Decision, decide
from econ.answers.document import Answer
from econ.farm.files import from_document
from econ.farm.schema import Scenario

FARMS = sorted(Path("scenarios").glob("*.toml"))
LISTS = ("machines", "oils", "filters", "thinners", "additives", "yearly", "kit")
# Invented: what a spreadsheet, a browser or a narrow column might stumble over.
HOSTILE = (
    (
        "W" * 10_000,
        '=HYPERLINK("http://x.invalid","y")<script>alert(1)</script>',
        "+1+cmd|' /C calc'!A0",
        "שלום עולם \u202e reversed " * 50,
        "😀🛢️" * 3_000,
        "@SUM(A1)",
        '-2+3"><img src=x onerror=alert(2)>',
    ),
    ("W" * 10_000,),
    ("😀" * 4_000,),
)


def worked(scenario: Scenario) -> Decision:
    """Work a farm through with few draws."""
    return decide(scenario, draws=512)


@cache
def demo(name: str) -> Decision:
    """Work a demo farm through."""
    from econ.farm.files import load

    return worked(load(f"scenarios/{name}.toml"))


def both(decision: Decision) -> tuple[Answer, ChancesDocument]:
    """Take a decision apart into the answer and its chances."""
    return decision.answer, decision.chances


def _document(scenario: Scenario) -> dict[str, Any]:
    result = copy.deepcopy(scenario.merged)
    result["scenario"].pop("extends", None)
    return result


def changed(scenario: Scenario, edits: Mapping[tuple[str | int, ...], Any]) -> Scenario:
    """Return a farm with some values replaced, by their place in its document."""
    document = _document(scenario)
    for place, value in edits.items():
        inner: Any = document
        for step in place[:-1]:
            inner = inner[step]
        inner[place[-1]] = value
    return from_document(document, "changed.toml")


def hostile(scenario: Scenario, texts: tuple[str, ...]) -> Scenario:
    """Return a farm with every name, its title and its note replaced by hostile text."""
    document = _document(scenario)
    document["scenario"].pop("sources", None)
    document["scenario"]["title"] = texts[0][:40] + HOSTILE[0][1] + HOSTILE[0][3]
    document["scenario"]["note"] = HOSTILE[0][1] + HOSTILE[0][4]
    count, names = 0, {}
    for table in LISTS:
        for entry in document.get(table, []):
            text = texts[count % len(texts)]
            name = f"{text}{count}"
            names[entry["name"]] = name
            entry["name"] = name
            count += 1
            for row in entry.get("wear", []):
                row["part"] = f"{texts[count % len(texts)]}{count}"
                count += 1
    for machine in document["machines"]:
        if "thinner" in machine:
            machine["thinner"] = names[machine["thinner"]]
    for table in ("kit", "yearly", "additives"):
        for entry in document.get(table, []):
            if "serves" in entry:
                entry["serves"] = [names[name] for name in entry["serves"]]
    return from_document(document, "hostile.toml")
