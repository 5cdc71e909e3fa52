"""From a scenario in its file's units to inputs in canonical units: the one way inward.

What is settled once, at expected values, is kept for likely values, draws and sweeps: which
machines may burn blend, and the order in which they are served.

>>> from econ.farm.demos import demo_files
>>> from econ.farm.files import load
>>> farm = load(demo_files()["wrenfold"])
>>> round(float(prepare(farm).process.raw_storage) / farm.process.raw_storage, 9)
3.785411784
"""

from collections.abc import Callable, Sequence
from typing import Literal

import numpy as np
from msgspec import Struct
from pydantic import BaseModel

from econ.farm.files import usual_wear
from econ.farm.schema import (
    Additive,
    Estimate,
    Kit,
    Loan,
    Machine,
    Oil,
    Scenario,
    Thinner,
    Yearly,
    about,
)
from econ.fuel.fitness import Fit, assess
from econ.fuel.machine_fuel import fuel_per_rated_power
from econ.fuel.substances import OILS, THINNERS, USUAL_LIMITS, Substance, as_gasoline
from econ.fuel.viscosity import viscosity_line, viscosity_line_through
from econ.ground.errors import Problem, ScenarioError
from econ.ground.labels import FUELS
from econ.ground.recent import Recent
from econ.ground.records import replace
from econ.ground.units import Floats, to_canonical
from econ.model.blends import machine_blends, oil_pool
from econ.model.changes import in_plan, only_what_serves, served_in
from econ.model.inputs import (
    AdditiveInputs,
    FilterInputs,
    FinanceInputs,
    Inputs,
    KitInputs,
    LabourInputs,
    LoanInputs,
    MachineInputs,
    OilInputs,
    ProcessInputs,
    ReserveInputs,
    ThinnerInputs,
    WearPart,
    YearlyInputs,
)
from econ.model.oil_money import burn_order
from econ.model.outcome import Blend

Path = tuple[str | int, ...]
Pick = Callable[[Path, "float | Estimate"], "float | Floats"]
At = Literal["likely", "expected", "low", "high"]

# At the injection pump, engine warm, where a file does not say; °C, common practice.
FUEL_TEMPERATURE = 40.0
FUEL_TEMPERATURE_WINTER = 25.0


class Choices(Struct, frozen=True):
    """What is settled once for a scenario, at expected values."""

    fits: tuple[Fit, ...]
    may_burn: tuple[bool, ...]
    """By machine: not excluded, and part of its fuel is to be replaced."""
    burn_order: tuple[int, ...]
    setup: int = 0
    """Which set-up cleans, where there are any."""
    plan: frozenset[str] = frozenset()
    """What is in the plan, by name: settled at expected values."""


# One answer settles the same farm for its values, its draws and its smaller plan.
_SETTLED: Recent[Choices] = Recent(4)


def pick_at(at: At) -> Pick:
    """Return the rule that reads every estimate at one of its points.

    Parameters
    ----------
    at : {"likely", "expected", "low", "high"}
        Expected is (low + 4 likely + high) / 6.

    Returns
    -------
    callable
        From a field's path and its value in the file to a number.
    """

    def pick(path: Path, value: float | Estimate) -> float | Floats:
        return float(getattr(value, at)) if isinstance(value, Estimate) else float(value)

    return pick


class _Reader:
    """Reads one table's fields in canonical units."""

    def __init__(self, units: str, table: BaseModel, path: Path, pick: Pick) -> None:
        self._units = units
        self._table = table
        self._path = path
        self._pick = pick

    def maybe(self, field: str) -> Floats | None:
        """Return a quantity, or None where the file leaves it out."""
        value = getattr(self._table, field)
        if value is None:
            return None
        picked = self._pick(self._at(field), value)
        return to_canonical(picked, about(type(self._table), field).dimension, self._units)

    def _at(self, field: str) -> Path:
        """Say where the file gives a field."""
        return (*self._path, field)

    def number(self, field: str) -> Floats:
        """Return a quantity that is always there."""
        value = self.maybe(field)
        return np.zeros(()) if value is None else value

    def inner(self, table: BaseModel, *path: str | int) -> "_Reader":
        """Return a reader for a table inside this one, sharing units and rule."""
        return _Reader(self._units, table, (*self._path, *path), self._pick)


def _fuel_per_year(machine: Machine, read: _Reader) -> Floats:
    """Return a machine's pump fuel in a year, whichever way the file says it. [L/yr]"""
    if machine.fuel_per_year is not None:
        return read.number("fuel_per_year")
    if machine.distance_per_year is not None:
        return read.number("distance_per_year") / read.number("distance_per_volume")
    if machine.rated_power is not None:
        rate = fuel_per_rated_power(read.number("rated_power"))
        return read.number("hours_per_year") * rate
    return read.number("hours_per_year") * read.number("fuel_per_hour")


def _wear(scenario: Scenario, machine: Machine, read: _Reader) -> tuple[WearPart, ...]:
    """Return a machine's wear rows, its class's usual ones where it has none."""
    rows = machine.wear or usual_wear(machine.engine, scenario.scenario.units)
    result = []
    for k, row in enumerate(rows):
        inner = read.inner(row, "wear", k)
        result.append(WearPart(row.part, inner.number("cost"), inner.number("extra_failures")))
    return tuple(result)


def _flags(months: Sequence[int] | None, *, absent: bool) -> tuple[bool, ...]:
    """Return twelve flags from a list of month numbers."""
    if months is None:
        return (absent,) * 12
    return tuple(month in months for month in range(1, 13))


def _limit(machine: Machine, read: _Reader) -> Floats | None:
    """Return a machine's viscosity limit, its class's where it has neither limit nor share."""
    if machine.thinner is None or machine.thinner_share is not None:
        return None
    given = read.maybe("viscosity_limit")
    return np.asarray(USUAL_LIMITS[machine.engine]) if given is None else given


_UNJUDGED = Fit("suited", ())


def _machine(scenario: Scenario, machine: Machine, read: _Reader) -> MachineInputs:
    """Read one machine; its fit is settled later."""
    weights = np.asarray(machine.use_by_month or [1.0] * 12, dtype=np.float64)
    names = [thinner.name for thinner in scenario.thinners]
    winter = machine.thinner_share_winter
    return MachineInputs(
        name=machine.name,
        engine=machine.engine,
        replaces=machine.replaces,
        fit=_UNJUDGED,
        fuel_per_year=_fuel_per_year(machine, read),
        use_by_month=tuple(float(w) for w in weights / weights.sum()),
        blend_months=_flags(machine.blend_months, absent=True),
        blend_share=read.number("blend_share"),
        road_share=read.number("road_share"),
        use_factor=read.number("use_factor"),
        thinner=None if machine.thinner is None else names.index(machine.thinner),
        thinner_share=read.maybe("thinner_share"),
        thinner_share_winter=read.maybe(
            "thinner_share" if winter is None else "thinner_share_winter"
        ),
        viscosity_limit=_limit(machine, read),
        wear=_wear(scenario, machine, read),
        resale_loss=read.number("resale_loss"),
        may_burn=False,
        essential_per_day=read.number("essential_per_day"),
    )


def _line(
    substance: Substance, measured_40: Floats | None, measured_100: Floats | None
) -> tuple[Floats, Floats]:
    """Return an oil's D341 line, moved through what was measured."""
    (t1, v1), (t2, v2) = substance.viscosity_points
    table = viscosity_line(t1, v1, t2, v2)
    if measured_40 is not None and measured_100 is not None:
        return viscosity_line(40.0, measured_40, 100.0, measured_100)
    if measured_40 is not None:
        return viscosity_line_through(table, 40.0, measured_40)
    if measured_100 is not None:
        return viscosity_line_through(table, 100.0, measured_100)
    return table


def _given(value: Floats | None, table: float) -> Floats:
    """Return the file's value, else the table's."""
    return np.asarray(table, dtype=np.float64) if value is None else value


def _oil(oil: Oil, read: _Reader) -> OilInputs:
    """Read one source."""
    substance = OILS[oil.kind]
    return OilInputs(
        name=oil.name,
        kind=oil.kind,
        own=oil.own,
        volume_per_month=read.number("volume_per_month"),
        reliability=read.number("reliability"),
        reject_share=read.number("reject_share"),
        price=read.number("price"),
        load_volume=read.maybe("load_volume"),
        round_trip=read.number("round_trip"),
        hours_per_trip=read.number("hours_per_trip"),
        density=_given(read.maybe("density"), substance.density),
        heating_value=_given(read.maybe("energy"), substance.heating_value),
        line=_line(substance, read.maybe("viscosity_40"), read.maybe("viscosity_100")),
    )


def _most(value: float | Estimate) -> float:
    """Return the greatest value that an estimate may take."""
    return value.high if isinstance(value, Estimate) else value


def _thinner(thinner: Thinner, read: _Reader, prices: dict[str, Floats]) -> ThinnerInputs:
    """Read one thinner; a tied price is the fuel's."""
    substance = THINNERS[thinner.kind]
    (t1, v1), (t2, v2) = substance.viscosity_points
    tied = thinner.price if isinstance(thinner.price, str) else None
    untaxed = tied != "road_diesel" and _most(thinner.refund) == 0.0
    return ThinnerInputs(
        name=thinner.name,
        kind=thinner.kind,
        price=read.number("price") if tied is None else prices[tied],
        tied_to=tied,
        available_per_month=read.maybe("available_per_month"),
        road_tax_paid=not untaxed if thinner.road_tax_paid is None else thinner.road_tax_paid,
        refund=read.number("refund"),
        density=_given(read.maybe("density"), substance.density),
        heating_value=_given(read.maybe("energy"), substance.heating_value),
        line=viscosity_line(t1, v1, t2, v2),
    )


class _ProcessReader(_Reader):
    """Reads the cleaning: each field where it is given, in the set-up or in [process]."""

    def __init__(self, scenario: Scenario, setup: int, pick: Pick) -> None:
        units = scenario.scenario.units
        super().__init__(units, scenario.process_with(setup), ("process",), pick)
        self._given = scenario.setups[setup].model_fields_set if scenario.setups else set()
        self._setup = setup

    def _at(self, field: str) -> Path:
        return ("setups", self._setup, field) if field in self._given else ("process", field)


def _process(read: _Reader) -> ProcessInputs:
    """Read the cleaning."""
    return ProcessInputs(
        batch_volume=read.number("batch_volume"),
        hours_per_batch=read.number("hours_per_batch"),
        max_batches_per_month=read.maybe("max_batches_per_month"),
        first_year_share=read.number("first_year_share"),
        hours_per_month=read.maybe("hours_per_month"),
        loss_share=read.number("loss_share"),
        energy_per_volume=read.maybe("energy_per_volume"),
        heat_from=read.maybe("heat_from"),
        heat_to=read.maybe("heat_to"),
        heater_efficiency=read.number("heater_efficiency"),
        motor_energy_per_volume=read.number("motor_energy_per_volume"),
        test_cost_per_batch=read.number("test_cost_per_batch"),
        disposal_cost=read.number("disposal_cost"),
        raw_storage=read.number("raw_storage"),
        clean_storage=read.number("clean_storage"),
    )


def _finance(scenario: Scenario, read: _Reader) -> FinanceInputs:
    """Read the money."""
    inflation = read.number("inflation")
    fuel = read.maybe("fuel_inflation")
    return FinanceInputs(
        years=scenario.finance.years,
        discount_rate=read.number("discount_rate"),
        inflation=inflation,
        fuel_inflation=inflation if fuel is None else fuel,
        tax_rate=read.number("tax_rate"),
        depreciation=scenario.finance.depreciation,
        exit_cost=read.number("exit_cost"),
        kit_contingency=read.number("kit_contingency"),
    )


def _kit(item: Kit, read: _Reader) -> KitInputs:
    """Read one piece of kit; a later one costs as much unless the file says otherwise."""
    cost = read.number("cost")
    new = read.maybe("new_cost")
    return KitInputs(
        name=item.name,
        cost=cost,
        new_cost=cost if new is None else new,
        life_years=item.life_years,
        resale_share=read.number("resale_share"),
        exit_cost=read.number("exit_cost"),
        owned=item.owned,
        serves=tuple(item.serves),
    )


def _loan(loan: Loan | None, read: Callable[..., _Reader]) -> LoanInputs | None:
    """Read the loan, if there is one."""
    if loan is None:
        return None
    result = read(loan, "loan")
    return LoanInputs(
        result.number("amount"), result.number("rate"), loan.years, loan.payments_per_year
    )


def _filters(scenario: Scenario, setup: int, pick: Pick) -> tuple[FilterInputs, ...]:
    """Read the filters in the line of a set-up."""
    names = scenario.setups[setup].filters if scenario.setups else None
    units = scenario.scenario.units
    return tuple(
        FilterInputs(f.name, r.number("price"), r.number("volume_per_element"))
        for k, f in enumerate(scenario.filters)
        for r in (_Reader(units, f, ("filters", k), pick),)
        if names is None or f.name in names
    )


def _reserve(scenario: Scenario, read: _Reader) -> ReserveInputs:
    """Read what is kept for days without delivery."""
    on_hand, units = scenario.reserve.thinners, scenario.scenario.units
    return ReserveInputs(
        clean_oil=read.number("clean_oil"),
        diesel=read.number("diesel"),
        thinners=tuple(
            to_canonical(on_hand.get(thinner.name, 0.0), "volume", units)
            for thinner in scenario.thinners
        ),
    )


def _knowing(scenario: Scenario, pick: Pick) -> Pick:
    """Return the rule that reads what records made of a guess in its place."""
    if not scenario.known:
        return pick
    return lambda path, value: pick(path, scenario.known.get(path, value))


def _fuel_temperatures(read: _Reader) -> tuple[Floats, Floats]:
    """Return the fuel's temperature outside winter and in winter, usual ones where left out."""
    mild, cold = read.maybe("fuel_temperature"), read.maybe("fuel_temperature_winter")
    return _given(mild, FUEL_TEMPERATURE), _given(cold, FUEL_TEMPERATURE_WINTER)


def _additive(additive: Additive, read: _Reader) -> AdditiveInputs:
    price, dose = read.number("price"), read.number("dose")
    return AdditiveInputs(additive.name, price, dose, tuple(additive.serves))


def _bill(bill: Yearly, read: _Reader) -> YearlyInputs:
    return YearlyInputs(bill.name, read.number("cost"), read.number("hours"), tuple(bill.serves))


def _labour(scenario: Scenario, read: _Reader) -> LabourInputs:
    return LabourInputs(
        read.number("wage"),
        read.number("upkeep_hours_per_year"),
        read.number("hired_share"),
        scenario.labour.wage_taxed,
    )


def _read_all(scenario: Scenario, pick: Pick, setup: int) -> Inputs:
    """Read every table, with no machine judged and no order settled."""
    pick = _knowing(scenario, pick)

    def of(table: BaseModel, *path: str | int) -> _Reader:
        return _Reader(scenario.scenario.units, table, path, pick)

    price = of(scenario.prices, "prices")
    prices = {key: value for key in FUELS if (value := price.maybe(key)) is not None}
    mild, cold = _fuel_temperatures(of(scenario.blending, "blending"))
    return Inputs(
        prices=prices,
        electricity=price.number("electricity"),
        road_tax=price.number("road_tax"),
        fuel_duty=price.number("fuel_duty"),
        fuel_duty_back=price.number("fuel_duty_back"),
        machines=tuple(
            _machine(scenario, m, of(m, "machines", k)) for k, m in enumerate(scenario.machines)
        ),
        oils=tuple(_oil(o, of(o, "oils", k)) for k, o in enumerate(scenario.oils)),
        cost_per_distance=of(scenario.hauling, "hauling").number("cost_per_distance"),
        process=_process(_ProcessReader(scenario, setup, pick)),
        winter_months=_flags(scenario.blending.winter_months, absent=False),
        fuel_temperature=mild,
        fuel_temperature_winter=cold,
        filters=_filters(scenario, setup, pick),
        thinners=tuple(
            _thinner(t, of(t, "thinners", k), prices) for k, t in enumerate(scenario.thinners)
        ),
        additives=tuple(
            _additive(a, of(a, "additives", k)) for k, a in enumerate(scenario.additives)
        ),
        yearly=tuple(_bill(y, of(y, "yearly", k)) for k, y in enumerate(scenario.yearly)),
        labour=_labour(scenario, of(scenario.labour, "labour")),
        kit=tuple(_kit(item, of(item, "kit", k)) for k, item in enumerate(scenario.kit)),
        finance=_finance(scenario, of(scenario.finance, "finance")),
        loan=_loan(scenario.loan, of),
        burn_order=None,
        setup=scenario.setups[setup].name if scenario.setups else None,
        reserve=_reserve(scenario, of(scenario.reserve, "reserve")),
    )


def _judged(inputs: Inputs, fits: tuple[Fit, ...], may_burn: tuple[bool, ...]) -> Inputs:
    """Set what each machine may burn; an excluded one burns nothing."""
    machines = tuple(
        replace(
            machine,
            fit=fit,
            blend_share=np.zeros(()) if fit.key == "excluded" else machine.blend_share,
            may_burn=may,
        )
        for machine, fit, may in zip(inputs.machines, fits, may_burn, strict=True)
    )
    return replace(inputs, machines=machines)


def _used(machine: MachineInputs, inputs: Inputs, pair: tuple[Blend, Blend]) -> list[Blend]:
    """Return the blends of a machine's blend months."""
    return [
        pair[1 if inputs.winter_months[month] else 0]
        for month in range(12)
        if machine.blend_months[month]
    ]


def _fit(scenario: Scenario, inputs: Inputs, index: int, pair: tuple[Blend, Blend]) -> Fit:
    """Judge one machine; any chance of road use makes it a road machine."""
    machine, read = scenario.machines[index], inputs.machines[index]
    most = _most(machine.road_share or 0.0)
    gasoline = read.thinner is not None and as_gasoline(inputs.thinners[read.thinner].kind)
    share = any(bool(blend.thinner_share > 0.0) for blend in _used(read, inputs, pair))
    return assess(
        engine=machine.engine,
        model_year=machine.model_year,
        emission_controls=tuple(machine.emission_controls),
        on_road=most > 0.0,
        gasoline_share_above_zero=gasoline and share,
    )


def _blend_problems(
    scenario: Scenario, inputs: Inputs, blends: tuple[tuple[Blend, Blend], ...]
) -> list[Problem]:
    """Find what only the blend physics can refuse."""
    problems = []
    for machine, pair in zip(inputs.machines, blends, strict=True):
        if machine.thinner is None:
            continue
        thinner = inputs.thinners[machine.thinner]
        used = _used(machine, inputs, pair)
        where = f'[[machines]] "{machine.name}": thinner'
        gasoline = as_gasoline(thinner.kind)
        share = any(bool(blend.thinner_share > 0.0) for blend in used)
        if machine.engine == "burner" and gasoline and share:
            problems.append(
                Problem(
                    file=str(scenario.path),
                    where=where,
                    value=thinner.name,
                    message=f"{thinner.kind} in a burner's blend is refused (flash fire, 29 CFR"
                    " 1910.106); name kerosene, diesel or no thinner",
                )
            )
        if machine.may_burn and used and all(bool(blend.too_thick) for blend in used):
            limit = float(np.nan if machine.viscosity_limit is None else machine.viscosity_limit)
            problems.append(
                Problem(
                    file=str(scenario.path),
                    where=where,
                    value=thinner.name,
                    message=f"this thinner alone is thicker than the machine's {limit:g} cSt in"
                    " every one of its blend months; take a thinner one, warmer fuel, a higher"
                    " viscosity_limit, or blend_share = 0",
                )
            )
    return problems


def settle(scenario: Scenario, setup: int = 0) -> Choices:
    """Settle fits, the burn order, and what is in the plan, at expected values.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    setup : int
        Which set-up, where there are any.

    Returns
    -------
    Choices

    Raises
    ------
    ScenarioError
        If a burner's blend would hold gasoline, or a machine's thinner is too thick in all of
        its blend months.
    """
    return _SETTLED.of((scenario, setup), lambda: _settled(scenario, setup))


def _settled(scenario: Scenario, setup: int) -> Choices:
    """Read the farm at expected values and settle what holds for all others."""
    inputs = _read_all(scenario, pick_at("expected"), setup)
    blends = machine_blends(inputs, oil_pool(inputs))
    fits = tuple(_fit(scenario, inputs, index, pair) for index, pair in enumerate(blends))
    may_burn = tuple(
        fit.key != "excluded" and bool(machine.blend_share > 0.0)
        for fit, machine in zip(fits, inputs.machines, strict=True)
    )
    judged = _judged(inputs, fits, may_burn)
    problems = _blend_problems(scenario, judged, blends)
    if problems:
        raise ScenarioError(tuple(problems))
    return Choices(fits, may_burn, burn_order(judged, blends), setup, in_plan(judged))


def inputs_at(scenario: Scenario, pick: Pick, choices: Choices) -> Inputs:
    """Read a scenario with a rule of one's own for its estimates.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    pick : callable
        From a field's path, such as ``("oils", 0, "volume_per_month")``, and its value in the
        file to a number or an array of draws, in the file's units.
    choices : Choices
        From `settle`.

    Returns
    -------
    Inputs
    """
    planned = only_what_serves(whole_inputs_at(scenario, pick, choices), choices.plan)
    return served_in(planned, choices.burn_order)


def whole_inputs_at(scenario: Scenario, pick: Pick, choices: Choices) -> Inputs:
    """Read a scenario with all its kit and bills, in the plan or not, no order settled.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    pick : callable
        As for `inputs_at`.
    choices : Choices
        From `settle`: its set-up is taken.

    Returns
    -------
    Inputs
        To choose a plan from.
    """
    return _judged(_read_all(scenario, pick, choices.setup), choices.fits, choices.may_burn)


def prepare_whole(scenario: Scenario) -> Inputs:
    """Read a scenario on average with all its kit and bills, machines served as they are now.

    Parameters
    ----------
    scenario : Scenario
        As loaded.

    Returns
    -------
    Inputs
        Numbers of shape ``()``; to try other thinners with what hangs on them.

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    choices = settle(scenario)
    inputs = whole_inputs_at(scenario, pick_at("expected"), choices)
    return served_in(inputs, choices.burn_order)


def prepare(scenario: Scenario, at: At = "expected") -> Inputs:
    """Read a scenario with every estimate at one of its points: on average, unless said.

    Parameters
    ----------
    scenario : Scenario
        As loaded.
    at : {"likely", "expected", "low", "high"}
        Which point.

    Returns
    -------
    Inputs
        Numbers of shape ``()``.

    Raises
    ------
    ScenarioError
        As `settle`.
    """
    return inputs_at(scenario, pick_at(at), settle(scenario))
