"""Whatever is sent, the answer is a problem that says what was wrong, never a server's mistake and never a hang."""

from __future__ import annotations

import copy
import json
from collections.abc import AsyncIterator, Iterator
from typing import Any

import pytest

from service.settings import Settings
from tests.service.asked import asked
from tests.service.http.conftest import House, opened

JSON = {"Content-Type": "application/json"}
ANEW = {"Cache-Control": "no-cache"}
WHOLE = json.dumps(asked())


def _deep(levels: int) -> bytes:
    return b'{"format":' + b"[" * levels + b"]" * levels + b"}"


def _with(member: str, text: str) -> bytes:
    """Return a whole request with one member's value given as JSON text, however odd."""
    document = asked()
    document[member] = "@"
    return json.dumps(document).replace('"@"', text).encode()


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """Its processes are warm: the queue has three places, and what is asked for below is not waited for."""
    yield from opened(tmp_path_factory.mktemp("house"), Settings(grace=0.5, queue=3, time_limit=60), warm=True)


@pytest.mark.parametrize(
    ("body", "status", "type"),
    [
        pytest.param(b"", 400, "malformed", id="nothing"),
        pytest.param(b"\x00", 400, "malformed", id="a zero byte"),
        pytest.param(b"{", 400, "malformed", id="half an object"),
        pytest.param(b"{}{}", 400, "malformed", id="two documents"),
        pytest.param(b"[" * 900_000, 400, "malformed", id="a million brackets"),
        pytest.param(_deep(300), 400, "malformed", id="300 deep"),
        pytest.param(_deep(40), 422, "invalid", id="40 deep"),
        pytest.param(b'{"a": "' + b"\\" * 900_000, 400, "malformed", id="a string that never ends"),
        pytest.param(b"\xff\xfe{}", 400, "malformed", id="not UTF-8"),
        pytest.param(
            WHOLE.replace("tab", "t\udcffb").encode("utf-8", "surrogateescape"), 422, "invalid", id="a stray byte in a text"
        ),
        pytest.param(WHOLE.replace('"quantity"', '"quantity": 5, "quantity"', 1).encode(), 422, "invalid", id="a key twice"),
        pytest.param(_with("quantity", "NaN"), 422, "invalid", id="NaN"),
        pytest.param(_with("quantity", "1e999"), 422, "invalid", id="1e999"),
        pytest.param(_with("quantity", "9" * 5000), 422, "invalid", id="5,000 digits"),
        pytest.param(_with("quantity", "true"), 422, "invalid", id="true for a number"),
        pytest.param(_with("seed", '"\\ud800"'), 422, "invalid", id="half a surrogate pair"),
        pytest.param(_with("tables", '["T1\\u0000"]'), 422, "invalid", id="a control character in an id"),
        pytest.param(_with("weldment", "null"), 422, "invalid", id="no weldment"),
        pytest.param(_with("tables", json.dumps([f"T{k}" for k in range(50_000)])), 422, "invalid", id="50,000 tables"),
        pytest.param(_with("rules", '{"set": {"clear.weld": -1}}'), 422, "invalid", id="a rule out of range"),
        pytest.param(_with("keep", '{"plan": 7, "rank": []}'), 422, "invalid", id="a keep of odd types"),
        pytest.param(b"null", 422, "invalid", id="null"),
        pytest.param(b'"text"', 422, "invalid", id="a text"),
        pytest.param(b" " * 1_000_001, 413, "too-large", id="a byte too many"),
    ],
)
def test_a_bad_body_is_a_problem(house: House, body: bytes, status: int, type: str) -> None:
    answer = house.call("POST", "/v1/plans", content=body, headers=JSON)
    _is_problem(answer, status, type)
    if status != 413:
        assert all(fault["wrong"] and fault["accepted"] for fault in answer.json()["faults"])


def test_the_largest_body_is_read(house: House) -> None:
    body = WHOLE.encode()
    assert house.call("POST", "/v1/plans", content=body + b" " * (1_000_000 - len(body)), headers=JSON).status_code == 202


def test_a_body_that_hides_its_size_is_cut_off(house: House) -> None:
    sent = 0

    async def endless() -> AsyncIterator[bytes]:
        nonlocal sent
        for _ in range(100):
            sent += 1
            yield b" " * 100_000

    _is_problem(house.call("POST", "/v1/plans", content=endless(), headers=JSON), 413, "too-large")
    assert sent <= 12


@pytest.mark.parametrize(
    ("headers", "status", "type"),
    [
        ({"Content-Type": "text/plain"}, 415, "media-type"),
        ({"Content-Type": ""}, 415, "media-type"),
        ({"Content-Type": "multipart/form-data; boundary=x"}, 415, "media-type"),
        ({**JSON, "Content-Encoding": "gzip"}, 415, "media-type"),
        ({**JSON, "Idempotency-Key": ""}, 400, "bad-header"),
        ({**JSON, "Idempotency-Key": "k" * 256}, 400, "bad-header"),
        ({**JSON, "Host": "shop.example"}, 421, "host"),
    ],
)
def test_bad_headers_are_a_problem(house: House, headers: dict[str, str], status: int, type: str) -> None:
    _is_problem(house.call("POST", "/v1/plans", content=WHOLE.encode(), headers=headers), status, type)


@pytest.mark.parametrize("prefer", ["wait", "wait=-1", "wait=x", "wait=1e9", "", "respond-async;;,", "wait=" + "9" * 400])
def test_a_preference_that_cannot_be_read_is_ignored(house: House, prefer: str) -> None:
    answer = house.call("POST", "/v1/plans", content=WHOLE.encode(), headers={**JSON, **ANEW, "Prefer": prefer})
    assert answer.status_code == 202
    assert "preference-applied" not in answer.headers


@pytest.mark.parametrize("media", ["application/json; charset=utf-8", "Application/JSON", "application/merge-patch+json"])
def test_json_by_any_of_its_names_is_read(house: House, media: str) -> None:
    assert house.call("POST", "/v1/plans", content=WHOLE.encode(), headers={"Content-Type": media, **ANEW}).status_code == 202


@pytest.mark.parametrize(
    ("method", "address", "status", "type"),
    [
        ("GET", "/v1/nothing", 404, "not-found"),
        ("PATCH", "/v1/plans", 405, "method"),
        ("PUT", "/v1/plans/x", 405, "method"),
        ("GET", "/v1/schemas/nope", 404, "not-found"),
        ("GET", "/v1/schemas/%00", 404, "not-found"),
        ("GET", "/v1/plans/%ff%fe", 404, "not-found"),
        ("GET", "/v1/plans/..%2f..%2fetc%2fpasswd", 404, "not-found"),
        ("GET", "/v1/plans/" + "x" * 5000, 404, "not-found"),
        ("GET", "/v1/problems/nope", 404, "not-found"),
    ],
)
def test_addresses_that_lead_nowhere(house: House, method: str, address: str, status: int, type: str) -> None:
    answer = house.call(method, address)
    _is_problem(answer, status, type)
    assert len(answer.content) < 2000


def test_twenty_five_kinds_of_fault_are_told_at_once(house: House) -> None:
    document, planted = _faulty()
    answer = house.call("POST", "/v1/plans", json=document)
    _is_problem(answer, 422, "invalid")
    told = {fault["pointer"] for fault in answer.json()["faults"]}
    assert planted <= told
    assert len(planted) == 25


def test_a_mistake_of_ours_has_an_id_and_no_details(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(self: Any, id: str) -> None:
        raise KeyError("secret")

    monkeypatch.setattr("service.records.jobs.JobRecords.get", broken)
    answer = house.call("GET", "/v1/plans/x")
    _is_problem(answer, 500, "internal")
    assert answer.json()["instance"].startswith("urn:holdwright:mistake:")
    assert "secret" not in answer.text


def _is_problem(answer: Any, status: int, type: str) -> None:
    document = answer.json()
    assert (answer.status_code, document["type"]) == (status, f"/v1/problems/{type}"), document
    assert answer.headers["content-type"] == "application/problem+json"
    assert document["status"] == status
    assert document["title"] and document["detail"]


def _faulty() -> tuple[dict[str, Any], set[str]]:
    """Return a request with 25 faults of different kinds, and the pointers they are to be told at."""
    document = copy.deepcopy(asked())
    weldment = document["weldment"]
    part = weldment["parts"][0]
    tube = {**part["section"], "shape": "square_tube", "width": 50, "wall": 3}
    pose = part["pose"]
    weld = weldment["welds"][0]

    def extra(id: str, **changes: Any) -> dict[str, Any]:
        return {"id": id, "material": "steel", "section": tube, "length": 100, "pose": pose, **changes}

    weldment["parts"] = [
        extra("a", length=-5),
        extra("b", length="long"),
        extra("c", material="wood"),
        extra("d", section={**tube, "wall": 40}),
        extra("e", section={"shape": "hexagon"}),
        extra("f", pose={**pose, "along": [0, 0, 0]}),
        extra("g", pose={**pose, "up": pose["along"]}),
        extra("h", colour="red"),
        extra("table"),
        extra("i\n"),
        extra("j", length=1e9),
    ]
    weldment["welds"] = [
        {**weld, "id": "w1", "parts": ["a", "nobody"]},
        {**weld, "id": "w2", "kind": "glue"},
        {**weld, "id": "w3", "leg": 0},
        {**weld, "id": "w4", "in_fixture": "perhaps"},
    ]
    document |= {
        "quantity": 0, "needed": {"from": "2027-03-03", "to": "2027-03-01"}, "today": "yesterday", "tables": ["T99"],
        "lie": {"down": ["sideways"], "turn": [400]}, "stations": 0, "shortage": "hope", "alternatives": 10_000, "seed": 1.5,
        "rules": {"base": "default", "set": {"clear.wled": 5}},
    }  # fmt: skip
    planted = {
        "/weldment/parts/0/length", "/weldment/parts/1/length", "/weldment/parts/2/material", "/weldment/parts/3/section/wall",
        "/weldment/parts/4/section/shape", "/weldment/parts/5/pose/along", "/weldment/parts/6/pose/up",
        "/weldment/parts/7/colour", "/weldment/parts/8/id", "/weldment/parts/9/id", "/weldment/parts/10/length",
        "/weldment/welds/0/parts/1", "/weldment/welds/1/kind", "/weldment/welds/2/leg", "/weldment/welds/3/in_fixture",
        "/quantity", "/needed/to", "/today", "/tables/0", "/lie/down/0", "/lie/turn/0", "/stations", "/shortage", "/alternatives",
        "/seed", "/rules/set/clear.wled",
    }  # fmt: skip
    planted.discard("/stations")  # a number or a word: told at the member or below it
    return document, planted
