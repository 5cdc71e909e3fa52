"""Numbers of the document, which are in the file's units, as text with their unit."""

from collections.abc import Callable
from dataclasses import dataclass

from econ.ground.wording import Wording


@dataclass(frozen=True, slots=True)
class Numbers:
    """How one file's numbers are written; None reads as "not reached" or "none made"."""

    units: str
    currency: str

    @property
    def _wording(self) -> Wording:
        return Wording(self.units, self.currency)

    @property
    def volume_unit(self) -> str:
        """Give "gal" or "L"."""
        return self._wording.volume_unit

    @property
    def a_volume(self) -> str:
        """Give "a gallon" or "a litre"."""
        return "a gallon" if self.units == "us" else "a litre"

    def money(self, amount: float | None) -> str:
        """Write an amount in whole units of money."""
        return "none" if amount is None else self._wording.money(amount)

    def cents(self, amount: float | None) -> str:
        """Write an amount to the cent."""
        return "none" if amount is None else self._wording.cents(amount)

    def price(self, amount: float | None) -> str:
        """Write a price for a volume."""
        if amount is None:
            return "none"
        return f"{self.cents(amount)}/{self.volume_unit}"

    def volume(self, amount: float | None) -> str:
        """Write a volume."""
        return "none" if amount is None else f"{amount:,.0f} {self.volume_unit}"

    @staticmethod
    def percent(share: float | None) -> str:
        """Write a share or a rate."""
        return "none" if share is None else f"{100 * share:.0f} %"

    @staticmethod
    def years(years: float | None) -> str:
        """Write a time in years and months."""
        if years is None:
            return "never"
        months = round(12 * years)
        if months < 24:
            return f"{months} months"
        return f"{years:.1f} years"

    @staticmethod
    def hours(hours: float) -> str:
        """Write hours, to the tenth where they are few."""
        return f"{hours:,.1f} h" if hours < 20.0 else f"{hours:,.0f} h"

    def of(self, dimension: str, value: float | None) -> str:
        """Write a value by its dimension."""
        if value is None:
            return {"years": "never", "rate": "no single rate"}.get(dimension, "none")
        writers: dict[str, Callable[[float], str]] = {
            "money": self.money,
            "money_per_hour": lambda x: f"{self.cents(x)}/h",
            "money_per_year": lambda x: f"{self.money(x)}/year",
            "price_per_volume": self.price,
            "volume": self.volume,
            "volume_per_month": lambda x: f"{self.volume(x)}/month",
            "volume_per_year": lambda x: f"{self.volume(x)}/year",
            "hours": self.hours,
            "count": lambda x: f"{x:,.0f}",
            "ratio": lambda x: f"{x:.2f}",
            "rate": self.percent,
            "share": self.percent,
            "years": self.years,
        }
        return writers[dimension](value)
