"""Worker processes that end with whoever started them, and at once when they are wanted no more."""

import multiprocessing
import os
import signal
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing.connection import wait
from typing import Any, TypeVar

Item = TypeVar("Item")
Made = TypeVar("Made")
# What a worker process does with each item; set where it begins.
_WORK: list[Callable[[Any], Any]] = []


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


def _begin(work: Callable[[Any], Any]) -> None:
    end_with_starter()
    _WORK.append(work)


def _work_on(item: Any) -> Any:
    return _WORK[0](item)


@contextmanager
def workers_for(
    work: Callable[[Item], Made], count: int, start: str
) -> Iterator[Callable[[Iterable[Item]], Iterator[Made]]]:
    """Start workers that do one thing with whatever they are given.

    Parameters
    ----------
    work : callable
        What they do; a function that they can import, unless they are forked.
    count : int
        How many.
    start : str
        How processes begin: "fork" or "spawn".

    Yields
    ------
    callable
        From items to what `work` made of each, in their order. The workers end after it; at once,
        in the middle of their work, if what is within fails.

    Notes
    -----
    Workers have `work` from their start, with all that hangs on it; only the items travel, which
    are small. Nothing is cancelled. In Python 3.11.2 a pool whose workers were killed fell over
    its cancelled futures, or waited for ever to send what nobody would read.
    """
    before = set(multiprocessing.active_children())
    context = multiprocessing.get_context(start)
    pool = ProcessPoolExecutor(count, mp_context=context, initializer=_begin, initargs=(work,))

    def in_order(items: Iterable[Item]) -> Iterator[Made]:
        futures = deque(pool.submit(_work_on, item) for item in items)
        while futures:
            yield futures.popleft().result()

    try:
        yield in_order
    except BaseException:
        for child in multiprocessing.active_children():
            if child not in before:
                child.kill()
        pool.shutdown(wait=False)
        raise
    pool.shutdown()
