"""Every edit of a farm's inputs: what a plan leaves out, takes instead, or has more or less of.

Each is a named function from inputs to inputs that says whether the order in which machines
are served is settled anew. What hangs on something (kit and bills that name it in `serves`)
goes with it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from econ.ground.units import Flags, Floats
from econ.model.inputs import Inputs, KitInputs, OilInputs, YearlyInputs

_ZERO: Floats = np.zeros(())


def burns(inputs: Inputs, index: int) -> Flags:
    """Say whether a machine may burn blend: not excluded, and with a share above 0.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    index : int
        Which machine.

    Returns
    -------
    ndarray of bool, shape (...,)
    """
    machine = inputs.machines[index]
    return (machine.blend_share > 0.0) & (machine.fit.key != "excluded")


def in_plan(inputs: Inputs) -> frozenset[str]:
    """Name what is in a plan: its set-up, oils that bring any, machines that may burn, thinners.

    Parameters
    ----------
    inputs : Inputs
        One farm (numbers of shape ``()``) at expected values: the plan is settled once.

    Returns
    -------
    frozenset of str
        The thinners are those that these machines name, even at share 0.
    """
    burning = [m for k, m in enumerate(inputs.machines) if bool(burns(inputs, k))]
    thinners = {m.thinner for m in burning if m.thinner is not None}
    names = {oil.name for oil in inputs.oils if bool(oil.volume_per_month > 0.0)}
    names |= {machine.name for machine in burning}
    names |= {inputs.thinners[k].name for k in thinners}
    return frozenset(names if inputs.setup is None else {*names, inputs.setup})


def _kept(entry: KitInputs | YearlyInputs, names: Iterable[str]) -> bool:
    return not entry.serves or not set(entry.serves).isdisjoint(names)


def only_what_serves(inputs: Inputs, names: frozenset[str]) -> Inputs:
    """Drop kit and bills that hang on nothing of a plan. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    names : frozenset of str
        From `in_plan`.

    Returns
    -------
    Inputs
    """
    return replace(
        inputs,
        kit=tuple(item for item in inputs.kit if _kept(item, names)),
        yearly=tuple(item for item in inputs.yearly if _kept(item, names)),
    )


def with_oil(inputs: Inputs, index: int, oil: OilInputs) -> Inputs:
    """Put one source in another's place. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which source.
    oil : OilInputs
        What stands there instead.

    Returns
    -------
    Inputs
    """
    oils = tuple(oil if k == index else entry for k, entry in enumerate(inputs.oils))
    return replace(inputs, oils=oils)


def without_source(inputs: Inputs, index: int) -> Inputs:
    """Take nothing from one source; what hangs on it alone goes too. The order stays.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``.
    index : int
        Which source.

    Returns
    -------
    Inputs
    """
    less = with_oil(inputs, index, replace(inputs.oils[index], volume_per_month=_ZERO))
    return only_what_serves(less, in_plan(less))


def on_pump_fuel(inputs: Inputs, index: int) -> Inputs:
    """Leave one machine on pump fuel; what hangs on it alone goes too. The order stays.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``.
    index : int
        Which machine.

    Returns
    -------
    Inputs
    """
    machines = tuple(
        replace(machine, blend_share=_ZERO, may_burn=False) if k == index else machine
        for k, machine in enumerate(inputs.machines)
    )
    less = replace(inputs, machines=machines)
    return only_what_serves(less, in_plan(less))


def with_supply(inputs: Inputs, factors: Mapping[int, float]) -> Inputs:
    """Multiply what sources promise. The order of serving and the plan's kit stay.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    factors : mapping of int to float
        By source; 1 for those it leaves out. [-]

    Returns
    -------
    Inputs
    """
    oils = tuple(
        replace(oil, volume_per_month=oil.volume_per_month * factors.get(k, 1.0))
        for k, oil in enumerate(inputs.oils)
    )
    return replace(inputs, oils=oils)


def without_thinner_limit(inputs: Inputs, index: int) -> Inputs:
    """Let a thinner be had without limit. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which thinner.

    Returns
    -------
    Inputs
    """
    free = tuple(
        replace(thinner, available_per_month=None) if k == index else thinner
        for k, thinner in enumerate(inputs.thinners)
    )
    return replace(inputs, thinners=free)
