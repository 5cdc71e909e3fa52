"""What the one page says, without a browser: figures as decided, words that fit the case."""

import re

import pytest
from cut import drawn
from presenting import HOSTILE, changed, demo, hostile, worked

from dashboards.page.markup import plain, safe
from dashboards.page.render import page
from dashboards.terminal import decide
from econ.answers.rows import CLOSING_SHORT
from econ.farm.files import load
from econ.questions.doubts import oil_lost, provenance, stop_rule

# The limit that the page was asked to keep below.
MOST_BYTES = 300_000


def test_a_plan_that_should_not_start_says_so_and_buys_nothing() -> None:
    text = page(demo("stonebark-big"))

    assert "<h1>Do not start.</h1>" in text
    assert "keep buying pump fuel. Buy nothing for this one." in text


def test_a_plan_that_may_start_draws_its_stop_rule_beforehand() -> None:
    decision = demo("tamsel-pumps")
    text = page(decision)
    below = decision.document["ledgers"]["time_free"]["stop_below"]

    assert f"carry on down to {decision.numbers.per_volume(below[0])}" in text
    assert "Stop as well when an insurer or an office says no" in text


def test_every_grave_caution_stands_and_the_closing_line_too() -> None:
    decision = demo("quillmere")
    text = page(decision)

    grave = [c["short"] for c in decision.document["cautions"] if c["severity"] == "grave"]
    assert len(grave) > 3
    assert [words for words in grave if safe(words, 5_000) not in text] == []
    assert safe(CLOSING_SHORT, 5_000) in text


def test_every_caution_stands_whole_on_the_sheets_that_follow() -> None:
    decision = demo("quillmere")
    text = page(decision, full=True)

    wanted = [
        safe(c[key], 5_000) for c in decision.document["cautions"] for key in ("text", "basis")
    ]
    assert [words for words in wanted if words not in text] == []


def test_long_names_do_not_crowd_out_what_a_caution_says() -> None:
    text = page(worked(hostile(load("scenarios/quillmere.toml"), ("W" * 10_000,))))

    assert "its vapour lights from a spark across a yard" in text


@pytest.mark.parametrize("texts", HOSTILE, ids=["mixed", "wide", "emoji"])
def test_hostile_names_become_plain_text_and_a_small_page(texts: tuple[str, ...]) -> None:
    text = page(worked(hostile(load("scenarios/wrenfold.toml"), texts)), full=True)

    assert not re.search(r"<(script|img|a|iframe)\b", text)
    assert "\u202e" not in text
    assert len(text.encode()) < MOST_BYTES


def test_the_page_loads_nothing_and_names_no_address_but_its_drawings_own() -> None:
    text = page(demo("wrenfold"), full=True)

    addresses = set(re.findall(r"https?://[^\s\"'<)]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert "src=" not in text
    assert "url(" not in text
    assert len(text.encode()) < MOST_BYTES


def test_the_same_farm_gives_the_same_bytes() -> None:
    scenario = load("scenarios/wrenfold.toml")

    assert page(worked(scenario), full=True) == page(worked(scenario), full=True)


def test_no_line_breaks_between_a_minus_and_its_figure() -> None:
    """Unicode UAX #14: both signs are of class PR; a word joiner (WJ) forbids the break."""
    said = demo("stonebark-big").paper["year"]

    assert "\u2212$" in said
    assert safe(said).count("\u2212\u2060$") == said.count("\u2212$")
    assert safe("5 \u2212 3") == "5 \u2212 3"


def test_only_what_draws_the_months_says_that_busy_ones_are_marked() -> None:
    decided = demo("quillmere")

    assert "in your busy months (marked)" in page(decided)
    assert "in your busy months" in drawn(decide.render(decided), 2000)
    assert "(marked)" not in drawn(decide.render_all(decided), 2000)


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

    # The cost of stopping comes once, at the end; the wage every year.
    assert weight.by_kind["bill"] > other.by_kind["bill"] > 0.0


def test_losing_the_largest_source_is_the_farm_without_it() -> None:
    base = load("scenarios/wrenfold.toml")
    result = demo("wrenfold").answer
    lost = oil_lost(result.expected)
    index = next(k for k, oil in enumerate(base.oils) if oil.name == "Two-bay garage")
    without = worked(changed(base, {("oils", index, "volume_per_month"): 0.0}))

    assert lost is not None
    assert lost.name == "Two-bay garage"
    assert lost.after_wear == pytest.approx(
        float(without.answer.expected.typical.savings["after_wear"])
    )


def test_the_stop_rule_is_half_of_the_first_six_months_of_oil() -> None:
    result = demo("wrenfold").answer
    rule = stop_rule(result.likely)

    months = result.likely.first_year.months[:6]
    assert rule is not None
    assert rule.oil == pytest.approx(0.5 * sum(float(month.collected) for month in months))
    free = result.likely.ledgers["time_free"].ledger
    assert rule.lost > float(free.kit_cost - free.savings[1] - free.recovered[1])


def test_no_oil_of_others_is_no_loss_of_it() -> None:
    result = demo("stonebark-own-oil").answer

    assert oil_lost(result.likely) is None
