"""A server on a free loopback port, a browser, and a page that must stay without complaint."""

import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, watched
from web_client import run_until_closed


def _serve(folder: Path) -> Iterator[Served]:
    from dashboards.web.serve import serve

    server, address = serve(folder)
    thread = threading.Thread(target=run_until_closed, args=(server,), daemon=True)
    thread.start()
    yield Served(address, folder)
    server.close()
    thread.join(timeout=5)


@pytest.fixture(scope="session")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("farms")
    for path in SCENARIOS.glob("*.toml"):
        shutil.copy(path, folder)
    yield from _serve(folder)


@pytest.fixture(scope="session")
def desktop(chromium: Any) -> Iterator[Any]:
    """One browsing context for all tests, so that scripts are fetched once."""
    result = chromium.new_context(viewport={"width": 1280, "height": 900}, color_scheme="light")
    yield result
    result.close()


@pytest.fixture
def screen(desktop: Any, demos: Served) -> Iterator[Screen]:
    """Return a desktop page; at the end it has complained of nothing and asked nobody else."""
    result = watched(desktop.new_page(), demos)
    yield result
    result.page.close()
    assert result.complaints == []
    assert result.outside == []
