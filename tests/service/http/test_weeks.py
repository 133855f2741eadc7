"""Weeks over HTTP: planned as jobs, drawn, their pieces promised in one go or not at all.

What is promised in one transaction is tested on both databases in `tests/service/test_week_reservations.py`.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.documents import request_document
from service.stockroom.first_stock import fill_if_empty
from tests.service.http.shop import SIGNED, Shop, day
from tests.service.weeks import REQUEST, SHELF, plan_in_full

Door = httpx.AsyncClient


def question(*jobs: dict[str, Any], days: int = 3, **more: Any) -> dict[str, Any]:
    listed = [{"id": f"job-{k}", "due": day(days), **job} for k, job in enumerate(jobs, 1)]
    return {"format": "holdwright.week/1", "days": [day(k) for k in range(1, days + 1)], "tables": ["T1"], "jobs": listed, **more}


@pytest.fixture
def week_shop(tmp_path: Path) -> Iterator[Shop]:
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    assert fill_if_empty(shop.store, SHELF)
    yield shop
    shop.store.close()


def at(shop: Shop, act: Callable[[Door], Awaitable[Any]]) -> Any:
    """Ask a shop that is open for as long as that takes."""

    async def within() -> Any:
        async with (
            shop.app.router.lifespan_context(shop.app),
            Door(transport=httpx.ASGITransport(shop.app, raise_app_exceptions=False), base_url="http://shop", timeout=60) as door,
        ):
            return await act(door)

    with asyncio.Runner() as loop:
        return loop.run(within())


async def planned(door: Door, address: str, body: dict[str, Any]) -> dict[str, Any]:
    taken = await door.post(address, json=body)
    assert taken.status_code == 202, taken.text
    job = taken.json()
    while job["state"] in ("queued", "running"):
        job = (await door.get(taken.headers["location"], headers={"Prefer": "wait=20"})).json()
    assert job["state"] == "done", job
    return dict(job)


def test_a_week_is_planned_drawn_and_promised_once(week_shop: Shop) -> None:
    async def act(door: Door) -> None:
        plan = await planned(door, "/v1/plans", request_document(REQUEST))
        job = await planned(door, "/v1/weeks", question({"plan": plan["id"]}, {"plan": plan["id"]}, {"plan": plan_in_full()}))
        week, address = job["week"], f"/v1/weeks/{job['id']}"
        assert week["status"] == "optimal" and week["left_over"] == []
        chart = await door.get(f"{address}/chart")
        assert chart.headers["content-type"].startswith("image/svg+xml") and "job-3" in chart.text
        entry = week["assignments"][-1]
        lines = [{"item": entry["kit"][0]["item"], "count": 12}]
        others = {"job": "others", "needed": {"from": entry["days"]["to"], "to": entry["days"]["to"]}, "lines": lines, **SIGNED}
        taken = await door.post("/v1/reservations", json=others)
        assert taken.status_code == 201
        refused = await door.post(f"{address}/reserve", json=SIGNED)
        assert refused.status_code == 409 and refused.json()["short"][0]["item"] == lines[0]["item"]
        assert len((await door.get("/v1/reservations")).json()["reservations"]) == 1  # none of the week's
        given = await door.post(f"{taken.headers['location']}/release", json=SIGNED, headers={"If-Match": "*"})
        assert given.status_code == 200
        made = await door.post(f"{address}/reserve", json=SIGNED)
        assert made.status_code == 201, made.text
        reservations = made.json()["reservations"]
        assert len(reservations) == 3 and {each["state"] for each in reservations} == {"reserved"}
        assert [each["plan"] for each in reservations] == [plan["id"], plan["id"], None]
        by_job = {each["job"].split(",")[0]: each for each in reservations}
        for each in week["assignments"]:
            assert by_job[each["job"]]["needed"] == each["held"]
        again = await door.post(f"{address}/reserve", json=SIGNED)
        assert again.status_code == 409 and "is promised already" in again.json()["detail"]

    at(week_shop, act)


def test_weeks_refuse_what_they_cannot_read(week_shop: Shop) -> None:
    def faults(body: Any) -> set[str]:
        answer = week_shop.ask("POST", "/v1/weeks", body)
        assert answer.status_code == 422, answer.text
        return {fault["pointer"] for fault in answer.json()["faults"]}

    assert faults(question({"plan": "nothing"})) == {"/jobs/0/plan"}
    assert faults(question({})) == {"/jobs/0"}
    assert faults(question({"request": {"format": "holdwright.request/1", "colour": 1}})) >= {"/jobs/0/request/colour"}
    assert faults(question({"plan": plan_in_full(), "due": day(-1)})) == {"/jobs/0/due"}
    assert faults(question({"plan": plan_in_full()}, time_limit_s=3000)) == {"/time_limit_s"}
    assert faults({"format": "holdwright.week/1"}) == {"/days", "/tables", "/jobs"}
    assert week_shop.ask("GET", "/v1/weeks/nothing").status_code == 404
    assert week_shop.ask("POST", "/v1/weeks/nothing/reserve", SIGNED).status_code == 404


def test_a_week_that_has_not_ended_has_no_chart_and_promises_nothing(week_shop: Shop) -> None:
    taken = week_shop.ask("POST", "/v1/weeks", question({"plan": plan_in_full()}))
    assert taken.status_code == 202
    address = taken.headers["location"]
    assert week_shop.ask("GET", f"{address}/chart").status_code == 409
    assert week_shop.ask("POST", f"{address}/reserve", SIGNED).status_code == 409
    assert json.loads(taken.text)["format"] == "holdwright.week-job/1"
