"""`drumworth decide`: work a farm through and advise."""

import argparse

from dashboards.commands.arguments import Commands, add_farm, add_json
from dashboards.commands.farm import farm_of
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Work the farm through, with its chances, and print the decision."""
    from econ.answers.document import to_json
    from econ.answers.outlook import answer_with_chances

    answer, odds = answer_with_chances(farm_of(arguments))
    if arguments.json:
        print_json({**to_json(answer), "chances": odds})
        return 0
    from dashboards.terminal.decide import render

    print_page(render(answer, odds))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("decide", help="work a farm through and advise")
    add_farm(parser)
    add_json(parser)
    parser.set_defaults(run=run)
