"""What every request must satisfy before a page sees it, and what every answer carries."""

import json
from collections.abc import Container, Sequence
from typing import Any

import dash
from flask import Flask, Response, current_app, request
from werkzeug.exceptions import HTTPException

from dashboards.web.documents import short
from econ.ground.errors import RefusedError, ScenarioError

MOST_BODY = 1_000_000
UPDATE = "/_dash-update-component"


def _refusal(status: int, text: str) -> Response:
    return Response(json.dumps({"refused": text}), status, mimetype="application/json")


def _foreign() -> Response | None:
    """Refuse what another site may have sent: a foreign host, origin or kind of body."""
    hosts: Sequence[str] = current_app.config["DRUMWORTH_HOSTS"]
    if request.host not in hosts:
        return _refusal(403, "this page answers to 127.0.0.1 alone")
    if request.headers.get("Sec-Fetch-Site") in ("cross-site", "same-site"):
        # A link on another site may lead to a page, which works nothing out by itself.
        leads = request.headers.get("Sec-Fetch-Mode") == "navigate" and request.method == "GET"
        if not leads or request.path.startswith(("/download", "/cards")):
            return _refusal(403, "the request came from another page")
    if request.method in ("GET", "HEAD"):
        return None
    if request.headers.get("Origin") not in [f"http://{host}" for host in hosts]:
        return _refusal(403, "the request came from another page")
    if request.mimetype != "application/json":
        return _refusal(415, "only application/json is read")
    return None


def _body() -> Response | None:
    """Refuse a callback request whose body is none."""
    if request.method in ("GET", "HEAD"):
        return None
    if request.content_length is None or request.content_length > MOST_BODY:
        return _refusal(413, f"at most {MOST_BODY:,} bytes are read")
    if request.path != UPDATE:
        return _refusal(405, "nothing is written here")
    try:
        body: Any = json.loads(request.get_data(cache=True))
    except (ValueError, RecursionError):
        return _refusal(400, "the body is not JSON")
    known: Container[str] = current_app.config["DRUMWORTH_CALLBACKS"]
    return None if _is_callback(body, known) else _refusal(400, "that is no request of these pages")


def _named(row: Any) -> bool:
    return (
        isinstance(row, dict)
        and isinstance(row.get("id"), str | dict)
        and isinstance(row.get("property"), str)
    )


def _are_outputs(output: str, rows: Any) -> bool:
    """Say whether the outputs that a call lists are those that its callback's name lists."""
    several = output.startswith("..")
    names = output.strip(".").split("...") if several else [output]
    listed = rows if several else [rows]
    if not isinstance(listed, list) or len(listed) != len(names):
        return False
    for name, row in zip(names, listed, strict=True):
        each = row if name.startswith("{") and isinstance(row, list) else [row]
        if not all(_named(one) for one in each):
            return False
    return True


def _is_callback(body: Any, known: Container[str]) -> bool:
    """Say whether a body names a known callback and lists its inputs as a page does."""
    if not isinstance(body, dict) or not isinstance(body.get("output"), str):
        return False
    if body["output"] not in known:
        return False
    groups = [body.get("inputs", []), body.get("state", [])]
    for group in groups:
        if not isinstance(group, list):
            return False
        for row in group:
            rows = row if isinstance(row, list) else [row]
            if not all(_named(item) for item in rows):
                return False
    if not _are_outputs(body["output"], body.get("outputs")):
        return False
    changed = body.get("changedPropIds", [])
    return isinstance(changed, list) and all(isinstance(name, str) for name in changed)


def _headers(policy: str) -> dict[str, str]:
    return {
        "Content-Security-Policy": policy,
        "X-Content-Type-Options": "nosniff",
        "Referrer-Policy": "no-referrer",
        "Cross-Origin-Opener-Policy": "same-origin",
        "Cross-Origin-Resource-Policy": "same-origin",
    }


def policy_of(app: dash.Dash) -> str:
    """Return the content security policy; call it when all callbacks are registered."""
    hashes = " ".join(app.csp_hashes())
    return (
        f"default-src 'none'; script-src 'self' {hashes}; style-src 'self' 'unsafe-inline';"
        " img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self';"
        " base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def _failed(error: Exception) -> Response | HTTPException:
    """Answer a fault with a short message; the page says that something went wrong."""
    if isinstance(error, HTTPException):
        return error
    if isinstance(error, RefusedError):
        return _refusal(400, str(error))
    if isinstance(error, ScenarioError):
        return _refusal(400, "; ".join(str(problem) for problem in short(error.problems)))
    # Dash looks inputs up by position and name; a request that lacks them is a forged one.
    forged = isinstance(error, KeyError | IndexError | dash.exceptions.DashException)
    return _refusal(400 if forged else 500, "the request could not be worked out")


def hosts_of(port: int) -> tuple[str, ...]:
    """Return the hosts that a server on this machine's loopback answers to.

    Parameters
    ----------
    port : int
        Browsers leave 80 out.

    Returns
    -------
    tuple of str
    """
    names = ("127.0.0.1", "localhost")
    return (*(f"{name}:{port}" for name in names), *(names if port == 80 else ()))


def guard(app: dash.Dash) -> None:
    """Put the guards before an app, once all its callbacks are registered.

    Parameters
    ----------
    app : Dash
        Its server's ``DRUMWORTH_HOSTS`` are the hosts it answers to.
    """
    server: Flask = app.server
    server.config.setdefault("DRUMWORTH_HOSTS", ())
    server.config["DRUMWORTH_CALLBACKS"] = app.callback_map
    server.config["MAX_CONTENT_LENGTH"] = MOST_BODY
    headers = _headers(policy_of(app))
    server.before_request(lambda: _foreign() or _body())

    @server.after_request
    def _dress(response: Response) -> Response:
        response.headers.update(headers)
        return response

    server.register_error_handler(Exception, _failed)
