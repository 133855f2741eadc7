"""What an earlier plan proved ends the search for a re-plan as soon as nothing cheaper can be, and never changes the price."""

from __future__ import annotations

import time
from dataclasses import replace

import pytest

from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.position.kept_plan import KeptPlan
from solver.request import Request, Without
from tests import builders as b

WELDMENT = b.weldment(b.bar(width=50, thickness=20, length=260, at=(0, 0, 10)))
STOCK = b.shelf((b.stop(), 5), (b.down_clamp(), 2))
ASKED = b.request(WELDMENT, alternatives=1, turn=(0.0,))


def planned(request: Request, stock: StockSnapshot = STOCK) -> Plan:
    began = time.process_time()
    return plan(request, stock, deadline=Deadline(lambda: 60 + began - time.process_time()))


@pytest.fixture(scope="module")
def made() -> Plan:
    return planned(ASKED)


def replanned(made: Plan, **without: object) -> Request:
    return replace(ASKED, keep=made.alternatives[0], without=Without(**without))  # type: ignore[arg-type]


def a_hole(made: Plan) -> str:
    return next(p.hole for p in made.alternatives[0].placements if p.item == "stop" and p.hole is not None)


def test_a_piece_in_a_blocked_hole_cannot_stay_nor_can_more_than_are_free(made: Plan) -> None:
    kept = KeptPlan.of(made.alternatives[0])
    hole = frozenset({(None, parse_hole(a_hole(made)))})
    assert kept.cannot_stay(ASKED, STOCK) == 0
    assert kept.cannot_stay(replanned(made, holes=hole), STOCK) == 1
    assert kept.cannot_stay(replanned(made, items={"stop": 4}), STOCK) == 2
    assert kept.cannot_stay(replanned(made, items={"stop": 4}, holes=hole), STOCK) == 2
    assert kept.cannot_stay(replace(replanned(made, items={"stop": 4}), shortage="price"), STOCK) == 0


def test_a_proof_taken_over_finds_the_same_price_with_less_work(made: Plan) -> None:
    asked = replanned(made, holes=frozenset({(None, parse_hole(a_hole(made)))}))
    alone = planned(asked)
    known = planned(replace(asked, proved_cents=round(made.cost_bound_cents or 0)))
    assert made.status == alone.status == known.status == "optimal"
    assert alone.alternatives[0].cost == known.alternatives[0].cost
    assert known.work["solves"] <= alone.work["solves"] and known.cost_bound_cents == alone.cost_bound_cents
    assert "plan.proved" in {finding.rule for finding in known.findings}


def test_a_bound_below_the_price_ends_nothing(made: Plan) -> None:
    asked = replanned(made, items={"stop": 3})
    alone, known = planned(asked), planned(replace(asked, proved_cents=1))
    assert alone.status == known.status
    assert [each.cost for each in alone.alternatives] == [each.cost for each in known.alternatives]
