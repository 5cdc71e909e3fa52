"""Plain words for the keys that surfaces show: what it is called, and the standard term."""

from msgspec import Struct


class Label(Struct, frozen=True):
    """One key as people read it."""

    key: str
    label: str
    dimension: str
    help: str


FUEL = (
    Label("fuel_replaced", "Pump fuel replaced", "volume", "Fuel you no longer buy."),
    Label("blend", "Blend made and burned", "volume", "Oil and thinner together."),
    Label("oil_used", "Clean oil burned", "volume", "The oil part of the blend."),
    Label("thinner", "Thinner bought", "volume", "The thinner part of the blend."),
    Label("oil_collected", "Used oil taken in", "volume", "Own and collected, rejects left out."),
    Label("oil_processed", "Used oil cleaned", "volume", "Raw oil through the process."),
    Label(
        "fuel_without_plan",
        "Pump fuel without the plan",
        "volume",
        "What all machines burn in a year when nothing is replaced.",
    ),
    Label("hours", "Hands-on hours", "hours", "Hauling, batches and upkeep."),
    Label("own_hours", "of which your own", "hours", "Hours nobody else is paid for."),
    Label("trips", "Trips for oil", "count", "Loads fetched, in usual loads."),
)

FUELS = {
    "road_diesel": "road diesel",
    "farm_diesel": "farm diesel",
    "heating_oil": "heating oil",
}

FITS = {"suited": "suited", "caution": "caution", "excluded": "stays on pump fuel"}

BOTTLENECKS = {
    "need": "nothing: all wanted is made",
    "oil": "too little oil",
    "capacity": "too few batches or hours",
    "thinner": "too little thinner",
    "storage": "too little room for raw oil",
}

MONTHS = (
    "Jan",
    "Feb",
    "Mar",
    "Apr",
    "May",
    "Jun",
    "Jul",
    "Aug",
    "Sep",
    "Oct",
    "Nov",
    "Dec",
)

MONTH_NAMES = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

# What stands beside every thinner and plan: to burn pump fuel and keep the money.
NO_PLAN = "No plan"
