"""Files put in place whole: locked, written beside, compared, then renamed; or left as they were.

The lock is the folder itself, held by the operating system: it leaves no file among the farms,
and it ends with a process that is killed. Programs that know nothing of it, such as an editor,
are met by comparing what stands there just before it is replaced.

>>> import tempfile
>>> with tempfile.TemporaryDirectory() as folder:
...     write_set({Path(folder) / "farm.toml": b"[labour]"}, fresh=True)
...     print([path.name for path in Path(folder).iterdir()])
['farm.toml']
"""

import contextlib
import errno
import hashlib
import os
import secrets
import stat
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

from econ.ground.errors import ChangedError

PATIENCE = 10.0
"""Seconds to wait for another save of the same folder."""
_PAUSE = 0.02


def _try_lock(handle: int) -> bool:
    """Say whether a lock was had; another program's lock gives False, no locks at all an error."""
    try:
        import fcntl
    except ImportError:
        import msvcrt  # the other family of systems; it locks bytes of a file, never a folder

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined, unused-ignore]
        except OSError:
            return False
        return True
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _handle(folder: Path) -> int:
    if os.name == "posix":
        return os.open(folder, os.O_RDONLY)
    return os.open(folder / ".drumworth.lock", os.O_RDWR | os.O_CREAT)


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[bool]:
    """Hold a folder against other saves while its files are replaced.

    Parameters
    ----------
    folder : Path
        Of the file itself, where a link leads to one.

    Yields
    ------
    bool
        Whether it is held; False where the disk knows no locks, as some network shares.

    Raises
    ------
    OSError
        If there is no such folder, or another save does not end within `PATIENCE` seconds.
    """
    handle = _handle(folder)
    try:
        end = time.monotonic() + PATIENCE
        held = True
        try:
            while not _try_lock(handle):
                if time.monotonic() > end:
                    raise TimeoutError(errno.EAGAIN, "another save there has not ended")
                time.sleep(_PAUSE)
        except TimeoutError:
            raise
        except OSError:
            held = False
        yield held
    finally:
        os.close(handle)


def real(path: Path) -> Path:
    """Return the file itself, where a link leads to it."""
    return Path(os.path.realpath(path))


def _mark(path: Path) -> str:
    """Return what the temporary names of a file have in common, however long its own name is."""
    digest = hashlib.sha256(path.name.encode(errors="surrogateescape")).hexdigest()[:12]
    return f".drumworth-{digest}."


def sweep(path: Path) -> None:
    """Remove what killed saves of a file left beside it; call it with the folder held.

    Parameters
    ----------
    path : Path
        The file itself.
    """
    for left in path.parent.glob(f"{_mark(path)}*.part"):
        with contextlib.suppress(OSError):
            left.unlink()


def write_beside(path: Path, content: bytes) -> Path:
    """Write content under a temporary name in a file's folder.

    Parameters
    ----------
    path : Path
        The file itself; its permissions are kept, a new one has those of the user's umask.
    content : bytes
        All of it.

    Returns
    -------
    Path

    Raises
    ------
    OSError
        If it cannot be written, or the file is write-protected; nothing is left beside it.
    """
    try:
        there: os.stat_result | None = path.stat()
    except FileNotFoundError:
        there = None
    if there is not None and (not there.st_mode & 0o222 or not os.access(path, os.W_OK)):
        raise PermissionError(errno.EACCES, "it is write-protected")
    beside = path.with_name(f"{_mark(path)}{secrets.token_hex(6)}.part")
    # Made by open itself, which alone applies the umask without changing it for other threads.
    handle = os.open(
        beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666
    )
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        if there is not None:
            _keep_owner(beside, there)
            beside.chmod(stat.S_IMODE(there.st_mode))
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
    return beside


def _keep_owner(beside: Path, there: os.stat_result) -> None:
    if os.name != "posix":
        return
    with contextlib.suppress(OSError):  # only an administrator may; the others own what they save
        os.chown(beside, there.st_uid, there.st_gid)


def put(beside: Path, path: Path, *, fresh: bool) -> None:
    """Rename what was written beside a file into its place.

    Parameters
    ----------
    beside, path : Path
        From and to.
    fresh : bool
        Whether nothing may stand there yet.

    Raises
    ------
    OSError
        FileExistsError among them.
    """
    if fresh:
        try:
            os.link(beside, path)  # unlike a rename, it never replaces
        except FileExistsError:
            raise
        except OSError:  # a disk without links
            if os.path.lexists(path):
                raise FileExistsError(errno.EEXIST, "it is there already") from None
            beside.replace(path)
        else:
            beside.unlink()
    else:
        beside.replace(path)


def _settle(folders: Iterable[Path]) -> None:
    """Have new names themselves on the disk, so that a power cut loses nothing that was saved."""
    if os.name != "posix":
        return
    for folder in folders:
        with contextlib.suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
            try:
                os.fsync(handle)
            finally:
                os.close(handle)


def replace_whole(path: Path, content: bytes, was: bytes) -> None:
    """Replace a file that was read; call it with its folder held.

    Parameters
    ----------
    path : Path
        A link leads to the file and stays a link.
    content : bytes
        What is to stand there.
    was : bytes
        What was read there.

    Raises
    ------
    ChangedError
        If something else stands there by now.
    OSError
        If it cannot be written; whatever stood there stays.
    """
    place = real(path)
    beside = write_beside(place, content)
    try:
        if place.read_bytes() != was:
            message = f"{path}: has changed since it was read"
            raise ChangedError(message)
        put(beside, place, fresh=False)
    finally:
        with contextlib.suppress(OSError):
            beside.unlink()
    _settle([place.parent])


def write_set(files: Mapping[Path, bytes], *, fresh: bool) -> None:
    """Write a set of files: each beside its place first, and only then all in place.

    Parameters
    ----------
    files : mapping of Path to bytes
        What goes where; a link leads to the file and stays a link.
    fresh : bool
        Whether nothing may stand there yet.

    Raises
    ------
    OSError
        Naming the file; what had stood there stays, and nothing half-written is left.
    """
    places = {real(path): path for path in files}
    waiting: dict[Path, Path] = {}
    with contextlib.ExitStack() as stack:
        held = {
            folder: stack.enter_context(locked(folder))
            for folder in sorted({place.parent for place in places})
        }
        try:
            for place, path in places.items():
                with _naming(path):
                    if held[place.parent]:
                        sweep(place)
                    waiting[place] = write_beside(place, files[path])
            for place, beside in list(waiting.items()):
                with _naming(places[place]):
                    put(beside, place, fresh=fresh)
                    del waiting[place]
        finally:
            for beside in waiting.values():
                with contextlib.suppress(OSError):
                    beside.unlink()
    _settle(held)


@contextlib.contextmanager
def _naming(path: Path) -> Iterator[None]:
    """Have a failure name the file that was asked for, not its temporary one."""
    try:
        yield
    except OSError as error:
        error.filename, error.filename2 = str(path), None
        raise
