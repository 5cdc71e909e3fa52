"""Files put in place whole: written beside, then renamed; all of a set or none of it."""

import contextlib
import os
import stat
import tempfile
from collections.abc import Mapping
from pathlib import Path

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


def _beside(path: Path, content: bytes) -> Path:
    """Write content under a temporary name in the same folder."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(stat.S_IMODE(path.stat().st_mode) if path.exists() else 0o644)
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    return beside


def write_all(files: Mapping[Path, bytes]) -> None:
    """Write a set of files: each beside its place first, and only then all in place.

    Parameters
    ----------
    files : mapping of Path to bytes
        What goes where.

    Raises
    ------
    OutputError
        If one cannot be written; whatever stood there stays, and nothing half-written is left.
    """
    waiting: dict[Path, Path] = {}
    current = next(iter(files), Path())
    try:
        for current, content in files.items():
            waiting[current] = _beside(current, content)
        for current, beside in list(waiting.items()):
            beside.replace(current)
            del waiting[current]
    except OSError as error:
        message = f"{current}: cannot be written: {error.strerror or error}"
        raise OutputError(message) from error
    finally:
        for beside in waiting.values():
            with contextlib.suppress(OSError):
                beside.unlink()
