"""Methods and preconditions as HTTP says: HEAD beside GET, OPTIONS and Allow, If-Match; and what happens when things go wrong."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.types import Message

from tests.service.http.conftest import HERE, House
from tests.service.http.shop import SIGNED, Shop

SECURITY = {"x-content-type-options": "nosniff", "referrer-policy": "no-referrer"}
GETS = (
    "/v1/plans",
    "/v1/schemas",
    "/v1/schemas/plan",
    "/v1/problems",
    "/v1/problems/invalid",
    "/healthz",
    "/readyz",
    "/docs",
    "/openapi.json",
)


def _but_the_request(answer: httpx.Response) -> dict[str, str]:
    """Return an answer's headers, but for the one that names its request."""
    return {name: value for name, value in answer.headers.items() if name != "x-request-id"}


@pytest.mark.parametrize("address", GETS)
def test_head_is_get_without_its_body(house: House, address: str) -> None:
    """RFC 9110, 9.3.2."""
    got, headed = house.call("GET", address), house.call("HEAD", address)
    assert (headed.status_code, headed.content) == (got.status_code, b"")
    assert _but_the_request(headed) == _but_the_request(got)


def test_head_of_a_plan_and_of_its_progress(house: House) -> None:
    id = house.ask(wait=20).json()["id"]
    assert int(house.call("HEAD", f"/v1/plans/{id}").headers["content-length"]) > 1000
    followed = house.call("HEAD", f"/v1/plans/{id}/events")
    assert (followed.status_code, followed.content) == (200, b"")
    assert followed.headers["content-type"].startswith("text/event-stream")
    assert house.call("HEAD", "/v1/plans/nobody").status_code == 404


@pytest.mark.parametrize(
    ("address", "allowed"),
    [
        ("/v1/plans", "GET, HEAD, OPTIONS, POST"),
        ("/v1/plans/x", "DELETE, GET, HEAD, OPTIONS"),
        ("/v1/plans/x/alternatives/1/sheet", "GET, HEAD, OPTIONS"),
        ("/v1/items/a/b", "DELETE, GET, HEAD, OPTIONS, PUT"),
        ("/v1/stock/journal", "GET, HEAD, OPTIONS"),
        ("/v1/stock/import", "OPTIONS, POST"),
        ("/v1/stock/riser-40", "GET, HEAD, OPTIONS, PATCH"),
        ("/v1/stock/riser-40/entries", "OPTIONS, POST"),
        ("/v1/reservations/expire", "OPTIONS, POST"),
        ("/v1/reservations/1/move", "OPTIONS, POST"),
    ],
)
def test_allow_lists_every_method_of_the_address(house: House, address: str, allowed: str) -> None:
    """RFC 9110, 9.3.7 and 10.2.1: the methods of all routes of the address, and of no other address that it might fit."""
    asked = house.call("OPTIONS", address)
    assert (asked.status_code, asked.headers["allow"], asked.content) == (204, allowed, b"")
    refused = house.call("TRACE", address)
    assert (refused.status_code, refused.headers["allow"], refused.json()["type"]) == (405, allowed, "/v1/problems/method")
    if "GET" not in allowed:
        assert house.call("GET", address).status_code == 405


def test_options_of_nothing_is_not_found(house: House) -> None:
    assert house.call("OPTIONS", "/v1/nothing").status_code == 404


MATCHES = [
    ('"1"', 200),
    ("*", 200),
    ('"7", "1"', 200),
    (', "1" ,', 200),
    ('W/"2", "1"', 200),
    ('W/"1"', 412),
    ('"2"', 412),
    ('"2", "3"', 412),
    ('"abc"', 412),
    ('"01"', 412),
    ("1", 400),
    ('"1', 400),
    ('"1" "2"', 400),
    ("", 400),
    (",", 400),
    ("*, *", 400),
    (", ".join(f'"{k}"' for k in range(2, 23)), 400),
]


def test_if_match_lists_tags_that_are_compared_strongly(tmp_path: Path) -> None:
    """RFC 9110, 13.1.1 and 8.8.3.2."""
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    for number, (match, status) in enumerate(MATCHES):
        shop.add(f"riser-{number}", 0)
        answer = shop.ask("PATCH", f"/v1/stock/riser-{number}", {"count": 5, **SIGNED}, headers={"If-Match": match})
        assert answer.status_code == status, (match, answer.text)
    shop.store.close()


def test_a_mistake_of_ours_is_a_problem_like_others(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def mistaken(*_: Any) -> None:
        raise ZeroDivisionError("seventeen by nought")

    monkeypatch.setattr("service.http.routes.plans.answered_within", mistaken)
    answer = house.ask()
    assert (answer.status_code, answer.headers["content-type"]) == (500, "application/problem+json")
    assert answer.json()["type"] == "/v1/problems/internal" and answer.json()["instance"].startswith("urn:holdwright:mistake:")
    assert {name: answer.headers[name] for name in SECURITY} == SECURITY
    assert "seventeen" not in answer.text


def test_who_leaves_in_mid_body_is_no_mistake_of_ours(house: House) -> None:
    sent: list[Message] = []
    heard: list[Message] = [{"type": "http.request", "body": b"{", "more_body": True}, {"type": "http.disconnect"}]

    async def receive() -> Message:
        return heard.pop(0)

    async def send(message: Message) -> None:
        sent.append(message)

    headers = [(b"host", HERE.removeprefix("http://").encode()), (b"content-type", b"application/json")]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST", "scheme": "http", "path": "/v1/plans",
        "raw_path": b"/v1/plans", "query_string": b"", "root_path": "", "headers": headers, "client": ("127.0.0.1", 1), "server": None,
    }  # fmt: skip
    house.loop.run(asyncio.wait_for(house.app(scope, receive, send), 10))
    assert sent == []
    figures = house.call("GET", "/metrics").text
    assert 'method="POST",route="/v1/plans",status="499"' in figures


def test_a_thousand_faults_are_counted_and_a_hundred_listed(house: House) -> None:
    request = {"without": {"holes": ["?"] * 700}}
    refused = house.call("POST", "/v1/plans", json=request).json()
    assert len(refused["faults"]) == 100 and refused["faults_total"] > 700
    assert str(refused["faults_total"]) in refused["detail"]
    few = house.call("POST", "/v1/plans", json={}).json()
    assert "faults_total" not in few
