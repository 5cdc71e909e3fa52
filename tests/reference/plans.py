"""Every plan a farm could follow, each worked through: brute force, for small farms only.

A plan is a set-up, the oils taken, and for each machine a thinner, clean oil or pump fuel. Each
becomes a farm of its own, without what it does not use, and is worked like any other.
"""

import copy
import itertools
from collections.abc import Iterator
from typing import Any

from reference import expected, liquids, work
from reference.farm import Farm
from reference.money import CASH, QUOTED
from reference.months import wanted
from reference.reading import Document

PUMP, CLEAN = "pump fuel", "clean oil"
NOTHING: Document = {"equivalent_annual": 0.0, "oils": [], "npv": 0.0}


# --- what can be chosen --------------------------------------------------------------------


def oil_choices(farm: Farm, document: Document) -> Iterator[list[str]]:
    """List every set of sources; those of no volume are never fetched."""
    options = []
    for oil, entry in zip(farm.oils, document["oils"], strict=True):
        choice = entry.get("choice", "may")
        if oil["volume"] <= 0 or choice == "never":
            options.append([False])
        else:
            options.append([True] if choice == "must" else [False, True])
    for taken in itertools.product(*options):
        yield [oil["name"] for oil, take in zip(farm.oils, taken, strict=True) if take]


def machine_choices(farm: Farm, document: Document) -> list[list[str]]:
    """List what each machine may burn."""
    kinds = {t["name"]: t["kind"] for t in document.get("thinners", [])}
    tied_to_dyed = {t["name"] for t in document.get("thinners", []) if t["price"] == "farm_diesel"}
    allowed = document.get("limits", {}).get("gasoline", True)
    options = []
    for m, burns, entry in zip(farm.machines, farm.burns, document["machines"], strict=True):
        choice = entry.get("choice", "may")
        if not burns or choice == "never":
            options.append([PUMP])
            continue
        own = entry["thinner"] if m["thinner"] is not None else CLEAN
        names = []
        for name in dict.fromkeys([own, *entry.get("thinners", [])]):
            gasoline = name != CLEAN and kinds[name].startswith("gasoline")
            # Dyed fuel is never put forward for the road.
            dyed = name in tied_to_dyed and m["road"] > 0 and name != own
            if not dyed and (allowed or not gasoline):
                names.append(name)
        options.append(names if choice == "must" else [*names, PUMP])
    return options


def decisions(document: Document) -> Iterator[Document]:
    farm = Farm(document, "expected")
    setups = [s["name"] for s in document.get("setups", [])] or [None]
    for setup in setups:
        for oils in oil_choices(farm, document):
            for burned in itertools.product(*machine_choices(farm, document)):
                names = [m["name"] for m in document["machines"]]
                # Without oil, or without a machine to burn it, a plan only costs.
                if not oils or all(choice == PUMP for choice in burned):
                    continue
                yield {
                    "setup": setup,
                    "oils": oils,
                    "machines": dict(zip(names, burned, strict=True)),
                }


# --- the farm that a plan makes ------------------------------------------------------------


def blend_w(oil: float, oil_density: float, thin: float, thin_density: float, x: float) -> float:
    """W of a blend by mass fractions, from the thinner's share by volume."""
    mass = x * thin_density / (x * thin_density + (1 - x) * oil_density)
    return (1 - mass) * oil + mass * thin


def same_job(farm: Farm, m: Document, other: Document, season: int) -> float | None:
    """Share of another thinner at which the blend is as thick at 40 °C as with its own."""
    weights = [oil["usable"] for oil in farm.oils]
    if sum(weights) == 0:
        weights = [1.0 for _ in farm.oils]
    mass = sum(x * o["density"] for x, o in zip(weights, farm.oils, strict=True))
    oil = sum(
        x * o["density"] / mass * liquids.at_temperature(o["line"], 40.0)
        for x, o in zip(weights, farm.oils, strict=True)
    )
    own = m["thinner"]
    thin = liquids.at_temperature(own["line"], 40.0)
    aim = blend_w(oil, farm.density, thin, own["density"], m["x"][season])
    new = liquids.at_temperature(other["line"], 40.0)
    return liquids.share_for_limit(oil, new, aim, farm.density, other["density"])


def planned(document: Document, decision: Document) -> Document | None:
    """Write a plan as a farm; None where a blend cannot be made thin enough."""
    made = copy.deepcopy(document)
    made["setups"] = [s for s in made.get("setups", []) if s["name"] == decision["setup"]]
    for oil in made["oils"]:
        if oil["name"] not in decision["oils"]:
            oil["volume_per_month"] = 0
    for m in made["machines"]:
        if decision["machines"][m["name"]] == PUMP:
            m["blend_share"] = 0
    farm = Farm(made, "expected")
    for k, m in enumerate(made["machines"]):
        name = decision["machines"][m["name"]]
        if name not in (PUMP, CLEAN) and name != m["thinner"] and not change(farm, made, k, name):
            return None
    final = Farm(made, "expected")
    for k, burns in enumerate(final.burns):
        if burns and all(wanted(final, k, month) is None for month in range(1, 13)):
            return None
    return made


def change(farm: Farm, made: Document, k: int, name: str) -> bool:
    """Put another thinner into a machine's blend; False where it is too thick all year."""
    m, entry = farm.machines[k], made["machines"][k]
    entry["thinner"] = name
    if "thinner_share" not in entry:
        return True
    other = next(t for t in farm.thinners if t["name"] == name)
    shares = [same_job(farm, m, other, season) for season in (0, 1)]
    months = [t for t in sorted(m["months"]) if shares[farm.season(t)] is not None]
    entry["blend_months"] = months
    entry["thinner_share"] = 0.0 if shares[0] is None else shares[0]
    entry["thinner_share_winter"] = 0.0 if shares[1] is None else shares[1]
    return bool(months)


# --- worth ---------------------------------------------------------------------------------


def plan_of(document: Document, decision: Document, ledger: str) -> Document | None:
    """Work a plan through; None where it cannot be had or breaks a limit."""
    made = planned(document, decision)
    if made is None:
        return None
    farm, order = expected(made)
    outcome = work(farm, order)
    limits = document.get("limits", {})
    measures = outcome["ledgers"][ledger]
    plan = {
        **decision,
        "kit": [item["name"] for item in farm.kit],
        "yearly": [bill["name"] for bill in made.get("yearly", []) if farm.in_plan(bill)],
        "equivalent_annual": measures["equivalent_annual"],
        "npv": measures["npv"],
        "kit_to_buy": outcome["kit_to_buy"],
        "own_hours": outcome["fuel"]["own_hours"],
        "fuel_replaced": outcome["fuel"]["fuel_replaced"],
    }
    if plan["kit_to_buy"] > limits.get("kit_to_buy", float("inf")):
        return None
    if plan["own_hours"] > limits.get("own_hours_per_year", float("inf")):
        return None
    return plan


def plans(document: Document, ledger: str = "time_paid") -> list[Document]:
    """List every plan that can be had, best first."""
    made = [plan_of(document, decision, ledger) for decision in decisions(document)]
    return sorted((p for p in made if p is not None), key=lambda p: -p["equivalent_annual"])


def stair(every: list[Document]) -> list[Document]:
    """Add one source after another, each time the one that leaves the best plan."""
    taken: set[str] = set()
    steps, before = [], 0.0
    while True:
        after: dict[str, Document] = {}
        for plan in every:
            added = set(plan["oils"]) - taken
            if len(added) != 1 or not taken <= set(plan["oils"]):
                continue
            name = added.pop()
            if name not in after or plan["equivalent_annual"] > after[name]["equivalent_annual"]:
                after[name] = plan
        if not after:
            return steps
        best = max(after, key=lambda name: after[name]["equivalent_annual"])
        worth = after[best]["equivalent_annual"]
        steps.append({**after[best], "added": best, "gain": worth - before})
        taken.add(best)
        before = worth


# --- comparing two -------------------------------------------------------------------------


def partial_budget(one: Document, other: Document) -> dict[str, float]:
    """Set one typical year beside another: what changes for the better and for the worse."""
    lines: list[tuple[float, float]] = [
        (one["costs"][key], other["costs"][key])
        for key in (*QUOTED, *CASH, "wear", "kit", "labour")
    ]
    gained = other["savings"]["fuel_not_bought"] - one["savings"]["fuel_not_bought"]
    budget: dict[str, Any] = {
        "added_returns": max(0.0, gained),
        "reduced_returns": max(0.0, -gained),
        "reduced_costs": sum(max(0.0, before - after) for before, after in lines),
        "added_costs": sum(max(0.0, after - before) for before, after in lines),
    }
    better = budget["added_returns"] + budget["reduced_costs"]
    budget["net"] = better - budget["added_costs"] - budget["reduced_returns"]
    return budget
