"""A running dashboard and a plain HTTP client that may send anything."""

import http.client
import json
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from waitress import wasyncore

from dashboards.web.serve import serve


class Client:
    """Sends requests as they are given, headers and all."""

    def __init__(self, address: str) -> None:
        parts = urlsplit(address)
        assert parts.hostname is not None
        assert parts.port is not None
        self.host, self.port = parts.hostname, parts.port
        self.origin = f"http://{self.host}:{self.port}"
        self.page: str | None = None

    def send(
        self, method: str, path: str, body: bytes | None = None, **headers: str | None
    ) -> tuple[int, dict[str, str], bytes]:
        """Send a request; a header set to None is left out."""
        connection = http.client.HTTPConnection(self.host, self.port, timeout=20)
        sent: dict[str, str | None] = {"Host": f"{self.host}:{self.port}"}
        if method != "GET":
            sent |= {"Origin": self.origin, "Content-Type": "application/json"}
        sent |= {key.replace("_", "-"): value for key, value in headers.items()}
        try:
            connection.putrequest(method, path, skip_host=True, skip_accept_encoding=True)
            for key, value in sent.items():
                if value is not None:
                    connection.putheader(key, value)
            if body is not None:
                connection.putheader("Content-Length", str(len(body)))
            connection.endheaders()
            if body is not None:
                with suppress(BrokenPipeError, ConnectionResetError):
                    connection.send(body)
            answer = connection.getresponse()
            return answer.status, {k.lower(): v for k, v in answer.getheaders()}, answer.read()
        finally:
            connection.close()

    def call(
        self,
        callback: dict[str, Any],
        values: dict[str, Any],
        changed: str | None = None,
        *,
        many: Mapping[str, list[dict[str, Any]]] | None = None,
    ) -> tuple[int, bytes]:
        """Call a page's callback with forged values by "id.property"; `many` has the ids of a
        page's elements of one kind, by kind."""

        def filled(rows: list[Any]) -> list[Any]:
            result = []
            for row in rows:
                ident = row["id"]
                if isinstance(ident, str) and ident.startswith("{"):
                    result.append(values.get(f"{ident}.{row['property']}") or [])
                    continue
                value = values.get(f"{ident}.{row['property']}")
                result.append({"id": ident, "property": row["property"], "value": value})
            return result

        inputs = filled(callback["inputs"])
        first = next((row for row in inputs if isinstance(row, dict)), None)
        body = {
            "output": callback["output"],
            "outputs": outputs_of(callback["output"], many or {}),
            "inputs": inputs,
            "state": filled(callback["state"]),
            "changedPropIds": [changed or (f"{first['id']}.{first['property']}" if first else "")],
        }
        status, _, text = self.send(
            "POST", "/_dash-update-component", json.dumps(body).encode(), Drumworth_Page=self.page
        )
        return status, text


def outputs_of(output: str, many: Mapping[str, list[dict[str, Any]]]) -> Any:
    """Return the outputs that a callback's name lists, as a page sends them."""

    def one(name: str) -> Any:
        ident, _, prop = name.rpartition(".")
        if ident.startswith("{"):
            kind = next((key for key in many if f'"{key}"' in ident), "")
            return [{"id": result, "property": prop} for result in many.get(kind, [])]
        return {"id": ident.replace("\\", ""), "property": prop.split("@")[0]}

    if output.startswith(".."):
        return [one(name) for name in output.strip(".").split("...")]
    return one(output)


@contextmanager
def serving(folder: Path) -> Iterator[str]:
    """Serve a folder of farms from a thread that has ended when this ends."""
    server, address = serve(folder)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    try:
        yield address
    finally:
        _end(server)
        thread.join(timeout=10)
    assert not thread.is_alive(), "the server still runs"


def _end(server: Any) -> None:
    """Let what is being answered be answered, then close every connection.

    Only the server's own thread may close them: its loop ends as soon as none is left.
    """
    server.task_dispatcher.shutdown()
    server.trigger.pull_trigger(lambda: wasyncore.close_all(server._map, ignore_all=True))


@contextmanager
def running(folder: Path) -> Iterator[Client]:
    """Return a client of a server that runs while a test looks at it."""
    with serving(folder) as address:
        yield Client(address)


def callbacks(client: Client) -> list[dict[str, Any]]:
    """Return the server's callbacks as a page learns of them."""
    _, _, text = client.send("GET", "/_dash-dependencies")
    result: list[dict[str, Any]] = json.loads(text)
    return [row for row in result if not row["clientside_function"]]
