"""`drumworth new`: a starter farm to change into one's own, or one made from twelve questions."""

import argparse
import datetime
import tomllib
from pathlib import Path

from dashboards.commands.arguments import Commands
from dashboards.commands.printing import print_line
from econ.ground.wording import visible


def run(arguments: argparse.Namespace) -> int:
    """Write the farm, having read it back."""
    today = datetime.datetime.now(tz=datetime.UTC).date()
    if arguments.demo is not None:
        return _copied(arguments)
    return _asked(arguments, today) if arguments.ask else _started(arguments, today)


def _copied(arguments: argparse.Namespace) -> int:
    from dashboards.output import refuse_existing, write_all
    from econ.farm.demos import demo_copy

    files = demo_copy(arguments.demo, arguments.file)
    refuse_existing(list(files), force=False)
    write_all(files, force=False)
    for beside in list(files)[1:]:
        print_line(f"Wrote {beside}: what the farm extends")
    _tell(arguments.file, "an invented farm to look at. Then:")
    return 0


def _started(arguments: argparse.Namespace, today: datetime.date) -> int:
    from econ.farm.files import from_document, write_new
    from econ.farm.starter import starter

    text = starter(
        units=arguments.units,
        currency=arguments.currency,
        priced_on=today,
        name=visible(arguments.file.name),
    )
    from_document(tomllib.loads(text), arguments.file)
    write_new(arguments.file, text)
    _tell(arguments.file, "a small farm with usual values. Change them to yours, then:")
    return 0


def _asked(arguments: argparse.Namespace, today: datetime.date) -> int:
    from dashboards.commands.asking import StoppedError, ask
    from econ.farm.files import write_new
    from econ.ground.errors import Problem, ScenarioError

    if arguments.file.exists():
        problem = Problem(str(arguments.file), "", None, "is there already; nothing was asked")
        raise ScenarioError((problem,))
    try:
        text = ask(arguments.file, today).made.text
    except StoppedError:
        print_line("The questions ended before the last; nothing was written.")
        return 1
    write_new(arguments.file, text)
    _tell(arguments.file, "your answers, and usual values marked as such. Then:")
    return 0


def _tell(path: Path, what: str) -> None:
    print_line(f"Wrote {path}: {what}")
    print_line(f"  drumworth check {path}")
    print_line(f"  drumworth decide {path}")


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("new", help="write a starter farm to change into yours")
    parser.add_argument("file", type=Path)
    parser.add_argument("--ask", action="store_true", help="make it from twelve questions")
    parser.add_argument(
        "--from", dest="demo", metavar="NAME", help="copy a demo farm, such as quillmere"
    )
    parser.add_argument("--units", choices=("us", "metric"), default="us")
    parser.add_argument("--currency", default="USD", help="three letters, such as USD or AUD")
    parser.set_defaults(run=run)
