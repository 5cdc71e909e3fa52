"""One long run a page at a time: a newer one ends the older."""

import threading
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from flask import request

HEADER = "Drumworth-Page"
"""Names the tab that calls, in every call of our pages (assets/watch.js)."""
_MOST_PAGES = 100
_LONGEST_NAME = 40


class OvertakenError(Exception):
    """Another run was begun from the same page: nobody waits for this one."""


class Newest:
    """Which run of each page is the newest.

    A run that is told of progress asks between steps whether it still is; so the older one ends
    within a step, and gives its processor to the newer.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._turns: OrderedDict[str, int] = OrderedDict()
        self._count = 0

    @contextmanager
    def run(self, page: str) -> Iterator[Callable[[int, int], None]]:
        """Begin a run and end the older one of the same page.

        Parameters
        ----------
        page : str
            What names the page.

        Yields
        ------
        callable
            To be told (done, in all) between steps; raises OvertakenError in an older run.
        """
        with self._lock:
            self._count += 1
            mine = self._turns[page] = self._count
            self._turns.move_to_end(page)
            if len(self._turns) > _MOST_PAGES:
                self._turns.popitem(last=False)

        def tell(done: int, total: int) -> None:
            with self._lock:
                if self._turns.get(page) != mine:
                    raise OvertakenError

        yield tell


def page_of_call() -> str:
    """Name the page that the present call came from."""
    return request.headers.get(HEADER, "")[:_LONGEST_NAME]
