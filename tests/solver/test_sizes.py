"""Several sizes of a weldment on one set-up: planned, priced by hand, and the same as every size on its own with those pieces."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from inventory.shapes import Point3
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Plan
from solver.request import Request
from solver.variants import Variant
from solver.weldment import Weldment
from tests import builders as b
from tests.solver.sizes import asked, sized, two_sizes


def planned(request: Request, stock: object = None) -> Plan:
    return plan(request, stock or b.plain_shelf(), deadline=Deadline(lambda: 600.0))  # type: ignore[arg-type]


def test_the_same_pieces_stand_in_the_same_holes_and_an_adjustable_stop_follows() -> None:
    _, _, found = two_sizes()
    (best,) = found.alternatives
    (long,) = best.variants
    places = [[(p.id, p.item, p.hole, p.turn, p.stands_on) for p in each] for each in (best.placements, long.placements)]
    assert places[0] == places[1]
    before = {p.id: p.setting_mm for p in best.placements}
    changed = {id: mm - (before[id] or 0.0) for id, mm in long.settings.items() if mm != before[id]}
    items = {p.id: p.item for p in best.placements}
    assert [(items[id], abs(mm)) for id, mm in changed.items()] == [("adjustable", 7.0)]
    assert found.status == "optimal" and not found.left_out


def test_one_set_up_is_paid_for_and_the_setting_between() -> None:
    """Hand calculation: one piece set anew, 40 s, and two parts checked, 45 s each; 5500 cents an hour, cycles of both sizes."""
    _, _, found = two_sizes()
    (best,) = found.alternatives
    (long,) = best.variants
    assert long.reset_s == 40 + 2 * 45
    assert long.cycle_s == best.cycle_s
    rate = 5500 / 3600
    assert best.cost.setup_cents == int(best.setup_s * rate + 0.5) + int(long.reset_s * rate + 0.5)
    assert best.cost.cycle_cents == int(50 * best.cycle_s * rate + 0.5) + int(30 * long.cycle_s * rate + 0.5)
    assert best.cost.tie_up_cents == 20 * len(best.placements)


def test_no_fixture_for_all_sizes_is_cheaper_than_the_cheapest_for_one() -> None:
    """A fixture for all sizes is one for the first: without the others' cycles and settings it costs no less."""
    request, stock, found = two_sizes()
    alone = planned(replace(request, variants=()), stock).alternatives[0].cost.total_cents
    (best,) = found.alternatives
    rate = 5500 / 3600
    others = int(130 * rate + 0.5) - int(40 * rate) + int(30 * best.cycle_s * rate + 0.5)
    assert best.cost.total_cents - others >= alone - 1


def test_a_size_like_the_first_costs_its_cycles_and_the_checking_alone() -> None:
    request = asked(Variant("again", 30, sized(500, 200)), alternatives=1)
    alone, both = (planned(each).alternatives[0] for each in (replace(request, variants=()), request))
    rate = 5500 / 3600
    more = int(90 * rate + 0.5) + int(30 * both.cycle_s * rate + 0.5)
    assert both.variants[0].reset_s == 90
    assert both.cost.total_cents == alone.cost.total_cents + more


@pytest.mark.slow
def test_no_plan_where_no_piece_reaches_both_sizes() -> None:
    """Stops that cannot be set meet the tab's end at 200 and at 207 mm from holes 40 mm apart: never both."""
    request = asked(alternatives=1)
    ended = time.monotonic() + 30
    shelf = b.plain_shelf(adjustable=0)
    found = plan(request, shelf, deadline=Deadline(lambda: ended - time.monotonic()))
    assert found.status == "infeasible" and not found.alternatives
    assert found.refused is not None
    reasons = [(reason.rule, reason.subject) for reason in found.refused.because]
    assert reasons == [("variants.same_pieces", "L 512"), ("stock.counted", "adjustable")]


@pytest.mark.parametrize(
    ("variant", "pointer"),
    [
        (Variant("one part", 3, b.weldment(b.tube())), "/variants/0/weldment/parts"),
        (Variant("no welds", 3, replace(sized(500, 200), welds=())), "/variants/0/weldment/welds"),
        (
            Variant(
                "bars", 3, replace(sized(500, 200), parts=(b.bar("tube", 50, 50, 500, (0, 0, 25)), sized(500, 200).parts[1]))
            ),
            "/variants/0/weldment/parts/0/section/shape",
        ),
    ],
)
def test_what_is_no_size_of_the_weldment_is_refused_by_name(variant: Variant, pointer: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        asked(variant)
    assert pointer in [fault.pointer for fault in refused.value.faults]


@pytest.mark.parametrize("more", [{"stations": 2}, {"stations": "best"}, {"keep": two_sizes}])
def test_what_is_not_planned_together_with_variants_is_refused(more: dict[str, Any]) -> None:
    more = {name: value()[2].alternatives[0] if callable(value) else value for name, value in more.items()}
    with pytest.raises(InvalidDocument) as refused:
        asked(**more)
    assert [fault.pointer for fault in refused.value.faults] == [f"/{name}" for name in more]


@pytest.mark.slow
def test_which_size_comes_first_changes_nothing_but_the_quantities() -> None:
    """The same fixtures, cycles and settings, whichever of two sizes the request calls its own."""
    one, other = sized(500, 200), sized(512, 207)
    costs = []
    for first, count, then, more in ((one, 50, other, 30), (other, 30, one, 50)):
        request = asked_of(first, count, Variant("the other", more, then))
        found = planned(request)
        assert found.status == "optimal"
        costs.append(found.alternatives[0].cost)
    assert costs[0] == costs[1]


@pytest.mark.slow
@pytest.mark.parametrize("by", [(40.0, 0.0), (13.0, -7.0)])
def test_where_the_sizes_are_drawn_changes_nothing(by: tuple[float, float]) -> None:
    moved = [_moved(drawn, by) for drawn in (sized(500, 200), sized(512, 207))]
    found = planned(asked_of(moved[0], 50, Variant("L 512", 30, moved[1])))
    assert found.alternatives[0].cost == two_sizes()[2].alternatives[0].cost


def asked_of(first: Weldment, quantity: int, *variants: Variant) -> Request:
    return b.request(first, quantity, variants=variants, alternatives=1)


def _moved(drawn: Weldment, by: tuple[float, float]) -> Weldment:
    def at(point: Point3) -> Point3:
        return (point[0] + by[0], point[1] + by[1], point[2])

    parts = tuple(replace(part, pose=replace(part.pose, at=at(part.pose.at))) for part in drawn.parts)
    return replace(drawn, parts=parts, welds=tuple(replace(weld, path=tuple(map(at, weld.path))) for weld in drawn.welds))
