"""A farm with its levers turned, worked through once for every page that shows it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm = Prepared.of(load(demo_files()["wrenfold"]))
>>> farm.at({"wage": 2.0}).wage == 2.0 * farm.at({}).wage
True
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
from msgspec import Struct

from econ.advice.verdict import Case, advise
from econ.answers.document import Answer, number, on_average, with_likely
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.units import from_canonical, unit_label
from econ.ground.wording import Wording
from econ.ground.written import Numbers
from econ.model.evaluate import Volumes, at_prices, volumes_of
from econ.model.inputs import Inputs
from econ.model.levers import LEVERS, Lever, turned
from econ.model.measures import running_balance

Json = dict[str, Any]
LEAST_FACTOR, MOST_FACTOR = 0.25, 2.0
"""How far a lever is turned on a screen. [-]"""
# The ones that are turned on a screen, in this order; all others stay in the farm's form.
_ON_SCREEN = ("pump_price", "thinner_price", "oil", "hours_per_batch", "wage", "kit")


def _on_screen() -> list[Lever]:
    known = {lever.key: lever for lever in LEVERS}
    return [known[key] for key in _ON_SCREEN]


def _name(lever: Lever) -> str:
    """Write a lever's label as a heading."""
    label = lever.label.removeprefix("the ")
    return label[0].upper() + label[1:]


SHOWN_LEVERS: dict[str, str] = {lever.key: _name(lever) for lever in _on_screen()}
"""Label by key of the levers that are turned on a screen."""


class Turned(Struct, frozen=True):
    """One lever as a screen shows it."""

    key: str
    label: str
    factor: float
    shown: str
    """Where it stands, with its unit."""


class Results(Struct, frozen=True):
    """All that pages read of one farm, levers turned as they are."""

    answer: Answer
    inputs: Inputs
    """At expected values."""
    average: Json
    """The document but for likely values."""
    balance: dict[str, list[float]]
    """Running balance by ledger, years 0..N. [currency]"""
    wage: float
    years: int
    pump_price: float | None
    """Mean price of the fuel replaced, in the file's units."""
    levers: tuple[Turned, ...]

    @property
    def document(self) -> Json:
        """The whole document; likely values are worked out when it is first asked for."""
        return with_likely(self.average, self.answer)

    @property
    def scenario(self) -> Scenario:
        """The farm as validated."""
        return self.answer.scenario

    @property
    def what_if(self) -> str:
        """What is turned and where it stands, in words; empty where nothing is."""
        moved = [f"{row.label.lower()} {row.shown}" for row in self.levers if row.factor != 1.0]
        return f"What if: {', '.join(moved)}" if moved else ""

    @property
    def write(self) -> Numbers:
        """How this farm's numbers are written."""
        return Numbers(self.average["units"], self.average["currency"])


class Prepared(Struct):
    """A farm prepared once, for as long as only levers move."""

    scenario: Scenario
    expected: Inputs
    likely: Inputs
    _last: tuple[dict[str, float], Volumes] | None = None
    """What was burned last, and with which levers turned: most of them move prices alone."""

    @classmethod
    def of(cls, scenario: Scenario) -> "Prepared":
        """Prepare a farm at expected and at likely values.

        Raises
        ------
        ScenarioError
            If only the blend physics can refuse the scenario.
        """
        return cls(scenario, prepare(scenario), prepare(scenario, at="likely"))

    def at(self, factors: Mapping[str, float]) -> Results:
        """Work it through with levers turned.

        Parameters
        ----------
        factors : mapping of str to float
            By key of a lever; one for those it leaves out. [-]
        """
        expected = at_prices(turned(self.expected, factors), self._volumes_at(factors))
        likely = turned(self.likely, factors)
        header = self.scenario.scenario
        wording = Wording(header.units, header.currency)
        advice = advise(Case(expected, None, wording))
        return _gathered(Answer(self.scenario, expected, likely, advice, wording), factors)

    def _volumes_at(self, factors: Mapping[str, float]) -> Volumes:
        """Return what is burned with levers turned, kept while only prices move."""
        moving = {lever.key for lever in LEVERS if lever.moves_volumes}
        moved = {key: factor for key, factor in factors.items() if key in moving}
        last = self._last
        if last is None or last[0] != moved:
            last = self._last = (moved, volumes_of(turned(self.expected, moved)))
        return last[1]


def _gathered(reached: Answer, factors: Mapping[str, float]) -> Results:
    """Gather what pages read of an answer."""
    units, outcome = reached.scenario.scenario.units, reached.expected
    price = outcome.ledgers["time_paid"].ledger.mean_price
    return Results(
        answer=reached,
        inputs=outcome.inputs,
        average=on_average(reached),
        balance={
            key: [float(value) for value in running_balance(result.ledger)]
            for key, result in outcome.ledgers.items()
        },
        wage=float(outcome.inputs.labour.wage),
        years=outcome.inputs.finance.years,
        pump_price=number(from_canonical(price, "price_per_volume", units)),
        levers=tuple(_turned(lever, reached, factors) for lever in _on_screen()),
    )


def _turned(lever: Lever, reached: Answer, factors: Mapping[str, float]) -> Turned:
    """Say where a lever stands, in the farm's units."""
    header, factor = reached.scenario.scenario, factors.get(lever.key, 1.0)
    present = lever.present(reached.expected.inputs)
    if lever.key == "pump_price":
        # The mean that bar and scale have, of what is replaced, not of all that machines burn.
        mean = reached.expected.ledgers["time_paid"].ledger.mean_price
        present = np.where(np.isfinite(mean), mean, present)
    value = float(from_canonical(present, lever.dimension, header.units))
    if not np.isfinite(value):
        return Turned(lever.key, _name(lever), factor, "none on this farm")
    unit = unit_label(lever.dimension, header.units, header.currency)
    money = unit.startswith(sign := unit_label("money", header.units, header.currency))
    amount = f"{value:,.2f}" if abs(value) < 100.0 else f"{value:,.0f}"
    shown = f"{sign}{amount}{unit[len(sign) :]}" if money else f"{amount} {unit}"
    return Turned(lever.key, _name(lever), factor, shown)
