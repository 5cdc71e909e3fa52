"""A second reading of the model: plain floats and loops, easy to verify and nothing else.

It imports nothing from the package it checks, property values included. A document is a farm
as `tomllib` gives it, after `extends`; figures come back in the farm's units.
"""

import functools
import itertools
import math
import tomllib
from pathlib import Path
from typing import Any

Document = dict[str, Any]

GALLON = 3.785411784
MILE = 1.609344
HORSEPOWER = 0.745699872
BTU = 1055.05585262e-6  # MJ

# density kg/L, ((°C, cSt), (°C, cSt)), Btu/gal lower heating value
OILS = {
    "engine oil": (0.885, ((40, 66), (100, 10.0)), 129760),
    "transmission fluid": (0.865, ((40, 34.5), (100, 7.3)), 131763),
    "hydraulic oil": (0.875, ((40, 46), (100, 6.8)), 132801),
    "transformer oil": (0.880, ((40, 9.5), (100, 2.45)), 133313),
}
THINNERS = {
    "gasoline": (0.745, ((20, 0.62), (40, 0.525)), 116090),
    "gasoline E10": (0.750, ((20, 0.66), (40, 0.555)), 112114),
    "kerosene": (0.810, ((20, 2.30), (40, 1.59)), 126475),
    "diesel": (0.840, ((40, 2.68), (100, 1.15)), 128488),
    "mineral spirits": (0.780, ((20, 1.42), (40, 1.06)), 121960),
    "biodiesel": (0.880, ((40, 4.3), (100, 1.72)), 119550),
}
LIMITS = {
    "indirect injection": 12, "inline pump": 12, "unit injector": 12,
    "hydraulic unit injector": 12, "rotary pump": 7, "early common rail": 7,
    "late common rail": 7, "burner": 30,
}  # fmt: skip
MACRS = {
    "macrs 5": [0.20, 0.32, 0.192, 0.1152, 0.1152, 0.0576],
    "macrs 7": [0.1429, 0.2449, 0.1749, 0.1249, 0.0893, 0.0892, 0.0893, 0.0446],
}


# --- reading -------------------------------------------------------------------------------


def read(path: Path) -> Document:
    """Read a farm file and lay it over what it extends."""
    document = tomllib.loads(path.read_text(encoding="utf-8"))
    base = document["scenario"].get("extends")
    if base is None:
        return document
    merged = lay_over(read(path.parent / base), document)
    for table, names in document.get("remove", {}).items():
        merged[table] = [e for e in merged[table] if e["name"] not in names]
    merged.pop("remove", None)
    return merged


FUEL_WAYS = [
    {"fuel_per_year"}, {"hours_per_year", "fuel_per_hour"},
    {"distance_per_year", "distance_per_volume"}, {"hours_per_year", "rated_power"},
]  # fmt: skip
THINNER_WAYS = [{"thinner_share", "thinner_share_winter"}, {"viscosity_limit"}]
ENERGY_WAYS = [
    {"energy_per_volume"},
    {"heat_from", "heat_to", "heater_efficiency", "motor_energy_per_volume"},
]


def drop_other_ways(entry: Document, given: Document) -> Document:
    kept = dict(entry)
    for ways in (FUEL_WAYS, THINNER_WAYS, ENERGY_WAYS):
        touched = {key for way in ways for key in way if key in given}
        if not touched:
            continue
        fitting = {key for way in ways if touched <= way for key in way}
        for way in ways:
            for key in way:
                if key not in fitting:
                    kept.pop(key, None)
    return kept


def lay_list(base: list[Document], over: list[Document], key: str) -> list[Document]:
    if not over:
        return []
    merged = [dict(entry) for entry in base]
    for entry in over:
        for index, old in enumerate(merged):
            if old[key] == entry[key]:
                fresh = {**drop_other_ways(old, entry), **entry}
                if "wear" in entry:
                    fresh["wear"] = lay_list(old.get("wear", []), entry["wear"], "part")
                merged[index] = fresh
                break
        else:
            merged.append(dict(entry))
    return merged


def lay_over(base: Document, over: Document) -> Document:
    merged = dict(base)
    for table, value in over.items():
        if isinstance(value, list):
            merged[table] = lay_list(merged.get(table, []), value, "name")
        else:
            merged[table] = {**drop_other_ways(merged.get(table, {}), value), **value}
    return merged


# --- numbers -------------------------------------------------------------------------------


class Farm:
    """One farm at one point of its estimates, every number in litres, km, kW and °C."""

    def __init__(self, document: Document, at: str) -> None:
        self.document = document
        self.at = at
        self.us = document["scenario"]["units"] == "us"
        self.gallon = GALLON if self.us else 1.0
        self.mile = MILE if self.us else 1.0
        prices = document.get("prices", {})
        self.prices = {
            fuel: self.number(prices[fuel]) / self.gallon
            for fuel in ("road_diesel", "farm_diesel", "heating_oil")
            if fuel in prices
        }
        self.road_tax = self.number(prices.get("road_tax", 0)) / self.gallon
        self.electricity = self.number(prices.get("electricity", 0))
        self.winter = set(document.get("blending", {}).get("winter_months", []))
        self.finance()
        self.cleaning()
        self.sources()
        self.thinners = [self.thinner(t) for t in document.get("thinners", [])]
        self.pool()
        self.machines = [self.machine(m) for m in document["machines"]]

    def number(self, value: Any) -> float:
        if isinstance(value, dict):
            if self.at == "expected":
                return float((value["low"] + 4 * value["likely"] + value["high"]) / 6)
            return float(value["likely"])
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
        self.exit_cost = self.number(money.get("exit_cost", 0))
        labour = self.document["labour"]
        self.wage = self.number(labour["wage"])
        self.upkeep = self.number(labour.get("upkeep_hours_per_year", 0))
        self.hired = self.number(labour.get("hired_share", 0))

    def cleaning(self) -> None:
        p = self.document["process"]
        self.batch = self.number(p["batch_volume"]) * self.gallon
        self.hours_per_batch = self.number(p["hours_per_batch"])
        self.max_batches = (
            self.number(p["max_batches_per_month"]) if "max_batches_per_month" in p else None
        )
        self.month_hours = self.number(p["hours_per_month"]) if "hours_per_month" in p else None
        self.loss = self.number(p.get("loss_share", 0))
        self.raw_room = self.number(p["raw_storage"]) * self.gallon
        self.clean_room = self.number(p["clean_storage"]) * self.gallon
        self.test_cost = self.number(p.get("test_cost_per_batch", 0))
        self.disposal = self.number(p.get("disposal_cost", 0)) / self.gallon

    def sources(self) -> None:
        self.oils = []
        for oil in self.document["oils"]:
            density, points, btu = OILS[oil["kind"]]
            reject = self.number(oil.get("reject_share", 0))
            promised = (
                self.number(oil["volume_per_month"]) * self.gallon
                * self.number(oil.get("reliability", 1))
            )  # fmt: skip
            load = self.number(oil["load_volume"]) * self.gallon if "load_volume" in oil else None
            per_litre = 0.0
            if load is not None and reject < 1:
                per_litre = 1 / ((1 - reject) * load)
            self.oils.append({
                "own": oil.get("own", False),
                "usable": promised * (1 - reject),
                "trips": per_litre,
                "hours": per_litre * self.number(oil.get("hours_per_trip", 0)),
                "distance": self.number(oil.get("round_trip", 0)) * self.mile,
                "price": self.number(oil.get("price", 0)) / self.gallon,
                "density": self.number(oil.get("density", density)),
                "heat": self.heat(oil["energy"]) if "energy" in oil else btu * BTU / GALLON,
                "line": self.oil_line(oil, points),
            })  # fmt: skip

    def oil_line(self, oil: Document, points: Any) -> tuple[float, float]:
        table = line(*points[0], *points[1])
        if "viscosity_40" in oil and "viscosity_100" in oil:
            return line(40, self.number(oil["viscosity_40"]), 100,
                        self.number(oil["viscosity_100"]))  # fmt: skip
        for key, temperature in (("viscosity_40", 40), ("viscosity_100", 100)):
            if key in oil:
                a = w(self.number(oil[key])) + table[1] * math.log10(temperature + 273.15)
                return a, table[1]
        return table

    def thinner(self, thinner: Document) -> Document:
        density, points, btu = THINNERS[thinner["kind"]]
        price, tied = thinner["price"], None
        if isinstance(price, str):
            tied = price
        paid = thinner.get("road_tax_paid", tied == "road_diesel")
        available = thinner.get("available_per_month")
        return {
            "name": thinner["name"],
            "kind": thinner["kind"],
            "price": self.prices[tied] if tied else self.number(price) / self.gallon,
            "tied": tied is not None,
            "available": None if available is None else self.number(available) * self.gallon,
            "paid": paid,
            "density": self.number(thinner.get("density", density)),
            "heat": self.heat(thinner["energy"]) if "energy" in thinner else btu * BTU / GALLON,
            "line": line(*points[0], *points[1]),
        }

    def pool(self) -> None:
        blending = self.document.get("blending", {})
        self.temperatures = (
            self.celsius(blending["fuel_temperature"]) if "fuel_temperature" in blending else 40.0,
            self.celsius(blending["fuel_temperature_winter"])
            if "fuel_temperature_winter" in blending
            else 25.0,
        )
        weights = [oil["usable"] for oil in self.oils]
        if sum(weights) == 0:
            weights = [1.0 for _ in self.oils]
        total = sum(weights)
        self.density = (
            sum(x * o["density"] for x, o in zip(weights, self.oils, strict=True)) / total
        )
        self.heat_value = (
            sum(x * o["heat"] for x, o in zip(weights, self.oils, strict=True)) / total
        )
        mass = sum(x * o["density"] for x, o in zip(weights, self.oils, strict=True))
        self.pool_w = [
            sum(
                x * o["density"] / mass * at_temperature(o["line"], t)
                for x, o in zip(weights, self.oils, strict=True)
            )
            for t in self.temperatures
        ]

    def machine(self, m: Document) -> Document:
        if "fuel_per_year" in m:
            fuel = self.number(m["fuel_per_year"]) * self.gallon
        elif "distance_per_year" in m:
            fuel = (
                self.number(m["distance_per_year"]) * self.mile
                / (self.number(m["distance_per_volume"]) * self.mile / self.gallon)
            )  # fmt: skip
        elif "rated_power" in m:
            power = self.number(m["rated_power"]) / (1.0 if self.us else HORSEPOWER)
            fuel = self.number(m["hours_per_year"]) * 0.044 * power * GALLON
        else:
            fuel = self.number(m["hours_per_year"]) * self.number(m["fuel_per_hour"]) * self.gallon
        weights = m.get("use_by_month", [1] * 12)
        thinner = next((t for t in self.thinners if t["name"] == m.get("thinner")), None)
        fit = self.fit(m)
        share = 0.0 if fit == "excluded" else self.number(m["blend_share"])
        found = {
            "name": m["name"], "engine": m["engine"], "replaces": m["replaces"], "fuel": fuel,
            "use": [x / sum(weights) for x in weights], "thinner": thinner,
            "road": self.number(m.get("road_share", 0)), "blend_share": share, "fit": fit,
            "months": set(m.get("blend_months", range(1, 13))),
            "factor": self.number(m.get("use_factor", 1.02)),
            "wear": self.wear(m),
        }  # fmt: skip
        found["x"] = [self.share(m, found, 0), self.share(m, found, 1)]
        found["R"] = [self.ratio(found, x) for x in found["x"]]
        if fit == "suited" and m["engine"] == "rotary pump" and self.has_gasoline(found):
            found["fit"] = "caution"
        return found

    def has_gasoline(self, found: Document) -> bool:
        """Say whether any month's blend has gasoline in it."""
        if found["thinner"] is None or not found["thinner"]["kind"].startswith("gasoline"):
            return False
        return any((found["x"][self.season(month)] or 0) > 0 for month in found["months"])

    def wear(self, m: Document) -> float:
        """Expected repairs for a litre of oil burned."""
        per = 1000 * self.gallon
        rows = m.get("wear", [])
        if not rows:
            rows, per = usual_wear(m["engine"]), 1000 * GALLON
        return sum(self.number(r["cost"]) * self.number(r["extra_failures"]) / per for r in rows)

    def fit(self, m: Document) -> str:
        controls = m.get("emission_controls", [])
        year = m["model_year"] if m["engine"] != "burner" else 0
        road = m.get("road_share", 0)
        on_road = (road["high"] if isinstance(road, dict) else road) > 0
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

    def share(self, m: Document, found: Document, season: int) -> float | None:
        """Thinner share of a season; None where the thinner is too thick."""
        thinner = found["thinner"]
        if thinner is None:
            return 0.0
        if "thinner_share" in m:
            if season == 1 and "thinner_share_winter" in m:
                return self.number(m["thinner_share_winter"])
            return self.number(m["thinner_share"])
        limit = w(self.number(m.get("viscosity_limit", LIMITS[m["engine"]])))
        oil, thin = self.pool_w[season], at_temperature(thinner["line"], self.temperatures[season])
        if oil <= limit:
            return 0.0
        if thin >= limit:
            return None
        mass = (oil - limit) / (oil - thin)
        volume = mass / thinner["density"]
        return volume / (volume + (1 - mass) / self.density)

    def ratio(self, found: Document, x: float | None) -> float | None:
        if x is None:
            return None
        heat = (1 - x) * self.heat_value
        if x > 0:
            heat += x * found["thinner"]["heat"]
        diesel = 128488 * BTU / GALLON
        return (1 + (found["factor"] - 1) * (1 - x)) * diesel / heat

    def additives(self) -> float:
        """Additives for a litre of blend."""
        return sum(
            self.number(a["price"]) / self.gallon * self.number(a["dose"])
            for a in self.document.get("additives", [])
        )

    def season(self, month: int) -> int:
        return 1 if month in self.winter else 0

    def order(self) -> list[int]:
        worths = []
        for index, m in enumerate(self.machines):
            worth = -math.inf
            for month in range(1, 13):
                x, ratio = m["x"][self.season(month)], m["R"][self.season(month)]
                if month not in m["months"] or x is None:
                    continue
                price = m["thinner"]["price"] if m["thinner"] else 0.0
                taxed = 1 - x if m["thinner"] and m["thinner"]["paid"] else 1
                earned = (
                    self.prices[m["replaces"]] / ratio - x * price - self.additives()
                    - m["road"] * self.road_tax * taxed
                )  # fmt: skip
                worth = earned / (1 - x) - m["wear"]
                break
            worths.append((-worth, index))
        return [index for _, index in sorted(worths)]


def w(viscosity: float) -> float:
    z = viscosity + 0.7 + math.exp(-1.47 - 1.84 * viscosity - 0.51 * viscosity**2)
    return math.log10(math.log10(z))


def line(t1: float, v1: float, t2: float, v2: float) -> tuple[float, float]:
    x1, x2 = math.log10(t1 + 273.15), math.log10(t2 + 273.15)
    b = (w(v1) - w(v2)) / (x2 - x1)
    return w(v1) + b * x1, b


def at_temperature(ab: tuple[float, float], t: float) -> float:
    return ab[0] - ab[1] * math.log10(t + 273.15)


@functools.cache
def wear_rows() -> Document:
    path = Path(__file__).parent / "reference_wear.toml"
    return tomllib.loads(path.read_text(encoding="utf-8"))


def usual_wear(engine: str) -> list[Document]:
    rows = wear_rows()
    found = list(rows.get(engine, []))
    # A class that never burns blend has no rows of its own and gets none at all.
    if found and engine != "burner":
        found += rows["every piston engine"]
    return found


# --- months --------------------------------------------------------------------------------


def burn(farm: Farm, order: list[int], month: int, clean: float) -> tuple[dict[int, float], bool]:
    """Oil taken by each machine, and whether thinner ran out while there was oil for it."""
    left = {t["name"]: t["available"] for t in farm.thinners}
    taken, short = {}, False
    for index in order:
        want = wanted(farm, index, month)
        if want is None:
            continue
        m = farm.machines[index]
        x = m["x"][farm.season(month)]
        take = min(want, clean)
        limited = m["thinner"] is not None and left[m["thinner"]["name"]] is not None and x > 0
        if limited:
            allowed = left[m["thinner"]["name"]] * (1 - x) / x
            if allowed < take:
                short = True
                take = allowed
        if take < 1e-9 * want:
            take = 0.0
        if limited:
            left[m["thinner"]["name"]] = max(0.0, left[m["thinner"]["name"]] - take * x / (1 - x))
        clean -= take
        taken[index] = take
    return taken, short


def wanted(farm: Farm, index: int, month: int) -> float | None:
    m = farm.machines[index]
    x = m["x"][farm.season(month)]
    if month not in m["months"] or x is None:
        return None
    diesel = m["fuel"] * m["use"][month - 1] * m["blend_share"]
    return diesel * m["R"][farm.season(month)] * (1 - x)


def simulate_year(farm: Farm, order: list[int], raw: float, clean: float) -> Document:
    usable = [oil["usable"] for oil in farm.oils]
    if farm.month_hours is not None:
        whole = sum(u * o["hours"] for u, o in zip(usable, farm.oils, strict=True))
        whole += sum(usable) / farm.batch * farm.hours_per_batch
        scale = min(1.0, farm.month_hours / whole) if whole > 0 else 1.0
        usable = [u * scale for u in usable]
    year = {
        "start": (raw, clean), "oils": [0.0] * len(farm.oils), "processed": 0.0, "months": [],
        "oil": [0.0] * len(farm.machines), "blend": [0.0] * len(farm.machines),
        "thinner": [0.0] * len(farm.machines), "replaced": [0.0] * len(farm.machines),
    }  # fmt: skip
    cuts, holds = [], []
    for month in range(1, 13):
        taken = [0.0] * len(farm.oils)
        for own in (True, False):
            for k, oil in enumerate(farm.oils):
                if oil["own"] == own:
                    taken[k] = min(usable[k], max(0.0, farm.raw_room - raw))
                    raw += taken[k]
        hauling = sum(t * o["hours"] for t, o in zip(taken, farm.oils, strict=True))
        capacity = math.inf
        if farm.max_batches is not None:
            capacity = farm.max_batches * farm.batch
        if farm.month_hours is not None and farm.hours_per_batch > 0:
            spare = max(0.0, farm.month_hours - hauling)
            capacity = min(capacity, spare / farm.hours_per_batch * farm.batch)
        burnable = sum(burn(farm, order, month, math.inf)[0].values())
        room = max(0.0, burnable + farm.clean_room - clean) / (1 - farm.loss)
        processed = min(raw, capacity, room)
        # Hours that scale the collection leave just time enough to clean it, but for rounding.
        held = capacity < raw * (1 - 1e-9)
        raw -= processed
        clean += processed * (1 - farm.loss)
        burned, short = burn(farm, order, month, clean)
        clean = max(0.0, clean - sum(burned.values()))
        want = sum(wanted(farm, k, month) or 0.0 for k in order)
        row = {
            "month": month, "wanted": want, "collected": sum(taken), "processed": processed,
            "raw_end": raw, "clean_end": clean, "oil_used": sum(burned.values()),
            "thinner": 0.0, "blend": 0.0, "fuel_replaced": 0.0,
            "hours": hauling + processed / farm.batch * farm.hours_per_batch,
        }  # fmt: skip
        for k, oil_taken in burned.items():
            m = farm.machines[k]
            x, ratio = m["x"][farm.season(month)], m["R"][farm.season(month)]
            blend = oil_taken / (1 - x)
            for key, total, amount in (
                ("blend", "blend", blend), ("thinner", "thinner", blend * x),
                ("fuel_replaced", "replaced", blend / ratio),
            ):  # fmt: skip
                row[key] += amount
                year[total][k] += amount
            year["oil"][k] += oil_taken
        year["processed"] += processed
        year["oils"] = [a + b for a, b in zip(year["oils"], taken, strict=True)]
        year["months"].append(row)
        cuts.append(sum(taken) < sum(usable) * (1 - 1e-9))
        unmet = want - row["oil_used"] > 1e-3 * want
        reason = "thinner" if short else "capacity" if held else "oil"
        holds.append(reason if unmet else "need")
    scarce = "oil" in holds or "capacity" in holds
    for row, hold, cut in zip(year["months"], holds, cuts, strict=True):
        row["bottleneck"] = "storage" if hold == "need" and cut and scarce else hold
    year["end"] = (raw, clean)
    return year


def simulate(farm: Farm, order: list[int]) -> tuple[Document, Document]:
    first = simulate_year(farm, order, 0.0, 0.0)
    second = simulate_year(farm, order, *first["end"])
    collected = sum(second["oils"])
    raw_grew = second["end"][0] - second["start"][0] > 1e-6 * collected
    clean_grew = second["end"][1] - second["start"][1] > 1e-6 * collected
    raw, clean = second["end"]
    if clean_grew:
        raw, clean = farm.raw_room, farm.clean_room
    elif raw_grew:
        raw = farm.raw_room
    settling = simulate_year(farm, order, raw, clean)
    return first, simulate_year(farm, order, *settling["end"])


# --- money ---------------------------------------------------------------------------------

QUOTED = ("filters", "energy")
CASH = ("additives", "oil", "hauling", "thinner", "tests", "disposal", "yearly", "road_tax",
        "hired_labour")  # fmt: skip


def crf(rate: float, years: float) -> float:
    return 1 / years if rate == 0 else rate / (1 - (1 + rate) ** -years)


def energy_per_litre(farm: Farm) -> float:
    p = farm.document["process"]
    if "energy_per_volume" in p:
        return farm.number(p["energy_per_volume"]) / farm.gallon
    start, end = farm.celsius(p["heat_from"]), farm.celsius(p["heat_to"])
    heat = (1.685 + 0.0034 * (start + end) / 2) / math.sqrt(farm.density)
    ideal = farm.density * heat * (end - start) / 3600
    motor = farm.number(p.get("motor_energy_per_volume", 0)) / farm.gallon
    return ideal / farm.number(p.get("heater_efficiency", 1)) + motor


def put_money_on(farm: Farm, year: Document) -> Document:
    d = farm.document
    blend, oil, processed = sum(year["blend"]), sum(year["oil"]), year["processed"]
    trips = [t * o["trips"] for t, o in zip(year["oils"], farm.oils, strict=True)]
    hours = (
        sum(t * o["hours"] for t, o in zip(year["oils"], farm.oils, strict=True))
        + processed / farm.batch * farm.hours_per_batch + farm.upkeep
    )  # fmt: skip
    real = (1 + farm.rate) / (1 + farm.inflation) - 1
    costs = dict.fromkeys((*QUOTED, *CASH, "wear", "kit", "labour"), 0.0)
    for f in d.get("filters", []):
        size = farm.number(f["volume_per_element"]) * farm.gallon
        costs["filters"] += processed / size * farm.number(f["price"])
    costs["energy"] = processed * energy_per_litre(farm) * farm.electricity
    costs["additives"] = blend * farm.additives()
    costs["oil"] = sum(t * o["price"] for t, o in zip(year["oils"], farm.oils, strict=True))
    per_km = farm.number(d.get("hauling", {}).get("cost_per_distance", 0)) / farm.mile
    costs["hauling"] = (
        sum(n * o["distance"] for n, o in zip(trips, farm.oils, strict=True)) * per_km
    )
    costs["tests"] = processed / farm.batch * farm.test_cost
    costs["disposal"] = processed * farm.loss * farm.disposal
    costs["yearly"] = sum(farm.number(y["cost"]) for y in d.get("yearly", []))
    costs["hired_labour"] = hours * farm.hired * farm.wage
    costs["labour"] = hours * (1 - farm.hired) * farm.wage
    savings, tied = [], 0.0
    for k, m in enumerate(farm.machines):
        price = m["thinner"]["price"] if m["thinner"] else 0.0
        thin = year["thinner"][k] * price
        untaxed = year["thinner"][k] if m["thinner"] and m["thinner"]["paid"] else 0.0
        tax = m["road"] * farm.road_tax * (year["blend"][k] - untaxed)
        wear = year["oil"][k] * m["wear"]
        costs["thinner"] += thin
        tied += thin if m["thinner"] and m["thinner"]["tied"] else 0.0
        costs["road_tax"] += tax
        costs["wear"] += wear
        savings.append(
            year["replaced"][k] * farm.prices[m["replaces"]] - thin
            - year["blend"][k] * farm.additives() - tax - wear
        )  # fmt: skip
    for item in d.get("kit", []):
        cost, resale = farm.number(item["cost"]), farm.number(item.get("resale_share", 0))
        costs["kit"] += (cost - cost * resale) * crf(
            real, item["life_years"]
        ) + cost * resale * real
    fuel = {
        "blend": blend, "oil_used": oil, "oil_collected": sum(year["oils"]),
        "oil_processed": processed, "thinner": sum(year["thinner"]),
        "fuel_replaced": sum(year["replaced"]),
        "fuel_without_plan": sum(m["fuel"] for m in farm.machines), "hours": hours,
        "own_hours": hours * (1 - farm.hired), "trips": sum(trips),
    }  # fmt: skip
    bought = sum(r * farm.prices[m["replaces"]]
                 for r, m in zip(year["replaced"], farm.machines, strict=True))  # fmt: skip
    cash = bought - sum(costs[key] for key in QUOTED + CASH)
    after_wear = cash - costs["wear"]
    after_kit = after_wear - costs["kit"]
    own = fuel["own_hours"]
    return {
        "fuel": fuel, "costs": costs, "machine_savings": savings, "tied": tied,
        "savings": {
            "fuel_not_bought": bought, "cash": cash, "after_wear": after_wear,
            "after_kit": after_kit, "after_labour": after_kit - costs["labour"],
            "pay_per_hour": after_kit / own if own > 0 else None,
        },
    }  # fmt: skip


def depreciation_rows(method: str, life: int) -> list[float]:
    if method == "none":
        return []
    if method == "expensed":
        return [1.0]
    if method == "straight line":
        return [1 / life] * life
    return MACRS[method]


def kit_flows(farm: Farm) -> Document:
    n, i = farm.years, farm.inflation
    found = {
        "cost": 0.0, "bought": [0.0] * (n + 1), "resale": [0.0] * (n + 1),
        "depreciation": [0.0] * (n + 1), "in_hand": [0.0] * (n + 1),
    }  # fmt: skip
    for item in farm.document.get("kit", []):
        cost, life = farm.number(item["cost"]), item["life_years"]
        share = farm.number(item.get("resale_share", 0))
        rows = depreciation_rows(farm.depreciation, life)
        found["cost"] += cost
        start = 0
        while start < n:
            end = min(start + life, n)
            price = cost * (1 + i) ** start
            untaxed = item.get("owned", False) and start == 0
            if start > 0:
                found["bought"][start] += price
            book = price
            for year in range(start + 1, end + 1):
                age = year - start
                if not untaxed and age <= len(rows):
                    found["depreciation"][year] += price * rows[age - 1]
                    book -= price * rows[age - 1]
                sold = cost * (1 + i) ** year * share
                if farm.depreciation != "none" and not untaxed:
                    sold -= farm.tax * (sold - book)
                found["in_hand"][year] += sold
                if year == end < n:
                    found["resale"][end] += sold
            start += life
    return found


def value(flows: list[float], rate: float) -> float:
    return sum(flow / (1 + rate) ** y for y, flow in enumerate(flows))


def only_rate(flows: list[float]) -> float | None:
    if all(flow == 0 for flow in flows):
        return None
    gains = roots(flows, 1 / 11, 1.0)
    if len(gains) == 1:
        return 1 / gains[0] - 1
    if gains:
        return None
    losses = [v for v in roots(flows, 1.0, 100.0) if 1.0 < v < 100.0]
    return 1 / losses[0] - 1 if len(losses) == 1 else None


def roots(flows: list[float], low: float, high: float) -> list[float]:
    """Roots of the polynomial in v from low to high, by the roots of its derivatives."""
    size = max(abs(flow) for flow in flows)
    scaled = [flow / size for flow in flows]
    while len(scaled) > 1 and scaled[-1] == 0:
        scaled.pop()

    def at(coefficients: list[float], v: float) -> float:
        total = 0.0
        for c in reversed(coefficients):
            total = total * v + c
        return total

    def solve(coefficients: list[float]) -> list[float]:
        if len(coefficients) < 2:
            return []
        turns = solve([k * c for k, c in enumerate(coefficients)][1:])
        marks = [low, *turns, high]
        found = []
        for a, b in itertools.pairwise(marks):
            left, right = at(coefficients, a), at(coefficients, b)
            if left == 0 and (not found or found[-1] != a):
                found.append(a)
            if left * right < 0:
                for _ in range(200):
                    middle = 0.5 * (a + b)
                    if middle in (a, b):
                        break
                    if at(coefficients, middle) * left > 0:
                        a = middle
                    else:
                        b = middle
                found.append(0.5 * (a + b))
        if at(coefficients, high) == 0 and (not found or found[-1] != high):
            found.append(high)
        return found

    return solve(scaled)


def first_time(running: list[float], goal: float) -> float | None:
    for y in range(1, len(running)):
        if running[y] >= goal:
            return y - 1 + (goal - running[y - 1]) / (running[y] - running[y - 1])
    return None


def ledger(farm: Farm, first: Document, typical: Document, *, paid: bool) -> Document:
    n, r, t = farm.years, farm.rate, farm.tax
    kit = kit_flows(farm)
    saving = [0.0]
    worth = 0.0
    for y in range(1, n + 1):
        year = first if y == 1 else typical
        fuel, other = (1 + farm.fuel_inflation) ** y, (1 + farm.inflation) ** y
        rest = sum(c for key, c in year["costs"].items() if key not in ("thinner", "kit", "labour"))
        taxed = (
            year["savings"]["fuel_not_bought"] - year["costs"]["thinner"]
        ) * fuel - rest * other
        if paid:
            taxed -= year["costs"]["labour"] * other
        saving.append(taxed * (1 - t) + t * kit["depreciation"][y])
        moving = (year["savings"]["fuel_not_bought"] - year["tied"]) * fuel * (1 - t)
        worth += moving / (1 + r) ** y
    exit_paid = [farm.exit_cost * (1 + farm.inflation) ** y * (1 - t) for y in range(n + 1)]
    flows = [s - b + s2 for s, b, s2 in zip(saving, kit["bought"], kit["resale"], strict=True)]
    flows[0] -= kit["cost"]
    flows[n] += kit["in_hand"][n] - exit_paid[n]
    npv = value(flows, r)
    invested = kit["cost"] + value(kit["bought"], r) - value(kit["resale"], r)
    invested += (exit_paid[n] - kit["in_hand"][n]) / (1 + r) ** n
    sir = value(saving, r) / invested if invested > 0 else None
    outlay = -sum(min(f, 0) / (1 + r) ** y for y, f in enumerate(flows))
    receipt = sum(max(f, 0) * (1 + r) ** (n - y) for y, f in enumerate(flows))
    plain, discounted = [0.0], [0.0]
    for y in range(1, n + 1):
        net = saving[y] - kit["bought"][y] + kit["resale"][y]
        plain.append(plain[-1] + net)
        discounted.append(discounted[-1] + net / (1 + r) ** y)
    if kit["cost"] > 0:
        simple, later = first_time(plain, kit["cost"]), first_time(discounted, kit["cost"])
    else:
        simple = later = 0.0 if saving[min(2, n)] > 0 else None
    stays = None
    if simple is not None:
        reached = [y for y in range(1, n + 1) if plain[y] >= kit["cost"]]
        start = reached[0] if kit["cost"] > 0 else 1
        stays = all(plain[y] >= kit["cost"] for y in range(start, n + 1))
    replaced = typical["fuel"]["fuel_replaced"]
    k = 1 - npv / worth if worth > 0 else None
    if k is not None and k <= 0:
        k = None
    mean = typical["savings"]["fuel_not_bought"] / replaced if replaced > 0 else None
    lost = []
    for y in range(1, min(3, n) + 1):
        kept = sum(saving[1 : y + 1]) + sum(kit["resale"][1:y]) - sum(kit["bought"][1:y])
        lost.append(max(0.0, kit["cost"] - kept - kit["in_hand"][y] + exit_paid[y]))
    burning = {m["replaces"] for m, v in zip(farm.machines, typical["by_machine"], strict=True)
               if v > 0}  # fmt: skip
    return {
        "npv": npv, "irr": only_rate(flows),
        "mirr": (receipt / outlay) ** (1 / n) - 1 if outlay > 0 and receipt > 0 else None,
        "sir": sir, "airr": (1 + r) * sir ** (1 / n) - 1 if sir is not None and sir > 0 else None,
        "equivalent_annual": npv * crf(r, n), "simple_payback": simple,
        "discounted_payback": later, "stays_paid": stays,
        "break_even_fuel_price": None if k is None or mean is None else mean * k * farm.gallon,
        "break_even_by_fuel": {
            fuel: None if k is None else farm.prices[fuel] * k * farm.gallon for fuel in burning
        },
        "lost_if_stopped": lost, "flows": flows,
    }  # fmt: skip


# --- the whole -----------------------------------------------------------------------------


def in_file_units(farm: Farm, year: Document) -> Document:
    volumes = ("blend", "oil_used", "oil_collected", "oil_processed", "thinner", "fuel_replaced",
               "fuel_without_plan")  # fmt: skip
    fuel = {k: v / farm.gallon if k in volumes else v for k, v in year["fuel"].items()}
    return {"fuel": fuel, "costs": year["costs"], "savings": year["savings"]}


def rungs(farm: Farm, year: Document) -> Document:
    c = year["costs"]
    quoted = sum(c[key] for key in QUOTED)
    cash = quoted + sum(c[key] for key in CASH)
    steps = {
        "quoted": quoted, "cash": cash, "wear": cash + c["wear"],
        "kit": cash + c["wear"] + c["kit"], "full": cash + c["wear"] + c["kit"] + c["labour"],
    }  # fmt: skip
    return {
        name: {
            key: amount / volume * farm.gallon if volume > 0 else None
            for key, amount in steps.items()
        }
        for name, volume in (
            ("per_blend", year["fuel"]["blend"]), ("per_replaced", year["fuel"]["fuel_replaced"]),
        )
    }  # fmt: skip


def work(farm: Farm, order: list[int]) -> Document:
    flows = simulate(farm, order)
    first, typical = (put_money_on(farm, year) for year in flows)
    typical["by_machine"] = flows[1]["replaced"]
    months = []
    for row in flows[1]["months"]:
        kept = ("month", "hours", "bottleneck")
        months.append({k: v if k in kept else v / farm.gallon for k, v in row.items()})
    machines = []
    for k, m in enumerate(farm.machines):
        machines.append({
            "name": m["name"], "fit": m["fit"], "thinner_share": m["x"][0],
            "thinner_share_winter": m["x"][1] if farm.winter else None,
            "oil_used": flows[1]["oil"][k] / farm.gallon,
            "blend": flows[1]["blend"][k] / farm.gallon,
            "fuel_replaced": flows[1]["replaced"][k] / farm.gallon,
            "saving": typical["machine_savings"][k],
        })  # fmt: skip
    kit = farm.document.get("kit", [])
    return {
        **in_file_units(farm, typical), "rungs": rungs(farm, typical),
        "first_year": in_file_units(farm, first), "months": months, "machines": machines,
        "kit_cost": sum(farm.number(i["cost"]) for i in kit),
        "kit_to_buy": sum(farm.number(i["cost"]) for i in kit if not i.get("owned", False)),
        "ledgers": {
            "time_free": ledger(farm, first, typical, paid=False),
            "time_paid": ledger(farm, first, typical, paid=True),
        },
        "stores": (flows[1]["start"], flows[1]["end"]),
    }  # fmt: skip


def evaluate(document: Document) -> Document:
    """Work a farm through at likely and at expected values, as the JSON document has it."""
    likely_farm = Farm(document, "likely")
    order = likely_farm.order()
    found = work(likely_farm, order)
    expected_farm = Farm(document, "expected")
    expected = work(expected_farm, order)
    found["expected"] = {key: expected[key] for key in ("fuel", "costs", "savings", "ledgers")}
    found["advice"] = {"key": advice(expected_farm, expected)}
    return {**{key: document["scenario"][key] for key in ("title", "units", "currency")}, **found}


def advice(farm: Farm, found: Document) -> str:
    """Advice at expected values, before there are any draws."""
    replaced = found["fuel"]["fuel_replaced"]
    free, paid = found["ledgers"]["time_free"], found["ledgers"]["time_paid"]
    if replaced <= 0 or free["npv"] <= 0:
        return "do not start"
    if paid["npv"] <= 0:
        return "do not start" if farm.hired == 1 else "start only if your time is free"
    mean, least = found["savings"]["fuel_not_bought"] / replaced, paid["break_even_fuel_price"]
    doubtful = sum(m["blend"] for m in found["machines"] if m["fit"] == "caution")
    if least is not None and mean < 1.1 * least:
        return "try small first"
    if replaced < (300 if farm.us else 1135.6) or doubtful > 0.25 * found["fuel"]["blend"]:
        return "try small first"
    return "start"
