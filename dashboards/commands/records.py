"""`drumworth records`: what a farm's log shows, and what it says of each guess."""

import argparse
from pathlib import Path

from dashboards.commands.arguments import Commands, add_all, add_farm_alone, add_json
from dashboards.commands.farm import today
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Read the farm and its log, and print balances, plan and what happened, what is known."""
    from econ.answers.records import load_with_records
    from econ.answers.records_document import records_document
    from econ.ground.errors import Problem, ScenarioError

    _, records = load_with_records(arguments.file, arguments.log, today())
    if records is None:
        message = "names no log; name one after the farm, or in the farm: [records] log = ..."
        raise ScenarioError((Problem(str(arguments.file), "[records] log", None, message),))
    document = records_document(records)
    if arguments.json:
        print_json(document)
        return 0
    from dashboards.terminal.records import render

    print_page(render(document, everything=arguments.all))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser(
        "records", help="set what was done beside the plan, and learn from it"
    )
    add_farm_alone(parser)
    parser.add_argument(
        "log", type=Path, nargs="?", help="the farm's log, a CSV; as the farm names it by default"
    )
    add_all(parser)
    add_json(parser)
    parser.set_defaults(run=run)
