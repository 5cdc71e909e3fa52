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
    result: Record = _taken(record, rows, shape, {})
    return result


def _taken(value: Any, rows: Rows, shape: Shape, known: dict[int, Any]) -> Any:
    """Take rows of whatever stands in a record; not inside `some_rows`, where it would hold itself.

    What holds itself, and all arrays with it, is let go of only when garbage is looked for.
    """
    if isinstance(value, np.ndarray):
        if value.shape != shape:
            return value
        if id(value) not in known:
            known[id(value)] = value[rows]
        return known[id(value)]
    if isinstance(value, Struct):
        fields = (getattr(value, name) for name in value.__struct_fields__)
        return type(value)(*(_taken(inner, rows, shape, known) for inner in fields))
    if isinstance(value, tuple):
        return tuple(_taken(inner, rows, shape, known) for inner in value)
    return value


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
    result: Record = _laid(whole, part, rows, shape)
    return result


def _laid(value: Any, other: Any, rows: Rows, shape: Shape) -> Any:
    """Put rows of one thing that stands in a record over another."""
    if isinstance(value, Struct):
        names = value.__struct_fields__
        pairs = ((getattr(value, name), getattr(other, name)) for name in names)
        return type(value)(*(_laid(one, two, rows, shape) for one, two in pairs))
    if isinstance(value, tuple):
        return tuple(_laid(one, two, rows, shape) for one, two in zip(value, other, strict=True))
    if not np.ndim(value) and not np.ndim(other) and value == other:
        return value
    result = np.array(np.broadcast_to(value, shape))
    result[rows] = other
    return result
