"""The `drumworth` command: reads arguments, calls, prints, sets the exit status."""

import argparse
import json
import sys
from collections.abc import Sequence

from dashboards.commands import COMMANDS
from dashboards.streams import drop_output, flush_output, open_streams, output
from econ.ground.errors import DrumworthError, ScenarioError
from econ.ground.wording import visible


def _parser(first: str) -> argparse.ArgumentParser:
    """Make the parser of the command named by the first word, or of all where none is."""
    parser = argparse.ArgumentParser(
        prog="drumworth",
        description="What a gallon of home-made fuel from used oil really costs, and whether to"
        " start.",
    )
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")
    named = [command for command in COMMANDS if command.__name__.endswith(f".{first}")]
    for command in named or COMMANDS:
        command.add(commands)
    return parser


def _report(error: DrumworthError, *, as_json: bool) -> None:
    """Print what is wrong on standard error."""
    if as_json and isinstance(error, ScenarioError):
        rows = [
            {"file": p.file, "where": p.where, "value": p.value, "message": p.message}
            for p in error.problems
        ]
        print(json.dumps({"errors": rows}, indent=2), file=sys.stderr)
        return
    print(visible(str(error), lines=True), file=sys.stderr)


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
    open_streams()
    words = sys.argv[1:] if arguments is None else arguments
    parsed = _parser(words[0] if words else "").parse_args(words)
    if output() is None:
        print("standard output is closed: nothing was done", file=sys.stderr)
        return 2
    try:
        status = int(parsed.run(parsed))
        flush_output()
    except DrumworthError as error:
        _report(error, as_json=getattr(parsed, "json", False))
        return 2
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # Whoever reads the output has enough; leave nothing to flush into the closed pipe.
        drop_output()
        return 0
    except OSError as error:
        drop_output()
        what = "standard output" if error.filename is None else visible(str(error.filename))
        print(f"{what}: {error.strerror or error}", file=sys.stderr)
        return 2
    return status
