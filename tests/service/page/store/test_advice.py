"""What to buy, on the page: jobs and a budget are chosen, the answer is waited for and told in words."""

from __future__ import annotations

import re
import time
from typing import Any

import httpx
import pytest

from tests.service.http.conftest import House, house
from tests.service.page.visitor import Seen, Visitor

__all__ = ["house"]
ADVICE = "/store/advice"


@pytest.fixture
def planner(house: House) -> Visitor:
    return Visitor(house.call)


@pytest.fixture(scope="module")
def planned(house: House) -> str:
    """Return the id of a planned job that can be asked about."""
    return done(house, house.ask("plain"))


def done(house: House, asked: httpx.Response) -> str:
    """Return the id of a job once it is done."""
    job = asked.json()
    for _ in range(10):
        if job["state"] == "done":
            return str(job["id"])
        job = house.call("GET", f"/v1/plans/{job['id']}", headers={"Prefer": "wait=10"}).json()
    raise AssertionError(f"the job is {job['state']}")


def ended(planner: Visitor, address: str) -> Seen:
    for _ in range(1000):
        seen = planner.open(address)
        if "every 1s" not in seen.answer.text:
            return seen
        time.sleep(0.05)
    raise AssertionError(seen.words)


@pytest.mark.slow
def test_jobs_are_asked_about_and_the_answer_is_told_in_words(planner: Visitor, planned: str) -> None:
    screen = planner.open(ADVICE)
    question: dict[str, Any] = {"jobs": [planned], f"times_{planned}": 12, "budget": "250,50", "seconds": 20}
    asked = planner.send(screen, ADVICE, **question)
    assert asked.status == 303 and asked.leads_to.startswith(f"{ADVICE}/")
    answer = ended(planner, asked.leads_to)
    assert "For 250.50 at most: plain" in answer.words and "What the jobs cost" in answer.words
    assert planner.send(screen, ADVICE, **question).leads_to == asked.leads_to, "a form sent twice is one job"
    assert asked.leads_to in planner.open(ADVICE).answer.text


@pytest.mark.parametrize(
    ("typed", "fields"),
    [
        ({"jobs": []}, ["jobs"]),
        ({"budget": "much"}, ["budget"]),
        ({"budget": ""}, ["budget"]),
        ({"budget": "-5"}, ["budget"]),
        ({"budget": "1.234,567"}, ["budget"]),
        ({"seconds": "0"}, ["seconds"]),
        ({"jobs": ["nothing"]}, ["jobs"]),
    ],
)
def test_what_cannot_be_asked_is_told_at_its_field(
    planner: Visitor, planned: str, typed: dict[str, Any], fields: list[str]
) -> None:
    given: dict[str, Any] = {"jobs": [planned], "budget": "250", **typed}
    told = planner.send(planner.open(ADVICE), ADVICE, **given)
    assert told.status == 422 and list(told.faults()) == fields, told.words


def test_how_often_a_job_comes_is_told_at_that_job(planner: Visitor, planned: str) -> None:
    often: dict[str, Any] = {f"times_{planned}": "0"}
    told = planner.send(planner.open(ADVICE), ADVICE, jobs=[planned], budget="250", **often)
    assert list(told.faults()) == [f"times_{planned}"]


def test_who_waits_is_told_only_what_is_new_and_may_end_it(house: House, planner: Visitor) -> None:
    slow = done(house, house.ask("slow", time_limit_s=0.2))
    asked = planner.send(planner.open(ADVICE), ADVICE, jobs=[slow], budget="1", seconds=60).leads_to
    waiting = planner.open(asked)
    assert "every 1s" in waiting.answer.text
    (state,) = re.findall(r"seen=(\w+)", waiting.answer.text)
    told = planner.open(f"{asked}?seen={state}", **{"HX-Request": "true"})
    assert told.status == 204 or f"seen={state}" not in told.answer.text
    planner.send(waiting, f"{asked}/cancel")
    part = planner.open(asked, **{"HX-Request": "true"})
    assert "<html" not in part.answer.text
    assert "What the jobs cost" in (words := ended(planner, asked).words) or "There is no advice" in words


def test_advice_nobody_asked_for_is_not_there(planner: Visitor) -> None:
    assert planner.open(f"{ADVICE}/nothing").status == 404
