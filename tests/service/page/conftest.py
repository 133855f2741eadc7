"""The application with its page, in this process: shop without keys, and shop with a key of every role."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.databases import new_database
from tests.service.http.conftest import demo_stock, house
from tests.service.http.keyed import KeyedShop

__all__ = ["demo_stock", "house", "keyed"]


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeyedShop]:
    """A shop with a key of every role."""
    opened = KeyedShop(new_database("sqlite", tmp_path_factory.mktemp("keyed")))
    yield opened
    opened.store.close()
