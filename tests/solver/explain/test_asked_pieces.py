"""Pins that cannot be met: they are the reason, and dropping them is a repair that was tried."""

from __future__ import annotations

import pytest

from solver.described_pieces import DescribedPiece
from solver.plans import Omission, Purchase
from tests import builders as b
from tests.solver.explain.shops import answer, because, would_help

BAR = b.weldment(b.bar())


@pytest.mark.slow
def test_an_item_that_is_not_free_is_missing_for_its_pin() -> None:
    pins = (DescribedPiece(item="adjustable"), DescribedPiece(item="stop"))
    found = answer(b.request(BAR, pins=pins, alternatives=1), b.plain_shelf(adjustable=0))
    assert found.status == "infeasible" and found.stopped_by == "proof"
    assert [(reason.rule, reason.subject) for reason in because(found)] == [
        ("request.pins", "adjustable"),
        ("stock.counted", "adjustable"),
    ]
    repairs = {type(repair): repair for repair in would_help(found)}
    dropped = repairs[Omission]
    assert isinstance(dropped, Omission) and (dropped.do, dropped.pins, dropped.subject) == ("drop_pin", (0,), "adjustable")
    assert any(placement.item == "stop" for placement in dropped.plan.placements)
    bought = repairs[Purchase]
    assert isinstance(bought, Purchase) and "adjustable" in [line.item for line in bought.lines]


def test_a_hole_that_the_table_does_not_have_is_dropped() -> None:
    pins = (DescribedPiece(item="stop"), DescribedPiece(hole=(500, 4)))
    found = answer(b.request(BAR, pins=pins, alternatives=1), b.plain_shelf())
    assert found.status == "infeasible"
    assert [(reason.rule, reason.subject) for reason in because(found)] == [("request.pins", "a piece in SG5")]
    assert [repair.pins for repair in would_help(found) if isinstance(repair, Omission)] == [(1,)]


@pytest.mark.slow
def test_either_of_two_that_exclude_each_other_may_be_dropped() -> None:
    """A stop must stand and may not: dropping the pin helps, and so does allowing the piece again."""
    asked = b.request(
        BAR, pins=(DescribedPiece(hole=(9, 7)),), avoid=(DescribedPiece(row=7),), alternatives=1, rules={"stack.pieces": 1}
    )
    found = answer(asked, b.shelf((b.stop(), 4), (b.stop("stop-20", face=20), 4), (b.down_clamp(), 2)))
    assert found.status == "infeasible"
    assert {(reason.rule, reason.subject) for reason in because(found)} == {
        ("request.pins", "a piece in J8"),
        ("request.avoid", "a piece in row 8"),
    }
    assert {repair.do for repair in would_help(found)} >= {"drop_pin", "drop_avoid"}
