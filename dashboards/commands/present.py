"""`drumworth present`: lay a farm before a partner."""

import argparse
from pathlib import Path

from dashboards.commands.arguments import Commands, add_farm
from dashboards.commands.farm import farm_of, today
from dashboards.commands.printing import print_line


def run(arguments: argparse.Namespace) -> int:
    """Work a farm through and write what was asked for."""
    from dashboards.present import present
    from econ.answers.decision import decide

    decision = decide(farm_of(arguments), today=today())
    for path in present(decision, arguments.to, full=arguments.full, force=arguments.force):
        print_line(f"Wrote {path}")
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser(
        "present", help="lay a farm before a partner: one page, workbook, tables"
    )
    add_farm(parser)
    parser.add_argument(
        "--to",
        type=Path,
        required=True,
        metavar="PLACE",
        help="a folder for the whole set, or FILE.html, .pdf, .xlsx or .csv",
    )
    parser.add_argument(
        "--full", action="store_true", help="add all assumptions, months and cautions to the page"
    )
    parser.add_argument("--force", action="store_true", help="replace files that are there")
    parser.set_defaults(run=run)
