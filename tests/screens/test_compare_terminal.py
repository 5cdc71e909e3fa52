"""The commands `thinners` and `oils` on every demo farm: width, words, JSON."""

import argparse
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
from cut import amounts, drawn
from rich.console import Console

from dashboards.commands import COMMANDS
from dashboards.terminal import oils, thinners
from dashboards.terminal.layout import LINES, WIDTH
from econ.answers.comparison_document import oils_document, thinners_document
from econ.farm.files import load
from econ.ground.errors import ScenarioError

SCENARIOS = sorted((Path(__file__).parents[2] / "scenarios").glob("*.toml"))
IDS = [path.stem for path in SCENARIOS]


def run(*words: str) -> int:
    parser = argparse.ArgumentParser(prog="drumworth")
    commands = parser.add_subparsers()
    for command in COMMANDS:
        command.add(commands)
    arguments = parser.parse_args(words)
    return int(arguments.run(arguments))


def page_of(renderable: Any) -> str:
    console = Console(width=80, record=True, highlight=False, file=io.StringIO())
    console.print(renderable)
    return console.export_text()


@pytest.fixture(scope="module")
def documents() -> dict[str, tuple[dict[str, Any], dict[str, Any]]]:
    result = {}
    for path in SCENARIOS:
        scenario = load(path)
        result[path.stem] = (thinners_document(scenario), oils_document(scenario))
    return result


def words_of(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_there_are_demo_farms() -> None:
    assert len(SCENARIOS) >= 10


@pytest.mark.parametrize("name", IDS)
def test_both_pages_fit_80_columns_with_nothing_cut(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    for document, renderer in zip(
        documents[name], (thinners.render_all, oils.render_all), strict=True
    ):
        text = page_of(renderer(document))
        assert max(len(line) for line in text.splitlines()) <= 80
        assert "…" not in text
        assert "nan" not in words_of(text).lower().split()
        assert "None" not in text
        assert not re.search(r"\b(legal|illegal)\b|✓|✔", text)


@pytest.mark.parametrize("name", IDS)
def test_both_documents_are_json_without_nan(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    for document in documents[name]:
        assert json.loads(json.dumps(document, allow_nan=False)) == document


@pytest.mark.parametrize("name", IDS)
def test_a_page_ends_with_a_sentence_for_the_farm_and_each_machine(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    document = documents[name][0]
    text = page_of(thinners.render_all(document))
    last = words_of(text.split("Which one, in which machine, until which price")[1])

    for scope in document["scopes"]:
        assert f"{scope['machine'] or 'Whole farm'}: " in last


def test_the_page_says_that_oil_holds_no_third_more_heat(
    documents: dict[str, tuple[dict[str, Any], dict[str, Any]]],
) -> None:
    # 40 CFR 98 table C-1 and AFDC.
    us = words_of(page_of(thinners.render_all(documents["quillmere"][0])))
    metric = words_of(page_of(thinners.render_all(documents["kurrabee-downs"][0])))

    assert "138,000 and 138,000 Btu/gal gross (40 CFR 98, table C-1)" in us
    assert "diesel holds 128,488 (US DOE, AFDC)" in us
    assert "38.5 and 38.5 MJ/L" in metric
    for text in (us, metric):
        assert "differ by a few per cent; a claim of a third more heat has no support" in text


def test_gasoline_shows_no_flash_number_and_a_price_for_doing_without(
    documents: dict[str, tuple[dict[str, Any], dict[str, Any]]],
) -> None:
    document = documents["quillmere"][0]
    text = words_of(page_of(thinners.render_all(document)))

    assert "treat the whole blend as gasoline. Dyed diesel spares you that for $59 a year" in text
    for scope in document["scopes"]:
        for row in scope["rows"]:
            for mix in row["mixes"]:
                if "asoline" in mix["thinner"]:
                    assert all(season["flash"] is None for season in mix["seasons"])


def test_one_machine_only(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        run(
            "thinners", str(SCENARIOS[IDS.index("quillmere")]), "--json", "--machine", "Hay tractor"
        )
        == 0
    )
    document = json.loads(capsys.readouterr().out)

    assert [scope["machine"] for scope in document["scopes"]] == ["Hay tractor"]


def test_both_commands_print(capsys: pytest.CaptureFixture[str]) -> None:
    farm = str(SCENARIOS[IDS.index("stonebark-own-oil")])

    assert run("thinners", farm, "--all") == 0
    assert "until which price" in capsys.readouterr().out
    assert run("oils", farm) == 0
    assert "A drum more at your gate" in capsys.readouterr().out
    assert run("oils", farm, "--json") == 0
    assert json.loads(capsys.readouterr().out)["drum"] == pytest.approx(55.0)


def test_an_unknown_machine_is_an_error_that_names_the_machines() -> None:
    with pytest.raises(ScenarioError, match=r'did you mean Hay tractor.*there are "Tillage'):
        run("thinners", str(SCENARIOS[IDS.index("quillmere")]), "--machine", "Hay tracter")


def test_a_machine_that_takes_no_part_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    assert (
        run(
            "thinners", str(SCENARIOS[IDS.index("kurrabee-downs")]), "--machine", "Farm ute, newest"
        )
        == 0
    )

    text = words_of(capsys.readouterr().out)
    assert "Farm ute, newest stays on pump fuel. Late common rail" in text
    assert "Nothing to compare" in text


def test_a_share_of_one_is_refused_before_any_sum(tmp_path: Path) -> None:
    farm = tmp_path / "farm.toml"
    base = SCENARIOS[IDS.index("quillmere")]
    farm.write_text(
        f'[scenario]\nextends = "{base}"\n[[machines]]\nname = "Hay tractor"\n'
        "thinner_share = 1.0\n",
        encoding="utf-8",
    )

    with pytest.raises(ScenarioError, match=r'"Hay tractor": thinner_share = 1\.0'):
        run("thinners", str(farm))


def test_a_thinner_not_to_be_had_is_said_on_the_page(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    farm = tmp_path / "farm.toml"
    base = SCENARIOS[IDS.index("quillmere")]
    farm.write_text(
        f'[scenario]\nextends = "{base}"\n[[thinners]]\nname = "Bulk kerosene"\n'
        "available_per_month = 0\n",
        encoding="utf-8",
    )

    assert run("thinners", str(farm), "--machine", "Tillage tractor") == 0
    text = words_of(capsys.readouterr().out)
    assert "Bulk kerosene: none to be had (available_per_month = 0)" in text


NO_BLEND_PAYS = ("leave it on pump fuel", "no thinner makes the plan pay")


@pytest.mark.parametrize("name", IDS)
def test_what_a_page_says_of_a_thinner_and_what_the_terminal_says_decide_alike(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    for scope in documents[name][0]["scopes"]:
        if not scope["oil_reaches_it"] or scope["finding"] == "None can be put forward.":
            continue
        says_no = any(words in scope["sentence"] for words in NO_BLEND_PAYS)
        assert ("no thinner makes" in scope["finding"]) == says_no, scope["sentence"]


def test_some_demo_farms_pay_and_some_do_not(
    documents: dict[str, tuple[dict[str, Any], dict[str, Any]]],
) -> None:
    findings = [s["finding"] for thin, _ in documents.values() for s in thin["scopes"]]

    assert any("keeps most" in finding for finding in findings)
    assert any("no thinner makes" in finding for finding in findings)


@pytest.mark.parametrize("name", IDS)
def test_one_screen_decides_and_all_has_every_amount_and_caution(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    commands = {"thinners": thinners, "oils": oils}
    for (command, module), document in zip(commands.items(), documents[name], strict=True):
        screen, everything = module.render(document, f"{name}.toml"), module.render_all(document)
        lines = drawn(screen, WIDTH).rstrip("\n").split("\n")
        assert len(lines) <= LINES, (command, len(lines))
        assert max(map(len, lines)) <= WIDTH

        short, long = drawn(screen, 2000), drawn(everything, 2000)
        assert f"drumworth {command} {name}.toml --all" in short
        assert all(caution["short"] in short for caution in document["cautions"][:2])
        told = "\n".join(line for line in short.split("\n") if "cautions and the rest" not in line)
        assert not set(amounts(told)) - set(amounts(long)), command
        for caution in document["cautions"]:
            assert caution["text"] in long
            assert caution["basis"] in long


@pytest.mark.parametrize("name", IDS)
def test_all_of_it_has_every_note_and_ends_on_what_to_do(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    thinning, sources = documents[name]
    text = drawn(thinners.render_all(thinning), 4000)
    for scope in thinning["scopes"]:
        assert scope["sentence"] in text
        for row in scope["rows"]:
            assert all(note in text for note in row["notes"])
            for mix in row["mixes"]:
                assert all(concern in text for concern in mix["concerns"])
                assert mix["rule_text"] in text
    assert text.rstrip().endswith(thinning["scopes"][-1]["sentence"])

    text = drawn(oils.render_all(sources), 4000)
    assert text.rstrip().endswith(sources["verdict"][-1])
    assert all(source["name"] in text for source in sources["sources"])


@pytest.mark.parametrize("name", IDS)
def test_no_plan_is_in_every_ranking_and_what_loses_never_keeps_most(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    scopes = documents[name][0]["scopes"]
    for scope in scopes:
        rows = scope["ranking"]
        assert [row["kept"] for row in rows if row["name"] == "No plan"] == [0.0]
        made = [row["kept"] for row in rows if row["kind"] in ("offer", "now")]
        if max(made) < 0.0:
            assert "keeps most" not in scope["finding"], scope["machine"]
    reached = sum(scope["oil_reaches_it"] for scope in scopes)
    assert drawn(thinners.render_all(documents[name][0]), 400).count("No plan") >= reached


@pytest.mark.parametrize("name", IDS)
def test_the_lead_is_what_the_ranking_says(
    name: str, documents: dict[str, tuple[dict[str, Any], dict[str, Any]]]
) -> None:
    for scope in documents[name][0]["scopes"]:
        lead, kept = scope["lead"], {row["name"]: row["kept"] for row in scope["ranking"]}
        if lead is None:
            continue
        assert lead["ahead"] == pytest.approx(kept[lead["first"]] - kept[lead["second"]])
        assert lead["ahead"] >= 0.0
        for price in (lead["up_to"], lead["down_to"]):
            assert price is None or f"{price:.2f}" in scope["sentence"]


@pytest.mark.parametrize("command", ["thinners", "oils"])
def test_the_commands_print_the_screen_and_with_all_the_rest(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    farm = str(SCENARIOS[IDS.index("hollowmere")])
    assert run(command, farm) == 0
    short = capsys.readouterr().out
    assert run(command, farm, "--all") == 0
    long = capsys.readouterr().out

    assert len(short.splitlines()) <= LINES < len(long.splitlines())
    assert "Basis:" in long
    assert "Basis:" not in short
