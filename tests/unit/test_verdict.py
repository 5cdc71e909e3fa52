"""Rules of the advice speak where their figure is passed, and not before it.

The figures are judgement, no source: a plan under 300 gal a year, a tenth of headroom over the
break-even price, a quarter of the blend in machines under caution, an even chance.
"""

from pathlib import Path

import pytest
from builders import farm, gallons, machine, number, oil

from econ.advice.verdict import RULES, Case, Odds, advise, stands_without_chances
from econ.answers.document import answer
from econ.farm.files import load
from econ.fuel.fitness import Fit
from econ.ground.records import replace
from econ.ground.wording import Wording

SCENARIOS = Path(__file__).parents[2] / "scenarios"
OIL = oil(volume_per_month=gallons(200.0))
RULE = {rule.key: rule for rule in RULES}
WORDS = Wording("us", "USD")


def reason(key: str, *, odds: Odds | None = None, **tables: object) -> str | None:
    outcome = farm(oils=(OIL,), **tables).outcome
    return RULE[key].reason(Case(outcome, odds, WORDS))


@pytest.mark.parametrize(("burned", "speaks"), [(290.0, True), (310.0, False), (0.0, True)])
def test_a_small_plan_is_called_small(burned: float, speaks: bool) -> None:
    tractor = machine(fuel_per_year=gallons(burned))

    assert (reason("small", machines=(tractor,)) is not None) is speaks


@pytest.mark.parametrize(("burned", "speaks"), [(0.0, True), (10.0, False)])
def test_a_plan_that_replaces_nothing_is_none(burned: float, speaks: bool) -> None:
    tractor = machine(fuel_per_year=gallons(burned))

    assert (reason("no_fuel", machines=(tractor,)) is not None) is speaks


@pytest.mark.parametrize(("part", "speaks"), [(240.0, False), (260.0, True)])
def test_a_quarter_of_the_blend_under_caution_asks_for_a_trial(part: float, speaks: bool) -> None:
    held = machine("Loader", fit=Fit("caution", ("Rotary pump.",)), fuel_per_year=gallons(part))
    sound = machine("Tractor", fuel_per_year=gallons(1_000.0 - part))

    assert (reason("under_caution", machines=(held, sound)) is not None) is speaks


@pytest.mark.parametrize(("chance", "speaks"), [(0.49, True), (0.51, False)])
def test_an_even_chance_is_asked_for(chance: float, speaks: bool) -> None:
    odds = Odds(mean_paid=100.0, chance_paid=chance, one_in_twenty=0.0)

    assert (reason("unsure", odds=odds) is not None) is speaks


@pytest.mark.parametrize(("floor", "speaks"), [(0.90, False), (0.92, True)])
def test_a_tenth_of_headroom_over_the_break_even_price_is_asked_for(
    floor: float, speaks: bool
) -> None:
    outcome = farm(oils=(OIL,)).outcome
    paid = outcome.ledgers["time_paid"]
    price = float(paid.ledger.mean_price)
    moved = replace(paid, measures=paid.measures | {"break_even_fuel_price": number(floor * price)})
    ledgers = outcome.ledgers | {"time_paid": moved}

    result = RULE["near_break_even"].reason(Case(replace(outcome, ledgers=ledgers), None, WORDS))

    assert (result is not None) is speaks


WORST = Odds(mean_paid=-1e9, chance_paid=0.0, one_in_twenty=-1e9)
BEST = Odds(mean_paid=1e9, chance_paid=1.0, one_in_twenty=1e9)


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_no_chances_turn_an_advice_that_is_said_to_stand(path: Path) -> None:
    """The pages give it at once, before any chance is counted."""
    worked = answer(load(path))
    alone = worked.advice
    labels = {advise(Case(worked.expected, odds, WORDS)).label for odds in (WORST, BEST)}

    if stands_without_chances(alone):
        assert labels == {alone.label}
    else:
        assert labels == {alone.label, "Try small first."}
