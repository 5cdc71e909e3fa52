"""Usual limits of thickness, by class: judgement, held between figures in print.

No source gives a limit of used-oil blends by pump class. What is printed of the machines' own
fuels bounds them: grades of diesel, one engine maker's window, grades of burner fuel.
"""

import pytest
from printed import outside

from econ.fuel.substances import UNWARMED_FUEL, USUAL_LIMITS

# ASTM D975, table 1: grade 2-D 1.9 to 4.1 and grade 4-D, for engines of constant speed and load,
# 5.5 to 24.0 cSt at 40 °C. One engine maker: 1.4 to 20 cSt at unit injectors.
GRADE_2D, GRADE_4D = 4.1, (5.5, 24.0)
MOST_AT_INJECTORS = 20.0
outside(
    "ASTM D975, table 1",
    [("2-D, most", GRADE_2D), ("4-D, least", GRADE_4D[0]), ("4-D, most", GRADE_4D[1])],
)
outside("unit-injector guidance", [("most at the injector", MOST_AT_INJECTORS)])


@pytest.mark.parametrize("engine", [e for e in USUAL_LIMITS if e != "burner"])
def test_an_engines_limit_is_thicker_than_diesel_and_within_the_thick_grade(engine: str) -> None:
    assert GRADE_2D < USUAL_LIMITS[engine] <= GRADE_4D[1]


@pytest.mark.parametrize("engine", ["unit injector", "hydraulic unit injector"])
def test_a_unit_injectors_limit_lies_in_its_makers_window(engine: str) -> None:
    assert 1.4 < USUAL_LIMITS[engine] < MOST_AT_INJECTORS


def test_limits_stand_as_they_were_judged() -> None:
    # Judgement, no source: the table itself, so that a slip of a digit is seen.
    assert USUAL_LIMITS == {
        "indirect injection": 12.0,
        "inline pump": 12.0,
        "unit injector": 12.0,
        "hydraulic unit injector": 12.0,
        "rotary pump": 7.0,
        "early common rail": 7.0,
        "late common rail": 7.0,
        "burner": 30.0,
    }


def test_fuel_that_nobody_warms() -> None:
    # Common practice, no source: 40 °C, diesel's own reference temperature (ASTM D975), is the
    # warmest that fuel gets in an engine's heat alone; a gasoline blend is held to it.
    assert pytest.approx(40.0) == UNWARMED_FUEL
