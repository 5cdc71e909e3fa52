"""A farm with its log: read once, learnt from whole, nothing written back.

>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> share = plan_share(prepare(load(demo_files()["wrenfold"])))
>>> january, july = (datetime.date(2026, month, 1) for month in (1, 7))
>>> share("Utility tractor", january) > share("Utility tractor", july)
True
"""

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from econ.farm.files import load
from econ.farm.known import with_known
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.model.blends import machine_blends, oil_pool
from econ.model.inputs import Inputs

if TYPE_CHECKING:
    # For types alone: most farms keep no log, and none waits for what would read it.
    from econ.farm.log import Log
    from econ.questions.balances import Balances
    from econ.questions.learning import Learned


class Records(Struct, frozen=True):
    """A farm, its log, and what the log says."""

    guess: Scenario
    """The farm as its file has it: the first guess."""
    log: "Log"
    account: "Balances"
    learned: "tuple[Learned, ...]"
    scenario: Scenario
    """The farm as it is known now."""


def plan_share(inputs: Inputs) -> Callable[[str, datetime.date], float]:
    """Return the plan's thinner share by machine and day.

    Parameters
    ----------
    inputs : Inputs
        The farm at expected values.

    Returns
    -------
    callable
        For `balances`: 0 for a machine that burns clean oil alone. [-]
    """
    names = [machine.name for machine in inputs.machines]
    blends = machine_blends(inputs, oil_pool(inputs))

    def share(machine: str, day: datetime.date) -> float:
        season = 1 if inputs.winter_months[day.month - 1] else 0
        return float(blends[names.index(machine)][season].thinner_share)

    return share


def records_of(scenario: Scenario, log: "Log") -> Records:
    """Learn from a farm's log.

    Parameters
    ----------
    scenario : Scenario
        As loaded, without any records.
    log : Log
        Its whole log.

    Returns
    -------
    Records
    """
    from econ.questions.balances import balances
    from econ.questions.learning import known, learn
    from econ.questions.observed import observe

    share = plan_share(prepare(scenario, at="expected"))
    account = balances(log.rows, share)
    learned = tuple(learn(one) for one in observe(scenario, log, account))
    return Records(scenario, log, account, learned, with_known(scenario, known(learned)))


def log_of(scenario: Scenario, log: Path | None = None) -> Path | None:
    """Return where a farm's log is: the one named, else the farm's own, else None."""
    if log is not None:
        return log
    name = scenario.records.log
    return scenario.path.parent / name if name else None


def load_with_records(
    path: Path | str, log: Path | None = None, today: datetime.date | None = None
) -> tuple[Scenario, Records | None]:
    """Read a farm, and what its log has made of its guesses.

    Parameters
    ----------
    path : Path or str
        The farm.
    log : Path, optional
        Its log; the one that the farm names by default.
    today : date, optional
        Rows of later days are faults.

    Returns
    -------
    (Scenario, Records or None)
        The farm as it is known now, and its records, None where it has no log.

    Raises
    ------
    ScenarioError
        If the farm or its log cannot be read.
    """
    scenario = load(path)
    place = log_of(scenario, log)
    if place is None:
        return scenario, None
    from econ.farm.log_reading import read_log

    records = records_of(scenario, read_log(place, scenario, today))
    return records.scenario, records
