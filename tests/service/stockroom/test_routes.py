"""Stock and reservations over HTTP: versions, keys, filters, pages, refusals; the same on either database."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Container, Iterator, Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from inventory.store import Readers, counts, documents, open_store
from service.demo import stock_document
from service.documents import read_item, read_table
from service.http.app import create_app
from service.planning_jobs.job import Job
from service.planning_jobs.records import JobRecords, as_text, now
from service.settings import Settings
from service.stockroom.seeding import fill_if_empty
from service.stockroom.stock_source import StoreStock
from tests.service.documents import samples
from tests.shelf import by, item_document, table_document

TODAY = date.today()
SIGNED = {"who": "planner", "why": "order 4711"}


def day(after: int) -> str:
    return (TODAY + timedelta(days=after)).isoformat()


def full_item(id: str = "riser-75", **more: Any) -> dict[str, Any]:
    figures = {"repeatability_mm": 0.05, "stiffness_n_per_mm": 20000, "mass_kg": 1.2, "place_s": 30, "set_s": 0}
    return item_document(id, **figures) | more


class Shop:
    """A shop behind HTTP, asked from a test."""

    def __init__(self, url: str) -> None:
        self.store = open_store(url, Readers(lambda item: read_item(dict(item)), lambda table: read_table(dict(table))))
        self.records = JobRecords(self.store._transactions, "tests", 10, 24).create()
        self.app = create_app(Settings(hosts="*"), StoreStock(self.store), self.records)

    def ask(self, method: str, path: str, json: Any = None, **more: Any) -> httpx.Response:
        async def send() -> httpx.Response:
            transport = httpx.ASGITransport(self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://shop") as client:
                return await client.request(method, path, json=json, **more)

        return asyncio.run(send())

    def add(self, id: str, pieces: int) -> None:
        assert self.ask("POST", "/v1/items", full_item(id)).status_code == 201
        if pieces:
            entry = {"do": "receive", "pieces": pieces, **SIGNED}
            assert self.ask("POST", f"/v1/stock/{id}/entries", entry).status_code == 201

    def reserve(self, first: int = 1, last: int = 2, headers: Any = None, **pieces: int) -> httpx.Response:
        lines = [{"item": item.replace("_", "-"), "count": count} for item, count in pieces.items()]
        order = {"job": "hinge posts", "needed": {"from": day(first), "to": day(last)}, "lines": lines, **SIGNED}
        return self.ask("POST", "/v1/reservations", order, headers=headers)

    def step(self, number: int, step: str, version: int | str, **more: Any) -> httpx.Response:
        match = version if isinstance(version, str) else f'"{version}"'
        return self.ask("POST", f"/v1/reservations/{number}/{step}", SIGNED | more, headers={"If-Match": match})


@pytest.fixture
def shop(database: str) -> Iterator[Shop]:
    opened = Shop(database)
    opened.add("riser-75", 6)
    opened.add("stop-60", 4)
    yield opened
    opened.store.close()


def test_items_live_by_their_versions(shop: Shop) -> None:
    assert shop.ask("POST", "/v1/items", full_item("riser-75")).json()["type"] == "/v1/problems/exists"
    there = shop.ask("GET", "/v1/items/riser-75")
    assert (there.headers["ETag"], there.json()["price_cents"]) == ('"1"', 4000)
    dearer = full_item(price_cents=4500)
    assert shop.ask("PUT", "/v1/items/riser-75", dearer).status_code == 428
    assert shop.ask("PUT", "/v1/items/riser-75", dearer, headers={"If-Match": '"9"'}).status_code == 412
    assert shop.ask("PUT", "/v1/items/riser-75", dearer, headers={"If-Match": "1"}).status_code == 400
    assert shop.ask("PUT", "/v1/items/riser-75", full_item("x"), headers={"If-Match": '"1"'}).status_code == 422
    changed = shop.ask("PUT", "/v1/items/riser-75", dearer, headers={"If-Match": '"1"'})
    assert (changed.status_code, changed.headers["ETag"], changed.json()["price_cents"]) == (200, '"2"', 4500)
    assert shop.ask("PUT", "/v1/items/none", full_item("none"), headers={"If-Match": "*"}).status_code == 404
    refused = shop.ask("DELETE", "/v1/items/riser-75", headers={"If-Match": "*"})
    assert (refused.status_code, refused.json()["type"]) == (409, "/v1/problems/in-use")
    shop.add("square/1 %", 0)
    assert shop.ask("DELETE", "/v1/items/square%2F1%20%25", headers={"If-Match": '"1"'}).status_code == 204
    assert shop.ask("GET", "/v1/items/square%2F1%20%25").status_code == 404


def test_bad_items_are_refused_with_every_fault(shop: Shop) -> None:
    answer = shop.ask("POST", "/v1/items", full_item("new", kind="anvil", mass_kg=-1, colour="red"))
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    assert {fault["pointer"] for fault in answer.json()["faults"]} == {"/kind", "/mass_kg", "/colour"}


def test_tables_too(shop: Shop) -> None:
    made = shop.ask("POST", "/v1/tables", table_document())
    assert (made.status_code, made.headers["Location"]) == (201, "/v1/tables/T1")
    blocked = {**table_document(), "blocked_holes": ["C7"]}
    assert shop.ask("PUT", "/v1/tables/T1", blocked, headers={"If-Match": '"1"'}).headers["ETag"] == '"2"'
    assert shop.ask("GET", "/v1/tables").json()["tables"][0]["document"]["blocked_holes"] == ["C7"]
    assert shop.ask("DELETE", "/v1/tables/T1", headers={"If-Match": '"2"'}).status_code == 204


def test_lists_come_in_pages_and_by_filter(shop: Shop) -> None:
    shop.add("pin-14", 0)
    first = shop.ask("GET", "/v1/items?limit=2").json()
    assert [each["document"]["id"] for each in first["items"]] == ["pin-14", "riser-75"]
    second = shop.ask("GET", "/v1/items", params={"limit": 2, "cursor": first["next"]}).json()
    assert ([each["document"]["id"] for each in second["items"]], second["next"]) == (["stop-60"], None)
    assert len(shop.ask("GET", "/v1/items?text=RISER").json()["items"]) == 1
    assert shop.ask("GET", "/v1/items?kind=pin").json()["items"] == []
    for path in ("/v1/items?cursor=%00%FF", "/v1/reservations?cursor=YWJj", "/v1/items?limit=0", "/v1/items?kind=anvil"):
        assert shop.ask("GET", path).status_code == 422, path


def test_what_is_free_when(shop: Shop) -> None:
    assert shop.reserve(1, 2, riser_75=4).status_code == 201
    seen = shop.ask("GET", f"/v1/stock?from={day(0)}&to={day(3)}&text=riser").json()
    assert seen["stock_version"] == shop.store.version()
    (line,) = seen["stock"]
    assert (line["count"], line["reserved"], line["free"]) == (6, 4, 2)
    one = shop.ask("GET", f"/v1/stock/riser-75?from={day(0)}&to={day(3)}")
    assert one.headers["ETag"] == '"2"'
    assert one.json()["by_day"] == [
        {"from": day(0), "to": day(0), "free": 6},
        {"from": day(1), "to": day(2), "free": 2},
        {"from": day(3), "to": day(3), "free": 6},
    ]
    assert shop.ask("GET", f"/v1/stock?from={day(3)}&to={day(0)}").status_code == 422
    assert shop.ask("GET", "/v1/stock?from=thursday").status_code == 422


def test_a_shortage_lists_every_line_how_many_are_free_and_from_when(shop: Shop) -> None:
    shop.reserve(1, 2, riser_75=4)
    answer = shop.reserve(2, 3, riser_75=3, stop_60=9)
    assert (answer.status_code, answer.headers["content-type"]) == (409, "application/problem+json")
    riser, stop = answer.json()["short"]
    assert (riser["needed"], riser["free"], riser["more_free"], riser["more_from"], riser["enough_from"]) == (
        3,
        2,
        6,
        day(3),
        day(3),
    )
    assert (stop["needed"], stop["free"], stop["in_service"], stop["enough_from"]) == (9, 4, 4, None)
    assert riser["text"].startswith("riser 75 mm: 3 needed, 2 free from ")
    assert shop.ask("GET", "/v1/reservations").json()["reservations"][1:] == []


def test_the_same_key_reserves_once(shop: Shop) -> None:
    key = {"Idempotency-Key": "order-4711"}
    first, second = shop.reserve(riser_75=4, headers=key), shop.reserve(riser_75=4, headers=key)
    assert (first.status_code, second.status_code) == (201, 201)
    assert first.json() == second.json()
    assert second.headers["Location"] == "/v1/reservations/1"
    assert second.headers["ETag"] == first.headers["ETag"] == '"1"'
    other = shop.reserve(riser_75=1, headers=key)
    assert (other.status_code, other.json()["type"]) == (422, "/v1/problems/key-reused")
    assert shop.reserve(riser_75=1, headers={"Idempotency-Key": ""}).status_code == 400


def test_a_reservations_life(shop: Shop) -> None:
    assert shop.reserve(0, 2, riser_75=4, stop_60=1).json()["allowed"] == ["hand_out", "move", "release", "expire"]
    assert shop.step(1, "hand_out", 9).status_code == 412
    assert shop.ask("POST", "/v1/reservations/1/hand_out", SIGNED).status_code == 428
    out = shop.step(1, "hand_out", 1)
    assert (out.json()["state"], out.headers["ETag"]) == ("on_the_table", '"2"')
    refused = shop.step(1, "release", 2)
    assert (refused.status_code, refused.json()["type"], refused.json()["allowed"]) == (
        409,
        "/v1/problems/step",
        ["take_back", "move"],
    )
    later = shop.step(1, "move", 2, needed={"from": day(0), "to": day(4)})
    assert later.json()["needed"] == {"from": day(0), "to": day(4)}
    part = shop.step(1, "take_back", 3, lines=[{"item": "riser-75", "whole": 2, "broken": 1}]).json()
    assert (part["state"], part["lines"][0]["outstanding"]) == ("on_the_table", 1)
    too_many = shop.step(1, "take_back", "*", lines=[{"item": "stop-60", "whole": 1}, {"item": "riser-75", "whole": 2}])
    assert [fault["pointer"] for fault in too_many.json()["faults"]] == ["/lines/1"]
    assert shop.step(1, "take_back", 4).json()["state"] == "returned"
    steps = [step["step"] for step in shop.ask("GET", "/v1/reservations/1").json()["steps"]]
    assert steps == ["reserve", "hand_out", "move", "take_back", "take_back"]
    assert shop.ask("GET", "/v1/reservations/9").status_code == 404
    assert shop.step(9, "release", "*").status_code == 404


def test_broken_pieces_show_whom_they_hit(shop: Shop) -> None:
    shop.reserve(0, 1, riser_75=2)
    assert shop.reserve(5, 6, riser_75=6).status_code == 201
    shop.step(1, "hand_out", 1)
    hits = shop.step(1, "take_back", 2, lines=[{"item": "riser-75", "whole": 1, "broken": 1}]).json()["hits"]
    assert [(hit["item"], hit["short"], hit["from"], hit["reservations"][0]["id"]) for hit in hits] == [
        ("riser-75", 1, day(5), 2)
    ]
    assert shop.ask("GET", "/v1/stock/hits").json()["hits"] == hits
    repaired = shop.ask("POST", "/v1/stock/riser-75/entries", {"do": "repair", "pieces": 1, **SIGNED})
    assert repaired.json()["hits"] == []


def test_counting(shop: Shop) -> None:
    count = {"count": 3, "out_of_service": 1, "bin": "A3", **SIGNED}
    assert shop.ask("PATCH", "/v1/stock/riser-75", count).status_code == 428
    counted = shop.ask("PATCH", "/v1/stock/riser-75", count, headers={"If-Match": '"2"'})
    assert {key: counted.json()[key] for key in ("count", "out_of_service", "bin")} == {
        "count": 3,
        "out_of_service": 1,
        "bin": "A3",
    }
    assert shop.ask("PATCH", "/v1/stock/riser-75", count, headers={"If-Match": '"2"'}).status_code == 412
    impossible = shop.ask("POST", "/v1/stock/riser-75/entries", {"do": "scrap", "pieces": 2, **SIGNED})
    assert (impossible.status_code, impossible.json()["type"]) == (409, "/v1/problems/count")
    assert shop.ask("PATCH", "/v1/stock/riser-75", SIGNED, headers={"If-Match": "*"}).status_code == 422
    assert shop.ask("POST", "/v1/stock/riser-99/entries", {"do": "receive", "pieces": 2, **SIGNED}).status_code == 404
    unsigned = shop.ask("POST", "/v1/stock/riser-75/entries", {"do": "receive", "pieces": 0, "who": " "})
    assert unsigned.status_code == 422
    entries = shop.ask("GET", "/v1/stock/journal?item=riser-75").json()["entries"]
    assert [(e["kind"], e["count"], e["who"], e["why"]) for e in entries] == [
        ("count", 3, "planner", "order 4711"),
        ("receive", 6, "planner", "order 4711"),
    ]
    page = shop.ask("GET", "/v1/stock/journal?limit=1").json()
    assert shop.ask("GET", "/v1/stock/journal", params={"cursor": page["next"]}).json()["entries"][0]["kind"] == "receive"


def test_forgotten_ones_make_room_for_those_who_come(shop: Shop) -> None:
    order = {"job": "quote", "needed": {"from": day(1), "to": day(1)}, "lines": [{"item": "riser-75", "count": 6}], **SIGNED}
    shop.ask("POST", "/v1/reservations", {**order, "expires_at": "2020-01-01T00:00:00Z"})
    assert shop.reserve(1, 1, riser_75=6).status_code == 201
    assert shop.ask("GET", "/v1/reservations?state=expired").json()["reservations"][0]["job"] == "quote"
    assert shop.ask("POST", "/v1/reservations/expire", SIGNED).json() == {"expired": []}
    assert shop.ask("POST", "/v1/reservations", {**order, "expires_at": "tomorrow"}).status_code == 422


def test_what_nobody_came_for_is_free(shop: Shop) -> None:
    order = {"job": "quote", "needed": {"from": day(0), "to": day(0)}, "lines": [{"item": "riser-75", "count": 6}], **SIGNED}
    forgotten = {**order, "expires_at": "2020-01-01T00:00:00Z"}
    for look in (
        lambda: shop.ask("GET", "/v1/stock/riser-75").json()["reserved"],
        lambda: shop.ask("GET", "/v1/stock").json()["stock"][-1]["reserved"],
        lambda: StoreStock(shop.store).snapshot().lines["riser-75"].reserved,
    ):
        assert shop.ask("POST", "/v1/reservations", forgotten).status_code == 201
        assert look() == 0


def test_a_proposal_is_reserved_later(shop: Shop) -> None:
    order = {"job": "quote", "needed": {"from": day(1), "to": day(1)}, "lines": [{"item": "riser-75", "count": 6}], **SIGNED}
    assert shop.ask("POST", "/v1/reservations", {**order, "state": "proposed"}).json()["state"] == "proposed"
    shop.reserve(1, 1, riser_75=1)
    assert shop.step(1, "reserve", 1).json()["type"] == "/v1/problems/short"
    shop.step(2, "release", 1)
    assert shop.step(1, "reserve", 1).json()["state"] == "reserved"


def test_the_kit_of_a_plan(shop: Shop) -> None:
    kit = [{"item": "riser-75", "count": 3, "bin": ""}, {"item": "stop-60", "count": 6, "bin": "", "buy": 2}]
    plan, (first,) = samples.plan(), samples.plan()["alternatives"]
    second = {**first, "rank": 2, "kit": [{**kit[1], "buy": 6}]}
    plan |= {"alternatives": [{**first, "kit": kit}, second], "stock_version": 3}
    request = as_text({"needed": {"from": day(3), "to": day(4)}})
    shop.records.add(Job("p1", "queued", now(), request), None, "", 10)
    assert shop.ask("POST", "/v1/reservations", {"job": "posts", "plan": "p1", **SIGNED}).status_code == 422
    shop.records.claim()
    shop.records.finish("p1", "done", plan)
    made = shop.ask("POST", "/v1/reservations", {"job": "posts", "plan": "p1", **SIGNED}).json()
    assert {line["item"]: line["count"] for line in made["lines"]} == {"riser-75": 3, "stop-60": 4}
    assert (made["needed"], made["plan"], made["rank"]) == ({"from": day(3), "to": day(4)}, "p1", 1)
    assert shop.store.read(lambda c: documents.plan(c, "p1")).document["stock_version"] == 3
    for rank in (2, 3):
        refused = shop.ask("POST", "/v1/reservations", {"job": "posts", "plan": "p1", "rank": rank, **SIGNED})
        assert [fault["pointer"] for fault in refused.json()["faults"]] == ["/rank"]


def test_orders_that_cannot_be_read(shop: Shop) -> None:
    def pointers(**order: Any) -> list[str]:
        answer = shop.ask("POST", "/v1/reservations", {"job": "x", **SIGNED, **order})
        assert answer.status_code == 422
        return [fault["pointer"] for fault in answer.json()["faults"]]

    days = {"from": day(1), "to": day(2)}
    assert pointers() == ["/needed", "/lines"]
    assert pointers(needed={"from": day(2), "to": day(1)}, lines=[]) == ["/needed/to"]
    assert pointers(needed=days, lines=[]) == ["/lines"]
    assert pointers(needed=days, lines=[{"item": "stop-60", "count": 1}, {"item": "none", "count": 1}]) == ["/lines/1"]
    assert pointers(needed=days, lines=[{"item": "stop-60", "count": 0}]) == ["/lines/0/count"]
    assert pointers(needed=days, lines=[{"item": "stop-60", "count": 1}] * 2) == ["/lines/1/item"]
    assert pointers(needed=days, lines=[{"item": "stop-60", "count": 1, "size": 1}]) == ["/lines/0/size"]
    assert pointers(needed=days, lines=[{"item": "stop-60", "count": 1}], job="a\u0000b") == ["/job"]
    assert pointers(needed=days, plan="none") == ["/plan"]


def test_stock_lists_in_and_out(shop: Shop) -> None:
    listed = shop.ask("GET", "/v1/stock/export?semicolons=true")
    assert listed.headers["content-type"] == "text/csv; charset=utf-8"
    text = listed.content.decode("utf-8-sig")
    assert text.splitlines()[1] == "riser-75;riser 75 mm;riser;;6;0;40,00;0,40;2"
    edited = text.replace(";;6;0;40,00;", ";A3;8,0;1;42,50;").encode("utf-8-sig")
    csv = {"headers": {"Content-Type": "text/csv"}, "content": edited}
    dry = shop.ask("POST", "/v1/stock/import?who=storekeeper&dry_run=true", **csv).json()
    assert (dry["written"], dry["rows"], dry["changes"]) == (
        False,
        2,
        [
            {
                "row": 2,
                "item": "riser-75",
                "count": {"from": 6, "to": 8},
                "out_of_service": {"from": 0, "to": 1},
                "bin": {"from": "", "to": "A3"},
                "price_cents": {"from": 4000, "to": 4250},
            }
        ],
    )
    assert shop.store.read(lambda c: counts.line(c, "riser-75")).count == 6
    done = shop.ask("POST", "/v1/stock/import?who=storekeeper", **csv).json()
    assert (done["written"], done["changes"]) == (True, dry["changes"])
    line = shop.store.read(lambda c: counts.line(c, "riser-75"))
    assert (line.count, line.out_of_service, line.bin) == (8, 1, "A3")
    assert shop.ask("GET", "/v1/items/riser-75").json()["price_cents"] == 4250
    again = shop.ask("POST", "/v1/stock/import?who=storekeeper", **csv)
    assert [fault["pointer"] for fault in again.json()["faults"]] == ["/rows/2/version"]
    assert shop.ask("POST", "/v1/stock/import?who=x", {}).status_code == 415


def test_a_list_with_faults_writes_nothing_and_names_every_row(shop: Shop) -> None:
    raw = b"item,name,count,out_of_service\nriser-75,riser 75 mm,9,0\nstop-60,riser 75 mm,9,0\nnone,,1,0\nriser-75,,x,0\n"
    for query in ("", "&dry_run=true"):
        answer = shop.ask("POST", f"/v1/stock/import?who=x{query}", content=raw, headers={"Content-Type": "text/csv"})
        assert answer.status_code == 422
        assert [fault["pointer"] for fault in answer.json()["faults"]] == ["/rows/3/name", "/rows/4/item", "/rows/5/count"]
    assert shop.store.read(lambda c: counts.line(c, "riser-75")).count == 6


def test_a_list_shows_whom_it_hits(shop: Shop) -> None:
    shop.reserve(1, 2, riser_75=5)
    csv = {"headers": {"Content-Type": "text/csv"}, "content": b"item,count\nriser-75,3\n"}
    hits = shop.ask("POST", "/v1/stock/import?who=x", **csv).json()["hits"]
    assert [(hit["item"], hit["short"]) for hit in hits] == [("riser-75", 2)]
    assert shop.store.read(lambda c: counts.entries(c, limit=1))[0].kind == "import"


def test_the_reference_describes_every_route(shop: Shop) -> None:
    paths = shop.ask("GET", "/openapi.json").json()["paths"]
    wanted = {
        "/v1/items",
        "/v1/tables",
        "/v1/stock",
        "/v1/reservations",
        "/v1/stock/import",
        "/v1/reservations/{number}/take_back",
    }
    assert wanted <= set(paths)
    assert by().who


def test_advice_refuses_what_it_cannot_read(shop: Shop) -> None:
    def pointers(**body: Any) -> set[str]:
        answer = shop.ask("POST", "/v1/stock/advice", body)
        assert answer.status_code == 422
        return {fault["pointer"] for fault in answer.json()["faults"]}

    assert pointers() == {"/budget_cents", "/requests"}
    assert pointers(budget_cents=100, requests=[]) == {"/requests"}
    assert pointers(budget_cents=-1, requests=[{"request": {}, "times": 0}]) == {"/budget_cents", "/requests/0/times"}
    bad = pointers(budget_cents=100, requests=[{"request": {"format": "holdwright.request/1", "colour": 1}}])
    assert {"/requests/0/request/colour", "/requests/0/request/weldment"} <= bad
    assert pointers(budget_cents=1, requests=[{"request": {}}], time_limit_s=3000) == {"/time_limit_s"}


def advised(tmp_path: Path, request: dict[str, Any], items: Container[str] = (), **more: Any) -> dict[str, Any]:
    """Ask a shop that has some of the demo shelf, but no quick clamp, what it should buy."""
    stock = json.loads(stock_document())
    if items:
        stock["items"] = [item for item in stock["items"] if item["id"] in items]
        stock["stock"] = [line for line in stock["stock"] if line["item"] in items]
    for line in stock["stock"]:
        if line["item"].startswith("quick"):
            line.update(count=0, out_of_service=0, reserved=0)
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    try:
        assert fill_if_empty(shop.store, json.dumps(stock).encode())
        answer = shop.ask("POST", "/v1/stock/advice", {"requests": [{"request": request, "times": 12}], **more}, timeout=300)
        assert answer.status_code == 200, answer.text
        return dict(answer.json())
    finally:
        shop.store.close()
        shop.app.state.advisers.stop()


def saves_by_planned_figures(answer: Mapping[str, Any]) -> None:
    (job,) = answer["jobs"]
    assert job["now_cents"] - job["then_cents"] == answer["saving_cents"] > 0
    assert answer["least_cents"] <= job["then_cents"]
    assert sum(line["price_cents"] * line["count"] for line in answer["buy"]) == answer["spent_cents"] <= answer["budget_cents"]


def test_advice_on_one_bar(tmp_path: Path) -> None:
    """Long runs pay for a quick clamp: it shuts sooner than a screw; nothing else on this shelf is worth buying."""
    request = json.loads(Path("service/demo/jobs/tee.json").read_text())
    bar = {"id": "bar", "material": "steel", "section": {"shape": "square_tube", "width": 80, "wall": 4}, "length": 300}
    part = {**bar, "pose": {"at": [0, 0, 40], "along": [1, 0, 0], "up": [0, 0, 1]}}
    request["weldment"] = {"format": "holdwright.weldment/1", "name": "bar", "units": "mm", "parts": [part], "welds": []}
    request.update(quantity=300, alternatives=1)
    answer = advised(tmp_path, request, {"stop-25-20", "dowel-16", "screw-push", "quick-push"}, budget_cents=30000)
    assert [(line["item"], line["count"]) for line in answer["buy"]] == [("quick-push", 1)]
    saves_by_planned_figures(answer)
    assert answer["complete"]


@pytest.mark.slow
def test_advice_on_a_real_job(tmp_path: Path) -> None:
    """Without quick clamps the tab's run takes longer; buying one is worth its saving, by planned figures alone."""
    request = json.loads(Path("service/demo/jobs/hinge-tab.json").read_text())
    answer = advised(tmp_path, request, budget_cents=30000, time_limit_s=200)
    assert answer["buy"][0]["item"].startswith("quick")
    saves_by_planned_figures(answer)
