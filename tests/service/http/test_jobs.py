"""Jobs at the door: answered from the store, urgent or not, honest when something is broken, advice like plans."""

from __future__ import annotations

import asyncio
import json
import time
from typing import Any

import httpx
import pytest

from inventory.store.errors import Unreachable
from service.planning_jobs import work
from service.planning_jobs.side_tasks import MOST_DOCUMENTS
from tests.service.asked import asked
from tests.service.http.conftest import HERE, House


def test_the_same_request_is_answered_by_what_was_solved_before(house: House) -> None:
    first = house.ask("asked twice", wait=20, seed=7).json()
    again = house.ask("asked twice", again=True, seed=7)
    job = again.json()
    assert (again.status_code, job["state"], job["answered_from"], job["attempts"]) == (200, "done", first["id"], 0)
    assert job["id"] != first["id"] and job["plan"] == first["plan"]
    assert house.call("GET", f"/v1/plans/{job['id']}").json() == job
    assert house.call("GET", f"/v1/plans/{job['id']}/events").text.startswith("event: end\n")
    reordered = dict(reversed(list(asked("asked twice", seed=7).items())))
    assert house.call("POST", "/v1/plans", json=reordered).json()["answered_from"] == first["id"]


@pytest.mark.parametrize("changes", [{"seed": 8}, {"quantity": 7}, {"needed": {"from": "2027-03-01", "to": "2027-03-02"}}])
def test_another_request_is_solved_for_itself(house: House, changes: dict[str, Any]) -> None:
    house.ask("asked once", wait=20)
    assert house.ask("asked once", wait=20, again=True, **changes).json()["answered_from"] is None


def test_another_stock_or_release_is_solved_for_itself(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    first = house.ask("of a release", wait=20).json()
    assert house.ask("of a release", wait=20, again=True).json()["answered_from"] == first["id"]
    monkeypatch.setattr("service.planning_jobs.content.release", lambda: "9.9.9")
    assert house.ask("of a release", wait=20, again=True).json()["answered_from"] is None


def test_a_plan_that_was_cut_off_answers_nobody(house: House) -> None:
    id = house.ask("slow", time_limit_s=30, seed=11).json()["id"]
    house.until(id, "running")
    house.call("DELETE", f"/v1/plans/{id}", headers={"Prefer": "wait=10"})
    again = house.ask("slow", again=True, time_limit_s=30, seed=11).json()
    assert again["answered_from"] is None
    house.call("DELETE", f"/v1/plans/{again['id']}", headers={"Prefer": "wait=10"})


def test_a_key_gives_the_job_it_gave_before_also_when_that_was_answered(house: House) -> None:
    house.ask("keyed", wait=20)
    first, again = house.ask("keyed", again=True, key="twice-1"), house.ask("keyed", again=True, key="twice-1")
    assert first.json()["id"] == again.json()["id"] and first.json()["answered_from"]


def test_how_urgent_a_job_is_is_said_in_one_of_two_words(house: House) -> None:
    assert house.call("POST", "/v1/plans?priority=batch", json=asked("batch")).json()["priority"] == "batch"
    assert house.call("POST", "/v1/plans?priority=soon", json=asked()).status_code == 422


def test_a_job_whose_beginning_fails_says_so_at_once(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*given: object) -> None:
        raise ZeroDivisionError("a mistake of ours")

    monkeypatch.setattr("service.planning_jobs.job_solver.work_of", breaks)
    job = house.ask(wait=20).json()
    assert (job["state"], job["attempts"], job["problem"]["type"]) == ("failed", 1, "/v1/problems/internal")
    assert "ZeroDivisionError" in job["problem"]["detail"]


def test_a_job_whose_stock_is_away_waits_for_it(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    real, tries = work.work_of, []

    def away(*given: Any) -> Any:
        tries.append(1)
        if len(tries) < 3:
            raise Unreachable("the database does not answer")
        return real(*given)

    monkeypatch.setattr("service.planning_jobs.job_solver.work_of", away)
    job = house.ask(wait=20).json()
    assert (job["state"], job["attempts"], len(tries)) == ("done", 1, 3)


def test_large_documents_are_read_elsewhere_and_only_so_many_at_once(house: House) -> None:
    tasks = house.app.state.context.planning.side_tasks
    body = json.dumps(asked("large")).encode() + b" " * 200_000
    headers = {"Content-Type": "application/json", "Cache-Control": "no-cache"}

    async def crowd() -> list[httpx.Response]:
        door = httpx.ASGITransport(app=house.app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=door, base_url=HERE, timeout=60) as client:
            asking = [
                asyncio.create_task(client.post("/v1/plans", content=body, headers=headers)) for _ in range(MOST_DOCUMENTS + 6)
            ]
            while not tasks.documents.taken:
                await asyncio.sleep(0.01)
            began = time.monotonic()
            assert (await client.get("/v1/plans/nobody")).status_code == 404
            assert time.monotonic() - began < 5, "the door is free"
            return await asyncio.gather(*asking)

    answers = house.loop.run(crowd())
    assert {answer.status_code for answer in answers} == {202, 503}
    assert all(answer.headers["retry-after"] for answer in answers if answer.status_code == 503)
    assert tasks.documents.taken == 0
    for answer in answers:
        if answer.status_code == 202:
            house.call("DELETE", f"/v1/plans/{answer.json()['id']}")


ADVICE = {"budget_cents": 30000, "time_limit_s": 2, "requests": [{"request": asked("slow", time_limit_s=1), "times": 3}]}


def test_advice_is_a_job_of_its_own(house: House) -> None:
    taken = house.call("POST", "/v1/stock/advice", json=ADVICE, headers={"Idempotency-Key": "advice-1"})
    assert taken.status_code == 202
    where = taken.headers["location"]
    assert where == f"/v1/stock/advice/{taken.json()['id']}"
    again = house.call("POST", "/v1/stock/advice", json=ADVICE, headers={"Idempotency-Key": "advice-1"})
    assert again.headers["location"] == where
    done = house.call("GET", where, headers={"Prefer": "wait=20"}).json()
    assert (done["state"], done["problem"], done["advice"]["complete"]) == ("done", None, False)
    assert house.call("GET", f"/v1/plans/{taken.json()['id']}").status_code == 404
    plan = house.ask(wait=20).json()
    assert house.call("GET", f"/v1/stock/advice/{plan['id']}").status_code == 404
    assert house.call("DELETE", f"/v1/stock/advice/{plan['id']}").status_code == 404


def test_advice_can_be_cancelled(house: House) -> None:
    where = house.call("POST", "/v1/stock/advice", json=ADVICE | {"time_limit_s": 50}).headers["location"]
    ended = house.call("DELETE", where, headers={"Prefer": "wait=10"})
    assert (ended.status_code, ended.json()["state"]) == (200, "cancelled")
