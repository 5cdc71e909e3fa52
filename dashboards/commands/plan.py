"""`drumworth plan`: search for the best plan of a farm."""

import argparse
from pathlib import Path

from dashboards.commands.arguments import Commands, add_all, add_farm, add_json
from dashboards.commands.farm import farm_of, today
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Search, write the best plan where that is asked for, and print the answer."""
    from dashboards.progress import working
    from econ.answers.plan import which_plan_document, write_best
    from econ.answers.records import load_with_records, log_of

    scenario = farm_of(arguments)
    with working("plans") as tell:
        document, result = which_plan_document(scenario, f"time_{arguments.time}", tell)
    if arguments.to is not None:
        log = log_of(scenario, arguments.records)
        document = write_best(
            result, document, arguments.to, lambda path: load_with_records(path, log, today())[0]
        )
    if arguments.json:
        print_json(document)
        return 0
    from dashboards.terminal.plan import render

    print_page(render(document, everything=arguments.all))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("plan", help="search for the best plan: sources, machines, kit")
    add_farm(parser)
    add_json(parser)
    add_all(parser)
    parser.add_argument(
        "--time", choices=("paid", "free"), default="paid", help="whether your time is paid for"
    )
    parser.add_argument("--to", type=Path, metavar="FILE", help="write the best plan as a farm")
    parser.set_defaults(run=run)
