"""Hypothesis profiles, rows added to registries for one test, and the one browser."""

import gc
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from scratch import Rows, swapped

HERE = Path(__file__).parent

settings.register_profile(
    "default",
    derandomize=True,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.register_profile("deep", settings.get_profile("default"), max_examples=2000)
settings.load_profile("default")


@pytest.fixture
def swap(monkeypatch: pytest.MonkeyPatch) -> Callable[[Rows, Rows], None]:
    """Put other rows in a registry's place wherever it is imported."""

    def put(registry: Rows, rows: Rows) -> None:
        swapped(monkeypatch, registry, rows)

    return put


@pytest.fixture
def add(swap: Callable[[Rows, Rows], None]) -> Callable[[Rows, Any], None]:
    """Lay a row behind a registry, as writing it there would."""

    def lay(registry: Rows, row: Any) -> None:
        swap(registry, (*registry, row))

    return lay


# Files that take longest, measured, the longest first. Each stays in one process, where what it
# sets up is set up once; begun early, none is left running alone at the end.
HEAVY = (
    "browser/test_pages.py",
    "browser/test_failures.py",
    "browser/test_every_size.py",
    "screens/test_one_label.py",
    "workbook/test_workbook.py",
    "browser/test_keyboard.py",
    "screens/test_present_printed.py",
    "screens/test_web_safety.py",
    "screens/test_processes.py",
    "screens/test_web_pages.py",
    "unit/test_many.py",
    "screens/test_terminal_widths.py",
    "properties/test_laws.py",
    "stress/test_sample.py",
    "unit/test_plan.py",
    "properties/test_twin.py",
    "screens/test_new_rows_everywhere.py",
    "properties/test_chances_twin.py",
    "screens/test_compare_terminal.py",
    "screens/test_command.py",
    "screens/test_one_screen.py",
    "screens/test_present_files.py",
    "properties/test_plans_twin.py",
    "unit/test_log_sheet.py",
    "mutations/test_mutations.py",
    "screens/test_web_doors.py",
    "unit/test_side_by_side.py",
    "screens/test_cards.py",
    "packaging/test_wheel.py",
    "browser/test_plan_page.py",
    "browser/test_compare_page.py",
    "screens/test_streams.py",
    "unit/test_bounds.py",
    "screens/test_web_plan.py",
    "screens/test_web_documents.py",
    "unit/test_schema.py",
    "unit/test_draws.py",
)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """Look for no garbage while tests are collected: what is made then is kept to the end."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()
        gc.freeze()


@pytest.hookimpl(wrapper=True)
def pytest_collect_file() -> Generator[None, list[Any], list[Any]]:
    """Collect tests alone: examples to be run are in the model, none are in this folder."""
    found = yield
    return [one for one in found if type(one) is pytest.Module]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the longest files first; all else stays in its order."""
    places = {str(HERE / name): place for place, name in enumerate(HEAVY)}
    items.sort(key=lambda item: places.get(str(item.path), len(HEAVY)))


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
