"""`drumworth cards`: what hangs in the shed, and the mix for the oil at hand."""

import argparse
import re
from pathlib import Path

from dashboards.commands.arguments import Commands, add_farm, add_json
from dashboards.commands.farm import farm_of
from dashboards.commands.printing import print_json, print_line, print_page

_TEMPERATURE = re.compile(r"^([+-]?\d+(?:\.\d+)?)\s*°?\s*([FfCc])$")


def _celsius(text: str) -> float:
    """Read a temperature with its unit, such as 68F or 20C."""
    from econ.ground.units import to_canonical

    match = _TEMPERATURE.match(text.strip())
    if match is None:
        message = f"{text!r}: a temperature with its unit, such as 68F or 20C"
        raise argparse.ArgumentTypeError(message)
    value = float(match[1])
    units = "us" if match[2] in "Ff" else "metric"
    return float(to_canonical(value, "temperature", units))


def run(arguments: argparse.Namespace) -> int:
    """Write the cards, or say the mix for one measured oil."""
    from econ.answers.cards_document import cards_document
    from econ.answers.document import answer
    from econ.answers.hand_document import hand_document
    from econ.ground.errors import DrumworthError

    measured = arguments.viscosity is not None
    if measured != (arguments.at is not None):
        message = "--viscosity and --at go together: what the cup showed, and how warm the oil was"
        raise DrumworthError(message)
    if not measured and arguments.to is None and not arguments.json:
        message = "name a page: --to FILE.html or FILE.pdf; or --viscosity and --at for one mix"
        raise DrumworthError(message)
    result = answer(farm_of(arguments))
    if arguments.to is not None:
        from dashboards.cards import write_cards

        write_cards(cards_document(result), arguments.to, force=arguments.force)
        print_line(f"Wrote {arguments.to}")
    if not measured:
        if arguments.json:
            print_json(cards_document(result))
        return 0
    document = hand_document(result, arguments.viscosity, arguments.at, arguments.oil)
    if arguments.json:
        print_json(document)
        return 0
    from dashboards.terminal.cards import render

    print_page(render(document))
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser(
        "cards", help="print cards for the shed, or mix for the oil at hand"
    )
    add_farm(parser)
    parser.add_argument("--to", type=Path, metavar="PAGE", help="FILE.html or FILE.pdf")
    parser.add_argument("--force", action="store_true", help="replace a file that is there")
    parser.add_argument("--viscosity", type=float, metavar="CST", help="what the cup showed")
    parser.add_argument("--at", type=_celsius, metavar="TEMP", help="how warm it was: 68F or 20C")
    parser.add_argument("--oil", metavar="NAME", help="the source it is from; the largest if left")
    add_json(parser)
    parser.set_defaults(run=run)
