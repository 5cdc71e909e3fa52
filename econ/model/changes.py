"""Every edit of a farm's inputs: what a plan leaves out, takes instead, or has more or less of.

Each is a named function from inputs to inputs that says whether the order in which machines
are served is settled anew. What hangs on something (kit and bills that name it in `serves`)
goes with it.

Examples
--------
>>> import numpy as np
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> float(with_hours_per_batch(inputs, np.asarray(3.0)).process.hours_per_batch)
3.0
>>> float(without_source(inputs, 0).oils[0].volume_per_month)
0.0
"""

from collections.abc import Iterable, Mapping

import numpy as np
from numpy.typing import NDArray

from econ.ground.records import replace
from econ.ground.units import Floats
from econ.model.equal_job import job_of, share_for_job
from econ.model.inputs import (
    Inputs,
    KitInputs,
    MachineInputs,
    OilInputs,
    ThinnerInputs,
    YearlyInputs,
)
from econ.model.rows import Rows, some_rows

_ZERO: Floats = np.zeros(())


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
    burning = [machine for machine in inputs.machines if machine.may_burn]
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


def months_of_some(inputs: Inputs, rows: Rows, shape: tuple[int, ...]) -> Inputs:
    """Keep only some draws of a batch in what its months read. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm; its machines, money and all else keep every draw.
    rows : ndarray of int, shape (k,)
        Which draws.
    shape : tuple of int
        Of the batch.

    Returns
    -------
    Inputs
    """
    process, thinners, reserve = some_rows(
        (inputs.process, inputs.thinners, inputs.reserve), rows, shape
    )
    return replace(inputs, process=process, thinners=thinners, reserve=reserve)


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


def with_source(inputs: Inputs, oil: OilInputs) -> Inputs:
    """Take oil from one source more. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    oil : OilInputs
        The new source; it stands last.

    Returns
    -------
    Inputs
    """
    return replace(inputs, oils=(*inputs.oils, oil))


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


def with_supply(inputs: Inputs, factors: Mapping[int, float | Floats]) -> Inputs:
    """Multiply what sources promise. The order of serving and the plan's kit stay.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    factors : mapping of int to float or ndarray, shape (...,)
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


def _swapped(inputs: Inputs, index: int, thinner: int) -> MachineInputs:
    """Return one machine with another thinner at the share that does its job."""
    machine = inputs.machines[index]
    job = job_of(inputs, index)
    if job is None or machine.thinner == thinner:
        return machine
    if job.by_limit:
        return replace(machine, thinner=thinner)
    shares = [
        share_for_job(inputs, job, inputs.thinners[thinner], winter=winter)
        for winter in (False, True)
    ]
    return replace(
        machine, thinner=thinner, thinner_share=shares[0], thinner_share_winter=shares[1]
    )


def with_thinners(inputs: Inputs, thinner_of: Mapping[int, int]) -> Inputs:
    """Return the farm with other thinners doing the same jobs, all else as it was.

    The order in which machines are served stays the scenario's own, so that only the thinner
    differs. A machine's own thinner keeps the share of the file.

    Parameters
    ----------
    inputs : Inputs
        The farm as its file has it.
    thinner_of : mapping of int to int
        Thinner by machine, as indices.

    Returns
    -------
    Inputs
        A machine whose new thinner is too thick in a season burns pump fuel in it.
    """
    machines = tuple(
        _swapped(inputs, k, thinner_of[k]) if k in thinner_of else machine
        for k, machine in enumerate(inputs.machines)
    )
    return replace(inputs, machines=machines)


def with_thinner_list(inputs: Inputs, thinners: Iterable[ThinnerInputs]) -> Inputs:
    """List other thinners, such as the pump fuels behind them. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    thinners : iterable of ThinnerInputs
        Those that machines take, at the places that they have now.

    Returns
    -------
    Inputs
    """
    return replace(inputs, thinners=tuple(thinners))


def with_prices(inputs: Inputs, moved: NDArray[np.int_], prices: Floats) -> Inputs:
    """Move one thinner's price in each case; a tied one moves its fuel and all tied to that.

    The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm, numbers of shape ``()``.
    moved : ndarray of int, shape (...,)
        Which thinner's price is moved in each case.
    prices : ndarray, shape (...,)
        What it is moved to. [currency/L]

    Returns
    -------
    Inputs
        Prices of shape ``(...,)``.
    """
    fuels = [thinner.tied_to for thinner in inputs.thinners]

    def follows(fuel: str | None, own: int | None) -> NDArray[np.bool_]:
        tied = [k for k, other in enumerate(fuels) if fuel is not None and other == fuel]
        return np.isin(moved, tied if own is None else [own, *tied])

    thinners = tuple(
        replace(entry, price=np.where(follows(entry.tied_to, k), prices, entry.price))
        for k, entry in enumerate(inputs.thinners)
    )
    bought = {
        fuel: np.where(follows(fuel, None), prices, price) for fuel, price in inputs.prices.items()
    }
    return replace(inputs, thinners=thinners, prices=bought)


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


def with_plan(inputs: Inputs, oils: Iterable[int], thinner_of: Mapping[int, int | None]) -> Inputs:
    """Take these sources and burn blend in these machines, and have what hangs on them.

    The order of serving is settled anew.

    Parameters
    ----------
    inputs : Inputs
        The farm with all its kit and bills.
    oils : iterable of int
        Sources taken; nothing comes from the others.
    thinner_of : mapping of int to int or None
        Thinner of each machine that burns blend, at the share that does the job of its own with
        these sources; None for clean oil alone. The other machines stay on pump fuel.

    Returns
    -------
    Inputs
    """
    taken = set(oils)
    sources = tuple(
        oil if k in taken else replace(oil, volume_per_month=_ZERO)
        for k, oil in enumerate(inputs.oils)
    )
    pooled = replace(inputs, oils=sources)
    thinned = {k: thinner for k, thinner in thinner_of.items() if thinner is not None}
    thinners = with_thinners(pooled, thinned).machines
    machines = tuple(
        machine if k in thinner_of else replace(machine, blend_share=_ZERO, may_burn=False)
        for k, machine in enumerate(thinners)
    )
    planned = replace(pooled, machines=machines, burn_order=None)
    return only_what_serves(planned, in_plan(planned))


def with_raw_storage(inputs: Inputs, room: Floats) -> Inputs:
    """Return the raw store another size. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    room : ndarray, shape (...,)
        [L]

    Returns
    -------
    Inputs
    """
    return replace(inputs, process=replace(inputs.process, raw_storage=room))


def with_clean_storage(inputs: Inputs, room: Floats) -> Inputs:
    """Return the clean store another size. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    room : ndarray, shape (...,)
        [L]

    Returns
    -------
    Inputs
    """
    return replace(inputs, process=replace(inputs.process, clean_storage=room))


def with_stores(inputs: Inputs, factors: Floats) -> Inputs:
    """Make both stores larger or smaller alike. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    factors : ndarray, shape (...,)
        [-]

    Returns
    -------
    Inputs
    """
    process = inputs.process
    raw = with_raw_storage(inputs, process.raw_storage * factors)
    return with_clean_storage(raw, process.clean_storage * factors)


def own_oil_only(inputs: Inputs) -> Inputs:
    """Take nothing from others, nor have what hangs on it. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.

    Returns
    -------
    Inputs
    """
    others = {k: 0.0 for k, oil in enumerate(inputs.oils) if not oil.own}
    alone = with_supply(inputs, others)
    return only_what_serves(alone, in_plan(alone))


def with_hours_per_month(inputs: Inputs, hours: Floats) -> Inputs:
    """Have other hours to spare each month. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    hours : ndarray, shape (...,)
        [h/month]

    Returns
    -------
    Inputs
    """
    return replace(inputs, process=replace(inputs.process, hours_per_month=hours))


def with_hours_per_batch(inputs: Inputs, hours: Floats) -> Inputs:
    """Take other hours for a batch. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    hours : ndarray, shape (...,)
        [h]

    Returns
    -------
    Inputs
    """
    return replace(inputs, process=replace(inputs.process, hours_per_batch=hours))


def served_in(inputs: Inputs, order: tuple[int, ...] | None) -> Inputs:
    """Serve machines in a given order.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    order : tuple of int or None
        Machines, first first; None settles the order anew by what oil earns in each.

    Returns
    -------
    Inputs
    """
    return replace(inputs, burn_order=order)


def without_oil_reserve(inputs: Inputs) -> Inputs:
    """Keep no clean oil back for days without delivery. The order of serving stays.

    Parameters
    ----------
    inputs : Inputs
        The farm.

    Returns
    -------
    Inputs
    """
    return replace(inputs, reserve=replace(inputs.reserve, clean_oil=_ZERO))


def as_planned_in_draws(drawn: Inputs, planned: Inputs) -> Inputs:
    """Take a plan's sources, machines, thinners and order of serving into drawn inputs.

    Parameters
    ----------
    drawn : Inputs
        The farm's drawn numbers, with all its kit.
    planned : Inputs
        The plan at expected values.

    Returns
    -------
    Inputs
        The order is the plan's. Shares that the plan itself sets stay as they are at expected
        values: a mix is written down once. Those of the file are drawn.
    """
    sources = tuple(
        oil if bool(chosen.volume_per_month > 0.0) else chosen
        for oil, chosen in zip(drawn.oils, planned.oils, strict=True)
    )
    machines = tuple(
        _as_chosen(machine, chosen)
        for machine, chosen in zip(drawn.machines, planned.machines, strict=True)
    )
    return replace(drawn, oils=sources, machines=machines, burn_order=planned.burn_order)


def _as_chosen(drawn: MachineInputs, chosen: MachineInputs) -> MachineInputs:
    """Give a drawn machine the thinner that a plan gives it, or leave it on pump fuel."""
    if chosen.thinner != drawn.thinner:
        drawn = replace(
            drawn,
            thinner=chosen.thinner,
            thinner_share=chosen.thinner_share,
            thinner_share_winter=chosen.thinner_share_winter,
        )
    return drawn if chosen.may_burn else replace(drawn, blend_share=_ZERO, may_burn=False)


def begun_a_year_later(inputs: Inputs, there: Iterable[str]) -> Inputs:
    """Begin a plan a year from now, with kit that a year's use has aged.

    The order of serving stays. Prices are those of that year in its own money: fuel that rises
    faster than all else has done so for a year.

    Parameters
    ----------
    inputs : Inputs
        The plan as it would be begun today.
    there : iterable of str
        Names of the kit that was used in the year before and has years left.

    Returns
    -------
    Inputs
        One year shorter.
    """
    aged, finance = set(there), inputs.finance
    faster = (1.0 + finance.fuel_inflation) / (1.0 + finance.inflation)
    return replace(
        inputs,
        kit=tuple(_a_year_old(item) if item.name in aged else item for item in inputs.kit),
        prices={fuel: price * faster for fuel, price in inputs.prices.items()},
        thinners=tuple(replace(t, price=t.price * faster) for t in inputs.thinners),
        finance=replace(finance, years=finance.years - 1),
    )


def _a_year_old(item: KitInputs) -> KitInputs:
    """Return a piece of kit as it stands after a year's use."""
    left = item.cost if item.owned else item.cost * item.resale_share
    return replace(
        item,
        owned=True,
        cost=left * (1.0 - 1.0 / item.life_years),
        life_years=item.life_years - 1,
    )
