"""Plans side by side: the year's budget of changing over, the bigger kit's increment, and chances.

One plan is the one that the others are set against. All share one currency and one study
period; what they guess is drawn together, so that each future is the same for all of them.

>>> import numpy as np
>>> beside = against_of(np.array([3.0, 1.0, 2.0, 5.0]), np.array([2.0, 2.0, 2.0, 2.0]))
>>> beside.beats, beside.ties, beside.loses, beside.mean
(0.5, 0.25, 0.25, 0.75)
"""

from collections.abc import Callable, Sequence

import numpy as np
from msgspec import Struct

from econ.farm.differences import Difference, differences
from econ.farm.prepare import Choices, inputs_at, prepare, settle
from econ.farm.schema import Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import Floats
from econ.ground.written import signed
from econ.model.costs import COST_LINES
from econ.model.evaluate import evaluate
from econ.model.ledger import LEDGERS
from econ.model.measures import measure
from econ.model.outcome import Ledger, Outcome
from econ.questions.draws import BLOCK, pick_from
from econ.questions.shared_draws import SharedDraws, shared_draws

LOW, HIGH = 0.05, 0.95
# Draws closer than this are ties: rounding, not a difference. [currency/yr]
_TIE = 1e-6
Tell = Callable[[int, int], None]

# Fields of [finance] that one study period has in common.
_SHARED = ("years", "discount_rate", "inflation", "tax_rate")


class Budget(Struct, frozen=True):
    """What changing over does to a typical year. [currency/yr]"""

    added_returns: float
    """More fuel not bought."""
    reduced_costs: dict[str, float]
    """By cost line."""
    added_costs: dict[str, float]
    reduced_returns: float
    """Less fuel not bought."""

    @property
    def net(self) -> float:
        """Return what is left after one's own time: the difference of the two years."""
        gains = self.added_returns + sum(self.reduced_costs.values())
        return gains - sum(self.added_costs.values()) - self.reduced_returns


class Increment(Struct, frozen=True):
    """The plan with the bigger kit less the one with the smaller."""

    bigger: int
    smaller: int
    ledgers: dict[str, Ledger]
    measures: dict[str, dict[str, Floats]]


class Against(Struct, frozen=True):
    """How often, on the same draws, one plan is worth more than the one it is set against."""

    beats: float
    ties: float
    loses: float
    """Shares of the draws, adding to one. [-]"""
    mean: float
    low: float
    high: float
    """Difference of the worth a year: mean, 1 in 20 below, 1 in 20 above. [currency/yr]"""


class Beside(Struct, frozen=True):
    """One plan beside the one it is set against."""

    plan: int
    changed: tuple[Difference, ...]
    budget: Budget
    increment: Increment
    chances: dict[str, Against]
    """By ledger."""


class Comparison(Struct, frozen=True):
    """Plans side by side."""

    scenarios: tuple[Scenario, ...]
    outcomes: tuple[Outcome, ...]
    """At expected values."""
    against: int
    beside: tuple[Beside, ...]
    """Every other plan, in the order given."""
    ahead: tuple[dict[str, float], ...]
    """Share of draws in which each plan is worth more than nothing, by ledger. [-]"""
    draws: int


def refuse_unlike(scenarios: Sequence[Scenario], against: int) -> None:
    """Refuse plans that share no currency or no study period.

    Parameters
    ----------
    scenarios : sequence of Scenario
        As loaded.
    against : int
        Which the others are set against.

    Raises
    ------
    ScenarioError
        With every difference of every plan.
    """
    base, problems = scenarios[against], []
    for scenario in scenarios:
        if scenario.scenario.currency != base.scenario.currency:
            problems.append(
                Problem(
                    str(scenario.path),
                    "[scenario] currency",
                    scenario.scenario.currency,
                    f"{base.path} counts in {base.scenario.currency}; plans compare in one"
                    " currency only",
                )
            )
        problems += [
            Problem(
                str(scenario.path),
                f"[finance] {difference.field}",
                written(difference.after),
                f"{base.path} has {written(difference.before)}; plans compare over one study"
                " period: the same years, discount rate, inflation and tax rate",
            )
            for difference in differences(base, scenario)
            if difference.table == "finance" and difference.field in _SHARED
        ]
    if problems:
        raise ScenarioError(tuple(problems))


def written(value: object, times: float = 1.0) -> str:
    """Write a field's value plainly.

    Parameters
    ----------
    value : object
        As the schema has it; None where the file leaves it out.
    times : float
        What its numbers are taken times: a hundred for what is written in percent. [-]

    Returns
    -------
    str
    """
    low, likely, high = (getattr(value, point, None) for point in ("low", "likely", "high"))
    if low is not None and likely is not None and high is not None:
        three = (signed(f"{times * point:.6g}") for point in (likely, low, high))
        return "{} ({} to {})".format(*three)
    if value is None or value == []:
        return "left out"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float | int):
        return signed(f"{times * value:,.6g}")
    if isinstance(value, list):
        return ", ".join(map(str, value))
    if isinstance(value, dict):
        return (
            ", ".join(f"{name} {written(amount, times)}" for name, amount in value.items())
            or "none"
        )
    return str(value)


def budget_of(base: Outcome, other: Outcome) -> Budget:
    """Work out what changing over from one plan to another does to a typical year.

    Parameters
    ----------
    base, other : Outcome
        At expected values, numbers of shape ``()``.

    Returns
    -------
    Budget
        Own time and the kit spread over the years are among its costs, so that its net is the
        difference of what is left after one's own time.
    """
    returns = float(
        other.typical.savings["fuel_not_bought"] - base.typical.savings["fuel_not_bought"]
    )
    costs = {
        line.key: float(other.typical.costs[line.key] - base.typical.costs[line.key])
        for line in COST_LINES
    }
    return Budget(
        added_returns=max(0.0, returns),
        reduced_costs={key: -amount for key, amount in costs.items() if amount < 0.0},
        added_costs={key: amount for key, amount in costs.items() if amount > 0.0},
        reduced_returns=max(0.0, -returns),
    )


def ledger_less(bigger: Ledger, smaller: Ledger) -> Ledger:
    """Take one plan's ledger from another's, year by year.

    Parameters
    ----------
    bigger, smaller : Ledger
        Of one study period.

    Returns
    -------
    Ledger
        Its measures are those of the increment (NIST Handbook 135; ASTM E1074). It has no mean
        price of fuel, and no lines.
    """
    alike = {"rate", "real_rate", "years", "path"}
    apart = {
        name: getattr(bigger, name) - getattr(smaller, name)
        for name in Ledger.__struct_fields__
        if name not in alike | {"lines", "mean_price"}
    }
    kept = {name: getattr(bigger, name) for name in alike}
    return Ledger(**kept, **apart, lines={}, mean_price=np.asarray(np.nan))


def increment_of(outcomes: Sequence[Outcome], one: int, other: int) -> Increment:
    """Set the plan with the bigger kit against the one with the smaller.

    Parameters
    ----------
    outcomes : sequence of Outcome
        At expected values.
    one, other : int
        Which two.

    Returns
    -------
    Increment
    """
    bigger, smaller = one, other
    if float(outcomes[other].kit_cost) > float(outcomes[one].kit_cost):
        bigger, smaller = other, one
    ledgers = {
        kind.key: ledger_less(
            outcomes[bigger].ledgers[kind.key].ledger, outcomes[smaller].ledgers[kind.key].ledger
        )
        for kind in LEDGERS
    }
    measures = {key: measure(ledger) for key, ledger in ledgers.items()}
    return Increment(bigger, smaller, ledgers, measures)


def _drawn(scenarios: Sequence[Scenario], shared: SharedDraws, tell: Tell) -> dict[str, Floats]:
    """Work every plan through on the same draws; worth a year by ledger, (plans, draws)."""
    choices: list[Choices] = [settle(scenario) for scenario in scenarios]
    result = {kind.key: np.empty((len(scenarios), shared.draws)) for kind in LEDGERS}
    done, total = 0, shared.draws * len(scenarios)
    for block in range(shared.blocks):
        rows = slice(block * BLOCK, min((block + 1) * BLOCK, shared.draws))
        raw = shared.raw(block)
        for k, scenario in enumerate(scenarios):
            sampler, own = shared.of(k, raw)
            path = sampler.path.multipliers(sampler.states(own))
            inputs = inputs_at(scenario, pick_from(sampler.values_of(own)), choices[k])
            outcome = evaluate(inputs, by_month=False, path=list(path[1:]), measures=())
            for kind in LEDGERS:
                worth = outcome.ledgers[kind.key].measures["equivalent_annual"]
                result[kind.key][k, rows] = worth
            done += rows.stop - rows.start
            tell(done, total)
    return result


def against_of(worth: Floats, base: Floats) -> Against:
    """Say how often a plan is worth more than another, draw by draw.

    Parameters
    ----------
    worth, base : ndarray, shape (draws,)
        Worth a year of the plan and of the one it is set against. [currency/yr]

    Returns
    -------
    Against
    """
    apart = worth - base
    same = np.abs(apart) <= _TIE
    return Against(
        beats=float(np.mean((apart > 0.0) & ~same)),
        ties=float(np.mean(same)),
        loses=float(np.mean((apart < 0.0) & ~same)),
        mean=float(np.mean(apart)),
        low=float(np.quantile(apart, LOW)),
        high=float(np.quantile(apart, HIGH)),
    )


def compare(
    scenarios: Sequence[Scenario],
    against: int = 0,
    tell: Tell | None = None,
    draws: int | None = None,
) -> Comparison:
    """Set plans side by side.

    Parameters
    ----------
    scenarios : sequence of Scenario
        Two or more, as loaded.
    against : int
        Which the others are set against.
    tell : callable, optional
        Told (draws done, in all).
    draws : int, optional
        How many; those of the plan the others are set against by default.

    Returns
    -------
    Comparison

    Raises
    ------
    ScenarioError
        As `refuse_unlike` and `settle`.
    """
    refuse_unlike(scenarios, against)
    outcomes = [evaluate(prepare(scenario)) for scenario in scenarios]
    shared = shared_draws(scenarios, scenarios[against], draws)
    worth = _drawn(scenarios, shared, tell or (lambda done, total: None))
    beside = [
        Beside(
            plan=k,
            changed=differences(scenarios[against], scenario),
            budget=budget_of(outcomes[against], outcomes[k]),
            increment=increment_of(outcomes, k, against),
            chances={key: against_of(rows[k], rows[against]) for key, rows in worth.items()},
        )
        for k, scenario in enumerate(scenarios)
        if k != against
    ]
    ahead = tuple(
        {key: float(np.mean(rows[k] > 0.0)) for key, rows in worth.items()}
        for k in range(len(scenarios))
    )
    return Comparison(
        tuple(scenarios), tuple(outcomes), against, tuple(beside), ahead, shared.draws
    )
