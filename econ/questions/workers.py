"""Worker processes that end with whoever started them, and at once when they are wanted no more."""

import multiprocessing
import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from multiprocessing.connection import wait


def end_with_starter() -> None:
    """Have this worker end when its starter does, however that ends; call it first in the worker.

    Notes
    -----
    The system closes the starter's end of a pipe when it is gone, which no signal can prevent.
    Ctrl-C goes to the starter alone, which ends its workers itself.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    starter = multiprocessing.parent_process()

    def leave() -> None:
        if starter is not None:
            wait([starter.sentinel])
            os._exit(1)

    threading.Thread(target=leave, daemon=True).start()


@contextmanager
def ended_at_once(pool: Executor) -> Iterator[None]:
    """Shut a pool down at the end; at once, in the middle of its work, if what is within fails.

    Parameters
    ----------
    pool : Executor
        None of its workers is started yet.

    Yields
    ------
    None
    """
    before = set(multiprocessing.active_children())
    try:
        yield
    except BaseException:
        pool.shutdown(wait=False, cancel_futures=True)
        for child in multiprocessing.active_children():
            if child not in before:
                child.kill()
        raise
    pool.shutdown()
