"""A loan beside the ledgers: what it costs, and what the plan leaves after its payments.

Examples
--------
>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> outcome = evaluate(prepare(load(demo_files()["quillmere"])))
>>> loan = loan_of(outcome)
>>> bool(loan.payment_per_year >= loan.payment > 0.0)
True
>>> loan_of(evaluate(prepare(load(demo_files()["wrenfold"])))) is None
True
"""

import numpy as np
from msgspec import Struct

from econ.finance.loans import interest_by_year, level_payment
from econ.ground.units import Floats, total
from econ.model.inputs import Inputs
from econ.model.kit import KitMoney
from econ.model.ledger import FLOW_LINES, YearsMoney
from econ.model.outcome import Outcome

_ZERO: Floats = np.zeros(())


class Loan(Struct, frozen=True):
    """A loan worked through; series have the years 0..N, nothing in year 0. [currency]"""

    payment: Floats
    payment_per_year: Floats
    interest: tuple[Floats, ...]
    left_after_payment: dict[str, tuple[Floats, ...]]
    """By ledger: the year's flow less payments, plus the tax that the interest saves."""
    cover: Floats
    """time_free yearly saving of year 2 over a year's payments; NaN without payments. [-]"""
    npv_change: Floats
    """The amount less the present value of payments after tax: what borrowing is worth."""
    lines: dict[str, tuple[Floats, ...]]
    """The flow lines of a loan by key, before tax."""


def _beside(inputs: Inputs, principal: list[Floats], interest: list[Floats]) -> YearsMoney:
    """Lay a loan's amounts out as its flow lines read them; all else is in the ledgers."""
    nothing = [_ZERO] * len(principal)
    kit = KitMoney(_ZERO, nothing, nothing, nothing, nothing)
    return YearsMoney(inputs, nothing, nothing, nothing, kit, nothing, principal, interest)


def loan_of(outcome: Outcome) -> Loan | None:
    """Work out a farm's loan: payments, interest, what is left after them.

    Parameters
    ----------
    outcome : Outcome
        The farm worked through; arrays of shape ``(...,)``.

    Returns
    -------
    Loan or None
        None where the farm has no loan. [currency]

    Notes
    -----
    A loan changes no ledger: a plan is worth what it is worth, however it is paid for. With one
    payment a year and a rate that is the discount rate before tax, borrowing is worth nothing.
    """
    inputs, loan = outcome.inputs, outcome.inputs.loan
    if loan is None:
        return None
    last = inputs.finance.years
    terms = (loan.amount, loan.rate, loan.payments_per_year, loan.years)
    payment = level_payment(*terms)
    yearly = payment * loan.payments_per_year
    rest = [_ZERO] * (last - loan.years)
    interest = [_ZERO, *interest_by_year(*terms), *rest]
    principal = [_ZERO, *(yearly - part for part in interest[1 : loan.years + 1]), *rest]
    money = _beside(inputs, principal, interest)
    lines, paid = {}, [_ZERO] * (last + 1)
    for line in FLOW_LINES:
        if line.part != "loan":
            continue
        amounts = line.amount(money)
        keep = 1.0 - inputs.finance.tax_rate if line.taxed(inputs) else np.ones(())
        lines[line.key] = tuple(amounts)
        paid = [a + b * keep for a, b in zip(paid, amounts, strict=True)]
    saving = outcome.ledgers["time_free"].ledger.savings[min(2, last)]
    return Loan(
        payment=payment,
        payment_per_year=yearly,
        interest=tuple(interest),
        left_after_payment={
            key: tuple(
                flow + amount for flow, amount in zip(result.ledger.flows, paid, strict=True)
            )
            for key, result in outcome.ledgers.items()
        },
        cover=np.where(yearly > 0.0, saving / np.where(yearly > 0.0, yearly, 1.0), np.nan),
        npv_change=loan.amount + _worth(paid, inputs.finance.discount_rate),
        lines=lines,
    )


def _worth(series: list[Floats], rate: Floats) -> Floats:
    """Discount a series of any shapes to today."""
    return total([amount / (1.0 + rate) ** y for y, amount in enumerate(series)])
