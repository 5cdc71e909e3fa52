"""Which thinner keeps most, draw by draw: the comparison of one farm on its draws.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> from econ.farm.prepare import settle
>>> from econ.questions.draws import sampler
>>> farm = load(demo_files()["wrenfold"])
>>> shares = best_thinners(farm, settle(farm), sampler(farm, 64, 1), 64)
>>> round(sum(shares.values()), 12)
1.0
"""

import numpy as np

from econ.farm.prepare import Choices, pick_at, whole_inputs_at
from econ.farm.schema import Scenario
from econ.ground.labels import NO_PLAN
from econ.ground.units import Floats
from econ.model.changes import in_plan, only_what_serves, served_in, with_thinners
from econ.model.evaluate import evaluate
from econ.model.offers import with_pump_fuels
from econ.questions.draws import Sampler, pick_from
from econ.questions.thinners import Scope, whole_farm


def _fit(scope: Scope) -> list[tuple[str, dict[int, int], frozenset[str]]]:
    """Return the offers put forward for the whole farm, each machine's thinner, what is in it."""
    gathered = []
    for row in scope.rows:
        if row.result is None or row.set_aside is not None:
            continue
        served = {
            k: j for k, j in row.offer.thinner_of.items() if row.inputs.machines[k].thinner == j
        }
        gathered.append((row.offer.name, served, in_plan(row.inputs)))
    return gathered


def best_thinners(
    scenario: Scenario, choices: Choices, sampler: Sampler, draws: int
) -> dict[str, float]:
    """Return the share of draws in which each thinner, in the whole farm, keeps most a year.

    Each does the same job in every draw; what a year is worth counts, one's time paid. No plan at
    all, which keeps nothing and loses nothing, is one of them.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    choices : Choices
        From `settle`.
    sampler : Sampler
        Of the draws.
    draws : int
        How many to look at, the first ones, at most `BLOCK`: of 2,048 a share is within about
        0.01.

    Returns
    -------
    dict of str to float
        By offer and `NO_PLAN`, largest first; empty where no machine takes blend or only one offer
        fits. [-]
    """
    average = whole_inputs_at(scenario, pick_at("expected"), choices)
    whole = whole_farm(served_in(average, choices.burn_order))
    offers = [] if whole is None else _fit(whole)
    if whole is None or len(offers) < 2:
        return {}
    raw = sampler.raw(0)[:, :draws]
    drawn = whole_inputs_at(scenario, pick_from(sampler.values_of(raw)), choices)
    settled = served_in(drawn, choices.burn_order)
    extended, _ = with_pump_fuels(settled, whole.machines)
    worths: list[Floats] = []
    for _, served, plan in offers:
        tried = only_what_serves(with_thinners(extended, served), plan)
        paid = evaluate(tried, by_month=False, measures=()).ledgers["time_paid"]
        worths.append(np.broadcast_to(paid.measures["equivalent_annual"], raw.shape[1:]))
    worths.append(np.zeros_like(worths[0]))
    names = [*(name for name, _, _ in offers), NO_PLAN]
    wins = np.bincount(np.argmax(np.stack(worths), axis=0), minlength=len(names))
    shares = wins / wins.sum()
    ranked = sorted(zip(names, shares, strict=True), key=lambda pair: -pair[1])
    return {name: float(share) for name, share in ranked}
