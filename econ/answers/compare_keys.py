"""The typed document of plans side by side: each key with its unit and meaning."""

from typing import Annotated, TypedDict

from econ.answers.keys import Key


class PlanName(TypedDict):
    """One of the plans."""

    name: Annotated[str, Key("text", "Its file, without its ending")]
    title: Annotated[str, Key("text", "The farm's")]
    ahead: Annotated[dict[str, float], Key("share", "Draws in which it beats nothing, by ledger")]


class Changed(TypedDict):
    """One input that differs from the plan the others are set against."""

    table: Annotated[str, Key("text", "Table of the file")]
    entry: Annotated[str, Key("text", "Name of the entry, where the table is a list")]
    field: Annotated[str, Key("text", "Field; empty for a whole entry")]
    label: Annotated[str, Key("text", "What people call it")]
    place: Annotated[str, Key("text", "Table, entry and label in one line")]
    unit: Annotated[str, Key("text", "Of both values")]
    before: Annotated[str, Key("text", "In the plan the others are set against")]
    after: Annotated[str, Key("text", "In this plan")]


class Figure(TypedDict):
    """One figure of every plan."""

    key: Annotated[str, Key("text", "Its name")]
    label: Annotated[str, Key("text", "What people call it")]
    dimension: Annotated[str, Key("text", "What it measures")]
    values: Annotated[list[float | None], Key("count", "By plan, in the first file's units")]
    main: Annotated[bool, Key("flag", "Whether it is one of those that decide")]


class BudgetRow(TypedDict):
    """One line of the budget as people read it."""

    label: Annotated[str, Key("text", "What it is")]
    amount: Annotated[float, Key("money_per_year", "What it adds to a year, or takes from it")]


class BudgetDocument(TypedDict):
    """What changing over does to a typical year."""

    added_returns: Annotated[float, Key("money_per_year", "More fuel not bought")]
    reduced_costs: Annotated[dict[str, float], Key("money_per_year", "By cost line")]
    added_costs: Annotated[dict[str, float], Key("money_per_year", "By cost line")]
    reduced_returns: Annotated[float, Key("money_per_year", "Less fuel not bought")]
    net: Annotated[float, Key("money_per_year", "What is left after one's own time, more or less")]
    rows: Annotated[list[BudgetRow], Key("text", "All that moves, the net last")]


class IncrementRow(TypedDict):
    """One measure of the increment as people read it."""

    label: Annotated[str, Key("text", "What it is")]
    dimension: Annotated[str, Key("text", "What it measures")]
    time_paid: Annotated[float | None, Key("money", "One's own hours paid")]
    time_free: Annotated[float | None, Key("money", "One's own hours free")]


class IncrementDocument(TypedDict):
    """The bigger kit less the smaller."""

    bigger: Annotated[str, Key("text", "The plan with the bigger kit")]
    smaller: Annotated[str, Key("text", "The plan with the smaller")]
    kit_cost: Annotated[float, Key("money", "How much more kit")]
    measures: Annotated[
        dict[str, dict[str, float | None]], Key("money", "Of the increment, by ledger")
    ]
    flows: Annotated[
        dict[str, list[float]], Key("money", "Of the increment, years 0..N, by ledger")
    ]
    rows: Annotated[
        list[IncrementRow], Key("text", "The measures people ask for; none where no kit is more")
    ]


class AgainstDocument(TypedDict):
    """How a plan does on the same draws as the one it is set against."""

    beats: Annotated[float, Key("share", "Draws in which it is worth more")]
    ties: Annotated[float, Key("share", "Draws in which both are worth the same")]
    loses: Annotated[float, Key("share", "Draws in which it is worth less")]
    mean: Annotated[float, Key("money_per_year", "Difference of the worth a year, mean of draws")]
    p5: Annotated[float, Key("money_per_year", "1 draw in 20 is below")]
    p95: Annotated[float, Key("money_per_year", "1 draw in 20 is above")]


class BesideDocument(TypedDict):
    """One plan beside the one it is set against."""

    name: Annotated[str, Key("text", "The plan")]
    changed: Annotated[list[Changed], Key("text", "Inputs that differ, prices first")]
    prices_differ: Annotated[bool, Key("flag", "Whether prices do, which no plan can choose")]
    budget: Annotated[BudgetDocument, Key("text", "Of a typical year")]
    increment: Annotated[IncrementDocument, Key("text", "Bigger kit less smaller")]
    chances: Annotated[dict[str, AgainstDocument], Key("text", "On the same draws, by ledger")]
    says: Annotated[list[str], Key("text", "The same in words, a warning first if there is one")]


class GraveLine(TypedDict):
    """One grave caution in a line."""

    short: Annotated[str, Key("text", "In one line")]
    of: Annotated[str, Key("text", "Whose it is; empty where every plan has it")]


class ComparedCaution(TypedDict):
    """One caution of any of the plans, in full."""

    key: Annotated[str, Key("text", "Which caution")]
    short: Annotated[str, Key("text", "In one line")]
    text: Annotated[str, Key("text", "In full, in the plan's own numbers")]
    basis: Annotated[str, Key("text", "What it rests on")]
    of: Annotated[str, Key("text", "Whose it is; empty where every plan has it alike")]


class CompareDocument(TypedDict):
    """Plans side by side."""

    units: Annotated[str, Key("choice", "The first file's: us or metric")]
    currency: Annotated[str, Key("text", "ISO 4217")]
    years: Annotated[int, Key("years", "Of the study period")]
    draws: Annotated[int, Key("count", "Shared by all plans")]
    plans: Annotated[list[PlanName], Key("text", "In the order given")]
    against: Annotated[str, Key("text", "The plan the others are set against")]
    beside: Annotated[list[BesideDocument], Key("text", "Every other plan")]
    figures: Annotated[list[Figure], Key("text", "Side by side")]
    grave: Annotated[list[GraveLine], Key("text", "Grave cautions of any plan, each once")]
    cautions: Annotated[list[ComparedCaution], Key("text", "Of any plan, the gravest first")]
    note: Annotated[str, Key("text", "What the figures and chances rest on")]
