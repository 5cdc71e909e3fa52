"""Cautions about machines that must run when nothing is delivered: fumes, the house's wiring."""

from econ.advice.cautions.farm import Caution, Farm, some_names


def _essential(farm: Farm) -> str:
    return some_names(
        machine.name for machine in farm.inputs.machines if float(machine.essential_per_day) > 0.0
    )


def _exhaust(farm: Farm) -> str | None:
    names = _essential(farm)
    if not names:
        return None
    return (
        f"{names}: exhaust holds carbon monoxide, which kills without smell. An engine runs"
        " outdoors, at least 20 ft (6 m) from doors and windows, its exhaust pointing away, never"
        " in a house, cellar or closed shed; alarms stand wherever people sleep."
    )


def _wiring(farm: Farm) -> str | None:
    names = _essential(farm)
    if not names:
        return None
    return (
        f"{names}: if it makes current, never feed it into the house's wiring without a transfer"
        " switch put in by a licensed electrician: what flows back into the line can kill those"
        " who mend it. " + farm.ask("its building office", "your building office")
    )


RESERVE_CAUTIONS = (
    Caution(
        "exhaust_when_essential",
        94,
        ("machines", "household"),
        ("cpsc_generators",),
        False,
        _exhaust,
        "Exhaust kills without smell: outdoors, far from doors and windows.",
    ),
    Caution(
        "transfer_switch",
        93,
        ("machines", "household"),
        ("nfpa_70",),
        False,
        _wiring,
        "Never feed the house's wiring without a transfer switch.",
    ),
)
