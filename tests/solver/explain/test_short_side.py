"""A part whose long sides are welded along both: refused by the rule that two points stand on a long face."""

from __future__ import annotations

import pytest

from solver.plans import Relaxation
from solver.request import Request
from tests import builders as b
from tests.solver.explain.shops import answer, because, would_help

NOT_PUSHED = {"hold.handling_n": 0.0, "hold.shrink_n_per_mm2": 0.0}
SHELF = b.shelf((b.stop(), 8), (b.adjustable_stop(), 8), (b.down_clamp(high=120), 4), (b.down_clamp("long", reach=120), 4))


def welded_along_both_sides(**rules: float) -> Request:
    """A bar 300 x 80 on a plate, one end of it out over the plate's edge by 40 mm; a weld along either side, over the plate."""
    plate, bar = b.plate("plate", (360, 200), 8, (40, -100, 0)), b.bar("bar", 80, 10, 300, (0, 0, 13))
    welds = [b.fillet(id, ("plate", "bar"), (50, y, 8), (295, y, 8)) for id, y in (("w1", 40), ("w2", -40))]
    return b.request(b.weldment(plate, bar, welds=welds), alternatives=1, rules={**NOT_PUSHED, **rules})


@pytest.mark.slow
def test_a_long_side_that_cannot_be_reached_is_the_reason_and_a_smaller_share_a_priced_repair() -> None:
    refused = answer(welded_along_both_sides(), SHELF, seconds=60)
    assert (refused.status, refused.stopped_by) == ("infeasible", "proof")
    assert [(reason.rule, reason.subject) for reason in because(refused)] == [("locate.side_face_ratio", "bar")]
    (repair,) = would_help(refused)
    assert isinstance(repair, Relaxation)
    assert (repair.rule, repair.given) == ("locate.side_face_ratio", 0.5) and repair.value <= 80 / 300
    easier = answer(welded_along_both_sides(**{"locate.side_face_ratio": repair.value}), SHELF, seconds=60)
    assert easier.status == "optimal"
    assert repair.plan.cost.total_cents >= easier.alternatives[0].cost.total_cents
