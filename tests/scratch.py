"""Registries with other rows, for as long as a test lasts."""

import sys
from typing import Any

import pytest

Rows = tuple[Any, ...]


def swapped(patch: pytest.MonkeyPatch, registry: Rows, rows: Rows) -> None:
    """Put other rows in a registry's place wherever it is imported, as writing them there would."""
    for name, module in list(sys.modules.items()):
        if not name.startswith(("econ", "dashboards")):
            continue
        for attribute, value in list(vars(module).items()):
            if value is registry:
                patch.setattr(module, attribute, rows)
