"""When something is missing: what is said of pieces and holes becomes a re-plan that keeps the rest."""

from __future__ import annotations

import json
import re
from typing import Any
from urllib.parse import urlencode

import pytest

from service.documents import read_plan
from service.page.comparing.replanning.missing_pieces import entries_of, replan_body
from solver.plans import Alternative
from tests.service.http.conftest import House
from tests.service.page.comparing.finished import BROWSER, HTMX, OURS, finished, kept_documents

FORM = {**OURS, "Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def stands() -> Alternative:
    return read_plan(kept_documents("hinge-lug")[1]).alternatives[0]


@pytest.fixture(scope="module")
def job(house: House) -> str:
    return finished(house.app.state.context.planning.records)


def test_the_last_word_on_a_piece_counts(stands: Alternative) -> None:
    said = entries_of(["gone:p1", "hole:C7", "broken:p1", "gone:p99", "odd:p2", "keep:"], stands)
    assert [entry.text for entry in said] == ["hole:C7", "broken:p1"]
    assert said[1].words == "p1 (dowel-16) is broken"
    assert [entry.text for entry in entries_of(["gone:p1", "keep:p2"], stands, "gone:p1")] == ["keep:p2"]


def test_what_was_missing_before_is_still_missing(stands: Alternative) -> None:
    before = {"without": {"items": {"dowel-16": 1, "rest-50": 2}, "broken": {"dowel-16": 1}}, "pins": [{"row": 3}]}
    body = replan_body(entries_of(["gone:p1", "broken:p2", "keep:p3", "hole:C7"], stands), stands, before, recorded=False)
    assert body["without"] == {"items": {"dowel-16": 3, "rest-50": 2}, "broken": {"dowel-16": 2}, "holes": ["T1/C7"]}
    assert body["changes"] == {"pins": [{"row": 3}, {"piece": "p3"}]}


def test_what_the_store_knows_to_be_broken_is_not_left_out_twice(stands: Alternative) -> None:
    body = replan_body(entries_of(["broken:p1"], stands), stands, {}, recorded=True)
    assert body == {"rank": 1, "without": {"items": {}, "broken": {}, "holes": []}}


def test_what_is_said_is_gathered_and_can_be_taken_back(house: House, job: str) -> None:
    headers = {**BROWSER, **HTMX, "HX-Target": "missing"}
    text = house.call("GET", f"/jobs/{job}/1?{urlencode([('entry', 'gone:p1'), ('entry', 'hole:C7')])}", headers=headers).text
    assert "p1 (dowel-16) is not there" in text and "hole C7 cannot be used" in text and "Plan again" in text
    text = house.call("GET", f"/jobs/{job}/1?add=broken:p1&entry=gone:p1", headers=headers).text
    assert "p1 (dowel-16) is broken" in text and "is not there" not in text, "what is said now is the last word"
    asked = urlencode([("entry", "gone:p1"), ("entry", "hole:C7"), ("drop", "gone:p1")])
    text = house.call("GET", f"/jobs/{job}/1?{asked}", headers=headers).text
    assert "p1 (dowel-16)" not in text and "hole C7" in text


def test_a_hole_can_be_named_without_a_drawing(house: House, job: str) -> None:
    headers = {**BROWSER, **HTMX, "HX-Target": "missing"}
    answer = house.call("GET", f"/jobs/{job}/1?hole=+c7+&entry=gone:p1", headers=headers)
    assert answer.status_code == 200 and "hole C7 cannot be used" in answer.text and "p1 (dowel-16)" in answer.text
    for hole in ("ZZ99", "7", "C7;", "%3Cb%3E", "C\u0667"):
        answer = house.call("GET", f"/jobs/{job}/1?hole={hole}&entry=gone:p1", headers=headers)
        assert answer.status_code == 422 and 'id="hole-fault"' in answer.text and "p1 (dowel-16)" in answer.text
        assert "cannot be used</li>" not in answer.text and "<b>" not in answer.text


def replanned(house: House, job: str, *entries: str) -> dict[str, Any]:
    form = urlencode([("once", "".join(entries)), *(("entry", entry) for entry in entries)])
    answer = house.call("POST", f"/jobs/{job}/1/replan", content=form, headers=FORM)
    assert answer.status_code == 303, answer.text
    led = re.fullmatch(r"/jobs/(\w+)", answer.headers["Location"])
    assert led is not None
    again = house.call("POST", f"/jobs/{job}/1/replan", content=form, headers=FORM)
    assert again.headers["Location"] == answer.headers["Location"], "a form sent twice is one job"
    asked: dict[str, Any] = json.loads(house.app.state.context.planning.job(led[1]).request)
    return asked


def test_a_replan_is_a_job_that_keeps_the_alternative(house: House, job: str) -> None:
    asked = replanned(house, job, "gone:p1", "broken:p3", "keep:p4", "hole:C7")
    assert asked["without"] == {"items": {"dowel-16": 1, "swivel-60": 1}, "broken": {"swivel-60": 1}, "holes": ["T1/C7"]}
    assert asked["pins"] == [{"piece": "p4"}]
    assert asked["keep"]["placements"][0]["id"] == "p1"


def test_a_replan_with_nothing_missing_is_refused_at_the_form(house: House, job: str) -> None:
    answer = house.call("POST", f"/jobs/{job}/1/replan", content="entry=gone:p99", headers=FORM)
    assert answer.status_code == 422 and "nothing is said to be missing" in answer.text


def test_a_hole_that_is_not_there_is_refused_in_words(house: House, job: str) -> None:
    answer = house.call("POST", f"/jobs/{job}/1/replan", content="entry=hole:ZZ99", headers=FORM)
    assert answer.status_code == 422 and "ZZ99" in answer.text and 'id="faults"' in answer.text


def test_another_site_changes_nothing(house: House, job: str) -> None:
    foreign = {**FORM, "Sec-Fetch-Site": "cross-site", "Origin": "https://elsewhere.example"}
    assert house.call("POST", f"/jobs/{job}/1/replan", content="entry=gone:p1", headers=foreign).status_code == 403
