"""The documents of chances: every key with its unit and meaning."""

from typing import Annotated, TypedDict

from econ.answers.keys import Key

Levels = list[float | None]


class SpreadDocument(TypedDict):
    """One figure over all draws, in the figure's own unit."""

    levels: Annotated[Levels, Key("text", "1 in 20 lower, middle, 1 in 20 higher")]
    errors: Annotated[Levels, Key("text", "One standard error of each level")]
    defined: Annotated[float, Key("share", "Share of draws in which the figure exists")]


class StoppingDocument(TypedDict):
    """A ledger's worth where the plan may stop at the end of any year."""

    mean: Annotated[float, Key("money", "Mean worth in today's money")]
    levels: Annotated[Levels, Key("money", "5, 50 and 95 % of the worth")]
    ahead: Annotated[float, Key("share", "Chance that the worth is above zero")]
    stopped: Annotated[list[float], Key("share", "Stopped by the end of years 1 to N - 1")]


class LargeBill(TypedDict):
    """How often a repair bill above a tenth of the kit's cost comes."""

    above: Annotated[float, Key("money", "A tenth of all kit at its first purchase")]
    years_between: Annotated[
        float | None, Key("years", "Mean years between two, all parts together; null for never")
    ]


class PastYear(TypedDict):
    """One year of the price record."""

    year: Annotated[int, Key("count", "Calendar year")]
    price: Annotated[float, Key("price_per_volume", "US dollars of the record's last year")]


class Stretch(TypedDict):
    """The plan begun in one year of the record."""

    begun: Annotated[int, Key("count", "The year whose price stands for today's")]
    npv: Annotated[dict[str, float], Key("money", "Worth by ledger at expected values")]


class HistoryDocument(TypedDict):
    """The plan lived through past stretches of fuel prices."""

    years: Annotated[int, Key("years", "Length of a stretch: the plan's years")]
    stretches: Annotated[list[Stretch], Key("text", "By the year in which each began")]
    ahead: Annotated[dict[str, int], Key("count", "Stretches that come out ahead, by ledger")]
    worst: Annotated[dict[str, int], Key("count", "Year the worst one began, by ledger")]
    best: Annotated[dict[str, int], Key("count", "Year the best one began, by ledger")]
    prices: Annotated[list[PastYear], Key("text", "The record, in money of its last year")]
    stand_in: Annotated[bool, Key("flag", "Whether the farm lies elsewhere than the record")]
    sources: Annotated[list[str], Key("text", "Where the record comes from")]


class ChanceWords(TypedDict):
    """What the draws say, in sentences."""

    ahead: Annotated[str, Key("text", "Of a hundred ways it may go")]
    worth: Annotated[list[str], Key("text", "How far each ledger's worth spreads")]
    prices: Annotated[str, Key("text", "How fuel prices move in the draws")]
    stopping: Annotated[list[str], Key("text", "What freedom to stop is worth")]
    history: Annotated[list[str], Key("text", "How past stretches would have gone")]
    bad_year: Annotated[list[str], Key("text", "A bad year, and how often a large bill comes")]


class ChancesDocument(TypedDict):
    """What the draws of one farm say."""

    draws: Annotated[int, Key("count", "How many")]
    seed: Annotated[int, Key("count", "The same seed gives the same draws")]
    mean: Annotated[dict[str, float], Key("money", "Mean worth by ledger")]
    ahead: Annotated[dict[str, float], Key("share", "Chance of a worth above zero, by ledger")]
    ahead_error: Annotated[dict[str, float], Key("share", "One standard error of it")]
    payback_within: Annotated[
        dict[str, dict[str, float]], Key("share", "Chance of payback within years, by ledger")
    ]
    levels: Annotated[list[float], Key("share", "Which levels the spreads show")]
    spreads: Annotated[dict[str, SpreadDocument], Key("text", "By figure")]
    running_balance: Annotated[
        dict[str, list[Levels]], Key("money", "Levels of the sum of flows by ledger and year")
    ]
    with_stopping: Annotated[dict[str, StoppingDocument], Key("text", "By ledger")]
    bad_year: Annotated[float, Key("money", "1 year in 20 leaves less, rounded to its error")]
    bad_year_error: Annotated[float, Key("money", "One standard error of it")]
    large_bill: Annotated[LargeBill, Key("text", "All parts together")]
    history: Annotated[
        HistoryDocument | None, Key("text", "Null where the record is shorter than the plan")
    ]
    words: Annotated[ChanceWords, Key("text", "The same in sentences")]


class SwingDocument(TypedDict):
    """One guess turned to its low and its high, all others on average."""

    name: Annotated[str, Key("text", "The entry and the field")]
    low: Annotated[float, Key("text", "Lowest guess, in the field's unit")]
    high: Annotated[float, Key("text", "Highest guess, in the field's unit")]
    dimension: Annotated[str, Key("text", "What the field measures")]
    equivalent_annual: Annotated[
        dict[str, list[float | None]], Key("money_per_year", "Worth a year at low and at high")
    ]
    npv: Annotated[dict[str, list[float | None]], Key("money", "Worth at low and at high")]


class IndexDocument(TypedDict):
    """How much of the spread one guess, or one group, explains."""

    name: Annotated[str, Key("text", "The guess, or the group")]
    index: Annotated[float | None, Key("share", "First-order index of the worth")]


class LearningDocument(TypedDict):
    """What knowing one guess before deciding is worth."""

    name: Annotated[str, Key("text", "The entry and the field")]
    value: Annotated[float | None, Key("money", "Expected gain in today's money")]
    error: Annotated[float | None, Key("money", "One standard error")]
    tells: Annotated[str, Key("text", "What would tell it before a start")]
    matters: Annotated[bool, Key("flag", "Whether it stands clear of its error")]


class TipDocument(TypedDict):
    """Where one lever alone brings one ledger's worth to zero."""

    lever: Annotated[str, Key("text", "Which lever")]
    ledger: Annotated[str, Key("text", "Which ledger")]
    now: Annotated[float | None, Key("text", "What the farm has, in the lever's unit")]
    value: Annotated[float | None, Key("text", "At the tip; null where there is none")]
    factor: Annotated[float | None, Key("ratio", "On what the farm has")]
    rises: Annotated[bool, Key("flag", "Whether the plan gains as the lever rises there")]


class LineDocument(TypedDict):
    """Where two levers together bring one ledger's worth to zero."""

    first: Annotated[str, Key("text", "One lever")]
    second: Annotated[str, Key("text", "The other")]
    ledger: Annotated[str, Key("text", "Which ledger")]
    points: Annotated[list[list[float | None]], Key("text", "Pairs in the levers' units")]


class RepairDocument(TypedDict):
    """The dearest repair that the blend may bring on."""

    machine: Annotated[str, Key("text", "Which machine")]
    part: Annotated[str, Key("text", "Which part")]
    cost: Annotated[float | None, Key("money", "Of one repair")]
    sentence: Annotated[str, Key("text", "The same in words")]
    years_between: Annotated[float | None, Key("years", "Mean years between two")]


class PastFuel(TypedDict):
    """What the fuel replaced would have cost in one year of the record."""

    year: Annotated[int, Key("count", "Calendar year")]
    price: Annotated[float, Key("price_per_volume", "Today's price moved as the record did")]


class PastPrices(TypedDict):
    """The buyer's fuel at past prices in today's money, and the prices that decide."""

    today: Annotated[float, Key("price_per_volume", "Mean price of the fuel replaced")]
    start: Annotated[float | None, Key("price_per_volume", "Break-even, time free")]
    carry_on: Annotated[
        float | None, Key("price_per_volume", "Stop below it after the first year, time free")
    ]
    years: Annotated[list[PastFuel], Key("text", "By year of the record")]
    sentence: Annotated[str, Key("text", "How many years stood above either price")]


class OutlookDocument(ChancesDocument):
    """Chances, what matters, where it tips, what to find out first."""

    title: Annotated[str, Key("text", "The farm's title")]
    units: Annotated[str, Key("text", "us or metric")]
    currency: Annotated[str, Key("text", "ISO 4217 code")]
    stop_line: Annotated[str, Key("text", "When to start, and down to what to carry on")]
    past_prices: Annotated[
        PastPrices | None, Key("text", "Own fuel at past prices; null where none is replaced")
    ]
    swings: Annotated[list[SwingDocument], Key("text", "Widest worth a year, time paid, first")]
    first_order: Annotated[dict[str, list[IndexDocument]], Key("text", "By ledger, largest first")]
    worth_of_learning: Annotated[
        dict[str, list[LearningDocument]],
        Key("text", "What can be found out, by ledger, largest first"),
    ]
    worth_of_learning_all: Annotated[
        dict[str, float | None], Key("money", "Of knowing every guess, also what nobody can")
    ]
    learning_words: Annotated[list[str], Key("text", "What to find out first, in sentences")]
    tipping_points: Annotated[list[TipDocument], Key("text", "One a lever and ledger")]
    zero_lines: Annotated[list[LineDocument], Key("text", "Two levers at once")]
    best_thinner: Annotated[
        dict[str, float], Key("share", "Of draws in which each, or no plan, keeps most")
    ]
    largest_repair: Annotated[RepairDocument | None, Key("text", "Null without any wear")]
