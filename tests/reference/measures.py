"""The years of a ledger, and every measure of it: worth, rates, paybacks, break-even, stopping."""

import itertools

from reference.farm import Farm
from reference.money import crf, kit_flows
from reference.reading import Document

APART = ("thinner", "kit", "labour")


def amounts(
    farm: Farm, first: Document, typical: Document, *, paid: bool, path: list[float] | None = None
) -> Document:
    """Flows of years 0 to N; `path` multiplies the price of fuel in each of years 1 to N."""
    n, t = farm.years, farm.tax
    kit = kit_flows(farm)
    saving, moving = [0.0], [0.0]
    for y in range(1, n + 1):
        year = first if y == 1 else typical
        costs, other = year["costs"], (1 + farm.inflation) ** y
        fuel = year["savings"]["fuel_not_bought"] - costs["thinner"]
        fuel *= (1 + farm.fuel_inflation) ** y * (path[y - 1] if path else 1.0)
        rest = sum(amount for key, amount in costs.items() if key not in APART)
        own = costs["labour"] * other * (1 - farm.wage_tax) if paid else 0.0
        moving.append(fuel * (1 - t))
        saving.append((fuel - rest * other) * (1 - t) + t * kit["depreciation"][y] - own)
    leaving = [farm.exit_cost * (1 + farm.inflation) ** y * (1 - t) for y in range(n + 1)]
    flows = [s - b + r for s, b, r in zip(saving, kit["bought"], kit["resale"], strict=True)]
    flows[0] -= kit["cost"]
    flows[n] += kit["in_hand"][n] - leaving[n]
    return {**kit, "saving": saving, "moving": moving, "leaving": leaving, "flows": flows}


def value(flows: list[float], rate: float) -> float:
    return sum(flow / (1 + rate) ** y for y, flow in enumerate(flows))


def mean_price(typical: Document) -> float | None:
    """Mean price of a litre of the fuel replaced in the typical year."""
    replaced = typical["fuel"]["fuel_replaced"]
    return typical["savings"]["fuel_not_bought"] / replaced if replaced > 0 else None


def measure(farm: Farm, typical: Document, a: Document) -> Document:
    n, r = farm.years, farm.rate
    npv = value(a["flows"], r)
    invested = a["cost"] + value(a["bought"], r) - value(a["resale"], r)
    invested += (a["leaving"][n] - a["in_hand"][n]) / (1 + r) ** n
    sir = value(a["saving"], r) / invested if invested > 0 else None
    k, mean = factor_for_nothing(npv, value(a["moving"], r)), mean_price(typical)
    burned = {
        m["replaces"] for m, v in zip(farm.machines, typical["by_machine"], strict=True) if v > 0
    }
    return {
        "npv": npv,
        "irr": only_rate(a["flows"]),
        "mirr": mirr(a["flows"], r),
        "sir": sir,
        "airr": (1 + r) * sir ** (1 / n) - 1 if sir is not None and sir > 0 else None,
        "equivalent_annual": npv * crf(farm.real_rate, n),
        **paybacks(farm, a),
        "break_even_fuel_price": None if k is None or mean is None else mean * k * farm.gallon,
        "break_even_by_fuel": {
            fuel: None if k is None else farm.prices[fuel] * k * farm.gallon for fuel in burned
        },
        "lost_if_stopped": [lost_if_stopped(a, y) for y in range(1, min(3, n) + 1)],
        "stop_below": stop_below(farm, typical, a),
        "flows": a["flows"],
    }


def factor_for_nothing(npv: float, moving: float) -> float | None:
    """Find what the price of fuel must be multiplied by for npv 0."""
    if moving <= 0:
        return None
    k = 1 - npv / moving
    return k if k > 0 else None


# --- rates and paybacks --------------------------------------------------------------------


def mirr(flows: list[float], rate: float) -> float | None:
    n = len(flows) - 1
    outlay = -sum(min(f, 0) / (1 + rate) ** y for y, f in enumerate(flows))
    receipt = sum(max(f, 0) * (1 + rate) ** (n - y) for y, f in enumerate(flows))
    return (receipt / outlay) ** (1 / n) - 1 if outlay > 0 and receipt > 0 else None


def first_time(running: list[float], goal: float) -> float | None:
    for y in range(1, len(running)):
        if running[y] >= goal:
            return y - 1 + (goal - running[y - 1]) / (running[y] - running[y - 1])
    return None


def paybacks(farm: Farm, a: Document) -> Document:
    n, goal = farm.years, a["cost"]
    plain, discounted = [0.0], [0.0]
    for y in range(1, n + 1):
        net = a["saving"][y] - a["bought"][y] + a["resale"][y]
        plain.append(plain[-1] + net)
        discounted.append(discounted[-1] + net / (1 + farm.rate) ** y)
    if goal > 0:
        simple, later = first_time(plain, goal), first_time(discounted, goal)
        reached = next((y for y in range(1, n + 1) if plain[y] >= goal), n + 1)
    else:
        simple = later = 0.0 if a["saving"][min(2, n)] > 0 else None
        reached = 1
    stays = None if simple is None else all(s >= goal for s in plain[reached:])
    return {"simple_payback": simple, "discounted_payback": later, "stays_paid": stays}


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
        met: list[float] = []
        for a, b in itertools.pairwise(marks):
            left, right = at(coefficients, a), at(coefficients, b)
            if left == 0 and (not met or met[-1] != a):
                met.append(a)
            if left * right < 0:
                for _ in range(200):
                    middle = 0.5 * (a + b)
                    if middle in (a, b):
                        break
                    if at(coefficients, middle) * left > 0:
                        a = middle
                    else:
                        b = middle
                met.append(0.5 * (a + b))
        if at(coefficients, high) == 0 and (not met or met[-1] != high):
            met.append(high)
        return met

    return solve(scaled)


# --- stopping ------------------------------------------------------------------------------


def lost_if_stopped(a: Document, y: int) -> float:
    """What is lost by stopping at the end of year y, before any replacement due then."""
    paid = a["cost"] + sum(a["bought"][1:y]) - sum(a["resale"][1:y])
    lost = paid - sum(a["saving"][1 : y + 1]) - a["in_hand"][y] + a["leaving"][y]
    return max(0.0, lost)


def carry_on(farm: Farm, a: Document, y: int, z: int) -> tuple[float, float]:
    """Worth at the end of year y of stopping at z over stopping at y, and its part that moves
    with the price of fuel after y.
    """
    v = [(1 + farm.rate) ** (y - t) for t in range(farm.years + 1)]
    worth = a["resale"][y] - a["bought"][y]
    for t in range(y + 1, z):
        worth += (a["saving"][t] - a["bought"][t] + a["resale"][t]) * v[t]
    worth += (a["saving"][z] + a["in_hand"][z] - a["leaving"][z]) * v[z]
    moving = sum(a["moving"][t] * v[t] for t in range(y + 1, z + 1))
    return worth - (a["in_hand"][y] - a["leaving"][y]), moving


def stop_below(farm: Farm, typical: Document, a: Document) -> list[float | None]:
    mean, made = mean_price(typical), []
    for y in range(1, farm.years):
        lowest = None
        for z in range(y + 1, farm.years + 1):
            worth, moving = carry_on(farm, a, y, z)
            if moving > 0 and mean is not None:
                price = mean * (1 - worth / moving) * farm.gallon
                lowest = price if lowest is None else min(lowest, price)
        made.append(None if lowest is None else max(0.0, lowest))
    return made


def pay_per_hour(farm: Farm, first: Document, typical: Document, npv: float) -> float | None:
    """Pay of one's own hours at which nothing is left over."""
    hours = 0.0
    for y in range(1, farm.years + 1):
        year = first if y == 1 else typical
        growth = ((1 + farm.inflation) / (1 + farm.rate)) ** y
        hours += year["fuel"]["own_hours"] * growth * (1 - farm.wage_tax)
    return npv / hours if hours > 0 else None


# --- the loan ------------------------------------------------------------------------------


def loan(farm: Farm, free: Document, paid: Document) -> Document | None:
    terms = farm.document.get("loan")
    if terms is None:
        return None
    amount, often = farm.number(terms["amount"]), terms.get("payments_per_year", 12)
    rate, times = farm.number(terms["rate"]) / often, terms["years"] * often
    payment = amount * crf(rate, times)
    owed, interest = amount, [0.0] * farm.years
    for time in range(times):
        interest[time // often] += owed * rate
        owed -= payment - owed * rate
    left, change = {}, amount
    net = [
        (payment * often if y < terms["years"] else 0.0) - farm.tax * interest[y]
        for y in range(farm.years)
    ]
    for name, a in (("time_free", free), ("time_paid", paid)):
        left[name] = [flow - out for flow, out in zip(a["flows"][1:], net, strict=True)]
    for y, out in enumerate(net, start=1):
        change -= out / (1 + farm.rate) ** y
    per_year = payment * often
    return {
        "payment": payment,
        "payment_per_year": per_year,
        "interest": interest,
        "left_after_payment": left,
        "npv_change": change,
        "cover": free["saving"][min(2, farm.years)] / per_year if per_year > 0 else None,
    }
