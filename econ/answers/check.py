"""What a farm leaves out, takes from usual values, or has that looks odd, as surfaces list it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["wrenfold"])
>>> [section["title"] for section in check(farm, farm.scenario.priced_on)][:2]
['Looks odd', 'Usually there, and left out']
"""

import datetime
from typing import Annotated, TypedDict

from econ.answers.keys import Key
from econ.farm.overlooked import odd_prices, overlooked
from econ.farm.prepare import prepare
from econ.farm.review import Note, assumed, defaults_used, odd_outcome, odd_values
from econ.farm.schema import Scenario
from econ.model.evaluate import evaluate
from econ.model.outcome import Outcome


class NoteRow(TypedDict):
    """One thing that a reader should know about a farm."""

    where: Annotated[str, Key("text", "Table, entry and field, as the file has them")]
    text: Annotated[str, Key("text", "What is to be known of it")]


class CheckSection(TypedDict):
    """Notes of one kind."""

    title: Annotated[str, Key("text", "What its notes have in common")]
    notes: Annotated[list[NoteRow], Key("text", "In file order; may be empty")]


def _section(title: str, *notes: Note) -> CheckSection:
    return {"title": title, "notes": [{"where": note.where, "text": note.text} for note in notes]}


def reviewed(
    scenario: Scenario, outcome: Outcome, today: datetime.date | None = None
) -> list[CheckSection]:
    """List what is to be known of a farm that has been worked through.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    outcome : Outcome
        Its outcome at expected values.
    today : date, optional
        To tell how old its prices are; not looked at by default.

    Returns
    -------
    list of CheckSection
        The same sections always, the first what looks odd.
    """
    prices = () if today is None else odd_prices(scenario, today)
    return [
        _section("Looks odd", *prices, *odd_values(scenario), *odd_outcome(scenario, outcome)),
        _section("Usually there, and left out", *overlooked(scenario)),
        _section("Taken from usual values", *assumed(scenario)),
        _section("Left to defaults", *defaults_used(scenario)),
    ]


def check(scenario: Scenario, today: datetime.date) -> list[CheckSection]:
    """Work a farm through and list what is to be known of it.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    today : date
        To tell how old its prices are.

    Returns
    -------
    list of CheckSection

    Raises
    ------
    ScenarioError
        If only the blend physics can refuse the farm.
    """
    return reviewed(scenario, evaluate(prepare(scenario)), today)
