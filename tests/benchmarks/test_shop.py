"""The jobs that are timed and their shop."""

from __future__ import annotations

from service.demo import stock_document
from service.documents import read_stock
from tests.benchmarks.shop import SHOP, request_of


def test_the_shop_has_every_piece_twice() -> None:
    demo = read_stock(stock_document())
    assert {item: line.count for item, line in SHOP.lines.items()} == {item: 2 * line.count for item, line in demo.lines.items()}
    assert SHOP.items == demo.items and SHOP.tables == demo.tables


def test_jobs_come_from_the_demo_and_from_beside_the_benchmarks() -> None:
    assert [len(request_of(name).weldment.parts) for name in ("hinge-tab", "frame-4", "frame-8", "frame-20")] == [2, 4, 8, 20]
