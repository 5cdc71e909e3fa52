"""Units: factors against their definitions, there and back, and labels in a buyer's words."""

import numpy as np
import pytest

from econ.ground.units import (
    DIMENSIONS,
    KM_PER_MILE,
    KW_PER_HORSEPOWER,
    LITRES_PER_GALLON,
    MJ_PER_BTU,
    from_canonical,
    to_canonical,
    unit_label,
)


def test_factors_follow_from_the_inch_the_pound_and_the_calorie() -> None:
    # NIST SP 811, appendix B: inch 0.0254 m and pound 0.45359237 kg exactly, g 9.80665 m/s²,
    # International Table calorie 4.1868 J; a Btu warms a pound by a degree Fahrenheit.
    foot = 12 * 0.0254

    assert pytest.approx(231 * 2.54**3 / 1000, rel=1e-15) == LITRES_PER_GALLON
    assert pytest.approx(5280 * foot / 1000, rel=1e-15) == KM_PER_MILE
    # Nine figures are printed there.
    assert pytest.approx(550 * foot * 0.45359237 * 9.80665 / 1000, rel=1e-9) == KW_PER_HORSEPOWER
    assert pytest.approx(4.1868 * 453.59237 / 1.8 / 1e6, rel=1e-12) == MJ_PER_BTU


@pytest.mark.parametrize(
    ("us", "dimension", "metric"),
    [
        (1.0, "volume", 3.785411784),
        (4.0, "price_per_volume", 4.0 / 3.785411784),
        (1.0, "price_per_distance", 1.0 / 1.609344),
        (16.0, "distance_per_volume", 16.0 * 1.609344 / 3.785411784),
        (0.45, "energy_per_volume", 0.45 / 3.785411784),
        # DOE AFDC: low-sulfur diesel 128,488 Btu/gal.
        (128_488.0, "heating_value", 128_488.0 * 1055.05585262e-6 / 3.785411784),
        (32.0, "temperature", 0.0),
        (212.0, "temperature", 100.0),
        (-40.0, "temperature", -40.0),
    ],
)
def test_a_us_number_and_its_metric_twin_are_one(us: float, dimension: str, metric: float) -> None:
    inside = to_canonical(us, dimension, "us")

    assert inside == pytest.approx(metric, rel=1e-14, abs=1e-12)
    assert to_canonical(metric, dimension, "metric") == pytest.approx(inside, rel=1e-14, abs=1e-12)


def test_failures_per_thousand_volumes_become_failures_per_litre() -> None:
    assert to_canonical(2.0, "failures_per_volume", "us") == pytest.approx(2.0 / 3785.411784)
    assert to_canonical(2.0, "failures_per_volume", "metric") == pytest.approx(2.0 / 1000.0)


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("dimension", sorted(DIMENSIONS))
def test_every_dimension_comes_back_as_it_went(dimension: str, units: str) -> None:
    values = np.array([-12.5, 0.0, 1e-6, 3.0, 128_488.0])

    back = from_canonical(to_canonical(values, dimension, units), dimension, units)

    # A temperature's offset costs the smallest numbers digits.
    np.testing.assert_allclose(back, values, rtol=1e-14, atol=1e-13)


@pytest.mark.parametrize(
    ("dimension", "units", "currency", "label"),
    [
        ("volume_per_month", "us", "USD", "gal/month"),
        ("volume_per_month", "metric", "USD", "L/month"),
        ("price_per_volume", "us", "USD", "$/gal"),
        ("price_per_volume", "metric", "AUD", "A$/L"),
        ("price_per_distance", "metric", "ZAR", "ZAR/km"),
        ("temperature", "us", "USD", "°F"),
        ("temperature", "metric", "USD", "°C"),
        ("heating_value", "us", "USD", "Btu/gal"),
        ("heating_value", "metric", "USD", "MJ/L"),
    ],
)
def test_a_label_is_in_the_files_units_and_money(
    dimension: str, units: str, currency: str, label: str
) -> None:
    assert unit_label(dimension, units, currency) == label
