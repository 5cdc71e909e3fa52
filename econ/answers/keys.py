"""What a key of a JSON document means: declared once, beside its type.

A document is a `TypedDict` whose keys are ``Annotated[type, Key(dimension, meaning)]``: mypy
follows a surface to the last key, and `described` lists them for people.
"""

from collections.abc import Iterator
from typing import Annotated, Any, get_args, get_origin, get_type_hints, is_typeddict

from msgspec import Struct

from econ.ground.units import DIMENSIONS


class Key(Struct, frozen=True):
    """One key of a document.

    Parameters
    ----------
    dimension : str
        Key of `econ.ground.units.DIMENSIONS`: the unit of a number, or "text", "flag".
    meaning : str
        One plain line.
    """

    dimension: str
    meaning: str

    def __post_init__(self) -> None:
        """Refuse a dimension nobody knows."""
        if self.dimension not in DIMENSIONS:
            message = f"dimension {self.dimension!r} is not one of {', '.join(DIMENSIONS)}"
            raise ValueError(message)


class Described(Struct, frozen=True):
    """One key with its place in the document, such as ``fuel.blend`` or ``months[].hours``."""

    path: str
    key: Key


def _inner(kind: Any) -> tuple[str, Any] | None:
    """Find a document inside a type, with how its path goes on."""
    if is_typeddict(kind):
        return "", kind
    for part in get_args(kind):
        below = _inner(part)
        if below is not None:
            origin = get_origin(kind)
            step = "[]" if origin in (list, tuple) else "{}" if origin is dict else ""
            return step + below[0], below[1]
    return None


def described(document: Any, path: str = "") -> Iterator[Described]:
    """List every key of a document and of the documents inside it.

    Parameters
    ----------
    document : TypedDict class
        Whose keys are ``Annotated[type, Key(...)]``.
    path : str
        Where it stands in a larger document.

    Yields
    ------
    Described
        In the order of declaration.

    Raises
    ------
    TypeError
        If a key has no `Key`.

    Examples
    --------
    >>> from typing import Annotated, TypedDict
    >>> class Year(TypedDict):
    ...     hours: Annotated[float, Key("hours", "Hands-on hours.")]
    >>> [(row.path, row.key.dimension) for row in described(Year)]
    [('hours', 'hours')]
    """
    for name, hint in get_type_hints(document, include_extras=True).items():
        where = f"{path}.{name}" if path else name
        notes = [note for note in getattr(hint, "__metadata__", ()) if isinstance(note, Key)]
        if get_origin(hint) is not Annotated or not notes:
            message = f"{document.__name__}.{name} says nothing of its unit and meaning"
            raise TypeError(message)
        yield Described(where, notes[0])
        below = _inner(get_args(hint)[0])
        if below is not None:
            yield from described(below[1], where + below[0])
