"""Days without delivery: the linear program, what a reserve holds back, what it costs."""

from pathlib import Path

import numpy as np
import pytest
from builders import inputs, machine, number, thinner
from hypothesis import given, settings
from hypothesis import strategies as st

from dashboards.page.second import second_page
from econ.answers.decision import decide
from econ.answers.document import document
from econ.answers.reserve_document import reserve_document
from econ.farm.files import from_document, load
from econ.farm.merging import Document
from econ.farm.prepare import prepare
from econ.ground.records import replace
from econ.ground.written import Numbers
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs, ReserveInputs
from econ.questions.reserve import CLEAN_OIL, THINNER, Need, Stock, lasting, reserve

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FARM = SCENARIOS / "hollowmere.toml"

volumes = st.integers(0, 4000).map(lambda k: k / 8.0)
daily = st.integers(1, 800).map(lambda k: k / 16.0)
shares = st.integers(0, 19).map(lambda k: k / 20.0)


def need(fuel: float, ratio: float, x: float, which: int | None = 0) -> Need:
    return Need(fuel, fuel * ratio * (1.0 - x), fuel * ratio * x, which, may_blend=True)


@given(daily, st.floats(0.8, 1.4), shares, volumes, volumes, volumes)
def test_one_machine_lasts_as_the_closed_form_says(
    fuel: float, ratio: float, x: float, oil: float, thin: float, diesel: float
) -> None:
    result = lasting([need(fuel, ratio, x)], Stock(oil, diesel, (thin,), (False,)))

    by_oil = oil / (fuel * ratio * (1.0 - x))
    by_thinner = thin / (fuel * ratio * x) if x > 0.0 else np.inf
    assert result.days == pytest.approx(diesel / fuel + min(by_oil, by_thinner), rel=1e-7, abs=1e-7)
    if abs(by_oil - by_thinner) > 1e-6 * (by_oil + 1.0):
        assert result.binds == (CLEAN_OIL if by_oil < by_thinner else THINNER)


@given(daily, shares, volumes, volumes, volumes)
def test_diesel_as_a_thinner_is_drawn_from_the_tank_as_well(
    fuel: float, x: float, oil: float, thin: float, diesel: float
) -> None:
    result = lasting([need(fuel, 1.0, x)], Stock(oil, diesel, (thin,), (True,)))

    # Its own first, then the tank's; what is left of the tank runs the machine by itself. A
    # day on blend spares (1 - x) days of diesel, so that all oil is burned that can be thinned.
    blend = oil / (1.0 - x)
    most = (thin + diesel) / x if x > 0.0 else np.inf
    made = min(blend, most)
    left = diesel - max(0.0, made * x - thin)
    assert result.days == pytest.approx((made + left) / fuel, rel=1e-7, abs=1e-7)


machines = st.lists(
    st.tuples(daily, st.floats(0.8, 1.4), shares, st.integers(0, 1), st.booleans()),
    min_size=1,
    max_size=4,
)


@settings(max_examples=40)
@given(machines, volumes, volumes, volumes, volumes, st.integers(0, 3), volumes)
def test_more_of_anything_never_gives_fewer_days(
    given_machines: list[tuple[float, float, float, int, bool]],
    oil: float,
    diesel: float,
    first: float,
    second: float,
    which: int,
    more: float,
) -> None:
    needs = [
        replace(need(fuel, ratio, x, thinner), may_blend=may)
        for fuel, ratio, x, thinner, may in given_machines
    ]
    amounts = [oil, diesel, first, second]
    days = lasting(needs, Stock(oil, diesel, (first, second), (False, True))).days
    amounts[which] += more
    stock = Stock(amounts[0], amounts[1], (amounts[2], amounts[3]), (False, True))

    assert lasting(needs, stock).days >= days - 1e-6 * (1.0 + days)
    assert days >= diesel / sum(one.fuel for one in needs) - 1e-6


def essential(**kept: float) -> Inputs:
    """Return a generator on kerosene that needs 20 L a day."""
    generator = machine(
        "Generator", thinner=0, thinner_share=0.3, essential_per_day=20.0, fuel_per_year=400.0
    )
    held = {key: number(value) for key, value in kept.items() if key != "thinner"}
    return inputs(
        machines=(generator,),
        thinners=(thinner("kerosene"),),
        reserve=ReserveInputs(**held, thinners=(number(kept.get("thinner", 0.0)),)),  # type: ignore[arg-type]
    )


def test_the_plan_never_burns_what_is_held_back() -> None:
    outcome = evaluate(essential(clean_oil=150.0, thinner=40.0))
    bare = evaluate(essential(thinner=40.0))

    assert all(float(m.clean_end) >= 150.0 - 1e-9 for m in outcome.typical.months)
    # Year 1 begins with empty stores: nothing is burned before the reserve is there.
    for month in outcome.first_year.months:
        assert float(month.oil_used) == 0.0 or float(month.clean_end) >= 150.0 - 1e-9
    first = [float(of.first_year.fuel["oil_used"]) for of in (bare, outcome)]
    assert 0.0 < first[0] - first[1] <= 150.0 + 1e-9


def test_holding_back_costs_what_two_evaluations_say() -> None:
    held = evaluate(essential(clean_oil=150.0, thinner=40.0))
    bare = evaluate(essential(thinner=40.0))
    result = reserve(held)

    assert result is not None
    for key in ("time_free", "time_paid"):
        gap = [float(of.ledgers[key].measures["equivalent_annual"]) for of in (bare, held)]
        assert result.cost[key] == pytest.approx(gap[0] - gap[1], abs=1e-9)
    assert [month.days for month in result.without] == [m.days for m in reserve(bare).months]  # type: ignore[union-attr]


def test_a_machine_lasts_on_pump_fuel_in_months_without_blend() -> None:
    farm = essential(clean_oil=50.0, thinner=40.0, diesel=100.0)
    winterless = tuple(month not in (0, 11) for month in range(12))
    farm = replace(farm, machines=(replace(farm.machines[0], blend_months=winterless),))
    result = reserve(evaluate(farm))

    assert result is not None
    assert result.diesel_alone == 5.0
    assert [result.months[k].days for k in (0, 11)] == [5.0, 5.0]
    assert [result.months[k].binds for k in (0, 11)] == [None, None]
    assert result.months[5].days > 5.0


def test_nothing_essential_has_no_reserve_and_leaves_all_else_as_it_was() -> None:
    assert reserve(evaluate(inputs())) is None
    raw = load(FARM).merged
    plain: Document = {key: value for key, value in raw.items() if key != "reserve"}
    plain["machines"] = [
        {k: v for k, v in entry.items() if k != "essential_per_day"} for entry in raw["machines"]
    ]
    nothing_held = {**plain, "reserve": {**raw["reserve"], "clean_oil": 0.0}}
    nothing_held["machines"] = raw["machines"]
    ours, theirs = (document(from_document(doc, FARM)) for doc in (nothing_held, plain))

    assert ours.pop("reserve") is not None
    assert theirs.pop("reserve") is None
    told = {"exhaust_when_essential", "transfer_switch"}
    ours["cautions"] = [c for c in ours["cautions"] if c["key"] not in told]
    assert ours == theirs


def test_the_generator_farm_says_what_its_reserve_buys() -> None:
    outcome = evaluate(prepare(load(FARM), at="expected"))
    result = reserve_document(outcome, Numbers("us", "USD"))

    assert result is not None
    text = " ".join(result["sentences"])
    # 20 gal at 5 gal a day.
    assert result["diesel_alone"] == pytest.approx(4.0)
    assert "on the pump fuel on hand alone 4." in text
    assert "The 25 gal held back add up to" in text
    assert "has not been run on its blend in the cold is no reserve" in text
    assert min(result["days"]) >= min(result["days_without"])


def test_the_page_shows_whole_days_and_nothing_without_an_essential_machine() -> None:
    farms = {
        name: second_page(decide(load(SCENARIOS / f"{name}.toml"), draws=64))
        for name in ("hollowmere", "wrenfold")
    }

    assert "When nothing is delivered" in farms["hollowmere"]
    assert "is no reserve" in farms["hollowmere"]
    assert "When nothing is delivered" not in farms["wrenfold"]
