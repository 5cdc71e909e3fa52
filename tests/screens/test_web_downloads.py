"""What the pages hand over is what the command writes, and only of farms in the folder."""

import shutil
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from dashboards.page import pdf as printing
from dashboards.page.render import page, style
from dashboards.present import RENDERINGS
from dashboards.web.app import create_app
from dashboards.web.downloads import KEY
from dashboards.web.log_folder import today
from econ.answers.decision import decide
from econ.farm.files import load

FARM = Path(__file__).parents[2] / "scenarios" / "wrenfold.toml"
HOST = "127.0.0.1:8050"


@pytest.fixture
def client(tmp_path: Path) -> FlaskClient:
    shutil.copy(FARM, tmp_path)
    (tmp_path / "bad.toml").write_text("[scenario]\n", encoding="utf-8")
    app = create_app(tmp_path)
    app.server.config["DRUMWORTH_HOSTS"] = (HOST,)
    return app.server.test_client()


@pytest.mark.parametrize("kind", ["html", "xlsx", "csv"])
def test_a_handed_file_is_the_commands_to_the_byte(client: FlaskClient, kind: str) -> None:
    made = RENDERINGS[f".{kind}"](decide(load(FARM), today=today()), False)

    result = client.get(f"/download/{kind}/wrenfold.toml?key={KEY}", headers={"Host": HOST})

    assert result.status_code == 200
    assert result.data == made


def test_a_handed_pdf_is_the_page_printed_and_a_missing_browser_is_told(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/download/pdf/wrenfold.toml?key={KEY}"
    monkeypatch.setattr(printing, "pdf", lambda html: b"%PDF " + html.encode())
    result = client.get(address, headers={"Host": HOST})
    assert result.data == b"%PDF " + page(decide(load(FARM), today=today())).encode()
    assert result.mimetype == "application/pdf"
    monkeypatch.undo()

    monkeypatch.setenv("PATH", str(FARM.parent))
    told = client.get(address, headers={"Host": HOST})
    assert told.status_code == 503
    assert "apt install chromium" in told.text


def test_the_sheet_has_its_form_from_the_same_place_as_the_file(client: FlaskClient) -> None:
    result = client.get("/sheet.css", headers={"Host": HOST})

    assert result.mimetype == "text/css"
    assert result.text == style()
    assert result.text in page(decide(load(FARM), draws=64))
    assert "/sheet.css" in client.get("/", headers={"Host": HOST}).text


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/download/exe/wrenfold.toml", 404),
        ("/download/html/none.toml", 404),
        ("/download/html/.hidden", 400),
        ("/download/html/bad.toml", 400),
    ],
)
def test_nothing_else_is_handed_over(client: FlaskClient, path: str, status: int) -> None:
    assert client.get(f"{path}?key={KEY}", headers={"Host": HOST}).status_code == status


def test_a_foreign_host_is_refused(client: FlaskClient) -> None:
    answer = client.get(f"/download/html/wrenfold.toml?key={KEY}", headers={"Host": "evil.example"})

    assert answer.status_code == 403


def test_a_path_out_of_the_folder_gets_the_pages_own_frame_and_no_file(
    client: FlaskClient,
) -> None:
    result = client.get(f"/download/html/..%2Fwrenfold.toml?key={KEY}", headers={"Host": HOST})

    assert b"Wrenfold" not in result.data
