"""Which plan: the best of all that can be had, what comes next to it, and how a farm gets there.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> from econ.questions.plan_space import decision_of_file, space_of
>>> farm = load(demo_files()["wrenfold"])
>>> space = space_of(farm)
>>> plan, outcome = planned(space, decision_of_file(space)), evaluate(prepare(farm))
>>> bool(abs(plan.worth("time_paid") - outcome.per_year("time_paid")) < 1e-9)
True
"""

from collections.abc import Callable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.records import replace
from econ.ground.units import Floats
from econ.model.changes import in_plan, served_in, with_plan
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Outcome
from econ.questions.plan_draws import Drawn, drawn_of, worth_in_draws
from econ.questions.plan_search import (
    MOST_TRIED,
    Table,
    allowed_by,
    decision_of_row,
    ranked,
    search,
    size_of_rows,
)
from econ.questions.plan_space import Decision, Space, decision_of_file, space_of
from econ.questions.plan_values import annual_factor

NEAR = 20
"""Plans run again on draws."""
TIE_MONEY, TIE_SHARE = 10.0, 0.01
"""Plans closer than the greater of the two are told as ties."""
REGRET_FACTORS = (0.6, 0.75, 1.0, 1.25, 1.5)
"""What fuel may cost, beside what it costs on average: the range of US retail diesel's yearly
means against the mean of the five years before, 1995 to 2025 (eia_diesel)."""

Tell = Callable[[int, int], None]


class Plan(Struct, frozen=True):
    """One plan worked through; `decision` None is "nothing"."""

    decision: Decision | None
    outcome: Outcome | None
    names: frozenset[str]
    """What is in it."""

    @property
    def inputs(self) -> Inputs | None:
        """Return its inputs at expected values."""
        return None if self.outcome is None else self.outcome.inputs

    def measure(self, ledger: str, key: str) -> float:
        """Return a measure of a ledger; 0 for "nothing".

        Parameters
        ----------
        ledger : str
            "time_free" or "time_paid".
        key : str
            Of the registered measures.

        Returns
        -------
        float
        """
        if self.outcome is None:
            return 0.0
        return float(self.outcome.ledgers[ledger].measures[key])

    def worth(self, ledger: str) -> float:
        """Return its worth a year. [currency/yr]"""
        return self.measure(ledger, "equivalent_annual")

    def yearly(self, key: str) -> float:
        """Return a volume or the hours of its typical year. [L/yr, h/yr]"""
        return 0.0 if self.outcome is None else float(self.outcome.typical.fuel[key])

    @property
    def kit_to_buy(self) -> float:
        """Return the kit that is not there yet. [currency]"""
        return 0.0 if self.outcome is None else float(self.outcome.kit_to_buy)


NOTHING = Plan(None, None, frozenset())


class Near(Struct, frozen=True):
    """One of the plans next to the best, with its draws."""

    plan: Plan
    tie: bool
    drawn: Drawn


class Step(Struct, frozen=True):
    """One step of the stair."""

    plan: Plan
    added: int
    """The source it adds."""
    gain: float
    """Worth a year over the step before. [currency/yr]"""


class Regret(Struct, frozen=True):
    """What one plan comes to when fuel costs less or more than expected."""

    whose: str
    """"best", "file" or "nothing"."""
    worth: tuple[float, ...]
    """By `REGRET_FACTORS`. [currency/yr]"""
    worst: float
    """The most that the best plan for the same prices is ahead of it. [currency/yr]"""


class Limit(Struct, frozen=True):
    """What one limit alone would have to give for any plan to fit."""

    key: str
    now: float
    needed: float | None
    """None where no value would do."""


class PlanAnswer(Struct, frozen=True):
    """The whole answer."""

    space: Space
    ledger: str
    tried: int
    exhaustive: bool
    best: Plan
    best_drawn: Drawn
    file: Plan
    file_allowed: bool
    """Whether the file's own plan keeps to the limits."""
    near: tuple[Near, ...]
    stair: tuple[Step, ...]
    regret: tuple[Regret, ...]
    limits: tuple[Limit, ...]
    """Empty where some plan fits."""


def planned(space: Space, decision: Decision) -> Plan:
    """Work one plan through at expected values, as its own file would be.

    Parameters
    ----------
    space : Space
        Of the farm.
    decision : Decision
        What is decided.

    Returns
    -------
    Plan
    """
    inputs = with_plan(space.inputs[decision.setup], decision.oils, dict(decision.thinners))
    outcome = evaluate(inputs)
    return Plan(decision, replace(outcome, inputs=_settled(outcome)), in_plan(inputs))


def _settled(outcome: Outcome) -> Inputs:
    return served_in(outcome.inputs, outcome.burn_order)


def _file_plan(space: Space) -> Plan:
    outcome = evaluate(prepare(space.scenario))
    decision = decision_of_file(space)
    return Plan(decision, replace(outcome, inputs=_settled(outcome)), space.choices.plan)


def _best_row(space: Space, table: Table | None, ledger: str) -> int | None:
    """Return the row of the best plan; None where nothing is better."""
    if table is None or not table.allowed.any():
        return None
    row = ranked(space, table, ledger)[0]
    return row if float(table.figures.worth(ledger)[row]) > 0.0 else None


def tied(worth: float, best: float) -> bool:
    """Say whether a plan is as good as the best, near enough.

    Parameters
    ----------
    worth, best : float
        Worth a year. [currency/yr]

    Returns
    -------
    bool
    """
    return best - worth <= max(TIE_MONEY, TIE_SHARE * abs(best))


def _near_rows(space: Space, table: Table, ledger: str, best: int | None) -> list[int]:
    """List the best plans after the best one, in the order of their worth."""
    return [row for row in ranked(space, table, ledger)[: NEAR + 1] if row != best][:NEAR]


def _with_draws(
    space: Space, best: Plan, others: list[Plan], ledger: str, tell: Tell
) -> tuple[Drawn, list[Drawn]]:
    """Run the best plan and those next to it on the same draws."""
    nothing = Drawn(0.0, 0.0, 0.0)
    plans = [*([] if best.decision is None else [best]), *others]
    rows = [(p.decision, p.inputs, p.names) for p in plans if p.decision and p.inputs]
    if not rows:
        return nothing, []
    worth = worth_in_draws(space, rows, ledger, tell)
    drawn = [drawn_of(row) for row in worth]
    return (nothing, drawn) if best.decision is None else (drawn[0], drawn[1:])


def _stair(space: Space, table: Table, ledger: str) -> tuple[Step, ...]:
    """Go from nothing to every source, at each step by the one that leaves the best plan."""
    worth = np.where(table.allowed, table.figures.worth(ledger), -np.inf)
    sets, of = np.unique(table.taken, axis=0, return_inverse=True)
    rows_of = _best_of_each(worth, of.reshape(-1), size_of_rows(table), len(sets))
    best = {tuple(np.flatnonzero(s).tolist()): row for s, row in zip(sets, rows_of, strict=True)}
    taken: frozenset[int] = frozenset()
    steps: list[Step] = []
    before = 0.0
    while len(taken) < len(space.oils):
        options = []
        for oil in space.oils:
            row = best.get(tuple(sorted({*taken, *space.must_oils, oil})))
            if oil not in taken and row is not None and np.isfinite(worth[row]):
                options.append((float(worth[row]), -oil, row))
        if not options:
            break
        _, minus, row = max(options)
        plan = planned(space, decision_of_row(space, table, row))
        steps.append(Step(plan, -minus, plan.worth(ledger) - before))
        before = plan.worth(ledger)
        taken = frozenset({*taken, *space.must_oils, -minus})
    return tuple(steps)


def _best_of_each(worth: Floats, of: NDArray[np.intp], size: Floats, count: int) -> list[int]:
    """Return the row of the highest worth in each group; of equals, the smallest plan."""
    order = np.lexsort((size, -worth, of))
    first = np.searchsorted(of[order], np.arange(count))
    return [int(order[k]) for k in first]


def _regret(table: Table | None, ledger: str, plans: dict[str, Plan]) -> tuple[Regret, ...]:
    """Say what plans come to over prices of fuel, and how far behind the best for each."""
    factors = np.array(REGRET_FACTORS)
    top = np.zeros(factors.size)
    if table is not None and table.allowed.any():
        worth = table.figures.worth(ledger)[table.allowed]
        moves = table.figures.moves(ledger)[table.allowed]
        for k, factor in enumerate(factors):
            top[k] = max(0.0, float(np.max(worth + (factor - 1.0) * moves)))
    result = []
    for whose, plan in plans.items():
        line = np.array([worth_at(plan, ledger, float(factor)) for factor in factors])
        worst = float(np.max(np.maximum(0.0, top - line)))
        result.append(Regret(whose, tuple(float(value) for value in line), worst))
    return tuple(result)


def worth_at(plan: Plan, ledger: str, factor: float) -> float:
    """Return a plan's worth a year when all fuel prices are multiplied, volumes held.

    Parameters
    ----------
    plan : Plan
        Worked through.
    ledger : str
        "time_free" or "time_paid".
    factor : float
        On the prices of fuels and thinners. [-]

    Returns
    -------
    float
        [currency/yr]
    """
    if plan.outcome is None:
        return 0.0
    npv = plan.measure(ledger, "npv")
    moved = npv + (factor - 1.0) * float(plan.outcome.ledgers[ledger].ledger.fuel_worth)
    return moved * float(annual_factor(plan.outcome.inputs))


def _limits(space: Space, table: Table | None) -> tuple[Limit, ...]:
    """Say which limit alone would have to give, and by how much, where no plan fits."""
    if table is None or table.allowed.any():
        return ()
    limits, result = space.scenario.limits, []
    for key, figure in (
        ("kit_to_buy", table.figures.kit_to_buy),
        ("own_hours_per_year", table.figures.own_hours),
    ):
        now = getattr(limits, key)
        if now is None:
            continue
        without = limits.model_copy(update={key: None})
        free = replace(space, scenario=space.scenario.model_copy(update={"limits": without}))
        fits = allowed_by(free, table.figures)
        needed = float(np.min(figure[fits])) if fits.any() else None
        result.append(Limit(key, float(now), needed))
    return tuple(result)


def which_plan(
    scenario: Scenario,
    ledger: str = "time_paid",
    tell: Tell | None = None,
    most: int = MOST_TRIED,
) -> PlanAnswer:
    """Search for the best plan of a farm and set beside it what a reader would ask for.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    ledger : str
        "time_free" or "time_paid": the worth a year by which plans are ranked.
    tell : callable, optional
        Told (done, in all) as the search and then the draws go on.
    most : int
        Up to so many plans every one is tried; beyond, steps from several starts.

    Returns
    -------
    PlanAnswer

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    said: Tell = tell or (lambda done, total: None)
    space = space_of(scenario)
    table = search(space, ledger, said, most)
    row = _best_row(space, table, ledger)
    best = NOTHING
    near: list[Plan] = []
    if table is not None:
        if row is not None:
            best = planned(space, decision_of_row(space, table, row))
        rows = _near_rows(space, table, ledger, row)
        near = [planned(space, decision_of_row(space, table, k)) for k in rows]
    best_drawn, drawn = _with_draws(space, best, near, ledger, said)
    file = _file_plan(space)
    top = best.worth(ledger)
    return PlanAnswer(
        space=space,
        ledger=ledger,
        tried=1 + (0 if table is None else table.tried),
        exhaustive=table is None or table.exhaustive,
        best=best,
        best_drawn=best_drawn,
        file=file,
        file_allowed=_keeps_to_limits(space, file),
        near=tuple(
            Near(plan, tied(plan.worth(ledger), top), seen)
            for plan, seen in zip(near, drawn, strict=True)
        ),
        stair=() if table is None else _stair(space, table, ledger),
        regret=_regret(table, ledger, {"best": best, "file": file, "nothing": NOTHING}),
        limits=_limits(space, table),
    )


def _keeps_to_limits(space: Space, file: Plan) -> bool:
    """Say whether the file's own plan keeps to its limits and choices."""
    limits = space.scenario.limits
    ways = {way.machine: way.thinners for way in space.ways}
    decision = file.decision
    if decision is None:
        return False
    known = all(k in ways and thinner in ways[k] for k, thinner in decision.thinners)
    oils = space.must_oils <= set(decision.oils) <= set(space.oils)
    kit = limits.kit_to_buy is None or file.kit_to_buy <= limits.kit_to_buy
    hours = limits.own_hours_per_year
    return known and oils and kit and (hours is None or file.yearly("own_hours") <= hours)
