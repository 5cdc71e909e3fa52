"""The mix for the oil at hand, as a document.

>>> from econ import load
>>> from econ.answers.document import answer
>>> from econ.farm.demos import demo_files
>>> farm = answer(load(demo_files()["wrenfold"]))
>>> tractors = [hand_document(farm, cst, 40.0)["machines"][0] for cst in (50.0, 100.0)]
>>> thin_oil, thick_oil = (tractor["seasons"][0]["thinner_share"] for tractor in tractors)
>>> thin_oil < thick_oil
True
"""

import numpy as np

from econ.answers.card_farm import (
    BLENDS,
    CardFarm,
    between,
    card_farm,
    how_sure,
    main_oil,
    percent,
    refusal,
    refuse_without_oil,
    season_name,
)
from econ.answers.card_keys import HandDocument, HandSeason
from econ.answers.document import Answer
from econ.fuel.viscosity_band import Part
from econ.ground.units import from_canonical
from econ.model.equal_job import JOB_TEMPERATURE
from econ.model.inputs import OilInputs
from econ.questions.hand_mix import (
    COLDEST,
    MIX,
    THICKEST,
    THINNEST,
    WARMEST,
    MachineMix,
    Season,
    hand_mixes,
    oil_at_hand,
    thickness,
)

# Below it the viscosity chart of ASTM D341 has no line. [cSt]
_LEAST_MEASURABLE = 0.21
_ABOVE = f"allowed: cSt above {_LEAST_MEASURABLE:g}"


def _measured(
    result: Answer, farm: CardFarm, source: OilInputs, viscosity: float, temperature: float
) -> tuple[Part, float]:
    """Return the oil at hand and its thickness at 40 °C, or refuse what cannot be worked with."""
    if not COLDEST <= temperature <= WARMEST:
        span = f"from {farm.degrees(COLDEST)} to {farm.degrees(WARMEST)}"
        raise refusal(result, "--at", farm.degrees(temperature), f"allowed: {span}")
    if not np.isfinite(viscosity) or viscosity <= _LEAST_MEASURABLE:
        raise refusal(result, "--viscosity", f"{viscosity:g}", _ABOVE)
    hand = oil_at_hand(source, temperature, viscosity)
    at_40 = thickness(hand, JOB_TEMPERATURE)
    if not THINNEST <= at_40 <= THICKEST:
        message = (
            f"is {at_40:,.0f} cSt at {farm.degrees(JOB_TEMPERATURE)}; the blending rule was"
            f" measured from {THINNEST:g} to {THICKEST:g} cSt, so that no share is given"
        )
        raise refusal(result, "--viscosity", f"{viscosity:g}", message)
    return hand, at_40


def hand_document(
    result: Answer, viscosity: float, temperature: float, oil: str | None = None
) -> HandDocument:
    """Return the mix for the oil at hand.

    Parameters
    ----------
    result : Answer
        The farm worked through.
    viscosity : float
        Measured. [cSt]
    temperature : float
        At which it was measured. [°C]
    oil : str, optional
        The source whose kind it is; the one that brings most oil by default.

    Returns
    -------
    HandDocument

    Raises
    ------
    ScenarioError
        If the oil is none of the farm's, or outside where the blending rule was measured.
    """
    farm = card_farm(result)
    refuse_without_oil(result)
    source = _source(result, oil)
    hand, at_40 = _measured(result, farm, source, viscosity, temperature)
    header = result.scenario.scenario
    return {
        "title": header.title,
        "units": header.units,
        "currency": header.currency,
        "oil": source.name,
        "viscosity": viscosity,
        "temperature": float(from_canonical(temperature, "temperature", header.units)),
        "viscosity_40": at_40,
        "machines": [
            {
                "machine": mix.machine,
                "thinner": mix.thinner,
                "seasons": [_hand_season(farm, mix, season) for season in mix.seasons],
            }
            for mix in hand_mixes(farm.inputs, hand, farm.shares())
        ],
        "notes": how_sure(farm, temperature),
    }


def _source(result: Answer, name: str | None) -> OilInputs:
    """Find the source whose kind the oil at hand is."""
    inputs = result.expected.inputs
    if name is None:
        return main_oil(inputs)
    for oil in inputs.oils:
        if oil.name.casefold() == name.casefold():
            return oil
    allowed = ", ".join(f'"{oil.name}"' for oil in inputs.oils)
    raise refusal(result, "--oil", name, f"no source of that name; allowed: {allowed}")


def _hand_season(farm: CardFarm, mix: MachineMix, season: Season) -> HandSeason:
    sizes, unit = BLENDS[farm.write.units], farm.write.volume_unit
    share = season.share
    text = season.action
    if season.action == MIX and share is not None:
        text = f"{percent(share)} thinner ({between(season)} by the rules in print)"
        drum = sizes[-1]
        text += f": {share * drum:.1f} {unit} in {drum:g} {unit} of blend"
        if season.planned is not None:
            less = (season.planned - share) * drum
            if abs(less) >= 0.5:
                word = "less" if less > 0.0 else "more"
                text += f", {abs(less):.0f} {unit} {word} than planned"
    return {
        "season": season_name(mix, season),
        "action": season.action,
        "thinner_share": share,
        "least": season.least,
        "most": season.most,
        "planned": season.planned,
        "volumes": {} if share is None else {f"{size:g}": share * size for size in sizes},
        "text": text,
    }
