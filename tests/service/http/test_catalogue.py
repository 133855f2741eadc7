"""Items and tables over HTTP: versions, faults, pages, filters."""

from __future__ import annotations

from tests.service.http.shop import Shop, full_item
from tests.shelf import by, table_document


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
