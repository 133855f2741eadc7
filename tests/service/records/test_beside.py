"""Work on jobs beside the writers of the stock: it waits for none of them, and a cancel in between is not lost. On PostgreSQL."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import pytest
import sqlalchemy as sa

from inventory.store import Store
from service.records.schema import plan_jobs
from tests.databases import new_postgresql
from tests.service.records.test_jobs import Shop, job


@pytest.fixture
def shop() -> Iterator[Shop]:
    opened = Shop(new_postgresql())
    yield opened
    opened.store.close()


@contextmanager
def a_long_write(store: Store) -> Iterator[None]:
    """Keep the turn of the stock's writers."""
    began, done = threading.Event(), threading.Event()

    def action(connection: sa.Connection) -> None:
        began.set()
        assert done.wait(60)

    with ThreadPoolExecutor(1) as pool:
        writing = pool.submit(store.write, action)
        assert began.wait(60)
        try:
            yield
        finally:
            done.set()
            writing.result()


def test_jobs_are_worked_on_while_somebody_writes_stock(shop: Shop) -> None:
    records = shop.records("one")
    for id in "abc":
        records.add(job(id), None, "", 5)
    with a_long_write(shop.store):
        assert [(taken := records.leases.claim()) and taken.id for _ in "abcd"] == ["a", "b", "c", None]
        assert records.leases.add_events("a", [{"gap": 0.5}])
        records.leases.renew(["a", "b"])
        assert records.leases.finish("a", "done", {"status": "optimal"})
        records.leases.give_back("b")
        shop.later(seconds=11)
        assert [lost.id for lost in records.leases.close_lost()] == []
    states = {id: found.state for id in "abc" if (found := records.get(id)) is not None}
    assert states == {"a": "done", "b": "queued", "c": "running"}


def test_a_cancel_waits_until_a_job_is_given_back(shop: Shop) -> None:
    """Else it would find the job neither queued nor running, and be lost."""
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    assert records.leases.claim() is not None
    with ThreadPoolExecutor(1) as pool:
        with shop.store.engine.begin() as connection:
            connection.execute(plan_jobs.update().values(state="queued", owner=None, leased_until=None))
            cancelled = pool.submit(records.ask_cancel, "a")
            time.sleep(0.3)
            assert not cancelled.done()
        found = cancelled.result(60)
    assert found is not None and found.state == "cancelled"


def test_a_job_that_is_cancelled_while_it_is_given_back_is_not_queued(shop: Shop) -> None:
    records = shop.records("one")
    records.add(job("a"), None, "", 5)
    assert records.leases.claim() is not None
    with ThreadPoolExecutor(1) as pool:
        with shop.store.engine.begin() as connection:
            connection.execute(plan_jobs.update().values(cancel_asked=True))
            given_back = pool.submit(records.leases.give_back, "a")
            time.sleep(0.3)
            assert not given_back.done()
        given_back.result(60)
    found = records.get("a")
    assert found is not None and found.state == "cancelled"
