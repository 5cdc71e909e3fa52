"""Random valid farms, as documents in US units, and the same farms in metric."""

from functools import cache
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

Document = dict[str, Any]

GALLON, MILE, HORSEPOWER = 3.785411784, 1.609344, 0.745699872

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
THINNER_KINDS = ("gasoline", "gasoline E10", "kerosene", "diesel", "mineral spirits", "biodiesel")
OIL_KINDS = ("engine oil", "transmission fluid", "hydraulic oil", "transformer oil")


# A strategy is made once and drawn from again: making one costs more than drawing from it.
@cache
def numbers(low: float, high: float) -> SearchStrategy[float]:
    """Return plain numbers with few digits, spread evenly, the bounds among them."""
    return st.integers(0, 1000).map(lambda k: float(f"{low + (high - low) * k / 1000:.4g}"))


_ONE_IN_THREE = st.integers(0, 2).map(lambda k: k == 0)


@cache
def quantities(low: float, high: float) -> SearchStrategy[float | Document]:
    """Return a number, or sometimes a three-point estimate, between two bounds."""
    number = numbers(low, high)
    three = st.lists(number, min_size=3, max_size=3)

    @st.composite
    def amount(draw: DrawFn) -> float | Document:
        if not draw(_ONE_IN_THREE):
            return draw(number)
        return dict(zip(("low", "likely", "high"), sorted(draw(three)), strict=True))

    return amount()


@cache
def maybe(strategy: SearchStrategy[Any]) -> SearchStrategy[Any]:
    """Return a value or None, which is left out."""
    return st.none() | strategy


def _given(**values: Any) -> Document:
    return {key: value for key, value in values.items() if value is not None}


@st.composite
def _fuel(draw: DrawFn) -> Document:
    way = draw(st.integers(0, 3))
    hours = draw(quantities(20, 900))
    if way == 0:
        return {"fuel_per_year": draw(quantities(0, 3000))}
    if way == 1:
        return {"hours_per_year": hours, "fuel_per_hour": draw(quantities(0.4, 9))}
    if way == 2:
        return {
            "distance_per_year": draw(quantities(500, 20000)),
            "distance_per_volume": draw(quantities(5, 20)),
        }
    return {"hours_per_year": hours, "rated_power": draw(quantities(20, 200))}


def _choices(amount: float | Document) -> SearchStrategy[str]:
    """Return what a plan may do with an entry; it must not use what there is nothing of."""
    some = amount["low"] if isinstance(amount, dict) else amount
    return st.sampled_from(("may", "never", "must") if some > 0 else ("may", "never"))


@st.composite
def _mix(draw: DrawFn, engine: str, thinners: list[Document]) -> Document:
    if engine == "burner":
        thinners = [t for t in thinners if not t["kind"].startswith("gasoline")]
    if not thinners or draw(st.integers(0, 5)) == 0:
        return {}
    names = _names(thinners)
    some = st.lists(st.sampled_from(names), min_size=1, unique=True)
    thinner = {"thinner": draw(st.sampled_from(names)), **_given(thinners=draw(maybe(some)))}
    way = draw(st.integers(0, 3))
    if way <= 1:
        return {
            **thinner,
            "thinner_share": draw(quantities(0, 0.85)),
            **_given(thinner_share_winter=draw(maybe(quantities(0, 0.85)))),
        }
    if way == 2:
        # Thick enough that any thinner here reaches it in warm fuel.
        return {**thinner, "viscosity_limit": draw(quantities(7, 40))}
    return thinner


@st.composite
def _machines(draw: DrawFn, index: int, thinners: list[Document]) -> Document:
    engine = draw(st.sampled_from(ENGINES))
    replaces = draw(st.sampled_from(("road_diesel", "farm_diesel", "heating_oil")))
    road = draw(st.sampled_from((0.0, 0.3, 1.0)))
    weights = draw(maybe(st.lists(st.integers(0, 9), min_size=12, max_size=12).filter(any)))
    rows = [
        {
            "part": f"part {k}",
            "cost": draw(quantities(0, 9000)),
            "extra_failures": draw(quantities(0, 5)),
        }
        for k in range(draw(st.integers(0, 2)))
    ]
    months = draw(maybe(st.lists(st.integers(1, 12), min_size=1, max_size=12, unique=True)))
    burns = draw(quantities(0, 1))
    return {
        "name": f"machine {index}",
        "engine": engine,
        "model_year": draw(st.sampled_from((1975, 1990, 1999, 2005, 2008, 2015))),
        "emission_controls": draw(
            st.lists(
                st.sampled_from(("exhaust gas recirculation", "catalyst", "optical sensor")),
                max_size=1,
            )
        ),
        "replaces": replaces,
        "road_share": road,
        "blend_share": burns,
        **_given(
            use_by_month=weights,
            blend_months=months,
            use_factor=draw(maybe(quantities(1, 1.1))),
            resale_loss=draw(maybe(quantities(0, 3000))),
            owner=draw(maybe(st.just("the neighbour"))),
            choice=draw(maybe(_choices(burns))),
            essential_per_day=draw(maybe(quantities(0, 8))),
            wear=rows or None,
        ),
        **draw(_fuel()),
        **draw(_mix(engine, thinners)),
    }


@st.composite
def _oils(draw: DrawFn, index: int) -> Document:
    kind, volume = draw(st.sampled_from(OIL_KINDS)), draw(quantities(0, 200))
    return {
        "name": f"oil {index}",
        "kind": kind,
        "own": draw(st.booleans()),
        "volume_per_month": volume,
        "pcb_tested": True,
        **_given(
            reliability=draw(maybe(quantities(0, 1))),
            reject_share=draw(maybe(st.sampled_from((0.0, 0.1, 0.3, 1.0)))),
            price=draw(maybe(quantities(-1, 2))),
            load_volume=draw(maybe(quantities(10, 300))),
            round_trip=draw(maybe(quantities(0, 90))),
            hours_per_trip=draw(maybe(quantities(0, 5))),
            viscosity_40=draw(maybe(numbers(25, 120))),
            viscosity_100=draw(maybe(numbers(4, 14))),
            density=draw(maybe(numbers(0.82, 0.92))),
            energy=draw(maybe(numbers(115_000, 135_000))),
            choice=draw(maybe(_choices(volume))),
        ),
    }


@st.composite
def _thinners(draw: DrawFn, index: int) -> Document:
    kind = draw(st.sampled_from(THINNER_KINDS))
    tied = draw(st.booleans())
    price = (
        draw(st.sampled_from(("road_diesel", "farm_diesel"))) if tied else draw(quantities(0, 12))
    )
    return {
        "name": f"thinner {index}",
        "kind": kind,
        "price": price,
        **_given(
            available_per_month=draw(maybe(quantities(0, 60))),
            road_tax_paid=draw(maybe(st.booleans())),
            refund=draw(maybe(quantities(0, 1.5))),
            density=draw(maybe(numbers(0.72, 0.9))),
            energy=draw(maybe(numbers(100_000, 135_000))),
        ),
    }


@st.composite
def _energy(draw: DrawFn) -> Document:
    if draw(st.booleans()):
        return {"energy_per_volume": draw(quantities(0, 1.2))}
    return {
        "heat_from": draw(quantities(20, 80)),
        "heat_to": draw(quantities(120, 200)),
        **_given(
            heater_efficiency=draw(maybe(quantities(0.3, 1))),
            motor_energy_per_volume=draw(maybe(quantities(0, 0.5))),
        ),
    }


@st.composite
def _limits(draw: DrawFn) -> Document:
    return _given(
        max_batches_per_month=draw(maybe(quantities(0.2, 6))),
        first_year_share=draw(maybe(quantities(0.1, 1))),
        hours_per_month=draw(maybe(quantities(1, 40))),
        loss_share=draw(maybe(quantities(0, 0.5))),
        test_cost_per_batch=draw(maybe(quantities(0, 30))),
        disposal_cost=draw(maybe(quantities(0, 6))),
    )


@st.composite
def _process(draw: DrawFn) -> Document:
    return {
        "batch_volume": draw(quantities(30, 300)),
        "hours_per_batch": draw(quantities(0, 9)),
        "raw_storage": draw(st.sampled_from((0.0, 60.0, 400.0, 1100.0))),
        "clean_storage": draw(st.sampled_from((0.0, 40.0, 300.0, 900.0))),
        **draw(_limits()),
        **draw(_energy()),
    }


@st.composite
def _setups(draw: DrawFn, index: int, filters: list[str]) -> Document:
    some = st.lists(st.sampled_from(filters), unique=True) if filters else st.just([])
    return {
        "name": f"setup {index}",
        **draw(_limits()),
        **draw(st.just({}) | _energy()),
        **_given(
            batch_volume=draw(maybe(quantities(30, 300))),
            clean_storage=draw(maybe(quantities(0, 900))),
            filters=draw(maybe(some)),
        ),
    }


@st.composite
def _finance(draw: DrawFn) -> Document:
    return {
        "years": draw(st.integers(1, 15)),
        "discount_rate": draw(quantities(0, 0.15)),
        **_given(
            inflation=draw(maybe(quantities(0, 0.06))),
            fuel_inflation=draw(maybe(quantities(0, 0.08))),
            tax_rate=draw(maybe(quantities(0, 0.4))),
            depreciation=draw(
                maybe(st.sampled_from(("none", "expensed", "straight line", "macrs 5", "macrs 7")))
            ),
            exit_cost=draw(maybe(quantities(0, 6000))),
            kit_contingency=draw(maybe(quantities(0, 0.4))),
        ),
    }


@st.composite
def _loan(draw: DrawFn, years: int) -> Document:
    return {
        "amount": draw(quantities(0, 9000)),
        "rate": draw(quantities(0, 0.15)),
        "years": draw(st.integers(1, years)),
        **_given(payments_per_year=draw(maybe(st.sampled_from((1, 2, 12))))),
    }


@st.composite
def _reserve(draw: DrawFn, rooms: list[Document], thinners: list[Document]) -> Document:
    """Return what is kept back and on hand; no more than the least clean store that may be."""
    stores = [room["clean_storage"] for room in rooms if "clean_storage" in room]
    least = min(store["low"] if isinstance(store, dict) else store for store in stores)
    some = st.dictionaries(st.sampled_from(_names(thinners)), numbers(0, 60))
    return _given(
        clean_oil=draw(maybe(numbers(0, least))),
        diesel=draw(maybe(quantities(0, 300))),
        thinners=draw(maybe(some)) if thinners else None,
    )


@st.composite
def _plan_limits(draw: DrawFn) -> Document:
    return _given(
        kit_to_buy=draw(maybe(numbers(0, 20_000))),
        own_hours_per_year=draw(maybe(numbers(0, 500))),
        gasoline=draw(maybe(st.booleans())),
    )


@st.composite
def _uncertainty(draw: DrawFn) -> Document:
    return _given(
        draws=draw(maybe(st.integers(100, 2000))),
        seed=draw(maybe(st.integers(0, 99))),
        fuel_price_correlation=draw(maybe(numbers(0.5, 1))),
        supply_correlation=draw(maybe(numbers(-0.5, 0.5))),
        guess_correlation=draw(maybe(numbers(0, 0.6))),
        fuel_price_swing=draw(maybe(numbers(0, 0.3))),
        fuel_price_pull=draw(maybe(numbers(0, 0.5))),
    )


@st.composite
def _kit(draw: DrawFn, index: int) -> Document:
    owned = draw(st.booleans())
    return {
        "name": f"kit {index}",
        "cost": draw(quantities(0, 5000)),
        "life_years": draw(st.integers(1, 20)),
        "resale_share": draw(quantities(0, 0.7)),
        "owned": owned,
        **_given(
            new_cost=draw(maybe(quantities(0, 8000))) if owned else None,
            owner=draw(maybe(st.just("the neighbour"))),
            exit_cost=draw(maybe(quantities(0, 900))),
        ),
    }


@st.composite
def _with_serves(draw: DrawFn, entry: Document, names: list[str]) -> Document:
    """Hang an entry on what it is there for, or leave it in every plan."""
    some = st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True)
    return {**entry, **_given(serves=draw(maybe(some)))}


def _names(*tables: list[Document]) -> list[str]:
    return [entry["name"] for table in tables for entry in table]


@st.composite
def _prices(draw: DrawFn) -> Document:
    return {
        "road_diesel": draw(quantities(2, 7)),
        "farm_diesel": draw(quantities(2, 6)),
        "heating_oil": draw(quantities(2, 6)),
        "electricity": draw(quantities(0, 0.4)),
        "road_tax": draw(quantities(0, 1)),
        **_given(
            fuel_duty=draw(maybe(quantities(0, 0.8))),
            fuel_duty_back=draw(maybe(quantities(0, 1))),
        ),
    }


@st.composite
def _bills(draw: DrawFn, used: list[str], takers: list[str]) -> Document:
    """Return what may hang on something: additives, yearly bills and kit."""
    additive = {
        "name": "additive",
        "price": draw(quantities(0, 100)),
        "dose": draw(quantities(0, 0.002)),
    }
    bill = {
        "name": "bills",
        "cost": draw(quantities(0, 2000)),
        **_given(hours=draw(maybe(quantities(0, 20)))),
    }
    kit = [draw(_kit(k)) for k in range(draw(st.integers(0, 4)))]
    return {
        "additives": [draw(_with_serves(additive, takers))][: draw(st.integers(0, 1))],
        "yearly": [draw(_with_serves(bill, used))][: draw(st.integers(0, 1))],
        "kit": [draw(_with_serves(item, used)) for item in kit],
    }


@st.composite
def farms(draw: DrawFn) -> Document:
    """Return a whole valid farm in US units and dollars."""
    thinners = [draw(_thinners(k)) for k in range(draw(st.integers(0, 3)))]
    # A gasoline blend is never warmed: such a farm's fuel stays at 104 °F or less.
    warmest = 104 if any(t["kind"].startswith("gasoline") for t in thinners) else 150
    machines = [draw(_machines(k, thinners)) for k in range(draw(st.integers(1, 4)))]
    oils = [draw(_oils(k)) for k in range(draw(st.integers(1, 4)))]
    filters = [
        {
            "name": f"filter {k}",
            "price": draw(quantities(0, 60)),
            "volume_per_element": draw(quantities(30, 500)),
        }
        for k in range(draw(st.integers(0, 2)))
    ]
    setups = [draw(_setups(k, _names(filters))) for k in range(draw(st.integers(0, 2)))]
    process, finance = draw(_process()), draw(_finance())
    return {
        "scenario": {"title": "A farm", "units": "us", "currency": "USD"},
        "prices": draw(_prices()),
        "machines": machines,
        "oils": oils,
        "hauling": {"cost_per_distance": draw(quantities(0, 2))},
        "process": process,
        "setups": setups,
        "blending": {
            "winter_months": draw(st.lists(st.integers(1, 12), max_size=6, unique=True)),
            "fuel_temperature": draw(numbers(95, warmest)),
            "fuel_temperature_winter": draw(numbers(60, min(warmest, 120))),
        },
        "filters": filters,
        "thinners": thinners,
        "labour": {
            "wage": draw(quantities(0, 60)),
            "upkeep_hours_per_year": draw(quantities(0, 60)),
            "hired_share": draw(st.sampled_from((0.0, 0.4, 1.0))),
            **_given(wage_taxed=draw(maybe(st.booleans()))),
        },
        "finance": finance,
        **_given(loan=draw(maybe(_loan(finance["years"])))),
        "limits": draw(_plan_limits()),
        "reserve": draw(_reserve([process, *setups], thinners)),
        "uncertainty": draw(_uncertainty()),
        **draw(_bills(_names(oils, thinners, machines, setups), _names(thinners, machines))),
    }


# --- the same farm in metric ---------------------------------------------------------------

_VOLUME, _PER_VOLUME = GALLON, 1.0 / GALLON
_BTU_PER_GALLON = 1055.05585262e-6 / GALLON
_PROCESS = {
    "batch_volume": _VOLUME,
    "energy_per_volume": _PER_VOLUME,
    "motor_energy_per_volume": _PER_VOLUME,
    "disposal_cost": _PER_VOLUME,
    "raw_storage": _VOLUME,
    "clean_storage": _VOLUME,
}
_FACTORS: dict[str, dict[str, float]] = {
    "prices": {"road_diesel": _PER_VOLUME, "farm_diesel": _PER_VOLUME, "heating_oil": _PER_VOLUME,
               "road_tax": _PER_VOLUME, "fuel_duty": _PER_VOLUME},
    "machines": {"fuel_per_year": _VOLUME, "fuel_per_hour": _VOLUME, "distance_per_year": MILE,
                 "distance_per_volume": MILE / GALLON, "rated_power": HORSEPOWER,
                 "essential_per_day": _VOLUME},
    "reserve": {"clean_oil": _VOLUME, "diesel": _VOLUME},
    "wear": {"extra_failures": _PER_VOLUME},
    "oils": {"volume_per_month": _VOLUME, "price": _PER_VOLUME, "load_volume": _VOLUME,
             "round_trip": MILE, "energy": _BTU_PER_GALLON},
    "hauling": {"cost_per_distance": 1.0 / MILE},
    "process": _PROCESS,
    "setups": _PROCESS,
    "filters": {"volume_per_element": _VOLUME},
    "thinners": {"price": _PER_VOLUME, "refund": _PER_VOLUME, "available_per_month": _VOLUME,
                 "energy": _BTU_PER_GALLON},
    "additives": {"price": _PER_VOLUME},
}  # fmt: skip
_TEMPERATURES = {"heat_from", "heat_to", "fuel_temperature", "fuel_temperature_winter"}


def _each(value: Any, change: Any) -> Any:
    """Change a number or each point of an estimate."""
    if isinstance(value, dict):
        return {key: change(point) for key, point in value.items()}
    if isinstance(value, str):
        return value
    return change(value)


def _metric_table(table: str, entry: Document) -> Document:
    result = {}
    for key, value in entry.items():
        factor = _FACTORS.get(table, {}).get(key)
        if key == "wear":
            result[key] = [_metric_table("wear", row) for row in value]
        elif (table, key) == ("reserve", "thinners"):
            result[key] = {name: _each(v, lambda x: x * _VOLUME) for name, v in value.items()}
        elif key in _TEMPERATURES:
            result[key] = _each(value, lambda f: (f - 32.0) / 1.8)
        elif factor is not None:
            result[key] = _each(value, lambda x, factor=factor: x * factor)
        else:
            result[key] = value
    return result


def to_metric(document: Document) -> Document:
    """Return the same farm in metric units."""
    result: Document = {}
    for table, value in document.items():
        if isinstance(value, list):
            result[table] = [_metric_table(table, entry) for entry in value]
        else:
            result[table] = _metric_table(table, value)
    result["scenario"] = {**result["scenario"], "units": "metric"}
    return result


# --- the same farm as a file ---------------------------------------------------------------


def _key(key: str) -> str:
    return f'"{key}"' if " " in key else key


def _value(value: Any) -> str:
    """Write a value of TOML; an estimate goes in one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key)} = {_value(v)}" for key, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(v) for v in value) + "]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return f'"{value}"' if isinstance(value, str) else repr(value)


def _table(heading: str, table: Document) -> list[str]:
    rows = table.get("wear", [])
    plain = {key: value for key, value in table.items() if key != "wear" or not rows}
    lines = [heading, *(f"{key} = {_value(value)}" for key, value in plain.items())]
    for row in rows:
        lines += _table("[[machines.wear]]", row)
    return [*lines, ""]


def to_toml(document: Document) -> str:
    """Write a farm as the text of its file; names must need no escapes."""
    # A bare list is a key of the whole file, so it must stand before the first table.
    lines = [f"{key} = []" for key, value in document.items() if value == []]
    for key, value in document.items():
        if isinstance(value, list):
            for entry in value:
                lines += _table(f"[[{key}]]", entry)
        else:
            lines += _table(f"[{key}]", value)
    return "\n".join(lines)
