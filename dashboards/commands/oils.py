"""`drumworth oils`: what each oil source is worth."""

import argparse

from dashboards.commands.arguments import Commands, add_all, add_farm, add_json
from dashboards.commands.farm import farm_of
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Weigh every oil source of the farm."""
    from econ.answers.comparison_document import oils_document

    document = oils_document(farm_of(arguments))
    if arguments.json:
        print_json(document)
        return 0
    from dashboards.terminal.oils import render, render_all

    short = not arguments.all
    print_page(render(document, arguments.file.name) if short else render_all(document))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("oils", help="say what each oil source is worth")
    add_farm(parser)
    add_json(parser)
    add_all(parser)
    parser.set_defaults(run=run)
