"""A starter farm to change into one's own: small, complete, every field explained.

>>> import tomllib
>>> farm = tomllib.loads(starter("metric", "AUD", datetime.date(2026, 6, 15)))
>>> farm["scenario"]["units"], farm["scenario"]["currency"]
('metric', 'AUD')
"""

import datetime
import json
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from econ.farm.fields import About
from econ.farm.schema import TABLES, about
from econ.ground.units import from_canonical, to_canonical, unit_label

# A small invented farm in US units; the metric one is converted and rounded.
_FARM: tuple[tuple[str, dict[str, object]], ...] = (
    ("scenario", {"title": "My farm", "note": "Replace every number by your own."}),
    (
        "prices",
        {
            "road_diesel": (3.5, 4.6, 5.6),
            "farm_diesel": (2.7, 3.9, 5.0),
            "electricity": 0.16,
            "road_tax": 0.57,
        },
    ),
    (
        "machines",
        {
            "name": "Old tractor",
            "engine": "inline pump",
            "model_year": 1988,
            "emission_controls": [],
            "replaces": "farm_diesel",
            "hours_per_year": (200, 350, 500),
            "fuel_per_hour": (2.5, 4.2, 5.5),
            "road_share": 0.0,
            "blend_share": (0.3, 0.5, 0.7),
            "use_factor": 1.02,
            "thinner": "Farm diesel",
            "thinner_share": 0.6,
            "thinner_share_winter": 0.7,
        },
    ),
    (
        "oils",
        {
            "name": "Our own changes",
            "kind": "engine oil",
            "own": True,
            "volume_per_month": (4, 8, 15),
            "reject_share": 0.01,
            "load_volume": 55,
            "hours_per_trip": 0.4,
        },
    ),
    (
        "oils",
        {
            "name": "Neighbour",
            "kind": "engine oil",
            "own": False,
            "volume_per_month": (4, 12, 35),
            "reliability": (0.5, 0.75, 0.95),
            "reject_share": (0.02, 0.05, 0.15),
            "price": 0.0,
            "load_volume": 100,
            "round_trip": 10,
            "hours_per_trip": (0.7, 1.0, 2.0),
        },
    ),
    ("hauling", {"cost_per_distance": 0.75}),
    (
        "process",
        {
            "batch_volume": 55,
            "hours_per_batch": (1.5, 3.0, 6.0),
            "max_batches_per_month": 4,
            "hours_per_month": 10,
            "loss_share": (0.04, 0.08, 0.15),
            "energy_per_volume": (0.2, 0.45, 1.1),
            "test_cost_per_batch": 6,
            "disposal_cost": (0.0, 1.5, 6.0),
            "raw_storage": 220,
            "clean_storage": 165,
        },
    ),
    ("blending", {"winter_months": [11, 12, 1, 2, 3]}),
    ("filters", {"name": "5 micron spin-on", "price": 30, "volume_per_element": (50, 120, 250)}),
    ("thinners", {"name": "Farm diesel", "kind": "diesel", "price": "farm_diesel"}),
    ("yearly", {"name": "Gloves, absorbents, insurance, tests", "cost": (100, 350, 1200)}),
    ("labour", {"wage": (15, 22, 35), "upkeep_hours_per_year": 16}),
    (
        "kit",
        {
            "name": "Drums, heater, pump, filters, safety gear",
            "cost": (900, 1700, 3500),
            "life_years": 8,
            "resale_share": 0.2,
        },
    ),
    (
        "finance",
        {
            "years": 7,
            "discount_rate": 0.07,
            "inflation": 0.025,
            "tax_rate": 0.0,
            "depreciation": "none",
            "exit_cost": (150, 800, 6000),
        },
    ),
    ("uncertainty", {"fuel_price_correlation": 0.9, "supply_correlation": -0.3}),
)

_TOP = """\
# A farm for drumworth. Change every number to yours, then run:
#   drumworth check {name}
#   drumworth decide {name}
# A number may be a guess: {{ low = at least, likely = most likely, high = at most }}.
# More fields than these may stand here: drumworth fields lists them all.
# "Commonly" says what people commonly see; it is a hint, not a fact about your farm.
"""


def _round(value: float) -> str:
    """Write a number to three digits, whole where it is whole."""
    short = float(f"{value:.3g}")
    return f"{short:.0f}" if short == int(short) and abs(short) >= 1 else f"{short:g}"


def _convert(value: float, detail: About, units: str) -> str:
    if units == "us":
        return f"{value:g}"
    canonical = to_canonical(value, detail.dimension, "us")
    return _round(float(from_canonical(canonical, detail.dimension, units)))


class Said(Struct, frozen=True):
    """A value with a word of its own: a reader's answer, in the farm's own units."""

    value: object
    note: str


def _number(value: float) -> str:
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def _written(value: object, detail: About, units: str) -> str:
    """Write a value as TOML, in the farm's units."""
    if isinstance(value, Said):
        inner = value.value
        if isinstance(inner, tuple):
            low, likely, high = (_number(point) for point in inner)
            return f"{{ low = {low}, likely = {likely}, high = {high} }}"
        if isinstance(inner, int | float) and not isinstance(inner, bool):
            return _number(inner)
        return _written(inner, detail, units)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list):
        return f"[{', '.join(_written(item, detail, units) for item in value)}]"
    if isinstance(value, tuple):
        low, likely, high = (_convert(point, detail, units) for point in value)
        return f"{{ low = {low}, likely = {likely}, high = {high} }}"
    if isinstance(value, int) and detail.kind in ("whole", "months"):
        return str(value)
    return _convert(float(str(value)), detail, units)


def _comment(detail: About, units: str, currency: str) -> Iterator[str]:
    """Explain a field: what it is, its unit, what may stand there, what is common."""
    unit = unit_label(detail.dimension, units, currency)
    words = detail.kind in ("text", "flag", "choice", "choices", "months", "weights", "date")
    head = f"{detail.label}. {detail.help}"
    yield f"# {head}" if words else f"# {head} [{unit}]"
    if detail.kind in ("choice", "choices"):
        yield f"# Allowed: {detail.allowed()}."
    if detail.default:
        yield f"# Left out: {detail.default}."
    ranges = detail.usual_in(units)
    if ranges:
        listed = "; ".join(
            f"{_round(u.low)} to {_round(u.high)}{f' ({u.of})' if u.of else ''}" for u in ranges
        )
        yield f"# Commonly {listed}."


def starter(units: str, currency: str, priced_on: datetime.date, name: str = "farm.toml") -> str:
    """Write a starter farm.

    Parameters
    ----------
    units : {"us", "metric"}
        Unit system of its numbers.
    currency : str
        ISO 4217 code. The money figures are US dollars taken as this money: change them.
    priced_on : datetime.date
        The day to write down for its prices.
    name : str
        The file's name, for the hint at its top.

    Returns
    -------
    str
        TOML text that loads as it is.
    """
    top = _TOP.format(name=name)
    return farm_text(_FARM, top, units, currency, priced_on)


def farm_text(
    farm: Sequence[tuple[str, Mapping[str, object]]],
    top: str,
    units: str,
    currency: str,
    priced_on: datetime.date,
    usual: str = "",
) -> str:
    """Write a farm as a commented file.

    Parameters
    ----------
    farm : sequence of (table, values)
        In the order of the file; numbers in US units, those in a `Said` in the farm's own.
    top : str
        Comment lines at its head.
    units : {"us", "metric"}
        Unit system of its numbers.
    currency : str
        ISO 4217 code.
    priced_on : datetime.date
        The day to write down for its prices.
    usual : str
        What to write over a number that is not in a `Said`; nothing by default.

    Returns
    -------
    str
        TOML text.
    """
    models = {table: model for table, model, _ in TABLES}
    lists = {table for table, _, is_list in TABLES if is_list}
    lines = [top]
    explained: set[tuple[str, str]] = set()
    for table, values in farm:
        model = models[table]
        lines.append(f"[[{table}]]" if table in lists else f"[{table}]")
        given = dict(values)
        sources = given.pop("sources", None)
        if table == "scenario":
            given |= {"units": units, "currency": currency}
        for field, value in given.items():
            detail = about(model, field)
            if (table, field) not in explained:
                lines.extend(_comment(detail, units, currency))
                explained.add((table, field))
            if isinstance(value, Said):
                lines.append(f"# {value.note}")
            elif usual and detail.kind in ("number", "price") and not isinstance(value, str):
                lines.append(f"# {usual}")
            lines.append(f"{field} = {_written(value, detail, units)}")
        if table == "scenario":
            lines.extend(_comment(about(model, "priced_on"), units, currency))
            lines.append(f"priced_on = {priced_on.isoformat()}")
        lines += _sources(sources)
        lines.append("")
    return "\n".join(lines).rstrip() + "\n"


def _sources(sources: object) -> list[str]:
    """Write where numbers come from."""
    if not isinstance(sources, dict) or not sources:
        return []
    rows = [
        f"{json.dumps(path, ensure_ascii=False)} = {json.dumps(kind)}"
        for path, kind in sources.items()
    ]
    return ["", "[scenario.sources]", *rows]
