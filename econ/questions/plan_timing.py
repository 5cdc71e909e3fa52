"""What better timing could add: the months of a plan free to collect, clean and burn as they like.

A linear program over the typical year's months, with the plan's own shares, stores and limits.
The months as they are worked through are one of its answers, so it bounds what any other order
of doing things could bring; nothing in it is a plan to follow.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> timing_gain(evaluate(prepare(load(demo_files()["wrenfold"])))) >= 0.0
True
"""

import numpy as np
from msgspec import Struct, field

from econ.ground.units import Floats, total
from econ.model.costs import Bill, borne_costs, burned_of, costs_of_year, savings
from econ.model.kit import kit_per_year
from econ.model.months import fetching_per_litre
from econ.model.outcome import Flows, OilYear, Outcome

_MONTHS = 12


class _Burn(Struct, frozen=True):
    """Clean oil burned by one machine in one month."""

    machine: int
    month: int
    winter: bool
    most: float
    """[L]"""
    thinner_per_oil: float


class _Rows(Struct):
    """Rows of a sparse matrix with their right sides, row by row."""

    columns: list[int] = field(default_factory=list)
    rows: list[int] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    sides: list[float] = field(default_factory=list)

    def add(self, terms: list[tuple[int, float]], side: float) -> None:
        """Add one row."""
        for column, value in terms:
            self.columns.append(column)
            self.rows.append(len(self.sides))
            self.values.append(value)
        self.sides.append(side)


class _Places(Struct, frozen=True):
    """Where each month's variables stand."""

    oils: int
    burns: tuple[_Burn, ...]

    def collect(self, oil: int, month: int) -> int:
        return month * (self.oils + 3) + oil

    def process(self, month: int) -> int:
        return self.collect(self.oils, month)

    def raw(self, month: int) -> int:
        return self.process(month) + 1

    def clean(self, month: int) -> int:
        return self.process(month) + 2

    def burn(self, k: int) -> int:
        return _MONTHS * (self.oils + 3) + k

    @property
    def count(self) -> int:
        return self.burn(len(self.burns))


def _burns(outcome: Outcome) -> tuple[_Burn, ...]:
    """List what each machine may burn in each month, at most what it wants."""
    inputs, result = outcome.inputs, []
    for k, machine in enumerate(inputs.machines):
        for month in range(_MONTHS):
            winter = inputs.winter_months[month]
            blend = outcome.blends[k][1 if winter else 0]
            if not machine.blend_months[month] or bool(blend.too_thick):
                continue
            diesel = machine.fuel_per_year * machine.use_by_month[month] * machine.blend_share
            share = float(blend.thinner_share)
            want = float(diesel * blend.volume_per_replaced) * (1.0 - share)
            if want > 0.0:
                result.append(_Burn(k, month, winter, want, share / (1.0 - share)))
    return tuple(result)


def _unit_flows(outcome: Outcome, uses: list[tuple[int, bool]]) -> Flows:
    """Lay out a year of nothing, and years of one litre of each thing that can be done."""
    inputs = outcome.inputs
    oils, count = len(inputs.oils), len(inputs.oils) + 2 + len(uses)

    def unit(place: int, amount: float = 1.0) -> Floats:
        row = np.zeros(count)
        row[place] = amount
        return row

    sources = []
    for k, oil in enumerate(inputs.oils):
        trips, hours = fetching_per_litre(oil)
        one = unit(1 + k)
        sources.append(OilYear(one, one * trips, one * hours))
    zero = np.zeros(count)
    used, blend, thinner, replaced = ([zero] * len(inputs.machines) for _ in range(4))
    for j, (k, winter) in enumerate(uses):
        mix = outcome.blends[k][1 if winter else 0]
        one = unit(oils + 2 + j)
        volume = one / (1.0 - mix.thinner_share)
        used[k] = used[k] + one
        blend[k] = blend[k] + volume
        thinner[k] = thinner[k] + volume * mix.thinner_share
        replaced[k] = replaced[k] + volume / mix.volume_per_replaced
    flows = (tuple(used), tuple(blend), tuple(thinner), tuple(replaced))
    return Flows(tuple(sources), unit(1 + oils), *flows, zero, zero, zero, zero)


def _worths(outcome: Outcome, uses: list[tuple[int, bool]]) -> Floats:
    """Return what a year of nothing is worth, and each litre collected, cleaned and burned.

    Every cost line is linear in volumes, so they are asked, not written down again.
    """
    inputs, flows = outcome.inputs, _unit_flows(outcome, uses)
    borne = [borne_costs(burned_of(inputs, k, flows)) for k in range(len(inputs.machines))]
    bill = Bill(inputs, outcome.pool, flows, kit_per_year(inputs))
    costs = costs_of_year(bill, borne)
    not_bought = total(
        [
            replaced * inputs.prices[machine.replaces]
            for machine, replaced in zip(inputs.machines, flows.fuel_replaced, strict=True)
        ]
    )
    worth = savings(costs, not_bought)["after_labour"]
    return np.concatenate([worth[:1], worth[1:] - worth[0]])


def _balances(outcome: Outcome, places: _Places) -> _Rows:
    """Keep every litre: stores begin and end as the model has them."""
    inputs, flows, rows = outcome.inputs, outcome.typical.flows, _Rows()
    kept = 1.0 - float(inputs.process.loss_share)
    for month in range(_MONTHS):
        raw = [(places.raw(month), 1.0), (places.process(month), 1.0)]
        raw += [(places.collect(k, month), -1.0) for k in range(places.oils)]
        clean = [(places.clean(month), 1.0), (places.process(month), -kept)]
        clean += [(places.burn(k), 1.0) for k, b in enumerate(places.burns) if b.month == month]
        if month:
            raw.append((places.raw(month - 1), -1.0))
            clean.append((places.clean(month - 1), -1.0))
        rows.add(raw, 0.0 if month else float(flows.raw_start))
        rows.add(clean, 0.0 if month else float(flows.clean_start))
    rows.add([(places.raw(_MONTHS - 1), 1.0)], float(flows.raw_end))
    rows.add([(places.clean(_MONTHS - 1), 1.0)], float(flows.clean_end))
    return rows


def _limits(outcome: Outcome, places: _Places) -> _Rows:
    """Hold each month to the room for raw oil, the hours to spare and the thinner to be had."""
    inputs, rows = outcome.inputs, _Rows()
    process, begun = inputs.process, float(outcome.typical.flows.raw_start)
    for month in range(_MONTHS):
        room = float(process.raw_storage) - (0.0 if month else begun)
        taken = [(places.collect(k, month), 1.0) for k in range(places.oils)]
        rows.add(taken + ([(places.raw(month - 1), 1.0)] if month else []), room)
        if process.hours_per_month is not None:
            hours = [
                (places.collect(k, month), float(fetching_per_litre(oil)[1]))
                for k, oil in enumerate(inputs.oils)
            ]
            each = float(process.hours_per_batch / process.batch_volume)
            hours.append((places.process(month), each))
            rows.add(hours, float(process.hours_per_month))
        for j, thinner in enumerate(inputs.thinners):
            if thinner.available_per_month is None:
                continue
            drawn = [
                (places.burn(k), burn.thinner_per_oil)
                for k, burn in enumerate(places.burns)
                if burn.month == month and inputs.machines[burn.machine].thinner == j
            ]
            rows.add(drawn, float(thinner.available_per_month))
    return rows


def _bounds(outcome: Outcome, places: _Places) -> list[tuple[float, float]]:
    """Bound every volume of a month."""
    inputs, process = outcome.inputs, outcome.inputs.process
    promised = [
        float(o.volume_per_month * o.reliability * (1.0 - o.reject_share)) for o in inputs.oils
    ]
    batches = process.max_batches_per_month
    most = np.inf if batches is None else float(batches * process.batch_volume)
    held = float(inputs.reserve.clean_oil)
    bounds: list[tuple[float, float]] = []
    for month in outcome.typical.months:
        bounds += [(0.0, volume) for volume in promised]
        bounds.append((0.0, most))
        bounds.append((0.0, float(process.raw_storage)))
        # Oil held back that the model itself does not have yet cannot be asked of a timing.
        bounds.append((min(held, float(month.clean_end)), float(process.clean_storage)))
    return bounds + [(0.0, burn.most) for burn in places.burns]


def _matrix(rows: _Rows, columns: int) -> Floats:
    whole = np.zeros((len(rows.sides), columns))
    np.add.at(whole, (rows.rows, rows.columns), rows.values)
    return whole


def timing_bound(outcome: Outcome) -> float:
    """Work out the most that timing could add to a plan's typical year, after one's own time.

    Parameters
    ----------
    outcome : Outcome
        A plan worked through with its months, numbers of shape ``()``.

    Returns
    -------
    float
        The linear program's year less the model's, to the solver's accuracy. [currency/yr]

    Raises
    ------
    RuntimeError
        If the solver finds no answer, though the model's own months are one.

    Notes
    -----
    Solved with HiGHS by way of SciPy.
    """
    from scipy.optimize import linprog

    burns = _burns(outcome)
    places = _Places(len(outcome.inputs.oils), burns)
    uses = sorted({(burn.machine, burn.winter) for burn in burns})
    worth = _worths(outcome, uses)
    gain = np.zeros(places.count)
    for month in range(_MONTHS):
        for k in range(places.oils):
            gain[places.collect(k, month)] = worth[1 + k]
        gain[places.process(month)] = worth[1 + places.oils]
    for k, burn in enumerate(burns):
        place = 2 + places.oils + uses.index((burn.machine, burn.winter))
        gain[places.burn(k)] = worth[place]
    balances, limits = _balances(outcome, places), _limits(outcome, places)
    result = linprog(
        -gain,
        A_ub=_matrix(limits, places.count),
        b_ub=limits.sides,
        A_eq=_matrix(balances, places.count),
        b_eq=balances.sides,
        bounds=_bounds(outcome, places),
        method="highs",
    )
    if not result.success or result.fun is None:
        message = f"timing could not be worked out: {result.message}"
        raise RuntimeError(message)
    best = worth[0] - float(result.fun)
    return float(best - outcome.typical.savings["after_labour"])


def timing_gain(outcome: Outcome) -> float:
    """Return the most that timing could add, never below nothing.

    Parameters
    ----------
    outcome : Outcome
        A plan worked through with its months, numbers of shape ``()``.

    Returns
    -------
    float
        [currency/yr]
    """
    return max(0.0, timing_bound(outcome))
