"""The stock on the page: what is free when, what has to be written down, who is told when pieces are short."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from inventory.availability import Span
from inventory.store import Connection, catalogue
from service.page.store.free_chart import FreeChart, weeks_from
from tests.service.http.conftest import House
from tests.service.http.shop import Shop, day, full_item
from tests.service.page.visitor import Seen, Visitor

RISER = "/store/items/riser-75"


def lines(screen: Seen) -> list[str]:
    return [line for line in ("riser 75 mm", "stop 60 mm") if line in screen.words]


def test_the_list_shows_what_is_free_and_where_it_lies(storeroom: Shop, visitor: Visitor) -> None:
    storeroom.reserve(0, 1, riser_75=2)
    screen = visitor.open("/store")
    assert screen.status == 200
    assert "riser 75 mm riser-75 \u2013 4 2 0 6" in screen.words
    later = visitor.open(f"/store?from={day(2)}&to={day(5)}&text=&bin=")
    assert "riser 75 mm riser-75 \u2013 6 0 0 6" in later.words


@pytest.mark.parametrize(("query", "found"), [("text=RISER", ["riser 75 mm"]), ("bin=A1", ["stop 60 mm"]), ("text=none", [])])
def test_the_list_is_looked_through_by_name_and_bin(storeroom: Shop, visitor: Visitor, query: str, found: list[str]) -> None:
    visitor.send(visitor.open("/store/items/stop-60"), "/store/items/stop-60", bin="A1", who="Ute")
    assert lines(visitor.open(f"/store?{query}")) == found
    part = visitor.open(f"/store?{query}", **{"HX-Request": "true"})
    assert lines(part) == found and "<html" not in part.answer.text


def test_days_that_cannot_be_are_told_at_their_field(visitor: Visitor) -> None:
    screen = visitor.open(f"/store?from={day(5)}&to={day(1)}")
    assert screen.status == 422 and list(screen.faults()) == ["to"]
    assert list(visitor.open("/store?from=tomorrow").faults()) == ["from"]


def test_a_long_list_has_pages(storeroom: Shop, visitor: Visitor) -> None:
    def add(connection: Connection) -> None:
        for number in range(100):
            catalogue.put_item(connection, full_item(f"rest-{number:03}"), None)

    storeroom.store.write(add)
    screen = visitor.open("/store")
    assert "Further items" in screen.words and "stop-60" not in screen.words
    address = screen.answer.text.split("Further items")[0].rpartition('href="')[2].partition('"')[0].replace("&amp;", "&")
    assert "stop-60" in visitor.open(address).words


def test_an_empty_store_says_what_to_do(visitor: Visitor, storeroom: Shop) -> None:
    def emptied(connection: Connection) -> None:
        for table in ("journal", "stock", "items"):
            connection.exec_driver_sql(f"delete from {table}")

    storeroom.store.write(emptied)
    assert "The store is empty" in visitor.open("/store").words


def test_a_server_without_a_store_says_so(house: House) -> None:
    answer = house.call("GET", "/store", headers={"Accept": "text/html"})
    assert answer.status_code == 200 and "keeps no store" in answer.text


def test_a_recount_is_written_down_and_stands_in_the_journal(storeroom: Shop, visitor: Visitor) -> None:
    after = visitor.follow(visitor.send(visitor.open(RISER), RISER, count=5, bin="B2", why="yearly count", who="Ute"))
    assert "Written down: 5 counted, 0 out of service, bin B2." in after.words
    assert "count 5 5 0 Ute yearly count" in after.words
    line = storeroom.ask("GET", "/v1/stock/riser-75").json()
    assert (line["count"], line["bin"]) == (5, "B2")


def test_an_empty_field_of_a_recount_stays_as_it_is(storeroom: Shop, visitor: Visitor) -> None:
    visitor.send(visitor.open(RISER), RISER, out_of_service=1, who="Ute")
    line = storeroom.ask("GET", "/v1/stock/riser-75").json()
    assert (line["count"], line["out_of_service"]) == (6, 1)
    nothing = visitor.send(visitor.open(RISER), RISER, who="Ute")
    assert nothing.status == 422 and "changes nothing" in nothing.faults()["count-count"]


def test_who_recounts_what_somebody_else_changed_meanwhile_is_told_and_overwrites_nothing(
    storeroom: Shop, visitor: Visitor
) -> None:
    mine = visitor.open(RISER)
    visitor.send(visitor.open(RISER), RISER, count=4, who="Jan")
    told = visitor.send(mine, RISER, count=5, why="mine", who="Ute")
    assert told.status == 412 and "Somebody else changed it meanwhile" in told.words
    assert storeroom.ask("GET", "/v1/stock/riser-75").json()["count"] == 4
    assert told.forms()[RISER][0].fields["count"] == ["5"], "what was typed is still there"
    visitor.send(told, RISER)
    assert storeroom.ask("GET", "/v1/stock/riser-75").json()["count"] == 5


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"count": "-1"}, "count-count"),
        ({"count": "four"}, "count-count"),
        ({"count": "2", "out_of_service": "3"}, "count-count"),
        ({"count": "2", "bin": "x" * 201}, "count-bin"),
        ({"count": "2", "why": "x" * 1001}, "count-why"),
        ({"count": "2", "who": ""}, "count-who"),
    ],
)
def test_a_count_that_cannot_be_is_told_at_its_field(
    storeroom: Shop, visitor: Visitor, typed: dict[str, str], field: str
) -> None:
    fields: dict[str, Any] = {"who": "Ute", **typed}
    answer = visitor.send(visitor.open(RISER), RISER, **fields)
    assert answer.status in (409, 422) and list(answer.faults()) == [field]
    assert f'href="#{field}"' in answer.answer.text
    assert storeroom.ask("GET", "/v1/stock/riser-75").json()["count"] == 6


@pytest.mark.parametrize(("happened", "left"), [("receive", (8, 0)), ("break", (6, 2)), ("repair", (6, 0)), ("scrap", (6, 0))])
def test_pieces_that_come_and_go(storeroom: Shop, visitor: Visitor, happened: str, left: tuple[int, int]) -> None:
    answer = visitor.send(visitor.open(RISER), RISER, 1, do=happened, pieces=2, who="Ute")
    if happened in ("repair", "scrap"):  # none are out of service
        assert answer.status == 409 and list(answer.faults()) == ["entry-pieces"]
    line = storeroom.ask("GET", "/v1/stock/riser-75").json()
    assert (line["count"], line["out_of_service"]) == left


def test_a_form_sent_twice_is_done_once(storeroom: Shop, visitor: Visitor) -> None:
    screen = visitor.open(RISER)
    first, second = (visitor.send(screen, RISER, 1, pieces=2, who="Ute") for _ in range(2))
    assert first.leads_to == second.leads_to
    assert storeroom.ask("GET", "/v1/stock/riser-75").json()["count"] == 8
    other = visitor.send(screen, RISER, 1, pieces=3, who="Ute")
    assert other.status == 409 and "sent and done before" in other.words


def test_whom_broken_pieces_leave_short_is_told_with_the_way_there(storeroom: Shop, visitor: Visitor) -> None:
    storeroom.reserve(1, 2, riser_75=5)
    after = visitor.follow(visitor.send(visitor.open(RISER), RISER, 1, do="break", pieces=3, who="Ute"))
    assert "3 in service, 2 short" in after.words and 'href="/store/reservations/1"' in after.answer.text
    assert "2 short" in visitor.open("/store").words


def test_who_signed_once_is_remembered_by_the_browser(visitor: Visitor) -> None:
    done = visitor.send(visitor.open(RISER), RISER, count=5, who="Ute")
    assert "name=Ute" in done.answer.headers["set-cookie"]


def test_names_are_text_wherever_they_are_shown(storeroom: Shop, visitor: Visitor) -> None:
    name = '<script>alert("1")</script>'
    after = visitor.follow(visitor.send(visitor.open(RISER), RISER, count=5, bin=name, why=name, who=name))
    assert "<script>alert" not in after.answer.text + visitor.open("/store").answer.text
    assert name in after.words


def test_an_item_there_is_none_of_is_told_so(visitor: Visitor) -> None:
    assert visitor.open("/store/items/riser-76").status == 404


def test_a_chart_stands_on_its_line_and_hangs_below_it_where_more_is_promised_than_there_is() -> None:
    span = weeks_from(date(2027, 3, 3), 2)
    days = Span(span.first, date(2027, 3, 9)), Span(date(2027, 3, 10), span.last)
    chart = FreeChart.of([(days[0], 4), (days[1], -2)], span, 4)
    up, down = chart.stretches
    assert up.y + up.height == chart.zero == down.y
    assert down.y + down.height == chart.bottom
    assert len(chart.mondays) == 2
