"""Sheets over HTTP: every format, chosen by name or by Accept; the same bytes from the cache; what is refused says why."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import replace
from typing import Any

import httpx
import pytest

from service.drawings.formats import Format
from service.drawings.sheets.sheet_order import SheetOrder, draw
from service.drawings.sheets.wanted_format import offered
from service.errors import TaskOverdue, TooManySheets
from service.http.sheets import sheet_pool
from tests.service.asked import DEMO_STOCK
from tests.service.http.conftest import House

every_format = pytest.mark.parametrize("format", offered().values(), ids=list(offered()))
DEFAULT = offered().get("pdf") or next(iter(offered().values()))


def ready(house: House, name: str = "plain", **changes: Any) -> str:
    """Ask for a plan and return its id once it is done."""
    job = house.ask(name, wait=20, **changes).json()
    assert job["state"] == "done", job
    return str(job["id"])


def sheet(
    house: House, id: str, query: str = "", rank: object = 1, method: str = "GET", headers: dict[str, str] | None = None
) -> httpx.Response:
    return house.call(method, f"/v1/plans/{id}/alternatives/{rank}/sheet{query}", headers=headers or {})


@pytest.fixture(scope="module")
def plan(house: House) -> str:
    return ready(house, "hinge post")


@pytest.fixture
def orders(house: House, monkeypatch: pytest.MonkeyPatch) -> Iterator[list[SheetOrder]]:
    """What is drawn, from here on, without what was kept before."""
    drawn: list[SheetOrder] = []
    pool = sheet_pool.SheetPool(30)

    async def counted(order: SheetOrder) -> bytes:
        drawn.append(order)
        return draw(order)

    monkeypatch.setattr(pool, "_draw", counted)
    before = house.app.state.context
    house.app.state.context = replace(before, sheets=pool)
    yield drawn
    house.app.state.context = before


@every_format
def test_every_format_by_name_and_by_accept(house: House, plan: str, format: Format) -> None:
    by_name = sheet(house, plan, f"?format={format.name}")
    assert by_name.status_code == 200, by_name.text
    assert by_name.headers["content-type"] == format.media_type
    assert by_name.headers["content-length"] == str(len(by_name.content)) and by_name.content
    assert by_name.headers["vary"] == "Accept" and "private" in by_name.headers["cache-control"]
    assert by_name.headers["content-disposition"].endswith(f'; filename="hinge post, rank 1{format.suffix}"')
    first = next(each for each in offered().values() if each.media_type == format.media_type)
    if first == format:
        by_media = sheet(house, plan, headers={"Accept": format.media_type})
        assert (by_media.content, by_media.headers["etag"]) == (by_name.content, by_name.headers["etag"])


def test_without_accept_it_is_what_is_printed(house: House, plan: str) -> None:
    for accept in ("*/*", ""):
        assert sheet(house, plan, headers={"Accept": accept}).headers["content-type"] == DEFAULT.media_type


@every_format
def test_pages_run_no_script(house: House, plan: str, format: Format) -> None:
    headers = sheet(house, plan, f"?format={format.name}").headers
    assert headers["x-content-type-options"] == "nosniff"
    if format.media_type.partition(";")[0] in ("image/svg+xml", "text/html"):
        policy = headers["content-security-policy"]
        assert policy.startswith("sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:")
        assert "script" not in policy and "allow" not in policy


def test_a_sheet_is_drawn_once_and_not_at_all_for_whoever_has_it(house: House, plan: str, orders: list[SheetOrder]) -> None:
    first = sheet(house, plan, "?format=svg")
    again = sheet(house, plan, "?format=svg")
    assert (first.content, len(orders)) == (again.content, 1)
    tag = first.headers["etag"]
    assert tag.startswith('"') and len(tag) == 66
    for given in (tag, f'"other", W/{tag}', "*"):
        kept = sheet(house, plan, "?format=svg", headers={"If-None-Match": given})
        assert (kept.status_code, kept.content, kept.headers["etag"], kept.headers["vary"]) == (304, b"", tag, "Accept")
    assert sheet(house, plan, "?format=svg", headers={"If-None-Match": '"other"'}).status_code == 200
    assert len(orders) == 1
    other = sheet(house, plan, "?format=txt", headers={"If-None-Match": tag})
    assert other.status_code == 200 and len(orders) == 2


def test_the_tag_changes_with_what_is_drawn_and_with_nothing_else(house: House, plan: str, orders: list[SheetOrder]) -> None:
    tag = sheet(house, plan, "?format=svg").headers["etag"]
    line = DEMO_STOCK.lines["stop-60-15"]

    def after(**changes: Any) -> str:
        house.stock.now = replace(DEMO_STOCK, **changes)
        return str(sheet(house, plan, "?format=svg").headers["etag"])

    assert after(lines={**DEMO_STOCK.lines, line.item: replace(line, reserved=1)}, version=99) == tag
    assert after(lines={**DEMO_STOCK.lines, line.item: replace(line, bin="Z9")}) != tag
    assert after(items={**DEMO_STOCK.items, line.item: replace(DEMO_STOCK.items[line.item], name="A stop")}) != tag
    assert sheet(house, plan, "?format=svg&paper=letter").headers["etag"] != tag


def test_the_sheet_says_where_its_plan_is_and_when_it_was_made(house: House, plan: str, orders: list[SheetOrder]) -> None:
    sheet(house, plan)
    (order,) = orders
    job = house.call("GET", f"/v1/plans/{plan}").json()
    assert order.identity.plan == f"http://localhost/v1/plans/{plan}"
    assert str(order.identity.made_on) == job["finished_at"][:10]
    assert (order.identity.rules_version, order.identity.stock_version) == (1, job["plan"]["stock_version"])
    assert set(order.stock.items) == {"stop-60-15"} and len(order.stock.tables) == 1
    assert house.call("GET", order.identity.plan).status_code == 200


def test_the_headers_alone_are_not_drawn_for(house: House, plan: str, orders: list[SheetOrder]) -> None:
    bare = sheet(house, plan, "?format=svg", method="HEAD")
    assert (bare.status_code, bare.content, orders) == (200, b"", [])
    assert "content-length" not in bare.headers
    whole = sheet(house, plan, "?format=svg")
    known = sheet(house, plan, "?format=svg", method="HEAD")
    for name in ("etag", "content-type", "content-length", "content-disposition", "content-security-policy"):
        assert known.headers[name] == whole.headers[name]
    assert known.content == b""


@pytest.mark.parametrize(
    ("query", "pointer", "accepted"),
    [
        ("?format=xyz", "/query/format", f"one of {', '.join(offered())}"),
        ("?format=", "/query/format", f"one of {', '.join(offered())}"),
        ("?paper=a3", "/query/paper", "one of a4, letter"),
        ("?colour=red", "/query/colour", "format, paper"),
        ("?format=svg&format=txt", "/query/format", "once at most"),
    ],
)
def test_parameters_that_are_none_are_refused(house: House, plan: str, query: str, pointer: str, accepted: str) -> None:
    refused = sheet(house, plan, query)
    assert refused.status_code == 422 and refused.headers["content-type"] == "application/problem+json"
    (fault,) = refused.json()["faults"]
    assert (fault["pointer"], fault["accepted"]) == (pointer, accepted)


def test_every_fault_of_the_parameters_is_told(house: House, plan: str) -> None:
    refused = sheet(house, plan, "?format=xyz&paper=a3&colour=red&colour=blue")
    assert [fault["pointer"] for fault in refused.json()["faults"]] == [
        "/query/colour",
        "/query/colour",
        "/query/paper",
        "/query/format",
    ]


def test_what_nobody_can_draw_is_not_acceptable(house: House, plan: str) -> None:
    refused = sheet(house, plan, headers={"Accept": "image/webp, video/*;q=0.5"})
    assert (refused.status_code, refused.json()["type"]) == (406, "/v1/problems/not-acceptable")
    assert refused.headers["vary"] == "Accept"
    assert all(each.media_type in refused.json()["faults"][0]["accepted"] for each in offered().values())
    assert sheet(house, plan, "?format=svg", headers={"Accept": "image/webp"}).status_code == 200


def test_a_plan_or_a_rank_that_is_not_there(house: House, plan: str) -> None:
    assert sheet(house, "nobody").status_code == 404
    missing = sheet(house, plan, rank=2)
    assert (missing.status_code, missing.json()["type"]) == (404, "/v1/problems/not-found")
    assert missing.json()["detail"].endswith("its ranks: 1")
    for rank in (0, -1, "+1", "1_0", 10**30, "one"):
        refused = sheet(house, plan, rank=rank)
        assert refused.status_code == 422
        (fault,) = refused.json()["faults"]
        assert (fault["pointer"], fault["accepted"]) == ("/path/rank", "a whole number from 1 to 1000")
    none = sheet(house, ready(house, "refused"))
    assert none.status_code == 404 and "none, there is no plan" in none.json()["detail"]


def test_a_job_without_a_plan_has_nothing_to_draw(house: House) -> None:
    job = house.ask("slow", time_limit_s=30).json()
    refused = sheet(house, job["id"])
    assert (refused.status_code, refused.json()["type"]) == (409, "/v1/problems/conflict")
    house.call("DELETE", f"/v1/plans/{job['id']}", headers={"Prefer": "wait=10"})
    failed = house.ask("raises", wait=20).json()
    assert sheet(house, failed["id"]).status_code == 409


def test_hardware_that_is_gone_from_the_catalogue_is_named(house: House, plan: str) -> None:
    items = {id: item for id, item in DEMO_STOCK.items.items() if id != "stop-60-15"}
    house.stock.now = replace(DEMO_STOCK, items=items, lines={id: line for id, line in DEMO_STOCK.lines.items() if id in items})
    refused = sheet(house, plan)
    assert refused.status_code == 409 and "item stop-60-15" in refused.json()["detail"]


def test_names_of_any_script_become_safe_file_names(house: House) -> None:
    answer = sheet(house, ready(house, 'Bügel "1"/../\u202egnp 🔩'), "?format=svg")
    assert answer.status_code == 200, answer.text
    said = answer.headers["content-disposition"]
    assert said.startswith('inline; filename="Bugel -1--..-gnp, rank 1.svg"; ')
    assert said.endswith("filename*=UTF-8''B%C3%BCgel%20-1--..-gnp%20%F0%9F%94%A9%2C%20rank%201.svg")


def test_a_job_leads_to_the_sheets_of_its_plan(house: House, plan: str) -> None:
    link = house.call("GET", f"/v1/plans/{plan}").headers["link"]
    assert link == f'</v1/plans/{plan}/alternatives/1/sheet>; rel="alternate"; title="setup sheet, rank 1"'
    assert "link" not in house.call("GET", f"/v1/plans/{ready(house, 'refused')}").headers


def test_too_many_at_once_are_sent_away(house: House, plan: str, orders: list[SheetOrder]) -> None:
    pool = house.app.state.context.sheets
    with ExitStack() as others:
        for _ in range(sheet_pool.MOST_ASKED):
            others.enter_context(pool._asked.one())
        refused = sheet(house, plan)
        assert (refused.status_code, refused.json()["type"]) == (503, "/v1/problems/busy") and refused.headers["retry-after"]
        with pytest.raises(TooManySheets):
            house.loop.run(pool.drawn(orders, "key"))
    assert sheet(house, plan).status_code == 200


def test_a_drawing_that_takes_too_long_is_busy(house: House, plan: str, monkeypatch: pytest.MonkeyPatch) -> None:
    async def overdue(order: SheetOrder, key: str) -> bytes:
        raise TaskOverdue("the drawing took longer than 60 s")

    monkeypatch.setattr(house.app.state.context.sheets, "drawn", overdue)
    refused = sheet(house, plan)
    assert (refused.status_code, refused.json()["detail"]) == (503, "the drawing took longer than 60 s")


def test_all_who_ask_at_once_get_the_same_bytes(house: House, plan: str, orders: list[SheetOrder]) -> None:
    pool = house.app.state.context.sheets
    sheet(house, plan, "?format=svg")
    order = replace(orders[0], currency="EUR")

    async def all_at_once() -> list[bytes]:
        return list(await asyncio.gather(*(pool.drawn(order, order.key) for _ in range(8))))

    found = house.loop.run(all_at_once())
    assert len(orders) == 2 and len(set(found)) == 1 and len(found) == 8


def test_the_reference_lists_formats_parameters_and_answers(house: House) -> None:
    paths = house.call("GET", "/openapi.json").json()["paths"]
    said = paths["/v1/plans/{id}/alternatives/{rank}/sheet"]["get"]
    assert set(said["responses"]) == {"200", "304", "401", "403", "404", "406", "409", "421", "422", "429", "500", "503"}
    assert set(said["responses"]["200"]["content"]) == {each.media_type for each in offered().values()}
    named = {one["name"]: one for one in said["parameters"]}
    assert set(named) == {"id", "rank", "format", "paper", "Accept", "If-None-Match"}
    assert named["format"]["schema"]["enum"] == list(offered()) and named["paper"]["schema"]["enum"] == ["a4", "letter"]
    assert json.dumps(said).count("ProblemDocument") >= 5
