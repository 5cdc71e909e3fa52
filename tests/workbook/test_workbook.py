"""The workbook, recalculated by LibreOffice, against the model: as written and with changes.

The model is the other side of every comparison; it is itself held to published figures and to
a second reading elsewhere. A changed workbook starts from the farm as it stood: only cells of
its inputs are changed, and the same numbers in the farm's document.
"""

import copy
import re
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scratch import swapped
from workbook.recalculated import Cells, Recalculated, differences, recalculate_changed
from xlsxwriter.worksheet import Worksheet

from dashboards.workbook import sheets
from dashboards.workbook.book import workbook
from dashboards.workbook.inputs import name_of
from econ.answers.document import Answer, Json, answer, document, to_json
from econ.farm.files import from_document, load
from econ.farm.prepare import settle
from econ.farm.schema import Scenario
from econ.model.costs import COST_LINES, CostLine, hours_of_year
from econ.model.ledger import FLOW_LINES, FlowLine
from econ.model.measures import MEASURES, Measure

FARMS = sorted(Path("scenarios").glob("*.toml"))
Place = tuple[str | int, ...]
Books = Callable[[str], Recalculated]


@dataclass(frozen=True, eq=False)
class Change:
    """Inputs of one farm changed at once, by their place in its document."""

    key: str
    farm: str
    given: dict[Place, float | str] | None = None

    @property
    def edits(self) -> dict[Place, float | str]:
        """What is changed: what is given, or else twenty inputs at once."""
        return _many(self.farm) if self.given is None else self.given


CHANGES = (
    Change("prices", "wrenfold", {("prices", "road_diesel"): 5.35, ("prices", "electricity"): 0.31,
                                  ("thinners", 0, "price"): 2.6, ("labour", "wage"): 7.5,
                                  ("thinners", 0, "road_tax_paid"): True}),
    Change("served_first", "wrenfold", {("prices", "heating_oil"): 9.5}),
    Change("store_binds", "quillmere", {("process", "raw_storage"): 60.0,
                                        ("process", "clean_storage"): 20.0}),
    Change("life_divides_years", "quillmere", {("kit", 0, "life_years"): 4,
                                               ("kit", 1, "life_years"): 2,
                                               ("finance", "depreciation"): "straight line",
                                               ("finance", "years"): 8}),
    Change("thinner_limit", "tamsel-pumps", {("thinners", 0, "available_per_month"): 90.0}),
    Change("hours_limit", "wrenfold", {("process", "hours_per_month"): 2.2,
                                       ("process", "max_batches_per_month"): 0.4}),
    Change("shares_and_loss", "kurrabee-kerosene", {("machines", 0, "blend_share"): 0.15,
                                                    ("process", "loss_share"): 0.31,
                                                    ("oils", 0, "reject_share"): 0.2}),
    Change("rates", "tamsel-pumps", {("finance", "discount_rate"): 0.0,
                                     ("finance", "inflation"): 0.0, ("finance", "years"): 13,
                                     ("finance", "tax_rate"): 0.22,
                                     ("finance", "exit_cost"): 4000.0}),
    Change("thickness", "kurrabee-downs", {("blending", "fuel_temperature"): 38.0,
                                           ("oils", 0, "viscosity_40"): 41.0}),
    Change("all_hired", "stonebark-own-oil", {("finance", "depreciation"): "macrs 5",
                                              ("kit", 1, "life_years"): 3,
                                              ("labour", "hired_share"): 1.0,
                                              ("kit", 0, "resale_share"): 0.9}),
    Change("no_oil_comes", "wrenfold-heater-only", {("oils", 0, "volume_per_month"): 0.0,
                                                    ("oils", 1, "volume_per_month"): 0.0}),
)  # fmt: skip


# Fields that any farm may see move by a tenth without meeting a bound, by table.
_MOVED = {
    "prices": ("farm_diesel", "road_diesel", "heating_oil", "electricity", "road_tax"),
    "machines": ("blend_share", "thinner_share", "viscosity_limit", "fuel_per_hour"),
    "oils": ("volume_per_month", "round_trip", "hours_per_trip"),
    "hauling": ("cost_per_distance",),
    "process": (
        "batch_volume",
        "hours_per_batch",
        "loss_share",
        "test_cost_per_batch",
        "raw_storage",
        "clean_storage",
        "disposal_cost",
    ),
    "filters": ("price", "volume_per_element"),
    "yearly": ("cost",),
    "labour": ("wage", "upkeep_hours_per_year"),
    "kit": ("cost", "resale_share"),
    "finance": ("discount_rate", "inflation", "exit_cost"),
}
_MANY = 20


@cache
def _farm(stem: str) -> Answer:
    """Work a demo farm through."""
    return answer(load(Path("scenarios", f"{stem}.toml")))


def _likely(value: Any) -> float | None:
    if isinstance(value, dict):
        return float(value["likely"])
    return None if isinstance(value, bool | str) else float(value)


def _planned(scenario: Scenario, table: str) -> list[str]:
    """List a table's entries that are in a farm's plan: the workbook holds these."""
    return [entry.name for entry in getattr(scenario, table)]


@cache
def _many(farm: str) -> dict[Place, float | str]:
    """Move twenty inputs of a farm, spread over its tables, each by about a tenth."""
    scenario = _farm(farm).scenario
    places: list[tuple[Place, float]] = []
    for table, fields in _MOVED.items():
        entries = scenario.merged.get(table, [])
        listed = enumerate(entries) if isinstance(entries, list) else [(None, entries)]
        for index, entry in listed:
            if index is not None and entry["name"] not in _planned(scenario, table):
                continue
            for field in fields:
                value = _likely(entry[field]) if field in entry else None
                if value:
                    place = (table, field) if index is None else (table, index, field)
                    places.append((place, value))
    step = len(places) / _MANY
    chosen = [places[int(k * step)] for k in range(_MANY)]
    return {place: value * (0.9 if k % 2 else 1.08) for k, (place, value) in enumerate(chosen)}


CHANGES = (*CHANGES, *(Change(f"many-{farm.stem}", farm.stem) for farm in FARMS))


def _edited(scenario: Scenario, change: Change) -> Scenario:
    document_ = copy.deepcopy(scenario.merged)
    document_["scenario"].pop("extends", None)
    for place, value in change.edits.items():
        inner: Any = document_
        for step in place[:-1]:
            inner = inner[step]
        inner[place[-1]] = value
    return from_document(document_, f"{change.key}.toml")


def _cells(change: Change, book: Path) -> Cells:
    """Find the cells of the inputs sheet that a change is of: plain ones, no formula's."""
    scenario, cells = _farm(change.farm).scenario, _input_cells(book)
    sheet = zipfile.ZipFile(book).read("xl/worksheets/sheet2.xml").decode()
    result: Cells = {}
    for place, value in change.edits.items():
        table, *index, field = place
        place_in_plan = None
        if index:
            entry = scenario.merged[str(table)][int(index[0])]["name"]
            place_in_plan = _planned(scenario, str(table)).index(entry)
        name = name_of(str(table), place_in_plan, str(field))
        plain = rf'<c r="{cells[name]}"(?: s="\d+")?(?: t="s")?(?:/>|><v>[^<]*</v></c>)'
        assert re.search(plain, sheet), f"{name} at {cells[name]} is no plain input cell"
        result[cells[name]] = value
    return result


def _input_cells(path: Path) -> dict[str, str]:
    names = zipfile.ZipFile(path).read("xl/workbook.xml").decode()
    result = re.findall(r'<definedName name="([^"]+)">Inputs!\$(\w+)\$(\d+)</definedName>', names)
    return {name: f"{column}{row}" for name, column, row in result}


def _grant(money: Any) -> list[Any]:
    years = range(money.inputs.finance.years + 1)
    return [np.asarray({0: 50.0, 2: 300.0}.get(year, 0.0)) for year in years]


# Rows that a contributor might add, none with a formula of its own.
ADDED = (
    (COST_LINES, (
        CostLine("stirring", "Stirring", "cash", "Blend.", "blend", "fuel",
                 borne=lambda burned: 0.03 * burned.blend + 0.02 * burned.oil),
        CostLine("gloves", "Gloves", "cash", "Hours.", "hour", "prices",
                 lambda bill: 0.4 * hours_of_year(bill)),
        CostLine("rent", "Rent", "quoted", "The shed.", "year", "prices",
                 lambda bill: np.asarray(90.0)),
    )),
    (FLOW_LINES, (
        FlowLine("grant", "Grant", "Paid twice.", "saving", lambda _: True, "nothing", _grant),
    )),
    (MEASURES, (
        Measure("last_flow", "Last", "last flow", "money", "Of the last year.", "nist_hb135",
                lambda ledger: ledger.flows[-1]),
    )),
)  # fmt: skip


@cache
def _with_added_rows() -> tuple[bytes, Json]:
    """Make a workbook, and the document beside it, of registries with rows added."""
    with pytest.MonkeyPatch.context() as patch:
        for registry, rows in ADDED:
            swapped(patch, registry, (*registry, *rows))
        farm = answer(load(Path("scenarios", "tamsel-pumps.toml")))
        return workbook(farm), to_json(farm)


@pytest.mark.slow
def test_rows_that_are_added_reach_every_figure(
    recalculated: Books,
) -> None:
    book, wanted = recalculated("added-rows"), _with_added_rows()[1]

    assert wanted["costs"]["stirring"] > 0.0 < wanted["costs"]["gloves"]
    assert book.errors() == []
    assert differences(book, wanted) == []


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory: pytest.TempPathFactory) -> Books:
    """Read a workbook by its name, all of them recalculated in one go."""
    made, out = tmp_path_factory.mktemp("made"), tmp_path_factory.mktemp("out")
    books: dict[Path, dict[str, Cells]] = {}
    held: dict[str, Path] = {}
    for farm in FARMS:
        book = made / f"{farm.stem}.xlsx"
        book.write_bytes(workbook(_farm(farm.stem)))
        changes = {change.key: change for change in CHANGES if change.farm == farm.stem}
        books[book] = {key: _cells(change, book) for key, change in changes.items()}
        held |= dict.fromkeys((farm.stem, *changes), book)
    held["added-rows"] = made / "added-rows.xlsx"
    held["added-rows"].write_bytes(_with_added_rows()[0])
    recalculate_changed({**books, held["added-rows"]: {}}, out)
    return lambda name: Recalculated(held[name], out, name)


@cache
def _changed(change: Change) -> tuple[Scenario, Json]:
    # The workbook holds the farm as its plan stands: one way of cleaning, and what is in the plan.
    scenario = _edited(_farm(change.farm).scenario, change)
    return scenario, document(scenario)


@pytest.mark.slow
@pytest.mark.parametrize("farm", FARMS, ids=lambda farm: farm.stem)
def test_the_workbook_as_written_holds_every_figure_of_the_model(
    farm: Path, recalculated: Books
) -> None:
    book = recalculated(f"{farm.stem}")

    assert book.errors() == []
    assert differences(book, to_json(_farm(farm.stem))) == []


@pytest.mark.slow
@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.key)
def test_every_figure_follows_changed_inputs(change: Change, recalculated: Books) -> None:
    scenario, wanted = _changed(change)
    book = recalculated(change.key)

    assert book.errors() == []
    assert differences(book, wanted) == []
    order = settle(scenario).burn_order
    places = [book.value(f"machine_{k + 1}_place") for k in range(len(order))]
    assert [order.index(k) + 1 for k in range(len(order))] == places


@pytest.mark.slow
def test_the_first_sheet_follows_too(recalculated: Books) -> None:
    change = CHANGES[0]
    book = recalculated(change.key)
    wanted = _changed(change)[1]

    shown = book.cells("Summary", "B4:B10")
    assert shown[0] == pytest.approx(wanted["ledgers"]["time_free"]["equivalent_annual"])
    assert shown[6] == pytest.approx(wanted["savings"]["after_wear"])


def test_no_formula_has_a_function_that_the_library_would_mark_as_newer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    farm = _farm("wrenfold")
    ours = workbook(farm)
    monkeypatch.setattr(sheets, "_Plain", Worksheet)

    assert workbook(farm) == ours


def _before(change: Change) -> Json:
    return to_json(_farm(change.farm))


def test_the_changes_do_what_they_are_called() -> None:
    by_key = {change.key: change for change in CHANGES}

    served = by_key["served_first"]
    farm = load(Path("scenarios", f"{served.farm}.toml"))
    assert settle(farm).burn_order[0] != settle(_edited(farm, served)).burn_order[0]

    for key, held in (("thinner_limit", "thinner"), ("hours_limit", "capacity")):
        months = _changed(by_key[key])[1]["months"]
        assert held in {month["bottleneck"] for month in months}
        assert held not in {month["bottleneck"] for month in _before(by_key[key])["months"]}

    stores = by_key["store_binds"]
    assert _changed(stores)[1]["fuel"]["oil_collected"] < _before(stores)["fuel"]["oil_collected"]
    assert _changed(by_key["no_oil_comes"])[1]["rungs"]["per_blend"]["full"] is None


@pytest.mark.parametrize("change", CHANGES, ids=lambda change: change.key)
def test_every_change_changes_the_worth(change: Change) -> None:
    before, after = _before(change), _changed(change)[1]

    assert before["ledgers"]["time_paid"]["npv"] != after["ledgers"]["time_paid"]["npv"]


def test_every_farm_is_changed_in_twenty_places_at_once() -> None:
    many = [change for change in CHANGES if change.key.startswith("many-")]

    assert [change.farm for change in many] == [farm.stem for farm in FARMS]
    assert {len(change.edits) for change in many} == {_MANY}
