"""A farm as its plan stands: one way of cleaning, and only the kit and bills that are in it."""

from typing import Any

from econ.farm.files import from_document
from econ.farm.prepare import settle
from econ.farm.schema import Scenario
from econ.farm.setups import with_first_setup

_HANGING = ("kit", "yearly")


def _without_names(entry: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in entry.items() if key != "serves"}


def _sources(document: dict[str, Any], setup: str | None, names: dict[str, set[str]]) -> None:
    """Keep the sources of the numbers that are left; those of the set-up become the process's."""
    header = document["scenario"]
    kept = {}
    for path, kind in header.get("sources", {}).items():
        table, _, rest = path.partition(".")
        if table == "setups":
            own = f"{setup}."
            if not rest.startswith(own) or rest.endswith(".filters"):
                continue
            kept[f"process.{rest.removeprefix(own)}"] = kind
        elif table not in names or any(rest.startswith(f"{name}.") for name in names[table]):
            kept.setdefault(path, kind)
    document["scenario"] = {**header, "sources": kept}


def as_planned(scenario: Scenario) -> Scenario:
    """Give a farm without its other set-ups and without what hangs on nothing of its plan.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    Scenario
        The same farm where it has no set-ups and nothing hangs on anything. It evaluates to the
        same figures, and its lists are those of its inputs.

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    hanging = any(k.serves for k in scenario.kit) or any(y.serves for y in scenario.yearly)
    if not scenario.setups and not hanging:
        return scenario
    plan = settle(scenario).plan
    document = with_first_setup(scenario.merged)
    document = {key: value for key, value in document.items() if key != "setups"}
    names: dict[str, set[str]] = {}
    for table in _HANGING:
        kept = [e for e in document.get(table, []) if _in_plan(e, plan)]
        document[table] = [_without_names(entry) for entry in kept]
        names[table] = {entry["name"] for entry in kept}
    first = scenario.setups[0] if scenario.setups else None
    if first is not None and first.filters is not None:
        kept = [e for e in document.get("filters", []) if e["name"] in first.filters]
        document["filters"], names["filters"] = kept, {entry["name"] for entry in kept}
    _sources(document, first.name if first else None, names)
    return from_document(document, scenario.path)


def _in_plan(entry: dict[str, Any], plan: frozenset[str]) -> bool:
    serves = entry.get("serves", [])
    return not serves or not plan.isdisjoint(serves)
