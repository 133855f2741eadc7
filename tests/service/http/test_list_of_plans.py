"""The list of plans: newest first, by pages, filtered; on both databases."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from service.records.job import Job
from service.records.jobs import JobRecords, as_text
from tests.service.asked import asked
from tests.service.http.conftest import House
from tests.service.http.shop import Shop

NOON = datetime(2027, 3, 1, 12, tzinfo=UTC)


def kept(records: JobRecords, id: str, name: str, after_s: int) -> None:
    request = as_text({"weldment": {"name": name}})
    records.add(Job(id, "queued", NOON + timedelta(seconds=after_s), request, name=name), None, "", 100)


@pytest.fixture
def full(shop: Shop) -> Shop:
    """Seven jobs; two came at one moment."""
    for id, name, after_s in (
        ("a", "hinge lug", 0), ("b", "Hinge post", 1), ("c", "tee", 1), ("d", "100% tee", 2), ("e", "frame", 3), ("f", "", 4),
        ("g", "frame", 5),
    ):  # fmt: skip
        kept(shop.records, id, name, after_s)
    job = shop.records.leases.claim()
    assert job is not None and job.id == "a"
    shop.records.leases.finish("a", "done", {"status": "optimal", "alternatives": []})
    return shop


def ids(shop: Shop, query: str) -> list[str]:
    answer = shop.ask("GET", f"/v1/plans?{query}")
    assert answer.status_code == 200, answer.text
    return [job["id"] for job in answer.json()["jobs"]]


def test_plans_are_listed_newest_first_by_pages(full: Shop) -> None:
    found: list[str] = []
    page: dict[str, Any] = full.ask("GET", "/v1/plans?limit=2").json()
    while page["next"]:
        found += [job["id"] for job in page["jobs"]]
        kept(full.records, f"new-{len(found)}", "comes meanwhile", 60 + len(found))
        page = full.ask("GET", "/v1/plans", params={"limit": 2, "cursor": page["next"]}).json()
    assert [*found, *(job["id"] for job in page["jobs"])] == ["g", "f", "e", "d", "c", "b", "a"]


def test_plans_are_found_by_state_status_name_and_moment(full: Shop) -> None:
    assert ids(full, "state=done") == ["a"]
    assert ids(full, "state=done&state=queued&limit=3") == ["g", "f", "e"]
    assert ids(full, "status=optimal") == ["a"] and ids(full, "status=infeasible") == []
    assert ids(full, "name=HINGE") == ["b", "a"] and ids(full, "name=%25") == ["d"] and ids(full, "name=_") == []
    assert ids(full, "since=2027-03-01T12:00:04Z") == ["g", "f"]
    assert ids(full, "until=2027-03-01T13:00:01%2B01:00") == ["a"]
    assert ids(full, "kind=plan&name=tee") == ["d", "c"]


def test_a_job_in_the_list_has_everything_but_its_plan(full: Shop) -> None:
    (job,) = full.ask("GET", "/v1/plans?status=optimal").json()["jobs"]
    assert job["created_at"] == "2027-03-01T12:00:00Z" and job["finished_at"] is not None
    assert {key: job[key] for key in ("id", "kind", "name", "state", "status", "attempts")} == {
        "id": "a", "kind": "plan", "name": "hinge lug", "state": "done", "status": "optimal", "attempts": 1,
    }  # fmt: skip
    assert "plan" not in job and "request" not in job


def test_a_job_that_was_asked_for_is_in_the_list(house: House) -> None:
    id = house.ask("a name of its own", wait=20).json()["id"]
    (job,) = house.call("GET", "/v1/plans?name=name of its own").json()["jobs"]
    assert (job["id"], job["state"], job["status"]) == (id, "done", "optimal")
    assert (job["quantity"], job["total_cents"], job["gap"], job["pieces_short"]) == (300, 900, 0.0, 0)
    assert job["needed"] == asked()["needed"]
