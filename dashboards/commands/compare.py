"""`drumworth compare`: set plans side by side."""

import argparse
from pathlib import Path

from dashboards.commands.arguments import Commands, add_json, add_records
from dashboards.commands.farm import today
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Set the plans side by side and print what differs, what it brings and how sure that is."""
    from dashboards.progress import working
    from econ.answers.compare import compare_document
    from econ.answers.records import load_with_records

    files: list[Path] = [arguments.first, *arguments.others]
    against = 0
    if arguments.against is not None:
        if arguments.against not in files:
            files.append(arguments.against)
        against = files.index(arguments.against)
    scenarios = [load_with_records(file, arguments.records, today())[0] for file in files]
    with working("drawing") as tell:
        document = compare_document(scenarios, against, tell)
    if arguments.json:
        print_json(document)
        return 0
    from dashboards.terminal.compare import render

    print_page(render(document))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("compare", help="set plans side by side")
    parser.add_argument("first", type=Path, metavar="FILE", help="a farm, a TOML file")
    parser.add_argument("others", type=Path, metavar="FILE", nargs="+", help="others beside it")
    parser.add_argument(
        "--against",
        type=Path,
        metavar="FILE",
        help="set all others against this one, not the first",
    )
    add_records(parser)
    add_json(parser)
    parser.set_defaults(run=run)
