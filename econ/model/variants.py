"""Many variants of one farm as one batch: other thinners, a machine left on pump fuel.

A machine stands in the batch once for every thinner that any variant gives it, with a share of
0 in the variants that burn another, so that one list of machines serves all. What has a share
of 0 adds an exact zero to every sum: each row is what the model says of that variant alone.

Examples
--------
>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> batch = side_by_side(inputs, [Variant(), Variant(idle=0)])
>>> as_it_is, idle = batch.outcome.per_year("time_paid")
>>> bool(abs(as_it_is - evaluate(inputs).per_year("time_paid")) < 1e-9)
True
"""

from collections.abc import Mapping, Sequence
from typing import Any, TypeVar

import numpy as np
from msgspec import Struct, field, structs
from numpy.typing import NDArray

from econ.ground.records import replace
from econ.ground.units import Flags, Floats
from econ.model.changes import with_thinners
from econ.model.evaluate import Volumes, at_prices, volumes_of
from econ.model.inputs import Inputs, MachineInputs
from econ.model.outcome import Outcome
from econ.model.side_by_side import hanging

Rows = NDArray[np.int64]
Record = TypeVar("Record")

_CLEAN = -1
# Entries of a list times rows worked through together: what keeps a block of them small in memory.
_TOGETHER = 200_000


class Variant(Struct, frozen=True):
    """How one row differs from the farm; kit and bills hang on what is then in the plan."""

    thinner_of: Mapping[int, int] = field(default_factory=dict)
    """Thinner by machine, at the same job; the others keep their own."""
    idle: int | None = None
    """A machine left on pump fuel."""
    unlimited: int | None = None
    """A thinner to be had without limit."""


class Batch(Struct, frozen=True):
    """Variants side by side, and what they come to."""

    inputs: Inputs
    """Its machines are the ways; numbers of shape ``()`` or ``(variants,)``."""
    ways: tuple[tuple[int, ...], ...]
    """By machine of the farm, its places in the batch."""
    volumes: Volumes
    outcome: Outcome
    """Of all variants, measures as asked for."""
    count: int

    def by_machine(self, values: Sequence[Floats]) -> Floats:
        """Put a figure of every way together by the farm's machines.

        Parameters
        ----------
        values : sequence of ndarray, shape () or (variants,) each
            One a way. [any]

        Returns
        -------
        ndarray, shape (machines, variants)
        """
        whole = np.zeros((len(self.ways), self.count))
        for k, places in enumerate(self.ways):
            for place in places:
                whole[k] += values[place]
        return whole


def rows_of(record: Record, rows: Rows) -> Record:
    """Take some rows of every array in a record.

    Parameters
    ----------
    record : Struct, tuple, dict, array or plain value
        Its arrays of shape ``()`` stand for every row.
    rows : ndarray of int, shape (n,)
        Which.

    Returns
    -------
    the same type
    """
    return _taken(record, rows)  # type: ignore[no-any-return]


def _taken(record: Any, rows: Rows) -> Any:
    if isinstance(record, np.ndarray):
        return record if record.ndim == 0 else record[rows]
    if isinstance(record, tuple):
        taken = tuple(_taken(entry, rows) for entry in record)
        same = all(new is old for new, old in zip(taken, record, strict=True))
        return record if same else taken
    if isinstance(record, dict):
        return {key: _taken(entry, rows) for key, entry in record.items()}
    if isinstance(record, Struct):
        changed = {}
        for name in record.__struct_fields__:
            old = getattr(record, name)
            new = _taken(old, rows)
            if new is not old:
                changed[name] = new
        return structs.replace(record, **changed) if changed else record
    return record


def _picks(inputs: Inputs, variants: Sequence[Variant]) -> tuple[Rows, Flags]:
    """Return the thinner that each machine has in each variant, and whether it burns blend."""
    own = [_CLEAN if m.thinner is None else m.thinner for m in inputs.machines]
    picks = np.repeat(np.array(own, dtype=np.int64)[:, None], len(variants), axis=1)
    may = np.array([machine.may_burn for machine in inputs.machines], dtype=bool)
    burns = np.repeat(may[:, None], len(variants), axis=1)
    for row, variant in enumerate(variants):
        for k, thinner in variant.thinner_of.items():
            picks[k, row] = thinner
        if variant.idle is not None:
            burns[variant.idle, row] = False
    return picks, burns


def _switched(machine: MachineInputs, there: Flags, burns: Flags) -> MachineInputs:
    """Have a way in some rows only; one that is there and burns none still needs its fuel."""
    if burns.all():
        return machine
    use, share = np.asarray(there, dtype=np.float64), np.asarray(burns, dtype=np.float64)
    return replace(
        machine,
        fuel_per_year=machine.fuel_per_year * use,
        blend_share=machine.blend_share * share,
        resale_loss=machine.resale_loss * share,
    )


def _names(inputs: Inputs, picks: Rows, burns: Flags) -> dict[str, Flags]:
    """Say in which variants each name is that kit or bills may hang on."""
    count = picks.shape[1]
    every, none = np.ones(count, dtype=bool), np.zeros(count, dtype=bool)
    result = {
        oil.name: every if bool(np.any(oil.volume_per_month > 0.0)) else none for oil in inputs.oils
    }
    result |= {machine.name: burns[k] for k, machine in enumerate(inputs.machines)}
    for j, thinner in enumerate(inputs.thinners):
        used = np.any(burns & (picks == j), axis=0)
        result[thinner.name] = used | result.get(thinner.name, none)
    if inputs.setup is not None:
        result[inputs.setup] = every
    return result


def _unlimited(inputs: Inputs, variants: Sequence[Variant]) -> Inputs:
    """Lift the limit of a thinner in the variants that ask for it."""
    thinners = []
    for j, thinner in enumerate(inputs.thinners):
        free = np.array([variant.unlimited == j for variant in variants])
        if thinner.available_per_month is not None and free.any():
            lifted = np.where(free, np.inf, thinner.available_per_month)
            thinner = replace(thinner, available_per_month=lifted)
        thinners.append(thinner)
    return replace(inputs, thinners=tuple(thinners))


def side_by_side(
    inputs: Inputs, variants: Sequence[Variant], *, measures: Sequence[str] | None = None
) -> Batch:
    """Work many variants of a farm through at once.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``, with all its kit and bills and its order of serving
        settled; the order stays.
    variants : sequence of Variant
        At least one.
    measures : sequence of str, optional
        Of the ledgers, as for `evaluate`.

    Returns
    -------
    Batch
        Each row equals `evaluate` of that variant alone.

    Raises
    ------
    ValueError
        If the order of serving is not settled.
    """
    if inputs.burn_order is None:
        message = "a batch needs a settled burn order"
        raise ValueError(message)
    picks, burns = _picks(inputs, variants)
    machines: list[MachineInputs] = []
    ways: list[tuple[int, ...]] = []
    for k, own in enumerate(inputs.machines):
        places = []
        for thinner in dict.fromkeys(picks[k].tolist()):
            entry = own
            if thinner not in (own.thinner, _CLEAN):
                entry = with_thinners(inputs, {k: thinner}).machines[k]
            there = picks[k] == thinner
            # A machine that may burn nothing in any row stays as it is.
            on = burns[k] & there if own.may_burn else there
            places.append(len(machines))
            machines.append(_switched(entry, there, on))
        ways.append(tuple(places))
    order = tuple(place for k in inputs.burn_order for place in ways[k])
    listed = replace(_unlimited(inputs, variants), machines=tuple(machines), burn_order=order)
    batch = hanging(listed, _names(inputs, picks, burns))
    volumes = volumes_of(batch)
    outcome = at_prices(batch, volumes, measures=measures)
    return Batch(batch, tuple(ways), volumes, outcome, len(variants))


def blocks_of(rows: int, entries: int) -> list[slice]:
    """Part the rows of a batch into blocks that stay small in memory.

    Parameters
    ----------
    rows : int
        How many.
    entries : int
        Of the longest list in the batch, machines or sources: each has arrays of its own.

    Returns
    -------
    list of slice
    """
    size = max(1, _TOGETHER // max(1, entries))
    return [slice(start, min(start + size, rows)) for start in range(0, rows, size)]
