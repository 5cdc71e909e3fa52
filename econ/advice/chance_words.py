"""What draws say, in sentences: worded once for terminal, pages and paper."""

from collections.abc import Sequence

from econ.ground.written import Numbers


def ahead_sentence(free: float, paid: float) -> str:
    """Say how many of a hundred ways come out ahead.

    Parameters
    ----------
    free, paid : float
        Share of draws ahead with one's time free, and with it paid. [-]

    Examples
    --------
    >>> ahead_sentence(0.455, 0.2)
    'Of a hundred ways it may go, 46 come out ahead if your time is free, 20 even if it is paid.'
    """
    of = "Of a hundred ways it may go"
    one, two = round(100 * free), round(100 * paid)
    if one == two:
        return f"{of}, {one} come out ahead, your time paid or not."
    return f"{of}, {one} come out ahead if your time is free, {two} even if it is paid."


def worth_sentence(numbers: Numbers, label: str, low: float, mean: float, high: float) -> str:
    """Say how far a ledger's worth spreads.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    label : str
        What the ledger is called.
    low, mean, high : float
        1 in 20 worse, on average, 1 in 20 better. [currency]
    """
    return (
        f"{label}: worth {numbers.spoken(mean)} on average over the draws, in today's money, 1 in"
        f" 20 ends at {numbers.spoken(low)} or less, 1 in 20 at {numbers.spoken(high)} or more."
    )


def stopping_sentence(
    numbers: Numbers, label: str, gain: float, low: float, low_to_the_end: float
) -> str:
    """Say what freedom to stop brings a ledger: on average, and to the worst 1 in 20.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    label : str
        What the ledger is called.
    gain : float
        On average. [currency]
    low, low_to_the_end : float
        1 in 20 ends at or below: free to stop, and never stopping. [currency]
    """
    if gain < 1.0:
        return f"{label}: on average it adds nothing to this plan."
    return (
        f"{label}: it adds {numbers.spoken(gain)} on average, and the worst 1 in 20 end at"
        f" {numbers.spoken(low)} or less instead of {numbers.spoken(low_to_the_end)}."
    )


NOTHING = "No single number that can be found out would change the decision."
NOTHING_PAID = "With your time paid no single number that can be found out would change it."
STOPPING = "You may stop any New Year's Day; that is worth at least this."


def history_sentence(
    numbers: Numbers,
    *,
    stretches: int,
    years: int,
    ahead: tuple[int, int],
    worst: int,
    best: int,
) -> str:
    """Say how the plan would have fared in past stretches of fuel prices.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    stretches : int
        How many there are.
    years : int
        Length of each. [yr]
    ahead : (int, int)
        In how many it comes out ahead: with one's time free, and paid.
    worst, best : int
        Year in which the worst and the best began, with one's time free.

    Returns
    -------
    str
    """
    free, paid = (str(count) if count else "none" for count in ahead)
    came = (
        f"in {free} if your time is free, in {paid} if it is paid"
        if free != paid
        else f"in {free}, your time paid or not"
    )
    span = f"{numbers.count(years)} year{'' if years == 1 else 's'}"
    return (
        f"Of {stretches} past stretches of {span} this plan would have come out ahead {came};"
        f" the worst begun {worst}, the best {best}."
    )


def history_note(first: int, last: int, *, stand_in: bool) -> str:
    """Say what record the looking back rests on."""
    text = f"Diesel prices in the United States, {first} to {last}, in money of one year"
    return f"{text}: a stand-in for prices where you are." if stand_in else f"{text}."


def past_prices_sentence(
    numbers: Numbers,
    *,
    today: float,
    start: float | None,
    carry_on: float | None,
    prices: Sequence[float],
) -> str:
    """Say in how many past years the fuel replaced cost what a start needs, and what going on does.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    today : float
        Mean price of the fuel replaced. [currency/volume]
    start, carry_on : float or None
        Prices not to start below, and down to which a running plan goes on. [currency/volume]
    prices : sequence of float
        The fuel's price had it moved as the record, by year. [currency/volume]

    Returns
    -------
    str

    Examples
    --------
    >>> text = past_prices_sentence(
    ...     Numbers("us", "USD"), today=4.0, start=3.0, carry_on=2.0, prices=[1.5, 2.5, 3.5, 4.0]
    ... )
    >>> text.partition(", ")[2].partition(", and ")[0]
    'it would have stood at or above $3.00, where a start pays, in 2 of 4 years'
    >>> text.partition(", and ")[2]
    'below $2.00, where stopping does, in 1.'
    """
    text = f"Had your fuel ({numbers.per_volume(today)} today) moved as the record did"
    if start is None:
        return f"{text}, no price of it would have decided."
    above = sum(price >= start for price in prices)
    text += f", it would have stood at or above {numbers.per_volume(start)}, where a start pays,"
    text += f" in {above} of {len(prices)} years"
    if carry_on is None or carry_on <= 0.0:
        return f"{text}."
    under = sum(price < carry_on for price in prices)
    return f"{text}, and below {numbers.per_volume(carry_on)}, where stopping does, in {under}."


def bad_year_sentence(numbers: Numbers, rounded: float, error: float) -> str:
    """Say what one year in twenty falls below.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    rounded : float
        What is left of such a year, as coarse as its error asks. [currency]
    error : float
        One standard error. [currency]
    """
    give = f" (± {numbers.money(error)})" if error >= 0.5 else ""
    left = f"less than {numbers.money(rounded)} is left{give}"
    return f"In one year of twenty, repairs as they fall, {left}."


def how_often(years_between: float) -> str:
    """Say how often something comes.

    Parameters
    ----------
    years_between : float
        Mean time between two of it, above 0. [yr]

    Examples
    --------
    >>> [how_often(years) for years in (0.3, 1.1, 6.8)]
    ['about 3 times a year', 'about once a year', 'about once in 7 years']
    """
    if years_between <= 0.67:
        return f"about {1.0 / years_between:,.0f} times a year"
    if years_between < 1.5:
        return "about once a year"
    return f"about once in {years_between:,.0f} years"


def dearest_sentence(
    numbers: Numbers, part: str, machine: str, cost: float, years_between: float
) -> str:
    """Say which single repair is the dearest, and how often it comes.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    part, machine : str
        What breaks, and on what.
    cost : float
        [currency]
    years_between : float
        Mean time between two of it. [yr]
    """
    often = how_often(years_between)
    return f"The dearest: {part} on {machine}, {numbers.money(cost)}, {often}."


def large_bill_sentence(numbers: Numbers, above: float, years_between: float | None) -> str:
    """Say how often a large repair bill comes.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    above : float
        From where a bill is large; 0 without kit. [currency]
    years_between : float or None
        Mean time between two of them; None where none is to be expected. [yr]
    """
    bill = (
        f"A repair bill above {numbers.money(above)} (a tenth of the kit)"
        if above > 0.0
        else "A repair bill"
    )
    if years_between is None:
        return f"{bill} is not to be expected."
    if years_between < 1.5:
        return f"{bill} comes about {1.0 / years_between:.1f} times a year, all parts together."
    return f"{bill} comes about once in {years_between:,.0f} years, all parts together."


def learning_sentence(numbers: Numbers, name: str, value: float, tells: str) -> str:
    """Say what knowing one guess before deciding is worth, and what would tell it.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    name : str
        The guess.
    value : float
        [currency]
    tells : str
        What would tell it.
    """
    return f"{name}: worth up to {numbers.money(value)} to know; {tells} would tell."


def prices_note(swing: float) -> str:
    """Say that the draws let fuel prices wander.

    Parameters
    ----------
    swing : float
        Standard deviation of the yearly change; 0 where prices hold still. [1/yr]
    """
    if swing == 0.0:
        return "Fuel prices are held as they are today, apart from even growth."
    return f"Fuel prices wander from year to year, by about {100 * swing:.0f} % each year."
