"""One planning, timed: its figures, and the re-plan with one piece missing."""

from __future__ import annotations

from tests import builders as b
from tests.benchmarks.planning_run import figures, one_short, timed

ASKED = b.request(b.tab_on_tube(), alternatives=1)


def test_figures_are_those_of_the_plan() -> None:
    found = figures(ASKED, b.plain_shelf(), 60.0, again=True)
    plan = timed(ASKED, b.plain_shelf(), 60.0).plan
    assert (found["cents"], found["gap"], found["status"]) == (plan.alternatives[0].cost.total_cents, plan.gap, plan.status)
    assert all(isinstance(found[key], float) for key in ("first_s", "end_s", "again_s"))


def test_without_a_plan_there_is_nothing_to_plan_again() -> None:
    bar = b.request(b.weldment(b.bar(length=240)), alternatives=1)
    found = figures(bar, b.shelf((b.stop(), 4)), 60.0, again=True)
    assert (found["first_s"], found["again_s"], found["cents"], found["gap"]) == (None, None, None, None)


def test_one_piece_of_the_most_used_item_is_missing() -> None:
    plan = timed(ASKED, b.plain_shelf(), 60.0).plan
    asked = one_short(ASKED, plan)
    ((item, missing),) = asked.without.items.items()
    most = max(line.count for line in plan.alternatives[0].kit)
    assert missing == 1 and asked.keep == plan.alternatives[0]
    assert next(line.count for line in asked.keep.kit if line.item == item) == most
