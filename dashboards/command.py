"""The `drumworth` command: reads arguments, calls, prints, sets the exit status."""

import argparse
import datetime
import json
import os
import sys
import tomllib
from collections.abc import Sequence
from pathlib import Path

from dashboards import commands_compare, present
from dashboards.progress import drawing
from dashboards.web import serve
from econ.ground.errors import DrumworthError, Problem, ScenarioError


def _decide(arguments: argparse.Namespace) -> int:
    from econ.answers.document import to_json
    from econ.answers.outlook import answer_with_chances
    from econ.farm.files import load

    found, odds = answer_with_chances(load(arguments.file))
    if arguments.json:
        _print_json({**to_json(found), "chances": odds})
        return 0
    from dashboards.terminal.decide import render
    from dashboards.terminal.layout import console

    console().print(render(found, odds))
    return 0


def _chances(arguments: argparse.Namespace) -> int:
    from econ.answers.outlook import outlook, outlook_json
    from econ.farm.files import load
    from econ.farm.prepare import prepare
    from econ.model.evaluate import evaluate

    scenario = load(arguments.file)
    likely = evaluate(prepare(scenario))
    draws = scenario.uncertainty.draws if arguments.draws is None else arguments.draws
    with drawing(draws) as progress:
        found = outlook(scenario, likely, draws=draws, seed=arguments.seed, progress=progress)
    document = outlook_json(found)
    if arguments.json:
        _print_json(document)
        return 0
    from dashboards.terminal.chances import render
    from dashboards.terminal.layout import console

    console().print(render(document))
    return 0


def _print_json(document: dict[str, object]) -> None:
    print(json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False))


def _check(arguments: argparse.Namespace) -> int:
    from dashboards.terminal.check import render
    from dashboards.terminal.layout import console
    from econ.farm.files import load
    from econ.farm.prepare import settle

    screen = console()
    problems: list[Problem] = []
    for path in arguments.files:
        try:
            scenario = load(path)
            settle(scenario)
        except ScenarioError as error:
            problems.extend(error.problems)
            continue
        screen.print(render(scenario))
    if problems:
        raise ScenarioError(tuple(problems))
    return 0


def _new(arguments: argparse.Namespace) -> int:
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
    print(f"Wrote {arguments.file}: a small farm with usual values. Change them to yours, then:")
    print(f"  drumworth check {arguments.file}")
    print(f"  drumworth decide {arguments.file}")
    return 0


def _fields(arguments: argparse.Namespace) -> int:
    from dashboards.terminal.fields import render
    from dashboards.terminal.layout import console

    console().print(render(arguments.table, arguments.units))
    return 0


def _seed(text: str) -> int:
    """Read a seed: a whole number from 0."""
    if not text.isdecimal():
        message = f"{text!r}: a seed is a whole number from 0"
        raise argparse.ArgumentTypeError(message)
    return int(text)


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="drumworth",
        description="What a gallon of home-made fuel from used oil really costs, and whether to"
        " start.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    decide = commands.add_parser("decide", help="work a farm through and advise")
    decide.add_argument("file", type=Path, help="the farm, a TOML file")
    decide.add_argument("--json", action="store_true", help="print one JSON object")
    decide.set_defaults(run=_decide)

    odds = commands.add_parser("chances", help="say how sure it is and what would change it")
    odds.add_argument("file", type=Path, help="the farm, a TOML file")
    odds.add_argument("--draws", type=int, help="how many draws; as the file has it by default")
    odds.add_argument("--seed", type=_seed, help="the same seed gives the same draws")
    odds.add_argument("--json", action="store_true", help="print one JSON object")
    odds.set_defaults(run=_chances)

    commands_compare.add(commands)
    present.add(commands)
    serve.add(commands)

    check = commands.add_parser("check", help="say what is wrong, assumed or odd in a farm")
    check.add_argument("files", type=Path, nargs="+", metavar="file")
    check.set_defaults(run=_check)

    new = commands.add_parser("new", help="write a starter farm to change into yours")
    new.add_argument("file", type=Path)
    new.add_argument("--units", choices=("us", "metric"), default="us")
    new.add_argument("--currency", default="USD", help="three letters, such as USD or AUD")
    new.set_defaults(run=_new)

    fields = commands.add_parser("fields", help="list every field a farm file may have")
    fields.add_argument("table", nargs="?", help="one table, such as machines")
    fields.add_argument("--units", choices=("us", "metric"), default="us")
    fields.set_defaults(run=_fields)
    return parser


def _report(error: DrumworthError, *, as_json: bool) -> None:
    """Print what is wrong on standard error."""
    if as_json and isinstance(error, ScenarioError):
        rows = [
            {"file": p.file, "where": p.where, "value": p.value, "message": p.message}
            for p in error.problems
        ]
        print(json.dumps({"errors": rows}, indent=2, ensure_ascii=False), file=sys.stderr)
        return
    print(error, file=sys.stderr)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command.

    Parameters
    ----------
    arguments : sequence of str, optional
        Words after the command's name; those of the process by default.

    Returns
    -------
    int
        Exit status: 0 done, 2 refused.
    """
    parsed = _parser().parse_args(arguments)
    try:
        return int(parsed.run(parsed))
    except DrumworthError as error:
        _report(error, as_json=getattr(parsed, "json", False))
        return 2
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # Whoever reads the output has enough; leave nothing to flush into the closed pipe.
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115, PTH123
        return 0
