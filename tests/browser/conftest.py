"""A server on a free loopback port, a browser, and a page that must stay without complaint."""

import shutil
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, screen_of


def _serve(folder: Path) -> Iterator[Served]:
    from dashboards.web.serve import serve

    server, address = serve(folder)
    thread = threading.Thread(target=server.run, daemon=True)
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


@pytest.fixture
def screen(chromium: Any, demos: Served) -> Iterator[Screen]:
    """Give a desktop page; at the end it has complained of nothing and asked nobody else."""
    found = screen_of(chromium, demos)
    yield found
    found.page.context.close()
    assert found.complaints == []
    assert found.outside == []
