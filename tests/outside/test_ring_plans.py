"""Plans of closed rings judged by exact meshes, and by the independent checker; a quick one is in `tests/solver/kinds`."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from inventory.stock import StockSnapshot
from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.sections import Section
from solver.weldment import Weldment
from tests import builders as b
from tests.outside import rings
from tests.outside.judge import Judge

TURNING = b.adjustable_stop("turning", step=0, travel=40, turns="any")
PUSHING = replace(b.side_clamp("turning-push"), turns="any", pegs=((0, 0),))
SHELF = b.shelf(
    (b.stop(turns="any"), 30), (b.stop("wide", width=60, turns="any"), 4), (TURNING, 24), (b.down_clamp("long", reach=120), 8),
    (b.side_clamp(), 6), (PUSHING, 8), tables=[b.table(columns=30, rows=26)],
)  # fmt: skip
PLAIN = b.shelf(
    (b.stop(), 24), (b.stop("wide", width=60), 4), (b.down_clamp("long", reach=120), 4), (b.side_clamp(), 8),
    tables=[b.table(columns=30, rows=20)],
)  # fmt: skip


def judged(weldment: Weldment, stock: StockSnapshot, seconds: float) -> Plan:
    """Return the plan of a weldment: each alternative is what its mesh and the checker say it is."""
    began = time.process_time()
    request = b.request(weldment, alternatives=1)
    found = plan(request, stock, deadline=Deadline(lambda: seconds - (time.process_time() - began)))
    assert found.alternatives and found.work["dropped"] == 0
    for alternative in found.alternatives:
        assert list(Judge(request, alternative).faults()) == []
    report = check(request, stock, plan_document(found))
    assert report.ok, report.failed
    return found


def at_tips(found: Plan) -> int:
    return sum(contact.face.startswith("tip:") for piece in found.alternatives[0].placements for contact in piece.contacts)


@pytest.mark.slow
def test_a_frame_of_four() -> None:
    assert at_tips(judged(rings.frame(400, 320), PLAIN, 60.0))


@pytest.mark.slow
def test_a_frame_of_four_that_lie_flat() -> None:
    lying = Section("rect_tube", width=60, height=40, wall=4)
    assert at_tips(judged(rings.frame(400, 320, lying, 40), PLAIN, 60.0))


@pytest.mark.slow
def test_two_frames_side_by_side() -> None:
    """Eight parts in two rings of their own, each with its tip."""
    assert at_tips(judged(rings.beside(), PLAIN, 60.0)) >= 2


@pytest.mark.slow
def test_a_ring_of_eight() -> None:
    assert at_tips(judged(rings.octagon(), SHELF, 120.0))
