"""`drumworth keys`: every key of the JSON that the commands print."""

import argparse

from dashboards.commands.arguments import Commands, add_json
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """List the keys of all commands, or of one."""
    from dashboards.terminal.keys import render
    from econ.answers.result_keys import rows_of

    if arguments.json:
        print_json(rows_of(arguments.of, arguments.units))
    else:
        print_page(render(arguments.of, arguments.units))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("keys", help="list every key of the JSON that commands print")
    parser.add_argument("of", nargs="?", metavar="COMMAND", help="one command, such as decide")
    parser.add_argument("--units", choices=("us", "metric"), default="us")
    add_json(parser)
    parser.set_defaults(run=run)
