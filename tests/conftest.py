"""Hypothesis profiles, repeatable by default and deeper by hand; and the one browser."""

from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "default", derandomize=True, deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
settings.register_profile("deep", settings.get_profile("default"), max_examples=2000)
settings.load_profile("default")


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Return the one headless Chromium of a run: its driver allows no second beside it."""
    from browser_screen import CHROMIUM, FLAGS
    from playwright.sync_api import sync_playwright

    if not CHROMIUM.exists():
        pytest.fail("no Chromium on this machine (Debian: apt install chromium)")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()
