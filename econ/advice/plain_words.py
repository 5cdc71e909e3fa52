"""Sentences that a couple reads first, each made in one place from a decision's own figures.

Numbers here are in the file's units; money is said as people say it and rounded once.
"""

from collections.abc import Sequence

from econ.ground.written import Numbers

# Hours a month up to which a phrase holds; beyond the last, whole days of eight hours.
_MONTHLY = ((2.0, "An hour or two"), (6.0, "Half a day"), (10.0, "A day"))
_DAY = 8.0
# Within this share of each other two months' hours are called as many.
_ALIKE = 0.10
# Up to which share of a loan's payments a part of it is called so.
_CARRIED = ((0.2, "little"), (0.4, "some"), (0.6, "about half"), (1.0, "most"))
YEAR_WORDS = ("one year", "two years", "three years")


def year_sentence(
    numbers: Numbers, *, worth: float, own_hours: float, paid: bool, taxed: bool
) -> str:
    """Say what a year leaves, and for how much work.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    worth : float
        Equivalent annual worth of the ledger that the advice rests on. [currency/yr]
    own_hours : float
        Unpaid hours a year. [h/yr]
    paid : bool
        Whether that ledger pays one's own time.
    taxed : bool
        Whether tax is counted.

    Returns
    -------
    str

    Examples
    --------
    >>> year_sentence(Numbers("us", "USD"), worth=229.8, own_hours=86.7, paid=False, taxed=True)
    'The plan leaves $230 a year after tax for 87 hours of work.'
    """
    who = "Paying you for your time, the plan" if paid else "The plan"
    if worth <= 0.0 and not paid:
        who = "Even with your time free the plan"
    verb = "leaves" if worth > 0.0 else "loses"
    amount = numbers.spoken(abs(worth))
    after = " after tax" if taxed else ""
    work = f" for {own_hours:,.0f} hours of work" if own_hours >= 0.5 else ""
    return f"{who} {verb} {amount} a year{after}{work}."


def pay_sentence(numbers: Numbers, *, pay: float | None, wage: float, taxed: bool) -> str:
    """Say what an hour earns, beside what the reader says an hour is worth.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    pay : float or None
        Wage at which the plan, its hours paid, is worth nothing; None without own hours.
        [currency/h]
    wage : float
        What the file counts an hour at. [currency/h]
    taxed : bool
        Whether pay earned elsewhere would be taxed: a reader who divides the year by its hours
        must not be contradicted.

    Returns
    -------
    str
    """
    if pay is None:
        return "None of the hours are your own."
    job = "a taxed job" if taxed else "a job"
    yours = numbers.spoken_pay(wage)
    if pay <= 0.0:
        return f"An hour of it earns nothing; you count your hour at {yours}."
    earned = numbers.spoken_pay(pay)
    return f"That pays like {job} at {earned} an hour; you count your hour at {yours}."


def gallon_title(numbers: Numbers, *, full: float, pump: float) -> str:
    """Say whether a volume of one's own fuel is dearer than at the pump, all counted.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    full, pump : float
        Full cost of fuel replaced and its price. [currency/volume]

    Returns
    -------
    str
    """
    volume = numbers.a_volume.capitalize()
    if round(full, 2) == round(pump, 2):
        return f"{volume} of your own fuel costs as much as one at the pump"
    more = "more" if full > pump else "less"
    return f"{volume} of your own fuel costs {more} than one at the pump"


def month_phrase(own_hours: float) -> str:
    """Say a year's hours as people do, by the month.

    Parameters
    ----------
    own_hours : float
        [h/yr]

    Returns
    -------
    str

    Examples
    --------
    >>> [month_phrase(hours) for hours in (0.0, 12.0, 87.0, 288.0)]
    ['None', 'An hour or two a month', 'A day a month', 'Three days a month']
    """
    monthly = own_hours / 12.0
    if monthly <= 0.0:
        return "None"
    for most, phrase in _MONTHLY:
        if monthly < most:
            return f"{phrase} a month"
    days = max(2, round(monthly / _DAY))
    return f"{Numbers.count(days).capitalize()} days a month"


def busy_note(hours: Sequence[float], busy: Sequence[bool]) -> str:
    """Say whether the work falls on the farm's own busy months.

    Parameters
    ----------
    hours : sequence of 12 floats
        [h/month]
    busy : sequence of 12 bools
        Whether the farm's own fuel of that month is above its mean.

    Returns
    -------
    str
    """
    inside = [h for h, b in zip(hours, busy, strict=True) if b]
    outside = [h for h, b in zip(hours, busy, strict=True) if not b]
    if sum(hours) <= 0.0:
        return "all hours are paid to others"
    if not inside or not outside:
        return "spread over the year"
    mean_in, mean_out = sum(inside) / len(inside), sum(outside) / len(outside)
    if abs(mean_in - mean_out) <= _ALIKE * max(mean_in, mean_out):
        return "as much in your busy months as in the others"
    more = "more" if mean_in > mean_out else "less"
    return f"{more} in your busy months than in the others"


def up_front_note(numbers: Numbers, *, kit_cost: float, kit_to_buy: float) -> str:
    """Say what of the kit is still to buy.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    kit_cost, kit_to_buy : float
        All of it, and what is not there yet. [currency]
    """
    owned = kit_cost - kit_to_buy
    if kit_cost <= 0.0:
        return "the plan needs no kit"
    if kit_to_buy <= 0.0:
        return "the kit is already there"
    if owned <= 0.0:
        return "for the kit, all of it still to buy"
    return "for kit still to buy; the rest is already there"


def lost_note(lost: Sequence[float]) -> str:
    """Say when stopping loses most.

    Parameters
    ----------
    lost : sequence of float
        What stopping loses after each of the first years. [currency]
    """
    if not lost or max(lost) <= 0.0:
        return "kit sold; a broken engine comes on top"
    year = list(lost).index(max(lost))
    return f"after {YEAR_WORDS[year]}, kit sold; a broken engine comes on top"


def stop_line(
    numbers: Numbers, *, start: float | None, carry_on: float | None, worth: float
) -> str:
    """Say the price not to start below, and the one down to which a running plan goes on.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    start : float or None
        Break-even of the mean price of the fuel replaced. [currency/volume]
    carry_on : float or None
        Lowest price at which a running plan is worth carrying on after its first year.
        [currency/volume]
    worth : float
        The plan's worth, for where no price is the limit. [currency]

    Returns
    -------
    str
    """
    if start is None:
        return (
            "No pump price alone makes this plan lose."
            if worth > 0.0
            else "No pump price alone makes this plan pay."
        )
    first = f"Do not start below {numbers.per_volume(start)}"
    if carry_on is None:
        return f"{first}."
    if carry_on <= 0.0:
        return f"{first}; once running, carry on at any price."
    return f"{first}; once running, carry on down to {numbers.per_volume(carry_on)}."


def rests_heading(guessed: float, billed: float) -> str:
    """Say what the figures rest on, as the finding it is.

    Parameters
    ----------
    guessed, billed : float
        Share that rests on guesses and usual values, and on bills. [-]
    """
    if guessed >= 0.95:
        return "It rests on guesses"
    if guessed >= 0.5:
        return "Most of it rests on guesses"
    if guessed >= 0.2:
        return "Part of it rests on guesses"
    return "It rests on bills" if billed >= 0.5 else "It rests on measurements and bills"


def cautions_heading(first: int, all_of_them: int) -> str:
    """Head the gravest cautions, saying how many stand behind them."""
    count = Numbers.count(first).capitalize()
    noun = "caution" if first == 1 else "cautions"
    if all_of_them > first:
        return f"{count} grave {noun}, more behind"
    return f"{count} {noun}"


def loan_sentence(
    numbers: Numbers, *, payment: float, amount: float, years: int, rate: float, cover: float | None
) -> str:
    """Say in the couple's words whether the plan carries its own loan.

    Parameters
    ----------
    numbers : Numbers
        How the file's numbers are written.
    payment : float
        One payment. [currency/month]
    amount : float
        Borrowed. [currency]
    years : int
        [yr]
    rate : float
        Nominal. [1/yr]
    cover : float or None
        Yearly saving over the year's payments. [-]

    Returns
    -------
    str
    """
    text = (
        f"{numbers.spoken(amount)} over {numbers.count(years)} years at {100 * rate:.3g} % is"
        f" {numbers.spoken(payment)} a month."
    )
    if cover is None:
        return text
    if cover >= 1.0:
        return f"{text} The plan carries it."
    if cover <= 0.0:
        return f"{text} The plan carries none of it; the farm pays all."
    return f"{text} The plan carries {100 * cover:.0f} % of it; the farm pays the rest."


def loan_in_words(cover: float | None) -> str:
    """Say without a number whether the plan carries its own loan.

    Parameters
    ----------
    cover : float or None
        Yearly saving over the year's payments. [-]

    Returns
    -------
    str
        Empty where it cannot be said.
    """
    if cover is None:
        return ""
    if cover >= 1.0:
        return "The plan carries its loan."
    if cover <= 0.0:
        return "The plan carries none of its loan; the farm pays all."
    part = next(words for most, words in _CARRIED if cover < most)
    return f"The plan carries {part} of its loan; the farm pays the rest."
