"""The empty log of a farm as surfaces offer it: its columns, and what each event asks for.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> form = log_form(load(demo_files()["wrenfold"]))
>>> form.heads[4], form.events["burned"].fields[0].label
('volume [gal]', 'Blend burned, gal')
"""

from msgspec import Struct

from econ.farm.log import EVENT
from econ.farm.log_layout import header_line
from econ.farm.log_reading import names_of
from econ.farm.log_sheet import LOG_SHEET
from econ.farm.schema import Scenario
from econ.ground.units import unit_label
from econ.ground.written import Numbers

EVENT_KEYS = tuple(EVENT)
"""What may be written down, in the order of the work."""
_UNITS = {"hours": "h", "reading": "cSt at 40 °C", "count": "pieces"}


class LogField(Struct, frozen=True):
    """One number that an event takes."""

    column: str
    label: str
    """What it holds, with its unit."""


class LogEvent(Struct, frozen=True):
    """What is asked where one event is written down."""

    which: str
    """What its name names: a source, a machine, ..."""
    names: tuple[str, ...]
    """Those of the farm that it may name; none where each farm has words of its own."""
    fields: tuple[LogField, ...]
    note: str


class LogForm(Struct, frozen=True):
    """A farm's log before its first row."""

    sheet: str
    """The sheet of a workbook that is read as a log."""
    heads: tuple[str, ...]
    """Of its columns, volumes with their unit."""
    events: dict[str, LogEvent]


def log_form(scenario: Scenario) -> LogForm:
    """Lay out the log of a farm.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    LogForm
    """
    header = scenario.scenario
    names = names_of(scenario)
    units = {
        "money": unit_label("money", header.units, header.currency),
        **dict.fromkeys(("volume", "left"), unit_label("volume", header.units, header.currency)),
        **_UNITS,
    }
    events = {
        key: LogEvent(
            event.which.capitalize(),
            names.named_by(key),
            tuple(
                LogField(column, f"{words.capitalize()}, {units[column]}")
                for column, words in event.words.items()
            ),
            "Was it the blend? yes, no, unsure" if key == "repaired" else "Note",
        )
        for key, event in EVENT.items()
    }
    heads = header_line(Numbers(header.units, header.currency).volume_unit).split(",")
    return LogForm(LOG_SHEET, tuple(heads), events)
