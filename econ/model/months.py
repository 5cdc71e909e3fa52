"""Month by month: oil comes in, is cleaned, stored and burned.

Forty-eight months, January first: the first year from empty stores, a second year and a
settling year that count for nothing, and the typical year, which stands for all later ones.
The loop runs over months and machines, never over draws.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> process = inputs.process
>>> bool(hands_on_hours(inputs, 2.0 * process.batch_volume) == 2.0 * process.hours_per_batch)
True
"""

import numpy as np
from msgspec import Struct

from econ.ground.units import Flags, Floats, total
from econ.model.changes import months_of_some
from econ.model.inputs import Inputs, OilInputs, ProcessInputs
from econ.model.outcome import Blend, Codes, Flows, Month, OilYear
from econ.model.rows import Rows, laid_over, some_rows

BOTTLENECKS = ("need", "oil", "capacity", "thinner", "storage")
"""What holds a month back; an index into this tuple is stored for each month."""
_NEED, _OIL, _CAPACITY, _THINNER, _STORAGE = range(5)

# A rest below this share of what was asked is rounding, not fuel.
_NOTHING = 1e-9
# Unmet wants below this share are no bottleneck.
_UNMET = 1e-3
# A store that grows by more than this share of the year's collection is still filling.
_GREW = 1e-6

# The second of the years that lead to the typical one, and the typical one, from 0.
_SECOND, _TYPICAL = 1, 3
# Above this share of a batch, rows that go on are not worth taking apart.
_MOST = 0.5

_ZERO: Floats = np.zeros(())
_Stores = tuple[Floats, Floats]
_Year = tuple[Flows, tuple[Month, ...]]


class _Supply(Struct, frozen=True):
    """What one month's promise brings, the same every month of a year."""

    usable: tuple[Floats, ...]
    hours_per_litre: tuple[Floats, ...]
    trips_per_litre: tuple[Floats, ...]
    total: Floats
    """All that is usable."""
    hours: Floats
    """Hauling hours when all of it is taken."""
    order: tuple[int, ...]
    """Own oils first, then the others, in file order."""
    capacity: Floats
    """Raw oil that can be cleaned in a month in which all of it is taken."""


class _Want(Struct, frozen=True):
    """What one machine asks for in a calendar month."""

    machine: int
    oil: Floats
    """Clean oil."""
    least: Floats
    """Less than this is rounding, not fuel."""
    blend: Blend


class _Demand(Struct, frozen=True):
    """What one calendar month asks for."""

    wants: tuple[_Want, ...]
    """In burn order, wanting machines only."""
    wanted: Floats
    ceiling: Floats
    """What may be burned and then stand in the clean store: cleaning stops there."""


class _Burned(Struct, frozen=True):
    """One month's burning."""

    taken: tuple[Floats, ...]
    """Clean oil by machine, in the order of the demand's wants."""
    total: Floats
    thinner_short: Flags
    """Where a machine's thinner ran out while there was clean oil for it."""


class _Step(Struct, frozen=True):
    """One simulated month."""

    collected: tuple[Floats, ...]
    """By source."""
    hauling_hours: Floats
    raw: Floats
    """Raw oil at hand before cleaning."""
    capacity: Floats
    processed: Floats
    raw_end: Floats
    clean_end: Floats
    burned: _Burned


def hands_on_hours(inputs: Inputs, processed: Floats) -> Floats:
    """Return the hours of cleaning that a volume of raw oil asks for.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    processed : ndarray, shape (...,)
        Raw oil cleaned. [L]

    Returns
    -------
    ndarray, shape (...,)
        Hands-on hours. [h]
    """
    return processed / inputs.process.batch_volume * inputs.process.hours_per_batch


def fetching_per_litre(oil: OilInputs) -> tuple[Floats, Floats]:
    """Work out the trips and hours that each usable litre of a source takes to fetch.

    Parameters
    ----------
    oil : OilInputs
        The source.

    Returns
    -------
    (ndarray, ndarray), each of shape (...,)
        Trips [1/L] and hours [h/L]; what is looked at and left takes room in a load's trip.
    """
    if oil.load_volume is None:
        return _ZERO, _ZERO
    kept = 1.0 - oil.reject_share
    safe = np.where(kept > 0.0, kept, 1.0)
    trips = np.where(kept > 0.0, 1.0 / (safe * oil.load_volume), 0.0)
    return trips, trips * oil.hours_per_trip


def _supply(inputs: Inputs, turns_up: Floats) -> _Supply:
    """Scale the promised oil to what turns up and to the hours to spare."""
    usable, hours, trips = [], [], []
    for oil in inputs.oils:
        kept = 1.0 - oil.reject_share
        usable.append(oil.volume_per_month * oil.reliability * turns_up * kept)
        per_litre = fetching_per_litre(oil)
        trips.append(per_litre[0])
        hours.append(per_litre[1])
    limit = inputs.process.hours_per_month
    if limit is not None and usable:
        whole = sum((u * h for u, h in zip(usable, hours, strict=True)), np.zeros(()))
        whole = whole + hands_on_hours(inputs, sum(usable, np.zeros(())))
        safe = np.where(whole > 0.0, whole, 1.0)
        scale = np.where(whole > 0.0, np.minimum(1.0, limit / safe), 1.0)
        usable = [u * scale for u in usable]
    hauling = total([u * h for u, h in zip(usable, hours, strict=True)])
    return _Supply(
        usable=tuple(usable),
        hours_per_litre=tuple(hours),
        trips_per_litre=tuple(trips),
        total=total(usable),
        hours=hauling,
        capacity=_capacity(inputs.process, hauling),
        order=tuple(sorted(range(len(usable)), key=lambda k: not inputs.oils[k].own)),
    )


def _demands(
    inputs: Inputs, blends: tuple[tuple[Blend, Blend], ...], order: tuple[int, ...]
) -> tuple[_Demand, ...]:
    """Work out, for each calendar month, the clean oil wanted and what thinner allows of it."""
    result = []
    for month in range(12):
        wants = []
        for index in order:
            machine = inputs.machines[index]
            if not machine.blend_months[month] or machine.use_by_month[month] == 0.0:
                continue
            if not machine.blend_share.any():
                # No fuel of it is replaced in any draw.
                continue
            blend = blends[index][1 if inputs.winter_months[month] else 0]
            diesel = machine.fuel_per_year * machine.use_by_month[month] * machine.blend_share
            want = diesel * blend.volume_per_replaced * (1.0 - blend.thinner_share)
            if blend.too_thick.any():
                want = np.where(blend.too_thick, 0.0, want)
            wants.append(_Want(index, want, _NOTHING * want, blend))
        wanted = total([want.oil for want in wants])
        unlimited = _burn(inputs, tuple(wants), np.asarray(np.inf))
        ceiling = unlimited.total + inputs.process.clean_storage
        result.append(_Demand(tuple(wants), wanted, ceiling))
    return tuple(result)


def _burn(inputs: Inputs, wants: tuple[_Want, ...], clean: Floats) -> _Burned:
    """Serve machines in order from the clean store and this month's thinners."""
    left: dict[int, Floats] = {
        k: thinner.available_per_month
        for k, thinner in enumerate(inputs.thinners)
        if thinner.available_per_month is not None
    }
    taken = []
    burned: Floats = _ZERO
    short: Flags = np.zeros((), dtype=bool)
    for want in wants:
        take = np.minimum(want.oil, clean)
        thinner = inputs.machines[want.machine].thinner
        x = want.blend.thinner_share
        if thinner is not None and thinner in left:
            safe = np.where(x > 0.0, x, 1.0)
            allowed = np.where(x > 0.0, left[thinner] * (1.0 - x) / safe, np.inf)
            short = short | (allowed < take)
            take = np.minimum(take, allowed)
        nothing = take < want.least
        if nothing.any():
            take = np.where(nothing, 0.0, take)
        if thinner is not None and thinner in left:
            left[thinner] = np.maximum(0.0, left[thinner] - take * x / (1.0 - x))
        clean = clean - take
        burned = burned + take
        taken.append(take)
    return _Burned(tuple(taken), burned, short)


def _capacity(process: ProcessInputs, hauling_hours: Floats) -> Floats:
    """Return the raw oil that can be cleaned this month; infinite without a limit."""
    capacity: Floats = np.asarray(np.inf)
    if process.max_batches_per_month is not None:
        capacity = process.max_batches_per_month * process.batch_volume
    if process.hours_per_month is not None:
        spare = np.maximum(0.0, process.hours_per_month - hauling_hours)
        each = process.hours_per_batch
        safe = np.where(each > 0.0, each, 1.0)
        by_hours = np.where(each > 0.0, spare / safe * process.batch_volume, np.inf)
        capacity = np.minimum(capacity, by_hours)
    return capacity


def _collect(
    inputs: Inputs, supply: _Supply, raw: Floats
) -> tuple[tuple[Floats, ...], Floats, Floats]:
    """Fill the raw store, own oils first; give volumes by source, hauling hours, raw oil."""
    room = np.maximum(0.0, inputs.process.raw_storage - raw)
    if (supply.total <= room).all():
        # Nothing is cut, in any draw: the usual case, and the same sums as below.
        return supply.usable, supply.hours, raw + supply.total
    taken: list[Floats] = [_ZERO] * len(inputs.oils)
    for k in supply.order:
        taken[k] = np.minimum(supply.usable[k], room)
        room = room - taken[k]
    hours = total([t * h for t, h in zip(taken, supply.hours_per_litre, strict=True)])
    return tuple(taken), hours, raw + total(taken)


def _step(inputs: Inputs, supply: _Supply, demand: _Demand, raw: Floats, clean: Floats) -> _Step:
    """Run one month from the stores it begins with."""
    process = inputs.process
    collected, hauling_hours, raw = _collect(inputs, supply, raw)
    full = hauling_hours is supply.hours
    capacity = supply.capacity if full else _capacity(process, hauling_hours)
    kept = 1.0 - process.loss_share
    room = np.maximum(0.0, demand.ceiling - clean) / kept
    processed = np.minimum(np.minimum(raw, capacity), room)
    clean = clean + processed * kept
    # What is held back for days without delivery is never burned by the plan.
    free = np.maximum(0.0, clean - inputs.reserve.clean_oil)
    burned = _burn(inputs, demand.wants, free)
    return _Step(
        collected=collected,
        hauling_hours=hauling_hours,
        raw=raw,
        capacity=capacity,
        processed=processed,
        raw_end=raw - processed,
        clean_end=np.maximum(0.0, clean - burned.total),
        burned=burned,
    )


def _burned_by_season(
    inputs: Inputs, demands: tuple[_Demand, ...], steps: list[_Step]
) -> dict[tuple[int, bool], tuple[Floats, Blend]]:
    """Add up the oil each machine burned in winter and outside; its blend is one a season."""
    result: dict[tuple[int, bool], tuple[Floats, Blend]] = {}
    for month, (demand, step) in enumerate(zip(demands, steps, strict=True)):
        for want, taken in zip(demand.wants, step.burned.taken, strict=True):
            key = (want.machine, inputs.winter_months[month])
            before = result.get(key)
            result[key] = (taken if before is None else before[0] + taken, want.blend)
    return result


def _flows(
    inputs: Inputs,
    supply: _Supply,
    demands: tuple[_Demand, ...],
    steps: list[_Step],
    stores: _Stores,
) -> Flows:
    """Add twelve months up."""
    oil = [_ZERO] * len(inputs.machines)
    blend, thinner, replaced = list(oil), list(oil), list(oil)
    for (k, _), (taken, mix) in _burned_by_season(inputs, demands, steps).items():
        volume = taken / (1.0 - mix.thinner_share)
        oil[k] = oil[k] + taken
        blend[k] = blend[k] + volume
        thinner[k] = thinner[k] + volume * mix.thinner_share
        replaced[k] = replaced[k] + volume / mix.volume_per_replaced
    oils = []
    for k, per_litre in enumerate(zip(supply.trips_per_litre, supply.hours_per_litre, strict=True)):
        taken = total([step.collected[k] for step in steps])
        oils.append(OilYear(taken, taken * per_litre[0], taken * per_litre[1]))
    return Flows(
        oils=tuple(oils),
        processed=total([step.processed for step in steps]),
        oil_used=tuple(oil),
        blend=tuple(blend),
        thinner=tuple(thinner),
        fuel_replaced=tuple(replaced),
        raw_start=stores[0],
        clean_start=stores[1],
        raw_end=steps[-1].raw_end,
        clean_end=steps[-1].clean_end,
    )


def _bottlenecks(supply: _Supply, demands: tuple[_Demand, ...], steps: list[_Step]) -> list[Codes]:
    """Name what holds each month of a year back."""
    promised = supply.total
    codes, cut = [], []
    for demand, step in zip(demands, steps, strict=True):
        unmet = demand.wanted - step.burned.total > _UNMET * demand.wanted
        held = step.capacity < step.raw * (1.0 - _NOTHING)
        code = np.where(held, _CAPACITY, _OIL)
        code = np.where(step.burned.thinner_short, _THINNER, code)
        codes.append(np.where(unmet, code, _NEED))
        cut.append(total(step.collected) < promised * (1.0 - _NOTHING))
    short = np.zeros((), dtype=bool)
    for code in codes:
        short = short | (code == _OIL) | (code == _CAPACITY)
    return [
        np.where((code == _NEED) & was_cut & short, _STORAGE, code)
        for code, was_cut in zip(codes, cut, strict=True)
    ]


def _months(
    inputs: Inputs, supply: _Supply, demands: tuple[_Demand, ...], steps: list[_Step]
) -> tuple[Month, ...]:
    """Return the twelve months of a year as shown."""
    zero: Floats = np.zeros(())
    codes = _bottlenecks(supply, demands, steps)
    result = []
    for month, (demand, step, code) in enumerate(zip(demands, steps, codes, strict=True)):
        blend, thinner, replaced = zero, zero, zero
        for want, taken in zip(demand.wants, step.burned.taken, strict=True):
            mix = want.blend
            volume = taken / (1.0 - mix.thinner_share)
            blend = blend + volume
            thinner = thinner + volume * mix.thinner_share
            replaced = replaced + volume / mix.volume_per_replaced
        result.append(
            Month(
                month=month + 1,
                wanted=demand.wanted,
                collected=total(step.collected),
                processed=step.processed,
                raw_end=step.raw_end,
                clean_end=step.clean_end,
                oil_used=step.burned.total,
                thinner=thinner,
                blend=blend,
                fuel_replaced=replaced,
                hours=step.hauling_hours + hands_on_hours(inputs, step.processed),
                bottleneck=code,
            )
        )
    return tuple(result)


def _left(steps: list[_Step]) -> _Stores:
    """Return the raw and clean stores after a year."""
    return steps[-1].raw_end, steps[-1].clean_end


def _run(
    inputs: Inputs,
    supply: _Supply,
    demands: tuple[_Demand, ...],
    stores: _Stores,
) -> list[_Step]:
    """Run twelve months from the stores they begin with."""
    steps: list[_Step] = []
    for demand in demands:
        steps.append(_step(inputs, supply, demand, *stores))
        stores = _left(steps)
    return steps


def _settled(inputs: Inputs, second: list[_Step], start: _Stores) -> _Stores:
    """Return the stores the settling year begins with, so that slow filling is not waited for."""
    collected = total([total(step.collected) for step in second])
    raw, clean = _left(second)
    raw_grew = raw - start[0] > _GREW * collected
    clean_grew = clean - start[1] > _GREW * collected
    return (
        np.where(raw_grew | clean_grew, inputs.process.raw_storage, raw),
        np.where(clean_grew, inputs.process.clean_storage, clean),
    )


class _Plant(Struct, frozen=True):
    """What runs month by month, all oil of its promise turning up."""

    inputs: Inputs
    supply: _Supply
    demands: tuple[_Demand, ...]

    def run(self, stores: _Stores) -> list[_Step]:
        """Run a year from the stores it begins with."""
        return _run(self.inputs, self.supply, self.demands, stores)

    def year(self, steps: list[_Step], stores: _Stores, *, by_month: bool) -> _Year:
        """Add a year up, and show its months if they are asked for."""
        months = _months(self.inputs, self.supply, self.demands, steps) if by_month else ()
        return _flows(self.inputs, self.supply, self.demands, steps, stores), months

    def some_rows(self, rows: Rows, shape: tuple[int, ...]) -> "_Plant":
        """Return it with only some rows of a batch, as far as months look at it."""
        supply, demands = some_rows((self.supply, self.demands), rows, shape)
        return _Plant(months_of_some(self.inputs, rows, shape), supply, demands)


def _typical(
    plant: _Plant, steps: list[_Step], stores: _Stores, number: int, *, by_month: bool
) -> _Year:
    """Go on from one of the years 0 to 3 to the typical one, the last.

    Stores that were full or empty once forget how they began, so years soon repeat to the bit:
    only rows of a batch whose years do not go on.
    """
    if number == _TYPICAL:
        return plant.year(steps, stores, by_month=by_month)
    after = _left(steps)
    following = _settled(plant.inputs, steps, stores) if number == _SECOND else after
    moves = np.zeros((), dtype=bool)
    for before, left, start in zip(stores, after, following, strict=True):
        moves = moves | (before != left) | (before != start)
    rows = np.flatnonzero(moves)
    if not rows.size:
        return plant.year(steps, stores, by_month=by_month)
    if moves.ndim != 1 or rows.size > _MOST * moves.size:
        onward = plant.run(following)
        return _typical(plant, onward, following, number + 1, by_month=by_month)
    shape = moves.shape
    some = plant.some_rows(rows, shape)
    begin = (some_rows(following[0], rows, shape), some_rows(following[1], rows, shape))
    part = _typical(some, some.run(begin), begin, number + 1, by_month=by_month)
    return laid_over(plant.year(steps, stores, by_month=by_month), part, rows, shape)


def simulate(
    inputs: Inputs,
    blends: tuple[tuple[Blend, Blend], ...],
    order: tuple[int, ...],
    *,
    by_month: bool = True,
) -> tuple[_Year, _Year]:
    """Run the farm for four years and give the first and the typical one.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    blends : tuple of (Blend, Blend), one pair a machine
        Thinner share and volume per replaced outside winter and in winter. [-]
    order : tuple of int
        Machines in the order in which they are served.
    by_month : bool
        Whether to give the months as well as the years' sums.

    Returns
    -------
    (Flows, months), (Flows, months)
        The first year and the typical year; `months` is empty unless asked for. [L, h]

    Notes
    -----
    Of the promised oil, only `first_year_share` turns up in the first year; the typical year is
    settled from a first year with all of it. The stores of the settling year are set full where
    they were still filling over the second year; see `_settled`. Oil is conserved: collected =
    processed + growth of the raw store, and processed x (1 - loss) = used + growth of the clean
    store.
    """
    demands = _demands(inputs, blends, order)
    plant = _Plant(inputs, _supply(inputs, np.ones(())), demands)
    empty: _Stores = (np.zeros(()), np.zeros(()))
    # The typical year knows nothing of the first one's missing oil: stores that fill up again
    # after it would be taken for stores that fill slowly, and emptied year after year.
    whole = plant.run(empty)
    typical = _typical(plant, whole, empty, 0, by_month=by_month)
    if np.all(inputs.process.first_year_share == 1.0):
        return plant.year(whole, empty, by_month=by_month), typical
    start = _Plant(inputs, _supply(inputs, inputs.process.first_year_share), demands)
    return start.year(start.run(empty), empty, by_month=by_month), typical
