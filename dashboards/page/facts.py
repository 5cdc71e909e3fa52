"""Everything one page needs, gathered once; the page itself only writes it down."""

from dataclasses import dataclass, replace

from dashboards.page.markup import NAME, plain
from econ.advice.cautions import Farm, ShownCaution, cautions
from econ.answers.document import Answer, Json, to_json
from econ.answers.outlook import Repair, largest_repair
from econ.farm.schema import Estimate
from econ.ground.units import from_canonical
from econ.ground.written import Numbers
from econ.model.inputs import Inputs
from econ.questions.partner import OilLost, Provenance, StopRule, oil_lost, provenance, stop_rule


@dataclass(frozen=True, slots=True)
class Facts:
    """One farm's figures, in the file's units, and how they are written."""

    found: Answer
    doc: Json
    chances: Json | None
    show: Numbers
    cautions: tuple[ShownCaution, ...]
    repair: Repair | None
    oil_lost: OilLost | None
    stop_rule: StopRule | None
    provenance: Provenance

    @property
    def starts(self) -> bool:
        """Give whether the advice is anything but to leave it."""
        return bool(self.doc["advice"]["key"] != "do not start")

    @property
    def makes_fuel(self) -> bool:
        """Give whether any fuel would be made."""
        return bool(self.doc["fuel"]["fuel_replaced"] > 0.0)

    def volume(self, litres: float) -> float:
        """Give a volume in the file's unit."""
        return float(from_canonical(litres, "volume", str(self.doc["units"])))

    def low_price(self, fuel: str) -> float | None:
        """Give the low end of a fuel's price, where the file has a range."""
        value = getattr(self.found.scenario.prices, fuel)
        return value.low if isinstance(value, Estimate) else None

    def likely_price(self, fuel: str) -> float:
        """Give a fuel's price as it most likely is."""
        value = getattr(self.found.scenario.prices, fuel)
        return float(value.likely if isinstance(value, Estimate) else value)

    def spread(self, key: str) -> tuple[float | None, float | None] | None:
        """Give the 1-in-20 levels of a figure, where there are draws."""
        if self.chances is None:
            return None
        low, _, high = self.chances["spreads"][key]["levels"]
        return low, high


def _short_names(inputs: Inputs) -> Inputs:
    """Cut long names, so that none crowds out what a caution says of it."""
    return replace(
        inputs,
        machines=tuple(replace(m, name=plain(m.name, NAME)) for m in inputs.machines),
        oils=tuple(replace(oil, name=plain(oil.name, NAME)) for oil in inputs.oils),
        thinners=tuple(replace(t, name=plain(t.name, NAME)) for t in inputs.thinners),
    )


def gather(found: Answer, chances: Json | None) -> Facts:
    """Gather what a page shows.

    Parameters
    ----------
    found : Answer
        A farm worked through.
    chances : dict, optional
        Its chances as plain numbers.

    Returns
    -------
    Facts
    """
    header = found.scenario.scenario
    farm = Farm(header.units, header.currency, _short_names(found.expected.inputs), found.expected)
    return Facts(
        found=found,
        doc=to_json(found),
        chances=chances,
        show=Numbers(header.units, header.currency),
        cautions=cautions(farm),
        repair=largest_repair(found.expected),
        oil_lost=oil_lost(found.expected),
        stop_rule=stop_rule(found.expected),
        provenance=provenance(found.scenario),
    )
