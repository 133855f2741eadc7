"""The file under a store: its owner's alone, watched while it is open, refused when it cannot be written."""

from __future__ import annotations

import os
import shutil
import stat
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest
import sqlalchemy as sa

from inventory.store import Store, counts, open_store
from inventory.store.errors import FileGone, ReadOnlyStore, StoreBusy
from inventory.store.store_file import open_to_others
from tests.databases import new_postgresql
from tests.inventory.store.test_refusals import child, open_folder  # noqa: F401 - a fixture
from tests.shelf import READERS, a_store, an_order, by


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "shop.sqlite3"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    opened = a_store(f"sqlite:///{path}", {"riser-75": 1000})
    yield opened
    opened.close()


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def reserved(store: Store) -> int:
    return store.reserve(an_order(riser_75=1), by()).id


def test_nobody_else_can_read_a_new_store_nor_its_logs(store: Store, path: Path) -> None:
    reserved(store)
    assert {file.name: mode(file) for file in path.parent.iterdir()} == {
        "shop.sqlite3": 0o600,
        "shop.sqlite3-wal": 0o600,
        "shop.sqlite3-shm": 0o600,
    }
    assert open_to_others(path) is None


def test_a_wider_mode_that_is_there_stays_and_can_be_told(store: Store, path: Path) -> None:
    store.close()
    path.chmod(0o644)
    open_store(f"sqlite:///{path}", READERS).close()
    assert (mode(path), open_to_others(path)) == (0o644, "0644")


def test_an_odd_name_is_that_of_the_file(tmp_path: Path) -> None:
    odd = tmp_path / "a shop?mode=memory#1 ω.sqlite3"
    open_store(f"sqlite:///{str(odd).replace('?', '%3F')}", READERS).close()
    assert [file.name for file in tmp_path.iterdir()] == [odd.name]


def deleted(path: Path) -> None:
    path.unlink()


def moved_away(path: Path) -> None:
    path.rename(path.with_name("elsewhere.sqlite3"))


def replaced(path: Path) -> None:
    other = path.with_name("backup.sqlite3")
    shutil.copy(path, other)
    os.replace(other, path)


def log_deleted(path: Path) -> None:
    Path(f"{path}-wal").unlink()


def folder_moved(path: Path) -> None:
    path.parent.rename(path.parent.with_name("archive"))


@pytest.mark.parametrize("lose", [deleted, moved_away, replaced, log_deleted, folder_moved])
def test_of_forty_writes_none_is_acknowledged_once_the_file_is_gone(
    store: Store, path: Path, lose: Callable[[Path], None]
) -> None:
    acknowledged = []
    for number in range(40):
        if number == 20:
            lose(path)
        try:
            acknowledged.append(reserved(store))
        except FileGone as gone:
            assert "was deleted, moved or replaced" in str(gone)
    assert acknowledged == list(range(1, 21))
    with pytest.raises(FileGone):
        store.probe()
    if lose is not log_deleted:
        with pytest.raises(FileGone):
            store.snapshot(an_order(riser_75=1).span)
    assert path.exists() == (lose in (replaced, log_deleted)), "no empty store is made in its place"


def test_what_is_moved_back_is_worked_with_again(store: Store, path: Path) -> None:
    reserved(store)
    moved_away(path)
    with pytest.raises(FileGone):
        reserved(store)
    path.with_name("elsewhere.sqlite3").rename(path)
    assert reserved(store) == 2
    store.close()
    again = open_store(f"sqlite:///{path}", READERS)
    assert again.snapshot(an_order(riser_75=1).span).free("riser-75") == 998
    again.close()


@pytest.mark.parametrize("lose", [deleted, replaced])
def test_every_acknowledged_write_of_many_threads_is_in_the_file_that_was_there(
    store: Store, path: Path, lose: Callable[[Path], None]
) -> None:
    """A second name for the file and its log shows what was in them when the first name went."""
    reserved(store)
    kept = path.parent / "kept.sqlite3"
    os.link(path, kept)
    os.link(f"{path}-wal", f"{kept}-wal")
    acknowledged, gone = [1], threading.Event()
    refused: list[FileGone] = []

    def write() -> None:
        while not refused:
            was_gone = gone.is_set()
            try:
                number = reserved(store)
            except FileGone as error:
                refused.append(error)
            else:
                assert not was_gone, "acknowledged after the file had gone"
                acknowledged.append(number)

    threads = [threading.Thread(target=write) for _ in range(4)]
    for thread in threads:
        thread.start()
    while len(acknowledged) < 20 and not refused:
        pass
    lose(path)
    gone.set()
    for thread in threads:
        thread.join(30)
    assert refused and len(acknowledged) >= 20
    store.close()
    there = open_store(f"sqlite:///{kept}", READERS)
    assert there.snapshot(an_order(riser_75=1).span).free("riser-75") <= 1000 - len(acknowledged)
    there.close()


def test_a_file_that_may_only_be_read_is_refused_though_its_folder_may_be_written(open_folder: Path) -> None:  # noqa: F811
    url = f"sqlite:///{open_folder}/shop.sqlite3"
    a_store(url, {"riser-75": 6}).close()
    (open_folder / "shop.sqlite3").chmod(0o444)
    open_folder.chmod(0o777)
    (said,) = child(url, 0, who="nobody")
    assert said.startswith("ReadOnlyStore the store cannot be written")


@pytest.mark.parametrize(
    ("may", "says"),
    [
        ("GRANT SELECT ON ALL TABLES IN SCHEMA public TO {user}", "no right to INSERT on answered"),
        (
            "GRANT ALL ON ALL TABLES IN SCHEMA public TO {user}; ALTER ROLE {user} SET default_transaction_read_only = on",
            "default_transaction_read_only is on for its user",
        ),
    ],
)
def test_a_database_user_who_may_only_read_is_refused(may: str, says: str) -> None:
    url = new_postgresql()
    a_store(url, {"riser-75": 6}).close()
    user = "reader_" + url.partition("@/")[2].partition("?")[0]
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute(f"CREATE ROLE {user} LOGIN")
        connection.execute(may.format(user=user))
    with pytest.raises(ReadOnlyStore, match=says):
        open_store(url.replace("postgres@", f"{user}@"), READERS)
    open_store(url, READERS).close()


def test_opening_waits_for_nobodys_turn_and_a_probe_does(database: str) -> None:
    store = a_store(database, {"riser-75": 6}, patience_s=0.2)

    def hold(connection: sa.Connection) -> None:
        open_store(database, READERS, patience_s=0.2).close()
        with pytest.raises(StoreBusy):
            store.probe()

    other = open_store(database, READERS)
    other.write(hold)
    store.probe()
    assert store.read(lambda c: counts.line(c, "riser-75")).count == 6
    other.close()
    store.close()


def test_a_probe_writes_for_good_and_leaves_nothing(store: Store, path: Path) -> None:
    before, version = Path(f"{path}-wal").stat().st_size, store.version()
    store.probe()
    assert Path(f"{path}-wal").stat().st_size > before
    assert store.read(lambda c: c.execute(sa.text("SELECT COUNT(*) FROM answered")).scalar_one()) == 0
    assert store.version() == version
