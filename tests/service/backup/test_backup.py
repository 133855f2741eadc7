"""A copy has everything, is put back exactly, into either kind of database, and a file that is not one is refused."""

from __future__ import annotations

import gzip
import json
import stat
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import sqlalchemy as sa

from inventory.errors import Fault, HoldwrightError
from inventory.reservations import Reservation
from inventory.store import Note, open_store
from inventory.store.engine import make_engine, writing
from inventory.store.errors import NotEmpty, WrongCopy
from inventory.store.schema_version import SHELF
from service.backup import copy_file
from service.backup.backup import HISTORIES, back_up, restore
from service.errors import InvalidSource
from service.records.job import Failure, Job
from service.records.jobs import JobRecords
from service.records.schema import SERVICE, deliveries, webhooks, writes
from service.rule_books.changes import BookChange, make_book, use_book
from tests.commands import holdwright
from tests.databases import KINDS, database, new_database
from tests.inventory.store.test_migrations import a_busy_shop, rows
from tests.shelf import READERS, an_order, by

__all__ = ["database"]
NOON = datetime(2027, 3, 1, 12, 0, 0, 123456, tzinfo=UTC)
TABLES = tuple(table.name for history in HISTORIES for table in history.tables.sorted_tables)
VERSIONS = tuple(history.version_table for history in HISTORIES)


def a_busy_service(url: str) -> None:
    """Fill a database with stock of every kind, jobs of every kind, and what is odd: nulls, texts of all scripts, rows gone."""
    a_busy_shop(url)
    store = open_store(url, READERS)
    records = JobRecords(store, "one", 10, 24).create()
    plan = {
        "status": "optimal",
        "gap": 0.1 + 0.2,
        "large": 2**70,
        "nothing": None,
        "alternatives": [{"rank": 1}],
        "half": "\ud83d",
    }
    records.add(Job("done", "queued", NOON, '{"name": "Stütze \\u0000 \U0001f529"}', ("odd", "ﬁ")), "key-1", "f" * 64, 10)
    records.leases.claim()
    records.leases.finish("done", "done", plan, None, [{"elapsed_s": 1e-9}])
    records.add(Job("failed", "queued", NOON + timedelta(days=1), "{}"), None, "", 10)
    records.leases.claim()
    records.leases.finish("failed", "failed", None, Failure("invalid", "no longer", (Fault("/a", "wrong", "right"),)))
    records.add(Job("waits", "queued", NOON, "{}"), None, "", 10)

    def more(connection: sa.Connection) -> None:
        hook = {"id": "h1", "url": "https://erp.example/in", "events": ["plan.done"], "secret": "whsec_x", "enabled": False}
        connection.execute(webhooks.insert().values(**hook, made_at=NOON, made_by=None, version=1))
        sent = {"webhook": "h1", "event": "plan.done", "body": "{}", "attempts": 5, "last_error": "timed out"}
        connection.execute(deliveries.insert().values(id="d1", **sent, state="dead", made_at=NOON, next_at=NOON, ended_at=None))
        line = {"at": NOON, "api_key": None, "operation": "submit_plan", "address": "/v1/plans", "status": 202, "request_id": "r"}
        for _ in range(3):
            connection.execute(writes.insert().values(**line))
        connection.execute(writes.delete().where(writes.c.id == 3))
        note = Note("Käthe", NOON, "rates")
        make_book(connection, "shop", "shop", BookChange({"clear.weld": 0.1 + 0.2}), note)
        make_book(connection, "acme", "customer", BookChange(base="shop"), note)
        use_book(connection, "shop", 1, note, 1)

    store.write(more)
    store.close()


def everything(url: str) -> dict[str, list[tuple[tuple[str, str], ...]]]:
    """Return every row of every table as the driver gives it, as texts."""
    return {table: rows(url, table) for table in (*TABLES, *VERSIONS)}


def other_kind(url: str, folder: Path) -> str:
    folder.mkdir()
    return new_database(next(kind for kind in KINDS if not url.startswith(kind)), folder)


def test_by_way_of_the_other_kind_of_database_everything_comes_back_as_it_was(tmp_path: Path) -> None:
    database, other = new_database("sqlite", tmp_path), new_database("postgresql", tmp_path)
    a_busy_service(database)
    (tmp_path / "again").mkdir()
    again = new_database("sqlite", tmp_path / "again")
    first, second = tmp_path / "first", tmp_path / "second"
    made = back_up(database, first)
    assert restore(first, other) == made
    back_up(other, second)
    restore(second, again)
    assert everything(again) == everything(database)
    assert gzip.decompress(second.read_bytes()).splitlines()[1:-1] == gzip.decompress(first.read_bytes()).splitlines()[1:-1]
    assert sum(made.rows.values()) == sum(len(found) for table, found in everything(database).items() if table not in VERSIONS)
    assert stat.S_IMODE(first.stat().st_mode) == 0o600
    assert next_numbers(other) == next_numbers(again) == next_numbers(database), "a number that was given out is not given again"
    store = open_store(other, READERS)
    job = JobRecords(store, "two", 10, 24).get("done")
    store.close()
    assert job is not None and job.plan is not None and job.created_at == NOON
    assert (job.plan["gap"], job.plan["large"], job.plan["half"]) == (0.1 + 0.2, 2**70, "\ud83d")


def next_numbers(url: str) -> tuple[int, int]:
    """Make one more reservation and one more line of the journal of writes; return their numbers."""
    store = open_store(url, READERS)
    reserved = store.reserve(an_order(20, riser_75=1), by()).id
    line = {"at": NOON, "operation": "x", "address": "/", "status": 200, "request_id": "r"}
    written = store.write(lambda c: c.execute(writes.insert().values(**line).returning(writes.c.id)).scalar_one())
    store.close()
    return reserved, int(written)


def test_a_copy_is_of_one_moment_while_others_write(database: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    a_busy_service(database)
    before, write = everything(database), copy_file._line
    store = open_store(database, READERS)
    written: list[Reservation] = []

    def with_a_write_in_between(document: object) -> bytes:
        if not written:
            written.append(store.reserve(an_order(20, riser_75=1), by()))
        return write(document)

    monkeypatch.setattr(copy_file, "_line", with_a_write_in_between)
    back_up(database, tmp_path / "copy")
    store.close()
    again = other_kind(database, tmp_path / "other")
    restore(tmp_path / "copy", again)
    assert written and len(rows(again, "reservations")) == len(before["reservations"]) == len(rows(database, "reservations")) - 1


def test_a_copy_of_an_older_schema_is_brought_up_to_date(tmp_path: Path) -> None:
    database = new_database("postgresql", tmp_path)
    a_busy_shop(database)
    engine = make_engine(database, 30)
    SHELF.bring_to(writing(engine), "0002")
    SERVICE.bring_to(writing(engine), "0001")
    engine.dispose()
    back_up(database, tmp_path / "copy")
    other = other_kind(database, tmp_path / "other")
    restore(tmp_path / "copy", other)
    store = open_store(database, READERS)
    JobRecords(store, "one", 10, 24).create()
    store.close()
    back_up(database, tmp_path / "current")
    back_up(other, tmp_path / "restored")
    current, restored = (gzip.decompress((tmp_path / name).read_bytes()).splitlines()[1:-1] for name in ("current", "restored"))
    assert current == restored


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    folder = tmp_path_factory.mktemp("whole")
    url = new_database("sqlite", folder)
    a_busy_service(url)
    back_up(url, folder / "copy")
    return (folder / "copy").read_bytes()


@pytest.fixture
def copy(tmp_path: Path, whole: bytes) -> Path:
    (tmp_path / "copy").write_bytes(whole)
    return tmp_path / "copy"


def _lines(change: Callable[[list[bytes]], list[bytes]]) -> Callable[[bytes], bytes]:
    """Change a copy's lines, and pack them so that only our own checks can notice."""
    return lambda content: gzip.compress(b"".join(change(gzip.decompress(content).splitlines(keepends=True))))


def _head(**more: object) -> Callable[[bytes], bytes]:
    return _lines(lambda lines: [json.dumps(json.loads(lines[0]) | more).encode() + b"\n", *lines[1:]])


SPOILT: dict[str, tuple[Callable[[bytes], bytes], str]] = {
    "empty": (lambda content: b"", "no copy"),
    "something else": (lambda content: b"PK\x03\x04 an archive", "no copy"),
    "another document": (lambda content: gzip.compress(b'{"format": "holdwright.plan/1"}\n'), "no copy made by"),
    "cut short": (lambda content: content[: len(content) // 2], "cut short"),
    "one byte turned": (lambda content: content[:-6] + bytes([content[-6] ^ 1]) + content[-5:], "was changed"),
    "without its end": (_lines(lambda lines: lines[:-1]), "its end is missing"),
    "a row less": (_lines(lambda lines: [line for line in lines if b'"waits"' not in line]), "changed: its checksum"),
    "a value changed": (
        _lines(lambda lines: [line.replace(b"storekeeper", b"somebody it") for line in lines]),
        "changed: its checksum",
    ),
    "more behind its end": (_lines(lambda lines: [*lines, b"[]\n"]), "behind the end"),
    "a newer schema": (
        _head(revisions={"schema_version": "9999", "service_schema_version": "0001"}),
        "install the newer version",
    ),
    "a newer form": (_head(format="holdwright.backup/2"), "install the newer version"),
}


@pytest.mark.parametrize("spoilt", SPOILT)
def test_a_file_that_is_no_whole_copy_is_refused_and_nothing_is_left(copy: Path, tmp_path: Path, spoilt: str) -> None:
    spoil, words = SPOILT[spoilt]
    copy.write_bytes(spoil(copy.read_bytes()))
    with pytest.raises(WrongCopy, match=words):
        restore(copy, f"sqlite:///{tmp_path / 'again.sqlite3'}")
    assert not list(tmp_path.glob("again*"))


def test_nothing_is_left_in_postgresql_either(copy: Path) -> None:
    spoil, words = SPOILT["a value changed"]
    whole = copy.read_bytes()
    copy.write_bytes(spoil(whole))
    url = new_database("postgresql", copy.parent)
    with pytest.raises(WrongCopy, match=words):
        restore(copy, url)
    copy.write_bytes(whole)
    restore(copy, url)


def test_a_database_that_holds_something_is_not_written_over(copy: Path, database: str) -> None:
    if database.startswith("sqlite"):
        database = database.replace("shop", "another")
    a_busy_shop(database)
    before = rows(database, "reservations")
    with pytest.raises(NotEmpty, match="an empty one only"):
        restore(copy, database)
    assert rows(database, "reservations") == before


@pytest.fixture
def nowhere(tmp_path: Path) -> Iterator[str]:
    yield f"sqlite:///{tmp_path / 'nothing.sqlite3'}"
    assert not (tmp_path / "nothing.sqlite3").exists(), "looking makes no database"


def test_what_cannot_be_copied_leaves_the_copy_of_yesterday(nowhere: str, copy: Path) -> None:
    before = copy.read_bytes()
    with pytest.raises(HoldwrightError, match="there is no file"):
        back_up(nowhere, copy)
    assert copy.read_bytes() == before
    assert [path.name for path in copy.parent.iterdir() if "copy" in path.name] == ["copy"]
    with pytest.raises(InvalidSource, match="cannot be written"):
        back_up(nowhere, copy.parent / "no" / "such" / "folder")


def test_the_commands_say_what_there_is(copy: Path, tmp_path: Path) -> None:
    shop, again = f"sqlite:///{tmp_path / 'shop.sqlite3'}", f"sqlite:///{tmp_path / 'again.sqlite3'}"
    restore(copy, shop)
    made = holdwright("backup", "--db", shop, "--out", tmp_path / "by-command", "--json")
    assert made.returncode == 0, made.stderr
    told = holdwright("restore", tmp_path / "by-command", "--db", again)
    assert told.returncode == 0 and json.loads(made.stdout)["sha256"] in told.stdout
    assert holdwright("restore", tmp_path / "by-command", "--db", again).returncode == 2
    refused = holdwright("restore", tmp_path / "shop.sqlite3", "--db", again)
    assert (refused.returncode, "Traceback" in refused.stderr) == (2, False)
    assert "no copy made by `holdwright backup`" in refused.stderr
