"""What the one page says, without a browser: figures as decided, words that fit the case."""

import re

import pytest
from presenting import HOSTILE, changed, demo, hostile, worked

from dashboards.page.markup import plain
from dashboards.page.render import page
from econ.advice.cautions import CLOSING
from econ.farm.files import load
from econ.questions.partner import oil_lost, provenance, stop_rule

# The limit that the page was asked to keep below.
MOST_BYTES = 300_000


def test_a_plan_that_should_not_start_says_so_and_draws_no_stop_rule() -> None:
    text = page(*demo("stonebark-big"))

    assert "<strong>Do not start.</strong>" in text
    assert "keep buying pump fuel" in text
    assert "Buy nothing for this plan" in text
    assert "What it would ask of us" in text


def test_a_plan_that_may_start_draws_its_stop_rule_beforehand() -> None:
    text = page(*demo("tamsel-pumps"))

    assert "<strong>Start.</strong>" in text
    assert "agreed before buying" in text


def test_lines_about_chances_are_left_out_without_draws() -> None:
    found, chances = demo("wrenfold")

    for words in ("In 100 farms like this", "Worst year in twenty", "1 in 20 below", "nine in ten"):
        assert words in page(found, chances)
        assert words not in page(found)


def test_the_two_gravest_cautions_stand_whole_and_every_grave_one_in_a_line() -> None:
    from dashboards.page.facts import gather
    from dashboards.page.markup import safe

    found, chances = demo("quillmere")
    text = page(found, chances)

    grave = [c for c in gather(found, chances).cautions if c.severity == "grave"]
    assert len(grave) > 3
    said = [c.text for c in grave[:2]] + [c.brief for c in grave[2:]]
    assert [words for words in said if safe(words, 5_000) not in text] == []
    assert safe(CLOSING, 5_000) in text


def test_long_names_do_not_crowd_out_what_a_caution_says() -> None:
    found, chances = worked(hostile(load("scenarios/quillmere.toml"), ("W" * 10_000,)))

    text = page(found, chances)

    assert "its vapour lights from a spark across a yard" in text


@pytest.mark.parametrize("texts", HOSTILE, ids=["mixed", "wide", "emoji"])
def test_hostile_names_become_plain_text_and_a_small_page(texts: tuple[str, ...]) -> None:
    text = page(*worked(hostile(load("scenarios/wrenfold.toml"), texts)), full=True)

    assert not re.search(r"<(script|img|a|iframe)\b", text)
    assert "\u202e" not in text
    assert len(text.encode()) < MOST_BYTES


def test_the_page_loads_nothing_and_names_no_address_but_its_drawings_own() -> None:
    text = page(*demo("wrenfold"), full=True)

    addresses = set(re.findall(r"https?://[^\s\"'<)]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert "src=" not in text
    assert "url(" not in text
    assert len(text.encode()) < MOST_BYTES


def test_the_same_farm_gives_the_same_bytes() -> None:
    scenario = load("scenarios/wrenfold.toml")

    assert page(*worked(scenario), full=True) == page(*worked(scenario), full=True)


def test_text_is_cut_by_how_wide_it_prints() -> None:
    assert plain("ordinary name", 20) == "ordinary name"
    assert plain("W" * 30, 20) == "W" * 9 + "…"
    assert plain("a\u0000b\nc\u202ed", 20) == "a b c d"


def test_the_share_of_guesses_falls_as_sources_are_named() -> None:
    base = load("scenarios/tamsel-pumps.toml")
    nothing = provenance(changed(base, {("scenario", "sources"): {}}))
    price = provenance(changed(base, {("scenario", "sources"): {"prices.farm_diesel": "bill"}}))
    guess = provenance(changed(base, {("scenario", "sources"): {"prices.farm_diesel": "guess"}}))

    assert nothing.guessed == pytest.approx(1.0)
    assert price.guessed == pytest.approx(1.0 - price.by_kind["bill"])
    assert 0.0 < price.by_kind["bill"] < 1.0
    assert guess.guessed == pytest.approx(1.0)
    assert sum(price.by_kind.values()) == pytest.approx(1.0)


def test_a_numbers_weight_is_what_a_tenth_less_of_it_does() -> None:
    base = load("scenarios/tamsel-pumps.toml")
    weight = provenance(changed(base, {("scenario", "sources"): {"labour.wage": "bill"}}))
    other = provenance(changed(base, {("scenario", "sources"): {"finance.exit_cost": "bill"}}))

    # The cost of stopping is no part of a typical year.
    assert weight.by_kind["bill"] > 0.0
    assert other.by_kind["bill"] == 0.0


def test_losing_the_largest_source_is_the_farm_without_it() -> None:
    base = load("scenarios/wrenfold.toml")
    found, _ = demo("wrenfold")
    lost = oil_lost(found.likely)
    index = next(k for k, oil in enumerate(base.oils) if oil.name == "Two-bay garage")
    without, _ = worked(changed(base, {("oils", index, "volume_per_month"): 0.0}))

    assert lost is not None
    assert lost.name == "Two-bay garage"
    assert lost.after_wear == pytest.approx(float(without.likely.typical.savings["after_wear"]))


def test_the_stop_rule_is_half_of_the_first_six_months_of_oil() -> None:
    found, _ = demo("wrenfold")
    rule = stop_rule(found.likely)

    months = found.likely.first_year.months[:6]
    assert rule is not None
    assert rule.oil == pytest.approx(0.5 * sum(float(month.collected) for month in months))
    free = found.likely.ledgers["time_free"].ledger
    assert rule.lost > float(free.kit_cost - free.savings[1] - free.recovered[1])


def test_no_oil_of_others_is_no_loss_of_it() -> None:
    found, _ = demo("stonebark-own-oil")

    assert oil_lost(found.likely) is None
