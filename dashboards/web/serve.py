"""The server of the pages, for this machine alone."""

from pathlib import Path
from typing import Any

from econ.ground.errors import Problem, ScenarioError

# A browser holds a few; the others are strangers or slow, and must not crowd it out.
_MOST_CONNECTIONS = 1_000
# Seconds after which a connection that says nothing is closed.
_SILENCE = 30


def _refuse(path: Path, message: str) -> ScenarioError:
    return ScenarioError((Problem(str(path), "", None, message),))


def _opened(place: Path) -> tuple[Path, str | None]:
    """Return the folder to serve and the file to open first."""
    if place.is_dir():
        return place, None
    if not place.is_file():
        raise _refuse(place, "there is no such file or folder")
    if place.suffix.lower() != ".toml":
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
    from dashboards.web.guard import hosts_of

    folder, first = _opened(place)
    app = create_app(folder, first)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    try:
        server = create_server(
            app.server,
            host="127.0.0.1",
            port=port,
            ident=None,
            threads=8,
            max_request_body_size=2_000_000,
            connection_limit=_MOST_CONNECTIONS,
            channel_timeout=_SILENCE,
            cleanup_interval=5,
            asyncore_use_poll=True,
        )
    except OSError as error:
        raise _refuse(place, f"port {port} cannot be used: {error.strerror}") from error
    bound = int(server.effective_port)
    app.server.config["DRUMWORTH_HOSTS"] = hosts_of(bound)
    return server, f"http://127.0.0.1:{bound}/"
