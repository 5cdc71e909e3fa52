"""Some rows of a batch apart, and laid back among the others: records keep their form.

Examples
--------
>>> from econ.model.outcome import OilYear
>>> year = OilYear(np.array([1.0, 2.0, 3.0]), np.zeros(()), np.zeros(()))
>>> part = some_rows(year, np.array([2]), (3,))
>>> part.taken.tolist(), part.trips.shape
([3.0], ())
>>> other = OilYear(np.array([9.0]), np.zeros(()), np.zeros(()))
>>> laid_over(year, other, np.array([2]), (3,)).taken.tolist()
[1.0, 2.0, 9.0]
"""

from typing import Any, TypeVar

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Record = TypeVar("Record")
Rows = NDArray[np.intp]
Shape = tuple[int, ...]


def some_rows(record: Record, rows: Rows, shape: Shape) -> Record:
    """Take some rows of all arrays in a record.

    Parameters
    ----------
    record : Struct, tuple, ndarray or other
        What it holds may be any of these again.
    rows : ndarray of int, shape (k,)
        Which.
    shape : tuple of int
        Of the batch; arrays of any other shape hold for all its rows and stay.

    Returns
    -------
    same as record
        An array that stands in it twice is taken once.
    """
    known: dict[int, Any] = {}

    def of(value: Any) -> Any:
        if isinstance(value, np.ndarray):
            if value.shape != shape:
                return value
            if id(value) not in known:
                known[id(value)] = value[rows]
            return known[id(value)]
        if isinstance(value, Struct):
            return type(value)(*(of(getattr(value, name)) for name in value.__struct_fields__))
        return tuple(of(inner) for inner in value) if isinstance(value, tuple) else value

    result: Record = of(record)
    return result


def laid_over(whole: Record, part: Record, rows: Rows, shape: Shape) -> Record:
    """Put other values in some rows of all arrays in a record.

    Parameters
    ----------
    whole, part : Struct, tuple, ndarray or other
        Of one form.
    rows : ndarray of int, shape (k,)
        Where the part's rows stand.
    shape : tuple of int
        Of the batch.

    Returns
    -------
    same as whole
    """

    def of(value: Any, other: Any) -> Any:
        if isinstance(value, Struct):
            names = value.__struct_fields__
            return type(value)(*(of(getattr(value, n), getattr(other, n)) for n in names))
        if isinstance(value, tuple):
            return tuple(of(one, two) for one, two in zip(value, other, strict=True))
        if not np.ndim(value) and not np.ndim(other) and value == other:
            return value
        result = np.array(np.broadcast_to(value, shape))
        result[rows] = other
        return result

    result: Record = of(whole, part)
    return result
