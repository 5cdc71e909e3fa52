"""Arguments that several commands take, each declared once."""

import argparse
from pathlib import Path
from typing import TypeAlias

Commands: TypeAlias = "argparse._SubParsersAction[argparse.ArgumentParser]"


def add_farm_alone(parser: argparse.ArgumentParser) -> None:
    """Add the farm file, as it was guessed."""
    parser.add_argument("file", type=Path, help="the farm, a TOML file")


def add_farm(parser: argparse.ArgumentParser) -> None:
    """Add the farm file and the log that may be taken with it."""
    add_farm_alone(parser)
    add_records(parser)


def add_records(parser: argparse.ArgumentParser) -> None:
    """Add the log that may be taken with a farm."""
    parser.add_argument(
        "--records",
        type=Path,
        metavar="LOG",
        help="take what this log says of each guess; the log that the farm names by default",
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add `--json`."""
    parser.add_argument("--json", action="store_true", help="print one JSON object")


def add_all(parser: argparse.ArgumentParser) -> None:
    """Add `--all`: everything, not the one screen."""
    parser.add_argument("--all", action="store_true", help="print all there is, not one screen")


def seed(text: str) -> int:
    """Read a seed: a whole number from 0."""
    if not text.isdecimal():
        message = f"{text!r}: a seed is a whole number from 0"
        raise argparse.ArgumentTypeError(message)
    return int(text)


def port(text: str) -> int:
    """Read a port: 0 for a free one."""
    if not text.isdecimal() or int(text) > 65535:
        message = f"{text!r}: a port is a whole number from 0 to 65535"
        raise argparse.ArgumentTypeError(message)
    return int(text)
