"""What the page to show reads of the model beside the answer itself."""

from dataclasses import dataclass, replace

import numpy as np

from dashboards.web.results import Results, turn
from econ.answers.outlook import Repair, repairs
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.questions.partner_questions import (
    OilLost,
    Provenance,
    StopRule,
    oil_lost,
    provenance,
    stop_rule,
)

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


def by_yearly_cost(result: tuple[Repair, ...]) -> tuple[Repair, ...]:
    """Rank repairs that cost anything, the dearest in a year first."""
    costly = (repair for repair in result if repair.cost > 0.0)
    return tuple(sorted(costly, key=lambda repair: -repair.cost / repair.years_between))


def _own_only(inputs: Inputs) -> Outcome | None:
    own = [oil.own and bool(oil.volume_per_month > 0.0) for oil in inputs.oils]
    others = [not oil.own and bool(oil.volume_per_month > 0.0) for oil in inputs.oils]
    if not any(own) or not any(others):
        return None
    oils = tuple(
        oil if oil.own else replace(oil, volume_per_month=np.zeros(())) for oil in inputs.oils
    )
    return evaluate(replace(inputs, oils=oils), by_month=False)


def talk(result: Results) -> Talk:
    """Work out what the other one asks.

    Parameters
    ----------
    result : Results
        Levers turned as they are.

    Returns
    -------
    Talk
    """
    likely = result.answer.expected
    return Talk(
        repairs=by_yearly_cost(repairs(likely))[:3],
        oil_lost=oil_lost(likely),
        stop_rule=stop_rule(likely),
        provenance=provenance(result.scenario),
        cheap=evaluate(turn(result.inputs, {"pump_price": CHEAP}), by_month=False),
        own_only=_own_only(result.inputs),
    )
