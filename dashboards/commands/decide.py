"""`drumworth decide`: work a farm through and advise, or every farm of a folder."""

import argparse

from dashboards.commands.arguments import Commands, add_all, add_farm, add_json
from dashboards.commands.farm import farm_of, today
from dashboards.commands.printing import print_json, print_line, print_page
from econ.ground.errors import Problem, ScenarioError


def run(arguments: argparse.Namespace) -> int:
    """Work the farm through, with its chances, and print the decision."""
    if arguments.file.is_dir():
        return _folder(arguments)
    from econ.answers.decision import decide

    if arguments.csv:
        message = "one farm is no table; name a folder, or take the files of drumworth present"
        raise ScenarioError((Problem(str(arguments.file), "--csv", None, message),))
    if arguments.cluster is not None:
        message = "one farm needs no cluster; name a folder"
        raise ScenarioError((Problem(str(arguments.file), "--cluster", None, message),))
    decision = decide(farm_of(arguments), today=today())
    if arguments.json:
        print_json(decision.json())
        return 0
    from dashboards.terminal.decide import render, render_all

    print_page(render_all(decision) if arguments.all else render(decision))
    return 0


def _folder(arguments: argparse.Namespace) -> int:
    """Decide every farm of a folder; the exit status says whether any was refused."""
    from dashboards.progress import working
    from econ.answers.folder import folder_document

    with working("farms") as tell:
        document = folder_document(arguments.file, tell, cluster=arguments.cluster)
    if arguments.json:
        print_json(document)
    elif arguments.csv:
        import pandas as pd

        from dashboards.csv_tables import csv_text

        rows = [{**row, "faults": "; ".join(row["faults"])} for row in document["farms"]]
        for line in csv_text(pd.DataFrame(rows)).splitlines():
            print_line(line)
    else:
        from dashboards.terminal.folder import render

        print_page(render(document))
    return 2 if document["refused"] else 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("decide", help="work a farm through and advise")
    add_farm(parser)
    add_json(parser)
    add_all(parser)
    parser.add_argument(
        "--csv", action="store_true", help="for a folder: print a table, a row a farm"
    )
    parser.add_argument(
        "--cluster",
        metavar="ADDRESS",
        help="for a folder: work on Dask, `local` or a scheduler's address (extra `many`)",
    )
    parser.set_defaults(run=run)
