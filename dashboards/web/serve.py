"""The `drumworth dashboard` command: serves the pages to this machine alone."""

import argparse
import threading
from pathlib import Path
from typing import Any

from econ.ground.errors import Problem, ScenarioError


def _refuse(path: Path, message: str) -> ScenarioError:
    return ScenarioError((Problem(str(path), "", None, message),))


def _port(text: str) -> int:
    """Read a port: 0 for a free one."""
    if not text.isdecimal() or int(text) > 65535:
        message = f"{text!r}: a port is a whole number from 0 to 65535"
        raise argparse.ArgumentTypeError(message)
    return int(text)


def add(commands: Any) -> None:
    """Add the subcommand to the command's subparsers."""
    parser = commands.add_parser("dashboard", help="decide, compare and edit farms in a browser")
    parser.add_argument(
        "place", type=Path, nargs="?", default=Path(), metavar="FILE|FOLDER",
        help="a farm, or a folder of farms; this folder by default",
    )  # fmt: skip
    parser.add_argument("--port", type=_port, default=0, help="0, the default: a free one")
    parser.add_argument("--no-browser", action="store_true", help="only print the address")
    parser.set_defaults(run=run)


def _opened(place: Path) -> tuple[Path, str | None]:
    """Give the folder to serve and the file to open first."""
    if place.is_dir():
        return place, None
    if not place.is_file():
        raise _refuse(place, "there is no such file or folder")
    if place.suffix != ".toml":
        raise _refuse(place, "is no farm file; its name ends in .toml")
    return place.parent, place.name


def serve(place: Path, port: int = 0) -> tuple[Any, str]:
    """Make the server, bound and ready to run.

    Parameters
    ----------
    place : Path
        A farm file, or a folder of them.
    port : int
        0 for a free one.

    Returns
    -------
    (waitress server, str)
        The server and its address.

    Raises
    ------
    ScenarioError
        If there is no such place, or the port is taken.
    """
    import logging

    from waitress.server import create_server

    from dashboards.web.app import create_app

    folder, first = _opened(place)
    app = create_app(folder, first)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    try:
        server = create_server(
            app.server, host="127.0.0.1", port=port, ident=None, threads=8,
            max_request_body_size=2_000_000,
        )  # fmt: skip
    except OSError as error:
        raise _refuse(place, f"port {port} cannot be used: {error.strerror}") from error
    bound = int(server.effective_port)
    app.server.config["DRUMWORTH_HOSTS"] = (f"127.0.0.1:{bound}", f"localhost:{bound}")
    return server, f"http://127.0.0.1:{bound}/"


def run(arguments: argparse.Namespace) -> int:
    """Serve until stopped by Ctrl-C."""
    import webbrowser

    server, address = serve(arguments.place, arguments.port)
    print(f"Drumworth is at {address} on this machine alone; Ctrl-C stops it.", flush=True)  # noqa: T201
    if not arguments.no_browser:
        threading.Timer(0.3, webbrowser.open, (address,)).start()
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
    return 0
