"""A progress bar for what takes longer than two seconds, on a terminal only."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # For types alone: what is done sooner than a bar appears does not wait for its library.
    from rich.progress import Progress

_PATIENCE = 2.0


def _begun(what: str, total: int | None) -> "Progress | None":
    """Show a bar of one task; None where there is no terminal."""
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        Progress,
        TaskProgressColumn,
        TextColumn,
        TimeRemainingColumn,
    )

    screen = Console(file=sys.stderr)
    if not screen.is_terminal:
        return None
    bar = Progress(
        TextColumn(what),
        BarColumn(),
        TextColumn("{task.completed:,.0f} done"),
        TaskProgressColumn(),
        TimeRemainingColumn(),
        console=screen,
        transient=True,
    )
    bar.add_task(what, total=total)
    bar.start()
    return bar


@contextmanager
def working(what: str, total: int | None = None) -> Iterator[Callable[[int, int], None]]:
    """Make a function to tell of what is done; a bar appears once two seconds have passed.

    Parameters
    ----------
    what : str
        What is being done, in a word.
    total : int, optional
        How much there will be, where that is known beforehand.

    Yields
    ------
    callable
        To be told (done, in all); 0 in all where that is not known.
    """
    start = time.monotonic()
    bar: Progress | None = None
    waited = False

    def tell(done: int, total_now: int) -> None:
        nonlocal bar, waited
        if not waited and time.monotonic() - start > _PATIENCE:
            waited = True
            bar = _begun(what, total)
        if bar is not None:
            bar.update(bar.task_ids[0], completed=done, total=total_now or None)

    try:
        yield tell
    finally:
        if bar is not None:
            bar.stop()
