"""The buyer's fuel at the prices of past years, beside the prices at which a plan decides.

>>> from econ import evaluate, load, prepare
>>> from econ.farm.demos import demo_files
>>> past = past_prices(evaluate(prepare(load(demo_files()["wrenfold"]))), Numbers("us", "USD"))
>>> past["years"][-1]["price"] == past["today"]
True
"""

from econ.advice.chance_words import past_prices_sentence
from econ.answers.chance_document import in_units
from econ.answers.chance_keys import PastPrices
from econ.ground.written import Numbers
from econ.model.measures import stop_below
from econ.model.outcome import Outcome
from econ.questions.history import price_record, real_prices


def deciding_prices(outcome: Outcome, units: str) -> tuple[float | None, float | None]:
    """Return the prices not to start below and to carry on down to, one's time free.

    Parameters
    ----------
    outcome : Outcome
        One farm at expected values, shape ``()``.
    units : {"us", "metric"}
        The file's unit system.

    Returns
    -------
    (float or None, float or None)
        Mean prices of the fuel replaced; None where no price decides. [currency/volume]
    """
    free = outcome.ledgers["time_free"]
    start = float(free.measures["break_even_fuel_price"])
    below = [float(price) for price in stop_below(free.ledger)[:1]]
    return (
        in_units(start, "price_per_volume", units),
        in_units(below[0], "price_per_volume", units) if below else None,
    )


def year_ago() -> tuple[float, str]:
    """Say what fuel was a year ago beside today, as the record moved over its last year.

    Returns
    -------
    (float, str)
        Last year's price over today's, in today's money, and where it comes from. [-]
    """
    real = real_prices()
    before, last = (row.year for row in price_record()[-2:])
    return float(real[-2] / real[-1]), (
        f"A year ago: today's price moved back as US road diesel moved from {before} to {last}, in"
        " today's money. Your own bills know better."
    )


def past_prices(outcome: Outcome, numbers: Numbers) -> PastPrices | None:
    """Let the mean price of the fuel replaced move as the record did, in today's money.

    Parameters
    ----------
    outcome : Outcome
        One farm at expected values, shape ``()``.
    numbers : Numbers
        How the file's numbers are written.

    Returns
    -------
    PastPrices or None
        None where no fuel is replaced. Prices in [currency/volume] of the file.

    Notes
    -----
    The record's last year stands for today: a past year's price is today's times the ratio of
    the two years' real prices, so it reads in the buyer's own fuels and money.
    """
    year = outcome.typical
    replaced = float(year.fuel["fuel_replaced"])
    if replaced <= 0.0:
        return None
    mean = in_units(
        float(year.savings["fuel_not_bought"]) / replaced, "price_per_volume", numbers.units
    )
    if mean is None:
        return None
    start, carry_on = deciding_prices(outcome, numbers.units)
    real = real_prices()
    prices = [mean * float(price / real[-1]) for price in real]
    return {
        "today": mean,
        "start": start,
        "carry_on": carry_on,
        "years": [
            {"year": row.year, "price": price}
            for row, price in zip(price_record(), prices, strict=True)
        ],
        "sentence": past_prices_sentence(
            numbers, today=mean, start=start, carry_on=carry_on, prices=prices
        ),
    }
