"""Numbers as people read them, in a file's units and money; a number never without its unit."""

from dataclasses import dataclass

from econ.ground.units import LITRES_PER_GALLON, currency_sign


@dataclass(frozen=True, slots=True)
class Wording:
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
    def volume_unit(self) -> str:
        """Give "gal" or "L"."""
        return "gal" if self.units == "us" else "L"

    def money(self, amount: float) -> str:
        """Write an amount in whole units: -$1,250."""
        rounded = round(amount)
        sign = "-" if rounded < 0 else ""
        return f"{sign}{currency_sign(self.currency)}{abs(rounded):,}"

    def cents(self, amount: float) -> str:
        """Write an amount to the cent: $9.84."""
        sign = "-" if round(amount, 2) < 0 else ""
        return f"{sign}{currency_sign(self.currency)}{abs(amount):,.2f}"

    def price(self, per_litre: float) -> str:
        """Write a price for a volume: $3.80/gal."""
        per = per_litre * (LITRES_PER_GALLON if self.units == "us" else 1.0)
        return f"{self.cents(per)}/{self.volume_unit}"

    def volume(self, litres: float) -> str:
        """Write a volume in whole units: 1,480 gal."""
        amount = litres / (LITRES_PER_GALLON if self.units == "us" else 1.0)
        return f"{amount:,.0f} {self.volume_unit}"

    def temperature(self, celsius: float) -> str:
        """Write a temperature in whole degrees: 104 °F."""
        if self.units == "us":
            return f"{celsius * 1.8 + 32.0:.0f} °F"
        return f"{celsius:.0f} °C"

    @staticmethod
    def percent(share: float) -> str:
        """Write a share in whole percent: 12 %."""
        return f"{100.0 * share:.0f} %"
