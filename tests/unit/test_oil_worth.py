"""What oil is worth: the model with and without a source, and with a drum more."""

from pathlib import Path

import builders
import numpy as np
import pytest

from econ.farm.files import load
from econ.farm.prepare import prepare
from econ.ground.records import replace
from econ.model.changes import without_source
from econ.model.evaluate import evaluate
from econ.model.inputs import Inputs, LabourInputs
from econ.questions.oils import SourceWorth, oil_worth
from econ.questions.source_edits import (
    DRUM,
    at_distance,
    with_drum_at_gate,
    with_drum_fetched,
)

QUILLMERE = Path(__file__).parents[2] / "scenarios" / "quillmere.toml"


def hungry(**changes: object) -> Inputs:
    """Return a farm whose tractor could burn far more oil than its two sources bring."""
    garage = builders.oil(
        "Garage",
        own=False,
        volume_per_month=50.0,
        load_volume=builders.number(200.0),
        round_trip=20.0,
        hours_per_trip=1.0,
    )
    settled = builders.inputs(
        oils=(builders.oil(), garage), burn_order=(0,), cost_per_distance=builders.number(0.5)
    )
    return replace(settled, **changes)  # type: ignore[arg-type]


def sated() -> Inputs:
    """Return a farm that burns less than its own oil already brings."""
    return hungry(machines=(builders.machine(fuel_per_year=300.0),))


def source(inputs: Inputs, name: str) -> SourceWorth:
    return next(s for s in oil_worth(inputs).sources if inputs.oils[s.oil].name == name)


def worth(inputs: Inputs, ledger: str = "time_paid") -> float:
    return float(evaluate(inputs).per_year(ledger))


def test_a_source_keeps_what_the_year_without_it_lacks() -> None:
    inputs = hungry()
    result = source(inputs, "Garage")
    gone = replace(
        inputs, oils=(inputs.oils[0], replace(inputs.oils[1], volume_per_month=np.zeros(())))
    )

    assert float(result.kept.time_paid) == worth(inputs) - worth(gone)
    before = worth(inputs, "time_free") - worth(gone, "time_free")
    assert float(result.kept.time_free) == before


def test_per_volume_trip_and_hour_are_what_is_kept_by_each() -> None:
    inputs = hungry()
    result = source(inputs, "Garage")

    assert result.taken == pytest.approx(600.0)
    assert result.trips == pytest.approx(3.0)
    # Three hours of hauling and one an every 200 L cleaned.
    assert result.hours == pytest.approx(3.0 + 600.0 / 200.0)
    assert result.kept_per_volume == pytest.approx(float(result.kept.time_paid) / 600.0)
    assert result.kept_per_trip == pytest.approx(float(result.kept.time_paid) / 3.0)
    assert result.kept_per_hour == pytest.approx(float(result.kept.time_free) / 6.0)


def test_a_drum_at_the_gate_is_the_model_with_one_drum_added() -> None:
    inputs = hungry()
    drum = builders.oil("Drum", own=False, volume_per_month=DRUM / 12.0)
    more = replace(inputs, oils=(*inputs.oils, drum))

    for key in ("time_paid", "time_free"):
        added = worth(more, key) - worth(inputs, key)
        for result in oil_worth(inputs).sources:
            assert float(getattr(result.drum, key)) == pytest.approx(added, abs=1e-9)


def test_a_drum_is_worth_the_fuel_it_replaces_less_the_hours_it_takes() -> None:
    # By hand: clean oil alone, no losses; 208.2 L of oil at 36.17 MJ/L replaces
    # 208.2 x 36.17 / (1.02 x 35.81) L of diesel at 1.10, and takes an hour of 20.00 each 200 L.
    inputs = hungry()
    oil = inputs.oils[0]
    fuel = DRUM * float(oil.heating_value) / (1.02 * 35.8126) * 1.1

    result = source(inputs, "Own oil").drum

    assert float(result.time_free) == pytest.approx(fuel, rel=1e-4)
    assert float(result.time_paid) == pytest.approx(fuel - DRUM / 200.0 * 20.0, rel=1e-3)


def test_a_fetched_drum_pays_its_price_and_its_trips() -> None:
    inputs = hungry()
    priced = replace(inputs.oils[1], price=np.asarray(0.1))
    result = source(replace(inputs, oils=(inputs.oils[0], priced)), "Garage")
    trips = DRUM / 200.0

    gap = float(result.drum.time_paid - result.drum_fetched.time_paid)

    # A trip is 20 km at 0.50 and one hour at 20.00.
    assert gap == pytest.approx(DRUM * 0.1 + trips * (20.0 * 0.5 + 20.0), rel=1e-9)


def test_where_oil_is_not_what_binds_a_drum_adds_nothing_to_a_typical_year() -> None:
    inputs = sated()
    for result in oil_worth(inputs).sources:
        for more in (with_drum_at_gate(inputs, result.oil), with_drum_fetched(inputs, result.oil)):
            with_it, without = (evaluate(farm).typical.savings for farm in (more, inputs))
            assert float(with_it["after_labour"] - without["after_labour"]) <= 1e-9
        # Only the first year's empty stores take some of it.
        assert float(result.drum.time_paid) < 0.02 * DRUM
        assert float(result.drum_fetched.time_paid) < 0.02 * DRUM


def test_at_the_farthest_trip_the_source_keeps_nothing() -> None:
    inputs = hungry()
    result = source(inputs, "Garage")
    farther = at_distance(inputs, result.oil, result.farthest)

    kept = worth(farther) - worth(without_source(inputs, result.oil))

    assert float(result.farthest) > 20.0
    assert kept == pytest.approx(0.0, abs=1e-6)
    assert worth(at_distance(inputs, 1, result.farthest + 1.0)) < worth(farther)


def test_a_source_that_does_not_pay_next_door_has_no_farthest_trip() -> None:
    inputs = hungry()
    dear = replace(inputs.oils[1], price=np.asarray(5.0))
    result = source(replace(inputs, oils=(inputs.oils[0], dear)), "Garage")

    assert np.isnan(result.farthest)
    assert not result.always_pays


def test_where_trips_cost_nothing_any_distance_pays() -> None:
    nothing = np.zeros(())
    inputs = hungry(
        cost_per_distance=nothing, labour=LabourInputs(nothing, nothing, nothing, wage_taxed=True)
    )
    result = source(inputs, "Garage")

    assert result.always_pays
    assert np.isnan(result.farthest)


def test_thick_oil_asks_for_more_thinner_and_thin_oil_for_less() -> None:
    inputs = prepare(load(QUILLMERE))
    thick = source(inputs, "Gravel haulers' yard")
    thin = source(inputs, "Transmission bench in town")

    assert all(effect.share > effect.share_without for effect in thick.shares)
    assert all(effect.share < effect.share_without for effect in thin.shares)
    assert thin.viscosity < thin.pool_without


def test_without_its_only_oil_a_farm_has_no_pool() -> None:
    inputs = hungry(oils=(builders.oil(),))
    result = oil_worth(inputs).sources[0]

    assert np.isnan(result.pool_without)
    assert result.shares == ()


def test_sources_come_by_what_they_keep() -> None:
    kept = [float(s.kept.time_paid) for s in oil_worth(prepare(load(QUILLMERE))).sources]

    assert kept == sorted(kept, reverse=True)
