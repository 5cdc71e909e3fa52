"""Twelve questions in the terminal: `drumworth new --ask`."""

import datetime
import sys
from pathlib import Path

from dashboards.commands.printing import print_line
from econ.answers.asked import advice_so_far, decided
from econ.answers.decision import find_out_next
from econ.farm.interview import (
    QUESTIONS,
    Blank,
    Interviewed,
    Question,
    interviewed,
    unit_of,
    units_of,
    usual_text,
)


class StoppedError(Exception):
    """The reader ended the questions before the last."""


def _read(prompt: str) -> str:
    """Read one line; the end of the input ends the questions."""
    sys.stdout.write(prompt)
    sys.stdout.flush()
    line = sys.stdin.readline()
    if not line:
        print_line("")
        raise StoppedError
    return line.strip()


def _choose(blank: Blank) -> str:
    """Ask for one of few, by its number."""
    for k, (_, words) in enumerate(blank.choices, start=1):
        print_line(f"    {k}  {words}")
    while True:
        text = _read(f"  {blank.label} [1]: ")
        if not text:
            return ""
        if text.isdecimal() and 1 <= int(text) <= len(blank.choices):
            return blank.choices[int(text) - 1][0]
        print_line(f"  A number from 1 to {len(blank.choices)}, or nothing for the first.")


def _number(blank: Blank, answers: dict[str, str], day: datetime.date) -> str:
    """Ask for a number until it can be read, or is left empty."""
    usual = usual_text(blank, answers) or "nothing"
    unit = unit_of(blank, units_of(answers))
    while True:
        text = _read(f"  {blank.label}, {unit} [{usual}]: ")
        fault = interviewed({**answers, blank.key: text}, day).faults.get(blank.key)
        if not text or fault is None:
            return text
        print_line("  " + fault.replace("the usual value stands in", "try again"))


def _needed(blank: Blank, answers: dict[str, str]) -> bool:
    """Say whether a box has a use: no fuel of a machine that is not there."""
    steps = blank.key.split(".")
    if len(steps) == 3 and steps[0] in ("machine", "giver"):
        return steps[:2] == ["machine", "0"] or bool(answers.get(".".join(steps[:2])))
    return True


def _ask(question: Question, number: int, answers: dict[str, str], day: datetime.date) -> None:
    """Ask one question and note what was answered."""
    print_line("")
    print_line(f"{number} of {len(QUESTIONS)}. {question.ask}")
    print_line(f"  {question.help}")
    for blank in question.blanks:
        if not _needed(blank, answers):
            continue
        text = _choose(blank) if blank.choices else _number(blank, answers, day)
        if text:
            answers[blank.key] = text


def _say(made: Interviewed) -> None:
    """Say what the farm comes to so far, on average values alone."""
    print_line(f"  So far: {advice_so_far(made)}")


def ask(path: Path, day: datetime.date) -> Interviewed:
    """Ask the twelve questions, a decision after each, and what to find out next at the end.

    Parameters
    ----------
    path : Path
        The file to be written, for what is said of it.
    day : date
        To write down for the prices.

    Returns
    -------
    Interviewed

    Raises
    ------
    StoppedError
        If the input ends before the last question.
    """
    print_line(f"Twelve questions make {path}. Press Enter to take what stands in [brackets].")
    answers: dict[str, str] = {}
    for k, question in enumerate(QUESTIONS, start=1):
        _ask(question, k, answers, day)
        _say(interviewed(answers, day))
    made = interviewed(answers, day)
    decision = decided(made, path)
    print_line("")
    print_line(f"{decision.first_screen['advice']} {decision.first_screen['year']}")
    rows = find_out_next(decision)
    if rows:
        print_line("What to find out next:")
    for name, moves in rows:
        print_line(f"  {name}: moves the year by {moves}")
    print_line("")
    return made
