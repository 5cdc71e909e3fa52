"""Numbers in a file's own units as people read them; a number never without its unit.

The one class that writes figures for every surface: exact ones to the unit or the cent, spoken
ones as people say them, rounded once. Whatever lies below zero has a true minus sign, which no
line break parts from its figure; JSON, CSV and farm files keep the keyboard's.
"""

from collections.abc import Callable

from msgspec import Struct

from econ.ground.units import currency_sign

MINUS = "\N{MINUS SIGN}"
_NUMBERS = (
    "no",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
)


def signed(figure: str) -> str:
    """Write a figure's sign as people read it: a true minus, and none before nothing.

    Parameters
    ----------
    figure : str
        As Python writes a number.

    Examples
    --------
    >>> signed("-12.5"), signed("-0"), signed("1,300")
    ('−12.5', '0', '1,300')
    """
    below = figure.startswith("-") and any(sign in "123456789" for sign in figure)
    return (MINUS if below else "") + figure.removeprefix("-")


class Numbers(Struct, frozen=True):
    """How one file's numbers are written; None reads as "not reached" or "none made"."""

    units: str
    currency: str

    @property
    def volume_unit(self) -> str:
        """The unit of volumes: "gal" or "L"."""
        return "gal" if self.units == "us" else "L"

    @property
    def a_volume(self) -> str:
        """One volume in words: "a gallon" or "a litre"."""
        return "a gallon" if self.units == "us" else "a litre"

    @property
    def sign(self) -> str:
        """The sign of the money: "$"."""
        return currency_sign(self.currency).strip()

    @property
    def price_unit(self) -> str:
        """The unit of a price for a volume: "$/gal"."""
        return f"{self.sign}/{self.volume_unit}"

    def money(self, amount: float | None) -> str:
        """Write an amount in whole units of money.

        Parameters
        ----------
        amount : float or None
            [currency]
        """
        if amount is None:
            return "none"
        return self._signed(round(amount), f"{abs(round(amount)):,}")

    def cents(self, amount: float | None) -> str:
        """Write an amount to the cent.

        Parameters
        ----------
        amount : float or None
            [currency]
        """
        if amount is None:
            return "none"
        return self.per_volume(amount)

    def _signed(self, amount: float, figure: str) -> str:
        """Put the sign of the money before a figure, and a minus before both."""
        return f"{MINUS if amount < 0.0 else ''}{currency_sign(self.currency)}{figure}"

    def spoken(self, amount: float) -> str:
        """Write money as people say it: to 10 below 1,000, to 100 above.

        Parameters
        ----------
        amount : float
            [currency]

        Returns
        -------
        str
            With a true minus sign; what rounds to nothing is "less than $10" or "nothing".

        Examples
        --------
        >>> numbers = Numbers("us", "USD")
        >>> [numbers.spoken(x) for x in (229.79, 10_780.0, 3.0, 0.0)]
        ['$230', '$10,800', 'less than $10', 'nothing']
        """
        sign = currency_sign(self.currency)
        if amount == 0.0:
            return "nothing"
        step = 10 if abs(amount) < 995.0 else 100
        rounded = step * round(abs(amount) / step)
        if rounded == 0:
            return f"less than {sign}10" + (" lost" if amount < 0.0 else "")
        return self._signed(amount, f"{rounded:,}")

    def spoken_pay(self, amount: float) -> str:
        """Write an hour's pay as people say it: to 0.10 below 10, else whole.

        Parameters
        ----------
        amount : float
            [currency/h]
        """
        if abs(amount) < 9.95:
            return self._signed(round(amount, 1), f"{abs(round(amount, 1)):.2f}")
        return self._signed(amount, f"{abs(round(amount)):,}")

    def per_volume(self, amount: float) -> str:
        """Write a price as people say it, its unit said beside it: $3.86.

        Parameters
        ----------
        amount : float
            [currency/volume]
        """
        return self._signed(round(amount, 2), f"{abs(amount):,.2f}")

    @staticmethod
    def count(number: int) -> str:
        """Write a whole number in words to twelve: "three", "15"."""
        return _NUMBERS[number] if 0 <= number < len(_NUMBERS) else f"{number:,}"

    def price(self, amount: float | None) -> str:
        """Write a price for a volume.

        Parameters
        ----------
        amount : float or None
            [currency/volume]
        """
        if amount is None:
            return "none"
        return f"{self.cents(amount)}/{self.volume_unit}"

    def volume(self, amount: float | None) -> str:
        """Write a volume.

        Parameters
        ----------
        amount : float or None
            In the file's units. [volume]
        """
        return "none" if amount is None else f"{signed(f'{amount:,.0f}')} {self.volume_unit}"

    def temperature(self, degrees: float | None) -> str:
        """Write a temperature in whole degrees.

        Parameters
        ----------
        degrees : float or None
            In the file's unit. [°F] or [°C]
        """
        if degrees is None:
            return "none"
        return f"{signed(f'{degrees:.0f}')} {'°F' if self.units == 'us' else '°C'}"

    @staticmethod
    def percent(share: float | None) -> str:
        """Write a share or a rate.

        Parameters
        ----------
        share : float or None
            [-] or [1/yr]
        """
        return "none" if share is None else f"{signed(f'{100 * share:.0f}')} %"

    @staticmethod
    def years(years: float | None) -> str:
        """Write a time in years and months.

        Parameters
        ----------
        years : float or None
            [yr]
        """
        if years is None:
            return "never"
        months = round(12 * years)
        if months < 24:
            return f"{months} months"
        return f"{years:.1f} years"

    @staticmethod
    def hours(hours: float) -> str:
        """Write hours, to the tenth where they are few.

        Parameters
        ----------
        hours : float
            [h]
        """
        return f"{signed(f'{hours:,.1f}' if hours < 20.0 else f'{hours:,.0f}')} h"

    def of(self, dimension: str, value: float | None) -> str:
        """Write a value by its dimension.

        Parameters
        ----------
        dimension : str
            Key of `econ.ground.units.DIMENSIONS`, or flag, count, ratio.
        value : float or None
            In the file's unit for that dimension. [any]
        """
        if value is None:
            unsaid = {"years": "never", "rate": "no single rate", "flag": "never is"}
            return unsaid.get(dimension, "none")
        writers: dict[str, Callable[[float], str]] = {
            "money": self.money,
            "money_per_hour": lambda x: f"{self.cents(x)}/h",
            "money_per_year": lambda x: f"{self.money(x)}/year",
            "price_per_volume": self.price,
            "volume": self.volume,
            "volume_per_month": lambda x: f"{self.volume(x)}/month",
            "volume_per_year": lambda x: f"{self.volume(x)}/year",
            "hours": self.hours,
            "flag": lambda x: "yes" if x else "no",
            "count": lambda x: signed(f"{x:,.0f}"),
            "ratio": lambda x: signed(f"{x:.2f}"),
            "rate": self.percent,
            "share": self.percent,
            "years": self.years,
        }
        return writers[dimension](value)
