"""Asking for plans: at once or later, once only, followed, cancelled, and what is left when something breaks."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.service.http.conftest import House


def test_a_request_is_taken_in_and_answered_at_its_address(house: House) -> None:
    taken = house.ask()
    assert taken.status_code == 202
    job = taken.json()
    assert taken.headers["location"] == f"/v1/plans/{job['id']}"
    assert job["state"] in ("queued", "running")
    done = house.until(job["id"], "done")
    assert done["plan"]["format"] == "holdwright.plan/1"
    assert done["plan"]["alternatives"][0]["cost"]["total_cents"] == 900
    assert done["problem"] is None
    assert done["created_at"] <= done["started_at"] <= done["finished_at"]


def test_a_caller_that_waits_gets_the_answer_at_once(house: House) -> None:
    answer = house.ask(wait=20)
    assert (answer.status_code, answer.headers["preference-applied"]) == (200, "wait=20")
    assert answer.json()["state"] == "done"
    assert "retry-after" not in answer.headers


def test_a_wait_too_short_is_202_with_how_far_it_is(house: House) -> None:
    answer = house.ask("slow", wait=1, time_limit_s=20)
    job = answer.json()
    assert (answer.status_code, job["state"], job["plan"]) == (202, "running", None)
    assert job["progress"]["incumbent_cents"] == 900
    assert 0 < job["progress"]["gap"] < 1
    house.call("DELETE", f"/v1/plans/{job['id']}", headers={"Prefer": "wait=5"})


def test_no_plan_is_an_answer_and_not_a_failure(house: House) -> None:
    job = house.ask("refused", wait=20).json()
    assert (job["state"], job["plan"]["status"], job["problem"]) == ("done", "infeasible", None)
    assert job["plan"]["refused"]["because"][0]["rule"] == "counted"


def test_the_stock_is_looked_up_for_the_days_the_hardware_is_needed(house: House) -> None:
    house.stock.spans.clear()
    house.ask(wait=20, needed={"from": "2027-03-01", "to": "2027-03-03"})
    assert [day.isoformat() for day in house.stock.spans[-1]] == ["2027-03-01", "2027-03-03"]


def test_the_same_key_gives_the_same_job(house: House) -> None:
    first, again = house.ask(key="order-1"), house.ask(key="order-1")
    assert first.json()["id"] == again.json()["id"]
    assert again.headers["location"] == first.headers["location"]
    assert house.ask(key="order-2").json()["id"] != first.json()["id"]
    house.until(first.json()["id"], "done")


def test_a_key_used_for_another_request_is_refused(house: House) -> None:
    house.ask(key="order-3")
    refused = house.ask(key="order-3", quantity=7)
    assert (refused.status_code, refused.json()["type"]) == (422, "/v1/problems/key-reused")


def test_a_cancelled_solve_keeps_its_best_plan(house: House) -> None:
    id = house.ask("slow", time_limit_s=30).json()["id"]
    house.until(id, "running")
    answer = house.call("DELETE", f"/v1/plans/{id}", headers={"Prefer": "wait=10"})
    job = answer.json()
    assert (answer.status_code, job["state"], job["plan"]["stopped_by"]) == (200, "cancelled", "cancel")
    assert len(job["plan"]["alternatives"]) == 1


def test_a_solve_that_does_not_follow_a_cancel_is_killed_and_keeps_its_best_plan(house: House) -> None:
    id = house.ask("hangs", wait=1, time_limit_s=30).json()["id"]
    assert house.call("DELETE", f"/v1/plans/{id}").status_code == 202
    job = house.until(id, "cancelled")
    assert (job["plan"]["stopped_by"], job["plan"]["alternatives"][0]["cost"]["total_cents"]) == ("cancel", 900)
    assert house.ask(wait=20).json()["state"] == "done"


def test_cancelling_a_finished_job_changes_nothing(house: House) -> None:
    job = house.ask(wait=20).json()
    answer = house.call("DELETE", f"/v1/plans/{job['id']}")
    assert (answer.status_code, answer.json()) == (200, job)


def test_a_full_queue_says_so_and_a_waiting_job_can_be_cancelled(house: House) -> None:
    running = [house.ask("slow", time_limit_s=30).json()["id"] for _ in range(2)]
    for id in running:
        house.until(id, "running")
    waiting = [house.ask("slow", time_limit_s=30).json()["id"] for _ in range(3)]
    full = house.ask()
    assert (full.status_code, full.json()["type"], full.headers["retry-after"]) == (503, "/v1/problems/busy", "10")
    for id in reversed(waiting):
        job = house.call("DELETE", f"/v1/plans/{id}").json()
        assert (job["state"], job["plan"], job["started_at"]) == ("cancelled", None, None)
    for id in running:
        house.call("DELETE", f"/v1/plans/{id}")
        house.until(id, "cancelled")


def test_a_solve_that_dies_leaves_the_best_plan_it_told_beside_its_failure(house: House) -> None:
    job = house.ask("dies with a plan", wait=20).json()
    assert (job["state"], job["problem"]["type"]) == ("failed", "/v1/problems/worker-died")
    assert (job["plan"]["status"], job["plan"]["stopped_by"]) == ("feasible", "cancel")
    assert job["plan"]["alternatives"][0]["cost"]["total_cents"] == 900


@pytest.mark.parametrize(
    ("name", "type", "says"), [("dies", "worker-died", "SIGKILL"), ("raises", "internal", "the server's log has the details")]
)
def test_a_broken_solve_fails_alone(house: House, name: str, type: str, says: str) -> None:
    beside = house.ask("slow", time_limit_s=1).json()["id"]
    house.until(beside, "running")
    job = house.ask(name, wait=20).json()
    assert (job["state"], job["plan"], job["problem"]["type"]) == ("failed", None, f"/v1/problems/{type}")
    assert says in job["problem"]["detail"]
    assert house.ask(wait=20).json()["state"] == "done"
    assert house.until(beside, "done")["plan"]["status"] == "feasible"


@pytest.mark.parametrize(
    ("name", "status", "bound", "gap"),
    [
        ("hangs", "feasible", 800, 100 / 900),
        ("hangs in a library", "feasible", 800, 100 / 900),
        ("hangs once it is proved", "optimal", 900, 0.0),
    ],
)
def test_a_solve_over_its_limit_is_ended_with_what_it_told_last(
    house: House, name: str, status: str, bound: int, gap: float
) -> None:
    job = house.ask(name, time_limit_s=1, wait=20).json()
    plan = job["plan"]
    assert (job["state"], plan["status"], plan["stopped_by"], plan["cost_bound_cents"]) == ("done", status, "time", bound)
    assert plan["gap"] == pytest.approx(gap)
    assert [each["cost"]["total_cents"] for each in plan["alternatives"]] == [900]
    assert 1.0 <= plan["solve_s"] < 5.0


@pytest.mark.parametrize(("name", "bound"), [("hangs at once", None), ("hangs while it explains", 500)])
def test_a_solve_over_its_limit_that_told_no_plan_says_so(house: House, name: str, bound: int | None) -> None:
    job = house.ask(name, time_limit_s=1, wait=20).json()
    plan = job["plan"]
    assert (job["state"], plan["status"], plan["stopped_by"], plan["cost_bound_cents"]) == ("done", "unknown", "time", bound)
    assert [reason["rule"] for reason in plan["refused"]["because"]] == ["search.time"]


def test_progress_comes_as_events_and_ends_with_the_state(house: House) -> None:
    id = house.ask("slow", time_limit_s=1).json()["id"]
    heard = _events(house.call("GET", f"/v1/plans/{id}/events").text)
    assert [event["id"] for event in heard[:-1]] == [str(k) for k in range(len(heard) - 1)]
    assert len(heard) > 5
    bounds = [event["data"]["bound_cents"] for event in heard[:-1]]
    assert bounds == sorted(bounds)
    assert heard[-1] == {"event": "end", "data": {"state": "done", "status": "feasible"}}
    later = _events(house.call("GET", f"/v1/plans/{id}/events", headers={"Last-Event-ID": "3"}).text)
    assert later == heard[4:]


def test_the_longest_time_limit_is_the_servers(house: House) -> None:
    refused = house.ask(time_limit_s=61)
    assert refused.status_code == 422
    assert refused.json()["faults"][0] == {
        "pointer": "/time_limit_s", "wrong": "61 s is longer than this server solves", "accepted": "at most 60 s"
    }  # fmt: skip
    assert house.ask(time_limit_s=60, wait=20).status_code == 200


@pytest.mark.parametrize("method, address", [("GET", ""), ("GET", "/events"), ("DELETE", ""), ("POST", "/replan")])
def test_an_unknown_plan_is_not_found(house: House, method: str, address: str) -> None:
    answer = house.call(method, f"/v1/plans/nope{address}")
    assert (answer.status_code, answer.json()["type"]) == (404, "/v1/problems/not-found")
    assert answer.headers["content-type"] == "application/problem+json"


def test_replanning_keeps_an_alternative_and_leaves_out_what_is_missing(house: House) -> None:
    item, other = list(house.stock.now.items)[:2]
    first = house.ask(wait=20, without={"items": {other: 1}, "holes": ["D4"]}).json()
    body = {"rank": 1, "without": {"items": {item: 2}, "holes": ["C8"]}, "changes": {"quantity": 4}}
    again = house.call("POST", f"/v1/plans/{first['id']}/replan", json=body, headers={"Prefer": "wait=20"})
    assert (again.status_code, again.json()["state"]) == (200, "done")
    request = json.loads(house.app.state.context.planning.job(again.json()["id"]).request)
    assert request["keep"] == first["plan"]["alternatives"][0]
    assert request["without"] == {"items": {other: 1, item: 2}, "holes": ["D4", "C8"]}
    assert request["quantity"] == 4
    assert house.call("POST", f"/v1/plans/{first['id']}/replan", headers={"Prefer": "wait=20"}).json()["state"] == "done"


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"rank": 2}, "/rank"),
        ({"rank": True}, "/rank"),
        ({"ranks": 1}, "/ranks"),
        ({"changes": {"keep": None}}, "/changes/keep"),
        ({"changes": {"held": {}}}, "/changes/held"),
        ({"changes": {"needed": {"from": "2027-03-02", "to": "2027-03-01"}}}, "/needed/to"),
        ({"changes": {"needed": 7}}, "/needed"),
        ({"changes": 3}, "/changes"),
        ({"without": {"items": {"stop-50": -1}}}, "/without/items/stop-50"),
        ({"without": 7}, "/without"),
        ([], ""),
    ],
)
def test_a_replan_that_makes_no_sense_is_refused(house: House, body: Any, pointer: str) -> None:
    id = house.ask(wait=20).json()["id"]
    refused = house.call("POST", f"/v1/plans/{id}/replan", json=body)
    assert refused.status_code == 422
    assert [fault["pointer"] for fault in refused.json()["faults"]] == [pointer]


def test_a_job_without_a_plan_cannot_be_replanned(house: House) -> None:
    id = house.ask("dies", wait=20).json()["id"]
    refused = house.call("POST", f"/v1/plans/{id}/replan", json={})
    assert (refused.status_code, refused.json()["type"]) == (409, "/v1/problems/conflict")


def test_a_kept_plan_may_be_named_by_id_and_rank(house: House) -> None:
    first = house.ask(wait=20).json()
    kept = house.ask(wait=20, keep={"plan": first["id"], "rank": 1}).json()
    assert kept["state"] == "done"
    for unknown in ({"plan": "nope", "rank": 1}, {"plan": first["id"], "rank": 9}, {"plan": first["id"], "rank": True}):
        refused = house.ask(keep=unknown)
        assert refused.status_code == 422
        assert refused.json()["faults"][0]["pointer"].startswith("/keep")


def test_a_job_says_what_was_odd_in_its_request(house: House) -> None:
    item = next(iter(house.stock.now.items))
    job = house.ask(wait=20, without={"items": {item: 1000}}).json()
    assert job["state"] == "done"
    assert any(item in warning for warning in job["warnings"])


def _events(text: str) -> list[dict[str, Any]]:
    heard = []
    for block in text.strip().split("\n\n"):
        lines = dict(line.split(": ", 1) for line in block.split("\n"))
        heard.append({**lines, "data": json.loads(lines["data"])})
    return heard
