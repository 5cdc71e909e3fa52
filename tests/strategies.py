"""Random valid farms, as documents in US units, and the same farms in metric."""

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


def numbers(low: float, high: float) -> SearchStrategy[float]:
    """Give plain numbers with few digits, spread evenly, the bounds among them."""
    return st.integers(0, 1000).map(lambda k: float(f"{low + (high - low) * k / 1000:.4g}"))


@st.composite
def quantities(draw: DrawFn, low: float, high: float) -> float | Document:
    """Give a number, or sometimes a three-point estimate, between two bounds."""
    if draw(st.integers(0, 2)) > 0:
        return draw(numbers(low, high))
    points = sorted(draw(st.lists(numbers(low, high), min_size=3, max_size=3)))
    return dict(zip(("low", "likely", "high"), points, strict=True))


def maybe(strategy: SearchStrategy[Any]) -> SearchStrategy[Any]:
    """Give a value or None, which is left out."""
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


@st.composite
def _mix(draw: DrawFn, engine: str, thinners: list[Document]) -> Document:
    if engine == "burner":
        thinners = [t for t in thinners if not t["kind"].startswith("gasoline")]
    if not thinners or draw(st.integers(0, 5)) == 0:
        return {}
    thinner = draw(st.sampled_from(thinners))["name"]
    way = draw(st.integers(0, 3))
    if way <= 1:
        return _given(
            thinner=thinner,
            thinner_share=draw(quantities(0, 0.85)),
            thinner_share_winter=draw(maybe(quantities(0, 0.85))),
        )
    if way == 2:
        # Thick enough that any thinner here reaches it in warm fuel.
        return {"thinner": thinner, "viscosity_limit": draw(quantities(7, 40))}
    return {"thinner": thinner}


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
    return {
        "name": f"machine {index}",
        "engine": engine,
        "model_year": draw(st.sampled_from((1975, 1990, 1999, 2005, 2008, 2015))),
        "emission_controls": draw(
            st.lists(st.sampled_from(("exhaust gas recirculation", "catalyst", "optical sensor")),
                     max_size=1)),
        "replaces": replaces,
        "road_share": road,
        "blend_share": draw(quantities(0, 1)),
        **_given(
            use_by_month=weights,
            blend_months=months,
            use_factor=draw(maybe(quantities(1, 1.1))),
            wear=rows or None,
        ),
        **draw(_fuel()),
        **draw(_mix(engine, thinners)),
    }  # fmt: skip


@st.composite
def _oils(draw: DrawFn, index: int) -> Document:
    kind = draw(st.sampled_from(OIL_KINDS))
    return {
        "name": f"oil {index}",
        "kind": kind,
        "own": draw(st.booleans()),
        "volume_per_month": draw(quantities(0, 200)),
        "pcb_tested": True,
        **_given(
            reliability=draw(maybe(quantities(0, 1))),
            reject_share=draw(maybe(st.sampled_from((0.0, 0.1, 0.3, 1.0)))),
            price=draw(maybe(quantities(-1, 2))),
            load_volume=draw(maybe(quantities(10, 300))),
            round_trip=draw(maybe(quantities(0, 90))),
            hours_per_trip=draw(maybe(quantities(0, 5))),
            viscosity_40=draw(maybe(numbers(25, 120))),
            density=draw(maybe(numbers(0.82, 0.92))),
            energy=draw(maybe(numbers(115_000, 135_000))),
        ),
    }


@st.composite
def _thinners(draw: DrawFn, index: int) -> Document:
    kind = draw(st.sampled_from(THINNER_KINDS))
    tied = draw(st.booleans())
    price = draw(st.sampled_from(("road_diesel", "farm_diesel"))) if tied else draw(
        quantities(0, 12)
    )  # fmt: skip
    return {
        "name": f"thinner {index}",
        "kind": kind,
        "price": price,
        **_given(
            available_per_month=draw(maybe(quantities(0, 60))),
            road_tax_paid=draw(maybe(st.booleans())),
        ),
    }


@st.composite
def _process(draw: DrawFn) -> Document:
    heating = draw(st.booleans())
    energy = (
        {
            "heat_from": draw(quantities(20, 80)),
            "heat_to": draw(quantities(120, 200)),
            "heater_efficiency": draw(quantities(0.3, 1)),
            "motor_energy_per_volume": draw(quantities(0, 0.5)),
        }
        if heating
        else {"energy_per_volume": draw(quantities(0, 1.2))}
    )
    return {
        "batch_volume": draw(quantities(30, 300)),
        "hours_per_batch": draw(quantities(0, 9)),
        **_given(
            max_batches_per_month=draw(maybe(quantities(0.2, 6))),
            hours_per_month=draw(maybe(quantities(1, 40))),
            loss_share=draw(maybe(quantities(0, 0.5))),
            test_cost_per_batch=draw(maybe(quantities(0, 30))),
            disposal_cost=draw(maybe(quantities(0, 6))),
        ),
        "raw_storage": draw(st.sampled_from((0.0, 60.0, 400.0, 1100.0))),
        "clean_storage": draw(st.sampled_from((0.0, 40.0, 300.0, 900.0))),
        **energy,
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
            depreciation=draw(maybe(st.sampled_from(
                ("none", "expensed", "straight line", "macrs 5", "macrs 7")))),
            exit_cost=draw(maybe(quantities(0, 6000))),
        ),
    }  # fmt: skip


@st.composite
def _kit(draw: DrawFn, index: int) -> Document:
    return {
        "name": f"kit {index}",
        "cost": draw(quantities(0, 5000)),
        "life_years": draw(st.integers(1, 20)),
        "resale_share": draw(quantities(0, 0.7)),
        "owned": draw(st.booleans()),
    }


@st.composite
def farms(draw: DrawFn) -> Document:
    """Give a whole valid farm in US units and dollars."""
    thinners = [draw(_thinners(k)) for k in range(draw(st.integers(0, 3)))]
    # A gasoline blend is never warmed: such a farm's fuel stays at 104 °F or less.
    warmest = 104 if any(t["kind"].startswith("gasoline") for t in thinners) else 150
    return {
        "scenario": {"title": "A farm", "units": "us", "currency": "USD"},
        "prices": {
            "road_diesel": draw(quantities(2, 7)),
            "farm_diesel": draw(quantities(2, 6)),
            "heating_oil": draw(quantities(2, 6)),
            "electricity": draw(quantities(0, 0.4)),
            "road_tax": draw(quantities(0, 1)),
        },
        "machines": [
            draw(_machines(k, thinners)) for k in range(draw(st.integers(1, 4)))
        ],
        "oils": [draw(_oils(k)) for k in range(draw(st.integers(1, 4)))],
        "hauling": {"cost_per_distance": draw(quantities(0, 2))},
        "process": draw(_process()),
        "blending": {
            "winter_months": draw(st.lists(st.integers(1, 12), max_size=6, unique=True)),
            "fuel_temperature": draw(numbers(95, warmest)),
            "fuel_temperature_winter": draw(numbers(60, min(warmest, 120))),
        },
        "filters": [
            {"name": f"filter {k}", "price": draw(quantities(0, 60)),
             "volume_per_element": draw(quantities(30, 500))}
            for k in range(draw(st.integers(0, 2)))
        ],
        "thinners": thinners,
        "additives": [
            {"name": "additive", "price": draw(quantities(0, 100)),
             "dose": draw(quantities(0, 0.002))}
        ][: draw(st.integers(0, 1))],
        "yearly": [{"name": "bills", "cost": draw(quantities(0, 2000))}][: draw(st.integers(0, 1))],
        "labour": {
            "wage": draw(quantities(0, 60)),
            "upkeep_hours_per_year": draw(quantities(0, 60)),
            "hired_share": draw(st.sampled_from((0.0, 0.4, 1.0))),
        },
        "kit": [draw(_kit(k)) for k in range(draw(st.integers(0, 4)))],
        "finance": draw(_finance()),
    }  # fmt: skip


# --- the same farm in metric ---------------------------------------------------------------

_VOLUME, _PER_VOLUME = GALLON, 1.0 / GALLON
_BTU_PER_GALLON = 1055.05585262e-6 / GALLON
_FACTORS: dict[str, dict[str, float]] = {
    "prices": {"road_diesel": _PER_VOLUME, "farm_diesel": _PER_VOLUME, "heating_oil": _PER_VOLUME,
               "road_tax": _PER_VOLUME},
    "machines": {"fuel_per_year": _VOLUME, "fuel_per_hour": _VOLUME, "distance_per_year": MILE,
                 "distance_per_volume": MILE / GALLON, "rated_power": HORSEPOWER},
    "wear": {"extra_failures": _PER_VOLUME},
    "oils": {"volume_per_month": _VOLUME, "price": _PER_VOLUME, "load_volume": _VOLUME,
             "round_trip": MILE, "energy": _BTU_PER_GALLON},
    "hauling": {"cost_per_distance": 1.0 / MILE},
    "process": {"batch_volume": _VOLUME, "energy_per_volume": _PER_VOLUME,
                "motor_energy_per_volume": _PER_VOLUME, "disposal_cost": _PER_VOLUME,
                "raw_storage": _VOLUME, "clean_storage": _VOLUME},
    "filters": {"volume_per_element": _VOLUME},
    "thinners": {"price": _PER_VOLUME, "available_per_month": _VOLUME,
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
    found = {}
    for key, value in entry.items():
        factor = _FACTORS.get(table, {}).get(key)
        if key == "wear":
            found[key] = [_metric_table("wear", row) for row in value]
        elif key in _TEMPERATURES:
            found[key] = _each(value, lambda f: (f - 32.0) / 1.8)
        elif factor is not None:
            found[key] = _each(value, lambda x, factor=factor: x * factor)
        else:
            found[key] = value
    return found


def to_metric(document: Document) -> Document:
    """Give the same farm in metric units."""
    found: Document = {}
    for table, value in document.items():
        if isinstance(value, list):
            found[table] = [_metric_table(table, entry) for entry in value]
        else:
            found[table] = _metric_table(table, value)
    found["scenario"] = {**found["scenario"], "units": "metric"}
    return found


# --- the same farm as a file ---------------------------------------------------------------


def _value(value: Any) -> str:
    """Write a value of TOML; an estimate goes in one line."""
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{key} = {_value(v)}" for key, v in value.items()) + " }"
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
