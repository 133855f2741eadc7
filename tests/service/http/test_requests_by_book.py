"""A request goes by the rule book that counts when it comes in; its plan keeps those numbers, whatever the book says later."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any

import pytest

from inventory.store import Note
from inventory.store.catalogue import ANY_VERSION
from service.documents import request_document
from service.rule_books.changes import BookChange, add_version, make_book, use_book
from service.settings import Settings
from solver.rule_book import VALUES
from tests import builders as b
from tests.service.http.conftest import House, opened

WAIT = {"Prefer": "wait=30", "Cache-Control": "no-cache"}
BAR = b.weldment(b.bar(width=50, thickness=20, length=260, at=(0, 0, 10)))
NOTE = Note("the engineer", datetime(2027, 3, 1, 12, tzinfo=UTC), "what an hour costs")
RATE = "rate.labour_cents_per_hour"
ASKED = {**request_document(b.request(BAR, alternatives=1)), "rules": {"set": {"weights.adjustable": 1}}}


@pytest.fixture(scope="module")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A shop's book in use at 60.00 an hour, and a customer's at 90.00."""
    for house in opened(tmp_path_factory.mktemp("books"), Settings(), shelf=b.shelf((b.stop(), 4), (b.down_clamp(), 1))):
        store = house.app.state.context.store
        store.write(lambda c: make_book(c, "shop", "shop", BookChange({RATE: 6000}), NOTE))
        store.write(lambda c: use_book(c, "shop", None, NOTE, 1))
        store.write(lambda c: make_book(c, "acme", "customer", BookChange({RATE: 9000}), NOTE))
        yield house


def planned(house: House, **rules: Any) -> dict[str, Any]:
    asked = {**ASKED, "rules": {**ASKED["rules"], **rules}}
    made: dict[str, Any] = house.call("POST", "/v1/plans", json=asked, headers=WAIT).json()
    assert made["plan"]["status"] == "optimal", made
    return made


def book_of(job: dict[str, Any]) -> tuple[str, int, float]:
    return job["plan"]["rules_book"], job["plan"]["rules_version"], job["plan"]["rules"][RATE]


def total(job: dict[str, Any]) -> int:
    return int(job["plan"]["alternatives"][0]["cost"]["total_cents"])


def kept_request(house: House, job: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(house.app.state.context.planning.job(job["id"]).request)
    return found


def test_an_old_plan_keeps_its_numbers_and_a_new_one_has_the_new(stocked: House) -> None:
    first = planned(stocked)
    assert book_of(first) == ("shop", 1, 6000)
    assert first["plan"]["rules"]["weights.adjustable"] == 1
    stocked.app.state.context.store.write(lambda c: add_version(c, "shop", BookChange({RATE: 12000}), NOTE, ANY_VERSION))

    second = planned(stocked)
    assert book_of(second) == ("shop", 2, 12000)
    assert total(second) > total(first)
    assert total(planned(stocked, base="shop", version=1)) == total(first)

    question = {"request": ASKED, "plan": first["plan"]}
    assert stocked.call("POST", "/v1/checks", json=question).json()["ok"], "read with the book its plan names"
    as_it_is = {"request": kept_request(stocked, first), "plan": first["plan"]}
    assert stocked.call("POST", "/v1/checks", json=as_it_is).json()["ok"]
    dearer = {"request": {**ASKED, "rules": {**ASKED["rules"], "base": "shop", "version": 2}}, "plan": first["plan"]}
    assert not stocked.call("POST", "/v1/checks", json=dearer).json()["ok"]

    again = stocked.call("POST", f"/v1/plans/{first['id']}/replan", json={"without": {"holes": ["A1"]}}, headers=WAIT).json()
    assert book_of(again) == ("shop", 1, 6000)
    heavier = {"changes": {"rules": {"set": {"clear.weld": 16}}}}
    again = stocked.call("POST", f"/v1/plans/{first['id']}/replan", json=heavier, headers=WAIT).json()
    assert book_of(again) == ("shop", 1, 6000) and again["plan"]["rules"]["clear.weld"] == 16


def test_a_request_names_a_customers_book_or_the_built_in_numbers(stocked: House) -> None:
    assert book_of(planned(stocked, base="acme")) == ("acme", 1, 9000)
    plain = planned(stocked, base="default")
    assert book_of(plain) == ("default", 1, VALUES[RATE].default)
    own = planned(stocked, base="acme", set={RATE: 4000})
    assert book_of(own) == ("acme", 1, 4000)


def test_the_same_question_under_another_book_is_another_question(stocked: House) -> None:
    asked = {**ASKED, "rules": {"base": "acme"}}
    first = stocked.call("POST", "/v1/plans", json=asked, headers={"Prefer": "wait=30"}).json()
    assert stocked.call("POST", "/v1/plans", json=asked, headers={"Prefer": "wait=30"}).json()["answered_from"] == first["id"]
    other = stocked.call("POST", "/v1/plans", json={**ASKED, "rules": {"base": "default"}}, headers={"Prefer": "wait=30"}).json()
    assert other["answered_from"] is None


def test_a_book_that_is_not_there_is_refused_with_the_nearest(stocked: House) -> None:
    for rules, pointer, accepted in (
        ({"base": "acmee"}, "/rules/base", "a rule book; did you mean 'acme'?"),
        ({"base": "acme", "version": 7}, "/rules/version", "1, or none"),
        ({"version": 1}, "/rules/version", "`base` beside it"),
        ({"base": "acme", "version": 1, "base_set": {}}, "/rules/base_set", "what it says, or no `base_set`"),
    ):
        answer = stocked.call("POST", "/v1/plans", json={**ASKED, "rules": rules})
        assert answer.status_code == 422
        assert [(f["pointer"], f["accepted"]) for f in answer.json()["faults"]] == [(pointer, accepted)]


@pytest.mark.slow
def test_a_week_goes_by_the_books_of_its_requests(stocked: House) -> None:
    """The book in use for the request that names none; one whose book is not there is refused by its place."""
    named = {"acme": {"base": "acme"}, "shop": {}, "default": {"base": "default"}}
    jobs = [{"id": id, "request": {**ASKED, "rules": rules}, "due": "2027-03-10"} for id, rules in named.items()]
    week = {"format": "holdwright.week/1", "days": ["2027-03-08", "2027-03-09", "2027-03-10"], "tables": ["T1"], "jobs": jobs}
    told = stocked.call("POST", "/v1/weeks", json={**week, "work_limit": 1}, headers=WAIT).json()
    made = told["week"]["plans"]
    assert {id: made[id]["rules_book"] for id in named} == {"acme": "acme", "shop": "shop", "default": "default"}
    assert made["acme"]["rules"][RATE] == 9000
    wrong = stocked.call(
        "POST", "/v1/weeks", json={**week, "jobs": [{**jobs[0], "request": {**ASKED, "rules": {"base": "nobody"}}}]}
    )
    assert wrong.status_code == 422
    assert [fault["pointer"] for fault in wrong.json()["faults"]] == ["/jobs/0/request/rules/base"]


@pytest.mark.slow
def test_advice_goes_by_the_books_of_its_requests(stocked: House) -> None:
    requests = [{"request": {**ASKED, "rules": {"base": name}}} for name in ("acme", "default")]
    body = {"budget_cents": 0, "requests": requests, "time_limit_s": 10}
    told = stocked.call("POST", "/v1/stock/advice", json=body, headers={"Prefer": "wait=30"}).json()
    dear, plain = (each["now_cents"] for each in told["advice"]["jobs"])
    assert dear > plain
