"""The documents of thinners and oils: every key with its unit and meaning."""

from typing import Annotated, TypedDict

from econ.answers.caution_keys import Amount, Amounts, CautionDocument
from econ.answers.keys import Key

Months = dict[str, list[str]]


class BandDocument(TypedDict):
    """A blend's thickness, of which rules in print say different things."""

    low: Annotated[Amount, Key("viscosity", "By the rule that says least")]
    likely: Annotated[Amount, Key("viscosity", "By the model's rule")]
    high: Annotated[Amount, Key("viscosity", "By the rule that says most")]
    worst_measured_miss: Annotated[float, Key("share", "Of the model's rule, on measured blends")]


class SeasonDocument(TypedDict):
    """A mix outside winter, or in it."""

    season: Annotated[str, Key("text", "winter or outside winter")]
    too_thick: Annotated[bool, Key("flag", "Whether no share thins it enough")]
    thinner_share: Annotated[Amount, Key("share", "By volume of the blend")]
    oil_parts_to_one_of_thinner: Annotated[Amount, Key("ratio", "By volume")]
    viscosity_40: Annotated[BandDocument | None, Key("viscosity", "Of the mix at 40 °C")]
    energy_against_diesel: Annotated[Amount, Key("ratio", "Heat of a volume over diesel's")]
    flash: Annotated[Amount, Key("temperature", "Estimated; null where treated as gasoline")]
    flash_text: Annotated[str | None, Key("text", "The same in words")]
    fire_class: Annotated[str | None, Key("text", "How it must be treated")]
    fire_label: Annotated[str | None, Key("text", "The same in words")]
    cold_limit: Annotated[Amount, Key("temperature", "Thick as its limit at")]


class MixDocument(TypedDict):
    """One thinner in one machine."""

    machine: Annotated[str, Key("text", "Which machine")]
    thinner: Annotated[str, Key("text", "Which thinner")]
    cetane_of_thinner: Annotated[str | Amount, Key("text", "As its table has it")]
    seasons: Annotated[list[SeasonDocument], Key("text", "Outside winter, and in it")]
    viscosity_limit: Annotated[Amount, Key("viscosity", "The machine's, at its fuel's warmth")]
    viscosity_limit_is_usual: Annotated[bool, Key("flag", "Not given in the file")]
    entry_fee_per_oil: Annotated[Amount, Key("price_per_volume", "What thinning takes of an oil")]
    oil_earns: Annotated[Amount, Key("price_per_volume", "What a volume of oil keeps here")]
    rule_class: Annotated[str, Key("text", "What used-oil rules make of the mix")]
    rule_label: Annotated[str, Key("text", "The same in short")]
    rule_text: Annotated[str, Key("text", "The same in full")]
    concerns: Annotated[list[str], Key("text", "What speaks against the mix")]
    machine_concern: Annotated[str | None, Key("text", "What speaks against the machine")]


class ResultDocument(TypedDict):
    """What the farm does in a year with one offer."""

    blend: Annotated[Amount, Key("volume", "Oil and thinner burned")]
    oil_used: Annotated[Amount, Key("volume", "Clean oil burned")]
    thinner: Annotated[Amount, Key("volume", "Thinner burned")]
    fuel_replaced: Annotated[Amount, Key("volume", "Pump fuel not bought")]
    fuel_left: Annotated[Amount, Key("volume", "Pump fuel still bought")]
    cost_per_blend: Annotated[Amounts, Key("price_per_volume", "Of blend, step by step")]
    cost_per_replaced: Annotated[Amounts, Key("price_per_volume", "Of fuel replaced, likewise")]
    kept_per_oil: Annotated[Amount, Key("price_per_volume", "What a volume of oil keeps")]
    worth: Annotated[Amounts, Key("money_per_year", "By way of counting one's time")]
    npv: Annotated[Amounts, Key("money", "Worth in today's money, likewise")]
    covered: Annotated[Amount, Key("share", "Of the blend wanted")]
    months_held_back_by: Annotated[Months, Key("text", "Months by what held them back")]


class OfferDocument(TypedDict):
    """One thinner on offer."""

    thinner: Annotated[str, Key("text", "Its name")]
    kind: Annotated[str, Key("text", "What it is")]
    price: Annotated[Amount, Key("price_per_volume", "Average")]
    tied_to: Annotated[str | None, Key("text", "Fuel whose price it follows")]
    listed: Annotated[bool, Key("flag", "Whether the file offers it")]
    present: Annotated[bool, Key("flag", "Whether it is what is done now")]
    is_pump_fuel: Annotated[bool, Key("flag", "Whether it is the fuel replaced")]
    refused: Annotated[str | None, Key("text", "Why it may not be burned")]
    set_aside: Annotated[str | None, Key("text", "Why it is not put forward")]
    notes: Annotated[list[str], Key("text", "What else is to be said")]
    mixes: Annotated[list[MixDocument], Key("text", "One a machine")]
    result: Annotated[ResultDocument | None, Key("text", "Null where refused")]


class RankDocument(TypedDict):
    """One place in the ranking."""

    name: Annotated[str, Key("text", "The offer, what is done now, or no plan")]
    kind: Annotated[str, Key("text", "offer, now, off (left on pump fuel) or none (no plan)")]
    kept: Annotated[Amount, Key("money_per_year", "Worth a year, time paid")]
    set_aside: Annotated[bool, Key("flag", "Whether it is not put forward")]


class LeadDocument(TypedDict):
    """What comes first in a plan that is followed, and how far it leads."""

    first: Annotated[str, Key("text", "A thinner, pump fuel alone, or no plan")]
    first_kind: Annotated[str, Key("text", "As in the ranking")]
    second: Annotated[str, Key("text", "What comes next")]
    ahead: Annotated[Amount, Key("money_per_year", "Of the next, time paid")]
    up_to: Annotated[Amount, Key("price_per_volume", "Price above which it is first no more")]
    down_to: Annotated[Amount, Key("price_per_volume", "Price below which it is first no more")]


class MonthCostDocument(TypedDict):
    """What the best thinner costs in one month."""

    month: Annotated[int, Key("count", "1 to 12")]
    cost: Annotated[Amount, Key("money", "Thinner bought")]
    winter: Annotated[bool, Key("flag", "Whether it is one of the winter months")]


class JobDocument(TypedDict):
    """The thickness that every offer for one machine must reach."""

    set_by: Annotated[str, Key("text", "The limit, or the farm's own thinner and share")]
    viscosity: Annotated[Amount, Key("viscosity", "Outside winter")]
    viscosity_winter: Annotated[Amount, Key("viscosity", "In winter")]
    temperature: Annotated[Amount, Key("temperature", "Of the fuel, outside winter")]
    temperature_winter: Annotated[Amount, Key("temperature", "Of the fuel, in winter")]


class WarmthDocument(TypedDict):
    """Shares of thinner by the fuel's warmth."""

    viscosity_limit: Annotated[Amount, Key("viscosity", "The machine's")]
    viscosity_limit_is_usual: Annotated[bool, Key("flag", "Not given in the file")]
    fuel_temperatures: Annotated[list[Amount], Key("temperature", "Looked at")]
    thinner_shares: Annotated[dict[str, list[Amount]], Key("share", "By thinner")]
    never_warmed: Annotated[list[str], Key("text", "Thinners that are treated as gasoline")]


class TieDocument(TypedDict):
    """The price at which two thinners keep the same."""

    moved: Annotated[str, Key("text", "Whose price moves")]
    against: Annotated[str | None, Key("text", "The other; null for no blend there")]
    price: Annotated[Amount, Key("price_per_volume", "At the tie")]
    now: Annotated[Amount, Key("price_per_volume", "Today")]
    keeps_more_below: Annotated[bool, Key("flag", "Whether the one moved wins below it")]


class ScopeDocument(TypedDict):
    """The comparison for the whole farm, or for one machine."""

    ranking: Annotated[list[RankDocument], Key("text", "The one that keeps most first")]
    finding: Annotated[str, Key("text", "What the ranking comes to")]
    lead: Annotated[LeadDocument | None, Key("text", "Null where none can be put forward")]
    thinner_by_month: Annotated[
        list[MonthCostDocument] | None, Key("text", "Of the best one, for the whole farm")
    ]
    thinner_bill: Annotated[str | None, Key("text", "What it costs a year, in words")]
    machine: Annotated[str | None, Key("text", "Null for the whole farm")]
    machines: Annotated[list[str], Key("text", "Those that are looked at")]
    job: Annotated[JobDocument | None, Key("text", "Null for the whole farm")]
    best: Annotated[str | None, Key("text", "The offer that keeps most")]
    oil_reaches_it: Annotated[bool, Key("flag", "Whether oil is left for this machine")]
    worth_without: Annotated[Amount, Key("money_per_year", "Without blend here, time paid")]
    by_fuel_temperature: Annotated[WarmthDocument | None, Key("text", "For one machine")]
    band_note: Annotated[str, Key("text", "How far blending rules differ")]
    rows: Annotated[list[OfferDocument], Key("text", "Every offer")]
    ties: Annotated[list[TieDocument], Key("text", "Prices at which two keep the same")]
    sentence: Annotated[str | None, Key("text", "Which to buy, in words")]


class LeftOutDocument(TypedDict):
    """A machine that is not compared."""

    machine: Annotated[str, Key("text", "Which")]
    why: Annotated[str, Key("text", "Why")]


class ThinnersDocument(TypedDict):
    """Every thinner of a farm beside each other."""

    title: Annotated[str, Key("text", "The farm's title")]
    units: Annotated[str, Key("text", "us or metric")]
    currency: Annotated[str, Key("text", "ISO 4217 code")]
    years: Annotated[int, Key("years", "That the ledgers look at")]
    worth_now: Annotated[Amount, Key("money_per_year", "As it is done now, time paid")]
    burn_order: Annotated[list[str], Key("text", "Machines as they are served")]
    tie_prices_looked_at: Annotated[str, Key("text", "How far prices were moved")]
    scopes: Annotated[list[ScopeDocument], Key("text", "The whole farm, then each machine")]
    left_out: Annotated[list[LeftOutDocument], Key("text", "Machines not compared")]
    heat: Annotated[Amounts, Key("heating_value", "Published beside the farm's own oil's")]
    cautions: Annotated[list[CautionDocument], Key("text", "For those who thin")]
    words: Annotated[dict[str, str], Key("text", "Lines on hazards beside the tables")]


class KeptDocument(TypedDict):
    """Money kept, by way of counting one's time."""

    time_paid: Annotated[Amount, Key("money", "Paying one's own hours")]
    time_free: Annotated[Amount, Key("money", "One's own hours free")]


ShareEffect = TypedDict(
    "ShareEffect",
    {
        "machine": Annotated[str, Key("text", "Which machine")],
        "with": Annotated[Amount, Key("share", "Thinner with this oil in the pool")],
        "without": Annotated[Amount, Key("share", "Thinner without it")],
    },
)


class SourceDocument(TypedDict):
    """One source of oil weighed."""

    name: Annotated[str, Key("text", "As in the file")]
    kind: Annotated[str, Key("text", "What it is")]
    own: Annotated[bool, Key("flag", "Whether it is the farm's own")]
    round_trip: Annotated[Amount, Key("distance", "To fetch a load")]
    taken: Annotated[Amount, Key("volume", "In a typical year")]
    trips: Annotated[Amount, Key("count", "In a typical year")]
    hours: Annotated[Amount, Key("hours", "Driving and loading")]
    kept: Annotated[KeptDocument, Key("text", "A year, against going without it")]
    kept_per_volume: Annotated[Amount, Key("price_per_volume", "Time paid")]
    kept_per_trip: Annotated[Amount, Key("money", "Time paid")]
    kept_per_hour: Annotated[Amount, Key("money_per_hour", "Of driving and loading, time free")]
    drum_at_gate: Annotated[KeptDocument, Key("text", "One drum more a year, brought")]
    drum_fetched: Annotated[KeptDocument, Key("text", "One drum more a year, fetched")]
    farthest_round_trip: Annotated[Amount, Key("distance", "That still pays, time paid")]
    pays_at_any_distance: Annotated[bool, Key("flag", "No distance eats it up")]
    viscosity_40: Annotated[Amount, Key("viscosity", "Of the oil at 40 °C")]
    pool_viscosity_40_without: Annotated[Amount, Key("viscosity", "Of all other oil")]
    thinner_shares: Annotated[list[ShareEffect], Key("text", "By machine")]


class OilsDocument(TypedDict):
    """Every source of oil weighed."""

    title: Annotated[str, Key("text", "The farm's title")]
    units: Annotated[str, Key("text", "us or metric")]
    currency: Annotated[str, Key("text", "ISO 4217 code")]
    drum: Annotated[Amount, Key("volume", "One drum")]
    wage: Annotated[Amount, Key("money_per_hour", "Of one's own hours")]
    hired_share: Annotated[Amount, Key("share", "Of hours that others are paid for")]
    worth: Annotated[Amount, Key("money_per_year", "Of the plan, time paid")]
    pool_viscosity_40: Annotated[Amount, Key("viscosity", "Of all oil mixed, at 40 °C")]
    months_held_back_by: Annotated[Months, Key("text", "Months by what held them back")]
    sources: Annotated[list[SourceDocument], Key("text", "In the order of the file")]
    verdict: Annotated[list[str], Key("text", "Which to fetch and which to leave, in words")]
    cautions: Annotated[list[CautionDocument], Key("text", "For those who fetch oil")]
