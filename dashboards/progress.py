"""A progress bar for what takes longer than two seconds, on a terminal only."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_PATIENCE = 2.0


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
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        Progress,
        TaskProgressColumn,
        TextColumn,
        TimeRemainingColumn,
    )

    start = time.monotonic()
    screen = Console(file=sys.stderr)
    bar = Progress(
        TextColumn(what),
        BarColumn(),
        TextColumn("{task.completed:,.0f} done"),
        TaskProgressColumn(),
        TimeRemainingColumn(),
        console=screen,
        transient=True,
    )
    task = bar.add_task(what, total=total)
    shown = False

    def tell(done: int, total: int) -> None:
        nonlocal shown
        if not shown and screen.is_terminal and time.monotonic() - start > _PATIENCE:
            bar.start()
            shown = True
        bar.update(task, completed=done, total=total or None)

    try:
        yield tell
    finally:
        if shown:
            bar.stop()
