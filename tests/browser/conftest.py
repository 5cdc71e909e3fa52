"""A server on a free loopback port, a browser, and a page that must stay without complaint."""

import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from browser_screen import SCENARIOS, Screen, Served, watched
from web_client import serving


@pytest.fixture(scope="session")
def demos(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    folder = tmp_path_factory.mktemp("farms")
    for path in SCENARIOS.glob("*.toml"):
        shutil.copy(path, folder)
    with serving(folder) as address:
        yield Served(address, folder)


@pytest.fixture(scope="session")
def desktop(chromium: Any, demos: Served) -> Iterator[Any]:
    """One browsing context for all tests, so that scripts are fetched once."""
    result = chromium.new_context(viewport={"width": 1280, "height": 900}, color_scheme="light")
    # While one page of the server is open, the process that draws its pages lives.
    result.new_page().goto(f"{demos.address}assets/drumworth.css")
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
