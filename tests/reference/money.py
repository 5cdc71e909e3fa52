"""A year's cost lines, rungs and savings, and what the kit costs over the plan's own years."""

from reference.farm import Farm
from reference.reading import Document

QUOTED = ("filters", "energy")
CASH = ("additives", "oil", "hauling", "thinner", "tests", "disposal", "yearly", "road_tax",
        "fuel_duty", "refund", "hired_labour")  # fmt: skip
VOLUMES = (
    "blend",
    "oil_used",
    "oil_collected",
    "oil_processed",
    "thinner",
    "fuel_replaced",
    "fuel_without_plan",
)
MACRS = {
    "macrs 5": [0.20, 0.32, 0.192, 0.1152, 0.1152, 0.0576],
    "macrs 7": [0.1429, 0.2449, 0.1749, 0.1249, 0.0893, 0.0892, 0.0893, 0.0446],
}


def crf(rate: float, years: float) -> float:
    """Spread a sum of today over years; at a rate of 0 each year bears the same part."""
    return 1 / years if rate == 0 else rate / (1 - (1 + rate) ** -years)


# --- one year at today's prices ------------------------------------------------------------


def machine_lines(farm: Farm, year: Document, k: int) -> Document:
    m = farm.machines[k]
    blend, thin = year["blend"][k], year["thinner"][k]
    owed = blend - (thin if m["thinner"] is not None and m["thinner"]["paid"] else 0.0)
    price, refund = 0.0, 0.0
    if m["thinner"] is not None:
        price, refund = m["thinner"]["price"], m["thinner"]["refund"]
    return {
        "additives": blend * m["additives"],
        "thinner": thin * price,
        "road_tax": owed * m["road"] * farm.road_tax,
        "fuel_duty": owed * farm.duty(m),
        "refund": -thin * (1 - m["road"]) * refund,
        "wear": year["oil"][k] * m["wear"],
    }


def year_lines(farm: Farm, year: Document, hours: float) -> Document:
    """Cost lines of a year; those of machines are added up."""
    processed = year["processed"]
    costs = dict.fromkeys((*QUOTED, *CASH, "wear", "kit", "labour"), 0.0)
    for f in farm.document.get("filters", []):
        size = farm.number(f["volume_per_element"]) * farm.gallon
        costs["filters"] += processed / size * farm.number(f["price"])
    costs["energy"] = processed * farm.energy_per_litre() * farm.electricity
    for taken, oil in zip(year["oils"], farm.oils, strict=True):
        costs["oil"] += taken * oil["price"]
        costs["hauling"] += taken * oil["trips"] * oil["distance"] * farm.km_cost
    costs["tests"] = processed / farm.batch * farm.test_cost
    costs["disposal"] = processed * farm.loss * farm.disposal
    costs["yearly"] = farm.yearly
    costs["hired_labour"] = hours * farm.hired * farm.wage
    costs["labour"] = hours * (1 - farm.hired) * farm.wage
    costs["kit"] = kit_a_year(farm)
    return costs


def put_money_on(farm: Farm, year: Document) -> Document:
    trips = sum(t * o["trips"] for t, o in zip(year["oils"], farm.oils, strict=True))
    hours = sum(t * o["hours"] for t, o in zip(year["oils"], farm.oils, strict=True))
    hours += year["processed"] / farm.batch * farm.hours_per_batch + farm.upkeep
    costs, bought, savings = year_lines(farm, year, hours), 0.0, []
    for k, m in enumerate(farm.machines):
        lines = machine_lines(farm, year, k)
        for key, amount in lines.items():
            costs[key] += amount
        fuel = year["replaced"][k] * farm.prices[m["replaces"]]
        bought += fuel
        savings.append(fuel - sum(lines.values()))
    cash = bought - sum(costs[key] for key in QUOTED + CASH)
    after_wear = cash - costs["wear"]
    after_kit = after_wear - costs["kit"]
    return {
        "fuel": {
            "blend": sum(year["blend"]), "oil_used": sum(year["oil"]),
            "oil_collected": sum(year["oils"]), "oil_processed": year["processed"],
            "thinner": sum(year["thinner"]), "fuel_replaced": sum(year["replaced"]),
            "fuel_without_plan": sum(m["fuel"] for m in farm.machines), "hours": hours,
            "own_hours": hours * (1 - farm.hired), "trips": trips,
        },
        "costs": costs,
        "savings": {
            "fuel_not_bought": bought, "cash": cash, "after_wear": after_wear,
            "after_kit": after_kit, "after_labour": after_kit - costs["labour"],
        },
        "machine_savings": savings, "by_machine": year["replaced"],
    }  # fmt: skip


def rungs(farm: Farm, year: Document) -> Document:
    c = year["costs"]
    quoted = sum(c[key] for key in QUOTED)
    cash = quoted + sum(c[key] for key in CASH)
    steps = {
        "quoted": quoted,
        "cash": cash,
        "wear": cash + c["wear"],
        "kit": cash + c["wear"] + c["kit"],
        "full": cash + c["wear"] + c["kit"] + c["labour"],
    }
    return {
        name: {
            key: amount / volume * farm.gallon if volume > 0 else None
            for key, amount in steps.items()
        }
        for name, volume in (
            ("per_blend", year["fuel"]["blend"]),
            ("per_replaced", year["fuel"]["fuel_replaced"]),
        )
    }


def in_file_units(farm: Farm, year: Document) -> Document:
    fuel = {k: v / farm.gallon if k in VOLUMES else v for k, v in year["fuel"].items()}
    return {"fuel": fuel, "costs": year["costs"], "savings": year["savings"]}


# --- kit -----------------------------------------------------------------------------------


def owned(item: Document) -> bool:
    return bool(item.get("owned", False))


def first_price(farm: Farm, item: Document) -> float:
    """What an item costs today: bought with its contingency, or owned and not sold."""
    cost = farm.number(item["cost"])
    return cost if owned(item) else cost * (1 + farm.contingency)


def lives(farm: Farm, item: Document) -> list[Document]:
    """List the item's lives one after another, at today's prices.

    Each has the year it starts and the year it is sold, its price and what it is worth soon
    after first use (an owned item is worth what it would sell for).
    """
    life, made = item["life_years"], []
    later = farm.number(item.get("new_cost", item["cost"]))
    share = farm.number(item.get("resale_share", 0))
    for start in range(0, farm.years, life):
        had = start == 0 and owned(item)
        cost = farm.number(item["cost"]) if start == 0 else later
        made.append(
            {
                "start": start,
                "end": min(start + life, farm.years),
                "life": life,
                "had": had,
                "price": first_price(farm, item) if start == 0 else later,
                "fresh": cost if had else cost * share,
            }
        )
    return made


def kit_a_year(farm: Farm) -> float:
    """Spread purchases less resale, and winding up, over the years of the plan, before tax."""
    rho, worth = farm.real_rate, farm.exit_cost * (1 + farm.real_rate) ** -farm.years
    for item in farm.kit:
        for life in lives(farm, item):
            sold = life["fresh"] * (1 - (life["end"] - life["start"]) / life["life"])
            worth += life["price"] * (1 + rho) ** -life["start"]
            worth -= sold * (1 + rho) ** -life["end"]
    return crf(rho, farm.years) * worth


def depreciation_rows(method: str, life: int) -> list[float]:
    if method == "none":
        return []
    if method == "expensed":
        return [1.0]
    if method == "straight line":
        return [1 / life] * life
    return MACRS[method]


def kit_flows(farm: Farm) -> Document:
    """Purchases, sales after tax, depreciation and what all in hand would fetch, by year."""
    n = farm.years
    made = {
        "cost": sum(first_price(farm, item) for item in farm.kit),
        "bought": [0.0] * (n + 1),
        "resale": [0.0] * (n + 1),
        "depreciation": [0.0] * (n + 1),
        "in_hand": [0.0] * (n + 1),
    }
    for item in farm.kit:
        for life in lives(farm, item):
            add_life(farm, life, made)
    return made


def add_life(farm: Farm, life: Document, made: Document) -> None:
    grow = 1 + farm.inflation
    price = life["price"] * grow ** life["start"]
    if life["start"] > 0:
        made["bought"][life["start"]] += price
    rows = [] if life["had"] else depreciation_rows(farm.depreciation, life["life"])
    taxed = bool(rows)
    book = price
    for year in range(life["start"] + 1, life["end"] + 1):
        age = year - life["start"]
        if age <= len(rows):
            made["depreciation"][year] += price * rows[age - 1]
            book -= price * rows[age - 1]
        sold = life["fresh"] * grow**year * (1 - age / life["life"])
        if taxed:
            sold -= farm.tax * (sold - book)
        made["in_hand"][year] += sold
        if year == life["end"] < farm.years:
            made["resale"][year] += sold
