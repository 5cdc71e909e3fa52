"""What one volume of oil earns in a machine: for the burn order, and maps of price and share.

Oil is what a plan is short of, so machines and thinners compare by what each volume of oil
keeps, never by what a volume of blend costs: a dear thinner in a great share looks cheap by the
blend. What is taken off is every cost line that a machine bears (`econ.model.costs`).

Examples
--------
>>> from econ import load, prepare
>>> from econ.farm.demos import demo_files
>>> inputs = prepare(load(demo_files()["wrenfold"]))
>>> terms = oil_terms(inputs, 0, 0)
>>> alone, thinned = kept_per_oil(terms, 0.0), kept_per_oil(terms, 0.2)
>>> bool(abs(entry_fee(terms, 0.2) - (alone - thinned)) < 1e-12)
True
"""

import numpy as np
from msgspec import Struct

from econ.ground.records import replace
from econ.ground.units import Floats, Numeric, total
from econ.model.blends import oil_pool, volume_per_replaced
from econ.model.costs import Burned, borne_costs
from econ.model.inputs import Inputs, MachineInputs, ThinnerInputs
from econ.model.outcome import Blend


class OilTerms(Struct, frozen=True):
    """All that a volume of oil meets in one machine beside the share of its thinner."""

    inputs: Inputs
    machine: MachineInputs
    thinner: ThinnerInputs | None
    oil_heating_value: Floats
    """Lower heating value of the clean oil. [MJ/L]"""


def oil_terms(inputs: Inputs, index: int, thinner: int | None) -> OilTerms:
    """Read the terms of one machine and one thinner.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index : int
        Which machine.
    thinner : int or None
        Which thinner; None for clean oil alone.

    Returns
    -------
    OilTerms
    """
    return OilTerms(
        inputs=inputs,
        machine=inputs.machines[index],
        thinner=None if thinner is None else inputs.thinners[thinner],
        oil_heating_value=oil_pool(inputs).heating_value,
    )


def _earned(terms: OilTerms, x: Floats, ratio: Floats) -> Floats:
    """Work out what a volume of oil keeps, from the share and the blend for the work."""
    blend = 1.0 / (1.0 - x)
    burned = Burned(terms.inputs, terms.machine, terms.thinner, blend, x * blend, np.ones(()))
    worth = terms.inputs.prices[terms.machine.replaces] * blend / ratio
    return worth - total(borne_costs(burned).values())


def kept_per_oil(terms: OilTerms, share: Numeric, thinner_price: Numeric | None = None) -> Floats:
    """Work out what a volume of clean oil keeps when burned, before what the oil itself cost.

    Parameters
    ----------
    terms : OilTerms
        Machine and thinner.
    share : float or ndarray, shape (...,)
        Thinner by volume of the blend, below 1. [-]
    thinner_price : float or ndarray, shape (...,), optional
        Instead of the thinner's own. [currency/L]

    Returns
    -------
    ndarray, shape (...,)
        Fuel not bought less all that the machine bears (thinner, additives, road tax, duty,
        wear), per volume of oil; by the rules of broadcasting, so that a map of a million
        cells is one call. [currency/L]

    Raises
    ------
    ValueError
        If any share is 1 or more, or below 0: there is no oil in such a blend to pay.
    """
    x = np.asarray(share, dtype=np.float64)
    if np.any(x >= 1.0) or np.any(x < 0.0):
        message = "share must lie from 0 up to, not including, 1"
        raise ValueError(message)
    thinner = terms.thinner
    heat = (1.0 - x) * terms.oil_heating_value
    if thinner is not None:
        heat = heat + x * thinner.heating_value
        if thinner_price is not None:
            thinner = replace(thinner, price=np.asarray(thinner_price, dtype=np.float64))
    ratio = volume_per_replaced(terms.machine.use_factor, heat, x)
    return np.asarray(_earned(replace(terms, thinner=thinner), x, ratio))


def entry_fee(terms: OilTerms, share: Numeric, thinner_price: Numeric | None = None) -> Floats:
    """Work out what thinning takes from each volume of oil: negative where it earns by itself.

    Parameters
    ----------
    terms : OilTerms
        Machine and thinner.
    share : float or ndarray, shape (...,)
        Thinner by volume of the blend, below 1. [-]
    thinner_price : float or ndarray, shape (...,), optional
        Instead of the thinner's own. [currency/L]

    Returns
    -------
    ndarray, shape (...,)
        What a volume of oil would keep burned alone less what it keeps thinned. [currency/L]

    Notes
    -----
    Without additives, taxes and use factor this is ``x / (1 - x) (p - P LHV_t / LHV_d)``
    with p the thinner's price and P that of the fuel replaced. No source: arithmetic.
    """
    alone = kept_per_oil(replace(terms, thinner=None), 0.0)
    return np.asarray(alone - kept_per_oil(terms, share, thinner_price))


def oil_worths(inputs: Inputs, blends: tuple[tuple[Blend, Blend], ...]) -> tuple[Floats, ...]:
    """Work out what a volume of oil earns in each machine, in its first month that takes blend.

    Parameters
    ----------
    inputs : Inputs
        The farm; arrays of shape ``(...,)``.
    blends : tuple of (Blend, Blend)
        Its machines' blends.

    Returns
    -------
    tuple of ndarray, shape (...,), one a machine
        Minus infinity where its thinner is too thick in all of its blend months. [currency/L]
    """
    heat = oil_pool(inputs).heating_value
    return tuple(_worth(inputs, k, pair, heat) for k, pair in enumerate(blends))


def _worth(inputs: Inputs, index: int, pair: tuple[Blend, Blend], heat: Floats) -> Floats:
    """Say what a volume of oil earns in one machine."""
    machine = inputs.machines[index]
    months = (month for month in range(12) if machine.blend_months[month])
    seasons = dict.fromkeys(inputs.winter_months[month] for month in months)
    thinner = None if machine.thinner is None else inputs.thinners[machine.thinner]
    terms = OilTerms(inputs, machine, thinner, heat)
    worth: Floats = np.asarray(-np.inf)
    # The later season serves only where the earlier one's blend is too thick.
    for winter in reversed(seasons):
        blend = pair[1 if winter else 0]
        earned = _earned(terms, blend.thinner_share, blend.volume_per_replaced)
        worth = np.where(blend.too_thick, worth, earned)
    return worth


def burn_order(inputs: Inputs, blends: tuple[tuple[Blend, Blend], ...]) -> tuple[int, ...]:
    """Rank machines by what a volume of oil earns in each, best first, ties in file order.

    Parameters
    ----------
    inputs : Inputs
        One scenario (arrays of shape ``()``), at expected values: the order is found once and
        kept for likely values, draws and sweeps.
    blends : tuple of (Blend, Blend)
        Its machines' blends.

    Returns
    -------
    tuple of int
        Indices of the machines.
    """
    worth = [float(value) for value in oil_worths(inputs, blends)]
    return tuple(sorted(range(len(worth)), key=lambda k: -worth[k]))
