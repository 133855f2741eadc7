"""Stock lists on the page: looked through row by row, then written just as they were shown."""

from __future__ import annotations

import pytest

from tests.service.http.shop import Shop
from tests.service.page.visitor import Visitor

LISTS, WRITE = "/store/import", "/store/import/write"
GOOD = "item;count;bin;price\nriser-75;5;B2;40,50\nstop-60;4;;\n"


def count(storeroom: Shop, item: str) -> int:
    return int(storeroom.ask("GET", f"/v1/stock/{item}").json()["count"])


def test_a_list_is_shown_row_by_row_and_then_written(storeroom: Shop, visitor: Visitor) -> None:
    shown = visitor.send(visitor.open(LISTS), LISTS, list=GOOD)
    assert shown.status == 200
    assert "2 count 6 → 5 ; bin none → B2 ; price 40.00 → 40.50" in shown.words
    assert "1 other row changes nothing" in shown.words
    assert count(storeroom, "riser-75") == 6, "a dry run writes nothing"
    done = visitor.send(shown, WRITE, who="Ute", why="yearly count")
    assert done.status == 200 and "2 rows read, 1 item changed" in done.words
    assert count(storeroom, "riser-75") == 5
    again = visitor.send(shown, WRITE, who="Ute", why="yearly count")
    assert "2 rows read, 1 item changed" in again.words, "sent twice, written once"


def test_every_fault_is_told_at_its_row_and_nothing_can_be_written(storeroom: Shop, visitor: Visitor) -> None:
    faulty = "item,count,out_of_service\nriser-75,five,\nstop-60,3,4\nriser-76,2,\n"
    shown = visitor.send(visitor.open(LISTS), LISTS, list=faulty)
    assert shown.status == 422 and WRITE not in shown.forms()
    for words in ("2 count : 'five' is not a number", "3 out of service : 4 of 3 pieces", "4 item : there is no item 'riser-76'"):
        assert words in shown.words, shown.words
    assert shown.forms()[LISTS][0].fields["list"][0].strip() == faulty.strip(), "what was pasted is still there"
    mended = visitor.send(shown, LISTS, list=GOOD)
    assert WRITE in mended.forms()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("nonsense", "there is no column"),
        ("item\nriser-75\n", "the column count is missing"),
        ('item,count\n"x', "not CSV"),
    ],
)
def test_what_is_no_list_is_told(visitor: Visitor, text: str, words: str) -> None:
    shown = visitor.send(visitor.open(LISTS), LISTS, list=text)
    assert shown.status == 422 and words in shown.words


def test_a_list_is_looked_through_again_where_the_stock_was_changed_since(storeroom: Shop, visitor: Visitor) -> None:
    shown = visitor.send(visitor.open(LISTS), LISTS, list=GOOD)
    storeroom.ask("POST", "/v1/stock/riser-75/entries", {"do": "receive", "pieces": 3, "who": "Jan"})
    told = visitor.send(shown, WRITE, who="Ute")
    assert told.status == 412 and "The stock was changed meanwhile" in told.words and "count 9 → 5" in told.words
    assert count(storeroom, "riser-75") == 9
    assert visitor.send(told, WRITE, who="Ute").status == 200
    assert count(storeroom, "riser-75") == 5


def test_whom_a_list_leaves_short_is_told(storeroom: Shop, visitor: Visitor) -> None:
    storeroom.reserve(1, 2, riser_75=6)
    done = visitor.send(visitor.send(visitor.open(LISTS), LISTS, list=GOOD), WRITE, who="Ute")
    assert "1 short" in done.words and 'href="/store/reservations/1"' in done.answer.text


def test_nobody_writes_a_list_unsigned(storeroom: Shop, visitor: Visitor) -> None:
    told = visitor.send(visitor.send(visitor.open(LISTS), LISTS, list=GOOD), WRITE)
    assert told.status == 422 and list(told.faults()) == ["who"] and WRITE in told.forms()
    assert count(storeroom, "riser-75") == 6


def test_a_list_with_strange_cells_is_text(visitor: Visitor) -> None:
    shown = visitor.send(visitor.open(LISTS), LISTS, list='item,count,bin\nriser-75,5,<b>x\n"<i>",1,\n')
    assert "<b>x" not in shown.answer.text and "<i>" not in shown.answer.text
