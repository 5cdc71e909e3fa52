"""Small first, then choose: a year of the small plan, and the bigger kit only where it then pays.

After a year two things are known that no one knows today: where the price of fuel has gone, and
how much oil turns up. Futures fall into nine cells by the two; in each cell the plan goes on as
the rest of the draws in that cell say is best. The rule is settled on one half of the draws and
valued on the other, so that it earns nothing by hindsight.

Examples
--------
>>> import numpy as np
>>> cells = cells_of(np.arange(9.0), np.arange(9.0))
>>> worth = {"bigger": np.arange(9.0) - 4.0, "stop": np.zeros(9)}
>>> rule = best_by_cell(worth, cells)
>>> float(np.mean(worth_of_rule(worth, cells, rule)))
1.0
"""

from collections.abc import Mapping

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from econ.farm.prepare import settle, whole_inputs_at
from econ.ground.units import Floats, total
from econ.model.changes import as_planned_in_draws, begun_a_year_later, only_what_serves
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Ledger
from econ.questions.draws import pick_from, sampler
from econ.questions.plan import Plan, PlanAnswer
from econ.questions.plan_values import annual_factor

FUEL_LEVELS = ("down", "level", "up")
OIL_LEVELS = ("little", "as promised", "much")
THEN = ("bigger", "carry on", "stop")
"""What may be done after a year: buy the bigger kit, go on small, or stop."""
_LEAST_IN_CELL = 8


class Cell(Struct, frozen=True):
    """One of the nine futures after a year."""

    fuel: str
    oil: str
    share: float
    """Of the draws. [-]"""
    then: str
    """What is best from there: one of `THEN`."""
    worth: dict[str, float]
    """Mean worth today of each way to go on, by `THEN`. [currency]"""


class Waiting(Struct, frozen=True):
    """Starting big, starting small, and small first and then choosing; worth a year."""

    small: Plan
    big: Plan
    start_big: float
    start_small: float
    small_first: float
    """[currency/yr]"""
    cells: tuple[Cell, ...]


def cells_of(fuel: Floats, oil: Floats) -> NDArray[np.int64]:
    """Sort futures into nine cells by thirds of each of two things.

    Parameters
    ----------
    fuel, oil : ndarray, shape (draws,)
        What is known after a year; one that is the same in every draw lies in the middle. [any]

    Returns
    -------
    ndarray of int, shape (draws,)
        3 x (third of fuel) + third of oil, each 0, 1 or 2.
    """

    def thirds(values: Floats) -> NDArray[np.int64]:
        if np.ptp(values) == 0.0:
            return np.ones(values.shape, dtype=np.int64)
        edges = np.quantile(values, (1.0 / 3.0, 2.0 / 3.0))
        return np.searchsorted(edges, values).astype(np.int64)

    return 3 * thirds(fuel) + thirds(oil)


def best_by_cell(worth: Mapping[str, Floats], cells: NDArray[np.int64]) -> dict[int, str]:
    """Choose in each cell the way on that is worth most on average.

    Parameters
    ----------
    worth : mapping of str to ndarray, shape (draws,)
        Worth today of each way to go on. [currency]
    cells : ndarray of int, shape (draws,)
        From `cells_of`.

    Returns
    -------
    dict of int to str
        By cell.
    """
    return {
        int(cell): max(worth, key=lambda way: float(np.mean(worth[way][cells == cell])))
        for cell in np.unique(cells)
    }


def worth_of_rule(
    worth: Mapping[str, Floats], cells: NDArray[np.int64], rule: Mapping[int, str]
) -> Floats:
    """Follow a rule in every draw.

    Parameters
    ----------
    worth : mapping of str to ndarray, shape (draws,)
        Worth today of each way to go on. [currency]
    cells : ndarray of int, shape (draws,)
        From `cells_of`.
    rule : mapping of int to str
        From `best_by_cell`.

    Returns
    -------
    ndarray, shape (draws,)
        [currency]
    """
    result = np.empty(cells.shape)
    for cell, way in rule.items():
        result[cells == cell] = worth[way][cells == cell]
    return result


def _first_year(ledger: Ledger, *, stop: bool) -> Floats:
    """Return a small plan's worth today if it ends after its first year, its kit sold.

    Where the bigger plan follows, nothing is stopped, and only the kit changes hands.
    """
    end: Floats = ledger.savings[1] + ledger.recovered[1]
    if stop:
        end = end - ledger.exit_if_stopped[1]
    return np.asarray(end / (1.0 + ledger.rate) - ledger.kit_cost)


def _oil(inputs: Inputs) -> Floats:
    """Return the usable oil that turns up in a month. [L/month]"""
    return total([o.volume_per_month * o.reliability * (1.0 - o.reject_share) for o in inputs.oils])


class _Drawn(Struct):
    """What the draws say, block by block."""

    worth: dict[str, list[Floats]]
    fuel: list[Floats]
    oil: list[Floats]

    def whole(self) -> tuple[dict[str, Floats], Floats, Floats]:
        worth = {key: np.concatenate(parts) for key, parts in self.worth.items()}
        return worth, np.concatenate(self.fuel), np.concatenate(self.oil)


def _worths(small: Inputs, big: Inputs, path: list[Floats], ledger: str) -> dict[str, Floats]:
    """Work out what each course is worth today, draw by draw."""
    one = evaluate(small, by_month=False, path=path, measures=()).ledgers[ledger]
    two = evaluate(big, by_month=False, path=path, measures=()).ledgers[ledger]
    there = [item.name for item in small.kit if item.life_years > 1]
    later = evaluate(
        begun_a_year_later(big, there), by_month=False, path=path[1:], measures=()
    ).ledgers[ledger]
    finance = big.finance
    shift = (1.0 + finance.inflation) / (1.0 + finance.discount_rate)
    return {
        "start_big": two.measures["npv"],
        "carry on": one.measures["npv"],
        "stop": _first_year(one.ledger, stop=True),
        "bigger": _first_year(one.ledger, stop=False) + shift * later.measures["npv"],
    }


def _drawn(result: PlanAnswer, small: Plan, big: Plan) -> _Drawn | None:
    """Run the three courses on the same draws."""
    space, ledger = result.space, result.ledger
    if small.inputs is None or big.inputs is None or not small.decision or not big.decision:
        return None
    given = space.scenario.uncertainty
    drawn = sampler(space.scenario, given.draws, given.seed)
    plans = {
        plan.decision.setup: settle(space.scenario, plan.decision.setup)
        for plan in (small, big)
        if plan.decision
    }
    kept = _Drawn({}, [], [])
    for block in range(drawn.blocks):
        raw = drawn.raw(block)
        count = raw.shape[1]
        states = drawn.states(raw)
        path = list(drawn.path.multipliers(states)[1:])
        pick = pick_from(drawn.values_of(raw))
        wholes = {k: whole_inputs_at(space.scenario, pick, c) for k, c in plans.items()}
        pair = [
            only_what_serves(
                as_planned_in_draws(wholes[plan.decision.setup], plan.inputs), plan.names
            )
            for plan in (small, big)
            if plan.decision and plan.inputs
        ]
        for key, values in _worths(pair[0], pair[1], path, ledger).items():
            kept.worth.setdefault(key, []).append(np.broadcast_to(values, (count,)))
        kept.fuel.append(np.broadcast_to(states[1], (count,)))
        kept.oil.append(np.broadcast_to(_oil(pair[1]), (count,)))
    return kept


def _pair(result: PlanAnswer) -> tuple[Plan, Plan] | None:
    """Choose the small and the big plan: the best, and the best with half or twice its kit."""
    best = result.best
    others = [near.plan for near in result.near] + [step.plan for step in result.stair]
    others.append(result.file)

    def top(plans: list[Plan]) -> Plan | None:
        return max(plans, key=lambda plan: plan.worth(result.ledger), default=None)

    if best.decision is None:
        return None
    small = top([p for p in others if 2.0 * p.kit_to_buy <= best.kit_to_buy and p.decision])
    if small is not None:
        return small, best
    big = top([p for p in others if p.kit_to_buy >= 2.0 * best.kit_to_buy and p.decision])
    return None if big is None else (best, big)


def small_first(result: PlanAnswer) -> Waiting | None:
    """Set a year of the small plan, and then choosing, beside starting big.

    Parameters
    ----------
    result : PlanAnswer
        From `which_plan`.

    Returns
    -------
    Waiting or None
        None where nothing is best, no other plan has half or twice the best one's kit, the plan
        lasts a year only, or there are too few draws. [currency/yr]

    Notes
    -----
    The bigger plan's kit is bought at the end of year 1; what the small plan has of it is taken
    over at what it would sell for. The bigger plan then begins with empty stores.
    """
    pair = _pair(result)
    if pair is None or result.space.scenario.finance.years < 2:
        return None
    small, big = pair
    drawn = _drawn(result, small, big)
    if drawn is None:
        return None
    worth, fuel, oil = drawn.whole()
    cells = cells_of(fuel, oil)
    if np.min(np.bincount(cells)[np.unique(cells)]) < 2 * _LEAST_IN_CELL:
        return None
    ways = {way: worth[way] for way in THEN}
    halves = np.arange(cells.size) % 2 == 0
    followed = np.empty(cells.size)
    for mine, other in ((halves, ~halves), (~halves, halves)):
        rule = best_by_cell({way: v[other] for way, v in ways.items()}, cells[other])
        followed[mine] = worth_of_rule({w: v[mine] for w, v in ways.items()}, cells[mine], rule)
    inputs = big.inputs
    annual = 1.0 if inputs is None else float(annual_factor(inputs))
    rule = best_by_cell(ways, cells)
    return Waiting(
        small=small,
        big=big,
        start_big=annual * float(np.mean(worth["start_big"])),
        start_small=annual * float(np.mean(worth["carry on"])),
        small_first=annual * float(np.mean(followed)),
        cells=tuple(_cell(cell, ways, cells, rule) for cell in rule),
    )


def _cell(
    cell: int, ways: Mapping[str, Floats], cells: NDArray[np.int64], rule: Mapping[int, str]
) -> Cell:
    here = cells == cell
    return Cell(
        fuel=FUEL_LEVELS[cell // 3],
        oil=OIL_LEVELS[cell % 3],
        share=float(np.mean(here)),
        then=rule[cell],
        worth={way: float(np.mean(values[here])) for way, values in ways.items()},
    )
