"""Figures whose spread over draws is shown, declared once.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["wrenfold"])))
>>> read = {row.key: row.value for row in HEADLINES}
>>> bool(read["full_rung"](outcome) >= read["cash_rung"](outcome))
True
"""

from collections.abc import Callable

from msgspec import Struct

from econ.ground.units import Floats
from econ.model.ledger import LEDGERS
from econ.model.outcome import Outcome


class Headline(Struct, frozen=True):
    """One figure whose spread is shown."""

    key: str
    label: str
    dimension: str
    value: Callable[[Outcome], Floats]


def measure_of(ledger: str, key: str) -> Callable[[Outcome], Floats]:
    """Return what reads a measure of a ledger off an outcome."""
    return lambda outcome: outcome.ledgers[ledger].measures[key]


def saving_of(key: str) -> Callable[[Outcome], Floats]:
    """Return what reads a saving of the typical year off an outcome."""
    return lambda outcome: outcome.typical.savings[key]


def fuel_of(key: str) -> Callable[[Outcome], Floats]:
    """Return what reads a volume or count of the typical year off an outcome."""
    return lambda outcome: outcome.typical.fuel[key]


_MEASURES = (
    ("npv", "Worth in today's money", "money"),
    ("equivalent_annual", "Worth a year", "money"),
    ("irr", "Yearly return", "rate"),
    ("simple_payback", "Paid back in", "years"),
    ("break_even_fuel_price", "Do not start below", "price_per_volume"),
)
MEASURES = tuple(key for key, _, _ in _MEASURES)
"""The measures of a ledger that headlines show."""

HEADLINES = (
    Headline("fuel_replaced", "Pump fuel replaced a year", "volume", fuel_of("fuel_replaced")),
    Headline("hours", "Hands-on hours a year", "hours", fuel_of("hours")),
    Headline(
        "cash_rung",
        "Out-of-pocket cost of fuel replaced",
        "price_per_volume",
        lambda outcome: outcome.typical.per_replaced["cash"],
    ),
    Headline(
        "full_rung",
        "Full cost of fuel replaced",
        "price_per_volume",
        lambda outcome: outcome.typical.per_replaced["full"],
    ),
    Headline("after_wear", "Left after repairs", "money", saving_of("after_wear")),
    Headline("after_labour", "Left after your time", "money", saving_of("after_labour")),
    Headline(
        "pay_per_hour",
        "Pay for an hour of your time",
        "money_per_hour",
        lambda outcome: outcome.pay_per_hour,
    ),
    *(
        Headline(
            f"{kind.key}.{key}",
            f"{label}, {kind.label.lower()}",
            dimension,
            measure_of(kind.key, key),
        )
        for kind in LEDGERS
        for key, label, dimension in _MEASURES
    ),
)
