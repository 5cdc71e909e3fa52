"""The JSON documents of the thinner and oil comparisons, numbers in the file's units.

>>> from econ import load
>>> from econ.farm.demos import demo_files
>>> farm = load(demo_files()["wrenfold"])
>>> len(oils_document(farm)["sources"]) == len(farm.oils)
True
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from econ.advice.cautions import Farm, cautions
from econ.advice.cautions import words as hazard_words
from econ.advice.cautions.farm import Place
from econ.answers.buying import buying_sentence, lead_of
from econ.answers.buying_keys import (
    BandDocument,
    JobDocument,
    KeptDocument,
    MixDocument,
    Months,
    OfferDocument,
    OilsDocument,
    ResultDocument,
    ScopeDocument,
    SeasonDocument,
    SourceDocument,
    ThinnersDocument,
    TieDocument,
    WarmthDocument,
)
from econ.answers.caution_keys import Amounts, CautionDocument
from econ.answers.document import caution_row, number
from econ.answers.oils_verdict import oils_verdict
from econ.answers.thinner_ranking import finding, ranking_of, thinner_bill, thinner_by_month
from econ.farm.faults import near
from econ.farm.prepare import prepare, prepare_whole
from econ.farm.schema import Scenario
from econ.fuel.hazard import fire_class, flash_text
from econ.fuel.substances import DIESEL_HEATING_VALUE, THINNERS, as_gasoline
from econ.fuel.viscosity_band import BAND_NOTE, WORST_MEASURED_MISS, Band
from econ.ground.errors import Problem, ScenarioError
from econ.ground.labels import MONTHS
from econ.ground.units import Floats, from_canonical, to_canonical
from econ.ground.wording import Wording
from econ.model.blends import oil_pool
from econ.model.equal_job import job_of
from econ.model.inputs import Inputs
from econ.model.months import BOTTLENECKS
from econ.model.oil_money import entry_fee, kept_per_oil, oil_terms
from econ.model.outcome import Outcome
from econ.questions.mixes import Mix, Season, limit_of, shares_by_warmth
from econ.questions.oils import Difference, SourceWorth, oil_worth
from econ.questions.source_edits import DRUM
from econ.questions.thinners import Comparison, Result, Row, Scope, compare
from econ.questions.tie_prices import REACH, Tie, tie_prices_of

Json = Mapping[str, Any]

# Gross heat of used oil and of distillate No. 2, cfr_98_c1; net heat of diesel, afdc. [Btu/gal]
_PUBLISHED_HEAT = {"used_oil_gross": 138_000, "diesel_gross": 138_000, "diesel_net": 128_488}
# Fuel temperatures at which shares are shown, from a cold tank to a warmed one. [°C]
_WARMTH = (-10.0, 0.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0)


class _Writer:
    """Writes canonical numbers in a file's units."""

    def __init__(self, scenario: Scenario) -> None:
        self.units = scenario.scenario.units
        self.wording = Wording(self.units, scenario.scenario.currency)

    def of(self, dimension: str, value: Floats | float) -> float | None:
        return number(from_canonical(value, dimension, self.units))

    def volume(self, litres: Floats | float) -> float | None:
        return self.of("volume", litres)

    def price(self, per_litre: Floats | float) -> float | None:
        return self.of("price_per_volume", per_litre)


def machine_named(inputs: Inputs, name: str, file: str) -> int:
    """Find a machine by its name.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    name : str
        As the file has it.
    file : str
        Named in the fault.

    Returns
    -------
    int

    Raises
    ------
    ScenarioError
        If there is none of that name, with the names there are.
    """
    names = [machine.name for machine in inputs.machines]
    if name in names:
        return names.index(name)
    listed = ", ".join(f'"{known}"' for known in names)
    message = f"no machine of that name{near(name, names)}; there are {listed}"
    raise ScenarioError((Problem(file, "--machine", f'"{name}"', message),))


def _band(band: Band) -> BandDocument:
    return {
        "low": number(band.low),
        "likely": number(band.likely),
        "high": number(band.high),
        "worst_measured_miss": WORST_MEASURED_MISS,
    }


def _parts(share: float) -> float | None:
    """Return the volumes of oil to one of thinner; none where there is no thinner."""
    return None if not share > 0.0 else (1.0 - share) / share


def _season(season: Season, write: _Writer) -> SeasonDocument:
    share, flash = float(season.share), float(season.flash)
    fire = fire_class(flash)
    return {
        "season": "winter" if season.winter else "outside winter",
        "too_thick": season.too_thick,
        "thinner_share": number(share),
        "oil_parts_to_one_of_thinner": _parts(share),
        "viscosity_40": _band(season.band),
        "energy_against_diesel": number(season.energy),
        "flash": write.of("temperature", season.flash),
        "flash_text": None if season.too_thick else flash_text(flash, write.wording),
        "fire_class": None if season.too_thick else fire.key,
        "fire_label": None if season.too_thick else fire.label,
        "cold_limit": write.of("temperature", season.cold_limit),
    }


def _mix(mix: Mix, inputs: Inputs, write: _Writer) -> MixDocument:
    machine, thinner = inputs.machines[mix.machine], inputs.thinners[mix.thinner]
    terms = oil_terms(inputs, mix.machine, mix.thinner)
    shares = [float(season.share) for season in mix.seasons if not season.too_thick]
    fee = kept = None
    if shares:
        fee = write.price(entry_fee(terms, shares[0]))
        kept = write.price(kept_per_oil(terms, shares[0]))
    return {
        "machine": machine.name,
        "thinner": thinner.name,
        "cetane_of_thinner": THINNERS[thinner.kind].cetane,
        "seasons": [_season(season, write) for season in mix.seasons],
        "viscosity_limit": number(mix.limit),
        "viscosity_limit_is_usual": mix.usual_limit,
        "entry_fee_per_oil": fee,
        "oil_earns": kept,
        "rule_class": mix.rules.key,
        "rule_label": mix.rules.label,
        "rule_text": mix.rules.text,
        "concerns": list(mix.concerns),
        "machine_concern": mix.machine_concern,
    }


def _held_back(codes: Sequence[int]) -> Months:
    """Return what holds the farm back, with the months it does."""
    gathered: dict[str, list[str]] = {}
    for month, code in zip(MONTHS, codes, strict=True):
        gathered.setdefault(BOTTLENECKS[code], []).append(month)
    return gathered


def _result(result: Result, write: _Writer) -> ResultDocument:
    return {
        "blend": write.volume(result.blend),
        "oil_used": write.volume(result.oil_used),
        "thinner": write.volume(result.thinner),
        "fuel_replaced": write.volume(result.fuel_replaced),
        "fuel_left": write.volume(result.fuel_left),
        "cost_per_blend": {k: write.price(v) for k, v in result.cost_per_blend.items()},
        "cost_per_replaced": {k: write.price(v) for k, v in result.cost_per_replaced.items()},
        "kept_per_oil": write.price(result.kept_per_oil),
        "worth": {key: number(worth) for key, worth in result.worths.items()},
        "npv": {key: number(worth) for key, worth in result.npv.items()},
        "covered": number(result.covered),
        "months_held_back_by": _held_back(result.held_back),
    }


def _row(row: Row, write: _Writer) -> OfferDocument:
    entries = {row.inputs.thinners[j].name: row.inputs.thinners[j] for j in row.offer.used}
    entry = entries.popitem()[1] if len(entries) == 1 else None
    return {
        "thinner": row.offer.name,
        "kind": row.offer.kind,
        "price": None if entry is None else write.price(entry.price),
        "tied_to": None if entry is None else entry.tied_to,
        "listed": row.offer.listed is not None,
        "present": row.present,
        "is_pump_fuel": row.offer.pump,
        "refused": row.refused,
        "set_aside": row.set_aside,
        "notes": list(row.notes),
        "mixes": [_mix(mix, row.inputs, write) for mix in row.mixes],
        "result": None if row.result is None else _result(row.result, write),
    }


def _tie(tie: Tie, write: _Writer) -> TieDocument:
    return {
        "moved": tie.moved,
        "against": tie.against,
        "price": write.price(tie.price),
        "now": write.price(tie.now),
        "keeps_more_below": tie.keeps_more_below,
    }


def _job(scope: Scope, inputs: Inputs, write: _Writer) -> JobDocument | None:
    """Return the thickness that every offer for one machine must reach."""
    job = None if scope.machine is None else job_of(inputs, scope.machine)
    if job is None:
        return None
    return {
        "set_by": "viscosity_limit" if job.by_limit else "own thinner and share",
        "viscosity": number(job.viscosity[0]),
        "viscosity_winter": number(job.viscosity[1]),
        "temperature": write.of("temperature", job.temperature[0]),
        "temperature_winter": write.of("temperature", job.temperature[1]),
    }


def _warmth(scope: Scope, gathered: Comparison, write: _Writer) -> WarmthDocument | None:
    """Return each thinner's share by the fuel's temperature, for the machine's limit."""
    if scope.machine is None:
        return None
    limit, usual = limit_of(gathered.inputs, scope.machine)
    shares = {}
    for row in scope.rows:
        thinner = row.offer.thinner_of[scope.machine]
        shares[row.offer.name] = shares_by_warmth(
            gathered.inputs, scope.machine, thinner, np.asarray(_WARMTH)
        )
    return {
        "viscosity_limit": number(limit),
        "viscosity_limit_is_usual": usual,
        "fuel_temperatures": [write.of("temperature", value) for value in _WARMTH],
        "thinner_shares": shares,
        "never_warmed": [row.offer.name for row in scope.rows if as_gasoline(row.offer.kind)],
    }


def _scope(
    scope: Scope, ties: Sequence[Tie], gathered: Comparison, write: _Writer
) -> ScopeDocument:
    names = [gathered.inputs.machines[k].name for k in scope.machines]
    ranking = ranking_of(scope, gathered)
    machine = None if scope.machine is None else names[0]
    made: ScopeDocument = {
        "ranking": ranking,
        "finding": finding(ranking, write.wording.numbers, machine, reached=scope.reached),
        "thinner_by_month": thinner_by_month(scope, gathered),
        "machine": machine,
        "machines": names,
        "job": _job(scope, gathered.inputs, write),
        "best": None if scope.best is None else scope.best.offer.name,
        "oil_reaches_it": scope.reached,
        "worth_without": number(scope.worth_without),
        "by_fuel_temperature": _warmth(scope, gathered, write),
        "band_note": BAND_NOTE,
        "rows": [_row(row, write) for row in scope.rows],
        "ties": [_tie(tie, write) for tie in ties],
        "thinner_bill": None,
        "lead": None,
        "sentence": None,
    }
    made["thinner_bill"] = thinner_bill(made, write.wording.numbers)
    made["lead"] = lead_of(made)
    made["sentence"] = buying_sentence(made, write.wording.numbers)
    return made


def _heat(inputs: Inputs, write: _Writer) -> Amounts:
    """Return what is published on heat beside the farm's own oil; Btu/gal or MJ/L."""
    published = {
        key: write.of("heating_value", to_canonical(value, "heating_value", "us"))
        for key, value in _PUBLISHED_HEAT.items()
    }
    own = oil_pool(inputs).heating_value
    return {
        **published,
        "own_oil_net": write.of("heating_value", own),
        "own_oil_against_diesel": number(own / DIESEL_HEATING_VALUE),
    }


def _cautions(
    scenario: Scenario, inputs: Inputs, outcome: Outcome, place: Place
) -> list[CautionDocument]:
    """Return the cautions that stand where this decision is made, for the farm as it is."""
    header = scenario.scenario
    shown = cautions(Farm(header.units, header.currency, inputs, outcome))
    return [caution_row(gathered) for gathered in shown if place in gathered.where]


def thinners_document(scenario: Scenario, machine: str | None = None) -> ThinnersDocument:
    """Compare every thinner of a farm and give the JSON document.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    machine : str, optional
        Name of the one machine to look at.

    Returns
    -------
    ThinnersDocument
        Plain numbers, text, lists and None, in the file's units; figures at expected values.

    Raises
    ------
    ScenarioError
        If the scenario is refused or has no machine of that name.
    """
    inputs = prepare_whole(scenario)
    only = None if machine is None else machine_named(inputs, machine, str(scenario.path))
    return compared_document(scenario, inputs, compare(inputs, only=only), only)


def compared_document(
    scenario: Scenario, inputs: Inputs, gathered: Comparison, only: int | None = None
) -> ThinnersDocument:
    """Write a comparison that was made, of the farm as it is or with levers turned.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    inputs : Inputs
        What was compared.
    result : Comparison
        Of these inputs.
    only : int, optional
        Index of the one machine looked at.

    Returns
    -------
    ThinnersDocument
        As `thinners_document`.
    """
    write, header = _Writer(scenario), scenario.scenario
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        "years": scenario.finance.years,
        "worth_now": number(gathered.present.per_year("time_paid")),
        "burn_order": [inputs.machines[k].name for k in inputs.burn_order or ()],
        "tie_prices_looked_at": f"from nothing to {REACH:.0f} times the dearest price",
        "scopes": [
            _scope(scope, ties, gathered, write)
            for scope, ties in zip(gathered.scopes, tie_prices_of(gathered.scopes), strict=True)
        ],
        "left_out": [
            {"machine": inputs.machines[k].name, "why": why}
            for k, why in gathered.left_out
            if only in (None, k)
        ],
        "heat": _heat(inputs, write),
        "cautions": _cautions(scenario, gathered.present.inputs, gathered.present, "thinners"),
        "words": _words(),
    }


def _words() -> dict[str, str]:
    """Return the lines on hazards that stand beside the tables."""
    return {
        "as_gasoline": hazard_words.AS_GASOLINE,
        "ethanol": hazard_words.ETHANOL,
        "rated": hazard_words.RATED,
        "never_warmed": hazard_words.NEVER_WARMED,
        "flash": hazard_words.FLASH_ESTIMATES,
    }


def _kept(kept: Difference) -> KeptDocument:
    return {
        "time_paid": number(kept.time_paid),
        "time_free": number(kept.time_free),
    }


def _source(source: SourceWorth, inputs: Inputs, write: _Writer) -> SourceDocument:
    oil = inputs.oils[source.oil]
    return {
        "name": oil.name,
        "kind": oil.kind,
        "own": oil.own,
        "round_trip": write.of("distance", oil.round_trip),
        "taken": write.volume(source.taken),
        "trips": number(source.trips),
        "hours": number(source.hours),
        "kept": _kept(source.kept),
        "kept_per_volume": write.price(source.kept_per_volume),
        "kept_per_trip": number(source.kept_per_trip),
        "kept_per_hour": number(source.kept_per_hour),
        "drum_at_gate": _kept(source.drum),
        "drum_fetched": _kept(source.drum_fetched),
        "farthest_round_trip": write.of("distance", source.farthest),
        "pays_at_any_distance": source.always_pays,
        "viscosity_40": number(source.viscosity),
        "pool_viscosity_40_without": number(source.pool_without),
        "thinner_shares": [
            {
                "machine": inputs.machines[effect.machine].name,
                "with": number(effect.share),
                "without": number(effect.share_without),
            }
            for effect in source.shares
        ],
    }


def oils_document(scenario: Scenario) -> OilsDocument:
    """Weigh every oil source of a farm and give the JSON document.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    OilsDocument
        Plain numbers, text, lists and None, in the file's units; figures at expected values.

    Raises
    ------
    ScenarioError
        If the scenario is refused.
    """
    inputs = prepare(scenario)
    gathered = oil_worth(inputs)
    write, header = _Writer(scenario), scenario.scenario
    sources = [_source(source, inputs, write) for source in gathered.sources]
    drum = float(from_canonical(DRUM, "volume", header.units))
    held = _held_back([int(month.bottleneck) for month in gathered.outcome.typical.months])
    worth = float(gathered.outcome.per_year("time_paid"))
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        "drum": drum,
        "wage": number(inputs.labour.wage),
        "hired_share": number(inputs.labour.hired_share),
        "worth": number(worth),
        "pool_viscosity_40": number(gathered.pool_viscosity),
        "months_held_back_by": held,
        "sources": sources,
        "verdict": oils_verdict(worth, sources, held, drum, write.wording.numbers),
        "cautions": _cautions(scenario, inputs, gathered.outcome, "oils"),
    }
