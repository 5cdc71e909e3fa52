"""A farm as its plan stands: one way of cleaning, and only the kit and bills that are in it.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["quillmere-two-ways"])
>>> len(farm.setups), len(as_planned(farm).setups)
(2, 0)
"""

from typing import Any

from econ.farm.prepare import settle
from econ.farm.schema import Header, Kit, Scenario, Yearly
from econ.farm.setups import with_first_setup


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
    """Return a farm without its other set-ups and without what hangs on nothing of its plan.

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
    first = scenario.setups[0] if scenario.setups else None
    lined = None if first is None else first.filters
    kept: dict[str, list[Any]] = {
        "kit": [_free(item) for item in scenario.kit if _in_plan(item.serves, plan)],
        "yearly": [_free(bill) for bill in scenario.yearly if _in_plan(bill.serves, plan)],
        "filters": [f for f in scenario.filters if lined is None or f.name in lined],
    }
    names = {table: {entry.name for entry in entries} for table, entries in kept.items()}
    document = {k: v for k, v in with_first_setup(scenario.merged).items() if k != "setups"}
    for table, known in names.items():
        document[table] = [
            {key: value for key, value in entry.items() if key != "serves"}
            for entry in document.get(table, [])
            if entry["name"] in known
        ]
    _sources(document, first.name if first else None, names)
    header = Header.model_validate(document["scenario"])
    plain = scenario.model_copy(update={**kept, "setups": [], "scenario": header})
    plain._merged = document
    return plain


def _free(entry: Kit | Yearly) -> Kit | Yearly:
    return entry.model_copy(update={"serves": []})


def _in_plan(serves: list[str], plan: frozenset[str]) -> bool:
    return not serves or not plan.isdisjoint(serves)
