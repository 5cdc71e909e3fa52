"""What may be decided: which set-up, which sources, and what each machine burns.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> space = space_of(load(demo_files()["wrenfold"]))
>>> decision_of_file(space).size == len(space.oils) + len(space.ways)
True
"""

from collections.abc import Iterator
from itertools import product

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from econ.farm.prepare import Choices, pick_at, settle, whole_inputs_at
from econ.farm.schema import Scenario
from econ.fuel.substances import as_gasoline
from econ.ground.units import Flags
from econ.model.inputs import Inputs
from econ.model.side_by_side import Ways

Picks = NDArray[np.int64]
# Plans put into one batch: what fits the cache.
BATCH = 4096


class Decision(Struct, frozen=True, order=True):
    """One plan: a set-up, the sources it takes, and what each machine burns."""

    setup: int
    oils: tuple[int, ...]
    """Sources taken, as indices in file order."""
    thinners: tuple[tuple[int, int | None], ...]
    """(machine, thinner) for each machine that burns blend; None for clean oil alone."""

    @property
    def size(self) -> int:
        """Return how many sources and machines take part."""
        return len(self.oils) + len(self.thinners)


class Space(Struct, frozen=True):
    """All that may be decided about one farm."""

    scenario: Scenario
    choices: Choices
    """Of the file's own plan."""
    inputs: tuple[Inputs, ...]
    """By set-up, with all its kit and bills, at expected values."""
    oils: tuple[int, ...]
    """Sources that may be taken."""
    must_oils: frozenset[int]
    ways: tuple[Ways, ...]
    """Machines that may burn blend, with what each may burn."""
    must_machines: frozenset[int]
    notes: tuple[str, ...] = field(default=())
    """What was left out of the search, and why."""
    blocked: tuple[str, ...] = field(default=())
    """Why no plan can do what the file says it must."""

    @property
    def count(self) -> int:
        """Return the number of plans, without "nothing"."""
        sources: int = 1 << (len(self.oils) - len(self.must_oils))
        machines = 1
        for way in self.ways:
            machines *= len(way.thinners) + (way.machine not in self.must_machines)
        return len(self.inputs) * sources * machines


def _thinners(
    scenario: Scenario, inputs: Inputs, index: int, notes: list[str]
) -> tuple[int | None, ...]:
    """List what a machine may burn: its own thinner first, then those its file names."""
    machine, written = inputs.machines[index], scenario.machines[index]
    names = [thinner.name for thinner in inputs.thinners]
    listed = [machine.thinner, *(names.index(name) for name in written.thinners)]
    result: list[int | None] = []
    for thinner in dict.fromkeys(listed):
        if thinner is not None:
            entry = inputs.thinners[thinner]
            gasoline = as_gasoline(entry.kind)
            if gasoline and not scenario.limits.gasoline:
                notes.append(f"{entry.name} in {machine.name}: the limits allow no gasoline")
                continue
            dyed = entry.tied_to == "farm_diesel" and bool(machine.road_share > 0.0)
            if dyed and thinner != machine.thinner:
                notes.append(f"{entry.name} in {machine.name}: farm diesel in a road machine")
                continue
        result.append(thinner)
    return tuple(result)


def space_of(scenario: Scenario) -> Space:
    """Lay out what may be decided about a farm.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    Space
        Without sources that bring nothing or are never to be taken, and without machines that
        stay on pump fuel by their fit, by choice or for want of an allowed thinner.

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    choices = settle(scenario)
    setups = range(max(1, len(scenario.setups)))
    inputs = tuple(
        whole_inputs_at(scenario, pick_at("expected"), settle(scenario, setup)) for setup in setups
    )
    first, notes = inputs[0], list[str]()
    oils = tuple(
        k
        for k, oil in enumerate(first.oils)
        if bool(oil.volume_per_month > 0.0) and scenario.oils[k].choice != "never"
    )
    ways = []
    for k, machine in enumerate(first.machines):
        if machine.may_burn and scenario.machines[k].choice != "never":
            thinners = _thinners(scenario, first, k, notes)
            if thinners:
                ways.append(Ways(k, thinners))
    able = {way.machine for way in ways}
    blocked = tuple(
        f"{machine.name} must burn blend, but stays on pump fuel:"
        f" {' '.join(first.machines[k].fit.reasons) or 'no thinner is allowed for it'}"
        for k, machine in enumerate(scenario.machines)
        if machine.choice == "must" and k not in able
    )
    return Space(
        scenario=scenario,
        choices=choices,
        blocked=blocked,
        inputs=inputs,
        oils=oils,
        must_oils=frozenset(k for k in oils if scenario.oils[k].choice == "must"),
        ways=tuple(ways),
        must_machines=frozenset(
            way.machine for way in ways if scenario.machines[way.machine].choice == "must"
        ),
        notes=tuple(notes),
    )


def decision_of_file(space: Space) -> Decision:
    """Read the plan that the file itself makes.

    Parameters
    ----------
    space : Space
        Of the farm.

    Returns
    -------
    Decision
    """
    inputs = space.inputs[0]
    return Decision(
        0,
        tuple(k for k, oil in enumerate(inputs.oils) if bool(oil.volume_per_month > 0.0)),
        tuple((k, m.thinner) for k, m in enumerate(inputs.machines) if m.may_burn),
    )


class Batch(Struct, frozen=True):
    """Plans of one set-up, laid out as arrays."""

    setup: int
    taken: Flags
    """Sources taken; shape (plans, sources of the file)."""
    picks: Picks
    """For each way, 0 for pump fuel, else 1 + the place of its thinner; (plans, ways)."""


def batch_of(space: Space, decisions: list[Decision]) -> Batch:
    """Lay decisions of one set-up out as arrays.

    Parameters
    ----------
    space : Space
        Of the farm.
    decisions : list of Decision
        All of one set-up; each machine's thinner among those it may take.

    Returns
    -------
    Batch
    """
    taken = np.zeros((len(decisions), len(space.inputs[0].oils)), dtype=bool)
    picks = np.zeros((len(decisions), len(space.ways)), dtype=np.int64)
    places = {way.machine: k for k, way in enumerate(space.ways)}
    for row, decision in enumerate(decisions):
        taken[row, list(decision.oils)] = True
        for machine, thinner in decision.thinners:
            way = space.ways[places[machine]]
            picks[row, places[machine]] = way.thinners.index(thinner) + 1
    return Batch(decisions[0].setup, taken, picks)


def _sets(space: Space) -> Flags:
    """List every set of sources that takes all it must, and at least one."""
    rows = []
    for on in product((False, True), repeat=len(space.oils)):
        row = np.zeros(len(space.inputs[0].oils), dtype=bool)
        row[list(space.oils)] = on
        if row.any() and all(row[k] for k in space.must_oils):
            rows.append(row)
    return np.array(rows, dtype=bool).reshape(len(rows), len(space.inputs[0].oils))


def _all_picks(space: Space) -> Picks:
    """List everything that the machines together may burn, at least one of them blend."""
    each = [
        range(1 if way.machine in space.must_machines else 0, len(way.thinners) + 1)
        for way in space.ways
    ]
    rows = [row for row in product(*each) if any(row)]
    return np.array(rows, dtype=np.int64).reshape(len(rows), len(space.ways))


def batches(space: Space) -> Iterator[Batch]:
    """Go through every plan that takes some oil and burns it somewhere.

    Parameters
    ----------
    space : Space
        Of the farm.

    Yields
    ------
    Batch
        At most about `BATCH` plans, set-up by set-up.
    """
    sets, picks = _sets(space), _all_picks(space)
    if not len(sets) or not len(picks):
        return
    total = len(sets) * len(picks)
    for setup in range(len(space.inputs)):
        for start in range(0, total, BATCH):
            rows = np.arange(start, min(start + BATCH, total))
            yield Batch(setup, sets[rows // len(picks)], picks[rows % len(picks)])
