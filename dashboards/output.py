"""Files put in place whole: written beside, then renamed; all of a set or none of it."""

from collections.abc import Mapping
from pathlib import Path

from econ.farm.writing import write_set
from econ.ground.errors import DrumworthError


class OutputError(DrumworthError):
    """A file that cannot be made or put where it was asked for."""


def refuse_existing(paths: list[Path], *, force: bool) -> None:
    """Refuse to write over what is there.

    Parameters
    ----------
    paths : list of Path
        What would be written.
    force : bool
        Whether files, though never folders, may be replaced.

    Raises
    ------
    OutputError
        Naming every path in the way.
    """
    faults = []
    for path in paths:
        if path.is_dir():
            faults.append(f"{path}: is a folder; name a file")
        elif not force and (path.exists() or path.is_symlink()):
            faults.append(f"{path}: is there already; name another, or add --force to replace it")
    if faults:
        raise OutputError("\n".join(faults))


def write_all(files: Mapping[Path, bytes], *, force: bool = True) -> None:
    """Write a set of files: each beside its place first, and only then all in place.

    Parameters
    ----------
    files : mapping of Path to bytes
        What goes where; a link leads to the file and stays a link.
    force : bool
        Whether files that are there may be replaced.

    Raises
    ------
    OutputError
        If one cannot be written; whatever stood there stays, and nothing half-written is left.
    """
    try:
        write_set(files, fresh=not force)
    except FileExistsError as error:
        message = f"{error.filename}: is there already; name another, or add --force to replace it"
        raise OutputError(message) from error
    except OSError as error:
        named = error.filename or next(iter(files))
        message = f"{named}: cannot be written: {error.strerror or error}"
        raise OutputError(message) from error
