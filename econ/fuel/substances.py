"""What oils and thinners are: density, viscosity, heat, flash, cetane, each with its source.

Typical drained samples vary far more than the digits suggest: every value can be overridden in
a farm file, and should be once measured.
"""

from msgspec import Struct

from econ.ground.units import LITRES_PER_GALLON, MJ_PER_BTU

# What flashes below this, 100 °F, is handled as gasoline is: bonding and metal containers by
# osha_1910_106 (e)(6)(ii) and nfpa_30, and never in a burner. [°C]
AS_GASOLINE_BELOW = 340.0 / 9.0
# Water boils and fuel runs warmer than this only where someone warms it. [°C]
UNWARMED_FUEL = 40.0


def _per_litre(btu_per_gallon: float) -> float:
    """Return MJ/L from Btu per US gallon."""
    return btu_per_gallon * MJ_PER_BTU / LITRES_PER_GALLON


# Btu/gal, lower heating value of low-sulfur No. 2 diesel; afdc.
DIESEL_HEATING_VALUE = _per_litre(128_488)


class Substance(Struct, frozen=True):
    """One kind of oil or thinner."""

    kind: str
    density: float
    """At 15 °C. [kg/L]"""
    viscosity_points: tuple[tuple[float, float], tuple[float, float]]
    """Two (temperature [°C], kinematic viscosity [cSt])."""
    heating_value: float
    """Lower heating value. [MJ/L]"""
    flash: float
    """Closed cup, the low end for oils. [°C]"""
    cetane: str
    """Starting quality in words; "not rated" for oils."""
    sources: dict[str, str]
    """Source key by field."""
    concerns: tuple[str, ...] = ()
    """What to look out for as a thinner, beside fire and rules."""
    dry: bool = False
    """Whether a pump lubricated by its fuel runs drier on it; so does all that is as gasoline."""
    draws_water: bool = False
    """Whether it takes up water, as ethanol does."""
    vapour_harms: bool = False
    """Whether breathing its vapour is a known harm at workplace levels."""
    is_diesel: bool = False
    """Whether the used-oil rules name it: own oil mixed with it, for own vehicles, leaves them."""
    may_hold_pcb: bool = False
    """Whether old stock of it is known to hold PCBs."""
    needs_pcb_test: bool = False
    """Whether it is refused without a PCB test in hand."""

    @property
    def as_gasoline(self) -> bool:
        """Return whether it, and any blend with it, is treated as gasoline: by flash alone."""
        return self.flash < AS_GASOLINE_BELOW

    @property
    def runs_dry(self) -> bool:
        """Return whether a pump lubricated by its fuel runs drier on it than on diesel."""
        return self.dry or self.as_gasoline

    @property
    def unsourced(self) -> tuple[str, ...]:
        """Return which of its figures nobody was found to have published."""
        return tuple(field for field, key in self.sources.items() if key == "no_source_found")


_FIELDS = ("density", "viscosity_points", "heating_value", "flash", "cetane")


def _sources(**published: str) -> dict[str, str]:
    return {field: published.get(field, "no_source_found") for field in _FIELDS}


OILS = {
    oil.kind: oil
    for oil in (
        Substance(
            "engine oil", 0.885, ((40.0, 66.0), (100.0, 10.0)),
            # 40 CFR 98 gross heat of used oil, 138,000 Btu/gal, times 0.9403 for net.
            _per_litre(129_760), 59.0, "not rated",
            _sources(heating_value="cfr_98_c1", flash="noaa_used_oil",
                         viscosity_points="noaa_virgin_oil", density="noaa_used_oil"),
        ),
        Substance(
            "transmission fluid", 0.865, ((40.0, 34.5), (100.0, 7.3)),
            # Flash: no table found; the lowest of the thin lubricating oils measured.
            _per_litre(131_763), 76.0, "not rated",
            _sources(flash="noaa_spindle_oil", heating_value="cfr_98_c1"),
        ),
        Substance(
            "hydraulic oil", 0.875, ((40.0, 46.0), (100.0, 6.8)),
            # Flash: no table found; the lowest of the thin lubricating oils measured.
            _per_litre(132_801), 76.0, "not rated",
            _sources(viscosity_points="iso_3448", flash="noaa_spindle_oil",
                     heating_value="cfr_98_c1"),
            may_hold_pcb=True,
        ),
        Substance(
            "transformer oil", 0.880, ((40.0, 9.5), (100.0, 2.45)),
            # Flash: the lowest of four insulating oils measured, 95 to 151.
            _per_litre(133_313), 95.0, "not rated",
            _sources(flash="noaa_insulating_oil", density="noaa_insulating_oil",
                     viscosity_points="noaa_insulating_oil", heating_value="cfr_98_c1"),
            may_hold_pcb=True, needs_pcb_test=True,
        ),
    )
}  # fmt: skip

REFUSED_OILS = {
    "gear oil": "gear oil is refused: about 140 cSt at 40 °C and high in sulfur and phosphorus"
    " additives",
}

THINNERS = {
    thinner.kind: thinner
    for thinner in (
        Substance(
            "gasoline", 0.745, ((20.0, 0.62), (40.0, 0.525)),
            _per_litre(116_090), -43.0, "5 to 20",
            _sources(heating_value="afdc", flash="afdc", cetane="afdc",
                         density="afdc", viscosity_points="afdc"),
            ("Poor lubricity for pumps lubricated by the fuel.",
             "Lowers the cetane of the blend: harder starting, more knock.",
             "Vapour at every temperature a farm sees; vapour lock in hot fuel lines."),
            dry=True,
        ),
        Substance(
            "gasoline E10", 0.750, ((20.0, 0.66), (40.0, 0.555)),
            _per_litre(112_114), -43.0, "below gasoline",
            _sources(heating_value="afdc", flash="afdc"),
            ("Poor lubricity for pumps lubricated by the fuel.",
             "Ethanol draws water, which then drops out in the tank.",
             "Ethanol attacks old hoses and seals.",
             "Lowers the cetane of the blend: harder starting, more knock."),
            dry=True, draws_water=True,
        ),
        Substance(
            "kerosene", 0.810, ((20.0, 2.30), (40.0, 1.59)),
            # 40 CFR 98 gross heat of kerosene, 135,000 Btu/gal, times 0.9368 for net.
            _per_litre(126_475), 38.0, "about 45",
            _sources(heating_value="cfr_98_c1", viscosity_points="kerosene_table",
                         density="kerosene_table", flash="astm_d975"),
            ("Less lubricity than diesel.",),
            dry=True,
        ),
        Substance(
            "diesel", 0.840, ((40.0, 2.68), (100.0, 1.15)),
            _per_litre(128_488), 52.0, "about 45",
            _sources(heating_value="afdc", flash="astm_d975", cetane="afdc",
                     density="noaa_diesel", viscosity_points="noaa_diesel"),
            is_diesel=True,
        ),
        Substance(
            "mineral spirits", 0.780, ((20.0, 1.42), (40.0, 1.06)),
            _per_litre(121_960), 41.0, "about 40, low confidence",
            _sources(flash="spirits_sheet", density="spirits_sheet"),
            ("Less lubricity than diesel.", "Attacks some old seals and hoses.",
             "Breathing the vapour harms: work in moving air."),
            dry=True, vapour_harms=True,
        ),
        Substance(
            "biodiesel", 0.880, ((40.0, 4.3), (100.0, 1.72)),
            _per_litre(119_550), 130.0, "about 47",
            _sources(heating_value="afdc", density="afdc", flash="afdc", cetane="afdc",
                     viscosity_points="eccc_biodiesel"),
            ("Loosens old deposits: filters plug at first.", "Softens old rubber hoses.",
             "Gels early in the cold."),
        ),
    )
}  # fmt: skip


def substance(kind: str) -> Substance:
    """Look up a kind of oil or thinner.

    Parameters
    ----------
    kind : str
        Of `OILS` or `THINNERS`.

    Returns
    -------
    Substance

    Raises
    ------
    KeyError
        If there is no such kind.
    """
    return OILS[kind] if kind in OILS else THINNERS[kind]


def as_gasoline(kind: str | None) -> bool:
    """Say whether a kind, and any blend with it, is treated as gasoline.

    Parameters
    ----------
    kind : str or None
        Of `OILS` or `THINNERS`; None, for no thinner, is not.

    Returns
    -------
    bool

    Examples
    --------
    >>> as_gasoline("gasoline E10"), as_gasoline("kerosene"), as_gasoline(None)
    (True, False, False)
    """
    return kind is not None and substance(kind).as_gasoline


# cSt at the fuel's temperature, where a file gives a thinner but neither share nor limit:
# judgement, no source. Diesel itself is 1.9 to 4.1 at 40 °C (astm_d975).
USUAL_LIMITS = {
    "indirect injection": 12.0,
    "inline pump": 12.0,
    "unit injector": 12.0,
    "hydraulic unit injector": 12.0,
    "rotary pump": 7.0,
    "early common rail": 7.0,
    "late common rail": 7.0,
    "burner": 30.0,
}
