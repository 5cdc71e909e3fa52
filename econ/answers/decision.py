"""One farm worked through for every surface: the decision, its chances, the first screen.

A surface asks once and shows; the model runs here and nowhere above.

>>> from econ import load
>>> from econ.answers.turned import Prepared
>>> from econ.farm.demos import demo_files
>>> at_once(Prepared.of(load(demo_files()["wrenfold"])).at({})).advice
'Start only if your time is free.'
"""

import datetime
from collections.abc import Mapping, Sequence
from typing import Any, cast

from msgspec import Struct

from econ.advice.verdict import stands_without_chances
from econ.answers.chance_document import chances_json
from econ.answers.chance_keys import ChancesDocument
from econ.answers.decision_keys import DecisionDocument
from econ.answers.document import Answer, answer, to_json, with_odds
from econ.answers.first_screen import (
    GUESSES_HEADING,
    MOST_GUESSES,
    FirstScreen,
    Grounds,
    Price,
    PriceMark,
    first_screen,
    ledger_of,
    said_of_year,
)
from econ.answers.paper import Paper, paper
from econ.answers.past_prices import year_ago
from econ.answers.smaller import Smaller, smaller
from econ.answers.turned import Results
from econ.farm.schema import Kit, Machine, Scenario
from econ.ground.records import replace
from econ.ground.units import from_canonical
from econ.ground.written import Numbers
from econ.model.inputs import Inputs
from econ.questions.chances import Chances, chances
from econ.questions.doubts import GUESSES, provenance
from econ.questions.swings import swings

Json = Mapping[str, Any]
# Prices closer than this are one price: a lever that is no price leaves rounding alone.
_NEAR = 1e-6


class Decision(Struct, frozen=True):
    """A farm worked through, as every surface shows it.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    answer : Answer
        The outcomes behind the document.
    document : dict
        The decision, in the file's units.
    chances : ChancesDocument
        What draws say of it, in the file's units.
    first_screen : FirstScreen
        What a couple reads first.
    paper : Paper
        What only the printed page adds.
    grounds : Grounds
        What the first screen was made from.
    drawn : Chances
        The draws behind the chances.
    smaller : Smaller or None
        A smaller plan of the same farm that is worth as much; None where there is none.
    what_if : str
        Which levers are turned, in words; empty where none is.
    """

    scenario: Scenario
    answer: Answer
    document: Json
    chances: ChancesDocument
    first_screen: FirstScreen
    paper: Paper
    grounds: Grounds
    drawn: Chances
    smaller: Smaller | None
    what_if: str = ""

    @property
    def numbers(self) -> Numbers:
        """How this farm's numbers are written."""
        return Numbers(self.document["units"], self.document["currency"])

    def json(self) -> DecisionDocument:
        """Put all of it into one object, as `drumworth decide --json` prints it."""
        whole = {
            **self.document,
            "chances": self.chances,
            "first_screen": self.first_screen,
            "paper": self.paper,
            "smaller": self.smaller,
        }
        # Keys of registries and of declarations alike; a test holds them to what is printed.
        return cast(DecisionDocument, whole)

    def turned(self, result: Results) -> "Decision":
        """Word it with levers turned; what draws say, and a smaller plan, are of the file alone.

        Parameters
        ----------
        result : Results
            The same farm, levers turned.

        Returns
        -------
        Decision
            Itself where none is.
        """
        if not result.what_if:
            return self
        worked, document, scenario = result.answer, result.document, self.scenario
        return replace(
            self,
            answer=worked,
            document=document,
            first_screen=turned_screen(self, worked, document),
            paper=paper(
                document, worked.expected, _owners(scenario.machines), _owners(scenario.kit)
            ),
            smaller=None,
            what_if=result.what_if,
        )


def decide(
    scenario: Scenario,
    *,
    today: datetime.date | None = None,
    draws: int | None = None,
    worked: Answer | None = None,
) -> Decision:
    """Work a farm through with its chances.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    today : date, optional
        For the age of the prices; the day of the prices by default, so that the same farm gives
        the same answer on any day.
    draws : int, optional
        As the file has it by default.
    worked : Answer, optional
        The same farm, worked through already.

    Returns
    -------
    Decision

    Raises
    ------
    ScenarioError
        If only the blend physics or the draws can refuse the farm.
    """
    drawn = chances(scenario, draws=draws)
    worked = with_odds(answer(scenario) if worked is None else worked, drawn.odds)
    document = to_json(worked)
    odds = chances_json(scenario, drawn)
    grounds = _grounds(worked, drawn, document, today)
    return Decision(
        scenario=scenario,
        answer=worked,
        document=document,
        chances=odds,
        first_screen=first_screen(grounds),
        grounds=grounds,
        drawn=drawn,
        paper=paper(document, worked.expected, _owners(scenario.machines), _owners(scenario.kit)),
        smaller=smaller(scenario, worked.expected, "time_paid"),
    )


def turned_screen(decision: Decision, worked: Answer, document: Json) -> FirstScreen:
    """Word the first screen with levers turned; chances stay those of the file.

    Parameters
    ----------
    decision : Decision
        Of the file.
    worked : Answer
        With levers turned.
    document : dict
        Its document.

    Returns
    -------
    FirstScreen
    """
    inputs = worked.expected.inputs
    turned = replace(
        decision.grounds,
        document=document,
        wage=float(inputs.labour.wage),
        fuel_by_month=_fuel_by_month(inputs, worked.scenario.scenario.units),
    )
    moved, base = first_screen(turned), decision.first_screen
    return {
        **moved,
        "price": _what_if(moved["price"], base["price"]),
        "ahead": {**moved["ahead"], "title": f"{moved['ahead']['title']}, no slider moved"},
        "guesses": {**base["guesses"], "heading": GUESSES_HEADING},
        "rests": base["rests"],
    }


def _what_if(moved: Price | None, base: Price | None) -> Price | None:
    """Mark the price that is tried beside today's own."""
    if moved is None or base is None or moved["today"] is None or base["today"] is None:
        return moved
    today: list[PriceMark] = [mark for mark in base["marks"] if mark["key"] == "today"]
    if abs(moved["today"] - base["today"]) < _NEAR * base["today"]:
        return {**moved, "marks": base["marks"]}
    tried: PriceMark = {
        "key": "what_if",
        "label": "what if",
        "price": moved["today"],
        "note": "",
    }
    return {**moved, "marks": [*today, tried]}


class AtOnce(Struct, frozen=True):
    """What can be said of a farm before its chances are counted."""

    advice: str
    year: str
    certain: bool
    """Whether chances cannot change the advice."""


def at_once(result: Results) -> AtOnce:
    """Word the advice and the year of a farm from its average values alone.

    Parameters
    ----------
    result : Results
        A farm, levers turned or not.

    Returns
    -------
    AtOnce
    """
    inputs, advice = result.inputs, result.answer.advice
    return AtOnce(
        advice=advice.label,
        year=said_of_year(
            result.average,
            wage=float(inputs.labour.wage),
            tax_rate=float(inputs.finance.tax_rate),
            wage_taxed=inputs.labour.wage_taxed,
        ),
        certain=bool(result.what_if) or stands_without_chances(advice),
    )


def find_out_next(decision: Decision) -> list[tuple[str, str]]:
    """List the guesses that move the year most and can be found out, the largest first.

    Parameters
    ----------
    decision : Decision
        Of a farm.

    Returns
    -------
    list of (name, money)
        How far each alone moves the worth of a year, as people say it.
    """
    widths = sorted(
        ((name, abs(high - low)) for name, (low, high) in decision.grounds.swings),
        key=lambda row: -row[1],
    )
    return [
        (name, decision.numbers.spoken(width)) for name, width in widths[:MOST_GUESSES] if width
    ]


def _owners(entries: Sequence[Machine | Kit]) -> dict[str, str]:
    """Read whose each entry is, where the file says so."""
    return {entry.name: entry.owner for entry in entries if entry.owner}


def _grounds(
    worked: Answer, drawn: Chances, document: Json, today: datetime.date | None
) -> Grounds:
    """Gather what the first screen is made from."""
    scenario = worked.scenario
    header, inputs = scenario.scenario, worked.expected.inputs
    ledger = ledger_of(document["advice"]["key"])
    rows = swings(scenario, drawn.choices, drawn.kept.sampler.guesses)
    loan = inputs.loan
    return Grounds(
        document=document,
        ahead=drawn.ahead,
        swings=[
            (row.name, row.equivalent_annual[ledger]) for row in rows if row.guess.learned_from
        ],
        shares=_shares(scenario),
        fuel_by_month=_fuel_by_month(inputs, header.units),
        header=header,
        wage=float(inputs.labour.wage),
        tax_rate=float(inputs.finance.tax_rate),
        wage_taxed=inputs.labour.wage_taxed,
        loan=None if loan is None else (float(loan.amount), loan.years, float(loan.rate)),
        today=today or header.priced_on or datetime.date.min,
        last_year=year_ago(),
    )


def _shares(scenario: Scenario) -> tuple[float, float, float]:
    """Part what moves the year into bills, measurements and quotes, and guesses. [-]"""
    by_kind = provenance(scenario).by_kind
    bills = by_kind.get("bill", 0.0)
    guessed = sum(share for kind, share in by_kind.items() if kind in GUESSES)
    return bills, max(0.0, sum(by_kind.values()) - bills - guessed), guessed


def _fuel_by_month(inputs: Inputs, units: str) -> list[float]:
    """Add up what all machines burn in each month without the plan. [volume]"""
    return [
        float(
            from_canonical(
                sum(float(m.fuel_per_year) * m.use_by_month[month] for m in inputs.machines),
                "volume",
                units,
            )
        )
        for month in range(12)
    ]
