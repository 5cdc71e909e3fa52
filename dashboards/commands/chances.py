"""`drumworth chances`: how sure it is and what would change it."""

import argparse

from dashboards.commands.arguments import Commands, add_all, add_farm, add_json, seed
from dashboards.commands.farm import farm_of
from dashboards.commands.printing import print_json, print_page


def run(arguments: argparse.Namespace) -> int:
    """Draw the farm's guesses and print what the draws say."""
    from dashboards.progress import working
    from econ.answers.outlook import outlook, outlook_json

    scenario = farm_of(arguments)
    draws = scenario.uncertainty.draws if arguments.draws is None else arguments.draws
    with working("drawing", draws) as progress:
        result = outlook(scenario, draws=draws, seed=arguments.seed, progress=progress)
    document = outlook_json(result)
    if arguments.json:
        print_json(dict(document))
        return 0
    from dashboards.terminal.chances import render, render_all

    print_page(render_all(document) if arguments.all else render(document))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("chances", help="say how sure it is and what would change it")
    add_farm(parser)
    parser.add_argument("--draws", type=int, help="how many draws; as the file has it by default")
    parser.add_argument("--seed", type=seed, help="the same seed gives the same draws")
    add_all(parser)
    add_json(parser)
    parser.set_defaults(run=run)
