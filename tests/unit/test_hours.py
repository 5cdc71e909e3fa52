"""Hours to spare hold in every month, driving and drum together, whatever waits in store."""

import pytest
from builders import farm, gallons, machine, number, oil, process

# A store filled while nothing was burned is cleaned later, in months that also fetch.
BURNS = tuple(month in (7, 8, 9) for month in range(1, 13))
LIMIT = 20.0


@pytest.mark.parametrize("per_trip", [0.5, 4.0])
def test_no_month_takes_more_hours_than_there_are(per_trip: float) -> None:
    garage = oil(
        "Garage",
        own=False,
        volume_per_month=gallons(60.0),
        load_volume=gallons(20.0),
        hours_per_trip=per_trip,
    )
    cleaning = process(
        batch_volume=gallons(50.0),
        hours_per_batch=10.0,
        hours_per_month=number(LIMIT),
        raw_storage=gallons(2_000.0),
        clean_storage=gallons(100.0),
    )
    tractor = machine(blend_months=BURNS, fuel_per_year=gallons(6_000.0))
    one = farm(oils=(garage,), process=cleaning, machines=(tractor,))

    hours = [float(month.hours) for month in one.outcome.typical.months]

    assert max(hours) <= LIMIT + 1e-9
    # The bound is met, not merely kept: the store is cleaned as fast as the hours allow.
    assert max(hours) == pytest.approx(LIMIT)
