"""A farm with one source more, less, fuller or farther away: alone, or many as rows of a batch.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> far = at_distance(inputs, 0, np.asarray(80.0))
>>> float(far.oils[0].round_trip)
80.0
"""

import numpy as np
from numpy.typing import NDArray

from econ.ground.records import replace
from econ.ground.units import KM_PER_MILE, LITRES_PER_GALLON, Flags, Floats
from econ.model.changes import in_plan, with_oil, with_source, with_supply
from econ.model.inputs import Inputs, OilInputs
from econ.model.side_by_side import hanging

# A steel drum, 55 US gallons. [L]
DRUM = 55.0 * LITRES_PER_GALLON
# Every kilometre beyond the file's round trip takes time at this speed, loaded, on country
# roads: 40 mph, common practice, no source. [km/h]
DRIVING_SPEED = 40.0 * KM_PER_MILE

_ZERO: Floats = np.zeros(())
_ONE: Floats = np.ones(())


def _drum(oil: OilInputs, drums: Floats) -> OilInputs:
    """Return drums of a source's oil a year, free and brought."""
    return replace(
        oil,
        name=f"One more drum of {oil.name}",
        volume_per_month=drums * (DRUM / 12.0),
        reliability=_ONE,
        reject_share=_ZERO,
        price=_ZERO,
        load_volume=None,
        round_trip=_ZERO,
        hours_per_trip=_ZERO,
    )


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
    return with_source(inputs, _drum(inputs.oils[index], _ONE))


def with_drum_fetched(inputs: Inputs, index: int, drums: Floats = _ONE) -> Inputs:
    """Return the farm with one more good drum a year from a source, on its own terms.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which source.
    drums : ndarray, shape (...,), optional
        Drums a year. [-]

    Returns
    -------
    Inputs
        Unchanged where nothing of the source's promise is ever good.
    """
    oil = inputs.oils[index]
    good = oil.reliability * (1.0 - oil.reject_share)
    more = np.where(good > 0.0, DRUM / 12.0 / np.where(good > 0.0, good, 1.0), 0.0)
    volume = oil.volume_per_month + drums * more
    return with_oil(inputs, index, replace(oil, volume_per_month=volume))


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


def at_distances(inputs: Inputs, which: NDArray[np.int64], round_trips: Floats) -> Inputs:
    """Return the farm with one source at another distance in each row of a batch.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``.
    which : ndarray of int, shape (n,)
        The source that is moved in each row.
    round_trips : ndarray, shape (n,)
        [km]

    Returns
    -------
    Inputs
        Each row as `at_distance`.
    """
    moved = inputs
    for index in sorted(set(which.tolist())):
        own = inputs.oils[index].round_trip
        moved = at_distance(moved, index, np.where(which == index, round_trips, own))
    return moved


def _drums_of_rows(
    inputs: Inputs, which: NDArray[np.int64], there: Flags, *, own: bool
) -> OilInputs | None:
    """Return the drums at the gate of some rows as one source: of own oils, or of others'.

    Own oils fill the raw store first, so the two cannot be one entry of the list.
    """
    alike = [k for k, oil in enumerate(inputs.oils) if oil.own == own]
    if not alike:
        return None
    there = there & np.isin(which, alike)
    oils = [inputs.oils[k if k in alike else alike[0]] for k in which.tolist()]
    return replace(
        _drum(inputs.oils[alike[0]], np.asarray(there, dtype=np.float64)),
        density=np.array([float(oil.density) for oil in oils]),
        heating_value=np.array([float(oil.heating_value) for oil in oils]),
        line=(
            np.array([float(oil.line[0]) for oil in oils]),
            np.array([float(oil.line[1]) for oil in oils]),
        ),
    )


def _with_what_hangs(inputs: Inputs, batch: Inputs, count: int) -> Inputs:
    """Count kit and bills in the rows that still have what they hang on."""
    idle = with_supply(inputs, dict.fromkeys(range(len(inputs.oils)), 0.0))
    every = np.ones(count, dtype=bool)
    names: dict[str, Flags] = dict.fromkeys(in_plan(idle), every)
    for oil in batch.oils:
        there = every & (oil.volume_per_month > 0.0)
        names[oil.name] = names[oil.name] | there if oil.name in names else there
    return hanging(batch, names)


def each_source_changed(inputs: Inputs) -> Inputs:
    """Return the farm as it is and with each source gone, with a drum more at the gate or fetched.

    Parameters
    ----------
    inputs : Inputs
        One farm, numbers of shape ``()``, with the kit and bills that its plan has.

    Returns
    -------
    Inputs
        Of shape ``(1 + 3 sources,)``: the farm; as `changes.without_source` for each source; as
        `with_drum_at_gate` for each; as `with_drum_fetched` for each.
    """
    count = len(inputs.oils)
    rows = 1 + 3 * count
    place = np.arange(rows)
    batch = inputs
    for k in range(count):
        batch = with_supply(batch, {k: np.where(place == 1 + k, 0.0, 1.0)})
        batch = with_drum_fetched(batch, k, np.where(place == 1 + 2 * count + k, 1.0, 0.0))
    at_gate = (place > count) & (place <= 2 * count)
    which = np.where(at_gate, place - 1 - count, 0)
    for own in (True, False):
        drums = _drums_of_rows(inputs, which, at_gate, own=own)
        if drums is not None:
            batch = with_source(batch, drums)
    return _with_what_hangs(inputs, batch, rows)
