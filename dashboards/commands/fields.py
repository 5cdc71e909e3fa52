"""`drumworth fields`: every field a farm file may have."""

import argparse

from dashboards.commands.arguments import Commands
from dashboards.commands.printing import print_page


def run(arguments: argparse.Namespace) -> int:
    """List the fields of all tables, or of one."""
    from dashboards.terminal.fields import render

    print_page(render(arguments.table, arguments.units))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("fields", help="list every field a farm file may have")
    parser.add_argument("table", nargs="?", help="one table, such as machines")
    parser.add_argument("--units", choices=("us", "metric"), default="us")
    parser.set_defaults(run=run)
