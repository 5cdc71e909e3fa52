"""What a machine bears for what it burns, as formulas: one for each cost line with `borne`.

A line whose inputs may be changed in the workbook has a formula of its own here. Any other is
written at its rate for a volume of blend, thinner and oil, so that it follows the volumes.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from econ.answers.document import Answer
from econ.ground.units import to_canonical
from econ.model.costs import COST_LINES, Burned, CostLine
from econ.model.inputs import MachineInputs


@dataclass(frozen=True, slots=True)
class Volumes:
    """What a machine burns, each volume a formula."""

    blend: str
    thinner: str
    oil: str


def _owed(machine: MachineInputs, volumes: Volumes) -> str:
    """Return the volume on which road tax and duty are owed: all but thinner already taxed."""
    if machine.thinner is None:
        return volumes.blend
    return f"({volumes.blend}-thinner_{machine.thinner + 1}_road_tax_paid*{volumes.thinner})"


def _thinner(machine: MachineInputs, n: str, volumes: Volumes) -> str:
    if machine.thinner is None:
        return "0"
    return f"{volumes.thinner}*thinner_{machine.thinner + 1}_price"


def _refund(machine: MachineInputs, n: str, volumes: Volumes) -> str:
    if machine.thinner is None:
        return "0"
    given = f"(1-{n}_road_share)*thinner_{machine.thinner + 1}_refund"
    return f"-{volumes.thinner}*{given}"


def _road_tax(machine: MachineInputs, n: str, volumes: Volumes) -> str:
    return f"{n}_road_share*price_road_tax*{_owed(machine, volumes)}"


def _fuel_duty(machine: MachineInputs, n: str, volumes: Volumes) -> str:
    rate = f"price_fuel_duty*(1-(1-{n}_road_share)*price_fuel_duty_back)"
    return f"{rate}*{_owed(machine, volumes)}"


_FORMULAS: dict[str, Callable[[MachineInputs, str, Volumes], str]] = {
    "additives": lambda machine, n, volumes: f"{volumes.blend}*{n}_additive_price",
    "thinner": _thinner,
    "road_tax": _road_tax,
    "fuel_duty": _fuel_duty,
    "refund": _refund,
    "wear": lambda machine, n, volumes: f"{volumes.oil}*{n}_wear_price",
}


def _at_rate(result: Answer, line: CostLine, k: int, volumes: Volumes) -> str:
    """Return a line that has no formula here: linear in the volumes, at its rate for each."""
    inputs, units = result.expected.inputs, result.scenario.scenario.units
    machine = inputs.machines[k]
    thinner = None if machine.thinner is None else inputs.thinners[machine.thinner]
    volume = np.asarray(to_canonical(1.0, "volume", units))
    nothing = np.zeros(())
    parts = []
    for place, formula in enumerate((volumes.blend, volumes.thinner, volumes.oil)):
        one = [volume if position == place else nothing for position in range(3)]
        rate = float(line.borne(Burned(inputs, machine, thinner, *one))) if line.borne else 0.0
        if rate:
            parts.append(f"{rate!r}*{formula}")
    return "+".join(parts) or "0"


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
    machine, n = result.expected.inputs.machines[k], f"machine_{k + 1}"
    return {
        line.key: _FORMULAS[line.key](machine, n, volumes)
        if line.key in _FORMULAS
        else _at_rate(result, line, k, volumes)
        for line in COST_LINES
        if line.borne is not None
    }
