"""The log beside a farm: what one row says, which events there are, and what each needs.

A log is a CSV, one event a row, that is only ever added to. Here is its vocabulary; reading and
writing it stand in `log_reading` and `log_writing`.

>>> EVENT["mixed"].needs
('volume', 'left')
"""

import datetime
from pathlib import Path

from msgspec import Struct

from econ.ground.errors import Problem

STORES = ("raw", "clean")


class Column(Struct, frozen=True):
    """One column of a log."""

    key: str
    label: str
    dimension: str
    """Key of `econ.ground.units.DIMENSIONS`."""


COLUMNS = (
    Column("id", "Number", "count"),
    Column("date", "Day", "date"),
    Column("what", "What", "choice"),
    Column("which", "Which", "text"),
    Column("volume", "Volume", "volume"),
    Column("left", "Left", "volume"),
    Column("hours", "Hours", "hours"),
    Column("money", "Money", "money"),
    Column("count", "Count", "count"),
    Column("reading", "Reading", "viscosity"),
    Column("note", "Note", "text"),
)
NUMBERS = ("volume", "left", "hours", "money", "count", "reading")
NEEDED_COLUMNS = ("id", "date", "what", "which")
READING_UNIT = "cSt at 40 °C"


class Event(Struct, frozen=True):
    """One kind of event."""

    key: str
    which: str
    """What its `which` names."""
    needs: tuple[str, ...]
    """Columns without which the row says nothing."""
    words: dict[str, str]
    """What each column that it takes holds."""


EVENTS = (
    Event(
        "fetched",
        "source",
        ("volume",),
        {
            "volume": "oil taken",
            "left": "oil refused",
            "hours": "hours worked on it",
            "money": "paid for it",
        },
    ),
    Event(
        "cleaned",
        "batch, as you call it",
        ("volume", "left"),
        {
            "volume": "raw oil in",
            "left": "clean oil out",
            "hours": "hours worked on it",
            "money": "tests and disposal",
            "count": "filters used",
        },
    ),
    Event("tested", "source, batch or tank", (), {"reading": "thickness", "money": "paid for it"}),
    Event(
        "mixed", "machine or tank", ("volume", "left"), {"volume": "clean oil", "left": "thinner"}
    ),
    Event("burned", "machine", ("volume",), {"volume": "blend burned", "hours": "hour meter"}),
    Event(
        "bought",
        "thinner, filter, additive, yearly bill or fuel",
        ("money",),
        {"volume": "volume bought", "count": "pieces bought", "money": "paid"},
    ),
    Event("repaired", "machine: part", (), {"money": "paid", "count": "how many (empty: 1)"}),
    Event("dipped", "raw, clean or a mixing tank", ("volume",), {"volume": "what the stick shows"}),
    Event("undone", "the number of the row that was wrong", (), {}),
)
EVENT = {event.key: event for event in EVENTS}


class Row(Struct, frozen=True):
    """One event, its volumes in the farm file's units; None where a cell is empty."""

    line: int
    """Of the file."""
    id: int
    date: datetime.date
    what: str
    which: str
    volume: float | None = None
    left: float | None = None
    hours: float | None = None
    money: float | None = None
    count: float | None = None
    reading: float | None = None
    note: str = ""

    @property
    def order(self) -> tuple[datetime.date, bool, int]:
        """Where it stands among the rows: by day, dips after all else, then by number."""
        return (self.date, self.what == "dipped", self.id)

    @property
    def content(self) -> tuple[object, ...]:
        """All it says but its number: rows alike in this may be one row imported twice."""
        return (
            self.date,
            self.what,
            self.which,
            self.volume,
            self.left,
            self.hours,
            self.money,
            self.count,
            self.reading,
            self.note,
        )


class Log(Struct, frozen=True):
    """A log as read: the rows that count, and everything that does not."""

    path: Path
    rows: tuple[Row, ...]
    """In the order in which they act; undone ones left out."""
    undone: tuple[Row, ...]
    faults: tuple[Problem, ...]
    """Rows that cannot be read, each with line and column; the others still count."""
    torn: str | None
    """A last line without its end, which is not counted."""
    suspects: tuple[tuple[Row, Row], ...]
    """Rows that say the same as an earlier one: (earlier, later). Both count."""

    @property
    def first(self) -> datetime.date | None:
        """The day of the first row, None for an empty log."""
        return self.rows[0].date if self.rows else None

    @property
    def last(self) -> datetime.date | None:
        """The day of the last row, None for an empty log."""
        return self.rows[-1].date if self.rows else None
