"""Many processes open one empty database at the same moment; each finds one store, complete."""

from __future__ import annotations

import multiprocessing
import sqlite3
from contextlib import closing
from pathlib import Path
from threading import Timer

import pytest

from inventory.store import open_store
from inventory.store.errors import StoreBusy
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


def test_opening_waits_for_another_who_holds_a_database_not_switched_yet(tmp_path: Path) -> None:
    held = sqlite3.connect(tmp_path / "shop.sqlite3", isolation_level=None, check_same_thread=False)
    held.execute("BEGIN IMMEDIATE")
    later = Timer(0.3, held.rollback)
    later.start()
    try:
        store = open_store(f"sqlite:///{tmp_path / 'shop.sqlite3'}", READERS)
        assert store.version() == 1
        store.close()
    finally:
        later.join()
        held.close()
    with pytest.raises(StoreBusy), closing(sqlite3.connect(tmp_path / "other.sqlite3", isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        open_store(f"sqlite:///{tmp_path / 'other.sqlite3'}", READERS, patience_s=0.1)
