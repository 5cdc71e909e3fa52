"""Which thinner, how much of it, in which machine: every offer at the same job, the model run.

For each machine that is to burn blend, and for the farm as a whole, each thinner of the file
and the pump fuel itself take the place of the present one at the share that does the same job.
All else stays: oil, stores, hours, prices, and the order in which machines are served.
"""

from dataclasses import dataclass

import numpy as np

from econ.fuel.substances import UNWARMED_FUEL
from econ.ground.units import Floats
from econ.model.changes import (
    in_plan,
    on_pump_fuel,
    only_what_serves,
    with_thinners,
    without_thinner_limit,
)
from econ.model.costs import COST_LINES, RUNGS
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.offers import Offer, offers, with_pump_fuels
from econ.model.outcome import Outcome
from econ.questions.mixes import Mix, mix_of, seasons_of, warmest_fuel

_ZERO: Floats = np.zeros(())


@dataclass(frozen=True, slots=True)
class Result:
    """What an offer comes to in its scope, typical year. Volumes [L/yr], money [currency/yr]"""

    outcome: Outcome
    blend: Floats
    oil_used: Floats
    thinner: Floats
    fuel_replaced: Floats
    fuel_left: Floats
    """Pump fuel still to buy."""
    kept_per_oil: Floats
    """Fuel not bought less all that the machines bear. [currency per L of oil]"""
    cost_per_blend: dict[str, Floats]
    """By rung "cash" and "full"; shared costs are laid on by oil burned. [currency/L]"""
    cost_per_replaced: dict[str, Floats]
    covered: Floats
    """Share of the thinner needed that is to be had; 1 without a limit. [-]"""

    @property
    def worth(self) -> Floats:
        """Return what the whole farm's plan is worth a year, one's time paid. [currency/yr]"""
        return self.outcome.per_year("time_paid")


@dataclass(frozen=True, slots=True)
class Row:
    """One offer with its mixes and, where it can do the job, its result."""

    offer: Offer
    present: bool
    """Whether the file has it so."""
    mixes: tuple[Mix, ...]
    """One for each machine of the scope, as the model is run: its own where it keeps that."""
    inputs: Inputs
    """The farm with this offer."""
    result: Result | None
    """None where it cannot do the job."""
    refused: str | None
    """Why it cannot."""
    notes: tuple[str, ...]
    """Where it does only part of it."""
    set_aside: str | None
    """Why it is shown but not put forward."""


@dataclass(frozen=True, slots=True)
class Scope:
    """All offers for one machine or for the whole farm, the one that keeps most first."""

    machine: int | None
    machines: tuple[int, ...]
    rows: tuple[Row, ...]
    without: Inputs | None
    """The farm with this machine left on pump fuel; None for the whole farm: no plan at all."""
    worth_without: Floats
    """Worth a year, one's time paid, with no blend in the scope. [currency/yr]"""

    @property
    def best(self) -> Row | None:
        """Return the offer to put forward: of those fit to be, the one that keeps most."""
        fit = (row for row in self.rows if row.result and row.set_aside is None)
        return next(fit, None)

    @property
    def reached(self) -> bool:
        """Return whether any oil is left for the machines of this scope."""
        return any(row.result and bool(row.result.oil_used > 0.0) for row in self.rows)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every scope of a farm, the whole farm first."""

    inputs: Inputs
    """With the pump fuels added to the thinners where the file does not list them."""
    present: Outcome
    """As the file has it."""
    scopes: tuple[Scope, ...]
    left_out: tuple[tuple[int, str], ...]
    """Machines that take no part, and why."""


def _why_left_out(inputs: Inputs, index: int) -> str | None:
    """Say why a machine takes no part; None where it does."""
    machine = inputs.machines[index]
    if machine.fit.key == "excluded":
        return f"stays on pump fuel. {machine.fit.reasons[0]}"
    if not bool(machine.blend_share > 0.0) or not seasons_of(inputs, index):
        return "stays on pump fuel by choice."
    if machine.thinner is None:
        return "burns clean oil alone: there is no thinner to compare."
    return None


def _refusal(inputs: Inputs, mix: Mix) -> str | None:
    """Say why a thinner cannot do one machine's job at all."""
    machine, thinner = inputs.machines[mix.machine], inputs.thinners[mix.thinner]
    if machine.engine == "burner" and mix.has_gasoline:
        return f"refused: {thinner.kind} in a burner's blend (flash fire, 29 CFR 1910.106)"
    if mix.has_gasoline and warmest_fuel(inputs) > UNWARMED_FUEL:
        return "refused: the fuel is warmed, and a gasoline blend is never warmed"
    if not mix.possible:
        return "as thick as the job or thicker by itself: no share of it is enough"
    if thinner.available_per_month is not None and not bool(thinner.available_per_month > 0.0):
        return "none to be had (available_per_month = 0)"
    return None


def _road_doubt(inputs: Inputs, index: int, thinner: int) -> str | None:
    """Say why a fuel meant for the farm alone is not put forward for a road machine."""
    machine = inputs.machines[index]
    if inputs.thinners[thinner].tied_to != "farm_diesel" or not bool(machine.road_share > 0.0):
        return None
    return (
        "farm diesel in a machine that runs on public roads (US: dyed fuel on the road, 26 USC"
        " 6715; elsewhere ask what its credit or rebate allows)"
    )


def _cost(outcome: Outcome, machines: tuple[int, ...], rungs: tuple[str, ...]) -> Floats:
    """Add up what machines bear on some rungs, and the farm's costs by the oil they burn."""
    year = outcome.typical
    oil = year.fuel["oil_used"]
    share = sum((year.machines[k].oil_used for k in machines), _ZERO) / np.where(
        oil > 0.0, oil, np.nan
    )
    gathered = _ZERO
    for line in COST_LINES:
        if line.rung not in rungs:
            continue
        if line.borne is None:
            gathered = gathered + share * year.costs[line.key]
        else:
            gathered = gathered + sum((year.machines[k].costs[line.key] for k in machines), _ZERO)
    return gathered


def _result(machines: tuple[int, ...], outcome: Outcome, covered: Floats) -> Result:
    """Read what an offer comes to in its scope."""
    inputs, year = outcome.inputs, outcome.typical

    def total(values: list[Floats]) -> Floats:
        return sum(values, _ZERO)

    def each(volume: Floats, amount: Floats) -> Floats:
        return amount / np.where(volume > 0.0, volume, np.nan)

    own = [(inputs.machines[k], year.machines[k]) for k in machines]
    oil = total([gathered.oil_used for _, gathered in own])
    blend = total([gathered.blend for _, gathered in own])
    replaced = total([gathered.fuel_replaced for _, gathered in own])
    kept = total([gathered.saving for _, gathered in own])
    costs = {
        "cash": _cost(outcome, machines, ("quoted", "cash")),
        "full": _cost(outcome, machines, tuple(rung.key for rung in RUNGS)),
    }
    return Result(
        outcome=outcome,
        blend=blend,
        oil_used=oil,
        thinner=total([gathered.thinner for _, gathered in own]),
        fuel_replaced=replaced,
        fuel_left=total([machine.fuel_per_year for machine, _ in own]) - replaced,
        kept_per_oil=each(oil, kept),
        cost_per_blend={key: each(blend, cost) for key, cost in costs.items()},
        cost_per_replaced={key: each(replaced, cost) for key, cost in costs.items()},
        covered=covered,
    )


def _covered(inputs: Inputs, outcome: Outcome, offer: Offer) -> Floats:
    """Return the share of an offer's need that is to be had, by the model without the limit."""
    if offer.listed is None or inputs.thinners[offer.listed].available_per_month is None:
        return np.ones(())
    unlimited = evaluate(without_thinner_limit(inputs, offer.listed), by_month=False)

    def used(gathered: Outcome) -> Floats:
        return sum((gathered.typical.machines[k].thinner for k in offer.thinner_of), _ZERO)

    need = used(unlimited)
    return np.where(need > 0.0, np.minimum(1.0, used(outcome) / np.where(need > 0, need, 1.0)), 1.0)


def _kept_back(inputs: Inputs, offer: Offer) -> dict[int, str]:
    """Name the machines that an offer for several machines cannot or should not serve."""
    tried = with_thinners(inputs, offer.thinner_of)
    gathered = {}
    for k, thinner in offer.thinner_of.items():
        why = _refusal(tried, mix_of(tried, k))
        if why is None and len(offer.thinner_of) > 1 and inputs.machines[k].thinner != thinner:
            why = _road_doubt(inputs, k, thinner)
        if why is not None:
            gathered[k] = why
    return gathered


def _pump_months(inputs: Inputs, mixes: tuple[Mix, ...]) -> list[str]:
    """Say where a thinner is too thick in one season only."""
    return [
        f"{inputs.machines[mix.machine].name} burns pump fuel"
        f" {'in winter' if season.winter else 'outside winter'}: this thinner is too thick then."
        for mix in mixes
        for season in mix.seasons
        if season.too_thick and mix.possible
    ]


def _with_what_hangs(inputs: Inputs) -> Inputs:
    """Have the kit and bills that hang on what is now in the plan, and no others."""
    return only_what_serves(inputs, in_plan(inputs))


def _row(inputs: Inputs, machines: tuple[int, ...], offer: Offer) -> Row:
    """Try one offer."""
    present = all(inputs.machines[k].thinner == offer.thinner_of[k] for k in machines)
    kept = _kept_back(inputs, offer)
    if len(kept) == len(machines):
        tried = with_thinners(inputs, offer.thinner_of)
        mixes = tuple(mix_of(tried, k) for k in machines)
        return Row(offer, present, mixes, tried, None, next(iter(kept.values())), (), None)
    # Gasoline never goes into a burner: it keeps its own thinner while the others change.
    served = {k: j for k, j in offer.thinner_of.items() if k not in kept}
    swapped = _with_what_hangs(with_thinners(inputs, served))
    mixes = tuple(mix_of(swapped, k) for k in machines)
    outcome = evaluate(swapped)
    result = _result(machines, outcome, _covered(swapped, outcome, offer))
    notes = [f"{inputs.machines[k].name} keeps its own thinner: {why}." for k, why in kept.items()]
    notes += _pump_months(inputs, mixes)
    doubts = [_road_doubt(inputs, k, j) for k, j in served.items()]
    set_aside = next((doubt for doubt in doubts if doubt is not None), None)
    return Row(offer, present, mixes, swapped, result, None, tuple(notes), set_aside)


def _rank(row: Row) -> tuple[float, bool]:
    """Put the most money first; of equals, to the cent, those that the file lists."""
    if row.result is None:
        return np.inf, row.offer.listed is None
    return -round(float(row.result.worth), 2), row.offer.listed is None


def _scope(
    inputs: Inputs, machine: int | None, machines: tuple[int, ...], gathered: tuple[Offer, ...]
) -> Scope:
    """Try every offer in one scope."""
    rows = sorted((_row(inputs, machines, offer) for offer in gathered), key=_rank)
    if machine is None:
        return Scope(None, machines, tuple(rows), None, _ZERO)
    idle = on_pump_fuel(inputs, machine)
    worth = evaluate(idle, by_month=False).per_year("time_paid")
    return Scope(machine, machines, tuple(rows), idle, worth)


def _reasons(inputs: Inputs) -> list[tuple[int, str | None]]:
    return [(k, _why_left_out(inputs, k)) for k in range(len(inputs.machines))]


def whole_farm(inputs: Inputs) -> Scope | None:
    """Compare every thinner in the whole farm alone.

    Parameters
    ----------
    inputs : Inputs
        One farm (numbers of shape ``()``) with all its kit and bills, its burn order settled.

    Returns
    -------
    Scope or None
        The first scope of `compare`; None where no machine takes blend.
    """
    taking = tuple(k for k, why in _reasons(inputs) if why is None)
    if not taking:
        return None
    extended, pumps = with_pump_fuels(inputs, taking)
    return _scope(extended, None, taking, offers(extended, taking, len(inputs.thinners), pumps))


def compare(inputs: Inputs, *, only: int | None = None) -> Comparison:
    """Compare every thinner in every machine and in the whole farm, each at the same job.

    Parameters
    ----------
    inputs : Inputs
        One farm (numbers of shape ``()``) with all its kit and bills, its burn order settled.
    only : int, optional
        Index of the one machine to look at, instead of all and the whole farm.

    Returns
    -------
    Comparison
        Offers ranked by what the plan is worth a year, one's time paid, each with the kit and
        bills that hang on it.
    """
    reasons = _reasons(inputs)
    taking = tuple(k for k, why in reasons if why is None)
    listed = len(inputs.thinners)
    extended, pumps = with_pump_fuels(inputs, taking)
    scopes: list[tuple[int | None, tuple[int, ...]]] = []
    if only is None and taking:
        scopes.append((None, taking))
    scopes += [(k, (k,)) for k in taking if only in (None, k)]
    return Comparison(
        inputs=extended,
        present=evaluate(_with_what_hangs(inputs)),
        scopes=tuple(
            _scope(extended, machine, ks, offers(extended, ks, listed, pumps))
            for machine, ks in scopes
        ),
        left_out=tuple((k, why) for k, why in reasons if why is not None),
    )
