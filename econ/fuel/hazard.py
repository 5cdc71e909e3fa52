"""Three things beside thickness: flash estimate, fire class, used-oil class, each by itself.

A blend can be thin enough and fail the other two. None of these says that anything is allowed.
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from econ.fuel.substances import substance
from econ.ground.units import Floats, Numeric
from econ.ground.wording import Wording

_KELVIN = 273.15


def flash_index(flash: Numeric) -> Floats:
    """Return the flash-point index, which adds up by volume.

    Parameters
    ----------
    flash : float or ndarray, shape (...,)
        Closed cup. [°C]

    Returns
    -------
    ndarray, shape (...,)
        ``10^(-6.1188 + 2414 / (T - 42.6))``, T in kelvin. [-]

    References
    ----------
    .. [1] Source key ``hu_burns_1970``.

    Examples
    --------
    >>> flash_index(np.array([40.0, 60.0, 80.0])).round(1)
    array([636.5, 154.7,  45.1])
    """
    kelvin = np.asarray(flash, dtype=np.float64) + _KELVIN
    return np.asarray(10.0 ** (-6.1188 + 2414.0 / (kelvin - 42.6)))


def flash_of(index: Numeric) -> Floats:
    """Return the flash point of an index, the inverse of `flash_index`.

    Parameters
    ----------
    index : float or ndarray, shape (...,)
        Above 1e-6. [-]

    Returns
    -------
    ndarray, shape (...,)
        [°C]
    """
    return np.asarray(2414.0 / (np.log10(index) + 6.1188) + 42.6 - _KELVIN)


def flash_estimate(shares: Sequence[Numeric], kinds: Sequence[str]) -> Floats:
    """Estimate a blend's flash point; NaN with anything in it that is treated as gasoline.

    Parameters
    ----------
    shares : sequence of float or ndarray, shape (...,)
        By volume, adding to one. [-]
    kinds : sequence of str
        Kinds of oil and thinner; their low-end flash points are taken.

    Returns
    -------
    ndarray, shape (...,)
        An estimate, never a safe value: a closed-cup test (ASTM D93) must confirm it. NaN with
        gasoline, where the methods disagree by over 100 °C. [°C]

    References
    ----------
    .. [1] Source keys ``hu_burns_1970``, ``mowrer_1989``, ``ljubas_flash``.
    """
    total: Floats = np.zeros(())
    gasoline: Floats = np.zeros(())
    for share, kind in zip(shares, kinds, strict=True):
        part = np.asarray(share, dtype=np.float64)
        liquid = substance(kind)
        if liquid.as_gasoline:
            gasoline = gasoline + part
            continue
        total = total + part * flash_index(liquid.flash)
    safe = np.where(gasoline > 0.0, 1.0, total)
    return np.where(gasoline > 0.0, np.nan, flash_of(safe))


class FireClass(Struct, frozen=True):
    """One class of 29 CFR 1910.106(a)(19)."""

    key: str
    label: str
    below: float
    """Flash points below this, and not below the class before it, fall in it. [°C]"""


# 73.4, 140 and 199.4 °F; osha_1910_106.
FIRE_CLASSES = (
    FireClass("as_gasoline", "category 1 or 2", 23.0),
    FireClass("category_3", "category 3", 60.0),
    FireClass("category_4", "category 4", 93.0),
    FireClass("above", "above the four categories; it still burns", np.inf),
)


def fire_class(flash: float) -> FireClass:
    """Return the fire class of a flash point.

    Parameters
    ----------
    flash : float
        From `flash_estimate`; NaN, for a blend with gasoline, counts as gasoline. [°C]

    Returns
    -------
    FireClass

    Notes
    -----
    60 and 93 °C themselves belong to the lower class by the rule's words ("at or below").

    References
    ----------
    .. [1] Source key ``osha_1910_106``, paragraph (a)(19).
    """
    if np.isnan(flash):
        return FIRE_CLASSES[0]
    if flash < FIRE_CLASSES[0].below:
        return FIRE_CLASSES[0]
    return next(result for result in FIRE_CLASSES[1:] if flash <= result.below)


def flash_text(flash: float, wording: Wording) -> str:
    """Say what is known of a blend's flash point.

    Parameters
    ----------
    flash : float
        From `flash_estimate`. [°C]
    wording : Wording
        How the file writes its numbers.

    Returns
    -------
    str
    """
    if np.isnan(flash):
        return "treat as gasoline; no flash number"
    return f"about {wording.temperature(flash)}, an estimate: ASTM D93 must confirm"


class RuleClass(Struct, frozen=True):
    """What US used-oil rules make of a blend."""

    key: str
    label: str
    text: str
    source: str


RULE_CLASSES = {
    result.key: result
    for result in (
        RuleClass(
            "own_oil_and_diesel",
            "own oil and diesel",
            "40 CFR 279.10(d) and 279.20(a)(3) treat your own used oil, once mixed with diesel for"
            " your own vehicles, apart from the used-oil rules; before mixing they apply.",
            "cfr_279_20",
        ),
        RuleClass(
            "used_oil",
            "still used oil",
            "Still used oil by 40 CFR 279.10(d): mixing with anything but diesel, or for anything"
            " but your own engines, changes nothing.",
            "cfr_279_10",
        ),
        RuleClass(
            "used_oil_processing",
            "used oil, and processing",
            "Oil from others stays used oil, and cleaning and blending it is processing by 40 CFR"
            " 279.50(a).",
            "cfr_279_50",
        ),
    )
}


def rule_class(*, all_own: bool, engine: bool, kind: str | None) -> RuleClass:
    """Return the used-oil class of a blend, US rules.

    Parameters
    ----------
    all_own : bool
        Whether all the oil was drained from one's own machines.
    engine : bool
        Whether an engine burns it; a heater is none.
    kind : str or None
        Kind of the thinner; None for clean oil alone.

    Returns
    -------
    RuleClass

    References
    ----------
    .. [1] Source keys ``cfr_279_10`` (d), ``cfr_279_20`` (a)(3), ``cfr_279_50`` (a). One text
       says "vehicles", the other "engines": for a generator or a pump ask the state.
    """
    if not all_own:
        return RULE_CLASSES["used_oil_processing"]
    if engine and kind is not None and substance(kind).is_diesel:
        return RULE_CLASSES["own_oil_and_diesel"]
    return RULE_CLASSES["used_oil"]
