"""Why not another choice, over HTTP: answered beside the queue, refused where there is no plan or too much is asked at once."""

from __future__ import annotations

import asyncio
import json
from typing import Any

import httpx
import pytest

from service.errors import TaskDied, TooManyQuestions
from service.planning_jobs.side_tasks import MOST_QUESTIONS
from solver.plans import Plan
from tests.service.http.conftest import House


def ready(house: House, name: str = "plain", **changes: Any) -> str:
    """Ask for a plan and return its id once it is done."""
    job = house.ask(name, wait=20, **changes).json()
    assert job["state"] == "done", job
    return str(job["id"])


def why(house: House, id: str, body: Any) -> httpx.Response:
    return house.call("POST", f"/v1/plans/{id}/why", json=body)


def test_the_answer_is_held_against_the_plan(house: House) -> None:
    answer = why(house, ready(house), {"avoid": [{"row": 3}], "time_limit_s": 5})
    assert answer.status_code == 200, answer.text
    document = answer.json()
    assert document["format"] == "holdwright.why/1" and document["rank"] == 1
    assert (document["status"], document["difference_cents"], document["least_difference_cents"]) == ("optimal", 0, 0)
    assert document["asked"] == "without a piece in row 3" and document["text"].startswith("without a piece in row 3: ")
    assert document["alternative"]["cost"]["total_cents"] == 900 and document["refused"] is None


def test_every_fault_of_the_body_is_told(house: House) -> None:
    id = ready(house)

    def pointers(body: Any) -> set[str]:
        answer = why(house, id, body)
        assert answer.status_code == 422, answer.text
        return {fault["pointer"] for fault in answer.json()["faults"]}

    assert pointers({}) == {""}
    assert pointers({"rank": 4, "pins": [{"row": 1}]}) == {"/rank"}
    assert pointers({"pins": [{"item": "nothing"}, {"part": "nobody"}], "colour": 1}) == {
        "/pins/0/item", "/pins/1/part", "/colour",
    }  # fmt: skip
    assert pointers({"pins": [{"row": 1}], "time_limit_s": 3000}) == {"/time_limit_s"}
    assert pointers({"pins": [{"piece": "p1"}]}) == {"/pins/0/piece"}
    assert pointers([1]) == {""}


def test_text_that_is_no_document_is_refused(house: House) -> None:
    id = ready(house)
    headers = {"Content-Type": "application/json"}
    assert house.call("POST", f"/v1/plans/{id}/why", content=b"{", headers=headers).status_code == 400
    twice = house.call("POST", f"/v1/plans/{id}/why", content=b'{"rank": 1, "rank": 1}', headers=headers)
    assert twice.status_code == 422 and "/rank" in twice.text


def test_a_plan_that_is_not_there_cannot_be_asked(house: House) -> None:
    assert why(house, "nobody", {"avoid": [{"row": 3}]}).status_code == 404
    job = house.ask("slow", time_limit_s=30).json()
    refused = why(house, job["id"], {"avoid": [{"row": 3}]})
    assert refused.status_code == 409 and refused.json()["type"] == "/v1/problems/conflict"
    house.call("DELETE", f"/v1/plans/{job['id']}", headers={"Prefer": "wait=10"})


def test_a_plan_without_alternatives_has_no_rank_to_ask_about(house: House) -> None:
    answer = why(house, ready(house, "refused"), {"avoid": [{"row": 3}]})
    assert answer.status_code == 422 and answer.json()["faults"][0]["pointer"] == "/rank"


def test_a_process_that_dies_is_a_problem_of_this_question_alone(house: House) -> None:
    id = ready(house)
    job = house.app.state.context.planning.records.get(id)
    planning = house.app.state.context.planning
    dying = json.loads(job.request)
    dying["weldment"]["name"] = "dies"
    request, _ = house.loop.run(planning.side_tasks.read(dying, house.stock.now, 100))
    with pytest.raises(TaskDied, match="the answer ended"):
        house.loop.run(planning.side_tasks.plan(request, house.stock.now))
    assert why(house, id, {"avoid": [{"row": 3}]}).status_code == 200


def test_too_many_questions_at_once_are_refused(house: House) -> None:
    planning = house.app.state.context.planning
    document = json.loads(planning.records.get(ready(house)).request)
    document["weldment"]["name"], document["time_limit_s"] = "slow", 1.0
    request, _ = house.loop.run(planning.side_tasks.read(document, house.stock.now, 100))
    id = ready(house)

    async def crowd() -> list[asyncio.Task[Plan]]:
        asking = [asyncio.create_task(planning.side_tasks.plan(request, house.stock.now)) for _ in range(MOST_QUESTIONS)]
        await asyncio.sleep(0)
        with pytest.raises(TooManyQuestions):
            await planning.side_tasks.plan(request, house.stock.now)
        return asking

    asking = house.loop.run(crowd())
    refused = why(house, id, {"avoid": [{"row": 3}]})
    assert (refused.status_code, refused.headers["retry-after"]) == (503, "10")
    for each in asking:
        house.loop.get_loop().run_until_complete(each)
    assert why(house, id, {"avoid": [{"row": 3}]}).status_code == 200
