"""What a maker, a comparer of thinners and a partner ask: each answered within two clicks.

A page is one click, a tab of it another. The questions are common practice, no source.
"""

from pathlib import Path
from typing import Any

import pytest
from screen_words import results_of, words

from dashboards.theme import theme_of
from dashboards.web import tabs
from dashboards.web.compared import view_of
from dashboards.web.documents import Folder
from dashboards.web.pages import compare, decide, present, thinners

LIGHT = theme_of("light")
SCENARIOS = Path(__file__).parents[2] / "scenarios"
FOLDER = Folder(SCENARIOS)

MAKER = (
    ("Should I start?", "first", "Start only if your time is free."),
    ("What does a gallon really cost me?", "first", "A gallon of your own fuel costs more"),
    ("When is the kit paid back?", "money", "Paid back in"),
    ("What do I earn an hour?", "first", "an hour; you count your hour at"),
    ("Which machines should burn it, which must not?", "machines", "Which machines"),
    ("Is there enough oil?", "oil", "Held back by too little oil"),
    ("Which source is worth the drive?", "sure", "Which oil is worth the drive"),
    ("Do I need the centrifuge?", "compare", "leave out what you doubt (a centrifuge"),
    ("What size of tank?", "sure", "What size of tank"),
    ("What must diesel cost for this to work?", "first", "Do not start below"),
    ("What matters most to get right?", "sure", "What matters most"),
    ("How bad can a bad year be?", "sure", "In one year of twenty"),
    ("What did I leave out?", "sure", "What did I leave out?"),
    ("What should I measure first?", "sure", "What to measure in the first three months"),
    ("What if I only use my own oil?", "present", "our own oil only"),
)
COMPARER = (
    ("Which thinner keeps most money a year?", "thinners", "As you do it now"),
    ("How much of each do I need?", "thinners", "thinner in the mix"),
    ("At what price does one beat another?", "ties", "keeps more than"),
    ("Is thinner making me money or costing me?", "thinners", "entry fee per volume of oil"),
    ("What about free stale gasoline, a little a month?", "thinners", "Need covered"),
    ("Does E10 matter?", "thinners", "Gasoline with ethanol (E10)"),
    ("What does it do to flash point?", "thinners", "flash (estimate)"),
    ("To cetane and starting?", "thinners", "diesel: 40 at least"),
    ("To pump wear?", "tractor", "Less lubricity than diesel"),
    ("Winter blend: how much more?", "thinners", "of it in the winter months"),
    ("Does warming the tank save thinner?", "thinners", "Does warming the fuel save thinner?"),
    ("Can I mix two thinners?", "thinners", "two are never mixed here"),
    ("What if diesel and gasoline move together?", "thinners", "If pump and thinner prices move"),
    ("Bulk or jugs?", "thinners", "Bulk or jugs"),
    ("How sure is the thickness?", "thinners", "rules' range"),
)
PARTNER = (
    ("How much a month does it put in our account?", "present", "a month after bills and repairs"),
    ("How much up front?", "first", "Up front"),
    ("What is the most we can lose?", "first", "Most you can lose by stopping"),
    ("How many hours, in which months?", "first", "Busy months"),
    ("What breaks, what does it cost, how often?", "present", "What breaks"),
    ("What if you get sick or bored?", "present", "if you get sick or bored"),
    ("What if diesel gets cheap?", "present", "If pump fuel falls by"),
    ("Is it legal, taxed, insured?", "present", "who must be asked"),
    ("Is it safe by the house?", "cautions", "carbon monoxide"),
    ("Why not the smaller version?", "present", "Why not smaller?"),
    ("How do I know these numbers?", "first", "It rests on guesses"),
    ("Compared with what else for that money?", "present", "compared with what"),
    ("What would make you stop?", "present", "What would make us stop?"),
    ("Who pays when a partner's tractor is hurt?", "present", "Whose machine it is"),
    ("Can I take this away and read it?", "frame", "Print"),
)


@pytest.fixture(scope="module")
def screens() -> dict[str, str]:
    result = results_of(SCENARIOS / "quillmere.toml")
    view = view_of(result)
    name = view.document["scopes"][0]["rows"][0]["thinner"]
    shown: dict[str, Any] = {
        "first": [decide.moved(result, {}), decide.still(result)],
        **{key: tabs.tab(key, result, {}, LIGHT) for key in tabs.TABS},
        "thinners": thinners.body(result, view, 0, LIGHT),
        "tractor": thinners.body(result, view, 1, LIGHT),
        "ties": thinners.ties(result.write, view, 0, name, LIGHT),
        "present": present.body(result, {}, LIGHT),
        "frame": present.layout(FOLDER, {}),
        "compare": compare.layout(FOLDER, {}),
    }
    return {key: words(part) for key, part in shown.items()}


@pytest.mark.parametrize(("question", "screen", "text"), [*MAKER, *COMPARER, *PARTNER])
def test_each_question_has_its_answer_on_a_screen(
    screens: dict[str, str], question: str, screen: str, text: str
) -> None:
    assert text in screens[screen], question
