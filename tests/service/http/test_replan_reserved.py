"""A plan whose kit is reserved is planned again: what is promised to it is free for it, what is promised to others is not."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from service.documents import request_document
from service.settings import Settings
from tests import builders as b
from tests.service.http.conftest import House, opened
from tests.service.http.shop import SIGNED, day

WAIT = {"Prefer": "wait=30"}
DAYS = {"from": day(1), "to": day(3)}
BAR = b.weldment(b.bar(width=50, thickness=20, length=260, at=(0, 0, 10)))


@pytest.fixture(scope="module")
def stocked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A stop more than the bar's plan takes, and no clamp more."""
    yield from opened(tmp_path_factory.mktemp("stocked"), Settings(), shelf=b.shelf((b.stop(), 4), (b.down_clamp(), 1)))


def kit(job: dict[str, Any]) -> dict[str, int]:
    return {line["item"]: line["count"] for line in job["plan"]["alternatives"][0]["kit"]}


def again(house: House, job: dict[str, Any], **missing: int) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the re-plan of a job with pieces missing, and the request it was made for."""
    body = {"without": {"items": missing}}
    made: dict[str, Any] = house.call("POST", f"/v1/plans/{job['id']}/replan", json=body, headers=WAIT).json()
    return made, json.loads(house.app.state.context.planning.job(made["id"]).request)


def test_a_replan_may_use_what_is_reserved_for_the_plan(stocked: House) -> None:
    asked = {**request_document(b.request(BAR, alternatives=1)), "needed": DAYS}
    first = stocked.call("POST", "/v1/plans", json=asked, headers=WAIT).json()
    assert kit(first) == {"stop": 3, "clamp": 1}
    order = {"job": "bars", "plan": first["id"], "state": "reserved", **SIGNED}
    assert stocked.call("POST", "/v1/reservations", json=order).status_code == 201

    stands, request = again(stocked, first, stop=1)
    assert request["held"] == kit(first) and request["proved"] is None
    assert kit(stands) == kit(first) and stands["plan"]["alternatives"][0]["changes"] == []
    short, _ = again(stocked, first, clamp=1)
    assert short["plan"]["status"] == "infeasible"
    text = json.dumps(short["plan"]["refused"])
    assert "1 reserved, 1 of them for this job" in text and "1 to go without" in text

    onward, request = again(stocked, stands)
    assert request["held"] == kit(first), "a re-plan's own re-plan holds on to the pieces"
    assert onward["plan"]["status"] == "optimal"
    anew = stocked.call("POST", "/v1/plans", json=asked, headers={**WAIT, "Cache-Control": "no-cache"}).json()
    assert anew["plan"]["status"] == "infeasible", "for anybody else they are taken"
