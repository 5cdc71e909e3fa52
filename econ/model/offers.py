"""What may thin the oil: the file's thinners, and the pump fuel that each machine replaces.

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> more, pumps = with_pump_fuels(inputs, (0,))
>>> [offer.name for offer in offers(more, (0,), len(inputs.thinners), pumps)]
['Pump gasoline', 'Heating oil as thinner']
"""

from collections.abc import Mapping

import numpy as np
from msgspec import Struct

from econ.fuel.substances import THINNERS
from econ.fuel.viscosity import viscosity_line
from econ.ground.labels import FUELS
from econ.model.changes import with_thinner_list
from econ.model.inputs import Inputs, ThinnerInputs


class Offer(Struct, frozen=True):
    """One thinner and the machines that would take it."""

    name: str
    kind: str
    thinner_of: Mapping[int, int]
    """By machine, indices into the thinners of the comparison's inputs."""
    listed: int | None
    """Index of the file's own entry; None for pump fuel that the file does not list."""
    pump: bool
    """Whether it is the very fuel that the machines replace, at its price."""

    @property
    def used(self) -> tuple[int, ...]:
        """Return the entries that it takes, each once."""
        return tuple(dict.fromkeys(self.thinner_of.values()))


def pump_fuel(inputs: Inputs, fuel: str) -> ThinnerInputs:
    """Return a pump fuel as a thinner at its own price, with the properties of No. 2 diesel.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    fuel : str
        Key of the fuel.

    Returns
    -------
    ThinnerInputs
    """
    diesel = THINNERS["diesel"]
    (t1, v1), (t2, v2) = diesel.viscosity_points
    return ThinnerInputs(
        name=f"Pump fuel ({FUELS[fuel]})",
        kind="diesel",
        price=inputs.prices[fuel],
        tied_to=fuel,
        available_per_month=None,
        road_tax_paid=fuel == "road_diesel",
        refund=np.zeros(()),
        density=np.asarray(diesel.density),
        heating_value=np.asarray(diesel.heating_value),
        line=viscosity_line(t1, v1, t2, v2),
    )


def _listed_pump(inputs: Inputs, fuel: str) -> int | None:
    """Return the file's own entry of pump diesel at a fuel's price."""
    for k, thinner in enumerate(inputs.thinners):
        if thinner.tied_to == fuel and thinner.kind == "diesel":
            return k
    return None


def with_pump_fuels(inputs: Inputs, machines: tuple[int, ...]) -> tuple[Inputs, dict[str, int]]:
    """Add the fuels that machines replace to the thinners where the file does not list them.

    Parameters
    ----------
    inputs : Inputs
        The farm as its file has it.
    machines : tuple of int
        Whose fuels.

    Returns
    -------
    (Inputs, dict of str to int)
        The farm, and the thinner that is each fuel.
    """
    thinners, result = list(inputs.thinners), {}
    for fuel in dict.fromkeys(inputs.machines[k].replaces for k in machines):
        index = _listed_pump(inputs, fuel)
        if index is None:
            index = len(thinners)
            thinners.append(pump_fuel(inputs, fuel))
        result[fuel] = index
    return with_thinner_list(inputs, thinners), result


def offers(
    inputs: Inputs, machines: tuple[int, ...], listed: int, pumps: Mapping[str, int]
) -> tuple[Offer, ...]:
    """Return what may be tried: the file's thinners, then the pump fuel.

    Parameters
    ----------
    inputs : Inputs
        From `with_pump_fuels`.
    machines : tuple of int
        Which machines would take it.
    listed : int
        How many of the thinners are the file's own.
    pumps : mapping of str to int
        From `with_pump_fuels`.

    Returns
    -------
    tuple of Offer
    """
    pump_of = {k: pumps[inputs.machines[k].replaces] for k in machines}
    result = []
    for j, thinner in enumerate(inputs.thinners[:listed]):
        pump = set(pump_of.values()) == {j}
        result.append(Offer(thinner.name, thinner.kind, dict.fromkeys(machines, j), j, pump))
    if not any(offer.pump for offer in result):
        names = {inputs.thinners[j].name for j in pump_of.values()}
        name = names.pop() if len(names) == 1 else "Each machine's own pump fuel"
        result.append(Offer(name, "diesel", pump_of, None, pump=True))
    return tuple(result)
