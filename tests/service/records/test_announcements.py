"""What webhooks are told: in the transaction of what happened, or not at all. On both databases."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from inventory.availability import Span
from inventory.store import Note, Order, Readers, catalogue, counts, open_store, reservations
from service.documents import read_item, read_table
from service.records.database import now
from service.records.deliveries import find_deliveries
from service.records.job import Failure, Job
from service.records.webhooks import add_webhook
from service.stockroom import stock
from service.webhooks.signing import new_secret
from tests.databases import KINDS, database, new_database
from tests.service.http.shop import SIGNED, TODAY, Shop, day
from tests.shelf import item_document

__all__ = ["database"]
REQUEST = json.dumps({"weldment": {"name": "hinge post"}})
PLAN = {"status": "optimal", "alternatives": [{"rank": 1, "cost": {"total_cents": 1234}}, {"cost": {"total_cents": 2000}}]}


class TellingShop(Shop):
    """A shop with one webhook that hears of everything."""

    def __init__(self, url: str) -> None:
        super().__init__(url)
        wanted = ["plan.done", "reservation.hit"]
        self.hook = self.store.write(lambda c: add_webhook(c, "https://erp.example/", wanted, new_secret(), now())).id  # type: ignore[arg-type]
        self.item, self._items, self._before = "", 0, ""

    def fresh(self) -> TellingShop:
        """Forget what was told, and take an item of which six pieces are there and none is promised."""
        self._items += 1
        self.item = f"riser-{self._items}"
        self.add(self.item, 6)
        newest = self.store.read(lambda c: find_deliveries(c, self.hook, limit=1))
        self._before = newest[0].id if newest else ""
        return self

    def told(self) -> list[dict[str, Any]]:
        """Return what the webhook was told, oldest first."""
        found = self.store.read(lambda c: find_deliveries(c, self.hook))
        return [json.loads(each.body) for each in reversed(found) if each.id > self._before]

    def reserved(self, pieces: int, first: int = 1, last: int = 2) -> int:
        order = self.reserve(first, last, **{self.item.replace("-", "_"): pieces})
        assert order.status_code == 201
        return int(order.json()["id"])

    def enter(self, do: str, pieces: int, **more: Any) -> int:
        return self.ask("POST", f"/v1/stock/{self.item}/entries", {"do": do, "pieces": pieces, **SIGNED}, **more).status_code

    def count(self, **counted: int) -> int:
        return self.ask("PATCH", f"/v1/stock/{self.item}", counted | SIGNED, headers={"If-Match": "*"}).status_code


@pytest.fixture(scope="module", params=KINDS)
def kept_open(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[TellingShop]:
    opened = TellingShop(new_database(request.param, tmp_path_factory.mktemp("shop")))
    yield opened
    opened.store.close()


@pytest.fixture
def shop(kept_open: TellingShop) -> TellingShop:
    return kept_open.fresh()


def job(id: str) -> Job:
    return Job(id, "queued", now(), REQUEST)


def test_a_job_that_ends_is_announced_with_its_best_price(shop: TellingShop) -> None:
    shop.records.add(job("a"), None, "", 5)
    shop.records.leases.claim()
    assert shop.told() == []
    shop.records.leases.finish("a", "done", PLAN)
    (told,) = shop.told()
    assert told["type"] == "plan.done"
    assert told["data"] == {
        "id": "a", "name": "hinge post", "state": "done", "status": "optimal", "total_cents": 1234, "failure": None,
        "address": "/v1/plans/a",
    }  # fmt: skip
    shop.records.leases.finish("a", "failed", failure=Failure("internal", "too late"))
    assert len(shop.told()) == 1


def test_failed_and_cancelled_jobs_are_announced_too(shop: TellingShop) -> None:
    for id in ("f", "q"):
        shop.records.add(job(id), None, "", 5)
    shop.records.leases.claim()
    shop.records.leases.finish("f", "failed", failure=Failure("worker-died", "killed"))
    shop.records.ask_cancel("q")
    shop.records.ask_cancel("q")
    failed, cancelled = (told["data"] for told in shop.told())
    assert (failed["state"], failed["failure"]) == ("failed", {"kind": "worker-died", "detail": "killed"})
    assert (cancelled["id"], cancelled["state"], cancelled["total_cents"]) == ("q", "cancelled", None)


def test_a_breakage_that_hits_a_reservation_is_announced(shop: TellingShop) -> None:
    number = shop.reserved(5)
    assert shop.enter("break", 1) == 201
    assert shop.told() == []  # 5 of 5 are still there
    assert shop.enter("break", 2) == 201
    (told,) = shop.told()
    assert told["type"] == "reservation.hit"
    data = told["data"]
    assert (data["item"], data["in_service"], data["short"], data["from"]) == (shop.item, 3, 2, day(1))
    assert (data["who"], data["why"], data["reservations_hit"]) == ("planner", "post-118", 1)
    assert [(each["id"], each["job"], each["count"]) for each in data["reservations"]] == [(number, "hinge posts", 5)]


def test_only_what_makes_it_worse_is_announced(shop: TellingShop) -> None:
    shop.reserved(6)
    assert shop.enter("break", 3) == 201
    assert shop.enter("repair", 1) == 201
    assert shop.enter("scrap", 1) == 201  # out of service before: as many are in service as before
    assert shop.enter("receive", 1) == 201
    assert shop.ask("PATCH", f"/v1/stock/{shop.item}", {"bin": "A3", **SIGNED}, headers={"If-Match": "*"}).status_code == 200
    assert [told["data"]["short"] for told in shop.told()] == [3]


def test_recounts_imports_and_returns_are_announced(shop: TellingShop) -> None:
    first, second = shop.reserved(3), shop.reserved(3)
    assert shop.step(first, "hand_out", "*").status_code == 200
    back = {"lines": [{"item": shop.item, "whole": 1, "broken": 1, "missing": 1}]}
    assert shop.step(first, "take_back", "*", **back).status_code == 200
    assert shop.told() == []  # 4 are left for the other one
    assert shop.count(count=2, out_of_service=0) == 200
    raw = f"item,count\n{shop.item},1\n".encode()
    sent = shop.ask("POST", "/v1/stock/import?who=planner", content=raw, headers={"Content-Type": "text/csv"})
    assert sent.status_code == 200
    shop.count(count=3)
    assert shop.step(second, "hand_out", "*").status_code == 200
    third = shop.reserved(3, 5, 6)
    assert shop.step(second, "take_back", "*", lines=[{"item": shop.item, "whole": 2, "missing": 1}]).status_code == 200
    assert [told["data"]["short"] for told in shop.told()] == [1, 2, 1]
    assert shop.told()[-1]["data"]["reservations"][0]["id"] == third


def test_a_write_that_is_refused_or_made_before_announces_nothing(shop: TellingShop) -> None:
    shop.reserved(6)
    assert shop.enter("break", 7) == 409
    assert shop.told() == []
    for _ in range(3):
        assert shop.enter("break", 1, headers={"Idempotency-Key": "one"}) == 201
    assert len(shop.told()) == 1


def test_what_is_rolled_back_was_never_said(shop: TellingShop) -> None:
    shop.reserved(6)

    def spoilt(connection: Any) -> None:
        stock.enter(connection, shop.item, "break", 1, Note("planner", now()), TODAY)
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        shop.store.write(spoilt)
    assert shop.told() == []


def test_many_reservations_make_no_large_message(shop: TellingShop) -> None:
    for number in range(52):
        shop.reserved(6, 2 * number, 2 * number + 1)
    assert shop.enter("break", 1) == 201
    (told,) = shop.told()
    assert (told["data"]["reservations_hit"], len(told["data"]["reservations"])) == (52, 50)
    assert len(json.dumps(told)) < 20_000  # Source: Standard Webhooks 1.0.0, "Payload size"


def test_a_store_of_stock_alone_has_nobody_to_tell(database: str) -> None:
    store = open_store(database, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
    note = Note("planner", now())
    store.write(lambda c: catalogue.put_item(c, item_document("riser-75"), None))
    store.write(lambda c: counts.receive(c, "riser-75", 2, note))
    store.write(lambda c: reservations.reserve(c, Order("job", Span(TODAY, TODAY), {"riser-75": 2}), note, TODAY))
    done = store.write(lambda c: stock.enter(c, "riser-75", "break", 1, note, TODAY))
    assert done.hits[0].short == 1
    store.close()
