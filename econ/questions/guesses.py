"""Which numbers of a farm are guesses: three-point estimates, each with what its field says.

They stand in the order of the merged file, those of usual wear after it; each takes one
dimension of the draws.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from msgspec import Struct

from econ.farm.fields import About
from econ.farm.files import usual_wear
from econ.farm.prepare import Path
from econ.farm.schema import TABLES, Estimate, Scenario, Table, about
from econ.ground.records import replace
from econ.ground.wording import visible

_FUEL_PRICES = ("road_diesel", "farm_diesel", "heating_oil")


class Guess(Struct, frozen=True):
    """One three-point estimate of a scenario, in the file's units."""

    path: Path
    name: str
    """As people read it: the entry's name and the field."""
    low: float
    likely: float
    high: float
    mean: float
    """Expected value."""
    group: str | None
    """"fuel price" or "oil volume" where it is correlated with those, else None."""
    bad_side: str
    """"high" or "low" where one side is bad for a plan, else empty."""
    learned_from: str
    """What tells it before a start; empty where nobody can know it."""

    @property
    def place(self) -> float:
        """Return where the likely value lies between low and high. [-]"""
        return (self.likely - self.low) / (self.high - self.low)


def _is_estimate(value: Any) -> bool:
    return isinstance(value, Mapping) and set(value) == {"low", "likely", "high"}


def _about(path: Path) -> About:
    """Return what is known of the field at a path of the merged file."""
    table = "machines.wear" if "wear" in path else str(path[0])
    model: type[Table] = next(model for name, model, _ in TABLES if name == table)
    return about(model, str(path[-1]))


def dimension_of(path: Path) -> str:
    """Return what the field at a path measures.

    Parameters
    ----------
    path : tuple
        Of a guess.

    Returns
    -------
    str
        Key of `econ.ground.units.DIMENSIONS`.

    Examples
    --------
    >>> dimension_of(("oils", 0, "reliability"))
    'share'
    """
    return _about(path).dimension


def _guess(path: Path, names: tuple[str, ...], low: float, likely: float, high: float) -> Guess:
    """Put one estimate together with what its field says of it."""
    field = _about(path)
    name = visible(": ".join((*names, field.label)))
    mean = Estimate(low=low, likely=likely, high=high).expected
    return Guess(
        path, name, low, likely, high, mean, _group(path), field.bad_side, field.learned_from
    )


def _group(path: Path) -> str | None:
    if path[0] == "prices" and path[-1] in _FUEL_PRICES:
        return "fuel price"
    if path[0] == "thinners" and path[-1] == "price":
        return "fuel price"
    if path[0] == "oils" and path[-1] == "volume_per_month":
        return "oil volume"
    return None


def _walk(table: Any, path: Path, names: tuple[str, ...]) -> Iterator[Guess]:
    """Find the estimates below a table, in the file's order."""
    if _is_estimate(table):
        if table["low"] < table["high"]:
            low, likely, high = (float(table[key]) for key in ("low", "likely", "high"))
            yield _guess(path, names, low, likely, high)
    elif isinstance(table, Mapping):
        for key, value in table.items():
            yield from _walk(value, (*path, key), names)
    elif isinstance(table, list):
        for index, entry in enumerate(table):
            inner = names
            if isinstance(entry, Mapping):
                name = entry.get("name", entry.get("part"))
                inner = (*names, str(name)) if name is not None else names
            yield from _walk(entry, (*path, index), inner)


def _usual_guesses(scenario: Scenario) -> Iterator[Guess]:
    """Return the estimates of usual wear rows, for machines without rows of their own."""
    for index, machine in enumerate(scenario.machines):
        if machine.wear:
            continue
        for row, part in enumerate(usual_wear(machine.engine, scenario.scenario.units)):
            for field in ("cost", "extra_failures"):
                value = getattr(part, field)
                if isinstance(value, Estimate) and value.low < value.high:
                    path = ("machines", index, "wear", row, field)
                    names = (machine.name, part.part)
                    yield _guess(path, names, value.low, value.likely, value.high)


def guesses(scenario: Scenario) -> tuple[Guess, ...]:
    """List a scenario's three-point estimates: the file's in its order, then usual wear.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    tuple of Guess
        One a dimension of the draws; low = high takes none, and a tied price has none.
    """
    result = (*_walk(scenario.merged, (), ()), *_usual_guesses(scenario))
    return tuple(_as_known(guess, scenario) for guess in result)


def _as_known(guess: Guess, scenario: Scenario) -> Guess:
    """Return what records have made of a guess; its place among the others stays."""
    known = scenario.known.get(guess.path)
    if known is None:
        return guess
    return replace(guess, low=known.low, likely=known.likely, high=known.high, mean=known.expected)
