"""Which machines may burn blend, and what is said of it."""

import re
from dataclasses import dataclass

import pytest

from econ.fuel.fitness import RULES, Fit, Rule, assess
from econ.ground.sources import SOURCES

BY_KEY = {rule.key: rule for rule in RULES}


@dataclass(frozen=True)
class Machine:
    """One machine to judge: an old off-road inline pump unless said otherwise."""

    engine: str = "inline pump"
    year: int = 1990
    controls: tuple[str, ...] = ()
    road: bool = False
    gasoline: bool = False

    def fit(self) -> Fit:
        return assess(
            self.engine,
            self.year,
            self.controls,
            on_road=self.road,
            gasoline_share_above_zero=self.gasoline,
        )


# A rule's key, a machine it binds, and the nearest machine it does not.
CASES = (
    ("late_common_rail", Machine(engine="late common rail"), Machine(engine="early common rail")),
    (
        "particulate_filter",
        Machine(controls=("particulate filter",)),
        Machine(controls=("optical sensor",)),
    ),
    ("catalyst", Machine(controls=("catalyst",)), Machine()),
    ("road_2006", Machine(year=2006, road=True), Machine(year=2005, road=True)),
    ("off_road_2011", Machine(year=2011), Machine(year=2010)),
    (
        "exhaust_gas_recirculation",
        Machine(controls=("exhaust gas recirculation",)),
        Machine(),
    ),
    ("optical_sensor", Machine(controls=("optical sensor",)), Machine()),
    ("early_common_rail", Machine(engine="early common rail"), Machine(engine="rotary pump")),
    ("unit_injector", Machine(engine="unit injector"), Machine(engine="hydraulic unit injector")),
    (
        "hydraulic_unit_injector",
        Machine(engine="hydraulic unit injector"),
        Machine(engine="unit injector"),
    ),
    (
        "gasoline_in_rotary_pump",
        Machine(engine="rotary pump", gasoline=True),
        Machine(engine="rotary pump"),
    ),
    ("off_road_2006", Machine(year=2010), Machine(year=2011)),
)


# Common practice, no source: what keeps a machine on pump fuel, and what only asks for care.
KEEPS_ON_PUMP_FUEL = {
    "late_common_rail",
    "particulate_filter",
    "catalyst",
    "road_2006",
    "off_road_2011",
}


def test_which_rules_keep_a_machine_on_pump_fuel() -> None:
    assert {rule.key for rule in RULES if rule.status == "excluded"} == KEEPS_ON_PUMP_FUEL
    assert {rule.status for rule in RULES} == {"excluded", "caution"}


def test_every_rule_has_a_case() -> None:
    assert [key for key, _, _ in CASES] == [rule.key for rule in RULES]


@pytest.mark.parametrize(("key", "bound", "free"), CASES)
def test_a_rule_binds_its_machine_and_no_other(key: str, bound: Machine, free: Machine) -> None:
    rule = BY_KEY[key]

    assert bound.fit() == Fit(rule.status, (rule.text,))
    assert rule.text not in free.fit().reasons


@pytest.mark.parametrize("engine", ["indirect injection", "inline pump", "rotary pump", "burner"])
def test_old_machines_without_controls_are_suited(engine: str) -> None:
    assert Fit("suited", ()) == Machine(engine=engine, road=True).fit()


@pytest.mark.parametrize("road", [False, True])
@pytest.mark.parametrize("year", [2006, 2010, 2011, 2025])
def test_model_years_do_not_bind_a_burner(year: int, road: bool) -> None:
    assert Machine(engine="burner", year=year, road=road).fit().key == "suited"


def test_off_road_2006_to_2010_is_caution_at_both_ends() -> None:
    keys = [Machine(year=year).fit().key for year in (2005, 2006, 2010, 2011)]

    assert keys == ["suited", "caution", "caution", "excluded"]


def test_a_road_machine_is_not_judged_by_off_road_years() -> None:
    reasons = Machine(year=2012, road=True).fit().reasons

    assert reasons == (BY_KEY["road_2006"].text,)


def test_gasoline_is_no_matter_in_an_inline_pump() -> None:
    assert Machine(gasoline=True).fit().key == "suited"


def test_the_gravest_decides_and_every_rule_is_listed() -> None:
    fit = Machine(
        engine="rotary pump", year=2012, gasoline=True, controls=("optical sensor", "catalyst")
    ).fit()
    named = ("catalyst", "off_road_2011", "optical_sensor", "gasoline_in_rotary_pump")

    assert fit.key == "excluded"
    assert set(fit.reasons) == {BY_KEY[key].text for key in named}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.key)
def test_every_rule_is_a_plain_sentence_with_a_known_basis(rule: Rule) -> None:
    assert rule.sources
    assert set(rule.sources) <= set(SOURCES)
    assert rule.text[0].isupper()
    assert rule.text.endswith(".")
    assert ":" in rule.text, "the rule is named before the colon"
    assert not re.search(r"legal", rule.text, re.IGNORECASE)
    assert len(rule.text) < 250


CONTROLS = ("particulate_filter", "catalyst", "exhaust_gas_recirculation", "optical_sensor")


@pytest.mark.parametrize("key", CONTROLS)
def test_a_control_is_said_to_stay(key: str) -> None:
    assert re.search(r"\bstays? (in place|connected|fitted)", BY_KEY[key].text)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.key)
def test_no_reason_speaks_of_taking_a_control_off(rule: Rule) -> None:
    assert not re.search(
        r"remov|bypass|delet|disabl|defeat|unplug|disconnect|take (it|them) off|block|blank",
        rule.text,
        re.IGNORECASE,
    )
