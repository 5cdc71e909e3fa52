"""The farm that a command was given, with what its log says of each guess."""

import argparse
import datetime
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # For types alone: the model is imported by the command that needs it.
    from econ import Scenario


def today() -> datetime.date:
    """Return the day where this is run; rows of later days are faults."""
    return datetime.datetime.now(tz=datetime.UTC).astimezone().date()


def farm_of(arguments: argparse.Namespace) -> "Scenario":
    """Read the farm as it is known now.

    Parameters
    ----------
    arguments : Namespace
        With `file`, and `records`: a log, or None for the one that the farm names.

    Returns
    -------
    Scenario
        Rows of the log that cannot be read are told on standard error; the others count.
    """
    from econ.answers.records import load_with_records

    scenario, records = load_with_records(arguments.file, arguments.records, today())
    if records is not None:
        unread = len(records.log.faults) + (records.log.torn is not None)
        if unread:
            sys.stderr.write(
                f"{records.log.path}: {unread} row{'s' if unread > 1 else ''} cannot be read and"
                f" do not count; see: drumworth records {arguments.file} {records.log.path}\n"
            )
    return scenario
