"""One more and one less of what can be had: what it would bring to a plan, or cost it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> from econ.questions.plan import planned
>>> from econ.questions.plan_space import decision_of_file, space_of
>>> space = space_of(load(demo_files()["wrenfold"]))
>>> rows = one_more(space, planned(space, decision_of_file(space)), "time_paid")
>>> [row.step for row in rows if row.key in ("hours", "hours_per_batch")]
[1.0, 1.0]
"""

from collections.abc import Callable, Iterator

import numpy as np
from msgspec import Struct

from econ.ground.records import replace
from econ.ground.units import LITRES_PER_GALLON, Floats
from econ.model.changes import (
    with_clean_storage,
    with_hours_per_batch,
    with_hours_per_month,
    with_raw_storage,
    with_supply,
)
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.questions.plan import Plan, planned
from econ.questions.plan_space import Space

# A steel drum: 55 US gallons, or 200 litres where litres are counted. [L]
DRUMS = {"us": 55.0 * LITRES_PER_GALLON, "metric": 200.0}
TENTH = 0.1
# Sizes looked at between nothing and what there is.
_SIZES = 60
# A change below this is no change: it is not worth writing down. [currency/yr]
_NOTHING = 0.5


class OneMore(Struct, frozen=True):
    """What one more and one less of something would bring. [currency/yr]"""

    key: str
    """"hours", "raw_storage", "clean_storage", "hours_per_batch", "source" or "machine"."""
    name: str
    """Of the source or machine; empty else."""
    step: float
    """In canonical units; a tenth for a source, 1 for a machine."""
    dimension: str
    more: float | None
    less: float | None
    """None where there is nothing to add or take."""
    now: float
    """How much there is, in canonical units."""
    spare: float
    """How much less would cost nothing; 0 where any less costs something."""


class _Thing(Struct, frozen=True):
    """One quantity of a plan that can be more or less."""

    key: str
    name: str
    step: float
    dimension: str
    now: float
    change: Callable[[Inputs, Floats], Inputs]
    least: float = 0.0


def _source(index: int, now: float) -> Callable[[Inputs, Floats], Inputs]:
    return lambda inputs, volumes: with_supply(inputs, {index: volumes / now})


def _things(inputs: Inputs, units: str) -> Iterator[_Thing]:
    """List what a plan has, and the step by which it is looked at."""
    process, drum = inputs.process, DRUMS[units]
    if process.hours_per_month is not None:
        yield _Thing(
            "hours",
            "",
            1.0,
            "hours_per_month",
            float(process.hours_per_month),
            with_hours_per_month,
        )
    yield _Thing(
        "hours_per_batch", "", 1.0, "hours", float(process.hours_per_batch), with_hours_per_batch
    )
    yield _Thing("raw_storage", "", drum, "volume", float(process.raw_storage), with_raw_storage)
    held = float(inputs.reserve.clean_oil)
    yield _Thing(
        "clean_storage", "", drum, "volume", float(process.clean_storage), with_clean_storage, held
    )
    for k, oil in enumerate(inputs.oils):
        now = float(oil.volume_per_month)
        if now > 0.0:
            yield _Thing("source", oil.name, TENTH * now, "volume_per_month", now, _source(k, now))


def _one(inputs: Inputs, thing: _Thing, ledger: str, base: float) -> OneMore:
    """Work a plan through with one more, one less, and every size below."""
    down = max(thing.least, thing.now - thing.step)
    sizes = np.linspace(thing.least, thing.now, _SIZES + 1)
    values = np.concatenate([[thing.now + thing.step, down], sizes])
    outcome = evaluate(thing.change(inputs, values), by_month=False, measures=())
    worth = outcome.ledgers[ledger].measures["equivalent_annual"]
    gains = np.broadcast_to(worth, values.shape) - base
    # From what there is downwards, as far as nothing is lost on the way.
    costs = np.flatnonzero(gains[2:] < -_NOTHING)
    last = int(costs[-1]) + 1 if costs.size else 0
    spare = thing.now - float(sizes[last]) if last <= _SIZES else 0.0
    less = float(gains[1]) if thing.now > thing.least else None
    if thing.key == "hours_per_batch":
        spare = 0.0
    return OneMore(
        thing.key, thing.name, thing.step, thing.dimension, float(gains[0]), less, thing.now, spare
    )


def _machines(space: Space, plan: Plan, ledger: str) -> Iterator[OneMore]:
    """Work a plan through with each machine more, or less."""
    decision = plan.decision
    if decision is None:
        return
    base, burning = plan.worth(ledger), dict(decision.thinners)
    for way in space.ways:
        name = space.inputs[0].machines[way.machine].name
        others = dict(burning)
        if way.machine in burning:
            del others[way.machine]
        else:
            others[way.machine] = way.thinners[0]
        changed = replace(decision, thinners=tuple(sorted(others.items(), key=_first)))
        gain = (planned(space, changed).worth(ledger) if others else 0.0) - base
        there = way.machine in burning
        yield OneMore(
            "machine",
            name,
            1.0,
            "count",
            None if there else gain,
            gain if there else None,
            float(there),
            0.0,
        )


def _first(pair: tuple[int, int | None]) -> int:
    return pair[0]


def one_more(space: Space, plan: Plan, ledger: str) -> tuple[OneMore, ...]:
    """Say what one more and one less of each thing would bring to a plan, all else held.

    Parameters
    ----------
    space : Space
        Of the farm.
    plan : Plan
        Worked through; nothing is said of "nothing".
    ledger : str
        "time_free" or "time_paid".

    Returns
    -------
    tuple of OneMore
        An hour a month, an hour a batch, each store by a drum, each source by a tenth, each
        machine. The order of serving stays, but where machines come or go.
    """
    if plan.inputs is None:
        return ()
    base = plan.worth(ledger)
    units = space.scenario.scenario.units
    result = [_one(plan.inputs, thing, ledger, base) for thing in _things(plan.inputs, units)]
    return (*result, *_machines(space, plan, ledger))
