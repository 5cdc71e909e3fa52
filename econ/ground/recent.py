"""What was worked out last, kept for whoever asks the same of the very same records again.

>>> kept, farm = Recent[float](most=2), object()
>>> kept.of((farm,), lambda: 3.0), kept.of((farm,), lambda: 1.0 / 0.0)
(3.0, 3.0)
"""

from collections.abc import Callable
from typing import Generic, TypeVar

Worked = TypeVar("Worked")


class Recent(Generic[Worked]):
    """The last few results, each by the records that it was worked out from.

    Records are known by identity, so they must not change once they are made.

    Parameters
    ----------
    most : int
        How many results are kept.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: tuple[tuple[tuple[object, ...], Worked], ...] = ()

    def of(self, records: tuple[object, ...], work: Callable[[], Worked]) -> Worked:
        """Return a result, worked out unless it was just now.

        Parameters
        ----------
        records : tuple
            All that the result depends on.
        work : callable
            Works it out; what it raises is passed on, and nothing is kept.
        """
        for known, result in self._kept:
            if len(known) == len(records) and all(map(_same, known, records)):
                return result
        result = work()
        self._kept = ((records, result), *self._kept[: self._most - 1])
        return result


def _same(one: object, other: object) -> bool:
    return one is other
