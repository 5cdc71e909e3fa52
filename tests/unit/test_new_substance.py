"""Safety from properties: a new row of a low flash is refused and warned of without a further line.

The row is added to the table of thinners and to the words that the field may take, as adding it
to the table would; nothing else is touched.
"""

from collections.abc import Callable, Iterator
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import surfaces
from msgspec.structs import force_setattr
from presenting import worked
from rich.console import Console

from dashboards.page.render import page as printed_page
from dashboards.terminal.thinners import render_all as terminal_thinners
from econ.answers.comparison_document import oils_document, thinners_document
from econ.answers.document import answer, to_json
from econ.farm.files import from_document
from econ.farm.schema import Scenario, Thinner, about
from econ.fuel.substances import THINNERS, Substance
from econ.ground.errors import ScenarioError

KIND = "light naphtha"
ROW = Substance(
    KIND,
    0.70,
    ((20.0, 0.55), (40.0, 0.45)),
    31.0,
    -20.0,
    "not rated",
    dict.fromkeys(THINNERS["diesel"].sources, "from_memory"),
)


@pytest.fixture(autouse=True)
def naphtha(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setitem(THINNERS, KIND, ROW)
    detail = about(Thinner, "kind")
    before = detail.choices
    force_setattr(detail, "choices", (*before, KIND))
    yield
    force_setattr(detail, "choices", before)


def farm(engine: str = "inline pump", **changes: Any) -> Scenario:
    """Return a farm with one machine that burns a quarter of it."""
    heater = engine == "burner"
    machine = {
        "name": "Machine",
        "engine": engine,
        "model_year": 1985,
        "fuel_per_year": 900,
        "replaces": "heating_oil" if heater else "farm_diesel",
        "blend_share": 1.0,
        "thinner": "Light",
        "thinner_share": 0.25,
        "wear": [],
    }
    document = {
        "scenario": {"title": "Light", "units": "us", "currency": "USD"},
        "prices": {"farm_diesel": 4.0, "heating_oil": 4.0, "electricity": 0.2},
        "machines": [{k: v for k, v in (machine | changes).items() if v is not None}],
        "oils": [{"name": "Own", "kind": "engine oil", "own": True, "volume_per_month": 20}],
        "process": {
            "batch_volume": 55,
            "hours_per_batch": 2,
            "raw_storage": 200,
            "clean_storage": 200,
            "heat_from": 50,
            "heat_to": 140,
        },
        "thinners": [
            {"name": "Light", "kind": KIND, "price": 2.0},
            {"name": "Kerosene", "kind": "kerosene", "price": 5.0},
        ],
        "labour": {"wage": 20},
        "finance": {"years": 5, "discount_rate": 0.05},
    }
    return from_document(document, Path("light.toml"))


@pytest.mark.parametrize("way", [{}, {"thinner_share": None, "viscosity_limit": 20}])
def test_a_burner_refuses_it_by_share_and_by_thickness(way: dict[str, Any]) -> None:
    with pytest.raises(ScenarioError, match="light naphtha in a burner's blend is refused"):
        answer(farm("burner", **way))


def test_a_burner_refuses_it_among_thinners_to_choose_from() -> None:
    with pytest.raises(ScenarioError, match="light naphtha in a burner's blend is refused"):
        farm("burner", thinner="Kerosene", thinners=["Light"])


def test_it_is_never_warmed() -> None:
    document = farm().merged | {"blending": {"fuel_temperature": 140.0}}

    with pytest.raises(ScenarioError, match="never warmed"):
        from_document(document, Path("light.toml"))


def test_the_decision_warns_of_it_as_of_gasoline() -> None:
    texts = {row["key"]: row["text"] for row in to_json(answer(farm()))["cautions"]}

    assert "25 % light naphtha. Treat the blend as gasoline" in texts["gasoline_vapour"]
    for key in ("gasoline_static", "gasoline_containers", "gasoline_never_hot", "gasoline_keeps"):
        assert key in texts
    assert "which a gasoline blend must be taken to miss" in texts["off_specification"]
    assert "mixed with light naphtha it stays used oil" in texts["stays_used_oil"]
    assert "flash_estimated" not in texts


def test_it_comes_among_the_two_gravest() -> None:
    assert to_json(answer(farm()))["cautions"][0]["key"] == "gasoline_vapour"


def test_a_rotary_pump_is_put_under_caution_by_it() -> None:
    result = to_json(answer(farm("rotary pump")))

    assert result["machines"][0]["fit"] == "caution"
    assert "light naphtha is a dry one" in str(result["cautions"])


def test_the_comparison_gives_it_no_flash_and_no_warmth() -> None:
    scope = thinners_document(farm(), "Machine")["scopes"][0]
    row = next(row for row in scope["rows"] if row["thinner"] == "Light")
    season = row["mixes"][0]["seasons"][0]

    assert season["flash"] is None
    assert season["fire_class"] == "as_gasoline"
    assert "treat as gasoline" in season["flash_text"]
    assert scope["by_fuel_temperature"]["never_warmed"] == ["Light"]
    assert scope["by_fuel_temperature"]["thinner_shares"]["Light"][-1] is None


def test_the_comparison_refuses_it_in_a_burner() -> None:
    result = thinners_document(farm("burner", thinner="Kerosene"), "Machine")
    row = next(row for row in result["scopes"][0]["rows"] if row["thinner"] == "Light")

    assert "light naphtha in a burner's blend" in row["refused"]
    assert row["result"] is None


def test_the_page_prints_what_kills_first() -> None:
    assert "A gasoline blend is gasoline: its vapour lights" in printed_page(worked(farm()))


def test_the_terminal_gives_it_no_flash_number_and_no_warmth() -> None:
    console = Console(width=200, file=StringIO())
    console.print(terminal_thinners(thinners_document(farm(), "Machine")))
    text = console.file.getvalue()  # type: ignore[attr-defined]

    assert "as gasoline" in text
    assert "never" in text


def test_oils_are_shown_with_their_cautions() -> None:
    assert oils_document(farm())["cautions"]


@pytest.mark.parametrize(
    "words",
    [surfaces.terminal, surfaces.printed, surfaces.workbook_words, surfaces.csv_words],
    ids=lambda words: words.__name__,
)
def test_every_surface_warns_of_it(words: Callable[[Scenario], str]) -> None:
    assert "25 % light naphtha. Treat the blend as gasoline" in words(farm())


@pytest.fixture(scope="module")
def pages() -> surfaces.Pages:
    return surfaces.Pages()


def test_the_pages_warn_of_it(pages: surfaces.Pages) -> None:
    decided = pages.words(farm().merged, "tab-body", "first-paper")
    thinners = pages.words(farm().merged, "thinner-body")

    assert "25 % light naphtha. Treat the blend as gasoline" in decided
    assert "treat as gasoline" in thinners


def test_the_pages_refuse_it_in_a_burner(pages: surfaces.Pages) -> None:
    refused = farm("burner", thinner="Kerosene").merged
    refused["machines"][0]["thinner"] = "Light"
    said = pages.words(refused, "headline", "first-paper", "thinner-body")

    assert "light naphtha in a burner's blend is refused" in said
    assert "Worth" not in said
