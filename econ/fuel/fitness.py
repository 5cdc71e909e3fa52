"""Whether a machine may burn blend: one registry of rules, each with its basis.

The judgement is about the machine as it was built. Emission controls are part of it: a control
that used oil would foul keeps the machine on pump fuel, and the control stays where it is.
"""

from collections.abc import Callable
from typing import Literal

from msgspec import Struct

Status = Literal["excluded", "caution"]

# First model years kept on pump diesel, and the first off-road ones under caution.
ROAD_EXCLUDED_FROM = 2006
OFF_ROAD_EXCLUDED_FROM = 2011
OFF_ROAD_CAUTION_FROM = 2006


class Fit(Struct, frozen=True):
    """Whether a machine may burn blend: "suited", "caution" or "excluded", with reasons."""

    key: str
    reasons: tuple[str, ...]


class Build(Struct, frozen=True):
    """What the rules look at.

    Parameters
    ----------
    engine : str
        Engine class.
    model_year : int
        Of the engine. [yr]
    emission_controls : tuple of str
        As the file lists them.
    on_road : bool
        Whether any of its fuel is burned on public roads.
    gasoline : bool
        Whether its blend holds any gasoline.
    """

    engine: str
    model_year: int
    emission_controls: tuple[str, ...]
    on_road: bool
    gasoline: bool

    @property
    def year_binds(self) -> bool:
        """Return whether model years matter; they do not bind a burner."""
        return self.engine != "burner"


class Rule(Struct, frozen=True):
    """One rule of fit: the gravest status of all rules that apply decides."""

    key: str
    status: Status
    condition: Callable[[Build], bool]
    text: str
    """A plain sentence, whole by itself."""
    sources: tuple[str, ...]
    """Keys of the bibliography."""


def _is(engine: str) -> Callable[[Build], bool]:
    return lambda build: build.engine == engine


def _has(control: str) -> Callable[[Build], bool]:
    return lambda build: control in build.emission_controls


def _new_on_road(build: Build) -> bool:
    return build.year_binds and build.on_road and build.model_year >= ROAD_EXCLUDED_FROM


def _new_off_road(build: Build) -> bool:
    return build.year_binds and not build.on_road and build.model_year >= OFF_ROAD_EXCLUDED_FROM


def _late_off_road(build: Build) -> bool:
    years = range(OFF_ROAD_CAUTION_FROM, OFF_ROAD_EXCLUDED_FROM)
    return build.year_binds and not build.on_road and build.model_year in years


def _gasoline_in_rotary(build: Build) -> bool:
    return build.engine == "rotary pump" and build.gasoline


RULES = (
    Rule(
        "late_common_rail", "excluded", _is("late common rail"),
        "Late common rail: pressures too high and parts too fine for used oil, so it stays on pump"
        " diesel.",
        ("common_practice",),
    ),
    Rule(
        "particulate_filter", "excluded", _has("particulate filter"),
        "Particulate filter: ash from used oil would plug it, so the machine stays on pump diesel"
        " and the filter stays in place.",
        ("common_practice", "usc_42_7522"),
    ),
    Rule(
        "catalyst", "excluded", _has("catalyst"),
        "Catalyst: metals and sulfur from used oil would spoil it, so the machine stays on pump"
        " diesel and the catalyst stays in place.",
        ("common_practice", "usc_42_7522"),
    ),
    Rule(
        "road_2006", "excluded", _new_on_road,
        "Road machine of model year 2006 or later: a US federal rule bars used motor oil from model"
        " year 2007 on (40 CFR 80.522), and it is built around diesel of at most 15 ppm sulfur (40"
        " CFR 1090.305), so it stays on pump diesel.",
        ("cfr_80_522", "cfr_1090_305"),
    ),
    Rule(
        "off_road_2011", "excluded", _new_off_road,
        "Off-road machine of model year 2011 or later: a US federal rule bars used motor oil from"
        " model year 2011 on (40 CFR 80.522), and it is built around diesel of at most 15 ppm"
        " sulfur (40 CFR 1090.305), so it stays on pump diesel.",
        ("cfr_80_522", "cfr_1090_305"),
    ),
    Rule(
        "exhaust_gas_recirculation", "caution", _has("exhaust gas recirculation"),
        "Exhaust gas recirculation: it leads soot and ash back into the intake, so expect deposits"
        " and cleaning; it stays connected and working.",
        ("common_practice", "usc_42_7522"),
    ),
    Rule(
        "optical_sensor", "caution", _has("optical sensor"),
        "Optical sensor: it looks through the fuel, and dark blend can blind it and stop the"
        " engine; it stays fitted and working.",
        ("common_practice",),
    ),
    Rule(
        "early_common_rail", "caution", _is("early common rail"),
        "Early common rail: a set of injectors is dear, and they are the first to wear.",
        ("common_practice",),
    ),
    Rule(
        "unit_injector", "caution", _is("unit injector"),
        "Unit injectors: one engine maker asks for 1.4 to 20 cSt at the injector, and a set is"
        " dear.",
        ("unit_injector_window",),
    ),
    Rule(
        "hydraulic_unit_injector", "caution", _is("hydraulic unit injector"),
        "Oil-driven unit injectors: they stick and wear on dirty or thick blend, and a set is"
        " dear.",
        ("common_practice",),
    ),
    Rule(
        "gasoline_in_rotary_pump", "caution", _gasoline_in_rotary,
        "Rotary pump with gasoline: the fuel is this pump's only lubricant, and gasoline is a dry"
        " one.",
        ("common_practice",),
    ),
    Rule(
        "off_road_2006", "caution", _late_off_road,
        "Off-road machine of model year 2006 to 2010: its fuel system and exhaust were built while"
        " sulfur limits fell (US federal fuel rule 40 CFR 1090.305), so ask its maker first.",
        ("cfr_1090_305",),
    ),
)  # fmt: skip


def assess(
    engine: str,
    model_year: int,
    emission_controls: tuple[str, ...],
    *,
    on_road: bool,
    gasoline_share_above_zero: bool,
) -> Fit:
    """Judge whether a machine may burn blend.

    Parameters
    ----------
    engine : str
        Engine class.
    model_year : int
        Of the engine. [yr]
    emission_controls : tuple of str
        As the file lists them.
    on_road : bool
        Whether any of its fuel is burned on public roads.
    gasoline_share_above_zero : bool
        Whether its blend holds any gasoline in any of its blend months.

    Returns
    -------
    Fit
        "excluded" if any rule excludes it, else "caution" if any cautions, else "suited", with
        the sentence of every rule that applies.

    Examples
    --------
    >>> assess("inline pump", 1995, (), on_road=False, gasoline_share_above_zero=True).key
    'suited'
    >>> assess("rotary pump", 2012, (), on_road=False, gasoline_share_above_zero=True).key
    'excluded'
    """
    build = Build(engine, model_year, emission_controls, on_road, gasoline_share_above_zero)
    applying = [rule for rule in RULES if rule.condition(build)]
    statuses = {rule.status for rule in applying}
    key = next((status for status in ("excluded", "caution") if status in statuses), "suited")
    return Fit(key, tuple(rule.text for rule in applying))
