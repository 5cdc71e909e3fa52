"""Cautions about taxes, prices and other countries."""

from econ.advice.cautions.farm import Caution, Farm, some_names
from econ.model.inputs import MachineInputs

# Federal tax on diesel used on the road, 24.3 + 0.1. [US cents/gal]; usc_26_4041
ROAD_TAX = 24.4
# Pump fuels sold without road tax and, in the US, dyed.
_UNTAXED = ("farm_diesel", "heating_oil")


def _burns_untaxed(farm: Farm, machine: MachineInputs) -> bool:
    """Give whether a road machine's fuel or thinner is an untaxed fuel."""
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


def _road_tax_elsewhere(farm: Farm) -> str | None:
    names = some_names(use.name for use in farm.uses if use.on_road)
    if farm.us or not names:
        return None
    entered = float(farm.inputs.road_tax)
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
        t.name for t in farm.inputs.thinners if t.kind == "diesel" and t.tied_to is None
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
        "dyed_fuel_on_road", "grave", ("decide", "machines", "thinners", "money"),
        ("usc_26_6715",), True, _dyed_fuel,
    ),
    Caution(
        "untaxed_fuel_on_road", "grave", ("decide", "machines", "thinners", "money"),
        ("common_practice",), False, _untaxed_elsewhere,
    ),
    Caution(
        "ask_locally", "serious", ("decide", "oils", "storage", "money"),
        ("common_practice",), False, _ask_locally,
    ),
    Caution("australia", "serious", ("decide", "money"), ("ato_recycled",), False, _australia),
    Caution("canada", "serious", ("decide", "oils"), ("canada_used_oil",), False, _canada),
    Caution(
        "road_tax", "serious", ("decide", "machines", "money"),
        ("usc_26_4041",), True, _road_tax,
    ),
    Caution(
        "road_tax_elsewhere", "serious", ("decide", "machines", "money"),
        ("common_practice",), False, _road_tax_elsewhere,
    ),
    Caution(
        "diesel_price_not_tied", "note", ("thinners", "money"),
        ("common_practice",), False, _untied_diesel,
    ),
)  # fmt: skip
