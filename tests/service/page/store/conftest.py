"""A shop with six risers and four stops, and somebody who looks at its store."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tests.service.http.shop import Shop
from tests.service.page.visitor import Visitor


@pytest.fixture(scope="module")
def _served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Shop, Path]]:
    """Serve one shop for all tests of a module, and keep a copy of what it holds at first: making another one takes longer."""
    folder = tmp_path_factory.mktemp("storeroom")
    opened = Shop(f"sqlite:///{folder / 'shop.sqlite3'}")
    opened.add("riser-75", 6)
    opened.add("stop-60", 4)
    _copy(folder / "shop.sqlite3", folder / "at-first.sqlite3")
    yield opened, folder
    opened.store.close()


@pytest.fixture
def storeroom(_served: tuple[Shop, Path]) -> Shop:
    """Six risers and four stops."""
    opened, folder = _served
    _copy(folder / "at-first.sqlite3", folder / "shop.sqlite3")
    return opened


@pytest.fixture
def visitor(storeroom: Shop) -> Visitor:
    """Somebody who looks at it."""
    return Visitor(storeroom.ask)


def _copy(there: Path, here: Path) -> None:
    with closing(sqlite3.connect(there)) as source, closing(sqlite3.connect(here)) as target:
        source.backup(target)
