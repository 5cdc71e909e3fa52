"""Cautions about the people around it: skin, lungs, insurer, neighbours."""

from econ.advice.cautions.farm import Caution, Farm, some_names


def _skin(farm: Farm) -> str | None:
    if not (farm.own_oils or farm.other_oils):
        return None
    hours = float(farm.outcome.typical.fuel["hours"])
    return (
        f"About {hours:,.0f} hours a year with used oil: used engine oil on the skin can cause skin"
        " cancer. Wear oil-proof gloves and eye protection, change oily clothes at once, wash with"
        " soap, never with thinner, and see a doctor about any sore."
    )


def _spirits(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if use.kind == "mineral spirits")
    if not names:
        return None
    return (
        f"{names}: mineral spirits go into the blend. Their vapour harms in still air (US OSHA"
        " limit 500 ppm over 8 hours; NIOSH 350 mg/m³): mix outdoors or with moving air. "
        + farm.ask("its workplace safety office", "your workplace safety office")
    )


def _insurance(farm: Farm) -> str | None:
    if not (farm.uses and (farm.own_oils or farm.other_oils)):
        return None
    insured = [row for row in farm.inputs.yearly if "insur" in row.name.lower()]
    if insured:
        cost = sum(float(row.cost) for row in insured)
        entered = f"the file enters {farm.wording.money(cost)} a year"
    else:
        entered = "the file enters no insurance cost"
    return (
        f"Ask your insurer in writing, before buying anything, whether barn, house, vehicles and"
        f" spills stay covered with home-made fuel; {entered}. A yes on the telephone is not a yes."
    )


def _smoke(farm: Farm) -> str | None:
    engines = [use for use in farm.uses if use.is_engine]
    if not engines:
        return None
    return (
        "Smoke and smell come with it and are not in the figures: a generator run on waste oil was"
        " measured to emit more than on diesel. Ask your local air office, and tell the neighbours"
        " first."
    )


PEOPLE_CAUTIONS = (
    Caution(
        "skin", "serious", ("oils", "cleaning", "household"),
        ("used_mineral_oils",), False, _skin,
    ),
    Caution(
        "mineral_spirits", "serious", ("thinners",), ("osha_stoddard",), False, _spirits,
    ),
    Caution(
        "insurance", "serious", ("decide", "money", "household"),
        ("common_practice",), False, _insurance,
    ),
    Caution("smoke", "note", ("household",), ("ozdalyan_2018",), False, _smoke),
)  # fmt: skip
