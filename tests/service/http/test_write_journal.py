"""The journal of writes: what was done by which key, in the transaction of the write itself. On both databases."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from inventory.store.errors import StoreBusy
from service.records.keys import KeyRecords
from tests.databases import KINDS, new_database
from tests.service.http.keyed import KeyedShop, full_item
from tests.service.http.shop import SIGNED, day


@pytest.fixture(scope="module", params=KINDS)
def keyed(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[KeyedShop]:
    """One shop for all these tests, on each kind of database."""
    opened = KeyedShop(new_database(request.param, tmp_path_factory.mktemp("keyed")))
    yield opened
    opened.store.close()


def test_every_write_has_a_line_with_its_key(keyed: KeyedShop) -> None:
    started = keyed.writes()[0]["id"]
    order = {"job": "posts", "needed": {"from": day(1), "to": day(2)}, "lines": [{"item": "riser-75", "count": 1}], **SIGNED}
    assert keyed.receive("storekeeper").status_code == 201
    assert keyed.by("engineer", "POST", "/v1/items", full_item("new/%")).status_code == 201
    number = keyed.by("planner", "POST", "/v1/reservations", order).json()["id"]
    match = {"If-Match": "*"}
    assert keyed.by("planner", "POST", f"/v1/reservations/{number}/release", SIGNED, headers=match).status_code == 200
    assert keyed.by("storekeeper", "POST", "/v1/reservations/expire", SIGNED).status_code == 200
    assert keyed.by("engineer", "DELETE", "/v1/items/new%2F%25", headers=match).status_code == 204
    lines = [
        (each["name"], each["operation"], each["address"], each["status"]) for each in keyed.writes() if each["id"] > started
    ]
    assert lines == [
        ("the engineer", "remove_item", "DELETE /v1/items/new%2F%25", 204),
        ("the storekeeper", "expire_reservations", "POST /v1/reservations/expire", 200),
        ("the planner", "release", f"POST /v1/reservations/{number}/release", 200),
        ("the planner", "reserve", "POST /v1/reservations", 201),
        ("the engineer", "add_item", "POST /v1/items", 201),
        ("the storekeeper", "record_entry", "POST /v1/stock/riser-75/entries", 201),
    ]


def test_a_write_that_fails_leaves_no_line_and_without_its_line_there_is_no_write(
    keyed: KeyedShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = keyed.writes()
    assert keyed.by("engineer", "POST", "/v1/items", full_item("riser-75")).status_code == 409
    assert keyed.by("engineer", "POST", "/v1/items", full_item("new", mass_kg=-1)).status_code == 422
    assert keyed.by("reader", "POST", "/v1/items", full_item("new")).status_code == 403
    assert keyed.writes() == before

    def full(*words: object) -> None:
        raise StoreBusy("no room for a line")

    monkeypatch.setattr("service.http.writes.note_write", full)
    assert keyed.by("engineer", "POST", "/v1/items", full_item("new")).status_code == 503
    monkeypatch.undo()
    assert keyed.by("reader", "GET", "/v1/items/new").status_code == 404
    assert keyed.writes() == before


def test_a_write_made_once_has_one_line_however_often_it_is_asked_for(keyed: KeyedShop) -> None:
    before = len(keyed.writes())
    for _ in range(3):
        assert keyed.receive("storekeeper", headers={"Idempotency-Key": "once"}).status_code == 201
    assert len(keyed.writes()) == before + 1


def test_two_systems_may_use_one_idempotency_key(keyed: KeyedShop) -> None:
    for given in ("post-118", "x" * 255):
        match = {"Idempotency-Key": given}
        entry = {"do": "receive", "pieces": 2}
        theirs = keyed.receive("storekeeper", headers=match)
        other = keyed.by("admin", "POST", "/v1/stock/riser-75/entries", entry, headers=match)
        assert (theirs.status_code, other.status_code) == (201, 201)
        assert keyed.receive("storekeeper", headers=match).json() == theirs.json()
        reused = keyed.by("storekeeper", "POST", "/v1/stock/riser-75/entries", entry, headers=match)
        assert (reused.status_code, reused.json()["type"]) == (422, "/v1/problems/key-reused")


def test_the_keys_name_signs_where_nobody_is_named(keyed: KeyedShop) -> None:
    entry = {"do": "receive", "pieces": 1}
    assert keyed.by("storekeeper", "POST", "/v1/stock/riser-75/entries", entry).status_code == 201
    assert keyed.receive("storekeeper").status_code == 201
    named, unnamed = keyed.by("reader", "GET", "/v1/stock/journal").json()["entries"][:2]
    assert (unnamed["who"], unnamed["key"]) == ("the storekeeper", "the storekeeper")
    assert (named["who"], named["key"]) == (SIGNED["who"], "the storekeeper")
    order = {"job": "posts", "needed": {"from": day(1), "to": day(2)}, "lines": [{"item": "riser-75", "count": 1}]}
    made = keyed.by("planner", "POST", "/v1/reservations", order).json()
    steps = keyed.by("reader", "GET", f"/v1/reservations/{made['id']}").json()["steps"]
    assert (made["made_by"], steps[0]["who"], steps[0]["key"]) == ("the planner", "the planner", "the planner")
    counts = keyed.by(
        "storekeeper", "POST", "/v1/stock/import", content=b"item,count\nriser-75,9\n", headers={"Content-Type": "text/csv"}
    )
    assert counts.status_code == 200
    assert keyed.by("reader", "GET", "/v1/stock/journal").json()["entries"][0]["who"] == "the storekeeper"


def test_lines_are_found_by_key_operation_and_time_and_come_in_pages(keyed: KeyedShop) -> None:
    key = keyed.by("storekeeper", "GET", "/v1/me").json()["key"]
    before = len(keyed.writes(key=key))
    for _ in range(3):
        keyed.receive("storekeeper")
    keyed.receive("admin")
    assert [each["name"] for each in keyed.writes(key=key)] == ["the storekeeper"] * (before + 3)
    assert {each["operation"] for each in keyed.writes(operation="make_key")} == {"make_key"}
    newest = keyed.writes()[0]
    assert keyed.writes(since=newest["at"]) == [newest]
    first = keyed.by("engineer", "GET", "/v1/writes", params={"limit": 2}).json()
    second = keyed.by("engineer", "GET", "/v1/writes", params={"limit": 2, "cursor": first["next"]}).json()
    assert [each["id"] for each in first["writes"] + second["writes"]] == [each["id"] for each in keyed.writes()[:4]]
    for strange in (
        {"key": "a\x00"},
        {"operation": "a\x00"},
        {"since": "0001-01-01T00:00:00+14:00"},
        {"since": "0.5"},
        {"cursor": "!"},
    ):
        assert keyed.by("admin", "GET", "/v1/writes", params=strange).status_code == 422, strange


def test_keys_are_written_down_as_used_once_a_minute(keyed: KeyedShop) -> None:
    uses = keyed.app.state.context.access.authentication._last_use
    keyed.by("reader", "GET", "/v1/me")
    uses.write_down()
    records = KeyRecords(keyed.store)
    id = keyed.by("reader", "GET", "/v1/me").json()["key"]
    first = records.by_id(id)
    assert first is not None and first.last_used_at is not None
    uses.write_down()
    assert records.by_id(id) == first, "within a minute there is nothing to write"
