"""An order holds all that is drawn: equal orders draw equal bytes, and the key changes with every part of them."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from inventory.stock import StockLine
from service.documents import request_document
from service.documents.plan_document import alternative_document
from service.drawings.formats import Format
from service.drawings.sheets.sheet_order import SheetOrder, draw, drawn_stock
from service.drawings.sheets.wanted_format import offered
from service.drawings.subject import Identity, Subject
from service.errors import StockChanged
from tests.builders import rest, table
from tests.service.drawings.example import alternative, question, stock

DOCUMENT: dict[str, Any] = alternative_document(alternative())
IDENTITY = Identity("http://localhost/v1/plans/1", "abc", 1, 2, date(2027, 3, 1))


def order(format: str = "svg", **changes: Any) -> SheetOrder:
    request = json.dumps(request_document(question()))
    plain = SheetOrder(json.dumps(DOCUMENT), request, drawn_stock(DOCUMENT, stock()), format, IDENTITY, "EUR", "a4")
    return replace(plain, **changes)


@pytest.mark.parametrize("format", offered().values(), ids=list(offered()))
def test_an_order_draws_what_the_format_draws(format: Format) -> None:
    subject = Subject(alternative(), question(), drawn_stock(DOCUMENT, stock()), IDENTITY, "EUR")
    assert draw(order(format.name)) == format.content(subject)


def test_the_key_changes_with_every_part() -> None:
    one = order()
    others = [
        order("txt"), order(alternative="{}"), order(request="{}"), order(currency="USD"), order(paper="letter"),
        order(identity=replace(IDENTITY, plan="")), order(identity=replace(IDENTITY, made_on=None)),
        order(stock=replace(one.stock, lines={**one.stock.lines, "stop": StockLine("stop", 0, bin="Z9")})),
    ]  # fmt: skip
    assert len({one.key, *(other.key for other in others)}) == 1 + len(others)
    assert one.key == order().key and len(one.key) == 64


def test_the_key_changes_with_the_release(monkeypatch: pytest.MonkeyPatch) -> None:
    before = order().key
    monkeypatch.setattr("service.drawings.sheets.sheet_order.release", lambda: "99.0")
    assert order().key != before


def test_counts_and_other_hardware_are_not_drawn() -> None:
    shelf = stock()
    fuller = replace(
        shelf, version=7, tables={**shelf.tables, "T9": replace(table(), id="T9")}, items={**shelf.items, "rest": rest()},
        lines={id: replace(line, count=line.count + 3) for id, line in shelf.lines.items()},
    )  # fmt: skip
    assert drawn_stock(DOCUMENT, fuller) == drawn_stock(DOCUMENT, shelf)


def test_what_is_gone_from_the_stock_is_named() -> None:
    with pytest.raises(StockChanged, match="table T9, item ladder"):
        first, *others = DOCUMENT["placements"]
        drawn_stock({**DOCUMENT, "table": "T9", "placements": [{**first, "item": "ladder"}, *others]}, stock())
