"""The table of jobs: who works on what, once only, and what becomes of it when somebody dies. On both databases."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from inventory.errors import Fault
from inventory.store import Readers, Store, open_store
from inventory.store.errors import KeyReused
from service.documents import read_item, read_table
from service.errors import QueueFull
from service.records.job import Failure, Job
from service.records.jobs import JobRecords
from tests.databases import database

__all__ = ["database"]
NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


class Shop:
    """A store, and a clock the test turns."""

    def __init__(self, url: str) -> None:
        self.store: Store = open_store(url, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
        self.at = NOON

    def records(self, owner: str) -> JobRecords:
        return JobRecords(self.store, owner, lease_s=10, key_hours=24, clock=lambda: self.at).create()

    def later(self, **time: float) -> None:
        self.at += timedelta(**time)


@pytest.fixture
def shop(database: str) -> Iterator[Shop]:
    opened = Shop(database)
    yield opened
    opened.store.close()


def job(id: str, at: datetime = NOON) -> Job:
    return Job(id, "queued", at, '{"name": "Stütze"}', ("odd",))


def test_a_job_comes_back_as_it_was_saved(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    assert records.get("a") == job("a")
    assert records.get("b") is None


def test_jobs_are_taken_up_oldest_first_and_by_one_server_only(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    for minutes, id in ((2, "late"), (0, "early"), (1, "middle")):
        one.add(job(id, NOON + timedelta(minutes=minutes)), None, "", 5)
    taken = [records.claim() for records in (one, two, one, two)]
    assert [each and each.id for each in taken] == ["early", "middle", "late", None]
    assert taken[0] is not None
    assert (taken[0].state, taken[0].attempts, taken[0].started_at) == ("running", 1, NOON)


def test_many_servers_never_take_the_same_job(shop: Shop) -> None:
    records = [shop.records(f"server-{k}") for k in range(6)]
    for k in range(30):
        records[0].add(job(f"j{k}"), None, "", 100)
    taken: list[str] = []

    def work(mine: JobRecords) -> None:
        while (found := mine.claim()) is not None:
            taken.append(found.id)
            mine.finish(found.id, "done", {"status": "optimal"})

    threads = [threading.Thread(target=work, args=(each,)) for each in records]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(taken) == sorted(f"j{k}" for k in range(30))
    assert records[0].counts() == {"queued": 0, "running": 0, "done": 30, "failed": 0, "cancelled": 0}


def test_a_job_is_free_again_when_its_servers_lease_has_run_out(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    one.add(job("a"), None, "", 5)
    assert one.claim() is not None
    shop.later(seconds=9)
    assert two.claim() is None
    assert one.renew() == ()
    shop.later(seconds=9)
    assert two.claim() is None, "renewed"
    shop.later(seconds=2)
    again = two.claim()
    assert again is not None
    assert again.attempts == 2
    one.finish("a", "done", {"status": "optimal"})
    assert records_state(two, "a") == "running", "the first server has lost it"
    failure = Failure("invalid", "the request no longer fits the stock", (Fault("/tables/0", "there is no table", "T1"),))
    two.finish("a", "failed", failure=failure, progress={"gap": 0.5})
    found = two.get("a")
    assert found is not None
    assert (found.state, found.failure, found.progress, found.plan) == ("failed", failure, {"gap": 0.5}, None)


def test_a_server_that_stops_in_order_gives_its_jobs_back_as_new(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    for id in ("a", "b"):
        one.add(job(id), None, "", 5)
        one.claim()
    one.finish("b", "done", {"status": "optimal"})
    one.give_back()
    assert records_state(one, "b") == "done"
    again = two.claim()
    assert again is not None
    assert (again.id, again.attempts) == ("a", 1)


def test_the_same_key_and_body_are_one_job_for_a_day(shop: Shop) -> None:
    records = shop.records("one")
    first = records.add(job("a"), "key", "body", 5)
    assert records.add(job("b"), "key", "body", 5) == first
    with pytest.raises(KeyReused):
        records.add(job("c"), "key", "other body", 5)
    shop.later(hours=23.9)
    assert records.add(replace(job("d"), created_at=shop.at), "key", "body", 5).id == "a"
    shop.later(hours=0.2)
    assert records.add(replace(job("e"), created_at=shop.at), "key", "other body", 5).id == "e"
    assert records.get("b") is None


def test_only_so_many_jobs_wait(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 2)
    records.add(job("b"), "key", "body", 2)
    with pytest.raises(QueueFull):
        records.add(job("c"), None, "", 2)
    assert records.add(job("d"), "key", "body", 2).id == "b", "a repeated call finds its job even then"
    records.claim()
    assert records.add(job("c"), None, "", 2).id == "c"


def test_cancelling_ends_what_waits_and_marks_what_runs(shop: Shop) -> None:
    one, two = shop.records("one"), shop.records("two")
    for id in ("runs", "waits"):
        one.add(job(id), None, "", 5)
        if id == "runs":
            one.claim()
    for id, state in (("runs", "running"), ("waits", "cancelled")):
        cancelled = two.ask_cancel(id)
        assert cancelled is not None
        assert (cancelled.state, cancelled.cancel_asked) == (state, True)
    assert one.renew() == ("runs",), "the server that runs it hears of it at its next renewal"
    assert one.claim() is None
    one.finish("runs", "cancelled", {"status": "feasible"})
    finished = one.ask_cancel("runs")
    assert finished is not None
    assert finished.plan == {"status": "feasible"}
    assert one.ask_cancel("nobody") is None


def test_the_newest_progress_of_a_running_job_is_kept(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    records.progress("a", {"gap": 1})
    assert (records.get("a") or job("")).progress is None, "it does not run yet"
    records.claim()
    records.progress("a", {"gap": 0.5})
    assert (records.get("a") or job("")).progress == {"gap": 0.5}
    assert records.open_jobs() == 1


def records_state(records: JobRecords, id: str) -> str:
    found = records.get(id)
    assert found is not None
    return found.state
