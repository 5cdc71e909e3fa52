"""`drumworth new`: a starter farm to change into one's own."""

import argparse
import datetime
import tomllib
from pathlib import Path

from dashboards.commands.arguments import Commands
from dashboards.commands.printing import print_line


def run(arguments: argparse.Namespace) -> int:
    """Write the starter farm, having read it back."""
    from econ.farm.files import from_document, write_new
    from econ.farm.starter import starter

    text = starter(
        units=arguments.units,
        currency=arguments.currency,
        priced_on=datetime.datetime.now(tz=datetime.UTC).date(),
        name=arguments.file.name,
    )
    from_document(tomllib.loads(text), arguments.file)
    write_new(arguments.file, text)
    print_line(
        f"Wrote {arguments.file}: a small farm with usual values. Change them to yours, then:"
    )
    print_line(f"  drumworth check {arguments.file}")
    print_line(f"  drumworth decide {arguments.file}")
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("new", help="write a starter farm to change into yours")
    parser.add_argument("file", type=Path)
    parser.add_argument("--units", choices=("us", "metric"), default="us")
    parser.add_argument("--currency", default="USD", help="three letters, such as USD or AUD")
    parser.set_defaults(run=run)
