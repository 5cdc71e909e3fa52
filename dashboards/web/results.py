"""From a farm being edited, and levers turned, to the model's answer; once for each farm."""

import json
import threading
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np

from dashboards.figures.numbers import ScreenNumbers
from dashboards.web.draft import SHOWN_LEVERS, checked, unread
from dashboards.web.draft import factors as factors_of
from dashboards.web.log_folder import known_farm, log_stamp
from econ.advice.verdict import Case, advise
from econ.answers.document import Answer, to_json
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import from_canonical, unit_label
from econ.ground.wording import Wording
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.levers import LEVERS, Lever
from econ.model.measures import running_balance

Json = dict[str, Any]
_KEPT = 32


@dataclass(frozen=True, slots=True)
class Turned:
    """One lever as a screen shows it."""

    key: str
    label: str
    factor: float
    shown: str


@dataclass(frozen=True, slots=True)
class Results:
    """All that pages read of one farm."""

    answer: Answer
    inputs: Inputs
    """At likely values, levers turned."""
    document: Json
    balance: dict[str, list[float]]
    """Running balance by ledger, years 0..N. [currency]"""
    wage: float
    years: int
    pump_price: float | None
    """Mean price of the fuel replaced, in the file's units."""
    levers: tuple[Turned, ...]

    @property
    def write(self) -> ScreenNumbers:
        """Return how this farm's numbers are written."""
        return ScreenNumbers(self.document["units"], self.document["currency"])

    @property
    def scenario(self) -> Scenario:
        """Return the farm as validated."""
        return self.answer.scenario


def turn(inputs: Inputs, factors: Mapping[str, float]) -> Inputs:
    """Turn levers on inputs."""
    for lever in LEVERS:
        if lever.key in factors:
            inputs = lever.turn(inputs, np.asarray(factors[lever.key]))
    return inputs


@dataclass(frozen=True, slots=True)
class Prepared:
    """A farm read and prepared once, for as long as only levers move."""

    scenario: Scenario
    expected: Inputs
    likely: Inputs

    @classmethod
    def of(cls, scenario: Scenario) -> "Prepared":
        """Prepare a farm at expected and at likely values."""
        return cls(scenario, prepare(scenario), prepare(scenario, at="likely"))

    def at(self, factors: Mapping[str, float]) -> Answer:
        """Work it through with levers turned."""
        expected = evaluate(turn(self.expected, factors))
        likely = evaluate(turn(self.likely, factors))
        header = self.scenario.scenario
        wording = Wording(header.units, header.currency)
        advice = advise(Case(expected, None, wording))
        return Answer(self.scenario, expected, likely, advice, wording)


def answer_at(scenario: Scenario, factors: Mapping[str, float]) -> Answer:
    """Work a farm through with levers turned, at expected and at likely values."""
    return Prepared.of(scenario).at(factors)


def gathered(reached: Answer, factors: Mapping[str, float]) -> Results:
    """Gather what pages read of an answer."""
    header = reached.scenario.scenario
    ledger = reached.expected.ledgers["time_paid"].ledger
    price = float(from_canonical(ledger.mean_price, "price_per_volume", header.units))
    return Results(
        answer=reached,
        inputs=reached.expected.inputs,
        document=to_json(reached),
        balance={
            key: [float(value) for value in running_balance(result.ledger)]
            for key, result in reached.expected.ledgers.items()
        },
        wage=float(reached.expected.inputs.labour.wage),
        years=reached.expected.inputs.finance.years,
        pump_price=price if np.isfinite(price) else None,
        levers=tuple(_turned(lever, reached, factors) for lever in _shown_levers()),
    )


def _shown_levers() -> list[Lever]:
    known = {lever.key: lever for lever in LEVERS}
    return [known[key] for key in SHOWN_LEVERS]


def _turned(lever: Lever, reached: Answer, factors: Mapping[str, float]) -> Turned:
    """Say where a lever stands, in the farm's units."""
    header = reached.scenario.scenario
    value = float(
        from_canonical(lever.present(reached.expected.inputs), lever.dimension, header.units)
    )
    label = lever.label.removeprefix("the ")
    label = label[0].upper() + label[1:]
    if not np.isfinite(value):
        return Turned(lever.key, label, factors.get(lever.key, 1.0), "none on this farm")
    unit = unit_label(lever.dimension, header.units, header.currency)
    money = unit.startswith(sign := unit_label("money", header.units, header.currency))
    amount = f"{value:,.2f}" if abs(value) < 100.0 else f"{value:,.0f}"
    shown = f"{sign}{amount}{unit[len(sign) :]}" if money else f"{amount} {unit}"
    return Turned(lever.key, label, factors.get(lever.key, 1.0), shown)


class _Kept:
    """The last few farms read and prepared, and their answers with levers turned."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._farms: OrderedDict[str, Prepared | tuple[Problem, ...]] = OrderedDict()
        self._found: OrderedDict[str, Results | tuple[Problem, ...]] = OrderedDict()

    def of(self, draft: Json, factors: Mapping[str, float]) -> Results | tuple[Problem, ...]:
        """Return a farm's results, worked out at most once, or its faults."""
        farm = json.dumps([draft["document"], draft["name"], log_stamp(draft)])
        key = json.dumps([farm, sorted(factors.items())])
        with self._lock:
            if farm not in self._farms:
                _keep(self._farms, farm, _prepared(draft))
            if key not in self._found:
                _keep(self._found, key, _worked(self._farms[farm], factors))
            return self._found[key]


Kind = TypeVar("Kind")


def _keep(rows: OrderedDict[str, Kind], key: str, value: Kind) -> None:
    rows[key] = value
    if len(rows) > _KEPT:
        rows.popitem(last=False)


def _prepared(draft: Json) -> Prepared | tuple[Problem, ...]:
    if draft["unread"]:
        return unread(draft)
    try:
        return Prepared.of(known_farm(draft))
    except ScenarioError as error:
        return error.problems


def _worked(
    farm: Prepared | tuple[Problem, ...], factors: Mapping[str, float]
) -> Results | tuple[Problem, ...]:
    if not isinstance(farm, Prepared):
        return farm
    try:
        return gathered(farm.at(factors), factors)
    except ScenarioError as error:
        return error.problems


_KEPT_RESULTS = _Kept()


def results(draft: Json, factors: Mapping[str, float]) -> Results | tuple[Problem, ...]:
    """Work a farm being edited through.

    Parameters
    ----------
    draft : dict
        Checked.
    factors : mapping of str to float
        Of the levers that are turned.

    Returns
    -------
    Results or tuple of Problem
        The model's own messages where the farm has faults.
    """
    return _KEPT_RESULTS.of(draft, factors)


def settled_of(
    settled: object,
) -> tuple[Results | tuple[Problem, ...], dict[str, float]] | None:
    """Return the results of a farm that has stopped changing; None before one is open.

    Parameters
    ----------
    settled : object
        Draft and levers, as the browser sent them.

    Returns
    -------
    (Results or tuple of Problem, dict) or None
        And the levers that are turned.
    """
    if not isinstance(settled, dict):
        return None
    turned = factors_of(settled.get("levers"))
    return results(checked(settled.get("draft")), turned), turned
