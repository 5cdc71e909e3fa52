"""The last few things that were worked out, each at most once, whoever asks."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import Generic, TypeVar

Asked = TypeVar("Asked")
Made = TypeVar("Made")


class Kept(Generic[Made]):
    """What was made lately, by key; the one that nobody asked for longest goes first.

    Parameters
    ----------
    most : int
        How many are remembered.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._lock = threading.Lock()
        self._made: OrderedDict[str, Made] = OrderedDict()

    def known(self, key: str) -> Made | None:
        """Return what is remembered under a key, None where it is not."""
        with self._lock:
            if key not in self._made:
                return None
            self._made.move_to_end(key)
            return self._made[key]

    def keep(self, key: str, made: Made) -> None:
        """Remember what was made."""
        with self._lock:
            self._made[key] = made
            self._made.move_to_end(key)
            if len(self._made) > self._most:
                self._made.popitem(last=False)


class LastFew(Generic[Asked, Made]):
    """The last few things that one function made, none of them None, each made once.

    Parameters
    ----------
    make : callable
        From what is asked to what is made of it.
    most : int
        How many are remembered.
    """

    def __init__(self, make: Callable[[Asked], Made], most: int) -> None:
        self._make = make
        self._kept: Kept[Made] = Kept(most)
        self._lock = threading.Lock()
        self._making: dict[str, threading.Lock] = {}

    def of(self, key: str, asked: Asked) -> Made:
        """Make it, or remember it; who asks with another key does not wait for it.

        Parameters
        ----------
        key : str
            Equal for what is asked alike.
        asked : object
            What `make` is called with where it is not remembered.

        Returns
        -------
        object
            What raises is not remembered.
        """
        with self._lock:
            made = self._kept.known(key)
            if made is not None:
                return made
            own = self._making.setdefault(key, threading.Lock())
        with own:
            made = self._kept.known(key)
            if made is not None:
                return made
            try:
                made = self._make(asked)
                self._kept.keep(key, made)
            finally:
                with self._lock:
                    self._making.pop(key, None)
            return made
