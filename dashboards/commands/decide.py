"""`drumworth decide`: work a farm through and advise."""

import argparse

from dashboards.commands.arguments import Commands, add_all, add_farm, add_json
from dashboards.commands.farm import farm_of, today
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Work the farm through, with its chances, and print the decision."""
    from econ.answers.decision import decide

    decision = decide(farm_of(arguments), today=today())
    if arguments.json:
        print_json(decision.json())
        return 0
    from dashboards.terminal.decide import render, render_all
    from dashboards.terminal.layout import console

    width = console().width
    print_page(render_all(decision) if arguments.all else render(decision, width))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("decide", help="work a farm through and advise")
    add_farm(parser)
    add_json(parser)
    add_all(parser)
    parser.set_defaults(run=run)
