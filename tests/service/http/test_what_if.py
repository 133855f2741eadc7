"""What changed rules do to the plans of a store: prices, rankings, limits, plans that are made again."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from service.documents import read_plan, read_request, request_document
from service.planning_jobs.planning_service import PlanningService
from service.settings import Settings
from solver.rescoring.rescored import rescored
from solver.rescoring.scoring import plan_score
from tests.service.hand_made import hand_made
from tests.service.http.conftest import House, opened
from tests.solver.checks import tab_job

DEARER = {"rate.labour_cents_per_hour": 6100.0}
ADDRESS = "/v1/rules/what-if"


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A server whose planner knows one fixture, and two plans of a tab on a tube."""
    folder = tmp_path_factory.mktemp("what-if")
    for house in opened(folder, Settings(time_limit=60, workers=1), shelf=tab_job.stock(), solves=hand_made):
        for quantity in (10, 400):
            document = request_document(replace(tab_job.request(), quantity=quantity))
            answer = house.call("POST", "/v1/plans", json=document, headers={"Prefer": "wait=30"})
            assert answer.json()["state"] == "done", answer.text
        yield house


def planning(house: House) -> PlanningService:
    found: PlanningService = house.app.state.context.planning
    return found


def asked(house: House, rules: dict[str, float], **more: Any) -> dict[str, Any]:
    answer = house.call("POST", ADDRESS, json={"rules": {"set": rules}, **more})
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def refused(house: House, body: dict[str, Any]) -> list[str]:
    answer = house.call("POST", ADDRESS, json=body)
    assert answer.status_code == 422, answer.text
    return [fault["pointer"] for fault in answer.json()["faults"]]


def test_prices_are_those_of_a_fresh_scoring_to_the_cent(floor: House) -> None:
    found = asked(floor, DEARER)
    assert found["totals"]["plans"] == found["totals"]["price_changes"] == 2 and not found["not_scored"]
    for effect in found["plans"]:
        job, stock = planning(floor).job(effect["plan"]), planning(floor).stock.snapshot()
        assert job.plan is not None
        plan = read_plan(dict(job.plan))
        fresh = rescored(plan_score(read_request(json.loads(job.request), stock)[0], stock, plan), DEARER)
        assert effect["total_before_cents"] == plan.alternatives[0].cost.total_cents
        assert effect["total_after_cents"] == fresh.alternatives[0].cost.total_cents > effect["total_before_cents"]
    assert found["totals"]["total_after_cents"] == sum(each["total_after_cents"] for each in found["plans"])


def test_a_limit_is_told_with_its_numbers_and_a_plan_that_keeps_it_is_not_listed(floor: House) -> None:
    found = asked(floor, {"clear.body": 50})
    broken = found["plans"][0]["alternatives"][0]["broken"]
    assert found["totals"]["broken"] == 2 and broken[0]["rule"] == "clear.body" and broken[0]["value"] < broken[0]["limit"] == 50
    assert asked(floor, {"clear.body": 0.5})["plans"] == []
    assert len(asked(floor, {"clear.body": 0.5}, show="all")["plans"]) == 2


def test_what_cannot_be_judged_is_said_and_a_check_tells_it(floor: House) -> None:
    loose = {"hold.friction": 0.14}
    (alternative,) = asked(floor, loose, limit=1)["plans"][0]["alternatives"]
    assert alternative["allowed"] == "must be checked" and alternative["checked"] is None
    assert [each["rule"] for each in alternative["unjudged"]] == ["hold.friction"]
    (alternative,) = asked(floor, loose, limit=1, check=True)["plans"][0]["alternatives"]
    assert alternative["checked"]["ok"] == (not alternative["checked"]["failed"])


def test_lists_are_filtered_and_paged(floor: House) -> None:
    first = asked(floor, DEARER, limit=1)
    second = asked(floor, DEARER, limit=1, cursor=first["next"])
    both = [page["plans"][0]["plan"] for page in (first, second)]
    assert len(set(both)) == 2 and second["next"] is None
    assert [each["plan"] for each in asked(floor, DEARER, plans=[both[1]])["plans"]] == [both[1]]
    assert asked(floor, DEARER, name="no such weldment")["totals"]["plans"] == 0


def test_a_plan_that_lost_its_score_gets_it_when_it_is_asked_about(floor: House) -> None:
    before = asked(floor, DEARER)
    records = planning(floor).records
    records.keep_score(before["plans"][0]["plan"], '{"form": 0}')
    assert asked(floor, DEARER) == before
    (kept,) = records.scored_named([before["plans"][0]["plan"]])
    assert kept.score is not None and '"form":1' in kept.score


def test_plans_are_made_again_with_the_changed_rules(floor: House) -> None:
    id = asked(floor, DEARER)["plans"][0]["plan"]
    found = asked(floor, DEARER, plans=[id], re_solve=True)
    (again,) = found["re_solved"]
    assert again["plan"] == id and again["job"] is not None
    ends = time.monotonic() + 30
    while (job := floor.call("GET", f"/v1/plans/{again['job']}").json())["state"] in ("queued", "running"):
        assert time.monotonic() < ends
        time.sleep(0.05)
    assert job["priority"] == "batch" and job["plan"]["rules"]["rate.labour_cents_per_hour"] == 6100
    assert job["plan"]["alternatives"][0]["cost"]["total_cents"] <= found["plans"][0]["total_after_cents"]


def test_bad_questions_name_every_fault(floor: House) -> None:
    assert refused(floor, {"rules": {}}) == ["/rules/set"]
    assert refused(floor, {"rules": {"set": {"clear.wled": 3, "time.pick_s": -1}}}) == [
        "/rules/set/clear.wled",
        "/rules/set/time.pick_s",
    ]
    assert refused(floor, {"rules": {"set": DEARER}, "plans": ["nothing"]}) == ["/plans/0"]
    assert refused(floor, {"rules": {"set": DEARER}, "since": "yesterday"}) == ["/since"]
    assert refused(floor, {"rules": {"base": "nobody's", "set": {}}}) == ["/rules/base"]
    assert refused(floor, {"rules": {"set": DEARER}, "limit": 2001}) == ["/limit"]
    assert refused(floor, {"rules": {"set": DEARER}, "cursor": "nowhere"}) == ["/query/cursor"]


def test_breakpoints_tell_how_far_each_rule_may_move(floor: House) -> None:
    id = asked(floor, DEARER)["plans"][0]["plan"]
    answer = floor.call("GET", f"/v1/plans/{id}/alternatives/1/breakpoints")
    assert answer.status_code == 200, answer.text
    found = {each["rule"]: each for each in (*answer.json()["prices"], *answer.json()["limits"])}
    assert found["rate.labour_cents_per_hour"]["low"] is None is found["rate.labour_cents_per_hour"]["high"]
    end = found["clear.body"]["high"]
    assert end["then"] == "broken" and end["value"] < end["beyond"]
    assert asked(floor, {"clear.body": end["value"]}, plans=[id])["plans"] == []
    assert asked(floor, {"clear.body": end["beyond"]}, plans=[id])["totals"]["broken"] == 1


def test_there_are_no_breakpoints_of_what_is_not_there(floor: House) -> None:
    id = asked(floor, DEARER)["plans"][0]["plan"]
    assert floor.call("GET", f"/v1/plans/{id}/alternatives/2/breakpoints").status_code == 404
    assert floor.call("GET", "/v1/plans/nothing/alternatives/1/breakpoints").status_code == 404
    assert floor.call("GET", f"/v1/plans/{id}/alternatives/0/breakpoints").status_code == 422
