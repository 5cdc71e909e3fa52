"""What `econ` exports, and that a bare import waits for nothing."""

import subprocess
import sys

import pytest

import econ


def test_every_public_name_is_there_and_none_other() -> None:
    assert set(econ.__all__) == {
        "DrumworthError",
        "Inputs",
        "Outcome",
        "Scenario",
        "ScenarioError",
        "answer",
        "document",
        "evaluate",
        "load",
        "prepare",
    }
    assert dir(econ) == sorted(econ.__all__)
    for name in econ.__all__:
        assert getattr(econ, name).__name__ == name


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(AttributeError, match="nothing_like_it"):
        econ.nothing_like_it  # noqa: B018


def test_a_farm_is_decided_by_public_names_alone() -> None:
    answer = econ.answer(econ.load("scenarios/wrenfold.toml"))

    assert econ.document(answer.scenario)["advice"]["key"] == answer.advice.key


def test_importing_the_package_loads_no_numbers() -> None:
    code = "import sys, econ; print('numpy' in sys.modules, 'pydantic' in sys.modules)"
    run = subprocess.run(  # noqa: S603 - our own interpreter
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )

    assert run.stdout.split() == ["False", "False"]
