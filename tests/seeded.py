"""Dense random farms from a seed, in US units: most fields given, most farms making fuel.

The hypothesis strategies love corners and small farms; these are large, quick to make, and meet
every rule of the months often. A failing seed is the whole report.
"""

from collections.abc import Callable, Sequence
from random import Random
from typing import Any

Document = dict[str, Any]

ENGINES = (
    "indirect injection",
    "inline pump",
    "rotary pump",
    "unit injector",
    "hydraulic unit injector",
    "early common rail",
    "late common rail",
    "burner",
)
CONTROLS = ("particulate filter", "catalyst", "exhaust gas recirculation", "optical sensor")
THINNERS = ("gasoline", "gasoline E10", "kerosene", "diesel", "mineral spirits", "biodiesel")
OILS = ("engine oil", "transmission fluid", "hydraulic oil", "transformer oil")
FUELS = ("road_diesel", "farm_diesel", "heating_oil")
DEPRECIATION = ("none", "expensed", "straight line", "macrs 5", "macrs 7")


class Dice:
    """Numbers of four digits, and estimates, from one seed."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)  # noqa: S311, nothing secret

    def number(self, low: float, high: float) -> float:
        return float(f"{self.random.uniform(low, high):.4g}")

    def guess(self, low: float, high: float) -> float | Document:
        """Return a number or, three times in ten, a three-point estimate."""
        if self.chance(0.7):
            return self.number(low, high)
        points = sorted(self.number(low, high) for _ in range(3))
        return dict(zip(("low", "likely", "high"), points, strict=True))

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def one(self, choices: Sequence[Any]) -> Any:
        return self.random.choice(choices)

    def count(self, low: int, high: int) -> int:
        return self.random.randint(low, high)

    def months(self, low: int, high: int) -> list[int]:
        return sorted(self.random.sample(range(1, 13), self.count(low, high)))

    def some(self, share: float, **choices: Callable[[], Any]) -> Document:
        """Return each field with one chance."""
        return {key: choose() for key, choose in choices.items() if self.chance(share)}


def _thinner(dice: Dice, index: int) -> Document:
    tied = dice.chance(0.5)
    return {
        "name": f"thinner {index}",
        "kind": dice.one(THINNERS),
        "price": dice.one(FUELS) if tied else dice.guess(0, 6),
        **dice.some(
            0.3,
            available_per_month=lambda: dice.guess(0, 60),
            road_tax_paid=lambda: dice.chance(0.5),
            refund=lambda: dice.guess(0, 1),
            density=lambda: dice.guess(0.72, 0.9),
            energy=lambda: dice.guess(100_000, 135_000),
        ),
    }


def _fuel(dice: Dice) -> Document:
    ways = (
        {"fuel_per_year": dice.guess(0, 3000)},
        {"hours_per_year": dice.guess(20, 900), "fuel_per_hour": dice.guess(0.3, 9)},
        {"distance_per_year": dice.guess(500, 20_000), "distance_per_volume": dice.guess(5, 20)},
        {"hours_per_year": dice.guess(20, 900), "rated_power": dice.guess(20, 200)},
    )
    return dict(dice.one(ways))


def _mix(dice: Dice, engine: str, thinners: list[Document]) -> Document:
    fitting = [t for t in thinners if engine != "burner" or not t["kind"].startswith("gas")]
    if not fitting or dice.chance(0.15):
        return {}
    names, way = [t["name"] for t in fitting], dice.count(0, 3)
    thinner = {"thinner": dice.one(names), **dice.some(0.3, thinners=lambda: [dice.one(names)])}
    if way == 0:
        return thinner
    if way == 1:
        # From a limit few thinners reach in cold fuel to one that asks for none.
        return {**thinner, "viscosity_limit": dice.guess(2.5, 60)}
    winter = dice.some(0.5, thinner_share_winter=lambda: dice.guess(0, 0.9))
    return {**thinner, "thinner_share": dice.guess(0, 0.9), **winter}


def _machine(dice: Dice, index: int, thinners: list[Document]) -> Document:
    engine, replaces = dice.one(ENGINES), dice.one(FUELS)
    on_road = replaces == "road_diesel" or dice.chance(0.3)
    wear = [
        {"part": f"part {k}", "cost": dice.guess(0, 5000), "extra_failures": dice.guess(0, 0.5)}
        for k in range(dice.count(0, 2))
    ]
    return {
        "name": f"machine {index}",
        "engine": engine,
        "model_year": dice.count(1970, 2015 if dice.chance(0.3) else 2005),
        "replaces": replaces,
        "blend_share": dice.guess(0, 1),
        **_fuel(dice),
        **_mix(dice, engine, thinners),
        **({"road_share": dice.guess(0, 1)} if on_road else {}),
        **({"wear": wear} if dice.chance(0.8) else {}),
        **dice.some(0.2, emission_controls=lambda: [dice.one(CONTROLS)]),
        **dice.some(
            0.5,
            use_by_month=lambda: [dice.count(0, 9) for _ in range(11)] + [1],
            blend_months=lambda: dice.months(1, 12),
            use_factor=lambda: dice.guess(1, 1.1),
            resale_loss=lambda: dice.guess(0, 800),
            owner=lambda: "the neighbour",
            choice=lambda: dice.one(("may", "never")),
            essential_per_day=lambda: dice.guess(0, 6),
        ),
    }


def _oil(dice: Dice, index: int) -> Document:
    kind = dice.one(OILS)
    return {
        "name": f"oil {index}",
        "kind": kind,
        "volume_per_month": dice.guess(0, 200) if dice.chance(0.9) else 0,
        **({"pcb_tested": True} if kind == "transformer oil" else {}),
        **dice.some(
            0.5,
            own=lambda: True,
            reliability=lambda: dice.guess(0, 1),
            reject_share=lambda: dice.guess(0, 0.4) if dice.chance(0.9) else 1,
            price=lambda: dice.guess(-1, 1),
            load_volume=lambda: dice.guess(20, 300),
            round_trip=lambda: dice.guess(0, 60),
            hours_per_trip=lambda: dice.guess(0, 3),
            viscosity_40=lambda: dice.guess(30, 120),
            viscosity_100=lambda: dice.guess(4, 14),
            density=lambda: dice.guess(0.82, 0.95),
            energy=lambda: dice.guess(110_000, 140_000),
            choice=lambda: dice.one(("may", "never")),
        ),
    }


def _energy(dice: Dice) -> Document:
    if dice.chance(0.5):
        return {"energy_per_volume": dice.guess(0, 1.2)}
    return {
        "heat_from": dice.guess(20, 80),
        "heat_to": dice.guess(120, 200),
        **dice.some(
            0.5,
            heater_efficiency=lambda: dice.guess(0.3, 1),
            motor_energy_per_volume=lambda: dice.guess(0, 0.5),
        ),
    }


def _process(dice: Dice) -> Document:
    return {
        "batch_volume": dice.guess(20, 300),
        "hours_per_batch": dice.guess(0, 5),
        "raw_storage": dice.guess(0, 1000),
        "clean_storage": dice.guess(0, 600),
        **_energy(dice),
        **_limits(dice),
    }


def _limits(dice: Dice) -> Document:
    return dice.some(
        0.5,
        max_batches_per_month=lambda: dice.guess(0, 6),
        first_year_share=lambda: dice.guess(0.2, 1),
        hours_per_month=lambda: dice.guess(0, 40),
        loss_share=lambda: dice.guess(0, 0.3),
        test_cost_per_batch=lambda: dice.guess(0, 20),
        disposal_cost=lambda: dice.guess(0, 4),
    )


def _setups(dice: Dice, process: Document, filters: list[Document]) -> list[Document]:
    """Return set-ups; now and then only they say how large a batch is."""
    setups = [
        {
            "name": f"setup {k}",
            **_limits(dice),
            **(_energy(dice) if dice.chance(0.5) else {}),
            **dice.some(
                0.5,
                batch_volume=lambda: dice.guess(20, 300),
                hours_per_batch=lambda: dice.guess(0, 5),
                raw_storage=lambda: dice.guess(0, 1000),
                clean_storage=lambda: dice.guess(0, 600),
                filters=lambda: [f["name"] for f in filters if dice.chance(0.5)],
            ),
        }
        for k in range(dice.count(1, 3))
    ]
    if dice.chance(0.3):
        batch = process.pop("batch_volume")
        setups = [{"batch_volume": batch, **setup} for setup in setups]
    return setups


def _finance(dice: Dice) -> Document:
    return {
        "years": dice.count(1, 15),
        "discount_rate": dice.guess(0, 0.15),
        **dice.some(
            0.6,
            inflation=lambda: dice.guess(0, 0.08),
            fuel_inflation=lambda: dice.guess(-0.05, 0.1),
            tax_rate=lambda: dice.guess(0, 0.5),
            depreciation=lambda: dice.one(DEPRECIATION),
            exit_cost=lambda: dice.guess(0, 2000),
            kit_contingency=lambda: dice.guess(0, 0.3),
        ),
    }


def _loan(dice: Dice, years: int) -> Document:
    return {
        "amount": dice.guess(0, 3000),
        "rate": dice.guess(0, 0.12),
        "years": dice.count(1, years),
        **dice.some(0.5, payments_per_year=lambda: dice.one((1, 4, 12))),
    }


def _reserve(dice: Dice, rooms: list[Document], thinners: list[Document]) -> Document:
    """Return what is kept back and on hand; no more than the least clean store that may be."""
    stores = [room["clean_storage"] for room in rooms if "clean_storage" in room]
    least = min(store["low"] if isinstance(store, dict) else store for store in stores)
    return dice.some(
        0.5,
        clean_oil=lambda: dice.number(0, 0.99 * least),
        diesel=lambda: dice.guess(0, 200),
        thinners=lambda: {t["name"]: dice.number(0, 50) for t in thinners},
    )


def _uncertainty(dice: Dice) -> Document:
    return dice.some(
        0.5,
        draws=lambda: dice.count(100, 2000),
        seed=lambda: dice.count(0, 99),
        fuel_price_correlation=lambda: dice.number(0.5, 1),
        supply_correlation=lambda: dice.number(-0.5, 0.5),
        guess_correlation=lambda: dice.number(0, 0.6),
        fuel_price_swing=lambda: dice.number(0, 0.3),
        fuel_price_pull=lambda: dice.number(0, 0.5),
    )


def _kit(dice: Dice, index: int) -> Document:
    had = dice.some(0.4, owned=lambda: True)
    return {
        "name": f"kit {index}",
        "cost": dice.guess(0, 1500),
        "life_years": dice.count(1, 20),
        **had,
        **({"new_cost": dice.guess(0, 2500)} if had and dice.chance(0.5) else {}),
        **dice.some(
            0.5,
            resale_share=lambda: dice.guess(0, 1),
            owner=lambda: "the neighbour",
            exit_cost=lambda: dice.guess(0, 300),
        ),
    }


def _add_serves(dice: Dice, farm: Document) -> None:
    """Hang some kit, bills and additives on what they are there for."""
    users = [e["name"] for t in ("oils", "thinners", "machines", "setups") for e in farm.get(t, [])]
    takers = [e["name"] for t in ("thinners", "machines") for e in farm[t]]
    for table, names in (("kit", users), ("yearly", users), ("additives", takers)):
        for entry in farm[table]:
            if dice.chance(0.4):
                entry["serves"] = dice.random.sample(names, min(len(names), dice.count(1, 2)))


def _unwarmed(document: Document) -> Document:
    """Keep fuel at 104 °F or less where a blend may hold gasoline, which is never warmed."""
    gasoline = {t["name"] for t in document["thinners"] if t["kind"].startswith("gas")}
    burned = {
        name for m in document["machines"] for name in (m.get("thinner"), *m.get("thinners", []))
    }
    if not burned & gasoline:
        return document
    blending = document["blending"]
    for key in ("fuel_temperature", "fuel_temperature_winter"):
        value = blending.get(key)
        if isinstance(value, dict):
            blending[key] = {point: min(number, 104.0) for point, number in value.items()}
        elif value is not None:
            blending[key] = min(value, 104.0)
    return document


def farm(seed: int) -> Document:
    """Return the farm of a seed, as a document in US units."""
    dice = Dice(seed)
    thinners = [_thinner(dice, k) for k in range(dice.count(0, 4))]
    made = {
        "scenario": {"title": f"Farm {seed}", "units": "us", "currency": "USD"},
        "prices": {
            **{fuel: dice.guess(3, 7) for fuel in FUELS},
            "electricity": dice.guess(0, 0.4),
            "road_tax": dice.guess(0, 1),
            **dice.some(
                0.4,
                fuel_duty=lambda: dice.guess(0, 0.5),
                fuel_duty_back=lambda: dice.guess(0, 1),
            ),
        },
        "machines": [_machine(dice, k, thinners) for k in range(dice.count(1, 5))],
        "oils": [_oil(dice, k) for k in range(dice.count(1, 4))],
        "hauling": dice.some(0.7, cost_per_distance=lambda: dice.guess(0, 1)),
        "process": _process(dice),
        "blending": dice.some(
            0.6,
            winter_months=lambda: dice.months(0, 7),
            fuel_temperature=lambda: dice.guess(60, 150),
            fuel_temperature_winter=lambda: dice.guess(20, 120),
        ),
        "filters": [
            {
                "name": f"filter {k}",
                "price": dice.guess(0, 40),
                "volume_per_element": dice.guess(60, 500),
            }
            for k in range(dice.count(0, 3))
        ],
        "thinners": thinners,
        "additives": [
            {"name": f"additive {k}", "price": dice.guess(0, 60), "dose": dice.guess(0, 0.002)}
            for k in range(dice.count(0, 2))
        ],
        "yearly": [
            {
                "name": f"bill {k}",
                "cost": dice.guess(0, 300),
                **dice.some(0.4, hours=lambda: dice.guess(0, 10)),
            }
            for k in range(dice.count(0, 3))
        ],
        "labour": {
            "wage": dice.guess(0, 40),
            **dice.some(
                0.5,
                upkeep_hours_per_year=lambda: dice.guess(0, 30),
                hired_share=lambda: dice.one((0.4, 1.0)),
                wage_taxed=lambda: dice.chance(0.5),
            ),
        },
        "kit": [_kit(dice, k) for k in range(dice.count(0, 4))],
        "finance": _finance(dice),
        "uncertainty": _uncertainty(dice),
    }
    if dice.chance(0.4):
        made["setups"] = _setups(dice, made["process"], made["filters"])
    if dice.chance(0.4):
        made["loan"] = _loan(dice, made["finance"]["years"])
    if dice.chance(0.4):
        made["reserve"] = _reserve(dice, [made["process"], *made.get("setups", [])], thinners)
    if dice.chance(0.2):
        made["limits"] = {"kit_to_buy": 900, "own_hours_per_year": 200, "gasoline": False}
    _add_serves(dice, made)
    return _unwarmed(made)
