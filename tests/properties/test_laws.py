"""Laws that hold for every farm: nothing lost, nothing made up, one path for one and many."""

import copy
import itertools
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import Document, farms

from econ.answers.document import document
from econ.farm.files import from_document
from econ.farm.prepare import inputs_at, pick_at, prepare, settle
from econ.farm.schema import Scenario
from econ.finance.worth import present_value
from econ.ground.errors import ScenarioError
from econ.ground.units import Floats
from econ.model.costs import COST_LINES, RUNGS
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs
from econ.model.outcome import Flows, Outcome

FARMS = 25


def scenario_of(farm: Document) -> Scenario:
    """Load a generated farm, passing over those whose thinner never thins enough."""
    try:
        scenario = from_document(farm, "farm.toml")
        settle(scenario)
    except ScenarioError as error:
        assume("thicker than the machine's" not in str(error))
        raise
    return scenario


def inputs_of(farm: Document) -> Inputs:
    return prepare(scenario_of(farm))


def conserved(flows: Flows, loss: Floats) -> None:
    """Assert that oil that came in left, was lost or is in store."""
    collected = sum(float(oil.taken) for oil in flows.oils)
    used = sum(float(v) for v in flows.oil_used)
    size = max(1.0, collected, float(flows.raw_start), float(flows.clean_start))

    raw = float(flows.raw_start) + collected - float(flows.processed)
    assert raw == pytest.approx(float(flows.raw_end), abs=1e-9 * size)
    clean = float(flows.clean_start) + float(flows.processed) * (1 - float(loss)) - used
    assert clean == pytest.approx(float(flows.clean_end), abs=1e-9 * size)


def oil_is_conserved_through_the_stores(_: Scenario, outcome: Outcome) -> None:
    inputs = outcome.inputs
    for year in (outcome.first_year, outcome.typical):
        conserved(year.flows, inputs.process.loss_share)
        assert float(year.flows.raw_end) <= float(inputs.process.raw_storage) * (1 + 1e-12)
        assert float(year.flows.clean_end) <= float(inputs.process.clean_storage) + 1e-6


def months_add_up_to_the_year(_: Scenario, outcome: Outcome) -> None:
    typical = outcome.typical
    for key in ("blend", "thinner", "fuel_replaced", "oil_used"):
        months = sum(float(getattr(month, key)) for month in typical.months)
        assert months == pytest.approx(float(typical.fuel[key]), rel=1e-9, abs=1e-9)


def a_typical_year_ends_as_it_began_or_a_caution_says_how_much_goes_into_store(
    scenario: Scenario, outcome: Outcome
) -> None:
    flows = outcome.typical.flows
    collected = sum(float(oil.taken) for oil in flows.oils)
    drift = max(
        abs(float(flows.raw_end) - float(flows.raw_start)),
        abs(float(flows.clean_end) - float(flows.clean_start)),
    )
    if drift > 0.005 * collected + 1e-9:
        assert any("store" in caution["key"] for caution in document(scenario)["cautions"])


def rungs_never_fall_when_no_oil_is_paid_for_being_taken(_: Scenario, outcome: Outcome) -> None:
    paid_for = any(float(oil.price) < 0 for oil in outcome.inputs.oils)
    typical = outcome.typical
    for by_rung in () if paid_for else (typical.per_blend, typical.per_replaced):
        steps = [float(by_rung[rung.key]) for rung in RUNGS]
        if not np.isnan(steps[0]):
            assert all(b >= a - 1e-9 for a, b in itertools.pairwise(steps))


def cost_lines_add_up_to_the_full_rung_and_to_what_savings_lose(
    _: Scenario, outcome: Outcome
) -> None:
    typical = outcome.typical
    total = sum(float(typical.costs[line.key]) for line in COST_LINES)
    lost = float(typical.savings["fuel_not_bought"]) - float(typical.savings["after_labour"])
    assert total == pytest.approx(lost, rel=1e-9, abs=1e-6)
    if float(typical.fuel["blend"]) > 0:
        full = float(typical.per_blend["full"]) * float(typical.fuel["blend"])
        assert total == pytest.approx(full, rel=1e-9, abs=1e-6)


def every_number(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [n for inner in value.values() for n in every_number(inner)]
    if isinstance(value, list):
        return [n for inner in value for n in every_number(inner)]
    return [value] if isinstance(value, float) else []


def nothing_in_the_document_is_nan_or_infinite(scenario: Scenario, _: Outcome) -> None:
    assert all(np.isfinite(n) for n in every_number(document(scenario)))


def no_machine_replaces_more_than_it_needs_and_an_excluded_one_burns_nothing(
    _: Scenario, outcome: Outcome
) -> None:
    for machine, year in zip(outcome.inputs.machines, outcome.typical.machines, strict=True):
        assert float(year.fuel_replaced) <= float(machine.fuel_per_year) * (1 + 1e-9)
        if machine.fit.key == "excluded":
            assert float(year.blend) == 0.0


def worth_at_the_internal_rate_of_return_is_zero(_: Scenario, outcome: Outcome) -> None:
    for result in outcome.ledgers.values():
        rate = result.measures["irr"]
        if np.isnan(rate):
            continue
        flows = result.ledger.flows
        # Measured against the discounted sizes, as rates near -99 % blow late flows up.
        size = float(present_value(np.abs(flows), rate))
        assert float(present_value(flows, rate)) == pytest.approx(0.0, abs=1e-9 * size)


LAWS = (
    oil_is_conserved_through_the_stores,
    months_add_up_to_the_year,
    a_typical_year_ends_as_it_began_or_a_caution_says_how_much_goes_into_store,
    rungs_never_fall_when_no_oil_is_paid_for_being_taken,
    cost_lines_add_up_to_the_full_rung_and_to_what_savings_lose,
    nothing_in_the_document_is_nan_or_infinite,
    no_machine_replaces_more_than_it_needs_and_an_excluded_one_burns_nothing,
    worth_at_the_internal_rate_of_return_is_zero,
)


# A farm is made and worked through once for all laws, which takes most of the time.
@settings(max_examples=FARMS)
@given(farms())
def test_every_law_holds_of_a_farm_whose_inputs_stay_as_they_were(farm: Document) -> None:
    scenario = scenario_of(farm)
    inputs = prepare(scenario)
    before = repr(copy.deepcopy(inputs))
    outcome = evaluate(inputs)

    assert repr(inputs) == before
    for law in LAWS:
        law(scenario, outcome)


MONEY = {
    "prices": {"road_diesel", "farm_diesel", "heating_oil", "electricity", "road_tax", "fuel_duty"},
    "hauling": {"cost_per_distance"},
    "labour": {"wage"},
    "yearly": {"cost"},
    "kit": {"cost", "new_cost", "exit_cost"},
    "filters": {"price"},
    "thinners": {"price", "refund"},
    "additives": {"price"},
    "oils": {"price"},
    "process": {"test_cost_per_batch", "disposal_cost"},
    "setups": {"test_cost_per_batch", "disposal_cost"},
    "finance": {"exit_cost"},
    "machines": {"resale_loss"},
}


def _times(value: Any, factor: float) -> Any:
    if isinstance(value, dict):
        return {key: point * factor for key, point in value.items()}
    return value * factor if isinstance(value, int | float) else value


def with_all_money_times(farm: Document, factor: float) -> Document:
    gathered = copy.deepcopy(farm)
    for table, fields in MONEY.items():
        entries = gathered.get(table, [])
        for entry in entries if isinstance(entries, list) else [entries]:
            for key in entry:
                if key in fields:
                    entry[key] = _times(entry[key], factor)
    for machine in gathered["machines"]:
        for row in machine.get("wear", []):
            row["cost"] = _times(row["cost"], factor)
    return gathered


@settings(max_examples=FARMS)
@given(farms())
def test_doubling_every_price_doubles_every_amount_and_no_rate_or_volume(farm: Document) -> None:
    # Usual wear rows are not the farm's prices: give every machine its own.
    for machine in farm["machines"]:
        machine["wear"] = machine.get("wear") or [
            {"part": "pump", "cost": 900, "extra_failures": 0.1}
        ]
    one = evaluate(inputs_of(farm))
    two = evaluate(inputs_of(with_all_money_times(farm, 2.0)))

    for key, amount in one.typical.costs.items():
        assert 2 * float(amount) == pytest.approx(float(two.typical.costs[key]), rel=1e-9)
    for key, volume in one.typical.fuel.items():
        assert float(volume) == pytest.approx(float(two.typical.fuel[key]), rel=1e-9)
    for key, ledger in one.ledgers.items():
        other = two.ledgers[key].measures
        size = float(np.abs(ledger.ledger.flows).max())
        npv = float(ledger.measures["npv"])
        assert 2 * npv == pytest.approx(float(other["npv"]), rel=1e-9, abs=1e-9 * size)


def stacked(farm: Document, count: int, seed: int) -> tuple[Outcome, list[Outcome]]:
    """Evaluate draws at once and one by one, every estimate drawn within its range."""
    scenario = scenario_of(farm)
    choices = settle(scenario)
    rng = np.random.default_rng(seed)
    drawn: dict[tuple[Any, ...], Floats] = {}
    likely = pick_at("likely")

    def all_at_once(path: tuple[Any, ...], value: Any) -> Any:
        if hasattr(value, "low"):
            return drawn.setdefault(path, rng.uniform(value.low, value.high, count))
        return likely(path, value)

    batch = evaluate(inputs_at(scenario, all_at_once, choices))

    def one_of(index: int) -> Outcome:
        def pick(path: tuple[Any, ...], value: Any) -> Any:
            return float(drawn[path][index]) if path in drawn else likely(path, value)

        return evaluate(inputs_at(scenario, pick, choices))

    return batch, [one_of(index) for index in range(count)]


@settings(max_examples=25)
@given(farms(), st.integers(0, 10_000))
def test_a_batch_of_draws_equals_the_draws_one_by_one(farm: Document, seed: int) -> None:
    batch, singles = stacked(farm, 5, seed)

    def check(name: str, whole: Floats, parts: list[Floats]) -> None:
        spread = np.broadcast_to(whole, (5,))
        np.testing.assert_allclose(
            spread, [float(part) for part in parts], rtol=1e-9, atol=1e-7, err_msg=name
        )

    for key in batch.typical.costs:
        check(key, batch.typical.costs[key], [one.typical.costs[key] for one in singles])
    for key in batch.typical.fuel:
        check(key, batch.typical.fuel[key], [one.typical.fuel[key] for one in singles])
    for ledger, result in batch.ledgers.items():
        for key, values in result.measures.items():
            if key in ("npv", "sir", "equivalent_annual", "mirr"):
                check(key, values, [one.ledgers[ledger].measures[key] for one in singles])


@settings(max_examples=FARMS)
@given(farms())
def test_without_tax_the_worth_is_the_real_yearly_saving_times_its_annuity(
    farm: Document,
) -> None:
    farm = copy.deepcopy(farm)
    finance = {
        "years": 6,
        "discount_rate": farm["finance"]["discount_rate"],
        "inflation": farm["finance"].get("inflation", 0.02),
    }
    farm["finance"] = finance
    farm.pop("loan", None)  # it changes no ledger, and may be longer than these years
    for item in farm["kit"]:
        item["life_years"] = 3
    outcome = evaluate(inputs_of(farm))
    first, typical = outcome.first_year, outcome.typical
    assume(
        float(first.savings["after_labour"])
        == pytest.approx(float(typical.savings["after_labour"]), rel=1e-12, abs=1e-12)
    )

    inputs = outcome.inputs.finance
    real = (1 + float(inputs.discount_rate)) / (1 + float(inputs.inflation)) - 1
    annuity = sum((1 + real) ** -y for y in range(1, 7))
    expected = float(typical.savings["after_labour"]) * annuity
    size = float(np.abs(outcome.ledgers["time_paid"].ledger.flows).sum())
    assert float(outcome.ledgers["time_paid"].measures["npv"]) == pytest.approx(
        expected, abs=1e-9 * size
    )


@settings(max_examples=FARMS)
@given(farms(), st.randoms(use_true_random=False))
def test_the_order_of_filters_and_kit_does_not_matter(farm: Document, random: Any) -> None:
    shuffled = copy.deepcopy(farm)
    for table in ("filters", "kit"):
        random.shuffle(shuffled[table])

    one, other = evaluate(inputs_of(farm)), evaluate(inputs_of(shuffled))

    for key, ledger in one.ledgers.items():
        size = float(np.abs(ledger.ledger.flows).sum())
        npv = float(ledger.measures["npv"])
        assert npv == pytest.approx(float(other.ledgers[key].measures["npv"]), abs=1e-9 * size)
