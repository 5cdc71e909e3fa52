"""Which oil is worth fetching: the model with and without each source, and with a drum more.

>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> weighed = oil_worth(prepare(load(demo_files()["wrenfold"])))
>>> len(weighed.sources) == len(weighed.outcome.inputs.oils)
True
"""

import numpy as np
from msgspec import Struct

from econ.fuel.viscosity_band import Part, viscosity_band
from econ.ground.units import Floats
from econ.model.changes import with_supply
from econ.model.equal_job import JOB_TEMPERATURE, job_of, pool_part, share_for_job
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.model.variants import blocks_of
from econ.questions.mixes import seasons_of
from econ.questions.source_edits import at_distances, each_source_changed
from econ.questions.tie_prices import crossings

# Longer round trips than this are not looked at. [km]
FARTHEST = 1000.0
# Distances at which a change of sign is looked for.
POINTS = 65


class Difference(Struct, frozen=True):
    """A change of what the plan is worth a year, by ledger. [currency/yr]"""

    time_paid: Floats
    time_free: Floats


class ShareEffect(Struct, frozen=True):
    """What a source's thickness does to one machine's thinner share, the job kept."""

    machine: int
    share: Floats
    """Of its own thinner, with the source. [-]"""
    share_without: Floats
    """NaN where the thinner would be too thick. [-]"""


class SourceWorth(Struct, frozen=True):
    """What one source brings to the farm."""

    oil: int
    taken: Floats
    """[L/yr]"""
    trips: Floats
    kept: Difference
    """The plan with the source less the plan without it."""
    hours: Floats
    """Hands-on hours of the year that it takes, hauling and batches. [h/yr]"""
    drum: Difference
    """One more drum of the same oil a year, standing at the gate: free, no trip."""
    drum_fetched: Difference
    """One more drum a year from the source, its price and its trips paid."""
    farthest: Floats
    """Round trip at which it keeps nothing more; NaN where there is none. [km]"""
    always_pays: bool
    """Where there is no farthest trip: whether it pays over every distance looked at."""
    viscosity: Floats
    """Of this oil at 40 °C. [cSt]"""
    pool_without: Floats
    """Viscosity of the pool at 40 °C without it; NaN where it is the only oil. [cSt]"""
    shares: tuple[ShareEffect, ...]

    @property
    def kept_per_volume(self) -> Floats:
        """Return money kept by volume taken; NaN where none is. [currency/L]"""
        return _each(self.kept.time_paid, self.taken)

    @property
    def kept_per_trip(self) -> Floats:
        """Return money kept by trip; NaN without trips. [currency]"""
        return _each(self.kept.time_paid, self.trips)

    @property
    def kept_per_hour(self) -> Floats:
        """Return what each hour brings before one's own are paid for; NaN without. [currency/h]"""
        return _each(self.kept.time_free, self.hours)


class OilWorth(Struct, frozen=True):
    """Every source of a farm, the one that keeps most first."""

    outcome: Outcome
    sources: tuple[SourceWorth, ...]
    pool_viscosity: Floats
    """At 40 °C. [cSt]"""


def _each(amount: Floats, volume: Floats) -> Floats:
    return amount / np.where(volume > 1e-9, volume, np.nan)


class _Weighed(Struct, frozen=True):
    """Every question to the model, worked through as rows of one batch."""

    worths: dict[str, Floats]
    """Worth a year by ledger: of the farm, without each source, with a drum of each at the gate,
    with one fetched; shape (1 + 3 sources,). [currency/yr]"""
    hours: Floats
    """Of the typical year, the same rows. [h/yr]"""

    def kept(self, more: int, less: int) -> Difference:
        """Return the difference of two rows."""
        paid, free = (
            np.asarray(self.worths[key][more] - self.worths[key][less])
            for key in ("time_paid", "time_free")
        )
        return Difference(paid, free)


def _weighed(inputs: Inputs) -> _Weighed:
    rows = 1 + 3 * len(inputs.oils)
    outcome = evaluate(each_source_changed(inputs), by_month=False, measures=())
    return _Weighed(
        {key: np.broadcast_to(outcome.per_year(key), (rows,)) for key in outcome.ledgers},
        np.broadcast_to(outcome.typical.fuel["hours"], (rows,)),
    )


def _farthest(inputs: Inputs, without: Floats) -> list[tuple[float, bool]]:
    """Find the round trip at which each source keeps nothing, else whether it always pays.

    `without` is the worth a year without each source, time paid. [currency/yr]
    """
    nowhere = [(float("nan"), False)] * len(inputs.oils)
    fetched = [
        k
        for k, oil in enumerate(inputs.oils)
        if oil.load_volume is not None and bool(oil.volume_per_month > 0.0)
    ]

    def keeps(sources: list[int], places: Floats) -> Floats:
        shape = (len(sources), places.shape[1])
        which = np.repeat(np.array(sources, dtype=np.int64), shape[1])
        round_trips = np.broadcast_to(places, shape).ravel()
        worths = np.empty(len(which))
        for some in blocks_of(len(which), len(inputs.oils)):
            moved = at_distances(inputs, which[some], round_trips[some])
            worths[some] = evaluate(moved, by_month=False, measures=()).per_year("time_paid")
        return (worths - without[which]).reshape(shape)

    if not fetched:
        return nowhere
    near = keeps(fetched, np.zeros((1, 1)))[:, 0]
    paying = [k for k, kept in zip(fetched, near, strict=True) if kept > 0.0]
    if paying:
        points = np.linspace(0.0, FARTHEST, POINTS)
        gathered = crossings(lambda places: keeps(paying, places), points)
        for k, distance in zip(paying, gathered.tolist(), strict=True):
            nowhere[k] = (distance, bool(np.isnan(distance)))
    return nowhere


def _shares(inputs: Inputs, less: Inputs) -> list[tuple[ShareEffect, ...]]:
    """Return each machine's share with and without each source, its job kept.

    `less` is the farm without each source, shape (sources,).
    """
    result: list[list[ShareEffect]] = [[] for _ in inputs.oils]
    for k, machine in enumerate(inputs.machines):
        job, seasons = job_of(inputs, k), seasons_of(inputs, k)
        if job is None or machine.thinner is None or not seasons:
            continue
        if not bool(machine.blend_share > 0.0):
            continue
        thinner, winter = inputs.thinners[machine.thinner], seasons[0] == 1
        share = share_for_job(inputs, job, thinner, winter=winter)
        without = share_for_job(less, job, thinner, winter=winter)
        for effects, own in zip(result, np.broadcast_to(without, (len(result),)), strict=True):
            effects.append(ShareEffect(k, share, np.asarray(own)))
    return [tuple(effects) for effects in result]


def _viscosity(part: Part) -> Floats:
    return viscosity_band(0.0, part, part, JOB_TEMPERATURE).likely


def _brings(inputs: Inputs) -> list[bool]:
    """Return whether the farm without each source has any oil left."""
    usable = [
        bool(oil.volume_per_month * oil.reliability * (1.0 - oil.reject_share) > 0.0)
        for oil in inputs.oils
    ]
    return [sum(usable) > brings for brings in usable]


def _sources(inputs: Inputs, outcome: Outcome) -> list[SourceWorth]:
    """Weigh every source."""
    count = len(inputs.oils)
    weighed = _weighed(inputs)
    farthest = _farthest(inputs, weighed.worths["time_paid"][1 : 1 + count])
    gone = 1.0 - np.eye(count)
    less = with_supply(inputs, dict(enumerate(gone)))
    pools = np.broadcast_to(_viscosity(pool_part(less)), (count,))
    shares, left = _shares(inputs, less), _brings(inputs)
    return [
        SourceWorth(
            oil=k,
            taken=outcome.typical.flows.oils[k].taken,
            trips=outcome.typical.flows.oils[k].trips,
            kept=weighed.kept(0, 1 + k),
            hours=np.asarray(weighed.hours[0] - weighed.hours[1 + k]),
            drum=weighed.kept(1 + count + k, 0),
            drum_fetched=weighed.kept(1 + 2 * count + k, 0),
            farthest=np.asarray(farthest[k][0]),
            always_pays=farthest[k][1],
            viscosity=_viscosity(Part(oil.line, oil.density)),
            pool_without=np.asarray(pools[k]) if left[k] else np.asarray(np.nan),
            shares=shares[k] if left[k] else (),
        )
        for k, oil in enumerate(inputs.oils)
    ]


def oil_worth(inputs: Inputs) -> OilWorth:
    """Weigh every source of a farm.

    Parameters
    ----------
    inputs : Inputs
        One farm (numbers of shape ``()``) with its burn order settled.

    Returns
    -------
    OilWorth
        Sources ranked by what the plan's worth a year, one's time paid, loses without each, and
        without what hangs on it. Where something else than oil holds the farm back, another
        source fills the gap and a source keeps little or less than nothing.
    """
    outcome = evaluate(inputs)
    result = _sources(inputs, outcome) if inputs.oils else []
    ranked = sorted(result, key=lambda source: -float(source.kept.time_paid))
    return OilWorth(outcome, tuple(ranked), _viscosity(pool_part(inputs)))
