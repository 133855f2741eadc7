"""A plain run leaves the long suites out; `-m slow` runs them, `-m "slow or not slow"` runs everything."""

from __future__ import annotations

import pytest

from tests.databases import database  # noqa: F401 - a fixture for every test


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave slow tests out unless marks were chosen by hand."""
    if config.option.markexpr:
        return
    slow = [item for item in items if item.get_closest_marker("slow")]
    if slow:
        config.hook.pytest_deselected(items=slow)
        items[:] = [item for item in items if item not in slow]
