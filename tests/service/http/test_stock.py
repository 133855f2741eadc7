"""Counted stock over HTTP: what is free when, counts and their journal, stock lists."""

from __future__ import annotations

from inventory.store import counts
from tests.service.http.shop import SIGNED, Shop, day


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
        ("count", 3, "planner", "post-118"),
        ("receive", 6, "planner", "post-118"),
    ]
    page = shop.ask("GET", "/v1/stock/journal?limit=1").json()
    assert shop.ask("GET", "/v1/stock/journal", params={"cursor": page["next"]}).json()["entries"][0]["kind"] == "receive"


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
