"""The command as a user meets it: exit status, 80 columns, plain pipes, no traceback."""

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from dashboards.command import main
from econ.answers.decision import Decision, decide
from econ.farm.files import load
from econ.farm.schema import Scenario

ROOT = Path(__file__).parents[2]
SCENARIOS = sorted((ROOT / "scenarios").glob("*.toml"))
QUILLMERE = str(ROOT / "scenarios" / "quillmere.toml")


def run(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own, as a shell would."""
    return subprocess.run(  # noqa: S603
        [sys.executable, "-m", "dashboards", *words],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, **environment},
        check=False,
    )


_DECIDED: dict[Path, Decision] = {}


@pytest.fixture
def _decided_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let the command show a demo farm in several ways, and work it through once."""

    def remembered(scenario: Scenario, **words: Any) -> Decision:
        if scenario.path not in _DECIDED:
            _DECIDED[scenario.path] = decide(scenario, **words)
        return _DECIDED[scenario.path]

    monkeypatch.setattr("econ.answers.decision.decide", remembered)


@pytest.mark.usefixtures("_decided_once")
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_decide_fits_eighty_columns_and_says_the_advice_first(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["decide", str(path)]) == 0

    lines = capsys.readouterr().out.splitlines()
    assert max(len(line) for line in lines) <= 80
    # A long title wraps; the advice follows the first blank line.
    advice = lines[[line.strip() for line in lines].index("") + 1]
    assert advice.startswith(("Do not start.", "Start only if", "Try small first.", "Start."))
    assert len(lines) <= 45
    text = "\n".join(lines)
    for words in ("What people quote", "Worth a year, time paid", "Of a hundred ways", "--all"):
        assert words in text


@pytest.mark.usefixtures("_decided_once")
@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_all_of_a_decision_ends_on_the_advice(
    path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["decide", str(path), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert main(["decide", str(path), "--all"]) == 0

    lines = capsys.readouterr().out.splitlines()
    assert max(len(line) for line in lines) <= 80
    text = " ".join(" ".join(lines).split())
    ends = " ".join(document["advice"]["reasons"][-1].split())
    assert text.endswith(ends)
    for caution in document["cautions"]:
        assert " ".join(caution["text"].split()) in text


@pytest.mark.parametrize("words", [["chances"], ["check"]], ids=lambda words: words[0])
def test_other_pages_fit_eighty_columns(
    words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*words, QUILLMERE]) == 0

    lines = capsys.readouterr().out.splitlines()
    assert max(len(line) for line in lines) <= 80


def test_json_is_one_object_with_the_contracts_keys(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["decide", QUILLMERE, "--json"]) == 0

    document = json.loads(capsys.readouterr().out)
    assert {"title", "units", "currency", "fuel", "costs", "rungs", "savings", "first_year",
            "months", "kit_cost", "kit_to_buy", "ledgers", "loan", "machines", "likely",
            "advice", "cautions", "chances", "first_screen",
            "paper"} <= document.keys()  # fmt: skip
    assert len(document["months"]) == 12
    assert document["ledgers"]["time_paid"].keys() == {
        "npv", "irr", "mirr", "sir", "airr", "equivalent_annual", "simple_payback",
        "discounted_payback", "stays_paid", "break_even_fuel_price", "break_even_by_fuel",
        "stop_below", "lost_if_stopped", "flows", "lines",
    }  # fmt: skip
    assert document["cautions"][0].keys() == {
        "key",
        "severity",
        "gravity",
        "short",
        "text",
        "basis",
    }


def test_faults_go_to_standard_error_with_status_two(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("[scenario]\ntitle = 1\n", encoding="utf-8")

    plain = run("decide", str(bad))
    assert (plain.returncode, plain.stdout) == (2, "")
    assert "[scenario] title = 1" in plain.stderr
    assert "Traceback" not in plain.stderr

    assert main(["decide", str(bad), "--json"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    rows = json.loads(told.err)["errors"]
    assert rows[0].keys() == {"file", "where", "value", "message"}


def test_piped_output_is_plain_and_no_color_is_respected(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "\x1b" not in run("decide", QUILLMERE, FORCE_COLOR="").stdout

    # As on a terminal, where there would be colours.
    monkeypatch.setenv("FORCE_COLOR", "1")
    monkeypatch.setenv("NO_COLOR", "1")
    assert main(["decide", QUILLMERE]) == 0
    assert "\x1b[3" not in capsys.readouterr().out


@pytest.mark.parametrize(("units", "currency"), [("us", "USD"), ("metric", "AUD")])
def test_a_new_farm_passes_check_and_is_never_overwritten(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], units: str, currency: str
) -> None:
    path = str(tmp_path / "mine.toml")

    assert main(["new", path, "--units", units, "--currency", currency]) == 0
    assert main(["check", path]) == 0
    assert main(["decide", path]) == 0
    scenario = load(path)
    assert (scenario.scenario.units, scenario.scenario.currency) == (units, currency)
    before = Path(path).read_text(encoding="utf-8")
    assert main(["new", path]) == 2
    assert Path(path).read_text(encoding="utf-8") == before
    assert "is there already" in capsys.readouterr().err


def test_a_currency_that_is_none_writes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"

    assert main(["new", str(path), "--currency", "dollars"]) == 2
    assert not path.exists()


def test_check_tells_every_files_faults(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("a.toml", "b.toml"):
        (tmp_path / name).write_text("[scenario]\n", encoding="utf-8")

    status = main(["check", str(tmp_path / "a.toml"), QUILLMERE, str(tmp_path / "b.toml")])

    told = capsys.readouterr()
    assert status == 2
    assert "a.toml" in told.err
    assert "b.toml" in told.err
    assert "quillmere.toml: nothing is wrong" in told.out.replace("\n", "")


def test_check_says_which_usual_wear_and_defaults_stand_in_and_what_is_odd(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = Path(QUILLMERE).read_text(encoding="utf-8")
    for old, new in (
        ("hours_per_batch = { low = 3.5, likely = 6.0, high = 10.0 }", "hours_per_batch = 0.1"),
        ("wage = { low = 17, likely = 23, high = 34 }", "wage = 2"),
        (
            "upkeep_hours_per_year = { low = 12, likely = 24, high = 50 }",
            "upkeep_hours_per_year = 2",
        ),
    ):
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "odd.toml"
    path.write_text(text, encoding="utf-8")

    assert main(["check", str(path)]) == 0

    told = " ".join(capsys.readouterr().out.split())
    assert "[labour] wage = 2: people commonly see" in told
    assert "hands-on hours for each 100 gal of oil burned" in told
    assert "Taken from usual values: nothing" not in told
    assert "usual rows of inline pump stand in" in told
    assert '[[machines]] "Hay tractor" road_share' in told


def test_fields_lists_every_field_and_refuses_a_table_that_is_none(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["fields"]) == 0
    told = capsys.readouterr().out
    for field in ("viscosity_limit", "hired_share", "supply_correlation", "life_years"):
        assert field in told
    assert max(len(line) for line in told.splitlines()) <= 80
    assert main(["fields", "oil"]) == 2
    assert "did you mean oils?" in capsys.readouterr().err


@pytest.mark.parametrize("draws", ["0", "1000000000000"])
def test_a_number_of_draws_out_of_range_is_refused(
    draws: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["chances", QUILLMERE, "--draws", draws]) == 2
    assert "draws lie between 1 and" in capsys.readouterr().err


# What takes long to import and is for other commands, or for what runs longer.
ELSEWHERE = ("pandas", "plotly", "dash", "scipy", "rich.progress", "tomlkit", "openpyxl",
             "xlsxwriter", "multiprocessing", "numpy.ma", "econ.farm.log_reading",
             "econ.farm.editing", "econ.numbers.surprise")  # fmt: skip


def imported(words: list[str], modules: tuple[str, ...]) -> str:
    """Run a command in a process of its own and list which of some modules it has imported."""
    code = (
        "import sys\nfrom dashboards.command import main\n"
        f"main({words!r})\n"
        f"print([m for m in {modules} if m in sys.modules])"
    )
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True
    )
    return done.stdout.splitlines()[-1]


@pytest.mark.parametrize("command", ["decide", "chances", "thinners", "oils"])
def test_a_command_imports_nothing_that_only_others_need(command: str) -> None:
    assert imported([command, QUILLMERE], ELSEWHERE) == "[]"


def test_a_workbook_is_written_without_the_library_of_tables(tmp_path: Path) -> None:
    words = ["present", QUILLMERE, "--to", str(tmp_path / "farm.xlsx")]

    assert imported(words, ("pandas", "plotly", "dash", "scipy")) == "[]"
