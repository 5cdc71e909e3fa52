"""Money examples in print, taken through a whole decision: a farm file in, its ledger out.

The farm burns its own clean oil and nothing else, so that a year saves exactly what its fuel
would have cost; prices of the years then make the savings those of the example.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from econ.farm.files import from_document
from econ.farm.prepare import prepare
from econ.ground.units import Floats
from econ.model.evaluate import evaluate
from econ.model.outcome import Outcome

Document = dict[str, Any]
# What a year's fuel costs where the prices of the years do not move it. [USD/yr]
A_YEAR = 1_000.0
_LONGEST, _DEAREST = 50, 1.0

_RUNS = 0


def runs() -> int:
    """Say how many decisions were worked through so far."""
    return _RUNS


def plan(rate: float, years: int, kit: Sequence[Mapping[str, Any]] = (), **tables: Any) -> Document:
    """Return a farm file whose year saves `A_YEAR` and costs nothing but what is said."""
    return {
        "scenario": {"title": "An example in print", "units": "us", "currency": "USD"},
        "prices": {"farm_diesel": 4.0},
        "machines": [
            {"name": "Engine", "engine": "inline pump", "model_year": 1980,
             "replaces": "farm_diesel", "fuel_per_year": A_YEAR / 4.0, "blend_share": 1.0,
             "wear": [{"part": "none", "cost": 0, "extra_failures": 0}]},
        ],
        "oils": [{"name": "Own", "kind": "engine oil", "own": True, "volume_per_month": 100}],
        "process": {"batch_volume": 100, "hours_per_batch": 0, "energy_per_volume": 0,
                    "raw_storage": 4000, "clean_storage": 4000},
        "labour": {"wage": 0},
        "kit": [dict(item) for item in kit],
        "finance": {"years": years, "discount_rate": rate},
        **tables,
    }  # fmt: skip


def decide(document: Document, savings: Sequence[float] | None = None) -> Outcome:
    """Work a farm file through, its years' fuel bills being `savings` where they are given."""
    global _RUNS
    _RUNS += 1
    inputs = prepare(from_document(document, Path("example.toml")))
    path = None if savings is None else [np.asarray(s / A_YEAR) for s in savings]
    return evaluate(inputs, path=path)


def fits(flows: Sequence[float], rate: float) -> bool:
    """Say whether a farm file can hold an example: an outlay today, and years after."""
    return flows[0] <= 0.0 and 1 < len(flows) <= _LONGEST + 1 and 0.0 <= rate <= _DEAREST


def measures(
    kit: float, savings: Sequence[float], rate: float = 0.0, recovered: float = 0.0
) -> dict[str, Floats]:
    """Return a decision's measures: kit bought today, savings of the years, kit sold at the end."""
    years = len(savings)
    # In a straight line to nothing in twice the years: half of it is left at the end.
    item = {
        "name": "kit",
        "cost": kit,
        "life_years": 2 * years,
        "resale_share": 2.0 * recovered / kit if kit else 0.0,
    }
    outcome = decide(plan(rate, years, [item]), savings)
    return outcome.ledgers["time_free"].measures


def of_flows(flows: Sequence[float] | Floats, rate: float = 0.0) -> dict[str, Floats]:
    """Return the measures of a decision with these flows, today's first."""
    listed = [float(flow) for flow in flows]
    if not fits(listed, rate):
        message = f"no farm file holds {listed} at {rate}"
        raise ValueError(message)
    return measures(-listed[0], listed[1:], rate)
