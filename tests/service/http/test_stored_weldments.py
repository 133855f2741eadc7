"""Stored weldments over HTTP: kept in versions, listed, drawn, named by requests."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from service.documents.request import EXAMPLE as REQUEST
from service.documents.weldment import EXAMPLE as WELDMENT
from service.settings import Settings
from tests.service.asked import DEMO_STOCK, asked
from tests.service.http.conftest import House, opened
from tests.service.planners import by_name


@pytest.fixture(scope="module")
def keeper(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house that keeps its stock in its store."""
    yield from opened(tmp_path_factory.mktemp("keeper"), Settings(grace=0.5), shelf=DEMO_STOCK, solves=by_name)


BY = "?who=fixture%20engineer"


def put(keeper: House, id: str, match: str | None = None, **changed: Any) -> Any:
    headers = {} if match is None else {"If-Match": match}
    return keeper.call("PUT", f"/v1/weldments/{id}{BY}&why=drawn", json={**WELDMENT, **changed}, headers=headers)


def faults(answer: Any) -> list[tuple[str, str]]:
    assert answer.status_code == 422, answer.text
    return [(fault["pointer"], fault["wrong"]) for fault in answer.json()["faults"]]


def test_a_weldment_is_stored_changed_and_read_back(keeper: House) -> None:
    where = f"/v1/weldments{BY}&source=post.step&source_kind=step&source_sha256={'a' * 64}"
    made = keeper.call("POST", where, json=WELDMENT)
    assert (made.status_code, made.headers["location"], made.headers["etag"]) == (201, "/v1/weldments/hinge-post", '"1"')
    assert made.json()["source"] == {"name": "post.step", "kind": "step", "fingerprint": "a" * 64}
    assert put(keeper, "hinge-post", name="b").status_code == 428
    changed = put(keeper, "hinge-post", '"1"', name="taller post")
    assert (changed.status_code, changed.headers["etag"], changed.json()["name"]) == (200, '"2"', "taller post")
    assert put(keeper, "hinge-post", '"1"', name="c").status_code == 412
    same = put(keeper, "hinge-post", "*", name="taller post")
    assert (same.status_code, same.json()["version"]) == (200, 2)
    newest, first = (keeper.call("GET", f"/v1/weldments/hinge-post{which}") for which in ("", "?version=1"))
    assert (newest.headers["etag"], newest.json()["name"]) == ('"2"', "taller post")
    stored = {"id": "hinge-post", "version": 1, "fingerprint": made.json()["fingerprint"]}
    assert first.json() == {**WELDMENT, "stored": stored}
    versions = keeper.call("GET", "/v1/weldments/hinge-post/versions").json()["versions"]
    assert [(each["version"], each["by"], each["why"]) for each in versions] == [
        (2, "fixture engineer", "drawn"), (1, "fixture engineer", ""),
    ]  # fmt: skip
    assert keeper.call("GET", "/v1/weldments/hinge-post?version=3").status_code == 404
    drawn = keeper.call("GET", "/v1/weldments/hinge-post", headers={"Accept": "image/svg+xml"})
    flat = keeper.call("GET", "/v1/weldments/hinge-post", headers={"Accept": "application/json;q=0.5, image/vnd.dxf"})
    assert flat.text.startswith("  0\nSECTION") and flat.headers["ETag"] != drawn.headers["ETag"]
    assert drawn.headers["content-type"] == "image/svg+xml" and drawn.text.startswith("<svg") and "front" in drawn.text
    assert "sandbox" in drawn.headers["content-security-policy"]


def test_a_new_id_needs_no_match_and_is_the_users(keeper: House) -> None:
    key = {"Idempotency-Key": "one"}
    first, again = (keeper.call("POST", f"/v1/weldments{BY}", json=WELDMENT, headers=key) for _ in range(2))
    assert first.json() == again.json() and first.status_code == 201
    assert len(keeper.call("GET", f"/v1/weldments?text={first.json()['id']}").json()["weldments"]) == 1
    assert put(keeper, "gate-frame").status_code == 201
    assert put(keeper, "rack", '"1"').status_code == 404
    assert faults(put(keeper, "rack@2"))[0][0] == "/id"
    assert faults(put(keeper, "rack", parts=[]))[0][0] == "/parts"
    assert keeper.call("POST", f"/v1/weldments{BY}&id=gate-frame", json=WELDMENT).status_code == 409
    assert keeper.call("POST", "/v1/weldments", json=WELDMENT).status_code == 422
    assert [each["id"] for each in keeper.call("GET", "/v1/weldments?text=GATE").json()["weldments"]] == ["gate-frame"]


def test_plans_are_asked_for_a_stored_weldment(keeper: House) -> None:
    request = asked("plain")
    assert keeper.call("PUT", f"/v1/weldments/tab{BY}", json=request["weldment"]).status_code == 201
    named = {**request, "weldment": {"id": "tab"}}
    job = keeper.call("POST", "/v1/plans", json=named, headers={"Prefer": "wait=20"}).json()
    assert job["weldment"] == {"id": "tab", "version": 1}
    assert (job["plan"]["weldment"]["id"], job["plan"]["weldment"]["version"]) == ("tab", 1)
    assert keeper.call("GET", "/v1/plans").json()["jobs"][0]["weldment"] == {"id": "tab", "version": 1}
    other = {**request["weldment"], "name": "another tab"}
    assert keeper.call("PUT", f"/v1/weldments/tab{BY}", json=other, headers={"If-Match": '"1"'}).json()["version"] == 2
    again = keeper.call("POST", f"/v1/plans/{job['id']}/replan", json={}).json()
    assert again["weldment"] == {"id": "tab", "version": 1}


def test_every_door_for_requests_looks_names_up(keeper: House) -> None:
    request = {**REQUEST, "weldment": {"id": "bra"}}
    quote = {"format": "holdwright.inquiry/1", "requests": {"a": request}, "lines": [{"request": "a", "quantity": 4}]}
    week: dict[str, Any] = {"format": "holdwright.week/1", "days": ["2027-03-01"], "tables": ["T1"]}
    week |= {"jobs": [{"id": "a", "due": "2027-03-01", "request": request}]}
    plan = {"format": "holdwright.plan/1", "status": "unknown", "alternatives": []}
    for door, body, at in (
        ("plans", request, ""),
        ("quotes", quote, "/requests/a"),
        ("stock/advice", {"budget_cents": 100, "requests": [{"request": request}]}, "/requests/0/request"),
        ("weeks", week, "/jobs/0/request"),
        ("checks", {"request": request, "plan": plan}, "/request"),
    ):
        assert faults(keeper.call("POST", f"/v1/{door}", json=body))[0] == (
            f"{at}/weldment/id", "there is no stored weldment 'bra'",
        )  # fmt: skip
