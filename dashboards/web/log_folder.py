"""The log of the farm that is open: a file of the folder that is served, and no other."""

import datetime
import json
from pathlib import Path
from typing import Any

from flask import current_app, has_app_context

from dashboards.web.documents import Folder
from econ import Scenario
from econ.answers.records import Records, records_of
from econ.farm.counting import counted
from econ.farm.files import from_document
from econ.farm.log import Log
from econ.farm.log_reading import read_log
from econ.farm.log_writing import Added, add_row
from econ.farm.rewriting import typed
from econ.ground.errors import Problem, RefusedError, ScenarioError

Json = dict[str, Any]
FOLDER = "DRUMWORTH_FOLDER"
"""Of a server's configuration: the folder that it serves."""
_LONGEST_NAME = 255
_LONGEST_TEXT = 400


def today() -> datetime.date:
    """Return the day where this is run."""
    return datetime.datetime.now(tz=datetime.UTC).astimezone().date()


def log_name(draft: Json) -> str:
    """Return the name of a farm's log: as the farm has it, else the farm's own with -log.csv."""
    records = draft["document"].get("records")
    named = records.get("log") if isinstance(records, dict) else None
    if isinstance(named, str) and named:
        return named
    stem = str(draft["name"] or "your-farm").removesuffix(".toml")
    return f"{stem}-log.csv"


def log_place(folder: Folder, draft: Json) -> Path:
    """Return where a farm's log stands.

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


def _named_log(draft: Json) -> Path | None:
    """Return the log that a farm names, where pages are served from a folder; else None."""
    records = draft["document"].get("records")
    if not isinstance(records, dict) or not records.get("log") or not has_app_context():
        return None
    folder = current_app.config.get(FOLDER)
    return log_place(folder, draft) if isinstance(folder, Folder) else None


def farm_key(scenario: Scenario) -> str:
    """Tell one farm from another, and from itself with other records."""
    known = sorted((str(path), value.expected) for path, value in scenario.known.items())
    return json.dumps([scenario.merged, known], default=str, sort_keys=True)


def log_stamp(draft: Json) -> str:
    """Tell one state of a farm's log from another; empty where the farm names none."""
    try:
        place = _named_log(draft)
        about = place.stat() if place is not None else None
    except (RefusedError, OSError):
        return "unread"
    return "" if about is None else f"{about.st_mtime_ns} {about.st_size}"


def known_farm(draft: Json) -> Scenario:
    """Read a farm being edited as it is known now: with the log that it names.

    Parameters
    ----------
    draft : dict
        Checked.

    Returns
    -------
    Scenario

    Raises
    ------
    ScenarioError
        If farm or log cannot be read.
    """
    scenario = farm_of(draft)
    try:
        place = _named_log(draft)
    except RefusedError as error:
        name = str(draft["name"] or "your farm")
        problem = Problem(name, "[records] log", log_name(draft), str(error))
        raise ScenarioError((problem,)) from error
    if place is None:
        return scenario
    return records_of(scenario, read_log(place, scenario, today())).scenario


def log_here(folder: Folder, draft: Json) -> Log | None:
    """Read a farm's log alone; None where there is none yet.

    Raises
    ------
    ScenarioError
        If farm or log cannot be read.
    """
    place, scenario = log_place(folder, draft), farm_of(draft)
    return read_log(place, scenario, today()) if place.exists() else None


def records_here(folder: Folder, draft: Json) -> Records | None:
    """Read a farm's log and what it says; None where there is none yet.

    Raises
    ------
    ScenarioError
        If farm or log cannot be read.
    """
    log = log_here(folder, draft)
    return None if log is None else records_of(farm_of(draft), log)


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
