"""Left- and right-hand pairs: the mirror image keeps what it can of the plan it follows, and is checked and priced beside it."""

from __future__ import annotations

import copy
from functools import cache
from typing import Any

from inventory.stock import StockSnapshot
from service.documents import plan_document, read_plan
from solver.checks import check
from solver.cost import priced
from solver.deadline import Deadline
from solver.drafting.mirrored import mirrored
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from solver.rescoring.scoring import plan_score
from solver.variants import Variant, alone
from tests import builders as b
from tests.outside.judge import Judge
from tests.solver.sizes import sized


@cache
def pair() -> tuple[Request, StockSnapshot, Plan]:
    """A tab near one end of a tube, and the other hand of it."""
    drawn = sized(500, 120)
    other = Variant("left hand", 30, mirrored(drawn, "x"), "x")
    request, stock = b.request(drawn, 50, variants=(other,), alternatives=1), b.plain_shelf()
    return request, stock, plan(request, stock, deadline=Deadline(lambda: 600.0))


def test_a_pair_is_planned_and_most_pieces_stay() -> None:
    request, stock, found = pair()
    (best,) = found.alternatives
    (left,) = best.variants
    assert left.mirror == "x" and left.shared is not None and left.shared >= len(best.placements) // 2
    report = check(request, stock, plan_document(found))
    assert report.ok, report.failed[:5]
    assert read_plan(plan_document(found)) == found


def test_both_hands_hold_by_exact_meshes() -> None:
    request, _, found = pair()
    (best,) = found.alternatives
    assert list(Judge(request, best).faults()) == []
    assert list(Judge(request.of_variant(request.variants[0]), alone(best, best.variants[0])).faults()) == []


def test_going_on_with_the_other_hand_costs_what_the_hands_do() -> None:
    """Hand calculation: each piece that moves is picked and placed (and set, if it slides), each part checked."""
    request, stock, found = pair()
    (best,) = found.alternatives
    (left,) = best.variants
    before = {piece.id: piece for piece in best.placements}
    seconds = 2 * request.rules["time.check_s"]
    for piece in left.placements:
        item, stood = stock.items[piece.item], before.pop(piece.id, None)
        if stood is None or (stood.hole, stood.turn, stood.item) != (piece.hole, piece.turn, piece.item):
            seconds += request.rules["time.pick_s"] + item.place_s + (item.set_s if item.slide else 0)
    seconds += request.rules["time.pick_s"] * len(before)
    assert left.reset_s == seconds


def test_a_pair_is_never_called_optimal_while_other_pairs_may_be_cheaper() -> None:
    _, _, found = pair()
    best = found.alternatives[0].cost.total_cents
    assert found.cost_bound_cents is not None and found.cost_bound_cents <= best
    if found.cost_bound_cents < best:
        assert (found.status, found.stopped_by) == ("feasible", "scope")
        assert [entry.code for entry in found.left_out] == ["variants.mirror"]


def test_the_number_of_pieces_that_stay_is_checked() -> None:
    request, stock, found = pair()
    changed: dict[str, Any] = copy.deepcopy(plan_document(found))
    changed["alternatives"][0]["variants"][0]["shared"] += 1
    failed = [(finding.rule, finding.subject) for finding in check(request, stock, changed).failed]
    assert failed == [("variants.shared", "variant left hand: weldment")]


def test_a_pair_is_scored_from_its_bill_as_it_was_priced() -> None:
    request, stock, found = pair()
    (score,) = plan_score(request, stock, found).alternatives
    assert priced(score.bill, request.rules)[0] == found.alternatives[0].cost
