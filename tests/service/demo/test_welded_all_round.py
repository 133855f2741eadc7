"""The anchor post, welded all round: the few pieces it takes are enough, and the one that reaches it from a corner is missed."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from inventory.stock import StockSnapshot
from service.demo import job_document, stock_document
from service.documents import plan_document, read_request, read_stock
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan

SHOP = read_stock(stock_document())
REQUEST = replace(read_request(job_document("post-on-plate"), SHOP)[0], alternatives=1)
PIECES = ("arm-80", "riser-40", "riser-62", "screw-120", "square-over", "stop-25-15", "stop-25-20")


def shelf(*gone: str) -> StockSnapshot:
    """Return a shelf of only those pieces, none left of some."""
    lines = {id: replace(SHOP.lines[id], count=0) if id in gone else SHOP.lines[id] for id in PIECES}
    return replace(SHOP, items={id: SHOP.items[id] for id in PIECES}, lines=lines)


def planned(stock: StockSnapshot) -> Plan:
    began = time.process_time()
    return plan(REQUEST, stock, deadline=Deadline(lambda: 60 + began - time.process_time()))


@pytest.mark.slow
def test_the_torch_goes_all_round_an_upright_post() -> None:
    found = planned(shelf())
    assert found.status == "optimal" and check(REQUEST, shelf(), plan_document(found)).ok
    torches = [torch for entry in found.alternatives[0].welds for _, torch in entry.samples]
    towards = {(round(torch[0]), round(torch[1])) for torch in torches}
    assert {(1, 0), (-1, 0), (0, 1), (0, -1)} <= towards


@pytest.mark.slow
def test_without_the_corner_squares_no_piece_reaches_the_post() -> None:
    found = planned(shelf("square-over"))
    assert found.status == "infeasible" and found.refused is not None
    missing = [reason.text for reason in found.refused.because if reason.subject == "square-over"]
    assert missing and "1 needed, 0 free" in missing[0]
