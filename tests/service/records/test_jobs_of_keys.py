"""Jobs by the API key that asks for them: counted as they are added, noted in the journal. On both databases."""

from __future__ import annotations

import pytest
import sqlalchemy as sa

from inventory.store import open_store
from service.errors import QueueFull, TooManyJobs
from service.records.job import Job
from service.records.jobs import JobRecords
from service.records.noted_writes import WantedWrites, WriteRecords
from service.records.writes import Asked
from tests.service.records.test_jobs import NOON, database
from tests.shelf import READERS

__all__ = ["database"]


def asked(key: str | None, operation: str = "submit_plan") -> Asked:
    return Asked(key, "somebody", operation, "POST /v1/plans", NOON, "r-1")


def job(id: str, key: str | None) -> Job:
    return Job(id, "queued", NOON, "{}", asked_by=key)


def test_one_key_has_only_so_many_jobs_open_and_each_write_its_line(database: str) -> None:
    store = open_store(database, READERS)
    records = JobRecords(store, "a", lease_s=10, key_hours=24).create()
    for id in ("one", "two"):
        records.add(job(id, "erp"), id, "body", 10, asked("erp"), 2)
    with pytest.raises(TooManyJobs, match="2 jobs of this key"):
        records.add(job("three", "erp"), None, "", 10, asked("erp"), 2)
    assert records.add(job("again", "erp"), "two", "body", 10, asked("erp"), 2).id == "two", "asked again, it is no more work"
    records.add(job("others", "quotes"), None, "", 10, asked("quotes"), 2)
    for number in range(3):
        records.add(job(f"local-{number}", None), None, "", 10, asked(None), 2)
    assert (records.get("one") or job("", None)).asked_by == "erp"
    assert records.leases.claim("one") is not None
    with pytest.raises(TooManyJobs):
        records.add(job("three", "erp"), None, "", 10, asked("erp"), 2)
    records.leases.finish("one", "done", {"status": "optimal"})
    records.add(job("three", "erp"), None, "", 10, asked("erp"), 2)
    with pytest.raises(QueueFull):
        records.add(job("four", "quotes"), None, "", 1, asked("quotes"), 2)
    for id in ("two", "two", "one", "nobody"):
        records.ask_cancel(id, asked("quotes", "cancel_plan"))
    noted = WriteRecords(store).listed(WantedWrites(), None, 100)
    assert [(each.key, each.operation, each.status) for each in reversed(noted)] == [
        ("erp", "submit_plan", 202), ("erp", "submit_plan", 202), ("quotes", "submit_plan", 202),
        *[(None, "submit_plan", 202)] * 3, ("erp", "submit_plan", 202), ("quotes", "cancel_plan", 200),
    ]  # fmt: skip
    with store.engine.connect() as connection:
        assert connection.execute(sa.text("SELECT count(*) FROM plan_jobs")).scalar_one() == 7
    store.close()
