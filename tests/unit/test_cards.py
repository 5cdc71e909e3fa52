"""The mix for the oil at hand, and the cards in the shed: only what the model works out."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from econ.answers.card_farm import main_oil
from econ.answers.card_keys import CardsDocument, HandDocument
from econ.answers.cards_document import cards_document
from econ.answers.document import Answer, answer
from econ.answers.hand_document import hand_document
from econ.answers.keys import described
from econ.farm.files import from_document, load
from econ.fuel.viscosity import viscosity_at, viscosity_line, viscosity_line_through
from econ.fuel.viscosity_band import blend_line
from econ.ground.errors import ScenarioError
from econ.ground.records import replace
from econ.model.equal_job import job_of, pool_part, thinner_part
from econ.questions.hand_mix import (
    AS_IT_IS,
    MIX,
    PUMP_FUEL,
    THIN,
    TOO_THICK_ALONE,
    hand_mixes,
    oil_at_hand,
    thickness,
)

SCENARIOS = Path(__file__).parents[2] / "scenarios"
NO_PLAN = [(None, None)] * 20


@pytest.fixture(scope="module")
def farm() -> Answer:
    return answer(load(SCENARIOS / "wrenfold.toml"))


def test_the_oil_at_hand_keeps_its_kind_s_slope(farm: Answer) -> None:
    source = main_oil(farm.expected.inputs)
    hand = oil_at_hand(source, 20.0, 90.0)

    assert float(hand.line[1]) == float(source.line[1])
    assert thickness(hand, 20.0) == pytest.approx(90.0, rel=3e-4)
    # A used oil thinned by fuel: 29 cSt at 38 °C was measured with 6 at 99 °C.
    engine = viscosity_line(40.0, 66.0, 100.0, 10.0)
    moved = viscosity_line_through(engine, 38.0, 29.0)
    assert float(viscosity_at(moved, 99.0)) == pytest.approx(6.0, abs=0.3)


@pytest.mark.parametrize("reading", [20.0, 34.0, 66.0, 110.0])
@pytest.mark.parametrize("name", ["wrenfold", "kurrabee-downs", "tamsel-pumps", "hollowmere"])
def test_every_mix_does_the_job_of_the_machine_s_own(name: str, reading: float) -> None:
    inputs = answer(load(SCENARIOS / f"{name}.toml")).expected.inputs
    hand = oil_at_hand(main_oil(inputs), 40.0, reading)
    for mix in hand_mixes(inputs, hand, NO_PLAN):
        index = next(k for k, m in enumerate(inputs.machines) if m.name == mix.machine)
        job, thinner = job_of(inputs, index), inputs.machines[index].thinner
        for season in mix.seasons:
            if season.action != MIX or season.share is None or job is None or thinner is None:
                continue
            k = int(season.winter)
            x, part = season.share, thinner_part(inputs.thinners[thinner])
            line = blend_line((1.0 - x, x), (hand, part))
            made = float(viscosity_at(line, job.temperature[k]))
            assert made == pytest.approx(float(job.viscosity[k]), rel=1e-6)
            assert season.least is not None
            assert season.most is not None
            assert season.least <= x <= season.most


def test_the_plan_s_own_oil_gets_the_plan_s_own_share() -> None:
    result = answer(load(SCENARIOS / "hollowmere.toml"))
    mixes = hand_mixes(result.expected.inputs, pool_part(result.expected.inputs), NO_PLAN)
    shares = [season.share for season in mixes[0].seasons]
    assert shares == pytest.approx([0.30, 0.40], rel=1e-9)


def test_a_card_s_share_put_back_into_the_farm_gives_the_same_thickness() -> None:
    path = SCENARIOS / "hollowmere.toml"
    raw: dict[str, Any] = load(path).merged
    result = answer(load(path))
    shown = hand_document(result, 27.0, 40.0)
    share = shown["machines"][0]["seasons"][0]["thinner_share"]
    # The same farm with one oil of that thickness, and the card's share in its file.
    source = main_oil(result.expected.inputs)
    oils = [{**oil, "viscosity_40": 27.0} for oil in raw["oils"] if oil["name"] == source.name]
    machine = {**raw["machines"][0], "thinner_share": share}
    again = answer(from_document({**raw, "oils": oils, "machines": [machine]}, path))

    ours, theirs = (job_of(a.expected.inputs, 0) for a in (result, again))
    assert ours is not None
    assert theirs is not None
    assert float(theirs.viscosity[0]) == pytest.approx(float(ours.viscosity[0]), rel=1e-6)


def test_what_each_machine_is_told(farm: Answer) -> None:
    inputs = farm.expected.inputs
    source = main_oil(inputs)
    bare = replace(inputs, machines=(replace(inputs.machines[0], thinner=None),))

    def actions(of: Any, reading: float) -> list[str]:
        mixes = hand_mixes(of, oil_at_hand(source, 40.0, reading), NO_PLAN)
        return [season.action for season in mixes[0].seasons]

    assert actions(bare, 30.0) == [AS_IT_IS]
    assert actions(bare, 90.0) == [TOO_THICK_ALONE]
    assert actions(inputs, 8.0)[0] == THIN
    stiff = replace(
        inputs.machines[0],
        viscosity_limit=np.asarray(0.4),
        thinner_share=None,
        thinner_share_winter=None,
    )
    assert set(actions(replace(inputs, machines=(stiff,)), 40.0)) == {PUMP_FUEL}


def test_what_is_outside_the_rule_is_refused_in_words(farm: Answer) -> None:
    with pytest.raises(ScenarioError, match="no share is given"):
        hand_document(farm, 400.0, 40.0)
    with pytest.raises(ScenarioError, match="allowed: cSt above"):
        hand_document(farm, float("nan"), 40.0)
    with pytest.raises(ScenarioError, match="allowed: from 32 °F to 212 °F"):
        hand_document(farm, 40.0, -5.0)
    with pytest.raises(ScenarioError, match="no source of that name"):
        hand_document(farm, 40.0, 40.0, "Moon")


def test_a_cold_reading_is_called_unsure(farm: Answer) -> None:
    cold, warm = hand_document(farm, 90.0, 10.0), hand_document(farm, 90.0, 20.0)

    assert any("±20 %" in note for note in cold["notes"])
    assert not any("±20 %" in note for note in warm["notes"])


def test_documents_say_what_every_key_means(farm: Answer) -> None:
    for kind, shown in (
        (HandDocument, hand_document(farm, 34.0, 20.0)),
        (CardsDocument, cards_document(farm)),
    ):
        assert set(shown) == {row.path for row in described(kind) if "." not in row.path}
        json.dumps(shown, allow_nan=False)


@pytest.mark.parametrize("path", sorted(SCENARIOS.glob("*.toml")), ids=lambda path: path.stem)
def test_every_farm_has_its_cards_and_each_caution_once(path: Path) -> None:
    shown = cards_document(answer(load(path)))

    assert [shown["cards"][k]["key"] for k in (0, 1, -1)] == ["load", "batch", "buying"]
    for card in shown["cards"]:
        said = [caution["text"] for step in card["steps"] for caution in step["cautions"]]
        assert len(said) == len(set(said))
        assert all(c["basis"] for step in card["steps"] for c in step["cautions"])
        for table in card["tables"]:
            assert all(len(row) == len(table["heads"]) for row in table["rows"])


def test_gasoline_is_warned_of_on_the_cards_of_its_machines_alone(farm: Answer) -> None:
    cards = {card["title"]: card for card in cards_document(farm)["cards"]}

    def text(title: str) -> str:
        return json.dumps(cards[title]["steps"])

    assert "bond and ground" in text("Mix: Utility tractor")
    assert "bond and ground" not in text("Mix: Shop oil heater")
    assert "Carbon monoxide from the burner" in text("Mix: Shop oil heater")
    assert "Carbon monoxide from the burner" not in text("Mix: Utility tractor")


def test_the_buying_card_adds_up_to_the_typical_year(farm: Answer) -> None:
    buying = cards_document(farm)["cards"][-1]
    rows = {row[0]: row[1:] for row in buying["tables"][0]["rows"]}
    filters = [float(cell.strip("$")) for cell in rows["Filters, money"]]

    assert filters[-1] == round(float(farm.expected.typical.costs["filters"]))
    assert sum(filters[:4]) == pytest.approx(filters[-1], abs=2.0)
