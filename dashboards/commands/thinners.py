"""`drumworth thinners`: compare thinners, each at the same job."""

import argparse

from dashboards.commands.arguments import Commands, add_all, add_farm, add_json
from dashboards.commands.farm import farm_of
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Compare every thinner of the farm."""
    from econ.answers.comparison_document import thinners_document

    document = thinners_document(farm_of(arguments), arguments.machine)
    if arguments.json:
        print_json(document)
        return 0
    from dashboards.terminal.thinners import render, render_all

    short = not arguments.all
    print_page(render(document, arguments.file.name) if short else render_all(document))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("thinners", help="compare thinners, each at the same job")
    add_farm(parser)
    add_json(parser)
    add_all(parser)
    parser.add_argument("--machine", metavar="NAME", help="look at one machine only")
    parser.set_defaults(run=run)
