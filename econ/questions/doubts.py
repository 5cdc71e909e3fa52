"""What whoever doubts a plan asks: oil drying up, when to stop, how much is guessed.

Examples
--------
>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["wrenfold"])))
>>> lost = oil_lost(outcome)
>>> lost.name in [oil.name for oil in outcome.inputs.oils if not oil.own]
True
"""

import numpy as np
from msgspec import Struct

from econ.farm.prepare import Path, inputs_at, settle
from econ.farm.schema import Estimate, Scenario
from econ.ground.units import Floats
from econ.model.changes import served_in, with_supply
from econ.model.evaluate import evaluate
from econ.model.measures import lost_if_stopped
from econ.model.outcome import Outcome

# Stop when the oil of this many months falls below this share of the plan; judgement, no source.
STOP_MONTHS = 6
STOP_SHARE = 0.5
# How far a number is moved to see how much of the saving hangs on it.
_TENTH = 0.9

NOT_SAID = "not said"
USUAL = "usual value"
# What counts as a guess: no paper and no measurement stands behind it.
GUESSES = ("guess", NOT_SAID, USUAL)


class OilLost(Struct, frozen=True):
    """The plan without its largest source of oil that is not one's own."""

    name: str
    after_wear: float
    """Typical year. [currency/yr]"""
    lost: float
    """Less than the plan as it is. [currency/yr]"""


class StopRule(Struct, frozen=True):
    """A line drawn before the kit is bought."""

    months: int
    oil: float
    """Stop when less than this was taken in. [L]"""
    lost: float
    """Lost by stopping after the first year, your time unpaid, with half the oil. [currency]"""


class Provenance(Struct, frozen=True):
    """How much of the year's saving rests on what kind of number."""

    by_kind: dict[str, float]
    """Share of what moves the saving by kind of source, adding to one. [-]"""
    numbers: int
    """Numbers that move the saving at all."""

    @property
    def guessed(self) -> float:
        """Return the share that rests on guesses. [-]"""
        return sum(share for kind, share in self.by_kind.items() if kind in GUESSES)


def oil_lost(outcome: Outcome) -> OilLost | None:
    """Work the plan through without its largest source that others own.

    Parameters
    ----------
    outcome : Outcome
        At expected values, shape ``()``.

    Returns
    -------
    OilLost or None
        None where no oil of others comes in. [currency/yr]
    """
    inputs = outcome.inputs
    taken = [
        0.0 if oil.own else float(year.taken)
        for oil, year in zip(inputs.oils, outcome.typical.flows.oils, strict=True)
    ]
    if not taken or max(taken) <= 0.0:
        return None
    index = taken.index(max(taken))
    without = served_in(with_supply(inputs, {index: 0.0}), outcome.burn_order)
    left = float(evaluate(without, by_month=False).typical.savings["after_wear"])
    before = float(outcome.typical.savings["after_wear"])
    return OilLost(inputs.oils[index].name, left, before - left)


def stop_rule(outcome: Outcome) -> StopRule | None:
    """Draw the line at half of the first months' oil, and work out what stopping there loses.

    Parameters
    ----------
    outcome : Outcome
        At expected values, shape ``()``, with its months.

    Returns
    -------
    StopRule or None
        None where no oil comes in. [L, currency]
    """
    months = outcome.first_year.months[:STOP_MONTHS]
    planned = float(sum(float(month.collected) for month in months))
    if planned <= 0.0:
        return None
    factors = dict.fromkeys(range(len(outcome.inputs.oils)), STOP_SHARE)
    halved = served_in(with_supply(outcome.inputs, factors), outcome.burn_order)
    ledger = evaluate(halved, by_month=False, measures=()).ledgers["time_free"].ledger
    return StopRule(STOP_MONTHS, planned * STOP_SHARE, float(lost_if_stopped(ledger)[0]))


def _fields(scenario: Scenario) -> list[Path]:
    """Return the path of every number of the file that the model reads, in file order."""
    seen: dict[Path, None] = {}

    def note(path: Path, value: float | Estimate) -> float:
        if path[0] != "uncertainty":
            seen[path] = None
        return value.likely if isinstance(value, Estimate) else float(value)

    inputs_at(scenario, note, settle(scenario))
    return list(seen)


def _in_file(scenario: Scenario, path: Path) -> bool:
    """Say whether the file itself gives a number, rather than the schema."""
    result: object = scenario.merged
    for step in path:
        inside = (isinstance(result, dict) and step in result) or (
            isinstance(result, list) and isinstance(step, int) and step < len(result)
        )
        if not inside:
            return False
        result = result[step]  # type: ignore[index]
    return True


def named_path(scenario: Scenario, path: Path) -> str:
    """Write a field's path as a farm file's sources do: ``oils.Garage.reliability``.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    path : tuple
        Such as ``("oils", 0, "reliability")``.

    Returns
    -------
    str
    """
    result: object = scenario
    words = []
    for step in path:
        if isinstance(step, int) and isinstance(result, list):
            result = result[step]
            words.append(str(getattr(result, "name", None) or getattr(result, "part", step)))
        else:
            result = getattr(result, str(step), None)
            words.append(str(step))
    return ".".join(words)


def _kind(scenario: Scenario, path: Path) -> str:
    """Say where a number comes from, as the file has it."""
    if not _in_file(scenario, path):
        return USUAL
    return scenario.scenario.sources.get(named_path(scenario, path), NOT_SAID)


def provenance(scenario: Scenario) -> Provenance:
    """Say how much of the year's saving hangs on bills, quotes, measurements and guesses.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    Provenance
        A number without a stated source is `NOT_SAID`; one that the file leaves out, `USUAL`.

    Notes
    -----
    Each number of the file in turn is taken a tenth lower, all at once as a batch; the size of
    the change in the worth of a year, one's own time paid, is that number's weight. Judgement, no
    source.
    """
    fields = _fields(scenario)
    places = {path: k + 1 for k, path in enumerate(fields)}

    def pick(path: Path, value: float | Estimate) -> Floats:
        mean = value.expected if isinstance(value, Estimate) else float(value)
        column = np.full(len(fields) + 1, mean)
        if path in places:
            column[places[path]] = _TENTH * mean
        return column

    inputs = inputs_at(scenario, pick, settle(scenario))
    outcome = evaluate(inputs, by_month=False, measures=())
    saving = outcome.per_year("time_paid")
    moves = np.abs(saving[1:] - saving[0]) if np.ndim(saving) else np.zeros(len(fields))
    total = float(np.sum(moves))
    by_kind: dict[str, float] = {}
    for path, move in zip(fields, moves, strict=True):
        kind = _kind(scenario, path)
        by_kind[kind] = by_kind.get(kind, 0.0) + (float(move) / total if total > 0.0 else 0.0)
    return Provenance(by_kind, int(np.count_nonzero(moves > 0.0)))
