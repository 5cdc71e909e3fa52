"""Which thinner, how much of it, in which machine: every offer at the same job, the model run.

For each machine that is to burn blend, and for the farm as a whole, each thinner of the file
and the pump fuel itself take the place of the present one at the share that does the same job.
All else stays: oil, stores, hours, prices, and the order in which machines are served.

>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> whole = whole_farm(prepare(load(demo_files()["wrenfold"])))
>>> [row.offer.name for row in whole.rows][:2]
["Each machine's own pump fuel", 'Pump gasoline']
"""

import numpy as np
from msgspec import Struct

from econ.fuel.substances import UNWARMED_FUEL
from econ.ground.records import replace
from econ.ground.units import Floats, total
from econ.model.changes import in_plan, on_pump_fuel, only_what_serves, with_thinners
from econ.model.costs import COST_LINES, RUNGS
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.ledger import LEDGERS
from econ.model.offers import Offer, offers, with_pump_fuels
from econ.model.outcome import Outcome
from econ.model.variants import Batch, Variant, side_by_side
from econ.questions.mixes import Mix, mix_of, seasons_of, warmest_fuel

_ZERO: Floats = np.zeros(())


class Result(Struct, frozen=True):
    """What an offer comes to in its scope, typical year. Volumes [L/yr], money [currency/yr]"""

    worths: dict[str, Floats]
    """What the whole farm's plan is worth a year, by ledger. [currency/yr]"""
    npv: dict[str, Floats]
    """By ledger. [currency]"""
    held_back: tuple[int, ...]
    """By month, what holds the farm back: indices into `months.BOTTLENECKS`."""
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
        return self.worths["time_paid"]


class Row(Struct, frozen=True):
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
    place: int | None = None
    """Its row in the batch; None where it cannot do the job."""


class Scope(Struct, frozen=True):
    """All offers for one machine or for the whole farm, the one that keeps most first."""

    machine: int | None
    machines: tuple[int, ...]
    rows: tuple[Row, ...]
    without: Inputs | None
    """The farm with this machine left on pump fuel; None for the whole farm: no plan at all."""
    worth_without: Floats
    """Worth a year, one's time paid, with no blend in the scope. [currency/yr]"""
    batch: Batch | None
    """All variants that the comparison worked through; None where nothing can do any job."""
    place_without: int | None
    """Row of `without` in the batch."""

    @property
    def best(self) -> Row | None:
        """Return the offer to put forward: of those fit to be, the one that keeps most."""
        fit = (row for row in self.rows if row.result and row.set_aside is None)
        return next(fit, None)

    @property
    def reached(self) -> bool:
        """Return whether any oil is left for the machines of this scope."""
        return any(row.result and bool(row.result.oil_used > 0.0) for row in self.rows)


class Comparison(Struct, frozen=True):
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


def _covered(need: Floats, used: Floats) -> Floats:
    """Return the share of a thinner's need that is to be had."""
    return np.where(need > 0.0, np.minimum(1.0, used / np.where(need > 0, need, 1.0)), 1.0)


def _rank(row: Row) -> tuple[float, bool]:
    """Put the most money first; of equals, to the cent, those that the file lists."""
    if row.result is None:
        return np.inf, row.offer.listed is None
    return -round(float(row.result.worth), 2), row.offer.listed is None


class _Sums(Struct, frozen=True):
    """What each machine of a batch burns and bears in the typical year."""

    batch: Batch
    volumes: dict[str, Floats]
    """By name, shape (machines, variants). [L/yr], saving in [currency/yr]"""
    costs: dict[str, Floats]
    """The same by cost line that a machine bears. [currency/yr]"""

    def of(self, name: str, machines: tuple[int, ...], row: int) -> Floats:
        """Add one figure up over some machines in one variant."""
        return total([np.asarray(self.volumes[name][k, row]) for k in machines])

    def at(self, values: Floats, row: int) -> Floats:
        """Read one variant of a figure of the farm."""
        return np.asarray(np.broadcast_to(values, (self.batch.count,))[row])

    def cost(self, machines: tuple[int, ...], row: int, rungs: tuple[str, ...]) -> Floats:
        """Add up what machines bear on some rungs, and the farm's costs by the oil they burn."""
        year = self.batch.outcome.typical
        oil = self.at(year.fuel["oil_used"], row)
        share = self.of("oil_used", machines, row) / np.where(oil > 0.0, oil, np.nan)
        gathered = _ZERO
        for line in COST_LINES:
            if line.rung not in rungs:
                continue
            if line.borne is None:
                gathered = gathered + share * self.at(year.costs[line.key], row)
            else:
                borne = self.costs[line.key]
                gathered = gathered + total([np.asarray(borne[k, row]) for k in machines])
        return gathered


def _sums(batch: Batch) -> _Sums:
    """Put each way's year together by machine."""
    years = batch.outcome.typical.machines
    volumes = {
        name: batch.by_machine([getattr(year, name) for year in years])
        for name in ("oil_used", "blend", "thinner", "fuel_replaced", "saving")
    }
    borne = [line.key for line in COST_LINES if line.borne is not None]
    costs = {key: batch.by_machine([year.costs[key] for year in years]) for key in borne}
    return _Sums(batch, volumes, costs)


def _result(
    inputs: Inputs, sums: _Sums, machines: tuple[int, ...], row: int, covered: Floats
) -> Result:
    """Read what an offer comes to in its scope."""

    def each(volume: Floats, amount: Floats) -> Floats:
        return amount / np.where(volume > 0.0, volume, np.nan)

    outcome = sums.batch.outcome
    blend, oil = (sums.of(name, machines, row) for name in ("blend", "oil_used"))
    replaced = sums.of("fuel_replaced", machines, row)
    costs = {
        "cash": sums.cost(machines, row, ("quoted", "cash")),
        "full": sums.cost(machines, row, tuple(rung.key for rung in RUNGS)),
    }
    return Result(
        worths={kind.key: sums.at(outcome.per_year(kind.key), row) for kind in LEDGERS},
        npv={kind.key: sums.at(outcome.ledgers[kind.key].measures["npv"], row) for kind in LEDGERS},
        held_back=tuple(
            int(np.broadcast_to(month.bottleneck, (sums.batch.count,))[row])
            for month in outcome.typical.months
        ),
        blend=blend,
        oil_used=oil,
        thinner=sums.of("thinner", machines, row),
        fuel_replaced=replaced,
        fuel_left=total([inputs.machines[k].fuel_per_year for k in machines]) - replaced,
        kept_per_oil=each(oil, sums.of("saving", machines, row)),
        cost_per_blend={key: each(blend, cost) for key, cost in costs.items()},
        cost_per_replaced={key: each(replaced, cost) for key, cost in costs.items()},
        covered=covered,
    )


class _Bench(Struct, frozen=True):
    """A farm on which offers are tried, and the variants of it that they ask for."""

    inputs: Inputs
    mixes: dict[tuple[int, int], Mix]
    variants: list[Variant]

    def mix(self, machine: int, thinner: int) -> Mix:
        """Look at one machine with one thinner, once."""
        key = (machine, thinner)
        if key not in self.mixes:
            self.mixes[key] = mix_of(with_thinners(self.inputs, {machine: thinner}), machine)
        return self.mixes[key]

    def add(self, variant: Variant) -> int:
        """Ask for a variant to be worked through."""
        self.variants.append(variant)
        return len(self.variants) - 1

    def kept_back(self, offer: Offer) -> dict[int, str]:
        """Name the machines that an offer for several machines cannot or should not serve."""
        gathered = {}
        for k, thinner in offer.thinner_of.items():
            why = _refusal(self.inputs, self.mix(k, thinner))
            other = self.inputs.machines[k].thinner != thinner
            if why is None and len(offer.thinner_of) > 1 and other:
                why = _road_doubt(self.inputs, k, thinner)
            if why is not None:
                gathered[k] = why
        return gathered


def _row(bench: _Bench, machines: tuple[int, ...], offer: Offer) -> tuple[Row, int | None]:
    """Look at one offer, its result still to come; and where its need without a limit is."""
    inputs = bench.inputs
    present = all(inputs.machines[k].thinner == offer.thinner_of[k] for k in machines)
    kept = bench.kept_back(offer)
    # Gasoline never goes into a burner: it keeps its own thinner while the others change.
    served = {k: j for k, j in offer.thinner_of.items() if k not in kept}
    if not served:
        tried = with_thinners(inputs, offer.thinner_of)
        mixes = tuple(bench.mix(k, offer.thinner_of[k]) for k in machines)
        why = next(iter(kept.values()))
        return Row(offer, present, mixes, tried, None, why, (), None), None
    swapped = _with_what_hangs(with_thinners(inputs, served))
    burned = {k: served.get(k, inputs.machines[k].thinner) for k in machines}
    mixes = tuple(bench.mix(k, j) for k, j in burned.items() if j is not None)
    notes = [f"{inputs.machines[k].name} keeps its own thinner: {why}." for k, why in kept.items()]
    notes += _pump_months(inputs, mixes)
    doubts = [_road_doubt(inputs, k, j) for k, j in served.items()]
    set_aside = next((doubt for doubt in doubts if doubt is not None), None)
    place = bench.add(Variant(served))
    limited = (
        offer.listed is not None and inputs.thinners[offer.listed].available_per_month is not None
    )
    free = bench.add(Variant(served, unlimited=offer.listed)) if limited else None
    row = Row(offer, present, mixes, swapped, None, None, tuple(notes), set_aside, place)
    return row, free


def _with_result(
    inputs: Inputs, sums: _Sums | None, machines: tuple[int, ...], row: Row, free: int | None
) -> Row:
    """Read an offer's result off the batch."""
    if sums is None or row.place is None:
        return row
    covered = np.ones(())
    if free is not None:
        served = tuple(row.offer.thinner_of)
        used = (sums.of("thinner", served, place) for place in (free, row.place))
        covered = _covered(*used)
    return replace(row, result=_result(inputs, sums, machines, row.place, covered))


def _scopes(
    inputs: Inputs, gathered: list[tuple[int | None, tuple[int, ...], tuple[Offer, ...]]]
) -> tuple[Scope, ...]:
    """Try every offer of every scope, all in one batch of the model."""
    bench = _Bench(inputs, {}, [])
    rows = [[_row(bench, machines, o) for o in listed] for _, machines, listed in gathered]
    idle = [None if k is None else bench.add(Variant(idle=k)) for k, _, _ in gathered]
    batch = side_by_side(inputs, bench.variants, measures=()) if bench.variants else None
    sums = None if batch is None else _sums(batch)
    result = []
    for (machine, machines, _), some, place in zip(gathered, rows, idle, strict=True):
        whole = [_with_result(inputs, sums, machines, row, free) for row, free in some]
        without, worth = None, _ZERO
        if machine is not None and sums is not None and place is not None:
            without = on_pump_fuel(inputs, machine)
            worth = sums.at(sums.batch.outcome.per_year("time_paid"), place)
        ranked = tuple(sorted(whole, key=_rank))
        result.append(Scope(machine, machines, ranked, without, worth, batch, place))
    return tuple(result)


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
    gathered = offers(extended, taking, len(inputs.thinners), pumps)
    return _scopes(extended, [(None, taking, gathered)])[0]


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
        scopes=_scopes(
            extended,
            [(machine, ks, offers(extended, ks, listed, pumps)) for machine, ks in scopes],
        ),
        left_out=tuple((k, why) for k, why in reasons if why is not None),
    )
