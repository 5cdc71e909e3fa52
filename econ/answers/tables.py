"""From an answer to tidy pandas frames: one row a thing, one column a figure, typed heads.

Every head ends in its unit, ``fuel_replaced [gal]``; a column without a unit is text or a whole
number. `TABLES` documents each frame once, for files, sheets and screens alike. Undefined numbers
are missing (NaN). All figures are those of the JSON document, in the file's units.

>>> from econ import load
>>> from econ.answers.document import answer
>>> from econ.farm.demos import demo_files
>>> frames = tables(answer(load(demo_files()["wrenfold"])))
>>> lines, years = frames["flows"]["amount [$]"], frames["years"]["flow [$]"]
>>> bool(abs(lines.sum() - years.sum()) < 1e-6)
True
"""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pandas as pd
from msgspec import Struct

from econ.answers.document import Answer, to_json
from econ.ground.labels import FUEL
from econ.ground.units import from_canonical, unit_label
from econ.model.costs import COST_LINES, RUNGS, SAVINGS
from econ.model.headlines import HEADLINES
from econ.model.ledger import FLOW_LINES, LEDGERS, TAX, TAX_LABEL
from econ.model.measures import MEASURES, running_balance
from econ.model.months import BOTTLENECKS
from econ.model.outcome import Outcome, Year

Rows = list[dict[str, Any]]


class Column(Struct, frozen=True):
    """One column of a frame."""

    key: str
    dimension: str
    help: str

    def head(self, units: str, currency: str) -> str:
        """Return the head: the key and, for a quantity, its unit in brackets."""
        if self.dimension in _PLAIN:
            return self.key
        return f"{self.key} [{unit_label(self.dimension, units, currency)}]"


class TidyTable(Struct, frozen=True):
    """One frame: what its rows are, its columns, and where they come from."""

    key: str
    row: str
    columns: tuple[Column, ...]
    rows: "Callable[[_Source], Rows]"


class _Source(Struct, frozen=True):
    """What a frame is made from."""

    gathered: Answer
    doc: Mapping[str, Any]
    chances: Mapping[str, Any] | None

    @property
    def units(self) -> str:
        return str(self.doc["units"])

    def unit(self, dimension: str) -> str:
        return unit_label(dimension, self.units, str(self.doc["currency"]))


# Columns whose head carries no unit.
_PLAIN = ("text", "whole", "bare")


def _figures(source: _Source) -> Rows:
    doc, likely = source.doc, source.doc["likely"]
    rows: Rows = []

    def add(group: str, key: str, label: str, dimension: str, values: tuple[Any, Any]) -> None:
        unit = "" if dimension == "flag" else source.unit(dimension)
        mean, beside = (None if value is None else float(value) for value in values)
        rows.append(
            {
                "group": group,
                "figure": key,
                "label": label,
                "unit": unit,
                "expected": mean,
                "likely": beside,
            }
        )

    for name in FUEL:
        pair = doc["fuel"][name.key], likely["fuel"][name.key]
        add("fuel", name.key, name.label, name.dimension, pair)
    for saving in SAVINGS:
        pair = doc["savings"][saving.key], likely["savings"][saving.key]
        add("savings", saving.key, saving.label, "money_per_year", pair)
    pair = doc["savings"]["pay_per_hour"], likely["savings"]["pay_per_hour"]
    add("savings", "pay_per_hour", "Pay for an hour of your time", "money_per_hour", pair)
    for kind in LEDGERS:
        for row in MEASURES:
            pair = doc["ledgers"][kind.key][row.key], likely["ledgers"][kind.key][row.key]
            add(kind.key, row.key, row.label, row.dimension, pair)
    return rows


def _costs(source: _Source) -> Rows:
    doc = source.doc
    return [
        {
            "line": line.key,
            "label": line.label,
            "rung": line.rung,
            "first_year": doc["first_year"]["costs"][line.key],
            "typical": doc["costs"][line.key],
            "likely": doc["likely"]["costs"][line.key],
        }
        for line in COST_LINES
    ]


def _ladder(source: _Source) -> Rows:
    rungs = source.doc["rungs"]
    return [
        {
            "rung": rung.key,
            "label": rung.label,
            "per_blend": rungs["per_blend"][rung.key],
            "per_replaced": rungs["per_replaced"][rung.key],
        }
        for rung in RUNGS
    ]


_MONTH_VOLUMES = (
    ("wanted", "clean oil that the machines ask for"),
    ("collected", "usable raw oil taken in"),
    ("processed", "raw oil cleaned"),
    ("raw_end", "raw oil in store at the end"),
    ("clean_end", "clean oil in store at the end"),
    ("oil_used", "clean oil burned"),
    ("thinner", "thinner burned"),
    ("blend", "oil and thinner burned"),
    ("fuel_replaced", "pump fuel not bought"),
)


def _months(source: _Source) -> Rows:
    rows: Rows = []
    outcome = source.gathered.expected
    for name, year in (("first", outcome.first_year), ("typical", outcome.typical)):
        for month in year.months:
            row: dict[str, Any] = {"year": name, "month": month.month}
            for key, _ in _MONTH_VOLUMES:
                row[key] = float(from_canonical(getattr(month, key), "volume", source.units))
            row["hours"] = float(month.hours)
            row["bottleneck"] = BOTTLENECKS[int(month.bottleneck)]
            rows.append(row)
    return rows


def _years(source: _Source) -> Rows:
    rows: Rows = []
    for key, result in source.gathered.expected.ledgers.items():
        ledger = result.ledger
        balance = running_balance(ledger)
        for year in range(ledger.years + 1):
            row: dict[str, Any] = {"ledger": key, "year": year}
            for column in ("savings", "bought", "resale", "recovered", "exit_if_stopped"):
                row[column] = float(getattr(ledger, column)[year])
            row["flow"] = float(ledger.flows[year])
            row["running_balance"] = float(balance[year])
            rows.append(row)
    return rows


def _flows(source: _Source) -> Rows:
    """List every flow line of every year; the lines of a year add up to its flow."""
    labels = {line.key: line.label for line in FLOW_LINES} | {TAX: TAX_LABEL}
    return [
        {"ledger": key, "year": year, "line": line, "label": labels[line], "amount": float(amount)}
        for key, result in source.gathered.expected.ledgers.items()
        for line, series in result.ledger.lines.items()
        for year, amount in enumerate(series)
    ]


def _machines(source: _Source) -> Rows:
    keys = ("thinner_share", "thinner_share_winter", "oil_used", "blend", "fuel_replaced", "saving")
    order = source.gathered.expected.burn_order
    return [
        {
            "machine": machine["name"],
            "fit": machine["fit"],
            "served": order.index(k) + 1,
            **{key: machine[key] for key in keys},
            "reasons": "; ".join(machine["reasons"]),
        }
        for k, machine in enumerate(source.doc["machines"])
    ]


def _thinner_volume(outcome: Outcome, year: Year, index: int) -> float:
    """Return what all machines burn of one thinner. [L/yr]"""
    volumes = zip(outcome.inputs.machines, year.machines, strict=True)
    return float(sum(gathered.thinner for machine, gathered in volumes if machine.thinner == index))


def _thinners(source: _Source) -> Rows:
    outcome = source.gathered.expected
    rows: Rows = []
    for k, thinner in enumerate(outcome.inputs.thinners):
        litres = _thinner_volume(outcome, outcome.typical, k)
        limit = thinner.available_per_month
        rows.append(
            {
                "thinner": thinner.name,
                "kind": thinner.kind,
                "price": float(from_canonical(thinner.price, "price_per_volume", source.units)),
                "tied_to": thinner.tied_to or "",
                "available_per_month": np.nan
                if limit is None
                else float(from_canonical(limit, "volume_per_month", source.units)),
                "used": float(from_canonical(litres, "volume", source.units)),
                "cost": litres * float(thinner.price),
            }
        )
    return rows


def _chances(source: _Source) -> Rows:
    if source.chances is None:
        return []
    rows: Rows = []
    for row in HEADLINES:
        spread = source.chances["spreads"][row.key]
        low, middle, high = spread["levels"]
        rows.append(
            {
                "figure": row.key,
                "label": row.label,
                "unit": source.unit(row.dimension),
                "p05": low,
                "p50": middle,
                "p95": high,
                "defined": spread["defined"],
            }
        )
    for kind in LEDGERS:
        chance = source.chances["ahead"][kind.key]
        rows.append(
            {
                "figure": f"{kind.key}.ahead",
                "label": f"Chance of coming out ahead, {kind.label.lower()}",
                "unit": source.unit("share"),
                "p05": None,
                "p50": chance,
                "p95": None,
                "defined": 1.0,
            }
        )
    return rows


def _cautions(source: _Source) -> Rows:
    keys = ("severity", "short", "text", "basis")
    return [
        {"caution": row["key"], **{key: row[key] for key in keys}} for row in source.doc["cautions"]
    ]


def _text(key: str, about: str) -> Column:
    return Column(key, "text", about)


def _whole(key: str, about: str) -> Column:
    return Column(key, "whole", about)


def _bare(key: str, about: str) -> Column:
    """Declare a number whose unit stands in a column of its own."""
    return Column(key, "bare", about)


def _volume(key: str, about: str) -> Column:
    return Column(key, "volume", about)


def _money(key: str, about: str) -> Column:
    return Column(key, "money", about)


TABLES = (
    TidyTable("figures", "one headline figure", (
        _text("group", "fuel, savings, or the ledger"), _text("figure", "key in the document"),
        _text("label", "in words"), _text("unit", "of both numbers"),
        _bare("likely", "at likely values"), _bare("expected", "at expected values")), _figures),
    TidyTable("costs", "one cost line of a year", (
        _text("line", "key in the document"), _text("label", "in words"),
        _text("rung", "first rung of the ladder that holds it"),
        Column("first_year", "money_per_year", "first year, likely values"),
        Column("typical", "money_per_year", "typical year, likely values"),
        Column("expected", "money_per_year", "typical year, expected values")), _costs),
    TidyTable("ladder", "one rung, each holding those above", (
        _text("rung", "key in the document"), _text("label", "in words"),
        Column("per_blend", "price_per_volume", "for each volume of blend burned"),
        Column("per_replaced", "price_per_volume", "for each volume of fuel replaced")), _ladder),
    TidyTable("months", "one month of the first or the typical year", (
        _text("year", "first or typical"), _whole("month", "1 to 12"),
        *(_volume(key, text) for key, text in _MONTH_VOLUMES),
        Column("hours", "hours", "hauling and batches"),
        _text("bottleneck", "what held the month back")), _months),
    TidyTable("years", "one year of one ledger", (
        _text("ledger", "time_free or time_paid"), _whole("year", "0 is today"),
        _money("savings", "yearly saving after tax"), _money("bought", "replacements bought"),
        _money("resale", "after tax, when an item is replaced"),
        _money("recovered", "after tax, were all kit sold then"),
        _money("exit_if_stopped", "after tax, were the plan stopped then"),
        _money("flow", "all money in and out"),
        _money("running_balance", "sum of the flows so far")), _years),
    TidyTable("flows", "one flow line of one year of one ledger", (
        _text("ledger", "time_free or time_paid"), _whole("year", "0 is today"),
        _text("line", "key in the document"), _text("label", "in words"),
        _money("amount", "in above 0, out below, before tax where it is taxed")), _flows),
    TidyTable("machines", "one machine, typical year", (
        _text("machine", "its name"), _text("fit", "suited, caution or excluded"),
        _whole("served", "place in the order of serving"),
        Column("thinner_share", "share", "by volume of the blend, outside winter"),
        Column("thinner_share_winter", "share", "the same in the winter months"),
        _volume("oil_used", "clean oil burned"), _volume("blend", "oil and thinner burned"),
        _volume("fuel_replaced", "pump fuel not bought"),
        Column("saving", "money_per_year", "fuel less thinner, additives, road tax, wear"),
        _text("reasons", "why it is held back")), _machines),
    TidyTable("thinners", "one thinner on offer, typical year", (
        _text("thinner", "its name"), _text("kind", "what it is"),
        Column("price", "price_per_volume", "likely"),
        _text("tied_to", "fuel whose price it follows"),
        Column("available_per_month", "volume_per_month", "missing: no limit"),
        _volume("used", "by all machines"), Column("cost", "money_per_year", "volume x price")),
        _thinners),
    TidyTable("chances", "one figure over all draws", (
        _text("figure", "key in the document"), _text("label", "in words"),
        _text("unit", "of the three levels"), _bare("p05", "1 in 20 is lower"),
        _bare("p50", "middle"), _bare("p95", "1 in 20 is higher"),
        Column("defined", "share", "share of draws that have the figure")), _chances),
    TidyTable("cautions", "one caution, the gravest first", (
        _text("caution", "key in the document"), _text("severity", "grave, serious or note"),
        _text("short", "in one line"), _text("text", "in full"),
        _text("basis", "what it rests on")), _cautions),
)  # fmt: skip


def tables(gathered: Answer, chances: Mapping[str, Any] | None = None) -> dict[str, pd.DataFrame]:
    """Return every tidy frame of an answer.

    Parameters
    ----------
    result : Answer
        From `econ.answers.document.answer`.
    chances : dict, optional
        From `econ.answers.outlook.chances_json`; without it the frame "chances" is empty.

    Returns
    -------
    dict of str to DataFrame
        By key of `TABLES`, in the file's units, undefined numbers missing.
    """
    source = _Source(gathered, to_json(gathered), chances)
    currency = str(source.doc["currency"])
    frames = {}
    for table in TABLES:
        rows = table.rows(source)
        frame = pd.DataFrame(rows, columns=[column.key for column in table.columns])
        for column in table.columns:
            if column.dimension not in ("text", "whole"):
                frame[column.key] = frame[column.key].astype("float64")
        frame.columns = pd.Index([c.head(source.units, currency) for c in table.columns])
        frames[table.key] = frame
    return frames
