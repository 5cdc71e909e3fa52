"""Plans side by side: the document, and the rows and sentences every surface shows.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farms = [load(demo_files()[name]) for name in ("kurrabee-diesel", "kurrabee-kerosene")]
>>> [beside] = compare_document(farms, draws=64)["beside"]
>>> odds = beside["chances"]["time_paid"]
>>> odds["beats"] + odds["ties"] + odds["loses"]
1.0
"""

from collections.abc import Callable, Sequence

import numpy as np

from econ.advice.cautions import Farm, ShownCaution, cautions
from econ.answers.compare_keys import (
    AgainstDocument,
    BesideDocument,
    BudgetDocument,
    BudgetRow,
    Changed,
    ComparedCaution,
    CompareDocument,
    Figure,
    GraveLine,
    IncrementDocument,
    IncrementRow,
    PlanName,
)
from econ.answers.document import number
from econ.farm.differences import Difference
from econ.farm.schema import Scenario
from econ.ground.labels import FUEL
from econ.ground.units import DIMENSIONS, Floats, from_canonical, unit_label
from econ.ground.written import Numbers
from econ.model.costs import COST_LINES, SAVINGS
from econ.model.headlines import fuel_of, measure_of, saving_of
from econ.model.ledger import LEDGERS
from econ.model.measures import MEASURES
from econ.model.outcome import Outcome
from econ.questions.compare import (
    Against,
    Beside,
    Budget,
    Comparison,
    compare,
    written,
)

Tell = Callable[[int, int], None]
# Figures that decide between plans; the others stand in the JSON.
_MAIN = (
    "fuel_replaced",
    "own_hours",
    "after_wear",
    "after_labour",
    "pay_per_hour",
    "kit_to_buy",
    "time_paid.npv",
    "time_paid.equivalent_annual",
    "time_paid.simple_payback",
    "time_free.npv",
    "time_free.equivalent_annual",
    "time_free.simple_payback",
)
# "of which your own" stands below all hours elsewhere; here it stands alone.
_ALONE = {"own_hours": "Your own hours"}
# Less is no amount that people look at. [money]
_SEEN = 0.5
_INCREMENT = (
    ("npv", "worth in today's money, {years} years"),
    ("sir", "savings to investment"),
    ("airr", "average yearly return"),
    ("irr", "internal rate of return"),
    ("simple_payback", "paid back in"),
    ("discounted_payback", "paid back in, with interest"),
)
_COSTS = {line.key: line.label for line in COST_LINES}
_DIMENSIONS = {row.key: row.dimension for row in MEASURES}
_UNITLESS = ("text", "choice", "flag", "date", "months", "weights", "ratio", "count")
# Written in percent, as every surface has them.
_PERCENT = ("share", "rate")


class _Writer:
    """Writes the answer in the first file's units."""

    def __init__(self, result: Comparison, names: list[str]) -> None:
        header = result.scenarios[0].scenario
        self.result, self.names = result, names
        self.units, self.currency = header.units, header.currency
        self.numbers = Numbers(self.units, self.currency)

    def of(self, dimension: str, value: Floats | float) -> float | None:
        known = dimension in DIMENSIONS
        return number(from_canonical(value, dimension, self.units) if known else value)

    def changed(self, row: Difference) -> Changed:
        """Write one changed input, in the units of the plan the others are set against."""
        base = self.result.scenarios[self.result.against].scenario
        dimension = "text" if row.about is None else row.about.dimension
        percent = dimension in _PERCENT
        unit = "%" if percent else ""
        if not percent and dimension not in _UNITLESS:
            unit = unit_label(dimension, base.units, base.currency)
        times = 100.0 if percent else 1.0
        whole = row.about is None
        label = "the whole entry" if row.about is None else row.about.label
        entry = f" {row.entry}:" if row.entry else ""
        return Changed(
            table=row.table,
            entry=row.entry,
            field=row.field,
            label=label,
            place=f"{row.table}{entry} {label[0].lower()}{label[1:]}",
            unit=unit,
            before=("there" if row.before else "not there")
            if whole
            else written(row.before, times),
            after=("there" if row.after else "not there") if whole else written(row.after, times),
        )


def _figures(write: _Writer) -> list[Figure]:
    """Set every figure of every plan side by side."""
    rows: list[tuple[str, str, str, Callable[[Outcome], Floats]]] = []
    rows += [(row.key, row.label, row.dimension, fuel_of(row.key)) for row in FUEL]
    rows += [(row.key, row.label, "money_per_year", saving_of(row.key)) for row in SAVINGS]
    rows.append(
        (
            "pay_per_hour",
            "Pay for an hour of your time",
            "money_per_hour",
            lambda outcome: outcome.pay_per_hour,
        )
    )
    rows.append(("kit_cost", "All kit", "money", lambda outcome: outcome.kit_cost))
    rows.append(("kit_to_buy", "Kit to buy", "money", lambda outcome: outcome.kit_to_buy))
    for kind in LEDGERS:
        basis = f"{kind.label[0].lower()}{kind.label[1:]}"
        rows += [
            (f"{kind.key}.{m.key}", f"{m.label}, {basis}", m.dimension, measure_of(kind.key, m.key))
            for m in MEASURES
        ]
    return [
        Figure(
            key=key,
            label=_ALONE.get(key, label),
            dimension=dimension,
            main=key in _MAIN,
            values=[write.of(dimension, value(outcome)) for outcome in write.result.outcomes],
        )
        for key, label, dimension, value in rows
    ]


def _budget_rows(budget: Budget) -> list[BudgetRow]:
    """List what moves in a typical year, gains first, and what is left of it."""
    moves = [("more fuel not bought", budget.added_returns)]
    moves += [(f"less: {_COSTS[key]}", gain) for key, gain in budget.reduced_costs.items()]
    moves.append(("less fuel not bought", -budget.reduced_returns))
    moves += [(f"more: {_COSTS[key]}", -cost) for key, cost in budget.added_costs.items()]
    moves = [(label, amount) for label, amount in moves if abs(amount) >= _SEEN]
    moves.append(("left after your time", budget.net))
    return [BudgetRow(label=label, amount=amount) for label, amount in moves]


def _increment_rows(measures: dict[str, dict[str, float | None]], years: int) -> list[IncrementRow]:
    """List what is asked of a bigger kit's increment."""
    paid, free = measures["time_paid"], measures["time_free"]
    return [
        IncrementRow(
            label=label.format(years=years),
            dimension=_DIMENSIONS[key],
            time_paid=paid[key],
            time_free=free[key],
        )
        for key, label in _INCREMENT
    ]


def _increment(beside: Beside, write: _Writer) -> IncrementDocument:
    result = beside.increment
    ledgers = result.ledgers
    cost = float(next(iter(ledgers.values())).kit_cost)
    measures = {
        ledger: {key: write.of(_DIMENSIONS[key], value) for key, value in of.items()}
        for ledger, of in result.measures.items()
    }
    years = write.result.scenarios[0].finance.years
    return IncrementDocument(
        bigger=write.names[result.bigger],
        smaller=write.names[result.smaller],
        kit_cost=cost,
        measures=measures,
        flows={key: [float(x) for x in np.ravel(ledger.flows)] for key, ledger in ledgers.items()},
        rows=_increment_rows(measures, years) if cost >= _SEEN else [],
    )


def _against(result: Against) -> AgainstDocument:
    return AgainstDocument(
        beats=result.beats,
        ties=result.ties,
        loses=result.loses,
        mean=result.mean,
        p5=result.low,
        p95=result.high,
    )


def _share(share: float) -> str:
    """Write a share of draws as people say it: "60 of 100", "fewer than 1 of 100"."""
    if 0.0 < share < 0.005:
        return "fewer than 1 of 100"
    if 0.995 < share < 1.0:
        return "more than 99 of 100"
    return f"{100.0 * share:.0f} of 100"


def _chance_words(name: str, base: str, result: Against, paid: str, numbers: Numbers) -> str:
    """Say how two plans do on the same draws."""
    if result.ties == 1.0:
        return f"{paid}: {name} and {base} are worth the same in every draw: a tie."
    text = f"{paid}: {name} beats {base} in {_share(result.beats)}"
    if result.ties > 0.0:
        text += f", and they tie in {_share(result.ties)}"
    low, high = numbers.money(result.low), numbers.money(result.high)
    mean = numbers.money(result.mean)
    return (
        f"{text}; the mean of the draws is a difference of {mean} a year, 9 times in 10 from {low}"
        f" to {high}."
    )


def _words(beside: Beside, write: _Writer) -> list[str]:
    """Say what a plan does beside the one it is set against."""
    numbers, names = write.numbers, write.names
    name, base = names[beside.plan], names[write.result.against]
    texts = []
    if any(row.is_price for row in beside.changed):
        texts.append(
            "Their prices differ: part of the difference is no choice between plans but another"
            " guess of what fuel costs."
        )
    net = beside.budget.net
    if abs(net) < _SEEN:
        texts.append(f"In a typical year {name} and {base} leave the same after your time.")
    else:
        more = "more" if net > 0.0 else "less"
        texts.append(
            f"In a typical year {name} leaves {numbers.money(abs(net))} {more} than {base} after"
            " your time."
        )
    texts += [
        _chance_words(name, base, beside.chances[key], words, numbers)
        for key, words in (("time_paid", "Your time paid"), ("time_free", "Your time free"))
    ]
    increment = beside.increment
    bigger, smaller = names[increment.bigger], names[increment.smaller]
    extra = float(next(iter(increment.ledgers.values())).kit_cost)
    if extra >= _SEEN:
        worth = float(increment.measures["time_paid"]["npv"])
        verb = "gains" if worth >= 0.0 else "loses"
        texts.append(
            f"The {numbers.money(extra)} more of kit in {bigger} than in {smaller} {verb}"
            f" {numbers.money(abs(worth))} in today's money, your time paid."
        )
    return texts


def _beside(beside: Beside, write: _Writer) -> BesideDocument:
    budget = beside.budget
    return BesideDocument(
        name=write.names[beside.plan],
        changed=[write.changed(row) for row in beside.changed],
        prices_differ=any(row.is_price for row in beside.changed),
        budget=BudgetDocument(
            added_returns=budget.added_returns,
            reduced_costs=budget.reduced_costs,
            added_costs=budget.added_costs,
            reduced_returns=budget.reduced_returns,
            net=budget.net,
            rows=_budget_rows(budget),
        ),
        increment=_increment(beside, write),
        chances={key: _against(result) for key, result in beside.chances.items()},
        says=_words(beside, write),
    )


def _cautions(
    result: Comparison, names: list[str]
) -> tuple[list[ComparedCaution], list[GraveLine]]:
    """List what to look out for in any of the plans, and the grave ones in a line each."""
    whose: dict[tuple[str, str], list[str]] = {}
    rows: dict[tuple[str, str], ShownCaution] = {}
    lines: dict[str, list[str]] = {}
    for name, scenario, outcome in zip(names, result.scenarios, result.outcomes, strict=True):
        header = scenario.scenario
        for row in cautions(Farm(header.units, header.currency, outcome.inputs, outcome)):
            rows.setdefault((row.key, row.text), row)
            whose.setdefault((row.key, row.text), []).append(name)
            if row.severity == "grave":
                lines.setdefault(row.brief, []).append(name)

    def of(plans: list[str], word: str) -> str:
        shared = len(set(plans)) == len(names)
        return "" if shared else f"{word} {' and '.join(dict.fromkeys(plans))}"

    shown = sorted(rows.items(), key=lambda pair: -pair[1].gravity)
    return [
        ComparedCaution(
            key=row.key, short=row.brief, text=row.text, basis=row.basis, of=of(whose[key], "in")
        )
        for key, row in shown
    ], [GraveLine(short=short, of=of(plans, "only")) for short, plans in lines.items()]


def _names(scenarios: Sequence[Scenario]) -> list[str]:
    """Name plans by their files, numbered where two files are named alike."""
    names: list[str] = []
    for scenario in scenarios:
        stem, name, count = scenario.path.stem, scenario.path.stem, 2
        while name in names:
            name, count = f"{stem} ({count})", count + 1
        names.append(name)
    return names


def compare_document(
    scenarios: Sequence[Scenario],
    against: int = 0,
    tell: Tell | None = None,
    draws: int | None = None,
) -> CompareDocument:
    """Set plans side by side and write the answer.

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
    CompareDocument
        Figures in the first file's units; changed inputs in those of the plan the others are
        set against.

    Raises
    ------
    ScenarioError
        As `compare`.
    """
    result = compare(scenarios, against, tell, draws)
    names = _names(scenarios)
    write = _Writer(result, names)
    shown, grave = _cautions(result, names)
    return CompareDocument(
        units=write.units,
        currency=write.currency,
        years=scenarios[0].finance.years,
        draws=result.draws,
        plans=[
            PlanName(name=name, title=scenario.scenario.title, ahead=ahead)
            for name, scenario, ahead in zip(names, scenarios, result.ahead, strict=True)
        ],
        against=names[against],
        beside=[_beside(row, write) for row in result.beside],
        figures=_figures(write),
        grave=grave,
        cautions=shown,
        note=(
            f"Figures are on average; chances are of {result.draws:,} draws that all plans share."
            " Another price of fuel or another guess moves all of them together."
        ),
    )
