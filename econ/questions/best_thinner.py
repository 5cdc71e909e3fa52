"""Which thinner keeps most, draw by draw: the comparison of one farm on its draws."""

import numpy as np

from econ.farm.prepare import Choices, inputs_at, pick_at
from econ.farm.schema import Scenario
from econ.ground.units import Floats
from econ.model.equal_job import with_thinners
from econ.model.evaluate import evaluate
from econ.model.offers import with_pump_fuels
from econ.questions.draws import BLOCK, Sampler, pick_from
from econ.questions.thinners import Scope, compare


def _fit(scope: Scope) -> list[tuple[str, dict[int, int]]]:
    """Give the offers put forward for the whole farm, and the thinner each machine gets."""
    found = []
    for row in scope.rows:
        if row.result is None or row.set_aside is not None:
            continue
        served = {
            k: j for k, j in row.offer.thinner_of.items() if row.inputs.machines[k].thinner == j
        }
        found.append((row.offer.name, served))
    return found


def best_thinners(
    scenario: Scenario, choices: Choices, sampler: Sampler, blocks: int
) -> dict[str, float]:
    """Give the share of draws in which each thinner, in the whole farm, keeps most a year.

    Each does the same job in every draw; the saving is after one's own labour.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    choices : Choices
        From `settle`.
    sampler : Sampler
        Of the draws.
    blocks : int
        How many blocks of draws to look at, at most.

    Returns
    -------
    dict of str to float
        By offer, largest first; empty where no machine takes blend or only one offer fits. [-]
    """
    average = inputs_at(scenario, pick_at("expected"), choices)
    whole = [scope for scope in compare(average).scopes if scope.machine is None]
    offers = _fit(whole[0]) if whole else []
    if len(offers) < 2:
        return {}
    wins = np.zeros(len(offers))
    for block in range(min(blocks, sampler.blocks)):
        count = min(BLOCK, sampler.draws - block * BLOCK)
        drawn = inputs_at(scenario, pick_from(sampler.values(block)), choices)
        extended, _ = with_pump_fuels(drawn, whole[0].machines)
        savings: list[Floats] = []
        for _, served in offers:
            outcome = evaluate(with_thinners(extended, served), by_month=False)
            saving = outcome.typical.savings["after_labour"]
            savings.append(np.broadcast_to(saving, (count,)))
        wins += np.bincount(np.argmax(np.stack(savings), axis=0), minlength=len(offers))
    shares = wins / wins.sum()
    ranked = sorted(zip(offers, shares, strict=True), key=lambda pair: -pair[1])
    return {name: float(share) for (name, _), share in ranked}
