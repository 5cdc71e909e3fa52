"""Cautions about taxes, prices and other countries."""

from econ.advice.cautions.farm import Caution, Farm, some_names
from econ.fuel.substances import substance
from econ.ground.units import LITRES_PER_GALLON
from econ.model.inputs import MachineInputs

# Federal tax on diesel used on the road, 24.3 + 0.1. [US cents/gal]; usc_26_4041
ROAD_TAX = 24.4
# Untaxed liquid in a quarter's mixtures from which they are blended taxable fuel. [L]; irs_pub510
BLENDER_LIMIT = 400 * LITRES_PER_GALLON
# Pump fuels sold without road tax and, in the US, dyed.
_UNTAXED = ("farm_diesel", "heating_oil")


def _burns_untaxed(farm: Farm, machine: MachineInputs) -> bool:
    """Return whether a road machine's fuel or thinner is an untaxed fuel."""
    if not bool(machine.road_share > 0.0):
        return False
    tied = None if machine.thinner is None else farm.inputs.thinners[machine.thinner].tied_to
    return machine.replaces in _UNTAXED or tied in _UNTAXED


def _untaxed_names(farm: Farm) -> str:
    return some_names(m.name for m in farm.inputs.machines if _burns_untaxed(farm, m))


def _dyed_fuel(farm: Farm) -> str | None:
    names = _untaxed_names(farm)
    if not names:
        return None
    return (
        f"{names}: on public roads, with farm (dyed) diesel or heating oil as fuel or thinner."
        " US federal rule (26 USC 6715): the greater of $1,000 or $10 a gallon for dyed fuel on"
        " the road, more on repeats. Your state may be stricter: ask its fuel tax office."
    )


def _untaxed_elsewhere(farm: Farm) -> str | None:
    names = _untaxed_names(farm)
    if farm.us or not names:
        return None
    return (
        f"{names}: on public roads, with farm diesel or heating oil as fuel or thinner. Fuel sold"
        " with less duty may be barred from the road where you live: ask your tax office first."
    )


def _road_tax(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if use.on_road)
    if not names:
        return None
    entered = float(farm.inputs.road_tax)
    given = f"the file enters {farm.wording.price(entered)}" if entered > 0.0 else "none is entered"
    return (
        f"{names}: your own blend burned on public roads owes road tax; {given}. US federal rule"
        f" (26 USC 4041): {ROAD_TAX} cents a gallon, as on diesel. Your state may be stricter, and"
        " adds its own: ask its fuel tax office."
    )


def _blender(farm: Farm) -> str | None:
    """Speak of the duty beyond the rate: mixing taxed with untaxed fuel makes a blender."""
    years, uses = farm.outcome.typical.machines, [use for use in farm.uses if use.on_road]
    if not uses:
        return None
    quarter = sum(float(years[use.index].blend) * (1.0 - use.least) for use in uses) / 4.0
    volume = farm.wording.volume
    side = "under" if quarter < BLENDER_LIMIT else "over"
    return (
        f"{some_names(use.name for use in uses)}: mixing untaxed oil with taxed fuel makes the"
        " mixer a blender under US federal tax rules (IRS Publication 510): registration on Form"
        f" 637, Form 720 each quarter. Mixtures holding under {volume(BLENDER_LIMIT)} of untaxed"
        f" liquid a quarter are left out; yours hold about {volume(quarter)}, {side} it, and tax on"
        " use may still be owed. Your state may be stricter: ask its fuel tax office."
    )


def _road_tax_elsewhere(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if use.on_road)
    if farm.us or not names:
        return None
    entered = float(farm.inputs.road_tax + farm.inputs.fuel_duty)
    given = farm.wording.price(entered) if entered > 0.0 else "none"
    return (
        f"{names}: your own blend burned on public roads may owe fuel duty; the file enters"
        f" {given}. Ask your tax office before the first fill."
    )


def _australia(farm: Farm) -> str | None:
    if farm.us or farm.currency != "AUD":
        return None
    return (
        "Filtering and drying used oil is not excise manufacture in Australia, but making a"
        " different fuel from it can be, with a licence and duty at the diesel rate. Before buying"
        " anything, ask the Australian Taxation Office for a ruling on your own use, and your"
        " state's environment regulator."
    )


def _canada(farm: Farm) -> str | None:
    if farm.us or farm.currency != "CAD":
        return None
    return (
        "Canada's provinces and territories list used crankcase oil as hazardous waste and"
        " restrict burning it, each in its own way. Ask your province before buying anything."
    )


def _ask_locally(farm: Farm) -> str | None:
    if farm.us:
        return None
    return (
        "Of rules, this tool knows little outside the US. Collecting, moving, storing, burning and"
        " taxing used oil are ruled where you live: ask your environment, fire and tax offices"
        " before buying anything."
    )


def _untied_diesel(farm: Farm) -> str | None:
    names = some_names(
        t.name for t in farm.inputs.thinners if substance(t.kind).is_diesel and t.tied_to is None
    )
    if not names:
        return None
    return (
        f"{names}: a diesel thinner with a price of its own stays put while the fuel it replaces"
        ' moves. Name a fuel as its price, such as price = "farm_diesel", so that both move'
        " together."
    )


MONEY_CAUTIONS = (
    Caution(
        "dyed_fuel_on_road",
        78,
        ("decide", "machines", "thinners", "money"),
        ("usc_26_6715",),
        True,
        _dyed_fuel,
        "Dyed or heating fuel on a public road: a large fine, growing by the gallon.",
    ),
    Caution(
        "untaxed_fuel_on_road",
        78,
        ("decide", "machines", "thinners", "money"),
        ("common_practice",),
        False,
        _untaxed_elsewhere,
        "Fuel with less duty on a public road: ask the tax office first.",
    ),
    Caution(
        "ask_locally",
        60,
        ("decide", "oils", "storage", "money"),
        ("common_practice",),
        False,
        _ask_locally,
        "Rules where you live are not known here: ask environment, fire and tax offices.",
    ),
    Caution(
        "australia",
        52,
        ("decide", "money"),
        ("ato_recycled",),
        False,
        _australia,
        "Australia: ask the tax office for a ruling before buying anything.",
    ),
    Caution(
        "canada",
        58,
        ("decide", "oils"),
        ("canada_used_oil",),
        False,
        _canada,
        "Canada: provinces list used crankcase oil as hazardous waste; ask first.",
    ),
    Caution(
        "road_tax",
        50,
        ("decide", "machines", "money"),
        ("usc_26_4041",),
        True,
        _road_tax,
        "Your own blend on public roads owes road tax.",
    ),
    Caution(
        "fuel_blender",
        34,
        ("machines", "money"),
        ("irs_pub510",),
        True,
        _blender,
        "Mixing untaxed oil with taxed fuel makes you a blender: forms 637 and 720.",
    ),
    Caution(
        "road_tax_elsewhere",
        50,
        ("decide", "machines", "money"),
        ("common_practice",),
        False,
        _road_tax_elsewhere,
        "Your own blend on public roads may owe fuel duty.",
    ),
    Caution(
        "diesel_price_not_tied",
        10,
        ("thinners", "money"),
        ("common_practice",),
        False,
        _untied_diesel,
        "A diesel thinner with its own price does not move with the fuel it replaces.",
    ),
)
