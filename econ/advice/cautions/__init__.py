"""What can hurt people, machines or the plan, said where the decision is made.

Every caution is a row of a registry with a condition on the farm's own numbers, plain words,
and a basis. None says that anything is allowed; each defers to local codes and to licensed
practice.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> gravities = [shown.gravity for shown in cautions(Farm("us", "USD", inputs, evaluate(inputs)))]
>>> gravities == sorted(gravities, reverse=True)
True
"""

from msgspec import Struct

from econ.advice.cautions.engine import ENGINE_CAUTIONS
from econ.advice.cautions.farm import Caution, Farm, Place, Severity
from econ.advice.cautions.fire import FIRE_CAUTIONS
from econ.advice.cautions.money import MONEY_CAUTIONS
from econ.advice.cautions.people import PEOPLE_CAUTIONS
from econ.advice.cautions.reserve import RESERVE_CAUTIONS
from econ.advice.cautions.storage import STORAGE_CAUTIONS
from econ.advice.cautions.used_oil import USED_OIL_CAUTIONS
from econ.ground.sources import SOURCES

__all__ = [
    "CAUTIONS",
    "CLOSING",
    "CLOSING_SHORT",
    "SEVERITIES",
    "Caution",
    "Farm",
    "ShownCaution",
    "cautions",
]

SEVERITIES: tuple[Severity, ...] = ("grave", "serious", "note")

CAUTIONS: tuple[Caution, ...] = (
    *MONEY_CAUTIONS,
    *FIRE_CAUTIONS,
    *USED_OIL_CAUTIONS,
    *ENGINE_CAUTIONS,
    *STORAGE_CAUTIONS,
    *PEOPLE_CAUTIONS,
    *RESERVE_CAUTIONS,
)

CLOSING = (
    "This list is not complete and is not advice on law. Rule texts are as read in 2026 and"
    " change. Figures of US OSHA are yardsticks: most of 29 CFR 1910 does not bind farms (29 CFR"
    " 1928.21). Local codes, your regulator, your insurer and licensed practice come before"
    " anything written here."
)

# For paper, where the list is cut short.
CLOSING_SHORT = (
    "Not complete, not advice on law: local codes, your insurer and licensed practice come first."
)


class ShownCaution(Struct, frozen=True):
    """A caution that applies to a farm, in words."""

    key: str
    severity: Severity
    gravity: int
    """1 to 99; the first ones of a farm's list are its gravest."""
    where: tuple[Place, ...]
    text: str
    brief: str
    """The same in one short line."""
    basis: str


def cautions(farm: Farm) -> tuple[ShownCaution, ...]:
    """Return every caution that applies to a farm, the gravest first.

    Parameters
    ----------
    farm : Farm
        Worked through at expected values.

    Returns
    -------
    tuple of ShownCaution
        By gravity, equal ones in the order of the registry. Surfaces print `CLOSING` below.
    """
    shown = [
        ShownCaution(
            row.key,
            row.severity,
            row.gravity,
            row.where,
            text,
            row.brief,
            "; ".join(SOURCES[key] for key in row.sources),
        )
        for row in CAUTIONS
        if (farm.us or not row.us_rule) and (text := row.text(farm))
    ]
    return tuple(sorted(shown, key=lambda caution: -caution.gravity))
