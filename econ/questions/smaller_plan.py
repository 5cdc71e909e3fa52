"""The best clearly smaller plan of a farm: less kit or fewer hours than the file's own plan.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> least = load(demo_files()["wrenfold-heater-only"])
>>> smaller_plan(least, evaluate(prepare(least)), "time_paid") is None
True
"""

import numpy as np
from msgspec import Struct

from econ.farm.schema import Scenario
from econ.model.outcome import Outcome
from econ.questions.plan import Plan, planned, tied
from econ.questions.plan_search import decision_of_row, ranked, search
from econ.questions.plan_space import space_of

SMALLER = 2.0 / 3.0
"""A plan is clearly smaller with at most this share of the kit to buy or of one's own hours, and
no more of the other; judgement, no source."""
MOST_TRIED = 20_000
"""Where a farm has more plans than this, none is looked for beside a decision."""


class SmallerPlan(Struct, frozen=True):
    """A smaller plan beside the file's own."""

    file: Outcome
    plan: Plan
    better: bool
    """Whether it is worth more a year, not only as much."""


def smaller_plan(scenario: Scenario, file: Outcome, ledger: str) -> SmallerPlan | None:
    """Find the best clearly smaller plan that pays, and as much as the file's own or more.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    file : Outcome
        The file's own plan at expected values.
    ledger : str
        "time_free" or "time_paid": the worth a year by which plans are ranked.

    Returns
    -------
    SmallerPlan or None
        None where no smaller plan pays as much, or where there are too many plans to try.
    """
    space = space_of(scenario)
    if space.blocked or space.count > MOST_TRIED:
        return None
    table = search(space, ledger)
    if table is None:
        return None
    worth = float(file.ledgers[ledger].measures["equivalent_annual"])
    kit, hours = float(file.kit_to_buy), float(file.typical.fuel["own_hours"])
    figures = table.figures
    no_more = (figures.kit_to_buy <= kit) & (figures.own_hours <= hours)
    less_kit = (kit > 0.0) & (figures.kit_to_buy <= SMALLER * kit)
    less_hours = (hours > 0.0) & (figures.own_hours <= SMALLER * hours)
    # A smaller loss is no plan to name beside this one.
    pays = (figures.worth(ledger) > 0.0) & (figures.worth(ledger) >= worth)
    rows = np.flatnonzero(table.allowed & no_more & (less_kit | less_hours) & pays)
    if not rows.size:
        return None
    plan = planned(space, decision_of_row(space, table, ranked(space, table, ledger, rows)[0]))
    return SmallerPlan(file, plan, not tied(worth, plan.worth(ledger)))
