"""A progress bar for what takes longer than two seconds, on a terminal only."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

_PATIENCE = 2.0


@contextmanager
def drawing(draws: int) -> Iterator[Callable[[int, int], None]]:
    """Give a function to tell of draws done; a bar appears once two seconds have passed.

    Parameters
    ----------
    draws : int
        How many there will be.

    Yields
    ------
    callable
        To be told (draws done, draws in all).
    """
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    start = time.monotonic()
    screen = Console(file=sys.stderr)
    bar = Progress(
        TextColumn("drawing"),
        BarColumn(),
        TextColumn("{task.completed:,.0f} of {task.total:,.0f}"),
        TimeRemainingColumn(),
        console=screen,
        transient=True,
    )
    task = bar.add_task("drawing", total=draws)
    shown = False

    def tell(done: int, total: int) -> None:
        nonlocal shown
        if not shown and screen.is_terminal and time.monotonic() - start > _PATIENCE:
            bar.start()
            shown = True
        bar.update(task, completed=done, total=total)

    try:
        yield tell
    finally:
        if shown:
            bar.stop()
