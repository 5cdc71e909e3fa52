"""Canonical numbers as text in a file's units; what is in the file's units, `written` writes."""

import unicodedata

from msgspec import Struct

from econ.ground.units import LITRES_PER_GALLON
from econ.ground.written import Numbers

# Control, format, surrogate, and line and paragraph separators: they move the cursor, turn the
# writing round or break lines. The two joiners are letters' parts in several scripts.
_UNSHOWN = frozenset({"Cc", "Cf", "Cs", "Zl", "Zp"})
_JOINERS = frozenset("\u200c\u200d")


def visible(text: str, *, lines: bool = False) -> str:
    r"""Write text so that it can do nothing but be read.

    Parameters
    ----------
    text : str
        Such as a name from a farm file.
    lines : bool
        Whether it may have line breaks.

    Returns
    -------
    str
        Signs that cannot be shown as escapes, such as ``\x1b``; all others as they are.

    Examples
    --------
    >>> print(visible(f"Hay {chr(27)}[2J tractor"))
    Hay \x1b[2J tractor
    """
    if text.isprintable():
        return text
    return "".join(
        sign
        if sign in _JOINERS
        or (lines and sign == "\n")
        or unicodedata.category(sign) not in _UNSHOWN
        else sign.encode("unicode_escape").decode("ascii")
        for sign in text
    )


class Wording(Struct, frozen=True):
    """How one file writes its numbers.

    Parameters
    ----------
    units : str
        "us" or "metric".
    currency : str
        ISO 4217 code.
    """

    units: str
    currency: str

    @property
    def numbers(self) -> Numbers:
        """How numbers already in the file's units are written."""
        return Numbers(self.units, self.currency)

    @property
    def volume_unit(self) -> str:
        """The unit of volumes: "gal" or "L"."""
        return self.numbers.volume_unit

    @property
    def _litres(self) -> float:
        return LITRES_PER_GALLON if self.units == "us" else 1.0

    def money(self, amount: float) -> str:
        """Write an amount in whole units: −$1,250.

        Parameters
        ----------
        amount : float
            [currency]
        """
        return self.numbers.money(amount)

    def cents(self, amount: float) -> str:
        """Write an amount to the cent: $9.84.

        Parameters
        ----------
        amount : float
            [currency]
        """
        return self.numbers.cents(amount)

    def price(self, per_litre: float) -> str:
        """Write a price for a volume: $3.80/gal.

        Parameters
        ----------
        per_litre : float
            [currency/L]
        """
        return self.numbers.price(per_litre * self._litres)

    def volume(self, litres: float) -> str:
        """Write a volume in whole units: 1,480 gal.

        Parameters
        ----------
        litres : float
            [L]
        """
        return self.numbers.volume(litres / self._litres)

    def temperature(self, celsius: float) -> str:
        """Write a temperature in whole degrees: 104 °F.

        Parameters
        ----------
        celsius : float
            [°C]
        """
        return self.numbers.temperature(celsius * 1.8 + 32.0 if self.units == "us" else celsius)

    @staticmethod
    def percent(share: float) -> str:
        """Write a share in whole percent: 12 %.

        Parameters
        ----------
        share : float
            [-]
        """
        return Numbers.percent(share)
