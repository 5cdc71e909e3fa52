"""A second reading of the model: plain floats and loops, easy to verify and nothing else.

It imports nothing from the package it checks, property values included. A document is a farm
as `tomllib` gives it, after `extends`; figures come back in the farm's units.
"""

from reference import liquids
from reference.farm import Farm
from reference.measures import amounts, loan, measure, pay_per_hour
from reference.money import first_price, in_file_units, owned, put_money_on, rungs
from reference.months import simulate
from reference.reading import Document, read

__all__ = ["Farm", "evaluate", "expected", "liquids", "read", "work"]


def expected(document: Document) -> tuple[Farm, list[int]]:
    """Read a farm at expected values, with the order in which its machines burn."""
    farm = Farm(document, "expected")
    return farm, farm.order()


def work(farm: Farm, order: list[int]) -> Document:
    """Work a farm through at one point of its estimates."""
    flows = simulate(farm, order)
    first, typical = (put_money_on(farm, year) for year in flows)
    ledgers = {
        name: amounts(farm, first, typical, paid=paid)
        for name, paid in (("time_free", False), ("time_paid", True))
    }
    measures = {name: measure(farm, typical, a) for name, a in ledgers.items()}
    kept = in_file_units(farm, typical)
    kept["savings"]["pay_per_hour"] = pay_per_hour(
        farm, first, typical, measures["time_free"]["npv"]
    )
    kept["savings"]["tax_and_timing"] = {
        name: measures[name]["equivalent_annual"] - typical["savings"][line]
        for name, line in (("time_free", "after_kit"), ("time_paid", "after_labour"))
    }
    return {
        **kept,
        "rungs": rungs(farm, typical),
        "first_year": in_file_units(farm, first),
        "months": months_of(farm, flows[1]),
        "machines": machines_of(farm, flows[1], typical),
        "kit_cost": sum(first_price(farm, i) for i in farm.kit),
        "kit_to_buy": sum(first_price(farm, i) for i in farm.kit if not owned(i)),
        "ledgers": measures,
        "loan": loan(farm, ledgers["time_free"], ledgers["time_paid"]),
        "stores": (flows[1]["start"], flows[1]["end"]),
    }


def months_of(farm: Farm, year: Document) -> list[Document]:
    kept = ("month", "hours", "bottleneck")
    return [
        {k: v if k in kept else v / farm.gallon for k, v in row.items()} for row in year["months"]
    ]


def machines_of(farm: Farm, year: Document, typical: Document) -> list[Document]:
    return [
        {
            "name": m["name"],
            "fit": m["fit"],
            "thinner_share": m["x"][0],
            "thinner_share_winter": m["x"][1] if farm.winter else None,
            "oil_used": year["oil"][k] / farm.gallon,
            "blend": year["blend"][k] / farm.gallon,
            "fuel_replaced": year["replaced"][k] / farm.gallon,
            "saving": typical["machine_savings"][k],
        }
        for k, m in enumerate(farm.machines)
    ]


def evaluate(document: Document) -> Document:
    """Work a farm through at expected and at likely values, as the JSON document has it."""
    farm, order = expected(document)
    made = work(farm, order)
    likely = work(Farm(document, "likely", farm), order)
    made["likely"] = {key: likely[key] for key in ("fuel", "costs", "savings", "ledgers")}
    made["advice"] = {"key": advice(farm, made)}
    return {**{key: document["scenario"][key] for key in ("title", "units", "currency")}, **made}


def advice(farm: Farm, made: Document) -> str:
    """Advice at expected values, before there are any draws."""
    replaced = made["fuel"]["fuel_replaced"]
    free, paid = made["ledgers"]["time_free"], made["ledgers"]["time_paid"]
    if replaced <= 0 or free["npv"] <= 0:
        return "do not start"
    if paid["npv"] <= 0:
        return "do not start" if farm.hired == 1 else "start only if your time is free"
    mean, least = made["savings"]["fuel_not_bought"] / replaced, paid["break_even_fuel_price"]
    doubtful = sum(m["blend"] for m in made["machines"] if m["fit"] == "caution")
    if least is not None and mean < 1.1 * least:
        return "try small first"
    if replaced < (300 if farm.us else 1135.6) or doubtful > 0.25 * made["fuel"]["blend"]:
        return "try small first"
    return "start"
