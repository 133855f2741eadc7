"""Reservations over HTTP: all lines or none, keys, steps, whom missing pieces hit, kits of plans."""

from __future__ import annotations

from typing import Any

from inventory.store import documents
from service.records.database import now
from service.records.job import Job
from service.records.jobs import as_text
from service.stockroom.stock_source import StoreStock
from tests.service.documents import samples
from tests.service.http.shop import SIGNED, Shop, day


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
    key = {"Idempotency-Key": "post-118"}
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
    assert shop.step(1, "confirm", 1).json()["type"] == "/v1/problems/short"
    shop.step(2, "release", 1)
    assert shop.step(1, "confirm", 1).json()["state"] == "reserved"


def test_the_kit_of_a_plan(shop: Shop) -> None:
    kit = [{"item": "riser-75", "count": 3, "bin": ""}, {"item": "stop-60", "count": 6, "bin": "", "buy": 2}]
    plan, (first,) = samples.plan(), samples.plan()["alternatives"]
    second = {**first, "rank": 2, "kit": [{**kit[1], "buy": 6}]}
    plan |= {"alternatives": [{**first, "kit": kit}, second], "stock_version": 3}
    request = as_text({"needed": {"from": day(3), "to": day(4)}})
    shop.records.add(Job("p1", "queued", now(), request), None, "", 10)
    assert shop.ask("POST", "/v1/reservations", {"job": "posts", "plan": "p1", **SIGNED}).status_code == 422
    shop.records.leases.claim()
    shop.records.leases.finish("p1", "done", plan)
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
