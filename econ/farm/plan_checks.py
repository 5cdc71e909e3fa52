"""What a farm file must hold where plans are chosen from: set-ups, what hangs on what, limits.

>>> document = {"oils": [{"name": "Garages"}], "kit": [{"name": "Tank", "serves": ["Garage"]}]}
>>> [fault] = plan_problems(document, Origins("farm.toml"))
>>> fault.message.split("; ")[-1]
'did you mean Garages?'
"""

from collections import Counter
from collections.abc import Callable, Iterator
from typing import Any

from pydantic import ValidationError

from econ.farm.faults import Finding, Origins, near, problems_of, shown, where
from econ.farm.schema import Process, SetUp
from econ.farm.setups import laid_processes, setups_of
from econ.fuel.substances import THINNERS, as_gasoline
from econ.ground.errors import Problem

Document = dict[str, Any]
# (place, value shown or None, message)

SERVED = ("oils", "thinners", "machines", "setups")
"""Tables on whose entries kit and bills may hang."""
_HANGING = (("kit", SERVED), ("yearly", SERVED), ("additives", ("thinners", "machines")))


def _entries(document: Document, table: str) -> list[Document]:
    value = document.get(table)
    return [entry for entry in value if isinstance(entry, dict)] if isinstance(value, list) else []


def _names(document: Document, table: str) -> list[str]:
    names = [entry.get("name") for entry in _entries(document, table)]
    return [name for name in names if isinstance(name, str)]


def _list(entry: Document, key: str) -> list[str]:
    value = entry.get(key)
    return [name for name in value if isinstance(name, str)] if isinstance(value, list) else []


def _unknown(
    document: Document, table: str, key: str, others: tuple[str, ...]
) -> Iterator[Finding]:
    """Find names in a field that no entry of the tables it may name has."""
    known = [name for other in others for name in _names(document, other)]
    tables = ", ".join(f"[[{other}]]" for other in others)
    for entry in _entries(document, table):
        for name in _list(entry, key):
            if name not in known:
                place = (table, str(entry.get("name")), key)
                yield place, shown(name), f"no entry of that name in {tables}{near(name, known)}"


def _serves(document: Document) -> Iterator[Finding]:
    for table, served in _HANGING:
        count = Counter(name for other in served for name in _names(document, other))
        yield from _unknown(document, table, "serves", served)
        for entry in _entries(document, table):
            for name in _list(entry, "serves"):
                if count[name] > 1:
                    yield (
                        (table, str(entry.get("name")), "serves"),
                        shown(name),
                        "several tables have an entry of that name; allowed: a name of its own"
                        " for whatever something hangs on",
                    )


def _setups(document: Document) -> Iterator[Finding]:
    yield from _unknown(document, "setups", "filters", ("filters",))
    for place, process in laid_processes(document):
        if place == ("process",):
            continue
        for key, info in Process.model_fields.items():
            if info.is_required() and key not in process:
                yield (*place, key), None, "is missing, in this set-up and in [process]"


def _base(document: Document) -> Iterator[Finding]:
    """Check what [process] itself gives, even where every set-up gives its own."""
    process = document.get("process")
    if not setups_of(document) or not isinstance(process, dict):
        return
    own = {key: value for key, value in process.items() if key in Process.model_fields}
    try:
        SetUp.model_validate({**own, "name": "process"})
    except ValidationError as error:
        for row in error.errors(include_url=False):
            text = row.get("ctx", {}).get("text", row["msg"])
            yield ("process", *map(str, row["loc"])), shown(row["input"]), str(text)


def _machine_thinners(document: Document) -> Iterator[Finding]:
    yield from _unknown(document, "machines", "thinners", ("thinners",))
    kinds = {str(t.get("name")): t.get("kind") for t in _entries(document, "thinners")}
    for machine in _entries(document, "machines"):
        place = ("machines", str(machine.get("name")), "thinners")
        names = _list(machine, "thinners")
        if names and machine.get("thinner") is None:
            yield (
                place,
                shown(names),
                "no thinner of its own says how thin its blend must be; allowed: only beside"
                " thinner",
            )
        for name in names:
            kind = kinds.get(name)
            gasoline = isinstance(kind, str) and kind in THINNERS and as_gasoline(kind)
            if machine.get("engine") == "burner" and gasoline:
                yield (
                    place,
                    shown(name),
                    f"{kind} in a burner's blend is refused: it can flash back and explode"
                    " (29 CFR 1910.106 flash classes); allowed: a thinner that is not treated as"
                    " gasoline",
                )


def _choices(document: Document) -> Iterator[Finding]:
    for machine in _entries(document, "machines"):
        if machine.get("choice") == "must" and machine.get("blend_share") == 0:
            yield (
                ("machines", str(machine.get("name")), "choice"),
                shown("must"),
                "it must burn blend, but its blend_share is 0; allowed: a share above 0",
            )
    for oil in _entries(document, "oils"):
        if oil.get("choice") == "must" and oil.get("volume_per_month") == 0:
            yield (
                ("oils", str(oil.get("name")), "choice"),
                shown("must"),
                "it must be fetched, but its volume_per_month is 0; allowed: a volume above 0",
            )


def _reserve(document: Document) -> Iterator[Finding]:
    reserve = document.get("reserve")
    if not isinstance(reserve, dict):
        return
    known = _names(document, "thinners")
    thinners = reserve.get("thinners")
    for name in thinners if isinstance(thinners, dict) else {}:
        if name not in known:
            yield (
                ("reserve", "thinners"),
                shown(name),
                f"no entry of that name in [[thinners]]{near(name, known)}",
            )
    held = _most(reserve.get("clean_oil"))
    for place, process in laid_processes(document):
        room = _least(process.get("clean_storage")) if isinstance(process, dict) else None
        if held is not None and room is not None and held > room:
            of = where((*place, "clean_storage"))
            yield (
                ("reserve", "clean_oil"),
                shown(reserve["clean_oil"]),
                f"is more than the clean store may hold ({of} = {room:g}); allowed: at most that",
            )


def _point(value: Any, point: str) -> float | None:
    value = value.get(point) if isinstance(value, dict) else value
    plain = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if plain and abs(value) < 1e300 else None


def _most(value: Any) -> float | None:
    return _point(value, "high")


def _least(value: Any) -> float | None:
    return _point(value, "low")


CHECKS: tuple[Callable[[Document], Iterator[Finding]], ...] = (
    _serves,
    _setups,
    _base,
    _machine_thinners,
    _choices,
    _reserve,
)


def plan_problems(document: Document, origins: Origins) -> list[Problem]:
    """Find what is wrong with what a plan is chosen from.

    Parameters
    ----------
    document : dict
        Merged, raw; its fields may be wrong in other ways too.
    origins : Origins
        Where each value stands.

    Returns
    -------
    list of Problem
    """
    return problems_of(document, CHECKS, origins)
