"""What every card reads: the farm worked through, how it writes, its cautions by key.

>>> percent(0.18), percent(None)
('18 %', 'none fits')
"""

from msgspec import Struct

from econ.advice.cautions import ShownCaution
from econ.answers.document import Answer, shown_cautions
from econ.ground.errors import Problem, ScenarioError
from econ.ground.units import LITRES_PER_GALLON, from_canonical
from econ.ground.written import Numbers
from econ.model.inputs import Inputs, OilInputs
from econ.questions.hand_mix import MIX, WARM_ENOUGH, MachineMix, Season

# Blend that is made at a time, in the file's units.
BLENDS = {"us": (5.0, 10.0, 25.0, 55.0), "metric": (20.0, 50.0, 100.0, 200.0)}


class CardFarm(Struct, frozen=True):
    """What every card reads."""

    result: Answer
    write: Numbers
    cautions: dict[str, ShownCaution]

    @property
    def inputs(self) -> Inputs:
        """The farm at expected values."""
        return self.result.expected.inputs

    @property
    def litres(self) -> float:
        """Litres in a volume of the file."""
        return LITRES_PER_GALLON if self.write.units == "us" else 1.0

    def volume(self, litres: float, digits: int = 0) -> str:
        """Write a volume with its unit.

        Parameters
        ----------
        litres : float
            [L]
        digits : int
            After the point.
        """
        return f"{litres / self.litres:,.{digits}f} {self.write.volume_unit}"

    def degrees(self, celsius: float) -> str:
        """Write a temperature.

        Parameters
        ----------
        celsius : float
            [°C]
        """
        return self.write.temperature(
            float(from_canonical(celsius, "temperature", self.write.units))
        )

    def shares(self) -> list[tuple[float | None, float | None]]:
        """Return the plan's shares by machine, outside winter and in winter."""
        return [
            (
                None if bool(a.too_thick) else float(a.thinner_share),
                None if bool(b.too_thick) else float(b.thinner_share),
            )
            for a, b in self.result.expected.blends
        ]


def card_farm(result: Answer) -> CardFarm:
    """Read what cards need of a farm worked through."""
    write = result.wording.numbers
    return CardFarm(result, write, {caution.key: caution for caution in shown_cautions(result)})


def season_name(mix: MachineMix, season: Season) -> str:
    """Name a season of a machine's mix."""
    if len(mix.seasons) == 1:
        return "all year"
    return "in winter" if season.winter else "outside winter"


def percent(share: float | None) -> str:
    """Write a share of thinner.

    Parameters
    ----------
    share : float or None
        None where none makes the blend thin enough. [-]
    """
    return "none fits" if share is None else f"{100.0 * share:.0f} %"


def between(season: Season) -> str:
    """Write what the blending rules in print would give."""
    if season.least is None or season.most is None or season.action != MIX:
        return ""
    low, high = f"{100.0 * season.least:.0f}", f"{100.0 * season.most:.0f}"
    return f"{low} %" if low == high else f"{low} to {high} %"


def main_oil(inputs: Inputs) -> OilInputs:
    """Return the source that brings most usable oil: whose kind the oil at hand is, unless said.

    Parameters
    ----------
    inputs : Inputs
        The farm, with at least one oil.

    Returns
    -------
    OilInputs
    """
    return max(
        inputs.oils,
        key=lambda o: float(o.volume_per_month * o.reliability * (1.0 - o.reject_share)),
    )


def refusal(result: Answer, where: str, value: str | None, message: str) -> ScenarioError:
    """Make the error for what cannot be answered."""
    return ScenarioError((Problem(str(result.scenario.path), where, value, message),))


def refuse_without_oil(result: Answer) -> None:
    """Refuse a farm with no oil listed."""
    if not result.expected.inputs.oils:
        raise refusal(result, "[[oils]]", None, "no oil is listed, so that there is none to mix")


def how_sure(farm: CardFarm, measured: float | None) -> list[str]:
    """Say how sure a share is.

    Parameters
    ----------
    farm : CardFarm
        For its units.
    measured : float or None
        Temperature at which the oil at hand was measured; None for the usual oil. [°C]
    """
    notes = [
        "Shares by ASTM D7152 on masses; beside them what other blending rules in print give."
        " On measured blends the rules erred by up to a tenth in thickness, and none in print was"
        " a used oil with much thinner: time the finished blend through the cup.",
        "A cup's own table turns its seconds into cSt.",
    ]
    if measured is None or measured < WARM_ENOUGH:
        notes.append(
            f"Measured below {farm.degrees(WARM_ENOUGH)}: ±20 %: warm it and measure again."
        )
    return notes
