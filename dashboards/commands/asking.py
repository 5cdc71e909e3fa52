"""Twelve questions in the terminal: `drumworth new --ask`."""

import datetime
import sys
from pathlib import Path

from dashboards.commands.printing import print_line
from econ.answers.asked import AskedFarm, Box, advice_so_far, asked_farm, decided
from econ.answers.decision import find_out_next


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


def _choose(box: Box) -> str:
    """Ask for one of few, by its number."""
    for k, (_, words) in enumerate(box.choices, start=1):
        print_line(f"    {k}  {words}")
    while True:
        text = _read(f"  {box.label} [1]: ")
        if not text:
            return ""
        if text.isdecimal() and 1 <= int(text) <= len(box.choices):
            return box.choices[int(text) - 1][0]
        print_line(f"  A number from 1 to {len(box.choices)}, or nothing for the first.")


def _number(box: Box, answers: dict[str, str], day: datetime.date) -> str:
    """Ask for a number until it can be read, or is left empty."""
    while True:
        text = _read(f"  {box.label}, {box.unit} [{box.usual or 'nothing'}]: ")
        fault = asked_farm({**answers, box.key: text}, day).made.faults.get(box.key)
        if not text or fault is None:
            return text
        print_line("  " + fault.replace("the usual value stands in", "try again"))


def _needed(box: Box, answers: dict[str, str]) -> bool:
    """Say whether a box has a use: no fuel of a machine that is not there."""
    steps = box.key.split(".")
    if len(steps) == 3 and steps[0] in ("machine", "giver"):
        return steps[:2] == ["machine", "0"] or bool(answers.get(".".join(steps[:2])))
    return True


def _ask(number: int, answers: dict[str, str], day: datetime.date) -> None:
    """Ask one question and note what was answered."""
    questions = asked_farm(answers, day).questions
    asked = questions[number]
    print_line("")
    print_line(f"{number + 1} of {len(questions)}. {asked.ask}")
    print_line(f"  {asked.help}")
    for place in range(len(asked.boxes)):
        # What is usual, and in which unit, may follow from the box before.
        box = asked_farm(answers, day).questions[number].boxes[place]
        if not _needed(box, answers):
            continue
        text = _choose(box) if box.choices else _number(box, answers, day)
        if text:
            answers[box.key] = text


def ask(path: Path, day: datetime.date) -> AskedFarm:
    """Ask the twelve questions, a decision after each, and what to find out next at the end.

    Parameters
    ----------
    path : Path
        The file to be written, for what is said of it.
    day : date
        To write down for the prices.

    Returns
    -------
    AskedFarm

    Raises
    ------
    StoppedError
        If the input ends before the last question.
    """
    print_line(f"Twelve questions make {path}. Press Enter to take what stands in [brackets].")
    answers: dict[str, str] = {}
    for number in range(len(asked_farm(answers, day).questions)):
        _ask(number, answers, day)
        print_line(f"  So far: {advice_so_far(asked_farm(answers, day))}")
    farm = asked_farm(answers, day)
    decision = decided(farm, path)
    print_line("")
    print_line(f"{decision.first_screen['advice']} {decision.first_screen['year']}")
    rows = find_out_next(decision)
    if rows:
        print_line("What to find out next:")
    for name, moves in rows:
        print_line(f"  {name}: moves the year by {moves}")
    print_line("")
    return farm
