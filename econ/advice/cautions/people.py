"""Cautions about the people around it: skin, lungs, insurer, neighbours."""

from econ.advice.cautions.farm import Caution, Farm, some_names

# Words by which kit that spins is known.
_SPINNING = ("centrifug", "separator")


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
    uses = [use for use in farm.uses if use.substance and use.substance.vapour_harms]
    if not uses:
        return None
    return (
        f"{some_names(use.name for use in uses)}: {uses[0].kind} goes into the blend. Its vapour"
        " harms in still air (yardsticks for mineral spirits: US OSHA 500 ppm over 8 hours; NIOSH"
        " 350 mg/m³): mix outdoors or with moving air. "
        + farm.ask("its workplace safety office", "your workplace safety office")
    )


def _breathing(farm: Farm) -> str | None:
    if not farm.brings_oil:
        return None
    gasoline = any(use.has_gasoline for use in farm.uses)
    holds = "gasoline and used oil hold" if gasoline else "used engine oil holds"
    return (
        f"Do not breathe it: {holds} benzene, and used oil was found with solvents too; diesel"
        " exhaust causes cancer (IARC group 1). Clean, mix and fill outdoors or in moving air, not"
        " over an open hot drum, and keep out of the smoke. A dust mask stops no vapour."
    )


def _exhaust_indoors(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if use.is_engine)
    if not names:
        return None
    return (
        f"{names}: exhaust holds carbon monoxide, which has no smell and kills. Run no engine in a"
        " closed shed, keep generators outdoors and away from windows, and put an alarm where"
        " people sleep near one."
    )


def _children(farm: Farm) -> str | None:
    if not farm.brings_oil:
        return None
    thinner = any(use.thinner is not None for use in farm.uses)
    what = "oil, thinner or blend" if thinner else "oil"
    return (
        f"Never keep {what} in a drinking bottle or anything unmarked: in the US 40,000 children"
        " under 5 came to hospital in ten years over such liquids, and a mouthful that reaches the"
        " lungs can kill. Mark every container, lock the store, and after swallowing call a poison"
        " centre and bring up nothing."
    )


def _centrifuge(farm: Farm) -> str | None:
    inputs = farm.inputs
    named = [item.name for item in inputs.kit] + [bill.name for bill in inputs.yearly]
    spinning = [name for name in named if any(word in name.lower() for word in _SPINNING)]
    if not spinning:
        return None
    return (
        f"{some_names(spinning)}: a rotor can burst, and throws its bowl and hot oil. Never above"
        " its maker's speed, never without its cover, balanced and clean, and stand aside at"
        " start-up. US OSHA's yardstick 29 CFR 1910.212(a)(4) asks a cover that stops the drive"
        " when opened. " + farm.ask("its workplace safety office", "your workplace safety office")
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
        "skin",
        66,
        ("oils", "cleaning", "household"),
        ("iarc_100f", "used_mineral_oils"),
        False,
        _skin,
        "Used engine oil on the skin can cause skin cancer: gloves and soap.",
    ),
    Caution(
        "mineral_spirits",
        62,
        ("thinners",),
        ("osha_stoddard",),
        False,
        _spirits,
        "Mineral spirits' vapour harms in still air: mix in moving air.",
    ),
    Caution(
        "children",
        89,
        ("storage", "household"),
        ("pediatrics_2013", "common_practice"),
        False,
        _children,
        "No oil or thinner in drinking bottles: mark every container, lock the store.",
    ),
    Caution(
        "centrifuge",
        87,
        ("cleaning",),
        ("osha_1910_212", "common_practice"),
        False,
        _centrifuge,
        "A centrifuge rotor can burst: maker's speed, cover on, stand aside.",
    ),
    Caution(
        "breathing",
        66,
        ("cleaning", "household"),
        ("iarc_105", "epa_used_oil_1983", "from_memory"),
        False,
        _breathing,
        "Benzene and exhaust cause cancer: work in moving air, out of the smoke.",
    ),
    Caution(
        "exhaust_indoors",
        69,
        ("machines", "household"),
        ("common_practice",),
        False,
        _exhaust_indoors,
        "Exhaust kills in a closed shed: run engines outdoors.",
    ),
    Caution(
        "insurance",
        63,
        ("decide", "money", "household"),
        ("common_practice",),
        False,
        _insurance,
        "Ask your insurer in writing before buying anything.",
    ),
    Caution(
        "smoke",
        11,
        ("household",),
        ("ozdalyan_2018",),
        False,
        _smoke,
        "Smoke and smell come with it and are not in the figures.",
    ),
)
