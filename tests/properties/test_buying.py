"""Advice on buying: each turning point put back into the farm's file holds there."""

import copy
from pathlib import Path
from typing import Any

import pytest
import reference
from reference import plans

from econ.answers.comparison_document import oils_document, thinners_document
from econ.farm.files import from_document

SCENARIOS = Path(__file__).parents[2] / "scenarios"
# A longer way takes longer at this speed: common practice, no source.
MILES_AN_HOUR = 40.0
Document = dict[str, Any]


def wrenfold() -> Document:
    return reference.read(SCENARIOS / "wrenfold.toml")


def whole_farm(farm: Document) -> Document:
    [scope] = [
        s
        for s in thinners_document(from_document(farm, "f.toml"))["scopes"]
        if s["machine"] is None
    ]
    return dict(scope)


def test_each_thinners_worth_is_that_of_the_second_reading() -> None:
    farm = wrenfold()
    scope = whole_farm(farm)
    for row in scope["rows"]:
        if row["is_pump_fuel"] or row["result"] is None or row["notes"]:
            continue
        decision = {
            "setup": None,
            "oils": [oil["name"] for oil in farm["oils"]],
            "machines": {
                m["name"]: row["thinner"] if m.get("thinner") else plans.CLEAN
                for m in farm["machines"]
            },
        }
        plan = {led: plans.plan_of(farm, decision, led) for led in ("time_free", "time_paid")}
        for ledger, theirs in plan.items():
            assert theirs is not None
            assert row["result"]["worth"][ledger] == pytest.approx(
                theirs["equivalent_annual"], rel=1e-9
            ), row["thinner"]


def worth(scope: Document, thinner: str | None) -> float:
    if thinner is None:
        return float(scope["worth_without"])
    [row] = [r for r in scope["rows"] if r["thinner"] == thinner]
    return float(row["result"]["worth"]["time_paid"])


def test_at_a_tie_price_both_are_worth_the_same_and_below_it_as_told() -> None:
    farm = wrenfold()
    ties = [tie for tie in whole_farm(farm)["ties"] if tie["price"] is not None]
    assert {tie["keeps_more_below"] for tie in ties} >= {True}
    for tie in ties:
        gaps = []
        for factor in (1.0, 0.8):
            moved = copy.deepcopy(farm)
            [entry] = [t for t in moved["thinners"] if t["name"] == tie["moved"]]
            if isinstance(entry["price"], str):
                break
            entry["price"] = tie["price"] * factor
            scope = whole_farm(moved)
            gaps.append(worth(scope, tie["moved"]) - worth(scope, tie["against"]))
        if gaps:
            assert gaps[0] == pytest.approx(0.0, abs=1e-6 * max(1.0, abs(gaps[1])))
            assert (gaps[1] > 0.0) == tie["keeps_more_below"]


def test_at_the_farthest_round_trip_a_source_keeps_nothing() -> None:
    farm = wrenfold()
    rows = oils_document(from_document(farm, "f.toml"))["sources"]
    far = {row["name"]: row["farthest_round_trip"] for row in rows if row["farthest_round_trip"]}
    assert far
    for name, distance in far.items():
        moved = copy.deepcopy(farm)
        [oil] = [o for o in moved["oils"] if o["name"] == name]
        mean = reference.Farm(farm, "expected").number
        was, hours = mean(oil.get("round_trip", 0)), mean(oil.get("hours_per_trip", 0))
        oil["round_trip"] = distance
        oil["hours_per_trip"] = max(0.0, hours + (distance - was) / MILES_AN_HOUR)
        without = copy.deepcopy(moved)
        [gone] = [o for o in without["oils"] if o["name"] == name]
        gone["volume_per_month"] = 0
        [row] = [
            r for r in oils_document(from_document(moved, "f.toml"))["sources"] if r["name"] == name
        ]
        assert row["kept"]["time_paid"] == pytest.approx(0.0, abs=0.02)
