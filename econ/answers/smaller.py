"""A smaller plan beside this one, in words and in the rows that a couple compares.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> least = load(demo_files()["wrenfold-heater-only"])
>>> smaller(least, evaluate(prepare(least)), "time_paid") is None
True
"""

from typing import Annotated, TypedDict

from econ.answers.keys import Key
from econ.farm.schema import Scenario
from econ.ground.written import Numbers
from econ.model.measures import lost_if_stopped
from econ.model.outcome import Outcome
from econ.questions.smaller_plan import SmallerPlan, smaller_plan

# Letters of names that a heading has room for.
_LETTERS = 44
_FRACTIONS = (
    (0.08, "a twelfth"),
    (0.11, "a tenth"),
    (0.14, "an eighth"),
    (0.18, "a sixth"),
    (0.225, "a fifth"),
    (0.29, "a quarter"),
    (0.4, "a third"),
    (0.58, "half"),
    (0.7, "two thirds"),
)


class SmallerRow(TypedDict):
    """One figure of both plans."""

    label: Annotated[str, Key("text", "What it is")]
    this: Annotated[str, Key("text", "In the plan of the file")]
    smaller: Annotated[str, Key("text", "In the smaller plan")]


class Smaller(TypedDict):
    """A smaller plan of the same farm beside this one."""

    line: Annotated[str, Key("text", "What it leaves, and for how much less")]
    title: Annotated[str, Key("text", "Which sources and set-up it has")]
    left_out: Annotated[str, Key("text", "What of this plan it does without; may be empty")]
    rows: Annotated[list[SmallerRow], Key("text", "The figures side by side")]


def _fraction(part: float, whole: float) -> str | None:
    """Say a part of a whole as people do; None where it is not clearly less."""
    if whole <= 0.0:
        return None
    share = part / whole
    return next((words for most, words in _FRACTIONS if share <= most), None)


def _line(result: SmallerPlan, ledger: str) -> str:
    """Say what the smaller plan leaves, and for how much less."""
    file, plan = result.file, result.plan
    hours = _fraction(plan.yearly("own_hours"), float(file.typical.fuel["own_hours"]))
    kit = _fraction(plan.kit_to_buy, float(file.kit_to_buy))
    less = [f"{hours} of the hours"] if hours else []
    less += [f"{kit} of the kit"] if kit else []
    worth = float(file.ledgers[ledger].measures["equivalent_annual"])
    if worth <= 0.0:
        leaves = "leaves something instead of a loss"
    else:
        leaves = "leaves more" if result.better else "leaves as much"
    paid = " with your time paid" if ledger == "time_paid" else ""
    return f"A smaller plan of this farm {leaves}{paid}, for {' and '.join(less)}."


def _names(names: list[str], most: int) -> str:
    """List some names, fewer where they are long, and count the others."""
    while most > 1 and sum(map(len, names[:most])) > _LETTERS:
        most -= 1
    shown = names[:most]
    if len(names) > most:
        shown.append(f"{len(names) - most} more")
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}"


def _rows(file: Outcome, plan: Outcome, numbers: Numbers) -> list[SmallerRow]:
    def money(key: str, ledger: str) -> tuple[str, str]:
        both = (float(o.ledgers[ledger].measures[key]) for o in (file, plan))
        first, second = (numbers.spoken(value) for value in both)
        return first, second

    def lost(outcome: Outcome) -> str:
        ledger = outcome.ledgers["time_free"].ledger
        return numbers.spoken(float(max(lost_if_stopped(ledger), default=0.0)))

    def pay(outcome: Outcome) -> str:
        hours = float(outcome.typical.fuel["own_hours"])
        return numbers.spoken_pay(float(outcome.pay_per_hour)) if hours > 0.0 else "none"

    pairs = [
        ("Up front", tuple(numbers.spoken(float(o.kit_to_buy)) for o in (file, plan))),
        ("Most you can lose by stopping", (lost(file), lost(plan))),
        (
            "Your own hours a year",
            tuple(f"{float(o.typical.fuel['own_hours']):,.0f} h" for o in (file, plan)),
        ),
        ("Worth a year, time free", money("equivalent_annual", "time_free")),
        ("Worth a year, time paid", money("equivalent_annual", "time_paid")),
        ("Pay for an hour of your time", (pay(file), pay(plan))),
    ]
    return [{"label": label, "this": pair[0], "smaller": pair[1]} for label, pair in pairs]


def smaller(scenario: Scenario, file: Outcome, ledger: str) -> Smaller | None:
    """Find a smaller plan of a farm and set it beside the file's own.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    file : Outcome
        The file's own plan at expected values.
    ledger : str
        "time_free" or "time_paid": by which worth a year plans are ranked.

    Returns
    -------
    Smaller or None
        None where no smaller plan is worth as much.
    """
    result = smaller_plan(scenario, file, ledger)
    if result is None or result.plan.outcome is None:
        return None
    numbers = Numbers(scenario.scenario.units, scenario.scenario.currency)
    outcome = result.plan.outcome
    taken = [
        oil.name
        for oil, year in zip(outcome.inputs.oils, outcome.typical.flows.oils, strict=True)
        if float(year.taken) > 0.0
    ]
    kept = {item.name for item in outcome.inputs.kit}
    gone = [item.name for item in result.file.inputs.kit if item.name not in kept]
    return {
        "line": _line(result, ledger),
        "title": f"A smaller plan: {_names(taken, 2)}",
        "left_out": f"Without {_names(gone, 3)}." if gone else "",
        "rows": _rows(result.file, outcome, numbers),
    }
