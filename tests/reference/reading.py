"""A farm's file as a plain table: what it extends, what it removes, and its set-up laid over."""

import tomllib
from pathlib import Path
from typing import Any

Document = dict[str, Any]

FUEL_WAYS = [
    {"fuel_per_year"},
    {"hours_per_year", "fuel_per_hour"},
    {"distance_per_year", "distance_per_volume"},
    {"hours_per_year", "rated_power"},
]
THINNER_WAYS = [{"thinner_share", "thinner_share_winter"}, {"viscosity_limit"}]
ENERGY_WAYS = [
    {"energy_per_volume"},
    {"heat_from", "heat_to", "heater_efficiency", "motor_energy_per_volume"},
]


def read(path: Path) -> Document:
    """Read a farm file and lay it over what it extends."""
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    base = document["scenario"].get("extends")
    if base is None:
        return document
    merged = lay_over(read(path.parent / base), document)
    for table, names in document.get("remove", {}).items():
        merged[table] = [e for e in merged[table] if e["name"] not in names]
    gone = {name for names in merged.pop("remove", {}).values() for name in names}
    # What hangs on nothing that is left goes too.
    for table in ("kit", "yearly", "additives"):
        if table in merged:
            merged[table] = [
                e for e in merged[table] if "serves" not in e or set(e["serves"]) - gone
            ]
    return merged


def drop_other_ways(entry: Document, given: Document) -> Document:
    kept = dict(entry)
    for ways in (FUEL_WAYS, THINNER_WAYS, ENERGY_WAYS):
        touched = {key for way in ways for key in way if key in given}
        if not touched:
            continue
        fitting = {key for way in ways if touched <= way for key in way}
        for way in ways:
            for key in way:
                if key not in fitting:
                    kept.pop(key, None)
    return kept


def lay_entry(base: Document, over: Document) -> Document:
    return {**drop_other_ways(base, over), **over}


def lay_list(base: list[Document], over: list[Document], key: str) -> list[Document]:
    if not over:
        return []
    merged = [dict(entry) for entry in base]
    for entry in over:
        for index, old in enumerate(merged):
            if old[key] == entry[key]:
                fresh = lay_entry(old, entry)
                if "wear" in entry:
                    fresh["wear"] = lay_list(old.get("wear", []), entry["wear"], "part")
                merged[index] = fresh
                break
        else:
            merged.append(dict(entry))
    return merged


def lay_over(base: Document, over: Document) -> Document:
    merged = dict(base)
    for table, value in over.items():
        if isinstance(value, list):
            merged[table] = lay_list(merged.get(table, []), value, "name")
        else:
            merged[table] = lay_entry(merged.get(table, {}), value)
    return merged


def with_setup(document: Document, index: int = 0) -> Document:
    """Lay one set-up over the process; without set-ups all stays as it is."""
    setups = document.get("setups", [])
    if not setups:
        return document
    setup = dict(setups[index])
    setup.pop("name")
    names = setup.pop("filters", None)
    laid = {**document, "process": lay_entry(document.get("process", {}), setup)}
    if names is not None:
        laid["filters"] = [f for f in document.get("filters", []) if f["name"] in names]
    return laid
