"""What a caution looks at: one farm's own numbers, and how they are put into words.

>>> some_names(["Tractor", "Loader", "Pickup", "Heater"])
'Tractor, Loader and 2 more'
"""

from collections.abc import Callable, Iterable
from functools import cached_property
from typing import Literal

from msgspec import Struct

from econ.fuel.substances import Substance, as_gasoline, substance
from econ.ground.wording import Wording
from econ.model.inputs import Inputs, MachineInputs, OilInputs, ThinnerInputs
from econ.model.outcome import Blend, Outcome

Severity = Literal["grave", "serious", "note"]
Place = Literal[
    "decide", "machines", "oils", "thinners", "cleaning", "storage", "money", "household"
]

# The least gravity of a grave and of a serious caution; below is a note.
_GRAVE, _SERIOUS = 70, 30


def some_names(names: Iterable[str], most: int = 2) -> str:
    """Join names, the last ones as a count: "Tractor, Loader and 2 more"."""
    listed = tuple(names)
    if len(listed) <= most:
        return " and ".join(listed)
    comma = "; " if any("," in name for name in listed) else ", "
    return f"{comma.join(listed[:most])} and {len(listed) - most} more"


class Use(Struct, frozen=True):
    """One machine that is to burn blend, and what goes into it over its blend months."""

    index: int
    machine: MachineInputs
    thinner: ThinnerInputs | None
    """None where it burns clean oil alone."""
    least: float
    """Smallest thinner share of its blend months. [-]"""
    most: float
    """Largest thinner share of its blend months. [-]"""
    seasons: tuple[int, ...]
    """0 outside winter, 1 in winter: those it burns blend in."""

    @property
    def name(self) -> str:
        """Return the machine's name."""
        return self.machine.name

    @property
    def kind(self) -> str | None:
        """Return the thinner's kind."""
        return None if self.thinner is None else self.thinner.kind

    @property
    def substance(self) -> Substance | None:
        """Return what its thinner is."""
        return None if self.kind is None else substance(self.kind)

    @property
    def has_gasoline(self) -> bool:
        """Return whether its blend is treated as gasoline."""
        return as_gasoline(self.kind)

    @property
    def is_engine(self) -> bool:
        """Return whether it has pistons."""
        return self.machine.engine != "burner"

    @property
    def on_road(self) -> bool:
        """Return whether any of its fuel is burned on public roads."""
        return bool(self.machine.road_share > 0.0)


class Farm(Struct, frozen=True, dict=True):
    """A farm worked through at likely values, shape ``()``.

    What many cautions ask of every machine and every source is looked up once.

    Parameters
    ----------
    units : str
        "us" or "metric".
    currency : str
        ISO 4217 code.
    inputs : Inputs
        The farm.
    outcome : Outcome
        What came of it.
    """

    units: str
    currency: str
    inputs: Inputs
    outcome: Outcome

    @property
    def us(self) -> bool:
        """Return whether US rules are taken to apply."""
        return self.units == "us" or self.currency == "USD"

    @property
    def wording(self) -> Wording:
        """Return how this file writes its numbers."""
        return Wording(self.units, self.currency)

    @cached_property
    def uses(self) -> tuple[Use, ...]:
        """Return every machine that is to burn blend."""
        result = []
        for k, machine in enumerate(self.inputs.machines):
            pair = self.outcome.blends[k]
            seasons = self._seasons(machine, pair)
            if not seasons or not bool(machine.blend_share > 0.0):
                continue
            shares = [float(pair[season].thinner_share) for season in seasons]
            used = machine.thinner is not None and max(shares) > 0.0
            thinner = self.inputs.thinners[machine.thinner or 0] if used else None
            result.append(Use(k, machine, thinner, min(shares), max(shares), seasons))
        return tuple(result)

    def _seasons(self, machine: MachineInputs, pair: tuple[Blend, Blend]) -> tuple[int, ...]:
        """Return the seasons a machine burns blend in."""
        months = [
            int(winter)
            for winter, blends, weight in zip(
                self.inputs.winter_months, machine.blend_months, machine.use_by_month, strict=True
            )
            if blends and weight > 0.0
        ]
        return tuple(s for s in sorted(set(months)) if not bool(pair[s].too_thick))

    @cached_property
    def own_oils(self) -> tuple[OilInputs, ...]:
        """Return one's own sources that bring any oil."""
        return tuple(oil for oil in self._oils() if oil.own)

    @cached_property
    def other_oils(self) -> tuple[OilInputs, ...]:
        """Return others' sources that bring any oil."""
        return tuple(oil for oil in self._oils() if not oil.own)

    def _oils(self) -> tuple[OilInputs, ...]:
        return tuple(
            oil
            for oil in self.inputs.oils
            if bool(oil.volume_per_month * oil.reliability * (1.0 - oil.reject_share) > 0.0)
        )

    @cached_property
    def oil_by_kind(self) -> dict[str, float]:
        """Return the share of each kind in the usable oil that comes in. [-]"""
        volumes: dict[str, float] = {}
        for oil in (*self.own_oils, *self.other_oils):
            usable = float(oil.volume_per_month * oil.reliability * (1.0 - oil.reject_share))
            volumes[oil.kind] = volumes.get(oil.kind, 0.0) + usable
        whole = sum(volumes.values())
        return {kind: volume / whole for kind, volume in volumes.items()}

    @property
    def storage(self) -> float:
        """Return the planned storage, raw and clean, in litres."""
        process = self.inputs.process
        return float(process.raw_storage + process.clean_storage)

    def ask(self, us_office: str, elsewhere: str) -> str:
        """Return whom to ask, after a rule of the US government."""
        if self.us:
            return f"Your state may be stricter: ask {us_office}."
        return f"That is a US yardstick: ask {elsewhere}."

    @property
    def brings_oil(self) -> bool:
        """Return whether any oil comes in."""
        return bool(self.own_oils or self.other_oils)

    def ask_fire_office(self) -> str:
        """Return whom to ask about fire, where no rule is named."""
        return f"Ask your {'fire marshal' if self.us else 'fire authority'}."

    def degrees(self, celsius: float) -> str:
        """Write a difference of temperatures.

        Parameters
        ----------
        celsius : float
            [°C]
        """
        if self.units == "us":
            return f"{celsius * 1.8:.0f} °F"
        return f"{celsius:.0f} °C"


class Caution(Struct, frozen=True):
    """One caution: when it applies, its words, and what it stands on."""

    key: str
    gravity: int
    """What it can cost, 1 to 99: lives from 85, then what cannot be undone, health, law, money."""
    where: tuple[Place, ...]
    sources: tuple[str, ...]
    """Keys of the bibliography."""
    us_rule: bool
    """Whether it speaks only of a rule of the US government: silent elsewhere."""
    text: Callable[[Farm], str | None]
    """From a farm to one or two sentences with its own numbers; None where it does not apply."""
    brief: str
    """The same in one short line, for a terminal's line and a first screen."""

    @property
    def severity(self) -> Severity:
        """Return how grave it is, in a word."""
        if self.gravity >= _GRAVE:
            return "grave"
        return "serious" if self.gravity >= _SERIOUS else "note"
