"""Plans that keep to pins and pieces to avoid: proved, checked, never cheaper than without, and one of the two as cheap."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.described_pieces import DescribedPiece, KeptPiece
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from tests import builders as b

BAR = b.weldment(b.bar(), name="bar")
SHELF = b.shelf(
    (b.stop(), 4), (b.stop("stop-20", face=20), 4), (b.adjustable_stop(), 2), (b.rest(), 3), (b.down_clamp(), 2),
    tables=(b.table(columns=14, rows=10),),
)  # fmt: skip


def planned(asked: Request) -> Plan:
    """The plan of a request, checked anew with the request's pins."""
    found = plan(asked, SHELF, deadline=Deadline(lambda: 1e5))
    assert check(asked, SHELF, json.loads(json.dumps(plan_document(found)))).ok
    return found


def cents(found: Plan) -> int:
    assert found.status == "optimal"
    return found.alternatives[0].cost.total_cents


@pytest.fixture(scope="module")
def plain() -> Plan:
    return planned(b.request(BAR, alternatives=3))


@pytest.mark.parametrize(
    "described",
    [
        DescribedPiece(item="stop-20"),
        DescribedPiece(item="stop", part="bar", role="end"),
        DescribedPiece(face="side:2", role="side"),
        DescribedPiece(row=4),
        DescribedPiece(item="stop", hole=(3, 3), role="side"),
        DescribedPiece(column=0, item="clamp"),
    ],
    ids=DescribedPiece.words,
)
def test_the_cheapest_fixture_has_such_a_piece_or_it_has_none(described: DescribedPiece, plain: Plan) -> None:
    """So the cheaper of a plan that must have it and one that may not is as cheap as the cheapest of all."""
    must = planned(b.request(BAR, alternatives=1, pins=(described,)))
    may_not = planned(b.request(BAR, alternatives=1, avoid=(described,)))
    found = [cents(each) for each in (must, may_not) if each.alternatives]
    assert min(found) == cents(plain)
    assert all(each.alternatives or each.status == "infeasible" for each in (must, may_not))


def test_every_alternative_keeps_to_them() -> None:
    found = planned(b.request(BAR, alternatives=3, pins=(DescribedPiece(hole=(4, 4)),), avoid=(DescribedPiece(column=9),)))
    assert len(found.alternatives) == 3
    for alternative in found.alternatives:
        holes = [placement.hole or "" for placement in alternative.placements]
        assert "E5" in holes and not any(hole.startswith("J") for hole in holes)


def test_pieces_stay_where_they_are_pinned(plain: Plan) -> None:
    """A stop and a clamp just as in the second alternative: the plan has both, whatever else is cheaper."""
    kept = plain.alternatives[1]
    pieces = [KeptPiece.of(kept, placement.id) for placement in kept.placements if placement.stands_on is None][:2]
    found = planned(b.request(BAR, alternatives=1, pins=tuple(DescribedPiece(piece=piece) for piece in pieces)))
    now = {(p.item, p.hole, p.turn, p.setting_mm) for p in found.alternatives[0].placements}
    before = {p.id: (p.item, p.hole, p.turn, p.setting_mm) for p in kept.placements}
    assert all(piece is not None and before[piece.id] in now for piece in pieces)


@pytest.mark.slow
def test_a_setting_is_kept_on_whatever_lattice_position_brings_it() -> None:
    """An adjustable stop pinned at a setting that no stretch of equal settings has at its ends or in its middle."""
    first = planned(b.request(BAR, alternatives=1, pins=(DescribedPiece(item="adjustable", role="side"),)))
    stop = next(p for p in first.alternatives[0].placements if p.item == "adjustable")
    assert stop.setting_mm is not None and stop.hole is not None
    odd = KeptPiece("p", "T1", (("adjustable", stop.hole, stop.turn, 13.5),))
    found = planned(b.request(BAR, alternatives=1, pins=(DescribedPiece(piece=odd, role="side"),)))
    assert [p.setting_mm for p in found.alternatives[0].placements if p.hole == stop.hole] == [13.5]


def test_a_re_plan_says_that_pieces_that_stay_elsewhere_are_taken_for_moved(plain: Plan) -> None:
    kept = plain.alternatives[0]
    piece = KeptPiece.of(kept, kept.placements[0].id)
    asked = b.request(BAR, alternatives=1, keep=kept, pins=(DescribedPiece(piece=piece),))
    found = planned(asked)
    best = found.alternatives[0].cost
    assert best.total_cents == kept.cost.total_cents and best.weights_cents == kept.cost.weights_cents
    assert found.status == "feasible" and [left.code for left in found.left_out] == ["stays"]
    assert found.cost_bound_cents is not None and found.cost_bound_cents < best.total_cents
    assert planned(replace(asked, pins=())).status == "optimal"


@pytest.mark.slow
def test_the_same_pins_give_the_same_plan() -> None:
    asked = b.request(BAR, alternatives=2, pins=(DescribedPiece(hole=(4, 4), role="side"),))
    one, other = (plan_document(replace(planned(asked), solve_s=0.0)) for _ in range(2))
    assert one == other
