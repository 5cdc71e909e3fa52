"""One farm at one point of its estimates, every number in litres, km, kW and °C.

What is decided rather than counted (the set-up, what is in the plan, who may burn blend, whose
tax is paid, who burns first) is decided at expected values and kept at every other point.
"""

import functools
import math
import tomllib
from pathlib import Path
from typing import Any

from reference import liquids
from reference.liquids import BTU, GALLON, HORSEPOWER, MILE, line
from reference.reading import Document, with_setup

FUELS = ("road_diesel", "farm_diesel", "heating_oil")


class Farm:
    """Plain numbers of one farm; `settled` is the same farm at expected values."""

    def __init__(self, document: Document, point: str, settled: "Farm | None" = None) -> None:
        self.document = with_setup(document)
        self.point = point
        self.settled = settled
        self.us = document["scenario"]["units"] == "us"
        self.gallon = GALLON if self.us else 1.0
        self.mile = MILE if self.us else 1.0
        prices = self.document.get("prices", {})
        self.prices = {f: self.number(prices[f]) / self.gallon for f in FUELS if f in prices}
        self.road_tax = self.number(prices.get("road_tax", 0)) / self.gallon
        self.fuel_duty = self.number(prices.get("fuel_duty", 0)) / self.gallon
        self.duty_back = self.number(prices.get("fuel_duty_back", 0))
        self.electricity = self.number(prices.get("electricity", 0))
        self.winter = set(self.document.get("blending", {}).get("winter_months", []))
        self.finance()
        self.cleaning()
        self.sources()
        self.thinners = [self.thinner(t) for t in self.document.get("thinners", [])]
        self.pool()
        self.machines = [self.machine(k, m) for k, m in enumerate(self.document["machines"])]
        self.burns = settled.burns if settled else [m["blend_share"] > 0 for m in self.machines]
        self.planned = settled.planned if settled else self.names_in_the_plan()
        self.bills()

    def number(self, value: Any) -> float:
        if isinstance(value, dict):
            if self.point == "expected":
                return float((value["low"] + 4 * value["likely"] + value["high"]) / 6)
            return float(value[self.point])
        return float(value)

    def celsius(self, value: Any) -> float:
        number = self.number(value)
        return (number - 32) * 5 / 9 if self.us else number

    def heat(self, value: Any) -> float:
        """Heat given in the file, as MJ/L."""
        return self.number(value) * BTU / GALLON if self.us else self.number(value)

    def finance(self) -> None:
        money = self.document["finance"]
        self.years = money["years"]
        self.rate = self.number(money["discount_rate"])
        self.inflation = self.number(money.get("inflation", 0))
        self.fuel_inflation = self.number(money.get("fuel_inflation", money.get("inflation", 0)))
        self.tax = self.number(money.get("tax_rate", 0))
        self.depreciation = money.get("depreciation", "none")
        self.contingency = self.number(money.get("kit_contingency", 0))
        self.real_rate = (1 + self.rate) / (1 + self.inflation) - 1
        labour = self.document["labour"]
        self.wage = self.number(labour["wage"])
        self.hired = self.number(labour.get("hired_share", 0))
        self.wage_tax = self.tax if labour.get("wage_taxed", True) else 0.0

    def cleaning(self) -> None:
        p = self.document["process"]
        self.batch = self.number(p["batch_volume"]) * self.gallon
        self.hours_per_batch = self.number(p["hours_per_batch"])
        self.max_batches = (
            self.number(p["max_batches_per_month"]) if "max_batches_per_month" in p else None
        )
        self.month_hours = self.number(p["hours_per_month"]) if "hours_per_month" in p else None
        self.first_year_share = self.number(p.get("first_year_share", 1))
        self.loss = self.number(p.get("loss_share", 0))
        self.raw_room = self.number(p["raw_storage"]) * self.gallon
        self.clean_room = self.number(p["clean_storage"]) * self.gallon
        self.held_back = (
            self.number(self.document.get("reserve", {}).get("clean_oil", 0)) * self.gallon
        )
        self.test_cost = self.number(p.get("test_cost_per_batch", 0))
        self.disposal = self.number(p.get("disposal_cost", 0)) / self.gallon
        self.km_cost = (
            self.number(self.document.get("hauling", {}).get("cost_per_distance", 0)) / self.mile
        )

    def energy_per_litre(self) -> float:
        p = self.document["process"]
        if "energy_per_volume" in p:
            return self.number(p["energy_per_volume"]) / self.gallon
        start, end = self.celsius(p["heat_from"]), self.celsius(p["heat_to"])
        specific = (1.685 + 0.0034 * (start + end) / 2) / math.sqrt(self.density)
        ideal = self.density * specific * (end - start) / 3600
        motor = self.number(p.get("motor_energy_per_volume", 0)) / self.gallon
        return ideal / self.number(p.get("heater_efficiency", 1)) + motor

    # --- oil and thinner -------------------------------------------------------------------

    def sources(self) -> None:
        self.oils = []
        for oil in self.document["oils"]:
            density, points, btu = liquids.OILS[oil["kind"]]
            reject = self.number(oil.get("reject_share", 0))
            promised = (
                self.number(oil["volume_per_month"])
                * self.gallon
                * self.number(oil.get("reliability", 1))
            )
            load = self.number(oil["load_volume"]) * self.gallon if "load_volume" in oil else None
            trips = 0.0
            if load is not None and reject < 1:
                trips = 1 / ((1 - reject) * load)
            self.oils.append(
                {
                    "name": oil["name"],
                    "own": oil.get("own", False),
                    "volume": self.number(oil["volume_per_month"]),
                    "usable": promised * (1 - reject),
                    "trips": trips,
                    "hours": trips * self.number(oil.get("hours_per_trip", 0)),
                    "distance": self.number(oil.get("round_trip", 0)) * self.mile,
                    "price": self.number(oil.get("price", 0)) / self.gallon,
                    "density": self.number(oil.get("density", density)),
                    "heat": self.heat(oil["energy"]) if "energy" in oil else btu * BTU / GALLON,
                    "line": self.oil_line(oil, points),
                }
            )

    def oil_line(self, oil: Document, points: Any) -> tuple[float, float]:
        table = line(*points[0], *points[1])
        if "viscosity_40" in oil and "viscosity_100" in oil:
            return line(
                40, self.number(oil["viscosity_40"]), 100, self.number(oil["viscosity_100"])
            )
        for key, temperature in (("viscosity_40", 40), ("viscosity_100", 100)):
            if key in oil:
                known = liquids.w(self.number(oil[key]))
                return known + table[1] * math.log10(temperature + 273.15), table[1]
        return table

    def thinner(self, thinner: Document) -> Document:
        density, points, btu = liquids.THINNERS[thinner["kind"]]
        price = thinner["price"]
        tied = isinstance(price, str)
        refund = self.number(thinner.get("refund", 0)) / self.gallon
        if self.settled:
            before = next(t for t in self.settled.thinners if t["name"] == thinner["name"])
            paid = before["paid"]
        else:
            paid = thinner.get("road_tax_paid", price == "road_diesel" or refund > 0)
        available = thinner.get("available_per_month")
        return {
            "name": thinner["name"],
            "kind": thinner["kind"],
            "paid": paid,
            "refund": refund,
            "price": self.prices[price] if tied else self.number(price) / self.gallon,
            "available": None if available is None else self.number(available) * self.gallon,
            "density": self.number(thinner.get("density", density)),
            "heat": self.heat(thinner["energy"]) if "energy" in thinner else btu * BTU / GALLON,
            "line": line(*points[0], *points[1]),
        }

    def pool(self) -> None:
        blending = self.document.get("blending", {})
        self.temperatures = [
            self.celsius(blending[key]) if key in blending else usual
            for key, usual in (("fuel_temperature", 40.0), ("fuel_temperature_winter", 25.0))
        ]
        weights = [oil["usable"] for oil in self.oils]
        if sum(weights) == 0:
            weights = [1.0 for _ in self.oils]
        parts = list(zip(weights, self.oils, strict=True))
        self.density = sum(x * o["density"] for x, o in parts) / sum(weights)
        self.heat_value = sum(x * o["heat"] for x, o in parts) / sum(weights)
        mass = sum(x * o["density"] for x, o in parts)
        self.pool_w = [
            sum(x * o["density"] / mass * liquids.at_temperature(o["line"], t) for x, o in parts)
            for t in self.temperatures
        ]

    # --- machines --------------------------------------------------------------------------

    def machine(self, index: int, m: Document) -> Document:
        weights = m.get("use_by_month", [1] * 12)
        thinner = next((t for t in self.thinners if t["name"] == m.get("thinner")), None)
        fit = self.settled.machines[index]["fit"] if self.settled else self.fit(m)
        share = 0.0 if fit == "excluded" else self.number(m["blend_share"])
        made = {
            "name": m["name"],
            "replaces": m["replaces"],
            "fuel": self.yearly_fuel(m),
            "use": [x / sum(weights) for x in weights],
            "thinner": thinner,
            "road": self.number(m.get("road_share", 0)),
            "blend_share": share,
            "fit": fit,
            "months": set(m.get("blend_months", range(1, 13))),
            "factor": self.number(m.get("use_factor", 1.02)),
            "repairs": self.repairs(m),
            "resale_loss": self.number(m.get("resale_loss", 0)),
        }
        made["wear"] = sum(cost * failures for _, cost, failures in made["repairs"])
        made["additives"] = self.additives(made)
        made["x"] = [self.share(m, thinner, season) for season in (0, 1)]
        made["R"] = [self.ratio(made, x) for x in made["x"]]
        gasoline = thinner is not None and thinner["kind"].startswith("gasoline")
        dry = any((made["x"][self.season(month)] or 0) > 0 for month in made["months"])
        if not self.settled and fit == "suited" and m["engine"] == "rotary pump":
            made["fit"] = "caution" if gasoline and dry else "suited"
        return made

    def yearly_fuel(self, m: Document) -> float:
        if "fuel_per_year" in m:
            return self.number(m["fuel_per_year"]) * self.gallon
        if "distance_per_year" in m:
            distance = self.number(m["distance_per_year"]) * self.mile
            return distance / (self.number(m["distance_per_volume"]) * self.mile / self.gallon)
        hours = self.number(m["hours_per_year"])
        if "rated_power" in m:
            power = self.number(m["rated_power"]) / (1.0 if self.us else HORSEPOWER)
            return hours * 0.044 * power * GALLON
        return hours * self.number(m["fuel_per_hour"]) * self.gallon

    def repairs(self, m: Document) -> list[tuple[str, float, float]]:
        """List part, cost of one repair and failures expected for a litre of oil burned."""
        rows, per = m.get("wear", []), 1000 * self.gallon
        if not rows:
            rows, per = usual_wear(m["engine"]), 1000 * GALLON
        return [
            (r["part"], self.number(r["cost"]), self.number(r["extra_failures"]) / per)
            for r in rows
        ]

    def fit(self, m: Document) -> str:
        controls = m.get("emission_controls", [])
        year = m["model_year"] if m["engine"] != "burner" else 0
        on_road = self.number(m.get("road_share", 0)) > 0
        if m["engine"] == "late common rail":
            return "excluded"
        if "particulate filter" in controls or "catalyst" in controls:
            return "excluded"
        if year >= (2006 if on_road else 2011):
            return "excluded"
        if "exhaust gas recirculation" in controls or "optical sensor" in controls:
            return "caution"
        if m["engine"] in ("early common rail", "unit injector", "hydraulic unit injector"):
            return "caution"
        if not on_road and year >= 2006:
            return "caution"
        return "suited"

    def share(self, m: Document, thinner: Document | None, season: int) -> float | None:
        """Thinner share of a season; None where the thinner is too thick."""
        if thinner is None:
            return 0.0
        if "thinner_share" in m:
            if season == 1 and "thinner_share_winter" in m:
                return self.number(m["thinner_share_winter"])
            return self.number(m["thinner_share"])
        limit = self.number(m.get("viscosity_limit", liquids.LIMITS[m["engine"]]))
        thin = liquids.at_temperature(thinner["line"], self.temperatures[season])
        return liquids.share_for_limit(
            self.pool_w[season], thin, liquids.w(limit), self.density, thinner["density"]
        )

    def ratio(self, made: Document, x: float | None) -> float | None:
        """Litres of blend for a litre of pump fuel replaced."""
        if x is None:
            return None
        heat = (1 - x) * self.heat_value
        if x > 0:
            heat += x * made["thinner"]["heat"]
        return (1 + (made["factor"] - 1) * (1 - x)) * liquids.DIESEL_HEAT / heat

    def additives(self, made: Document) -> float:
        """Additives for a litre of a machine's blend."""
        takers = {made["name"]}
        if made["thinner"] is not None:
            takers.add(made["thinner"]["name"])
        return sum(
            self.number(a["price"]) / self.gallon * self.number(a["dose"])
            for a in self.document.get("additives", [])
            if "serves" not in a or takers & set(a["serves"])
        )

    def season(self, month: int) -> int:
        return 1 if month in self.winter else 0

    # --- what belongs to the plan ----------------------------------------------------------

    def names_in_the_plan(self) -> set[str]:
        """Name the set-up, oils, thinners and machines that this plan uses."""
        names = {setup["name"] for setup in self.document.get("setups", [])[:1]}
        names |= {oil["name"] for oil in self.oils if oil["volume"] > 0}
        for m, burns in zip(self.machines, self.burns, strict=True):
            if burns:
                names.add(m["name"])
                if m["thinner"] is not None:
                    names.add(m["thinner"]["name"])
        return names

    def in_plan(self, entry: Document) -> bool:
        return "serves" not in entry or bool(self.planned & set(entry["serves"]))

    def bills(self) -> None:
        d = self.document
        self.kit = [item for item in d.get("kit", []) if self.in_plan(item)]
        yearly = [bill for bill in d.get("yearly", []) if self.in_plan(bill)]
        self.yearly = sum(self.number(bill["cost"]) for bill in yearly)
        self.upkeep = self.number(d["labour"].get("upkeep_hours_per_year", 0))
        self.upkeep += sum(self.number(bill.get("hours", 0)) for bill in yearly)
        self.exit_cost = self.number(d["finance"].get("exit_cost", 0))
        self.exit_cost += sum(self.number(item.get("exit_cost", 0)) for item in self.kit)
        for m, burns in zip(self.machines, self.burns, strict=True):
            self.exit_cost += m["resale_loss"] if burns else 0.0

    # --- taxes and who burns first ---------------------------------------------------------

    def taxed_share(self, m: Document, x: float) -> float:
        """Part of a machine's blend on which road tax and duty are still owed."""
        return 1 - x if m["thinner"] is not None and m["thinner"]["paid"] else 1.0

    def duty(self, m: Document) -> float:
        """Duty for a litre of blend that owes it in full."""
        return self.fuel_duty * (1 - (1 - m["road"]) * self.duty_back)

    def order(self) -> list[int]:
        worths = []
        for index, m in enumerate(self.machines):
            worth = -math.inf
            for month in range(1, 13):
                x, ratio = m["x"][self.season(month)], m["R"][self.season(month)]
                if month not in m["months"] or x is None:
                    continue
                thinner = 0.0
                if m["thinner"] is not None:
                    thinner = m["thinner"]["price"] - (1 - m["road"]) * m["thinner"]["refund"]
                owed = self.taxed_share(m, x) * (m["road"] * self.road_tax + self.duty(m))
                earned = self.prices[m["replaces"]] / ratio - x * thinner - m["additives"] - owed
                worth = earned / (1 - x) - m["wear"]
                break
            worths.append((-worth, index))
        return [index for _, index in sorted(worths)]


@functools.cache
def wear_rows() -> Document:
    return tomllib.loads((Path(__file__).parent / "wear.toml").read_text(encoding="utf-8"))


def usual_wear(engine: str) -> list[Document]:
    rows = wear_rows()
    kept = list(rows.get(engine, []))
    # A class that never burns blend has no rows of its own and gets none at all.
    if kept and engine != "burner":
        kept += rows["every piston engine"]
    return kept
