"""The document of a decision: every key with its unit and meaning.

Where keys are those of a registry (costs, savings, rungs, measures, flow lines), the row there
says what each means; `econ.answers.result_keys` lists them all.
"""

from typing import Annotated, TypedDict

from econ.answers.caution_keys import Amount, Amounts, CautionDocument
from econ.answers.chance_keys import ChancesDocument
from econ.answers.first_screen import FirstScreen
from econ.answers.keys import Key
from econ.answers.paper import Paper
from econ.answers.reserve_document import ReserveDocument
from econ.answers.smaller import Smaller


class YearDocument(TypedDict):
    """One year at today's prices."""

    fuel: Annotated[Amounts, Key("text", "Volumes, hours and trips")]
    costs: Annotated[Amounts, Key("money_per_year", "By cost line")]
    savings: Annotated[dict[str, float | None], Key("money_per_year", "By step")]


class MonthDocument(TypedDict):
    """One month of the typical year."""

    month: Annotated[int, Key("count", "1 to 12")]
    wanted: Annotated[Amount, Key("volume", "Clean oil that the machines could take")]
    collected: Annotated[Amount, Key("volume", "Used oil taken in")]
    processed: Annotated[Amount, Key("volume", "Used oil cleaned")]
    raw_end: Annotated[Amount, Key("volume", "Used oil in store at the end")]
    clean_end: Annotated[Amount, Key("volume", "Clean oil in store at the end")]
    oil_used: Annotated[Amount, Key("volume", "Clean oil burned")]
    thinner: Annotated[Amount, Key("volume", "Thinner burned")]
    blend: Annotated[Amount, Key("volume", "Oil and thinner burned")]
    fuel_replaced: Annotated[Amount, Key("volume", "Pump fuel not bought")]
    hours: Annotated[Amount, Key("hours", "Hauling and batches")]
    bottleneck: Annotated[str, Key("text", "What held the month back")]


class LedgerDocument(TypedDict):
    """What the plan is worth by one way of counting one's time; its measures stand beside."""

    break_even_by_fuel: Annotated[Amounts, Key("price_per_volume", "Do not start below, by fuel")]
    lost_if_stopped: Annotated[list[Amount], Key("money", "By stopping after years 1, 2 and 3")]
    stop_below: Annotated[
        list[Amount], Key("price_per_volume", "After years 1 to N - 1, carry on down to")
    ]
    flows: Annotated[list[Amount], Key("money", "All money in and out, years 0 to N")]
    lines: Annotated[
        dict[str, list[Amount]], Key("money", "The same by flow line, before tax where taxed")
    ]


class LoanDocument(TypedDict):
    """A loan beside the ledgers, in neither."""

    payment: Annotated[Amount, Key("money", "One payment")]
    payment_per_year: Annotated[Amount, Key("money_per_year", "All payments of a year")]
    interest: Annotated[list[Amount], Key("money", "Interest in the payments, years 1 to N")]
    left_after_payment: Annotated[
        dict[str, list[Amount]], Key("money", "By ledger, years 1 to N, interest's tax counted")
    ]
    cover: Annotated[Amount, Key("ratio", "Year 2's saving, time free, over a year's payments")]
    npv_change: Annotated[Amount, Key("money", "What borrowing is worth in today's money")]


class MachineDocument(TypedDict):
    """One machine in a typical year."""

    name: Annotated[str, Key("text", "As in the file")]
    fit: Annotated[str, Key("text", "suited, caution or excluded")]
    reasons: Annotated[list[str], Key("text", "Why it is held back")]
    thinner_share: Annotated[Amount, Key("share", "By volume of its blend, outside winter")]
    thinner_share_winter: Annotated[Amount, Key("share", "The same in the winter months")]
    oil_used: Annotated[Amount, Key("volume", "Clean oil burned")]
    blend: Annotated[Amount, Key("volume", "Oil and thinner burned")]
    fuel_replaced: Annotated[Amount, Key("volume", "Pump fuel not bought")]
    saving: Annotated[Amount, Key("money_per_year", "Fuel not bought less all it bears")]


class LikelyDocument(YearDocument):
    """The typical year and the ledgers at likely values instead of average ones."""

    ledgers: Annotated[dict[str, LedgerDocument], Key("text", "By way of counting one's time")]


class AdviceDocument(TypedDict):
    """The advice."""

    key: Annotated[str, Key("text", "Start, try small first, only if time is free, do not start")]
    reasons: Annotated[list[str], Key("text", "Why")]


class AverageDocument(YearDocument):
    """One farm worked through, on average; `fuel`, `costs` and `savings` of a typical year."""

    title: Annotated[str, Key("text", "The farm's title")]
    units: Annotated[str, Key("text", "us or metric")]
    currency: Annotated[str, Key("text", "ISO 4217 code")]
    rungs: Annotated[dict[str, Amounts], Key("price_per_volume", "Each holds all below it")]
    first_year: Annotated[YearDocument, Key("text", "The same of the first year")]
    months: Annotated[list[MonthDocument], Key("text", "Twelve of the typical year")]
    kit_cost: Annotated[Amount, Key("money", "All kit, contingency on what is to be bought")]
    kit_to_buy: Annotated[Amount, Key("money", "Kit not owned yet, contingency included")]
    ledgers: Annotated[dict[str, LedgerDocument], Key("text", "By way of counting one's time")]
    loan: Annotated[LoanDocument | None, Key("text", "Null without a loan")]
    machines: Annotated[list[MachineDocument], Key("text", "In the order of the file")]
    reserve: Annotated[ReserveDocument | None, Key("text", "Null where no machine is essential")]
    likely: Annotated[LikelyDocument, Key("text", "At likely values")]
    advice: Annotated[AdviceDocument, Key("text", "What the figures advise")]
    cautions: Annotated[list[CautionDocument], Key("text", "The gravest first")]


class DecisionDocument(AverageDocument):
    """The same with what draws say of it, and what surfaces show first."""

    chances: Annotated[ChancesDocument, Key("text", "What the draws say")]
    first_screen: Annotated[FirstScreen, Key("text", "What the first screen shows")]
    paper: Annotated[Paper, Key("text", "What only the printed page adds")]
    smaller: Annotated[Smaller | None, Key("text", "A smaller plan that keeps more, if any")]
