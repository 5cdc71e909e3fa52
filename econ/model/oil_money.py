"""What one volume of oil earns in a machine, in closed form: for maps of price and share.

Oil is what a plan is short of, so thinners compare by what each volume of oil keeps, never by
what a volume of blend costs: a dear thinner in a great share looks cheap by the blend.
"""

from dataclasses import dataclass

import numpy as np

from econ.fuel.substances import DIESEL_HEATING_VALUE
from econ.ground.units import Floats, Numeric
from econ.model.blends import oil_pool
from econ.model.costs import additive_price, wear_price
from econ.model.inputs import Inputs


@dataclass(frozen=True, slots=True)
class OilTerms:
    """All that a volume of oil meets in one machine beside share and price of its thinner."""

    fuel_price: Floats
    """Of the pump fuel replaced. [currency/L]"""
    oil_heating_value: Floats
    thinner_heating_value: Floats
    """Lower heating values. [MJ/L]"""
    use_factor: Floats
    """Fuel for the same work on clean oil alone, beyond energy content. [-]"""
    additives: Floats
    """[currency per L of blend]"""
    road_tax: Floats
    """Owed on a litre of blend: road share times tax. [currency/L]"""
    tax_paid: bool
    """Whether the thinner's price includes road tax."""
    wear: Floats
    """[currency per L of oil]"""


def oil_terms(inputs: Inputs, index: int, thinner: int) -> OilTerms:
    """Read the terms of one machine and one thinner.

    Parameters
    ----------
    inputs : Inputs
        The farm.
    index, thinner : int
        Which machine, which thinner.

    Returns
    -------
    OilTerms
    """
    machine = inputs.machines[index]
    return OilTerms(
        fuel_price=inputs.prices[machine.replaces],
        oil_heating_value=oil_pool(inputs).heating_value,
        thinner_heating_value=inputs.thinners[thinner].heating_value,
        use_factor=machine.use_factor,
        additives=additive_price(inputs),
        road_tax=machine.road_share * inputs.road_tax,
        tax_paid=inputs.thinners[thinner].road_tax_paid,
        wear=wear_price(machine),
    )


def kept_per_oil(terms: OilTerms, share: Numeric, thinner_price: Numeric) -> Floats:
    """Give what a volume of clean oil keeps when burned, before what the oil itself cost.

    Parameters
    ----------
    terms : OilTerms
        Machine and thinner.
    share : float or ndarray, shape (...,)
        Thinner by volume of the blend, below 1. [-]
    thinner_price : float or ndarray, shape (...,)
        [currency/L]

    Returns
    -------
    ndarray, shape (...,)
        Fuel not bought less thinner, additives and road tax, per volume of oil, less wear; by
        the rules of broadcasting, so that a map of a million cells is one call. [currency/L]

    Raises
    ------
    ValueError
        If any share is 1 or more, or below 0: there is no oil in such a blend to pay.
    """
    x = np.asarray(share, dtype=np.float64)
    if np.any(x >= 1.0) or np.any(x < 0.0):
        message = "share must lie from 0 up to, not including, 1"
        raise ValueError(message)
    heat = (1.0 - x) * terms.oil_heating_value + x * terms.thinner_heating_value
    factor = 1.0 + (terms.use_factor - 1.0) * (1.0 - x)
    replaced = heat / (factor * DIESEL_HEATING_VALUE)
    taxed = 1.0 - x if terms.tax_paid else 1.0
    per_blend = terms.fuel_price * replaced - terms.additives - terms.road_tax * taxed
    per_thinner = x * np.asarray(thinner_price, dtype=np.float64)
    return np.asarray((per_blend - per_thinner) / (1.0 - x) - terms.wear)


def entry_fee(terms: OilTerms, share: Numeric, thinner_price: Numeric) -> Floats:
    """Give what thinning takes from each volume of oil: negative where it earns by itself.

    Parameters
    ----------
    terms : OilTerms
        Machine and thinner.
    share : float or ndarray, shape (...,)
        Thinner by volume of the blend, below 1. [-]
    thinner_price : float or ndarray, shape (...,)
        [currency/L]

    Returns
    -------
    ndarray, shape (...,)
        What a volume of oil would keep burned alone less what it keeps thinned. [currency/L]

    Notes
    -----
    Without additives, road tax and use factor this is ``x / (1 - x) (p - P LHV_t / LHV_d)``
    with p the thinner's price and P that of the fuel replaced. No source: arithmetic.
    """
    alone = kept_per_oil(terms, 0.0, 0.0)
    return np.asarray(alone - kept_per_oil(terms, share, thinner_price))
