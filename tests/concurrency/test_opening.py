"""Many processes open one empty database at the same moment; each finds one store, complete."""

from __future__ import annotations

import multiprocessing
from pathlib import Path

import pytest

from inventory.store import open_store
from tests.databases import KINDS, new_database
from tests.shelf import READERS


def opened(url: str) -> int:
    """Open the store and return its version."""
    store = open_store(url, READERS)
    try:
        return store.version()
    finally:
        store.close()


@pytest.mark.parametrize("kind", KINDS)
def test_sixteen_open_an_empty_database_at_once(kind: str, tmp_path: Path) -> None:
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([__name__, "tests.concurrency.attempts"])
    with context.Pool(16) as pool:
        for turn in range(3):
            folder = tmp_path / str(turn)
            folder.mkdir()
            assert pool.map(opened, [new_database(kind, folder)] * 16, chunksize=1) == [1] * 16
