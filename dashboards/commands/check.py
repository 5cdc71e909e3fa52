"""`drumworth check`: what is wrong, assumed or odd in a farm."""

import argparse
from pathlib import Path

from dashboards.commands.arguments import Commands, add_records
from dashboards.commands.farm import today
from dashboards.commands.printing import print_page
from econ.ground.errors import Problem, ScenarioError


def run(arguments: argparse.Namespace) -> int:
    """Check every file, and refuse those with faults together."""
    from dashboards.terminal.check import render
    from econ.answers.check import check
    from econ.answers.records import load_with_records

    problems: list[Problem] = []
    for path in arguments.files:
        try:
            scenario = load_with_records(path, arguments.records, today())[0]
            sections = check(scenario, today())
        except ScenarioError as error:
            problems.extend(error.problems)
            continue
        print_page(render(scenario.path, sections))
    if problems:
        raise ScenarioError(tuple(problems))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("check", help="say what is wrong, assumed or odd in a farm")
    parser.add_argument("files", type=Path, nargs="+", metavar="file")
    add_records(parser)
    parser.set_defaults(run=run)
