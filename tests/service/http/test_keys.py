"""Keys over HTTP: which open and which do not, how they are made and revoked, how often they may ask."""

from __future__ import annotations

import asyncio
import hmac
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.errors import TooManyJobs
from service.http.problems import problem_of
from tests.databases import new_database
from tests.service.http.keyed import FAR_AWAY, KeyedShop
from tests.service.http.shop import Shop


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeyedShop]:
    opened = KeyedShop(new_database("sqlite", tmp_path_factory.mktemp("keyed")))
    yield opened
    opened.store.close()


def test_a_key_says_who_asks(keyed: KeyedShop) -> None:
    me = keyed.by("planner", "GET", "/v1/me").json()
    assert (me["name"], me["role"], me["way"], me["expires_at"]) == ("the planner", "planner", "key", None)
    for scheme in ("bearer", "BEARER"):
        headers = {"Authorization": f"{scheme} {keyed.keys['reader']}"}
        assert keyed.by(None, "GET", "/v1/me", headers=headers).json()["role"] == "reader"


def hostile(right: str) -> dict[str, str | bytes]:
    """Return headers that are no key, made from one that is."""
    other = right[:-1] + ("A" if right[-1] != "A" else "B")
    return {
        "wrong secret": f"Bearer {other}",
        "unknown prefix": "Bearer hw_00000000" + right[11:],
        "truncated": f"Bearer {right[:-1]}",
        "longer": f"Bearer {right}A",
        "prefix alone": f"Bearer {right[:11]}",
        "nothing": "Bearer",
        "blank": "Bearer  ",
        "other scheme": f"Basic {right}",
        "no scheme": right,
        "twice in one": f"Bearer {right}, Bearer {right}",
        "not ascii": "Bearer hw_\xff\xfe" + right[5:],
        "other digits": b"Bearer hw_" + "١٢٣٤٥٦٧٨".encode() + right[11:].encode(),
        "a pattern": "Bearer hw_%%%%%%%%" + right[11:],
        "30 kB": "Bearer " + "A" * 30_000,
    }


@pytest.mark.parametrize("case", hostile("hw_12345678_" + "x" * 43))
def test_what_is_no_key_opens_nothing(keyed: KeyedShop, case: str) -> None:
    header = hostile(keyed.keys["admin"])[case]
    value = header if isinstance(header, bytes) else header.encode("latin-1")
    began = time.monotonic()
    answer = keyed.by(None, "GET", "/v1/items", headers={"Authorization": value})
    assert answer.status_code == 401, case
    assert answer.headers["WWW-Authenticate"].startswith('Bearer realm="holdwright"')
    assert answer.json()["type"] == "/v1/problems/no-key"
    assert keyed.keys["admin"] not in answer.text
    assert time.monotonic() - began < 2


def test_a_wrong_key_takes_as_long_whatever_is_wrong_with_it(keyed: KeyedShop, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each text is hashed once and compared once, in a time that does not depend on where the two differ."""
    compared: list[tuple[int, int]] = []
    real = hmac.compare_digest

    def compare(one: str, other: str) -> bool:
        compared.append((len(one), len(other)))
        return real(one, other)

    monkeypatch.setattr(hmac, "compare_digest", compare)
    cases = hostile(keyed.keys["admin"])
    for case in ("wrong secret", "unknown prefix", "truncated"):
        keyed.by(None, "GET", "/v1/items", headers={"Authorization": cases[case]})
    assert compared == [(64, 64)] * 3
    keyed.by("reader", "GET", "/v1/me")
    assert len(compared) == 4


def test_the_same_key_twice_is_refused(keyed: KeyedShop) -> None:
    twice = [("Authorization", f"Bearer {keyed.keys['admin']}")] * 2

    async def send() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(keyed.app), base_url="http://shop") as door:
            return await door.get("/v1/items", headers=twice)

    assert asyncio.run(send()).status_code == 401


def test_expired_and_revoked_keys_open_nothing_and_say_why(keyed: KeyedShop) -> None:
    short = keyed.make("admin", "short", days=0.3 / 86400)
    assert keyed.by(short.text, "GET", "/v1/me").status_code == 200
    time.sleep(0.35)
    refused = keyed.by(short.text, "GET", "/v1/me")
    assert (refused.status_code, refused.json()["detail"]) == (401, f"the key {short.key.prefix} has expired")
    gone = keyed.make("engineer", "gone")
    revoked = keyed.by("admin", "DELETE", f"/v1/keys/{gone.key.id}")
    assert (revoked.status_code, revoked.json()["state"]) == (200, "revoked")
    refused = keyed.by(gone.text, "GET", "/v1/me")
    assert (refused.status_code, refused.json()["detail"]) == (401, f"the key {gone.key.prefix} was revoked")
    again = keyed.by("admin", "DELETE", f"/v1/keys/{gone.key.id}")
    assert again.json()["revoked_at"] == revoked.json()["revoked_at"]
    assert keyed.by("admin", "DELETE", "/v1/keys/nobody").status_code == 404


def test_a_key_is_made_and_shown_once(keyed: KeyedShop) -> None:
    ends = (datetime.now(UTC) + timedelta(days=30)).replace(microsecond=0)
    body = {"name": "quoting system", "role": "planner", "expires_at": ends.isoformat()}
    made = keyed.by("admin", "POST", "/v1/keys", body, headers={"Idempotency-Key": "k"})
    document = made.json()
    assert (made.status_code, document["role"], document["state"], document["made_by"]) == (201, "planner", "live", "the admin")
    assert datetime.fromisoformat(document["expires_at"]) == ends
    assert document["key"].startswith(document["prefix"] + "_")
    assert keyed.by(document["key"], "GET", "/v1/me").json()["name"] == "quoting system"
    other = keyed.by("admin", "POST", "/v1/keys", body, headers={"Idempotency-Key": "k"}).json()
    assert other["key"] != document["key"], "an answer that is kept would keep the key"
    listed = keyed.by("admin", "GET", "/v1/keys").json()["keys"]
    assert document["id"] in [key["id"] for key in listed]
    assert all("key" not in key and "hash" not in key for key in listed)
    kept = keyed.everything_kept()
    assert document["prefix"] in kept
    for secret in (document["key"], document["key"].removeprefix(document["prefix"] + "_")):
        assert secret not in kept


def test_keys_are_listed_page_by_page(keyed: KeyedShop) -> None:
    every = [key["id"] for key in keyed.by("admin", "GET", "/v1/keys", params={"limit": 1000}).json()["keys"]]
    paged: list[str] = []
    cursor: str | None = None
    while True:
        page = keyed.by("admin", "GET", "/v1/keys", params={"limit": 2} | ({} if cursor is None else {"cursor": cursor})).json()
        paged += [key["id"] for key in page["keys"]]
        cursor = page["next"]
        if cursor is None:
            break
    assert paged == every and len(every) > 4
    for strange in ("AAAA", "bm9ib2R5", "MDAwMDAwMDAwMDAwMDAwMA=="):
        assert keyed.by("admin", "GET", "/v1/keys", params={"cursor": strange}).status_code == 422


@pytest.mark.parametrize(
    ("body", "pointers"),
    [
        ({"name": "", "role": "planner"}, {"/name"}),
        ({"name": "  ", "role": "planner"}, {"/name"}),
        ({"name": "x" * 201, "role": "king"}, {"/name", "/role"}),
        ({"name": "a\x00b", "role": "planner"}, {"/name"}),
        ({"name": "x", "role": "planner", "expires_at": "2020-01-01T00:00:00Z"}, {"/expires_at"}),
        ({"name": "x", "role": "planner", "expires_at": "9999-12-31T23:59:59-14:00"}, {"/expires_at"}),
        ({"name": "x", "role": "planner", "expires_at": "0001-01-01T00:00:00+14:00"}, {"/expires_at"}),
        ({"name": "x", "role": "planner", "expires_at": "soon"}, {"/expires_at"}),
        ({"role": "planner", "colour": "red"}, {"/name", "/colour"}),
    ],
)
def test_a_key_that_cannot_be_is_refused_with_every_fault(keyed: KeyedShop, body: dict[str, Any], pointers: set[str]) -> None:
    answer = keyed.by("admin", "POST", "/v1/keys", body)
    assert answer.status_code == 422
    assert {fault["pointer"] for fault in answer.json()["faults"]} == pointers


def test_without_any_key_this_machine_may_everything_and_others_nothing(shop: Shop) -> None:
    assert shop.ask("GET", "/v1/me").json() == {
        "key": None, "name": "this machine", "role": "admin", "way": "machine", "expires_at": None,
    }  # fmt: skip
    keyed = _with_keys(shop, {})
    for near in ("127.0.0.1", "127.1.2.3", "::1", "::ffff:127.0.0.1"):
        assert keyed.by(None, "GET", "/v1/items", client=near).status_code == 200, near
    for far in (FAR_AWAY, "10.0.0.1", "::ffff:10.0.0.1", "2001:db8::1", "unknown", ""):
        answer = keyed.by(None, "GET", "/v1/items", client=far)
        assert answer.status_code == 401 and "no key was ever made" in answer.json()["detail"], far


def test_once_a_key_was_made_the_door_stays_shut_whatever_becomes_of_it(shop: Shop) -> None:
    made = shop.ask("POST", "/v1/keys", {"name": "first", "role": "admin"}).json()
    assert shop.ask("GET", "/v1/items").status_code == 401
    keyed = _with_keys(shop, {"admin": made["key"]})
    assert keyed.by("admin", "DELETE", f"/v1/keys/{made['id']}").status_code == 200
    assert shop.ask("GET", "/v1/items").status_code == 401
    assert keyed.by("admin", "GET", "/v1/items").status_code == 401
    afresh = _with_keys(Shop(str(shop.store.engine.url.render_as_string(hide_password=False))), {})
    assert afresh.by(None, "GET", "/v1/items").status_code == 401, "after a restart too"
    afresh.store.close()


def _with_keys(shop: Shop, keys: dict[str, str]) -> KeyedShop:
    keyed = KeyedShop.__new__(KeyedShop)
    keyed.store, keyed.records, keyed.app, keyed.keys = shop.store, shop.records, shop.app, keys  # type: ignore[assignment]
    return keyed


def test_a_key_that_asks_too_often_is_told_when_to_ask_again(tmp_path: Path, clock: list[float]) -> None:
    keyed = KeyedShop(new_database("sqlite", tmp_path), rate=4, rate_open=4)
    for key, others in (("reader", "planner"), (None, "planner")):
        answers = [keyed.by(key, "GET", "/v1/me") for _ in range(10)]
        statuses = [answer.status_code for answer in answers]
        assert statuses == [401 if key is None else 200] * 4 + [429] * 6
        assert answers[-1].json()["type"] == "/v1/problems/too-many"
        assert 1 <= int(answers[-1].headers["Retry-After"]) <= 60
        assert keyed.by(others, "GET", "/v1/me").status_code == 200
    assert keyed.by(None, "GET", "/readyz").status_code == 429
    assert keyed.by(None, "GET", "/readyz", client=FAR_AWAY).status_code != 429, "another address is counted apart"
    assert keyed.by(None, "GET", "/healthz").status_code == 200
    wrong = {keyed.by("hw_wrong", "GET", "/v1/me", client="2001:db8::1").status_code for _ in range(10)}
    assert wrong == {401, 429}
    assert keyed.by("hw_wrong", "GET", "/v1/me", client="2001:db8::2").status_code == 429, "of the same network"
    keyed.store.close()


def test_too_many_jobs_of_one_key_is_told_with_the_time_to_ask_again() -> None:
    problem = problem_of(TooManyJobs(3))
    assert problem is not None and (problem.status, problem.headers["Retry-After"]) == (429, "10")
