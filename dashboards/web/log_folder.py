"""The log of the farm that is open: a file of the folder that is served, and no other."""

import datetime
from pathlib import Path
from typing import Any

from dashboards.web.documents import Folder, typed
from econ.answers.records import Records, records_of
from econ.farm.counting import counted
from econ.farm.editing import RefusedError
from econ.farm.files import from_document
from econ.farm.log_reading import read_log
from econ.farm.log_writing import Added, add_row
from econ.farm.schema import Scenario

Json = dict[str, Any]
_LONGEST_NAME = 255
_LONGEST_TEXT = 400


def today() -> datetime.date:
    """Give the day where this is run."""
    return datetime.datetime.now(tz=datetime.UTC).astimezone().date()


def log_name(draft: Json) -> str:
    """Give the name of a farm's log: as the farm has it, else the farm's own with -log.csv."""
    records = draft["document"].get("records")
    named = records.get("log") if isinstance(records, dict) else None
    if isinstance(named, str) and named:
        return named
    stem = str(draft["name"] or "your-farm").removesuffix(".toml")
    return f"{stem}-log.csv"


def log_place(folder: Folder, draft: Json) -> Path:
    """Give where a farm's log stands.

    Parameters
    ----------
    folder : Folder
        The folder that is served.
    draft : dict
        Checked.

    Returns
    -------
    Path

    Raises
    ------
    RefusedError
        If its name leads out of the folder, or to what is no CSV.
    """
    name = log_name(draft)
    plain = (
        name.lower().endswith(".csv")
        and name.isprintable()
        and not name.startswith(".")
        and not set(name) & set('/\\<>:"|?*')
        and len(name.encode(errors="replace")) <= _LONGEST_NAME
    )
    if not plain:
        message = "a log's name is one name without slashes that ends in .csv"
        raise RefusedError(message)
    place = folder.path / name
    if place.is_symlink() or (place.exists() and not place.is_file()):
        message = "the log is no ordinary file of this folder"
        raise RefusedError(message)
    return place


def farm_of(draft: Json) -> Scenario:
    """Read a farm being edited, as it was guessed."""
    return from_document(typed(counted(draft["document"])), draft["name"] or "your farm")


def records_here(folder: Folder, draft: Json) -> Records | None:
    """Read a farm's log and what it says; None where there is none yet.

    Raises
    ------
    ScenarioError
        If farm or log cannot be read.
    """
    place, scenario = log_place(folder, draft), farm_of(draft)
    if not place.exists():
        return None
    return records_of(scenario, read_log(place, scenario, today()))


def add_here(folder: Folder, draft: Json, values: Json) -> Added:
    """Add one event to a farm's log.

    Parameters
    ----------
    folder : Folder
        The folder that is served.
    draft : dict
        Checked.
    values : dict
        By column, as a browser sent them.

    Returns
    -------
    Added

    Raises
    ------
    RefusedError
        If a value is neither a number nor a short text.
    ScenarioError
        If the row could not be read back.
    """
    for value in values.values():
        number = isinstance(value, int | float) and not isinstance(value, bool)
        text = isinstance(value, str) and len(value) <= _LONGEST_TEXT
        if value is not None and not number and not text:
            message = "a row holds numbers and short texts"
            raise RefusedError(message)
    return add_row(log_place(folder, draft), farm_of(draft), values, today())
