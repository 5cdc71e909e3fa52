"""Small farms from which a plan is chosen, and every plan of one as a file of its own."""

from __future__ import annotations

import copy
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from econ.farm.files import from_document
from econ.farm.prepare import prepare
from econ.ground.errors import ScenarioError
from econ.model.evaluate import evaluate

if TYPE_CHECKING:
    from collections.abc import Iterator

    from econ.farm.schema import Scenario

Document = dict[str, Any]


def _guess(rng: np.random.Generator, low: float, high: float) -> float | Document:
    """Return a number, or a guess around one."""
    middle = float(rng.uniform(low, high))
    if rng.random() < 0.6:
        return middle
    return {"low": 0.7 * middle, "likely": middle, "high": 1.4 * middle}


def _some(rng: np.random.Generator, names: list[str]) -> list[str]:
    return [name for name in names if rng.random() < 0.5] or [names[0]]


def random_farm(seed: int, *, hangs: bool = True) -> Document:
    """Return a farm of two or three sources and machines, two set-ups, and what hangs on them."""
    rng = np.random.default_rng(seed)
    oils = [
        {
            "name": f"Source {k}",
            "kind": ("engine oil", "hydraulic oil", "transmission fluid")[k],
            "own": k == 0,
            "volume_per_month": _guess(rng, 5, 70),
            "reliability": 0.8,
            "load_volume": 100,
            "round_trip": float(rng.uniform(0, 40)),
            "hours_per_trip": float(rng.uniform(0.3, 2.0)),
            "price": float(rng.uniform(-0.2, 0.4)),
        }
        for k in range(int(rng.integers(2, 4)))
    ]
    thinners = [
        {"name": "Gasoline", "kind": "gasoline", "price": _guess(rng, 3.0, 4.5)},
        {"name": "Kerosene", "kind": "kerosene", "price": _guess(rng, 3.5, 6.0)},
        {"name": "Dyed", "kind": "diesel", "price": "farm_diesel"},
    ]
    machines = []
    for k in range(int(rng.integers(1, 3))):
        machine: Document = {
            "name": f"Tractor {k}",
            "engine": ("inline pump", "rotary pump")[k],
            "model_year": 1990,
            "replaces": "farm_diesel",
            "fuel_per_year": _guess(rng, 300, 1500),
            "blend_share": 0.6,
            "use_by_month": [float(x) for x in rng.uniform(0.1, 2, 12)],
            "thinner": "Gasoline",
            "thinners": ["Kerosene", "Dyed"][: int(rng.integers(0, 3))],
            "wear": [{"part": "Pump", "cost": 2000.0, "extra_failures": 0.05}],
        }
        if rng.random() < 0.5:
            machine |= {"thinner_share": 0.2, "thinner_share_winter": 0.25}
        else:
            machine["viscosity_limit"] = 20.0
        machines.append(machine)
    machines.append(
        {
            "name": "Heater",
            "engine": "burner",
            "model_year": 2000,
            "replaces": "heating_oil",
            "fuel_per_year": 400.0,
            "blend_share": 0.5,
            "wear": [{"part": "Nozzle", "cost": 60.0, "extra_failures": 3.0}],
        }
    )
    names = [entry["name"] for entry in (*oils, *thinners, *machines)]
    kit = [
        {
            "name": f"Kit {k}",
            "cost": _guess(rng, 100, 2500),
            "life_years": int(rng.integers(3, 12)),
            "resale_share": 0.3,
            "exit_cost": float(rng.uniform(0, 100)),
            **({"serves": _some(rng, [*names, "Big", "Small"])} if hangs and k else {}),
        }
        for k in range(4)
    ]
    yearly = [
        {
            "name": f"Bill {k}",
            "cost": _guess(rng, 20, 200),
            "hours": float(rng.uniform(0, 8)),
            **({"serves": _some(rng, names)} if hangs and k else {}),
        }
        for k in range(2)
    ]
    farm: Document = {
        "scenario": {"title": f"Farm {seed}", "units": "us", "currency": "USD"},
        "prices": {"farm_diesel": _guess(rng, 3.5, 6), "heating_oil": 4.5, "electricity": 0.15},
        "machines": machines,
        "oils": oils,
        "hauling": {"cost_per_distance": 0.7},
        "process": {"batch_volume": 200, "hours_per_batch": 4.0, "loss_share": 0.1,
                    "energy_per_volume": 0.4, "raw_storage": 300, "clean_storage": 250,
                    "hours_per_month": float(rng.uniform(4, 20))},
        "blending": {"winter_months": [12, 1, 2]},
        "filters": [{"name": "Bag", "price": 9.0, "volume_per_element": 200.0}],
        "thinners": thinners,
        "yearly": yearly,
        "labour": {"wage": 15.0},
        "kit": kit,
        "finance": {"years": 7, "discount_rate": 0.06, "tax_rate": 0.2,
                    "depreciation": "straight line", "exit_cost": 100.0},
    }  # fmt: skip
    if hangs:
        farm["setups"] = [
            {"name": "Big"},
            {
                "name": "Small",
                "batch_volume": 55,
                "hours_per_batch": 1.5,
                "loss_share": 0.05,
                "raw_storage": 110,
                "clean_storage": 110,
                "filters": [],
            },
        ]
    return farm


def _chosen(document: Document, setup: int, oils: tuple[int, ...], fuels: Document) -> Document:
    """Write one plan as a whole farm, by its entries alone."""
    farm = copy.deepcopy(document)
    if farm.get("setups"):
        first = farm["setups"].pop(setup)
        farm["setups"].insert(0, first)
    for k, oil in enumerate(farm["oils"]):
        if k not in oils:
            oil["volume_per_month"] = 0
    for machine in farm["machines"]:
        if fuels[machine["name"]] is None:
            machine["blend_share"] = 0
    return farm


def plans_as_files(document: Document) -> Iterator[tuple[Document, Document]]:
    """Go through every plan in which each machine burns its own thinner or pump fuel.

    Yields
    ------
    (dict, dict)
        What is decided, and the plan as a whole farm.
    """
    sources = range(len(document["oils"]))
    machines = [machine["name"] for machine in document["machines"]]
    for setup in range(max(1, len(document.get("setups", [])))):
        for taken in product((False, True), repeat=len(sources)):
            for burning in product((False, True), repeat=len(machines)):
                if not any(taken) or not any(burning):
                    continue
                oils = tuple(k for k in sources if taken[k])
                fuels = {n: "own" if on else None for n, on in zip(machines, burning, strict=True)}
                decided = {"setup": setup, "oils": oils, "burning": burning}
                yield decided, _chosen(document, setup, oils, fuels)


def _worths(scenario: Scenario) -> dict[str, float]:
    """Work one farm through by the ordinary way; minus infinity where it is refused."""
    try:
        outcome = evaluate(prepare(scenario))
    except ScenarioError:
        return dict.fromkeys(("time_free", "time_paid"), -np.inf)
    return {
        key: float(ledger.measures["equivalent_annual"]) for key, ledger in outcome.ledgers.items()
    }


def worth_of(scenario: Scenario, ledger: str = "time_paid") -> float:
    """Work one farm through by the ordinary way, in one ledger."""
    return _worths(scenario)[ledger]


def best_by_brute_force(document: Document) -> dict[str, float]:
    """Work every plan through as a file of its own, in each ledger; nothing is worth 0."""
    worths = [_worths(from_document(farm, "plan.toml")) for _, farm in plans_as_files(document)]
    return {key: max(0.0, *(worth[key] for worth in worths)) for key in worths[0]}


def choosing_farm(seed: int) -> Document:
    """Return a farm that may begin small: its last source is uncertain and needs kit of its own."""
    document = {**random_farm(seed), "uncertainty": {"draws": 512}, "labour": {"wage": 6.0}}
    last = document["oils"][-1]
    last["volume_per_month"] = {"low": 5, "likely": 60, "high": 120}
    drum = {"name": "Drum", "cost": 300.0, "life_years": 8, "resale_share": 0.3}
    trailer = {"name": "Trailer", "cost": 4000.0, "life_years": 10, "resale_share": 0.4}
    return {**document, "kit": [drum, {**trailer, "serves": [last["name"]]}]}
