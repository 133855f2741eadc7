"""Checking a given plan over HTTP."""

from __future__ import annotations

from typing import Any

import pytest

from service.documents import request_document
from tests.service.http.conftest import House
from tests.solver.checks import tab_job


@pytest.fixture
def question(house: House) -> dict[str, Any]:
    """The request of a plan made by hand, with just enough hardware on the shelf."""
    house.stock.now = tab_job.stock()
    return request_document(tab_job.request())


def test_a_sound_plan_passes(house: House, question: dict[str, Any]) -> None:
    report = house.call("POST", "/v1/checks", json={"request": question, "plan": tab_job.plan()})
    assert report.status_code == 200
    assert report.json()["format"] == "holdwright.report/1"
    assert [finding for finding in report.json()["findings"] if not finding["ok"]] == []
    assert report.json()["ok"]


def test_a_wrong_total_is_a_failed_finding_and_not_an_error(house: House, question: dict[str, Any]) -> None:
    def cheaper(alternative: dict[str, Any]) -> None:
        alternative["cost"]["total_cents"] -= 1

    report = house.call("POST", "/v1/checks", json={"request": question, "plan": tab_job.mutated(cheaper)})
    assert report.status_code == 200
    assert not report.json()["ok"]
    assert [finding for finding in report.json()["findings"] if not finding["ok"]]


def test_a_plan_made_here_can_be_checked_here(house: House) -> None:
    plan = house.ask(wait=20).json()["plan"]
    from tests.service.asked import asked

    report = house.call("POST", "/v1/checks", json={"request": asked(), "plan": plan})
    assert (report.status_code, report.json()["ok"]) == (200, False)


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        ([], {""}),
        ({}, {"/request", "/plan"}),
        ({"request": 1, "plan": []}, {"/request", "/plan"}),
        ({"request": {}, "plan": {}, "stock": {}}, {"/stock"}),
        (
            {"request": {}, "plan": {}},
            {"/request/format", "/request/weldment", "/request/quantity", "/request/tables", "/plan/format"},
        ),
    ],
)
def test_faults_say_in_which_of_the_two_documents_they_are(house: House, body: Any, pointers: set[str]) -> None:
    refused = house.call("POST", "/v1/checks", json=body)
    assert refused.status_code == 422
    assert pointers <= {fault["pointer"] for fault in refused.json()["faults"]}
