"""What a machine bears for what it burns, as formulas: one for each cost line with `borne`.

A line whose inputs may be changed in the workbook has a formula of its own here. Any other is
written at its rate for a volume of blend, thinner and oil, so that it follows the volumes.
"""

from collections.abc import Callable

from msgspec import Struct

from econ.answers.document import Answer
from econ.answers.rows import COST_LINES, CostLine
from econ.answers.workbook_facts import borne_rates


class Volumes(Struct, frozen=True):
    """What a machine burns, each volume a formula."""

    blend: str
    thinner: str
    oil: str


def _owed(thinner: int | None, volumes: Volumes) -> str:
    """Return the volume on which road tax and duty are owed: all but thinner already taxed."""
    if thinner is None:
        return volumes.blend
    return f"({volumes.blend}-thinner_{thinner + 1}_road_tax_paid*{volumes.thinner})"


def _thinner(thinner: int | None, n: str, volumes: Volumes) -> str:
    if thinner is None:
        return "0"
    return f"{volumes.thinner}*thinner_{thinner + 1}_price"


def _refund(thinner: int | None, n: str, volumes: Volumes) -> str:
    if thinner is None:
        return "0"
    given = f"(1-{n}_road_share)*thinner_{thinner + 1}_refund"
    return f"-{volumes.thinner}*{given}"


def _road_tax(thinner: int | None, n: str, volumes: Volumes) -> str:
    return f"{n}_road_share*price_road_tax*{_owed(thinner, volumes)}"


def _fuel_duty(thinner: int | None, n: str, volumes: Volumes) -> str:
    rate = f"price_fuel_duty*(1-(1-{n}_road_share)*price_fuel_duty_back)"
    return f"{rate}*{_owed(thinner, volumes)}"


_FORMULAS: dict[str, Callable[[int | None, str, Volumes], str]] = {
    "additives": lambda thinner, n, volumes: f"{volumes.blend}*{n}_additive_price",
    "thinner": _thinner,
    "road_tax": _road_tax,
    "fuel_duty": _fuel_duty,
    "refund": _refund,
    "wear": lambda thinner, n, volumes: f"{volumes.oil}*{n}_wear_price",
}


def _at_rate(result: Answer, line: CostLine, k: int, volumes: Volumes) -> str:
    """Return a line that has no formula here: linear in the volumes, at its rate for each."""
    rates = borne_rates(result, line, k)
    each = zip(rates, (volumes.blend, volumes.thinner, volumes.oil), strict=True)
    return "+".join(f"{rate!r}*{formula}" for rate, formula in each if rate) or "0"


def borne(result: Answer, k: int, volumes: Volumes) -> dict[str, str]:
    """Write what a machine bears for what it burns.

    Parameters
    ----------
    result : Answer
        A farm worked through.
    k : int
        Which machine, from 0.
    volumes : Volumes
        What it burns.

    Returns
    -------
    dict of str to str
        A formula for each cost line that a machine bears, by key.
    """
    thinner, n = result.expected.inputs.machines[k].thinner, f"machine_{k + 1}"
    return {
        line.key: _FORMULAS[line.key](thinner, n, volumes)
        if line.key in _FORMULAS
        else _at_rate(result, line, k, volumes)
        for line in COST_LINES
        if line.borne is not None
    }
