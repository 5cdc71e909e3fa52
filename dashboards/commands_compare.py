"""The commands that compare: `thinners` and `oils`."""

import argparse
import json
import sys
from pathlib import Path
from typing import Any


def _json(document: dict[str, Any]) -> int:
    """Write one JSON object on standard output."""
    text = json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False)
    sys.stdout.write(text + "\n")
    return 0


def thinners(arguments: argparse.Namespace) -> int:
    """Compare every thinner of a farm.

    Parameters
    ----------
    arguments : Namespace
        ``file``, ``json`` and ``machine``.

    Returns
    -------
    int
        Exit status.
    """
    from econ.answers.comparison_document import thinners_document
    from econ.farm.files import load

    document = thinners_document(load(arguments.file), arguments.machine)
    if arguments.json:
        return _json(document)
    from dashboards.terminal.layout import console
    from dashboards.terminal.thinners import render

    console().print(render(document))
    return 0


def oils(arguments: argparse.Namespace) -> int:
    """Weigh every oil source of a farm.

    Parameters
    ----------
    arguments : Namespace
        ``file`` and ``json``.

    Returns
    -------
    int
        Exit status.
    """
    from econ.answers.comparison_document import oils_document
    from econ.farm.files import load

    document = oils_document(load(arguments.file))
    if arguments.json:
        return _json(document)
    from dashboards.terminal.layout import console
    from dashboards.terminal.oils import render

    console().print(render(document))
    return 0


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Register both commands.

    Parameters
    ----------
    commands : argparse subparsers
        Of the `drumworth` command.
    """
    which = commands.add_parser("thinners", help="compare thinners, each at the same job")
    which.add_argument("file", type=Path, help="the farm, a TOML file")
    which.add_argument("--json", action="store_true", help="print one JSON object")
    which.add_argument("--machine", metavar="NAME", help="look at one machine only")
    which.set_defaults(run=thinners)

    worth = commands.add_parser("oils", help="say what each oil source is worth")
    worth.add_argument("file", type=Path, help="the farm, a TOML file")
    worth.add_argument("--json", action="store_true", help="print one JSON object")
    worth.set_defaults(run=oils)
