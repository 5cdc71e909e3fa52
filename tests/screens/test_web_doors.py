"""What others may ask of the running pages: nothing that costs work, nothing that tells paths."""

import json
import os
import socket
import time
from pathlib import Path

import pytest
from web_client import callbacks, running

from dashboards.web.app import create_app
from dashboards.web.downloads import KEY
from dashboards.web.guard import hosts_of
from dashboards.web.serve import serve
from econ.ground.errors import ScenarioError

SCENARIOS = Path(__file__).parents[2] / "scenarios"
WRENFOLD = (SCENARIOS / "wrenfold.toml").read_text(encoding="utf-8")
HOST = "127.0.0.1:8050"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "wrenfold.toml").write_text(WRENFOLD, encoding="utf-8")
    return tmp_path


def test_what_costs_work_is_handed_only_to_our_own_page(folder: Path) -> None:
    app = create_app(folder)
    app.server.config["DRUMWORTH_HOSTS"] = (HOST,)
    client, key = app.server.test_client(), KEY
    path = "/download/html/wrenfold.toml"

    for query in ("", "?key=", "?key=x", f"?key={key[:-1]}", "?key=é"):
        assert client.get(path + query, headers={"Host": HOST}).status_code == 403
    for site in ("cross-site", "same-site"):
        headers = {"Host": HOST, "Sec-Fetch-Site": site, "Sec-Fetch-Mode": "navigate"}
        assert client.get(f"{path}?key={key}", headers=headers).status_code == 403
    headers = {"Host": HOST, "Sec-Fetch-Site": "same-origin"}
    assert client.get(f"{path}?key={key}", headers=headers).status_code == 200


def test_another_site_may_lead_to_a_page_but_fetch_nothing(folder: Path) -> None:
    with running(folder) as client:
        led = {"Sec_Fetch_Site": "cross-site", "Sec_Fetch_Mode": "navigate"}
        assert client.send("GET", "/thinners", **led)[0] == 200
        assert client.send("GET", "/_dash-layout", Sec_Fetch_Site="cross-site")[0] == 403
        assert client.send("POST", "/_dash-update-component", b"{}", **led)[0] == 403


def test_no_absolute_path_stands_in_what_is_told(folder: Path) -> None:
    (folder / "bad.toml").write_text(WRENFOLD.replace("wage", "wages", 1), encoding="utf-8")
    (folder / "far.toml").write_text(
        '[scenario]\ntitle = "x"\nextends = "none/gone.toml"\n', encoding="utf-8"
    )
    app = create_app(folder)
    app.server.config["DRUMWORTH_HOSTS"] = (HOST,)
    client, key = app.server.test_client(), KEY
    for name in ("bad", "far"):
        told = client.get(f"/download/csv/{name}.toml?key={key}", headers={"Host": HOST})
        assert told.status_code == 400
        assert str(folder) not in told.text
        assert f"{name}.toml" in told.text


def test_a_hundred_slow_connections_do_not_keep_the_owner_out(folder: Path) -> None:
    with running(folder) as client:
        slow = []
        for _ in range(300):
            one = socket.create_connection((client.host, client.port))
            one.sendall(b"POST /_dash-update-component HTTP/1.1\r\nHost: ")
            slow.append(one)
        start = time.monotonic()
        assert client.send("GET", "/")[0] == 200
        assert time.monotonic() - start < 5.0
        for one in slow:
            one.close()


@pytest.mark.parametrize(
    "name", ["DASH_URL_BASE_PATHNAME", "DASH_REQUESTS_PATHNAME_PREFIX", "dash_app_name"]
)
def test_a_prefix_from_the_environment_is_not_ours(
    folder: Path, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(name, "/elsewhere/")
    with running(folder) as client:
        status, _, text = client.send("GET", "/")
        assert status == 200
        assert b"elsewhere" not in text
        assert client.send("GET", "/_dash-layout")[0] == 200
    assert os.environ[name] == "/elsewhere/"


def test_browsers_leave_port_80_out() -> None:
    assert hosts_of(80) == ("127.0.0.1:80", "localhost:80", "127.0.0.1", "localhost")
    assert hosts_of(8050) == ("127.0.0.1:8050", "localhost:8050")


@pytest.mark.skipif(os.name != "posix", reason="links of POSIX")
def test_a_loop_of_links_is_told_in_words(tmp_path: Path) -> None:
    (tmp_path / "a.toml").symlink_to("b.toml")
    (tmp_path / "b.toml").symlink_to("a.toml")
    with pytest.raises(ScenarioError, match="there is no such file or folder"):
        serve(tmp_path / "a.toml")
    (tmp_path / "round").symlink_to("round")
    with pytest.raises(ScenarioError, match="there is no such file or folder"):
        serve(tmp_path / "round")
    with running(tmp_path) as client:
        assert client.send("GET", "/")[0] == 200
        rows = [row for row in callbacks(client) if "draft.data" in row["output"]]
        for row in rows:
            for name in ("a.toml", "b.toml"):
                status, _ = client.call(row, {"first.data": name, "file.value": name})
                assert status < 500


def test_every_callback_answers_forged_lists_with_400(folder: Path) -> None:
    """The parts of a call that a page sends as lists: short, long, or of other things."""
    with running(folder) as client:
        for row in callbacks(client):
            for inputs in ([], [None], [{}], [{"id": "x", "property": "y"}] * 40):
                for state in ([], [{"id": {"type": []}, "property": "z", "value": {}}]):
                    for outputs in (None, [], {}, [[]], [{"id": 1}], "x", [None, None]):
                        body = {
                            "output": row["output"],
                            "outputs": outputs,
                            "inputs": inputs,
                            "state": state,
                            "changedPropIds": ["x.y"],
                        }
                        status, _, _ = client.send(
                            "POST", "/_dash-update-component", json.dumps(body).encode()
                        )
                        assert 200 <= status < 500, (row["output"], body)


def test_forged_calls_end_with_400(folder: Path) -> None:
    from stress.attacks import forged_calls

    assert [fault for fault in forged_calls(400) if fault] == []
