"""The answer to "which plan": a typed document, and the sentences every surface shows.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["wrenfold-heater-only"])
>>> few = farm.uncertainty.model_copy(update={"draws": 64})
>>> document, _ = which_plan_document(farm.model_copy(update={"uncertainty": few}))
>>> document["best"]["equivalent_annual"] >= max(0.0, document["file"]["equivalent_annual"])
True
"""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Annotated, TypedDict

from econ.advice.cautions import Farm, cautions
from econ.answers.document import number
from econ.answers.keys import Key
from econ.farm.files import load, write_new
from econ.farm.plan_file import plan_file
from econ.farm.prepare import prepare
from econ.farm.schema import Scenario
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import Floats, from_canonical
from econ.ground.written import Numbers
from econ.model.evaluate import evaluate
from econ.questions.plan import (
    NOTHING,
    REGRET_FACTORS,
    Limit,
    Plan,
    PlanAnswer,
    Step,
    which_plan,
)
from econ.questions.plan_draws import Drawn
from econ.questions.plan_more import OneMore, one_more
from econ.questions.plan_timing import timing_gain
from econ.questions.plan_waiting import Waiting, small_first

PUMP_FUEL, CLEAN_OIL = "pump fuel", "clean oil"
LEDGERS = {"time_paid": "your time paid", "time_free": "your time free"}

Tell = Callable[[int, int], None]


class PlanDocument(TypedDict):
    """One plan."""

    setup: Annotated[str | None, Key("text", "Its set-up, where the file has several")]
    oils: Annotated[list[str], Key("text", "Sources it takes")]
    machines: Annotated[
        dict[str, str], Key("text", 'By machine: its thinner, "clean oil" or "pump fuel"')
    ]
    kit: Annotated[list[str], Key("text", "Kit in it")]
    yearly: Annotated[list[str], Key("text", "Yearly bills in it")]
    equivalent_annual: Annotated[float, Key("money_per_year", "Worth a year, by the ledger")]
    npv: Annotated[float, Key("money", "Worth in today's money, by the ledger")]
    kit_to_buy: Annotated[float, Key("money", "Kit that is not there yet")]
    own_hours: Annotated[float, Key("hours_per_year", "One's own hours in a typical year")]
    fuel_replaced: Annotated[float, Key("volume_per_year", "Pump fuel replaced in a typical year")]


class DrawnDocument(TypedDict):
    """What the draws say of a plan, in worth a year."""

    mean: Annotated[float, Key("money_per_year", "On average")]
    p5: Annotated[float, Key("money_per_year", "One draw in twenty is worse")]
    ahead: Annotated[float, Key("share", "Draws in which it is worth more than nothing")]


class NearDocument(PlanDocument):
    """A plan next to the best."""

    tie: Annotated[bool, Key("flag", "Whether it is as good, near enough")]
    drawn: Annotated[DrawnDocument, Key("text", "On the same draws as the best")]
    differs: Annotated[
        str, Key("text", "From the best; from the first of these if that is nothing")
    ]


class StepDocument(PlanDocument):
    """A step of the stair."""

    added: Annotated[str, Key("text", "The source it adds")]
    gain: Annotated[float, Key("money_per_year", "Worth a year over the step before")]
    text: Annotated[str, Key("text", "The step in words")]


class OneMoreDocument(TypedDict):
    """One more and one less of something."""

    what: Annotated[str, Key("text", "Of what")]
    step: Annotated[str, Key("text", "How much more or less, with its unit")]
    more: Annotated[float | None, Key("money_per_year", "What one more would bring")]
    less: Annotated[float | None, Key("money_per_year", "What one less would bring")]
    spare: Annotated[str | None, Key("text", "How much less would cost nothing")]
    text: Annotated[str, Key("text", "The same in words")]


class RegretDocument(TypedDict):
    """What a plan comes to over prices of fuel."""

    plan: Annotated[str, Key("text", '"best", "file" or "nothing"')]
    worth: Annotated[list[float], Key("money_per_year", "Worth a year at each price of fuel")]
    worst: Annotated[
        float, Key("money_per_year", "How far the best plan for a price is ahead of it, at most")
    ]


class LimitDocument(TypedDict):
    """A limit that alone would have to give."""

    limit: Annotated[str, Key("text", "Its field in [limits]")]
    now: Annotated[float, Key("count", "What the file says")]
    needed: Annotated[float | None, Key("count", "What would do; none where nothing would")]
    text: Annotated[str, Key("text", "The same in words")]


class SaysDocument(TypedDict):
    """The answer in words."""

    best: Annotated[str, Key("text", "What is best, and what it is worth")]
    file: Annotated[str, Key("text", "The file's own plan beside it")]
    ties: Annotated[str | None, Key("text", "What is as good, near enough")]
    draws: Annotated[str | None, Key("text", "How sure that is")]
    tried: Annotated[str, Key("text", "How the search went")]
    regret: Annotated[str, Key("text", "What it costs to be wrong about the price of fuel")]
    timing: Annotated[str | None, Key("text", "What better timing could add")]


class CellDocument(TypedDict):
    """One of nine futures after a year."""

    fuel: Annotated[str, Key("text", "Where the price of fuel has gone: down, level, up")]
    oil: Annotated[str, Key("text", "How much oil turns up: little, as promised, much")]
    share: Annotated[float, Key("share", "Of the draws")]
    then: Annotated[str, Key("text", "What is best from there: bigger, carry on or stop")]
    worth: Annotated[dict[str, float], Key("money", "Mean worth today of each way to go on")]


class WaitingDocument(TypedDict):
    """A year of a small plan, and the bigger kit only where it then pays."""

    small: Annotated[PlanDocument, Key("text", "The small plan")]
    big: Annotated[PlanDocument, Key("text", "The big plan")]
    start_big: Annotated[float, Key("money_per_year", "Worth a year of starting big, on draws")]
    start_small: Annotated[float, Key("money_per_year", "Of starting small and staying so")]
    small_first: Annotated[float, Key("money_per_year", "Of small first and then choosing")]
    cells: Annotated[list[CellDocument], Key("text", "What to do after a year, future by future")]
    text: Annotated[str, Key("text", "The same in words")]


class CautionDocument(TypedDict):
    """What to look out for in the best plan."""

    key: Annotated[str, Key("text", "Its name")]
    text: Annotated[str, Key("text", "What to look out for")]
    short: Annotated[str, Key("text", "The same in one line, without citations")]
    basis: Annotated[str, Key("text", "On what it rests")]


class WhichPlanDocument(TypedDict):
    """Which plan."""

    title: Annotated[str, Key("text", "The farm's")]
    units: Annotated[str, Key("choice", "us or metric")]
    currency: Annotated[str, Key("text", "ISO 4217")]
    ledger: Annotated[str, Key("text", "By which plans are ranked")]
    tried: Annotated[int, Key("count", "Plans worked through, nothing among them")]
    exhaustive: Annotated[bool, Key("flag", "Whether that is every plan there is")]
    best: Annotated[PlanDocument, Key("text", "The best plan")]
    best_drawn: Annotated[DrawnDocument, Key("text", "The best plan on draws")]
    file: Annotated[PlanDocument, Key("text", "The file's own plan")]
    near: Annotated[list[NearDocument], Key("text", "Plans next to the best")]
    stair: Annotated[list[StepDocument], Key("text", "From nothing, one source at a time")]
    one_more: Annotated[list[OneMoreDocument], Key("text", "One more and one less")]
    regret_factors: Annotated[list[float], Key("ratio", "On all prices of fuel")]
    regret: Annotated[list[RegretDocument], Key("text", "Over prices of fuel")]
    timing_gain: Annotated[
        float | None, Key("money_per_year", "The most that better timing could add")
    ]
    waiting: Annotated[WaitingDocument | None, Key("text", "Small first, and then choosing")]
    limits: Annotated[list[LimitDocument], Key("text", "Where no plan fits: what would do")]
    notes: Annotated[list[str], Key("text", "What was left out of the search, and why")]
    says: Annotated[SaysDocument, Key("text", "The answer in words")]
    cautions: Annotated[list[CautionDocument], Key("text", "Of the best plan, the gravest first")]
    written: Annotated[str | None, Key("text", "The file that the best plan was written to")]


class _Writer:
    """Writes plans in a farm's units."""

    def __init__(self, result: PlanAnswer) -> None:
        header = result.space.scenario.scenario
        self.result, self.units = result, header.units
        self.numbers = Numbers(header.units, header.currency)
        self.ledger = result.ledger

    def of(self, dimension: str, value: Floats | float) -> float:
        plain = number(from_canonical(value, dimension, self.units))
        return 0.0 if plain is None else plain

    def measure(self, value: float) -> float:
        return 0.0 if number(value) is None else float(value)

    def plan(self, plan: Plan) -> PlanDocument:
        """Write one plan."""
        inputs, machines = plan.inputs, self.result.space.inputs[0].machines
        burns = {machine.name: PUMP_FUEL for machine in machines}
        oils: list[str] = []
        if inputs is not None and plan.decision is not None:
            for machine in inputs.machines:
                if machine.may_burn:
                    thinner = machine.thinner
                    name = CLEAN_OIL if thinner is None else inputs.thinners[thinner].name
                    burns[machine.name] = name
            oils = [inputs.oils[k].name for k in plan.decision.oils]
        return PlanDocument(
            setup=None if inputs is None else inputs.setup,
            oils=oils,
            machines=burns,
            kit=[] if inputs is None else [item.name for item in inputs.kit],
            yearly=[] if inputs is None else [item.name for item in inputs.yearly],
            equivalent_annual=self.measure(plan.worth(self.ledger)),
            npv=self.measure(plan.measure(self.ledger, "npv")),
            kit_to_buy=plan.kit_to_buy,
            own_hours=plan.yearly("own_hours"),
            fuel_replaced=self.of("volume_per_year", plan.yearly("fuel_replaced")),
        )

    def near(self) -> list[NearDocument]:
        """Write the plans next to the best."""
        plans = [self.plan(near.plan) for near in self.result.near]
        best = self.plan(self.result.best)
        base = best if best["oils"] or not plans else plans[0]
        return [
            NearDocument(
                **plan, tie=near.tie, drawn=_drawn(near.drawn), differs=_differs(plan, base)
            )
            for near, plan in zip(self.result.near, plans, strict=True)
        ]

    def steps(self, steps: tuple[Step, ...]) -> list[StepDocument]:
        """Write the stair."""
        result, before = [], NOTHING
        names = [oil.name for oil in self.result.space.inputs[0].oils]
        for step in steps:
            text = self._step(names[step.added], step, before)
            plan = self.plan(step.plan)
            result.append(StepDocument(**plan, added=names[step.added], gain=step.gain, text=text))
            before = step.plan
        return result

    def _step(self, name: str, step: Step, before: Plan) -> str:
        kit = step.plan.kit_to_buy - before.kit_to_buy
        hours = step.plan.yearly("own_hours") - before.yearly("own_hours")
        fuel = step.plan.yearly("fuel_replaced") - before.yearly("fuel_replaced")
        parts = [
            f"{self._signed(self.numbers.money, kit)} of kit" if abs(kit) >= 0.5 else "no more kit",
            f"{self._signed(self.numbers.hours, hours)} a year",
            f"{self._signed(self.numbers.volume, self.of('volume', fuel))} of fuel",
        ]
        worth = self.numbers.money(step.plan.worth(self.ledger))
        verb = "adds" if step.gain >= 0.0 else "loses"
        amount = self.numbers.money(abs(step.gain))
        return f"{name} {verb} {amount} a year ({', '.join(parts)}): {worth} in all."

    @staticmethod
    def _signed(write: Callable[[float], str], value: float) -> str:
        return f"{'+' if value >= 0.0 else '-'}{write(abs(value))}"


def _drawn(drawn: Drawn) -> DrawnDocument:
    return DrawnDocument(mean=drawn.mean, p5=drawn.low, ahead=drawn.ahead)


_WHAT = {
    "hours": "hours to spare a month",
    "hours_per_batch": "hours for a batch",
    "raw_storage": "room for raw oil",
    "clean_storage": "room for clean oil",
}


def _more_step(row: OneMore, write: _Writer) -> tuple[str, str, str | None]:
    """Return what it is, the step, and what could be spared, each with its unit."""
    numbers = write.numbers
    if row.key == "machine":
        return row.name, "one machine", None
    if row.key == "source":
        return row.name, "a tenth", None
    if row.dimension == "volume":
        step = numbers.volume(write.of("volume", row.step))
        spare = write.of("volume", row.spare)
        return _WHAT[row.key], step, numbers.volume(spare) if spare >= 1.0 else None
    spare_hours = None if row.spare < 0.1 else numbers.hours(row.spare)
    return _WHAT[row.key], "an hour", spare_hours


def _change(amount: float, write: _Writer) -> str:
    """Say what a change of the worth a year is: "brings $40 a year", "costs ...", "nothing"."""
    if abs(amount) < 0.5:
        return "changes nothing"
    money = write.numbers.money(abs(amount))
    return f"brings {money} a year" if amount > 0.0 else f"costs {money} a year"


def _more_text(row: OneMore, what: str, step: str, spare: str | None, write: _Writer) -> str:
    """Say what one more and one less do."""
    if row.key == "machine":
        if row.more is not None:
            return f"{what}, left on pump fuel: blend in it too {_change(row.more, write)}."
        return f"{what}: leaving it on pump fuel {_change(row.less or 0.0, write)}."
    if row.key == "source":
        more = _change(row.more or 0.0, write)
        less = _change(row.less or 0.0, write)
        return f"A tenth more oil from {what} {more}; a tenth less {less}."
    if row.key == "hours_per_batch":
        more, less = _change(row.more or 0.0, write), _change(row.less or 0.0, write)
        return f"An hour less a batch {less}; an hour more {more}."
    start = step[0].upper() + step[1:]
    kind = "of time to spare a month" if row.key == "hours" else what
    text = f"{start} more {kind} {_change(row.more or 0.0, write)}"
    if spare is not None:
        return f"{text}; {spare} less would cost nothing."
    if row.less is None:
        return f"{text}."
    return f"{text}; {step} less {_change(row.less, write)}."


def _one_more(rows: Iterable[OneMore], write: _Writer) -> list[OneMoreDocument]:
    result = []
    for row in rows:
        what, step, spare = _more_step(row, write)
        text = _more_text(row, what, step, spare, write)
        result.append(
            OneMoreDocument(
                what=what, step=step, more=row.more, less=row.less, spare=spare, text=text
            )
        )
    return result


_LIMIT_WORDS = {
    "kit_to_buy": ("the kit to buy", "{} of kit"),
    "own_hours_per_year": ("your own hours", "{} of your own hours a year"),
}


def _limit(limit: Limit, write: _Writer) -> LimitDocument:
    name, unit = _LIMIT_WORDS[limit.key]

    def amount(value: float) -> str:
        plain = write.numbers.money if limit.key == "kit_to_buy" else write.numbers.hours
        return unit.format(plain(value))

    if limit.needed is None:
        text = f"Giving way on {name} alone would not do."
    else:
        text = f"With at least {amount(limit.needed)} instead of {amount(limit.now)}, a plan fits."
    return LimitDocument(limit=limit.key, now=limit.now, needed=limit.needed, text=text)


def _listed(names: list[str]) -> str:
    """Write names as people list them."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def _described(plan: PlanDocument) -> str:
    """Say what a plan is, in one phrase."""
    if not plan["oils"]:
        return "nothing"
    burning: dict[str, list[str]] = {}
    for machine, what in plan["machines"].items():
        if what != PUMP_FUEL:
            burning.setdefault(what, []).append(machine)
    mixes = [f"{_listed(machines)} on {what}" for what, machines in burning.items()]
    start = "" if plan["setup"] is None else f"{plan['setup']}; "
    return f"{start}oil from {_listed(plan['oils'])}; {'; '.join(mixes)}"


def _differs(plan: PlanDocument, base: PlanDocument) -> str:
    """Say how a plan differs from another, in one phrase; empty where it does not."""
    parts = [] if plan["setup"] == base["setup"] else [f"{plan['setup']}"]
    parts += [f"with {name}" for name in plan["oils"] if name not in base["oils"]]
    parts += [f"without {name}" for name in base["oils"] if name not in plan["oils"]]
    parts += [
        f"{machine} on {what}"
        for machine, what in plan["machines"].items()
        if what != base["machines"].get(machine)
    ]
    return "; ".join(parts)


def _tie_words(result: PlanAnswer, near: list[NearDocument]) -> str | None:
    """Tell the ties, the smallest plan first."""
    pairs = [(entry, doc) for entry, doc in zip(result.near, near, strict=True) if entry.tie]
    sizes = [
        (entry.plan.decision.size if entry.plan.decision else 0, k, doc)
        for k, (entry, doc) in enumerate(pairs)
    ]
    words = [_described(doc) for _, _, doc in sorted(sizes, key=lambda row: row[:2])]
    top = result.best.worth(result.ledger)
    if result.best.decision is not None and top <= 10.0:
        words.insert(0, "nothing")
    if not words:
        return None
    more = f", and {len(words) - 3} more" if len(words) > 3 else ""
    return f"As good, near enough: {'. Or: '.join(words[:3])}{more}."


def _says(
    result: PlanAnswer, write: _Writer, near: list[NearDocument], gain: float | None
) -> SaysDocument:
    """Word the answer."""
    numbers, paid = write.numbers, LEDGERS[result.ledger]
    worth, file = result.best.worth(result.ledger), result.file.worth(result.ledger)
    if result.best.decision is None:
        best = f"No plan is worth more than doing nothing, {paid}."
        if result.near:
            next_best = numbers.money(result.near[0].plan.worth(result.ledger))
            best += f" The next best comes to {next_best} a year: {_described(near[0])}."
    else:
        best = f"Best, {paid}: {_described(write.plan(result.best))}."
        best += f" It is worth {numbers.money(worth)} a year."
    within = "" if result.file_allowed else " It does not keep to the file's limits and choices."
    how = (
        f"Every one of {result.tried:,} plans was worked through, nothing among them."
        if result.exhaustive
        else f"Best found by steps among {result.tried:,} plans; there may be a better one."
    )
    drawn = result.best_drawn
    sure = None
    if result.best.decision is not None:
        sure = (
            f"On draws of every guess and of fuel prices it comes out ahead in"
            f" {100 * drawn.ahead:.0f} of 100; 1 in 20 is worse than"
            f" {numbers.money(drawn.low)} a year."
        )
    return SaysDocument(
        best=best,
        file=f"The plan in the file comes to {numbers.money(file)} a year.{within}",
        ties=_tie_words(result, near),
        draws=sure,
        tried=how,
        regret=_regret_words(result, write),
        timing=None if gain is None else _timing_words(gain, write),
    )


def _regret_words(result: PlanAnswer, write: _Writer) -> str:
    worst = {row.whose: write.numbers.money(row.worst) for row in result.regret}
    low, high = REGRET_FACTORS[0], REGRET_FACTORS[-1]
    return (
        f"If fuel cost from {low:g} to {high:g} times as much, the best plan would be at most"
        f" {worst['best']} a year behind the best for that price; the file's {worst['file']};"
        f" nothing {worst['nothing']}."
    )


def _timing_words(gain: float, write: _Writer) -> str:
    if gain < 0.5:
        return "No other timing of fetching, cleaning and burning could add anything to its year."
    return (
        "Better timing of fetching, cleaning and burning could add at most"
        f" {write.numbers.money(gain)} to its year."
    )


def _waiting(result: Waiting | None, write: _Writer) -> WaitingDocument | None:
    if result is None:
        return None
    numbers = write.numbers
    courses = {
        "nothing": 0.0,
        "starting big": result.start_big,
        "starting small and staying so": result.start_small,
        "small first, then choosing": result.small_first,
    }
    best = max(courses, key=lambda course: courses[course])
    figures = ", ".join(
        f"{course} {numbers.money(worth)}" for course, worth in courses.items() if worth
    )
    grow = sum(cell.share for cell in result.cells if cell.then == "bigger")
    text = (
        f"On draws, a year: {figures}. Best is {best}. After a year with"
        f" {numbers.money(result.small.kit_to_buy)} of kit, buying up to"
        f" {numbers.money(result.big.kit_to_buy)} would then pay in"
        f" {100 * grow:.0f} of 100 futures."
    )
    return WaitingDocument(
        small=write.plan(result.small),
        big=write.plan(result.big),
        start_big=result.start_big,
        start_small=result.start_small,
        small_first=result.small_first,
        cells=[
            CellDocument(
                fuel=cell.fuel, oil=cell.oil, share=cell.share, then=cell.then, worth=cell.worth
            )
            for cell in result.cells
        ],
        text=text,
    )


def _cautions(result: PlanAnswer) -> list[CautionDocument]:
    """List what to look out for in the best plan."""
    outcome, header = result.best.outcome, result.space.scenario.scenario
    if outcome is None:
        return []
    shown = cautions(Farm(header.units, header.currency, outcome.inputs, outcome))
    return [
        CautionDocument(key=row.key, text=row.text, short=row.brief, basis=row.basis)
        for row in shown
    ]


def which_plan_document(
    scenario: Scenario, ledger: str = "time_paid", tell: Tell | None = None
) -> tuple[WhichPlanDocument, PlanAnswer]:
    """Search for the best plan of a farm and write the answer.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    ledger : str
        "time_free" or "time_paid".
    tell : callable, optional
        Told (done, in all) as it goes on.

    Returns
    -------
    (WhichPlanDocument, PlanAnswer)
        Numbers in the file's units.

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    result = which_plan(scenario, ledger, tell)
    write, header = _Writer(result), scenario.scenario
    near = write.near()
    gain = None if result.best.outcome is None else timing_gain(result.best.outcome)
    document = WhichPlanDocument(
        title=header.title,
        units=header.units,
        currency=header.currency,
        ledger=ledger,
        tried=result.tried,
        exhaustive=result.exhaustive,
        best=write.plan(result.best),
        best_drawn=_drawn(result.best_drawn),
        file=write.plan(result.file),
        near=near,
        stair=write.steps(result.stair),
        one_more=_one_more(one_more(result.space, result.best, ledger), write),
        regret_factors=list(REGRET_FACTORS),
        regret=[
            RegretDocument(plan=row.whose, worth=list(row.worth), worst=row.worst)
            for row in result.regret
        ],
        timing_gain=gain,
        waiting=_waiting(small_first(result), write),
        limits=[_limit(limit, write) for limit in result.limits],
        notes=[*result.space.notes, *result.space.blocked],
        says=_says(result, write, near, gain),
        cautions=_cautions(result),
        written=None,
    )
    return document, result


def write_best(
    result: PlanAnswer,
    document: WhichPlanDocument,
    path: Path,
    read: Callable[[Path], Scenario] = load,
) -> WhichPlanDocument:
    """Write the best plan as a farm file of its own, and read its figure back.

    Parameters
    ----------
    result : PlanAnswer
        From `which_plan_document`.
    document : WhichPlanDocument
        Of the same.
    path : Path
        A file that is not there yet.
    read : callable
        Reads it again, with what a log has made of its guesses where there is one.

    Returns
    -------
    WhichPlanDocument
        The best plan's worth is that of the file as read again.

    Raises
    ------
    ScenarioError
        If nothing is best, or the file is there already or cannot be written.
    """
    decision, inputs = result.best.decision, result.best.inputs
    if decision is None or inputs is None:
        message = "nothing is the best plan: there is no plan to write"
        raise ScenarioError((Problem(str(path), "", None, message),))
    scenario = result.space.scenario
    note = (
        f"The best plan for {scenario.scenario.title!r}, {LEDGERS[result.ledger]}.\n"
        f"{document['says']['tried']} Change it like any farm file."
    )
    says = {"title": f"{scenario.scenario.title}: best plan", "note": note}
    decided = (decision.setup, decision.oils)
    text = plan_file(scenario, path, decided, inputs, result.space.choices.may_burn, says)
    write_new(path, text)
    outcome = evaluate(prepare(read(path)))
    measures = outcome.ledgers[result.ledger].measures
    best = PlanDocument(
        **{
            **document["best"],
            "equivalent_annual": float(measures["equivalent_annual"]),
            "npv": float(measures["npv"]),
        }
    )
    return WhichPlanDocument(**{**document, "best": best, "written": str(path)})
