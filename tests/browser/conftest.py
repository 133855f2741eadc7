"""Fixtures of the browser tests: a server of the demo shop, a browser, and whoever visits the one with the other."""

from __future__ import annotations

import signal
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.chromium import chromium
from tests.browser.visits import PATIENCE_MS, Visitor, visitor
from tests.service.served import OwnServer


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for the tests of a file; not longer, since nothing else may run an event loop in this process meanwhile."""
    expect.set_options(timeout=PATIENCE_MS)
    with chromium() as found:
        yield found


@pytest.fixture(scope="session")
def shared_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OwnServer]:
    """A server of the demo shop, with the product's own planner, for tests that leave its stock as it is."""
    yield from _served(tmp_path_factory)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OwnServer]:
    """A server of the demo shop, with the product's own planner, for the tests of one file alone."""
    yield from _served(tmp_path_factory)


def _served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OwnServer]:
    folder = tmp_path_factory.mktemp("page")
    found = OwnServer(folder, f"sqlite:///{folder / 'shop.sqlite3'}", "real")
    yield found
    found.end(signal.SIGTERM)


@pytest.fixture
def visit(browser: Browser, shared_server: OwnServer) -> Iterator[Visitor]:
    """Whoever visits the shared server."""
    with visitor(browser, str(shared_server.door.base_url)) as found:
        yield found
