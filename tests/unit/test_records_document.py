"""What the records' document says: balances, plan and what happened, bills, words."""

import datetime
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

from econ.answers.document import document
from econ.answers.keys import described
from econ.answers.records import load_with_records, log_of, plan_share, records_of
from econ.answers.records_document import RecordsDocument, records_document
from econ.farm.files import from_document, load
from econ.farm.log_reading import read_log
from econ.farm.prepare import prepare
from econ.model.blends import oil_pool
from econ.model.evaluate import evaluate
from econ.questions.balances import Burn, balances
from econ.questions.happened import fuel_replaced, happened

SCENARIOS = Path(__file__).parents[2] / "scenarios"
FARM, LOG = SCENARIOS / "tamsel-pumps.toml", SCENARIOS / "tamsel-pumps-log.csv"
HEADER = "id,date,what,which,volume [gal],left [gal],hours,money,count,reading [cSt at 40 °C],note"


@pytest.fixture(scope="module")
def shown() -> RecordsDocument:
    _, records = load_with_records(FARM, LOG)
    assert records is not None
    return records_document(records)


def document_of(tmp_path: Path, *lines: str) -> RecordsDocument:
    path = tmp_path / "log.csv"
    path.write_text("\n".join([HEADER, *lines, ""]), encoding="utf-8")
    farm = load(FARM)
    return records_document(records_of(farm, read_log(path, farm)))


def test_every_key_says_its_unit_and_meaning_and_no_other_is_there(shown: RecordsDocument) -> None:
    top = {row.path for row in described(RecordsDocument) if "." not in row.path}
    assert set(shown) == top
    json.dumps(shown, allow_nan=False)


def test_the_demo_log_reads_without_a_fault_and_tells_its_one_gap(shown: RecordsDocument) -> None:
    assert shown["faults"] == []
    assert shown["torn"] is None
    told = [row["text"] for row in shown["balances"] if row["beyond_error"]]
    assert told == ["24 gal unaccounted for since 28 Mar 2026"]


def test_months_are_compared_only_where_the_log_covers_them(tmp_path: Path) -> None:
    lines = [
        "1,2026-01-15,fetched,Fleet yard next door,50,,1,,,,",
        "2,2026-02-10,fetched,Fleet yard next door,80,,1,,,,",
        "3,2026-03-30,fetched,Fleet yard next door,70,,1,,,,",
    ]
    shown = document_of(tmp_path, *lines)

    assert [(m["month"], m["compared"]) for m in shown["months"]] == [
        ("2026-01", False),
        ("2026-02", True),
        ("2026-03", False),
    ]
    farm = load(FARM)
    february = evaluate(prepare(farm, at="expected")).first_year.months[1]
    lines_shown = {row["what"]: row for row in shown["happened"]}
    taken = lines_shown["Used oil taken in"]
    assert taken["so_far"] == 80.0
    assert taken["plan"] == pytest.approx(float(february.collected) / 3.785411784)
    # What is not written down is not none.
    assert lines_shown["Used oil cleaned"]["so_far"] is None


def test_the_thirteenth_whole_month_stands_beside_the_typical_year(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        f"{HEADER}\n1,2025-01-01,tested,raw,,,,,,,\n2,2026-02-28,tested,raw,,,,,,,\n",
        encoding="utf-8",
    )
    farm = load(FARM)
    log, plan = read_log(path, farm), evaluate(prepare(farm, at="expected"))
    result = happened(farm, log, balances(log.rows, plan_share(plan.inputs)), plan)

    beside = {m.month: m for m in result.months}
    january = [beside[datetime.date(year, 1, 1)] for year in (2025, 2026)]
    assert [m.first_year for m in january] == [True, False]
    for month, year in zip(january, (plan.first_year, plan.typical), strict=True):
        planned = float(year.months[0].collected) / 3.785411784
        assert month.plan["collected"] == pytest.approx(planned)


def test_twelve_planned_months_add_up_to_the_plan_s_year(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(
        f"{HEADER}\n1,2025-01-01,tested,raw,,,,,,,\n2,2025-12-31,tested,raw,,,,,,,\n",
        encoding="utf-8",
    )
    farm = load(FARM)
    log, plan = read_log(path, farm), evaluate(prepare(farm, at="expected"))
    result = happened(farm, log, balances(log.rows, plan_share(plan.inputs)), plan)
    sums = {line.key: planned for line, planned, _ in result.sums()}

    costs = plan.first_year.costs
    for key, lines in {
        "paid_thinner": ("thinner",),
        "paid_filters": ("filters",),
        "paid_cleaning": ("tests", "disposal"),
        "paid_repairs": ("wear",),
        "paid_yearly": ("yearly",),
    }.items():
        assert sums[key] == pytest.approx(sum(float(costs[line]) for line in lines))
    gallons = float(plan.first_year.fuel["fuel_replaced"]) / 3.785411784
    assert sums["fuel_replaced"] == pytest.approx(gallons)


def test_fuel_replaced_at_the_plan_s_share_is_the_plan_s() -> None:
    inputs = prepare(load(FARM), at="expected")
    outcome = evaluate(inputs)
    blend = outcome.blends[0][0]
    x = float(blend.thinner_share)
    log = read_log(LOG, load(FARM))
    burned = next(row for row in log.rows if row.what == "burned")
    burn = Burn(burned, inputs.machines[0].name, "", 100.0 * (1.0 - x), 100.0 * x)
    heat = float(oil_pool(inputs).heating_value)

    expected = 100.0 / float(blend.volume_per_replaced)
    assert fuel_replaced(inputs, heat, burn) == pytest.approx(expected, rel=1e-12)


def test_bills_and_what_cannot_be_told_are_said(shown: RecordsDocument) -> None:
    bills = {bill["what"]: bill for bill in shown["bills"]}
    diesel = bills["farm diesel"]
    assert diesel["bill"] == pytest.approx(4.22)
    assert diesel["plan"] == pytest.approx((3.40 + 4 * 4.10 + 4.90) / 6)
    assert any("proves nothing yet" in text for text in shown["cannot_tell"])
    assert shown["advice_as_guessed"] is None


def test_records_that_do_not_fit_show_the_decision_both_ways(tmp_path: Path) -> None:
    rows = [f"{k},2026-0{k}-11,cleaned,b,200,100,9,,,," for k in range(1, 7)]
    shown = document_of(tmp_path, *rows)

    unfit = [row["where"] for row in shown["learned"] if not row["fits"]]
    assert "Lost as water and sludge" in unfit
    assert shown["advice_as_guessed"] is not None
    assert shown["advice_as_guessed"]["equivalent_annual"] != shown["advice"]["equivalent_annual"]


def test_an_empty_log_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_text(f"{HEADER}\n", encoding="utf-8")
    scenario, records = load_with_records(FARM, path)

    assert records is not None
    assert document(scenario) == document(load(FARM))
    shown = records_document(records)
    assert (shown["rows"], shown["from"], shown["learned"]) == (0, None, [])


def test_a_farm_may_name_its_log_beside_it(tmp_path: Path) -> None:
    text = FARM.read_text(encoding="utf-8") + '\n[records]\nlog = "made.csv"\n'
    (tmp_path / "farm.toml").write_text(text, encoding="utf-8")
    (tmp_path / "made.csv").write_bytes(LOG.read_bytes())
    scenario, records = load_with_records(tmp_path / "farm.toml")

    assert records is not None
    assert log_of(records.guess) == tmp_path / "made.csv"
    assert scenario.known
    named, _ = load_with_records(FARM, LOG)
    assert document(scenario) == document(named)


def test_metric_and_us_farms_learn_the_same() -> None:
    # The same log read by a farm in litres: every volume is converted by the header.
    raw: dict[str, Any] = tomllib.loads(FARM.read_text(encoding="utf-8"))
    farm = from_document(raw, FARM)
    gallon = 3.785411784
    for oil in raw["oils"]:
        for key in ("volume_per_month", "load_volume"):
            value = oil[key]
            oil[key] = (
                {k: v * gallon for k, v in value.items()}
                if isinstance(value, dict)
                else value * gallon
            )
    for key in ("batch_volume", "raw_storage", "clean_storage"):
        raw["process"][key] *= gallon
    metric = from_document({**raw, "scenario": {**raw["scenario"], "units": "metric"}}, FARM)
    ours = records_of(farm, read_log(LOG, farm)).learned
    theirs = records_of(metric, read_log(LOG, metric)).learned
    for one, other in zip(ours, theirs, strict=True):
        if one.seen.dimension == "volume_per_month":
            assert other.now[0] == pytest.approx(one.now[0] * gallon, rel=1e-9)
        elif one.seen.dimension == "share":
            assert other.now == pytest.approx(one.now, rel=1e-9)
