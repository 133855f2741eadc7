"""What is removed when it has been kept long enough, and what stays: on both databases."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import sqlalchemy as sa

from inventory.availability import Span
from inventory.store import Connection, Note, Order, Readers, Store, catalogue, counts, documents, open_store, reservations
from inventory.store.answers import Once
from inventory.store.schema import answered
from service.documents import read_item, read_table
from service.records.jobs import JobRecords
from service.records.schema import api_keys, deliveries, job_events, plan_jobs, sign_ins, webhooks, writes
from service.retention import sweep, sweeper_of, would_go
from service.settings import Settings
from tests.databases import KINDS, new_database
from tests.shelf import item_document

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)
SETTINGS = Settings(keep_jobs_days=90, keep_events_days=7, keep_deliveries_days=30, keep_writes_days=400, key_hours=24)
FOR_EVER = Settings(keep_jobs_days=0, keep_events_days=0, keep_deliveries_days=0, keep_writes_days=0, key_hours=24)
OF_ALL = (job_events, plan_jobs, sign_ins, api_keys, deliveries, webhooks, writes)


def ago(**time: float) -> datetime:
    return NOON - timedelta(**time)


class Archive:
    """A store with old and new things in it."""

    def __init__(self, url: str) -> None:
        self.store: Store = open_store(url, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
        JobRecords(self.store, "tests", 10, 24).create()

    def emptied(self) -> Archive:
        for table in (*OF_ALL, answered):
            self.store.write(lambda c, table=table: c.execute(table.delete()))  # type: ignore[misc]
        return self

    def put(self, table: sa.Table, *rows: dict[str, Any]) -> None:
        self.store.write(lambda c: c.execute(table.insert(), list(rows)))

    def job(self, id: str, ended: datetime | None, **more: Any) -> None:
        asked = (ended or NOON) - timedelta(minutes=5) if ended is not None else more.pop("asked", NOON)
        state = "done" if ended is not None else "queued"
        values = {"id": id, "state": state, "created_at": asked, "finished_at": ended, "attempts": 1, "cancel_asked": False}
        self.put(plan_jobs, {**values, "request": "{}", "warnings": [], **more})

    def column(self, column: sa.Column[Any]) -> list[Any]:
        return self.store.read(lambda c: sorted(c.execute(sa.select(column)).scalars()))

    def sweep(self, settings: Settings = SETTINGS) -> dict[str, int]:
        """Sweep, and return what went; what a dry run promised is what goes."""
        promised = would_go(self.store, settings, NOON)
        gone = sweep(self.store, settings, NOON)
        assert gone == promised and not any(would_go(self.store, settings, NOON).values())
        return {what: count for what, count in gone.items() if count}


@pytest.fixture(scope="module", params=KINDS)
def kept_open(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Archive]:
    opened = Archive(new_database(request.param, tmp_path_factory.mktemp("archive")))
    yield opened
    opened.store.close()


@pytest.fixture
def archive(kept_open: Archive) -> Archive:
    return kept_open.emptied()


def test_old_jobs_go_with_their_events_and_open_ones_stay(archive: Archive) -> None:
    archive.job("old", ago(days=90, seconds=1))
    archive.job("new", ago(days=89, hours=23))
    archive.job("waits", None, asked=ago(days=400))
    for id in ("old", "new", "waits"):
        archive.put(job_events, *({"job": id, "number": number, "event": {}} for number in range(3)))
    assert archive.sweep() == {"jobs": 1, "events of jobs": 6}
    assert archive.column(plan_jobs.c.id) == ["new", "waits"]
    assert set(archive.column(job_events.c.job)) == {"waits"}


def test_events_are_kept_for_a_time_of_their_own(archive: Archive) -> None:
    for id, days in (("a", 6.9), ("b", 7.1)):
        archive.job(id, ago(days=days))
        archive.put(job_events, {"job": id, "number": 0, "event": {}})
    assert archive.sweep() == {"events of jobs": 1}
    assert archive.column(job_events.c.job) == ["a"]


def test_nothing_goes_that_is_kept_for_ever(archive: Archive) -> None:
    archive.job("old", ago(days=9999))
    archive.put(job_events, {"job": "old", "number": 0, "event": {}})
    archive.put(writes, {"at": ago(days=9999), "operation": "x", "address": "/", "status": 200, "request_id": "r"})
    assert archive.sweep(FOR_EVER) == {}


def test_plans_that_somebody_holds_stay(archive: Archive) -> None:
    note, span = Note("planner", NOON), Span(NOON.date(), NOON.date())
    for id in ("reserved", "released", "kept", "answer", "free"):
        archive.job(id, ago(days=100))
    archive.job("again", ago(days=1), answered_from="answer")

    def hold(connection: Connection) -> None:
        if not catalogue.find_items(connection):
            catalogue.put_item(connection, item_document("riser-75"), None)
            counts.receive(connection, "riser-75", 9, note)
        for id in ("reserved", "released"):
            there = reservations.reserve(connection, Order("job", span, {"riser-75": 1}, None, id, 1), note, NOON.date())
            if id == "released":
                reservations.release(connection, there.id, note)
        documents.keep_plan(connection, "kept", {}, None, span, note)

    archive.store.write(hold)
    assert archive.sweep() == {"jobs": 1}
    assert archive.column(plan_jobs.c.id) == ["again", "answer", "kept", "released", "reserved"]


def test_a_job_whose_answer_another_gave_is_held_only_as_long_as_that_one_is_there(archive: Archive) -> None:
    archive.job("first", ago(days=200))
    archive.job("again", ago(days=100), answered_from="first")
    assert sweep(archive.store, SETTINGS, NOON)["jobs"] == 2


def test_keys_are_forgotten_after_their_hours(archive: Archive) -> None:
    archive.job("old", ago(hours=25), key="one", key_body="x")
    archive.job("new", ago(hours=23), key="two", key_body="x")
    for key, hours in (("three", 24.1), ("four", 23.9)):
        archive.store.write_once(Once(key, "f", ago(hours=hours)), lambda connection: {"status": 200})
    assert archive.sweep(FOR_EVER) == {"keys of jobs": 1, "answers under a key": 1}
    assert archive.column(answered.c.key) == ["four"]
    with archive.store.engine.connect() as connection:
        assert dict(connection.execute(sa.select(plan_jobs.c.id, plan_jobs.c.key)).all()) == {"old": None, "new": "two"}


def test_a_job_is_there_as_long_as_its_key_is(archive: Archive) -> None:
    archive.job("a", ago(hours=30), key="one", key_body="x")
    short = Settings(keep_jobs_days=1, key_hours=48)
    assert archive.sweep(short) == {}
    assert archive.sweep(Settings(keep_jobs_days=1, key_hours=24)) == {"keys of jobs": 1, "jobs": 1}


def test_messages_that_ended_go_and_those_that_wait_stay_unless_their_webhook_is_off(archive: Archive) -> None:
    for id, enabled in (("on", True), ("off", False)):
        hook = {"id": id, "url": "https://erp.example/", "events": [], "secret": "s", "enabled": enabled, "made_at": NOON}
        archive.put(webhooks, hook | {"version": 1})
    old, new = ago(days=31), ago(days=29)
    for number, (hook_id, state, made, ended) in enumerate(
        (
            ("on", "delivered", old, old), ("on", "dead", old, old), ("on", "dead", old, new), ("on", "waiting", old, None),
            ("off", "waiting", old, None), ("off", "waiting", new, None),
        )
    ):  # fmt: skip
        message = {"id": f"m{number}", "webhook": hook_id, "event": "e", "body": "{}", "state": state, "made_at": made}
        archive.put(deliveries, message | {"attempts": 1, "next_at": made, "ended_at": ended, "last_error": ""})
    assert archive.sweep() == {"messages to webhooks": 3}
    assert archive.column(deliveries.c.id) == ["m2", "m3", "m5"]


def test_sign_ins_go_when_they_or_their_key_have_ended(archive: Archive) -> None:
    keys = {"good": {}, "revoked": {"revoked_at": ago(hours=1)}, "expired": {"expires_at": ago(hours=1)}}
    for id, ended in keys.items():
        key = {"id": id, "name": id, "role": "reader", "prefix": id, "hash": "h", "made_at": NOON, "made_by": "x"}
        archive.put(api_keys, key | ended)
        archive.put(sign_ins, {"hash": f"of {id}", "api_key": id, "made_at": NOON, "expires_at": NOON + timedelta(hours=1)})
    archive.put(sign_ins, {"hash": "over", "api_key": "good", "made_at": NOON, "expires_at": NOON})
    assert archive.sweep() == {"sign-ins": 3}
    assert archive.column(sign_ins.c.hash) == ["of good"]
    assert archive.column(api_keys.c.id) == ["expired", "good", "revoked"]


def test_the_journal_of_writes_is_kept_for_its_days(archive: Archive) -> None:
    for days in (399, 401):
        archive.put(writes, {"at": ago(days=days), "operation": "x", "address": "/", "status": 200, "request_id": str(days)})
    assert archive.sweep() == {"journal of writes": 1}
    assert archive.column(writes.c.request_id) == ["399"]


def test_a_sweep_that_is_to_stop_stops_between_two_transactions(archive: Archive) -> None:
    rows = [{"at": ago(days=500), "operation": "x", "address": "/", "status": 200, "request_id": "r"}] * 1000
    archive.put(writes, *rows)
    gone = sweep(archive.store, SETTINGS, NOON, lambda: len(archive.column(writes.c.id)) < 1000)
    assert 0 < gone["journal of writes"] < 1000
    assert archive.sweep() == {"journal of writes": 1000 - gone["journal of writes"]}


def test_a_server_sweeps_when_it_starts(archive: Archive) -> None:
    archive.job("old", ago(days=100))
    sweeper = sweeper_of(archive.store, SETTINGS, lambda: NOON)
    sweeper.start()
    ends = time.monotonic() + 10
    while archive.column(plan_jobs.c.id) and time.monotonic() < ends:
        time.sleep(0.01)
    sweeper.stop()
    assert archive.column(plan_jobs.c.id) == []


def test_writers_hardly_wait_while_thousands_of_rows_go(archive: Archive) -> None:
    alone, beside, gone = waits_while_swept(archive, 3000)
    print(f"longest write alone {alone:.3f} s, beside a sweep of {gone} rows {beside:.3f} s")
    assert gone >= 3000
    assert beside < 1.0


@pytest.mark.slow
def test_writers_hardly_wait_while_50000_rows_go(archive: Archive) -> None:
    alone, beside, gone = waits_while_swept(archive, 50_000)
    print(f"longest write alone {alone:.3f} s, beside a sweep of {gone} rows {beside:.3f} s")
    assert gone >= 50_000
    assert beside < 1.0


def waits_while_swept(archive: Archive, count: int) -> tuple[float, float, int]:
    """Return the longest write (s) of one writer alone and beside a sweep, and how many rows the sweep removed.

    One row in ten is a job with a plan of 40 kB and five events, the rest are entries of the journal of writes.
    """
    plan = {"alternatives": ["x" * 1000] * 40}
    for first in range(0, count // 10, 100):
        ids = [f"j{number}" for number in range(first, min(first + 100, count // 10))]
        at = {"created_at": ago(days=200), "finished_at": ago(days=200)}
        common = {"state": "done", "attempts": 1, "cancel_asked": False, "request": "{}", "warnings": [], "plan": plan, **at}
        archive.put(plan_jobs, *({"id": id, **common} for id in ids))
        archive.put(job_events, *({"job": id, "number": number, "event": {}} for id in ids for number in range(5)))
    entry = {"at": ago(days=500), "operation": "x", "address": "/", "status": 200, "request_id": "r"}
    for first in range(0, count, 1000):
        archive.put(writes, *([entry] * min(1000, count - first)))
    swept: list[dict[str, int]] = []
    alone = longest_write(archive, lambda number: number < 20)
    thread = threading.Thread(target=lambda: swept.append(sweep(archive.store, SETTINGS, NOON)))
    thread.start()
    beside = longest_write(archive, lambda number: thread.is_alive())
    thread.join()
    return alone, beside, sum(swept[0].values())


def longest_write(archive: Archive, go_on: Callable[[int], bool]) -> float:
    """Return the longest of many small writes, s, each with its wait for the turn to write."""
    longest, number = 0.0, 0
    entry = {"at": NOON, "operation": "x", "address": "/", "status": 200, "request_id": "new"}
    while go_on(number):
        began = time.perf_counter()
        archive.put(writes, entry)
        longest, number = max(longest, time.perf_counter() - began), number + 1
        time.sleep(0.005)
    return longest
