"""Numbers as screens write them: the terminal's, and the units that axes name."""

import textwrap
from html import escape

from econ.ground.units import currency_sign
from econ.ground.written import Numbers


class ScreenNumbers(Numbers):
    """How one file's numbers are written on a screen."""

    @property
    def sign(self) -> str:
        """Return the sign of the money: "$"."""
        return currency_sign(self.currency).strip()

    @property
    def price_unit(self) -> str:
        """Return the unit of a price for a volume: "$/gal"."""
        return f"{self.sign}/{self.volume_unit}"

    def round_money(self, amount: float | None) -> str:
        """Write an amount for a talk: to 10 below 1,000 and to 100 above."""
        if amount is None:
            return "none"
        return self.money(round(amount, -1 if abs(amount) < 1000.0 else -2))


def label(text: str, wide: int = 28) -> str:
    """Return a farm's own words as a chart may show them: no markup, broken into short lines.

    Parameters
    ----------
    text : str
        A name from a farm file; charts would read a tag in it.
    wide : int
        Characters a line.

    Returns
    -------
    str
    """
    lines = textwrap.wrap(text, wide) or [""]
    return "<br>".join(escape(line, quote=False) for line in lines)
