"""What the page to show reads of the model beside the answer itself."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from dashboards.web.results import Results, turn
from econ.evaluate import evaluate
from econ.inputs import Inputs
from econ.outcome import Outcome
from econ.outlook import Repair
from econ.partner import OilLost, Provenance, StopRule, oil_lost, provenance, stop_rule

# How far the pump price is let fall, to see what then is left; judgement, no source.
CHEAP = 0.75


@dataclass(frozen=True, slots=True)
class Talk:
    """The answers to what the other one asks."""

    repairs: tuple[Repair, ...]
    oil_lost: OilLost | None
    stop_rule: StopRule | None
    provenance: Provenance
    cheap: Outcome
    """With pump fuel at `CHEAP` of its price."""
    own_only: Outcome | None
    """With one's own oil alone; None where there is no other, or no own."""


def repairs(outcome: Outcome) -> Iterator[Repair]:
    """Give each part that the plan wears, the dearest in a year first."""
    machines = zip(outcome.inputs.machines, outcome.typical.flows.oil_used, strict=True)
    found = [
        (float(used * part.failures * part.cost),
         Repair(machine.name, part.part, float(part.cost), float(1.0 / (used * part.failures))))
        for machine, used in machines
        for part in machine.wear
        if float(used * part.failures * part.cost) > 0.0
    ]  # fmt: skip
    for _, repair in sorted(found, key=lambda row: -row[0]):
        yield repair


def _own_only(inputs: Inputs) -> Outcome | None:
    own = [oil.own and bool(oil.volume_per_month > 0.0) for oil in inputs.oils]
    others = [not oil.own and bool(oil.volume_per_month > 0.0) for oil in inputs.oils]
    if not any(own) or not any(others):
        return None
    oils = tuple(
        oil if oil.own else replace(oil, volume_per_month=np.zeros(())) for oil in inputs.oils
    )
    return evaluate(replace(inputs, oils=oils), by_month=False)


def talk(found: Results) -> Talk:
    """Work out what the other one asks.

    Parameters
    ----------
    found : Results
        Levers turned as they are.

    Returns
    -------
    Talk
    """
    likely = found.answer.likely
    return Talk(
        repairs=tuple(repairs(likely))[:3],
        oil_lost=oil_lost(likely),
        stop_rule=stop_rule(likely),
        provenance=provenance(found.scenario),
        cheap=evaluate(turn(found.inputs, {"pump_price": CHEAP}), by_month=False),
        own_only=_own_only(found.inputs),
    )
