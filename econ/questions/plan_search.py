"""The best plan of a farm: every one tried where that can be done, else by steps from several.

Nothing is taken for granted: doing nothing is one of the plans, and so is the file's own.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> from econ.questions.plan_space import space_of
>>> space = space_of(load(demo_files()["stonebark-own-oil"]))
>>> table = search(space, "time_paid")
>>> worths = [table.figures.worth("time_paid")[row] for row in ranked(space, table, "time_paid")]
>>> worths == sorted(worths, reverse=True)
True
"""

from collections.abc import Callable, Iterable

import numpy as np
from msgspec import Struct, field

from econ.ground.records import replace
from econ.ground.units import Flags, Floats
from econ.questions.plan_space import (
    BATCH,
    Decision,
    Picks,
    Space,
    batches,
    decision_of_file,
)
from econ.questions.plan_values import Figures, figures_of, figures_of_each, joined

MOST_TRIED = 200_000
"""Up to so many plans every one is tried."""
_SAME = 1e-9
Tell = Callable[[int, int], None]


class Table(Struct, frozen=True):
    """Plans that were tried, row by row, with what each comes to."""

    setups: Picks
    """Shape (plans,)."""
    taken: Flags
    """Shape (plans, sources)."""
    picks: Picks
    """Shape (plans, machines that may burn)."""
    figures: Figures
    allowed: Flags
    """Which of them can be had and keep to the limits."""
    exhaustive: bool

    @property
    def tried(self) -> int:
        """Return how many plans were worked through."""
        return len(self.setups)


def _silent(done: int, total: int) -> None:
    """Tell nobody."""


def allowed_by(space: Space, figures: Figures) -> Flags:
    """Say which plans can be had and keep to the file's limits, in a typical year.

    Parameters
    ----------
    space : Space
        Of the farm.
    figures : Figures
        What the plans come to.

    Returns
    -------
    ndarray of bool, shape (plans,)
    """
    limits = space.scenario.limits
    fine = figures.possible.copy()
    if limits.kit_to_buy is not None:
        fine &= figures.kit_to_buy <= limits.kit_to_buy * (1.0 + _SAME)
    if limits.own_hours_per_year is not None:
        fine &= figures.own_hours <= limits.own_hours_per_year * (1.0 + _SAME)
    return fine


def _every_plan(space: Space, tell: Tell) -> Table | None:
    """Work every plan through; None where there is none at all."""
    rows, parts, done = list(batches(space)), [], 0
    total = sum(len(batch.taken) for batch in rows)
    for batch in rows:
        parts.append(figures_of(space, batch))
        done += len(batch.taken)
        tell(done, total)
    if not rows:
        return None
    figures = joined(parts)
    return Table(
        np.concatenate([np.full(len(batch.taken), batch.setup) for batch in rows]),
        np.concatenate([batch.taken for batch in rows]),
        np.concatenate([batch.picks for batch in rows]),
        figures,
        allowed_by(space, figures),
        exhaustive=True,
    )


def decision_of_row(space: Space, table: Table, row: int) -> Decision:
    """Read one plan of a table.

    Parameters
    ----------
    space : Space
        Of the farm.
    table : Table
        Plans tried.
    row : int
        Which.

    Returns
    -------
    Decision
    """
    burning = [
        (way.machine, way.thinners[int(pick) - 1])
        for way, pick in zip(space.ways, table.picks[row], strict=True)
        if pick > 0
    ]
    taken = tuple(int(k) for k in np.flatnonzero(table.taken[row]))
    return Decision(int(table.setups[row]), taken, tuple(burning))


def size_of_rows(table: Table) -> Floats:
    """Count the sources and machines that take part in each plan.

    Parameters
    ----------
    table : Table
        Plans tried.

    Returns
    -------
    ndarray, shape (plans,)
    """
    return np.asarray(table.taken.sum(axis=1) + (table.picks > 0).sum(axis=1), dtype=np.float64)


def ranked(space: Space, table: Table, ledger: str, rows: Iterable[int] | None = None) -> list[int]:
    """Rank plans by their worth a year, the highest first; of equals, the smallest.

    Parameters
    ----------
    space : Space
        Of the farm.
    table : Table
        Plans tried.
    ledger : str
        "time_free" or "time_paid".
    rows : iterable of int, optional
        Which of them; all that are allowed, by default.

    Returns
    -------
    list of int
        Rows. Worths closer than rounding count as equal, so that neither the order of a file's
        entries nor that of a search decides between plans.
    """
    chosen = np.flatnonzero(table.allowed) if rows is None else np.fromiter(rows, dtype=np.int64)
    worth = table.figures.worth(ledger)[chosen]
    grain = _SAME * max(1.0, float(np.max(np.abs(worth), initial=0.0)))
    order = np.lexsort((size_of_rows(table)[chosen], -np.round(worth / grain)))
    return [int(chosen[k]) for k in order]


class _Climb(Struct):
    """A search by steps: what was tried, and where it is best to go on from."""

    space: Space
    ledger: str
    tell: Tell
    known: dict[Decision, int] = field(default_factory=dict)
    parts: list[Figures] = field(default_factory=list)

    def worth(self, decisions: list[Decision]) -> Floats:
        """Work through what is new of some plans and give the worth of all."""
        new = [d for d in dict.fromkeys(decisions) if d not in self.known]
        for start in range(0, len(new), BATCH):
            some = new[start : start + BATCH]
            self.parts.append(figures_of_each(self.space, some))
            for decision in some:
                self.known[decision] = len(self.known)
        self.tell(len(self.known), 0)
        figures = joined(self.parts)
        self.parts = [figures]
        fine = allowed_by(self.space, figures)
        values = np.where(fine, figures.worth(self.ledger), -np.inf)
        return values[[self.known[decision] for decision in decisions]]


def _changed(space: Space, decision: Decision, *, oils_too: bool) -> list[Decision]:
    """List the plans one change away: a source, a machine's fuel, the set-up."""
    result = [
        replace(decision, setup=setup)
        for setup in range(len(space.inputs))
        if setup != decision.setup
    ]
    for oil in space.oils if oils_too else ():
        oils = tuple(sorted(set(decision.oils) ^ {oil}))
        if oils and (oil not in space.must_oils or oil in oils):
            result.append(replace(decision, oils=oils))
    burning = dict(decision.thinners)
    for way in space.ways:
        others: list[dict[int, int | None]] = [
            {**burning, way.machine: thinner}
            for thinner in way.thinners
            if way.machine not in burning or burning[way.machine] != thinner
        ]
        if way.machine in burning and len(burning) > 1 and way.machine not in space.must_machines:
            others.append({k: t for k, t in burning.items() if k != way.machine})
        result += [replace(decision, thinners=tuple(sorted(o.items(), key=_first))) for o in others]
    return result


def _first(pair: tuple[int, int | None]) -> int:
    return pair[0]


def _climbed(climb: _Climb, start: Decision, *, oils_too: bool = True) -> Decision:
    """Go up by one change at a time, then by two at once, until neither helps."""
    here = start
    best = float(climb.worth([here])[0])
    while True:
        near = _changed(climb.space, here, oils_too=oils_too)
        for tried in (near, None):
            if tried is None:
                tried = [
                    two
                    for one in near
                    for two in _changed(climb.space, one, oils_too=oils_too)
                    if two != here
                ]
            if not tried:
                continue
            worth = climb.worth(tried)
            top = int(np.argmax(worth))
            if worth[top] > best + _SAME * max(1.0, abs(best)):
                here, best = tried[top], float(worth[top])
                break
        else:
            return here


def _starts(space: Space) -> list[Decision]:
    """Return plans to begin from: everything, own oil alone, each source alone, the file's."""
    every = tuple((way.machine, way.thinners[0]) for way in space.ways)
    must = set(space.must_oils)
    oils = space.inputs[0].oils
    own = tuple(k for k in space.oils if oils[k].own or k in must)
    sets = [space.oils, own, *(tuple(sorted({k} | must)) for k in space.oils)]
    result = [Decision(setup, taken, every) for setup in range(len(space.inputs)) for taken in sets]
    file = decision_of_file(space)
    within = set(file.oils) <= set(space.oils) and must <= set(file.oils)
    ways = {way.machine: way.thinners for way in space.ways}
    known = all(k in ways and thinner in ways[k] for k, thinner in file.thinners)
    musts = space.must_machines <= {k for k, _ in file.thinners}
    if within and known and musts and file.oils and file.thinners:
        result.append(file)
    return [start for start in dict.fromkeys(result) if start.oils and start.thinners]


def _by_steps(space: Space, ledger: str, tell: Tell) -> Table | None:
    """Search by steps of one or two changes from several starts."""
    climb = _Climb(space, ledger, tell)
    starts = _starts(space)
    if not starts:
        return None
    worth = climb.worth(starts)
    for k in np.argsort(-worth)[:_STARTS]:
        _climbed(climb, starts[int(k)])
    _stair_climbed(climb)
    return _table_of(climb)


# Further starts led to no better plan on any farm small enough to try every one.
_STARTS = 6


def _stair_climbed(climb: _Climb) -> None:
    """Try the steps of a stair: one source after another, all else chosen anew."""
    space = climb.space
    every = tuple((way.machine, way.thinners[0]) for way in space.ways)
    taken, thinners, setup = sorted(space.must_oils), every, 0
    while len(taken) < len(space.oils):
        tried = [
            Decision(setup, tuple(sorted({*taken, oil})), thinners)
            for oil in space.oils
            if oil not in taken
        ]
        tops = [_climbed(climb, start, oils_too=False) for start in tried]
        best = tops[int(np.argmax(climb.worth(tops)))]
        taken, thinners, setup = list(best.oils), best.thinners, best.setup


def _table_of(climb: _Climb) -> Table:
    """Put all that a climb tried into a table."""
    space, figures = climb.space, joined(climb.parts)
    taken = np.zeros((len(climb.known), len(space.inputs[0].oils)), dtype=bool)
    picks = np.zeros((len(climb.known), len(space.ways)), dtype=np.int64)
    setups = np.zeros(len(climb.known), dtype=np.int64)
    places = {way.machine: k for k, way in enumerate(space.ways)}
    for decision, row in climb.known.items():
        setups[row] = decision.setup
        taken[row, list(decision.oils)] = True
        for machine, thinner in decision.thinners:
            k = places[machine]
            picks[row, k] = space.ways[k].thinners.index(thinner) + 1
    return Table(setups, taken, picks, figures, allowed_by(space, figures), exhaustive=False)


def search(
    space: Space, ledger: str, tell: Tell | None = None, most: int = MOST_TRIED
) -> Table | None:
    """Try the plans of a farm: every one, or by steps where there are too many.

    Parameters
    ----------
    space : Space
        What may be decided.
    ledger : str
        "time_free" or "time_paid"; steps go up by it.
    tell : callable, optional
        Told (plans done, plans in all); 0 in all where that is not known.
    most : int
        Up to so many every one is tried.

    Returns
    -------
    Table or None
        None where no source can be taken or no machine may burn blend.
    """
    said = tell or _silent
    if space.blocked or not space.oils or not space.ways:
        return None
    if space.count <= most:
        return _every_plan(space, said)
    return _by_steps(space, ledger, said)
