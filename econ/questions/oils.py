"""Which oil is worth fetching: the model with and without each source, and with a drum more."""

from dataclasses import dataclass, replace

import numpy as np

from econ.fuel.viscosity_band import Part, viscosity_band
from econ.ground.units import KM_PER_MILE, LITRES_PER_GALLON, Floats
from econ.model.changes import with_oil, with_source, without_source
from econ.model.equal_job import JOB_TEMPERATURE, job_of, pool_part, share_for_job
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.questions.mixes import seasons_of
from econ.questions.tie_prices import crossings

# A steel drum, 55 US gallons. [L]
DRUM = 55.0 * LITRES_PER_GALLON
# Every kilometre beyond the file's round trip takes time at this speed, loaded, on country
# roads: 40 mph, common practice, no source. [km/h]
DRIVING_SPEED = 40.0 * KM_PER_MILE
# Longer round trips than this are not looked at. [km]
FARTHEST = 1000.0
_POINTS = 65


@dataclass(frozen=True, slots=True)
class Difference:
    """A change of what the plan is worth a year, by ledger. [currency/yr]"""

    time_paid: Floats
    time_free: Floats


@dataclass(frozen=True, slots=True)
class ShareEffect:
    """What a source's thickness does to one machine's thinner share, the job kept."""

    machine: int
    share: Floats
    """Of its own thinner, with the source. [-]"""
    share_without: Floats
    """NaN where the thinner would be too thick. [-]"""


@dataclass(frozen=True, slots=True)
class SourceWorth:
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


@dataclass(frozen=True, slots=True)
class OilWorth:
    """Every source of a farm, the one that keeps most first."""

    outcome: Outcome
    sources: tuple[SourceWorth, ...]
    pool_viscosity: Floats
    """At 40 °C. [cSt]"""


def _each(amount: Floats, volume: Floats) -> Floats:
    return amount / np.where(volume > 1e-9, volume, np.nan)


def with_drum_at_gate(inputs: Inputs, index: int) -> Inputs:
    """Return the farm with one more drum a year of a source's oil, free and brought.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which source's oil.

    Returns
    -------
    Inputs
        A source more: a twelfth of a drum each month, all of it good.
    """
    zero, one = np.zeros(()), np.ones(())
    drum = replace(
        inputs.oils[index],
        name=f"One more drum of {inputs.oils[index].name}",
        volume_per_month=np.asarray(DRUM / 12.0),
        reliability=one,
        reject_share=zero,
        price=zero,
        load_volume=None,
        round_trip=zero,
        hours_per_trip=zero,
    )
    return with_source(inputs, drum)


def with_drum_fetched(inputs: Inputs, index: int) -> Inputs:
    """Return the farm with one more good drum a year from a source, on its own terms.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which source.

    Returns
    -------
    Inputs
        Unchanged where nothing of the source's promise is ever good.
    """
    oil = inputs.oils[index]
    good = oil.reliability * (1.0 - oil.reject_share)
    more = np.where(good > 0.0, DRUM / 12.0 / np.where(good > 0.0, good, 1.0), 0.0)
    return with_oil(inputs, index, replace(oil, volume_per_month=oil.volume_per_month + more))


def at_distance(inputs: Inputs, index: int, round_trip: Floats) -> Inputs:
    """Return the farm with a source at another distance, its trips longer or shorter by as much.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which source.
    round_trip : ndarray, shape (n,)
        [km]

    Returns
    -------
    Inputs
        Hours a trip change by the distance at `DRIVING_SPEED`, never below nothing.
    """
    oil = inputs.oils[index]
    hours = oil.hours_per_trip + (round_trip - oil.round_trip) / DRIVING_SPEED
    moved = replace(oil, round_trip=round_trip, hours_per_trip=np.maximum(0.0, hours))
    return with_oil(inputs, index, moved)


def _kept(more: Outcome, less: Outcome) -> Difference:
    """Return the difference of two plans."""
    paid, free = (more.per_year(key) - less.per_year(key) for key in ("time_paid", "time_free"))
    return Difference(paid, free)


def _farthest(inputs: Inputs, index: int, without: Outcome) -> tuple[float, bool]:
    """Find the round trip at which a source keeps nothing, else whether it always pays."""
    oil = inputs.oils[index]
    if oil.load_volume is None or not bool(oil.volume_per_month > 0.0):
        return float("nan"), False
    nothing = without.per_year("time_paid")

    def keeps(places: Floats) -> Floats:
        farther = at_distance(inputs, index, places.ravel())
        kept = evaluate(farther, by_month=False, measures=()).per_year("time_paid") - nothing
        return np.broadcast_to(kept, places.ravel().shape).reshape(places.shape)

    near = float(keeps(np.zeros((1, 1)))[0, 0])
    if near <= 0.0:
        return float("nan"), False
    result = float(crossings(keeps, np.linspace(0.0, FARTHEST, _POINTS))[0])
    return result, bool(np.isnan(result))


def _shares(inputs: Inputs, without: Inputs, index: int) -> tuple[ShareEffect, ...]:
    """Return each machine's share with and without a source, its job kept."""
    result = []
    for k, machine in enumerate(inputs.machines):
        job, seasons = job_of(inputs, k), seasons_of(inputs, k)
        if job is None or machine.thinner is None or not seasons:
            continue
        if not bool(machine.blend_share > 0.0):
            continue
        thinner, winter = inputs.thinners[machine.thinner], seasons[0] == 1
        result.append(
            ShareEffect(
                k,
                share_for_job(inputs, job, thinner, winter=winter),
                share_for_job(without, job, thinner, winter=winter),
            )
        )
    return tuple(result)


def _viscosity(part: Part) -> Floats:
    return viscosity_band(0.0, part, part, JOB_TEMPERATURE).likely


def _brings(inputs: Inputs) -> bool:
    """Return whether any source brings any oil."""
    return any(
        bool(oil.volume_per_month * oil.reliability * (1.0 - oil.reject_share) > 0.0)
        for oil in inputs.oils
    )


def _source(inputs: Inputs, index: int, outcome: Outcome) -> SourceWorth:
    """Weigh one source."""
    oil, year = inputs.oils[index], outcome.typical
    less = without_source(inputs, index)
    without = evaluate(less, by_month=False)
    at_gate = evaluate(with_drum_at_gate(inputs, index), by_month=False)
    fetched = evaluate(with_drum_fetched(inputs, index), by_month=False)
    farthest, always = _farthest(inputs, index, without)
    left = _brings(less)
    return SourceWorth(
        oil=index,
        taken=year.flows.oils[index].taken,
        trips=year.flows.oils[index].trips,
        kept=_kept(outcome, without),
        hours=year.fuel["hours"] - without.typical.fuel["hours"],
        drum=_kept(at_gate, outcome),
        drum_fetched=_kept(fetched, outcome),
        farthest=np.asarray(farthest),
        always_pays=always,
        viscosity=_viscosity(Part(oil.line, oil.density)),
        pool_without=_viscosity(pool_part(less)) if left else np.asarray(np.nan),
        shares=_shares(inputs, less, index) if left else (),
    )


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
    result = [_source(inputs, k, outcome) for k in range(len(inputs.oils))]
    ranked = sorted(result, key=lambda source: -float(source.kept.time_paid))
    return OilWorth(outcome, tuple(ranked), _viscosity(pool_part(inputs)))
