"""Many plans of one farm as one batch: sources and machines switched on and off by arrays.

Each machine stands in the batch once for every thinner it may take, so that one list of
machines serves all plans; what a plan leaves out has a share or a volume of 0, and adds nothing
to any sum.

Examples
--------
>>> import numpy as np
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> taken = np.array([[True, True, True], [False, True, True]])
>>> plans = names_in_plans(inputs, (), taken, np.zeros((2, 0)))
>>> plans[inputs.oils[0].name].tolist()
[True, False]
"""

from collections.abc import Mapping, Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.ground.records import replace
from econ.ground.units import Flags, Floats
from econ.model.blends import machine_blends, oil_pool
from econ.model.changes import with_thinners
from econ.model.inputs import Inputs, MachineInputs
from econ.model.oil_money import oil_worths
from econ.model.outcome import Blend

Masks = NDArray[np.int64]


class Ways(Struct, frozen=True):
    """What one machine may burn: a thinner by index, None for clean oil alone."""

    machine: int
    thinners: tuple[int | None, ...]


class Shares(Struct, frozen=True):
    """What each way comes to with each set of sources."""

    share: Floats
    """Thinner by volume outside winter and in winter; shape (ways, 2, sets). [-]"""
    order: NDArray[np.int64]
    """Ways in the order in which they are served; shape (sets, ways)."""
    possible: Flags
    """Whether a way's thinner is thin enough in any of its blend months; (ways, sets)."""


def _oils(inputs: Inputs, taken: Flags) -> Inputs:
    """Take from each source or not, set by set."""
    oils = tuple(
        replace(oil, volume_per_month=np.where(taken[:, k], oil.volume_per_month, 0.0))
        for k, oil in enumerate(inputs.oils)
    )
    return replace(inputs, oils=oils)


def _list_of(ways: Sequence[Ways]) -> list[tuple[int, int | None]]:
    return [(way.machine, thinner) for way in ways for thinner in way.thinners]


def _with_ways(inputs: Inputs, ways: Sequence[Ways]) -> Inputs:
    """Put each machine in the list once for every thinner it may take, each at the same job."""
    machines: list[MachineInputs] = []
    for index, thinner in _list_of(ways):
        own = inputs.machines[index]
        if thinner is not None and thinner != own.thinner:
            own = with_thinners(inputs, {index: thinner}).machines[index]
        machines.append(own)
    return replace(inputs, machines=tuple(machines))


def _possible(machine: MachineInputs, inputs: Inputs, pair: tuple[Blend, Blend]) -> Flags:
    """Say whether any blend month is left in which a machine's thinner is thin enough."""
    seasons = {inputs.winter_months[m] for m in range(12) if machine.blend_months[m]}
    possible: Flags = np.zeros((), dtype=bool)
    for winter in seasons:
        possible = possible | ~pair[1 if winter else 0].too_thick
    return possible


def shares_of(inputs: Inputs, ways: Sequence[Ways], taken: Flags) -> Shares:
    """Work out shares, order of serving and possibility for each set of sources.

    Parameters
    ----------
    inputs : Inputs
        One farm at expected values, numbers of shape ``()``.
    ways : sequence of Ways
        The machines that may burn blend.
    taken : ndarray of bool, shape (sets, sources)
        Which sources each set takes.

    Returns
    -------
    Shares
    """
    count = len(taken)
    listed = _with_ways(_oils(inputs, taken), ways)
    blends = machine_blends(listed, oil_pool(listed))
    share = [
        [np.where(blend.too_thick, np.nan, blend.thinner_share) for blend in pair]
        for pair in blends
    ]
    worths = [np.broadcast_to(worth, (count,)) for worth in oil_worths(listed, blends)]
    possible = [
        np.broadcast_to(_possible(machine, listed, pair), (count,))
        for machine, pair in zip(listed.machines, blends, strict=True)
    ]
    whole = np.empty((len(blends), 2, count))
    for k, pair_of in enumerate(share):
        for season, values in enumerate(pair_of):
            whole[k, season] = values
    order = np.argsort(-np.stack(worths), axis=0, kind="stable").T
    return Shares(whole, order, np.stack(possible))


def names_in_plans(
    inputs: Inputs, ways: Sequence[Ways], taken: Flags, picks: Masks
) -> dict[str, Flags]:
    """Say in which plans each name is: its set-up, sources, machines that burn, thinners.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    ways : sequence of Ways
        The machines that may burn blend.
    taken : ndarray of bool, shape (plans, sources)
        Sources taken.
    picks : ndarray of int, shape (plans, ways)
        For each machine that may burn, 0 for pump fuel, else 1 + the index of its thinner.

    Returns
    -------
    dict of str to ndarray of bool, shape (plans,)
    """
    count = len(taken)
    result = {oil.name: taken[:, k] for k, oil in enumerate(inputs.oils)}
    result |= {thinner.name: np.zeros(count, dtype=bool) for thinner in inputs.thinners}
    for k, way in enumerate(ways):
        result[inputs.machines[way.machine].name] = picks[:, k] > 0
        for j, thinner in enumerate(way.thinners):
            if thinner is not None:
                name = inputs.thinners[thinner].name
                result[name] = result[name] | (picks[:, k] == j + 1)
    if inputs.setup is not None:
        result[inputs.setup] = np.ones(count, dtype=bool)
    return result


def hanging(inputs: Inputs, names: Mapping[str, Flags]) -> Inputs:
    """Count kit and bills in the plans that have what they hang on.

    Parameters
    ----------
    inputs : Inputs
        The farm with all its kit and bills.
    names : mapping of str to ndarray of bool, shape (plans,)
        In which plans each name is.

    Returns
    -------
    Inputs
        What hangs on nothing of a plan costs 0 in it.
    """

    def counted(serves: tuple[str, ...]) -> Floats:
        known = [names[name] for name in serves if name in names]
        there = np.any(known, axis=0) if known else np.zeros((), dtype=bool)
        return np.asarray(there, dtype=np.float64)

    kit = []
    for item in inputs.kit:
        if item.serves:
            there = counted(item.serves)
            item = replace(
                item,
                cost=item.cost * there,
                new_cost=item.new_cost * there,
                exit_cost=item.exit_cost * there,
            )
        kit.append(item)
    yearly = []
    for bill in inputs.yearly:
        if bill.serves:
            there = counted(bill.serves)
            bill = replace(bill, cost=bill.cost * there, hours=bill.hours * there)
        yearly.append(bill)
    return replace(inputs, kit=tuple(kit), yearly=tuple(yearly))


def plans_side_by_side(
    inputs: Inputs,
    ways: Sequence[Ways],
    shares: Floats,
    taken: Flags,
    picks: Masks,
    order: tuple[int, ...],
) -> Inputs:
    """Put many plans of a farm into one batch.

    Parameters
    ----------
    inputs : Inputs
        The farm with all its kit and bills, numbers of shape ``()``.
    ways : sequence of Ways
        The machines that may burn blend.
    shares : ndarray, shape (ways, 2, plans)
        Thinner share of each way with each plan's sources, NaN where it is too thick. [-]
    taken : ndarray of bool, shape (plans, sources)
        Sources taken.
    picks : ndarray of int, shape (plans, machines)
        0 for pump fuel, else 1 + the index of its thinner.
    order : tuple of int
        Order of serving that all these plans share.

    Returns
    -------
    Inputs
        Its machines are the ways; numbers of shape ``(plans,)``. The order is the one given.
    """
    machines = []
    place = 0
    for k, way in enumerate(ways):
        own = inputs.machines[way.machine]
        for j, thinner in enumerate(way.thinners):
            on = np.asarray(picks[:, k] == j + 1, dtype=np.float64)
            machines.append(
                replace(
                    own,
                    thinner=thinner,
                    blend_share=own.blend_share * on,
                    resale_loss=own.resale_loss * on,
                    may_burn=True,
                    viscosity_limit=None,
                    thinner_share=None if thinner is None else shares[place, 0],
                    thinner_share_winter=None if thinner is None else shares[place, 1],
                )
            )
            place += 1
    listed = replace(_oils(inputs, taken), machines=tuple(machines), burn_order=order)
    return hanging(listed, names_in_plans(inputs, ways, taken, picks))
