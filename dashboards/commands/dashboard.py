"""`drumworth dashboard`: pages in a browser, served to this machine alone."""

import argparse
import threading
from pathlib import Path

from dashboards.commands.arguments import Commands, port
from dashboards.commands.printing import print_line


def run(arguments: argparse.Namespace) -> int:
    """Serve until stopped by Ctrl-C."""
    import sys
    import webbrowser

    from dashboards.web.serve import serve

    server, address = serve(arguments.place, arguments.port)
    print_line(f"Drumworth is at {address} on this machine alone; Ctrl-C stops it.")
    sys.stdout.flush()
    if not arguments.no_browser:
        threading.Timer(0.3, webbrowser.open, (address,)).start()
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
    return 0


def add(commands: Commands) -> None:
    """Add the command to the others."""
    parser = commands.add_parser("dashboard", help="decide, compare and edit farms in a browser")
    parser.add_argument(
        "place",
        type=Path,
        nargs="?",
        default=Path(),
        metavar="FILE|FOLDER",
        help="a farm, or a folder of farms; this folder by default",
    )
    parser.add_argument("--port", type=port, default=0, help="0, the default: a free one")
    parser.add_argument("--no-browser", action="store_true", help="only print the address")
    parser.set_defaults(run=run)
