"""What should be in store by the records, what the stick says, and where the oil went.

Oil is conserved: opening + fetched = raw + clean + oil in blend not yet burned + burned + lost
- gaps, whatever the rows say.

>>> first, last = datetime.date(2026, 1, 1), datetime.date(2026, 2, 1)
>>> gap = Gap("raw", first, last, expected=100.0, dipped=90.0, passed=50.0, opening=False)
>>> gap.gap, exceeds_error(gap, 5.0), exceeds_error(gap, 20.0)
(-10.0, True, False)
"""

import datetime
from collections.abc import Callable, Iterable

from msgspec import Struct, field

from econ.farm.log import Row

PlanShare = Callable[[str, datetime.date], float]
"""From a machine and a day to the plan's thinner share of its blend."""


class Gap(Struct, frozen=True):
    """One stretch of a store, from its start or a dip to the next dip or the log's end."""

    store: str
    since: datetime.date
    until: datetime.date
    expected: float
    dipped: float | None
    """None for the stretch that no dip has ended yet."""
    passed: float
    """The greater of what came and what went."""
    opening: bool
    """Whether the dip only says what the store began with."""

    @property
    def gap(self) -> float | None:
        """Dipped less expected."""
        return None if self.dipped is None else self.dipped - self.expected


class Burn(Struct, frozen=True):
    """What one row of blend burned drew on, in the file's units."""

    row: Row
    machine: str
    tank: str
    oil: float
    thinner: float


class Balances(Struct, frozen=True):
    """The account of a log."""

    gaps: tuple[Gap, ...]
    """By store in the order met, then by time; the last of each store is still open."""
    burns: tuple[Burn, ...]
    opening: float
    fetched: float
    raw: float
    clean: float
    in_blend: float
    """Oil mixed and not yet burned."""
    burned: float
    """Oil burned."""
    lost: float
    """Water and sludge."""
    gap: float
    """All gaps, the oil part of those of blend."""
    raw_levels: tuple[tuple[datetime.date, float], ...]
    """What should be in the raw store after each row that moves it."""


class _Store(Struct):
    """What one store should hold."""

    expected: float = 0.0
    came: float = 0.0
    went: float = 0.0
    since: datetime.date | None = None
    dipped: bool = False

    def move(self, volume: float, day: datetime.date) -> None:
        """Let a volume come, or go where it is below 0."""
        self.since = self.since or day
        self.expected += volume
        self.came += max(volume, 0.0)
        self.went += max(-volume, 0.0)

    def restart(self, volume: float, day: datetime.date) -> None:
        """Begin anew from what the stick says."""
        self.expected, self.came, self.went = volume, 0.0, 0.0
        self.since, self.dipped = day, True


class _Tank(_Store):
    """A blend in a tank or in a machine's own; `expected` is oil and thinner together."""

    oil: float = 0.0
    share: float | None = None
    """Oil by volume of what is drawn; None before the first mix."""

    def mix(self, oil: float, thinner: float, day: datetime.date) -> None:
        """Add a mix to what is there."""
        held = max(self.expected, 0.0)
        whole = held + oil + thinner
        if whole > 0.0:
            before = held * self.share if self.share is not None else 0.0
            self.share = (before + oil) / whole
        self.move(oil + thinner, day)
        self.oil += oil

    def draw(self, volume: float, day: datetime.date) -> float:
        """Take blend out and give the oil in it."""
        oil = volume * (self.share or 0.0)
        self.move(-volume, day)
        self.oil -= oil
        return oil


class _Account(Struct):
    """Everything counted so far."""

    plan_share: PlanShare
    raw: _Store = field(default_factory=_Store)
    clean: _Store = field(default_factory=_Store)
    tanks: dict[str, _Tank] = field(default_factory=dict)
    gaps: list[Gap] = field(default_factory=list)
    burns: list[Burn] = field(default_factory=list)
    opening: float = 0.0
    fetched: float = 0.0
    burned: float = 0.0
    lost: float = 0.0
    gap: float = 0.0

    def store(self, name: str) -> _Store | None:
        """Return a store by its name."""
        if name in ("raw", "clean"):
            return self.raw if name == "raw" else self.clean
        return self.tanks.get(name)

    def take(self, row: Row) -> None:
        """Count one row."""
        volume, left, day = row.volume or 0.0, row.left or 0.0, row.date
        if row.what == "fetched":
            self.raw.move(volume, day)
            self.fetched += volume
        elif row.what == "cleaned":
            self.raw.move(-volume, day)
            self.clean.move(left, day)
            self.lost += volume - left
        elif row.what == "mixed":
            self.clean.move(-volume, day)
            self.tanks.setdefault(row.which, _Tank()).mix(volume, left, day)
        elif row.what == "burned":
            self.burn(row, volume)
        elif row.what == "dipped":
            self.dip(row, volume)

    def burn(self, row: Row, volume: float) -> None:
        """Draw on the tank that the note names, the machine's own, or the clean store."""
        name = tank_of(row, self.tanks)
        tank = self.tanks.get(name) if name is not None else None
        if tank is None or name is None:
            oil = volume * (1.0 - self.plan_share(row.which, row.date))
            self.clean.move(-oil, row.date)
            name = ""
        else:
            oil = tank.draw(volume, row.date)
        self.burned += oil
        self.burns.append(Burn(row, row.which, name, oil, volume - oil))

    def dip(self, row: Row, volume: float) -> None:
        """Set what the stick says against what should be there, and begin anew."""
        store = self.store(row.which)
        if store is None:
            return
        first = store.since is None and not store.dipped
        gap = volume - store.expected
        self.gaps.append(
            Gap(
                row.which,
                store.since or row.date,
                row.date,
                store.expected,
                volume,
                max(store.came, store.went),
                first,
            )
        )
        if isinstance(store, _Tank):
            oil = volume * (store.share or 0.0)
            gap, store.oil = oil - store.oil, oil
        if first:
            self.opening += gap
        else:
            self.gap += gap
        store.restart(volume, row.date)


def tank_of(row: Row, tanks: Iterable[str]) -> str | None:
    """Return the tank or machine whose mixes a burned row draws on, None where none was mixed.

    Parameters
    ----------
    row : Row
        Of blend burned.
    tanks : iterable of str
        Those mixed so far.

    Returns
    -------
    str or None
        The longest name of a tank in its note, else its machine's own.
    """
    note = row.note.casefold()
    named = [tank for tank in tanks if tank != row.which and tank.casefold() in note]
    if named:
        return max(named, key=len)
    return row.which if row.which in tanks else None


def balances(rows: Iterable[Row], plan_share: PlanShare) -> Balances:
    """Work a log's rows through.

    Parameters
    ----------
    rows : iterable of Row
        In the order in which they act.
    plan_share : callable
        The plan's thinner share by machine and day, for blend burned without any mix on
        record: its oil leaves the clean store when burned. [-]

    Returns
    -------
    Balances
        In the file's units of volume.

    Notes
    -----
    A store begins empty unless a dip comes before anything else of it; that dip is its opening
    and no gap. A gap stays where it was seen: it is never spread over rows.
    """
    account = _Account(plan_share)
    last: datetime.date | None = None
    levels: list[tuple[datetime.date, float]] = []
    for row in rows:
        account.take(row)
        last = row.date
        if row.what in ("fetched", "cleaned") or (row.what, row.which) == ("dipped", "raw"):
            levels.append((row.date, account.raw.expected))
    stores = {"raw": account.raw, "clean": account.clean, **account.tanks}
    for name, store in stores.items():
        if store.since is not None and last is not None:
            account.gaps.append(
                Gap(
                    name,
                    store.since,
                    last,
                    store.expected,
                    None,
                    max(store.came, store.went),
                    opening=False,
                )
            )
    order = list(stores)
    account.gaps.sort(key=lambda gap: order.index(gap.store))
    return Balances(
        gaps=tuple(account.gaps),
        burns=tuple(account.burns),
        opening=account.opening,
        fetched=account.fetched,
        raw=account.raw.expected,
        clean=account.clean.expected,
        in_blend=sum(tank.oil for tank in account.tanks.values()),
        burned=account.burned,
        lost=account.lost,
        gap=account.gap,
        raw_levels=tuple(levels),
    )


def exceeds_error(gap: Gap, least: float) -> bool:
    """Say whether a gap is beyond what a stick and a bucket can err by.

    Parameters
    ----------
    gap : Gap
        Of a store.
    least : float
        5 gal or 20 L, in the file's units. [volume]

    Returns
    -------
    bool
        Beyond the greatest of `least`, 2 % of what passed and 2 % of what is in store:
        judgement, no source.
    """
    if gap.gap is None or gap.dipped is None or gap.opening:
        return False
    return abs(gap.gap) > max(least, 0.02 * gap.passed, 0.02 * max(gap.expected, gap.dipped))
