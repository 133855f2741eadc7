"""Parameters of queries and paths: what is accepted, and what is said of what is not."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.service.http.conftest import House
from tests.service.http.shop import Shop, full_item


@pytest.mark.parametrize(
    ("query", "pointer", "accepted"),
    [
        ("limit=0", "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=1001", "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=%2B5", "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=1_0", "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=%205", "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=05", "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=" + "9" * 400, "/query/limit", "a whole number from 1 to 1000 entries"),
        ("limit=5&limit=6", "/query/limit", "once"),
        ("lim=5", "/query/lim", "a parameter of this address; did you mean 'limit'?"),
        ("state=gone", "/query/state/0", "queued, running, done, failed or cancelled"),
        ("status=good", "/query/status", "optimal, feasible, infeasible or unknown"),
        ("since=0", "/query/since", "a moment with its zone, from 1970 on, such as 2027-03-01T08:00:00Z"),
        ("since=2027-03-01T08:00:00", "/query/since", "a moment with its zone, from 1970 on, such as 2027-03-01T08:00:00Z"),
        (
            "since=0001-01-01T00:00:00%2B23:00",
            "/query/since",
            "a moment with its zone, from 1970 on, such as 2027-03-01T08:00:00Z",
        ),
        ("name=a%00b", "/query/name", "a text without control characters"),
        ("name=" + "x" * 201, "/query/name", "at most 200 characters"),
        ("cursor=x", "/query/cursor", "`next` of an earlier page"),
        ("cursor=eA==", "/query/cursor", "`next` of an earlier page"),
    ],
)
def test_a_parameter_that_cannot_be_read_is_refused_in_words(house: House, query: str, pointer: str, accepted: str) -> None:
    refused = house.call("GET", f"/v1/plans?{query}")
    assert refused.status_code == 422
    (fault,) = refused.json()["faults"]
    assert (fault["pointer"], fault["accepted"]) == (pointer, accepted)
    assert fault["wrong"]


def test_unknown_parameters_and_faulty_ones_are_told_at_once(house: House) -> None:
    refused = house.call("GET", "/v1/plans?limit=0&colour=red&since=x").json()
    assert {fault["pointer"] for fault in refused["faults"]} == {"/query/colour", "/query/limit", "/query/since"}


@pytest.mark.parametrize("address", ["/healthz", "/v1/schemas/plan", "/v1/problems", "/v1/plans/x"])
def test_where_there_are_no_parameters_none_is_taken(house: House, address: str) -> None:
    (fault,) = house.call("GET", f"{address}?form=svg").json()["faults"]
    assert (fault["pointer"], fault["accepted"]) == ("/query/form", "no parameters")


def test_a_day_is_a_day(tmp_path: Path) -> None:
    """RFC 3339, 5.6, full-date."""
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    for query in ("to=0", "from=2027-W01-1", "from=20270301"):
        (fault,) = shop.ask("GET", f"/v1/stock?{query}").json()["faults"]
        assert (fault["pointer"], fault["accepted"]) == (f"/query/{query.partition('=')[0]}", "a calendar day as YYYY-MM-DD")
    shop.store.close()


@pytest.mark.parametrize("charset", ["utf-16", "latin-1", '"utf-16"', "", "utf-7"])
def test_json_is_utf_8(house: House, charset: str) -> None:
    """RFC 8259, 8.1."""
    refused = house.call("POST", "/v1/plans", content=b"{}", headers={"Content-Type": f"application/json; charset={charset}"})
    assert (refused.status_code, refused.json()["type"]) == (415, "/v1/problems/media-type")


def test_an_id_that_could_not_be_read_back_is_refused(tmp_path: Path) -> None:
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    for id in ("journal", "hits", "export", "import", "advice", "journal/7", "a/entries", ".", "..", "a/../b", "a/."):
        refused = shop.ask("POST", "/v1/items", full_item(id))
        assert refused.status_code == 422 and {fault["pointer"] for fault in refused.json()["faults"]} == {"/id"}, id
    for near in ("journals", "entries", "a/journal", "a..b", "..."):
        assert shop.ask("POST", "/v1/items", full_item(near)).status_code == 201
        assert shop.ask("GET", f"/v1/items/{near}").json()["id"] == near
        assert shop.ask("GET", f"/v1/stock/{near}").json()["item"] == near
    shop.store.close()
