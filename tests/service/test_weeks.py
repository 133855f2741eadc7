"""Weeks of planned bars: places on tables, the independent check, faults of the question."""

from __future__ import annotations

import copy
import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.documents import request_document
from solver.checks.week import check_week
from solver.checks.week.footprint import footprint
from solver.deadline import Deadline
from solver.planning import plan
from solver.rule_book.book import RuleBook
from solver.week.needed_room import needed_room
from solver.week.set_ups import stands_on
from tests import builders as b
from tests.service.weeks import REQUEST, SHELF, answered, bar_plan, in_hand, plan_in_full, stock_by_day, week_question


def test_jobs_of_one_kit_follow_each_other_on_one_set_up() -> None:
    week = answered(week_question({}, {}))
    first, second = sorted(week["assignments"], key=lambda each: each["days"]["from"])
    assert week["status"] == "optimal" and second["stays_after"] == first["job"]
    assert first["cost"]["setup_cents"] == bar_plan().alternatives[0].cost.setup_cents and second["cost"]["setup_cents"] == 0


def test_set_ups_share_a_table_pushed_aside() -> None:
    week = answered(week_question({}, {}, days=["2027-03-04"]))
    assert week["left_over"] == [] and len({each["job"] for each in week["assignments"]}) == 2
    holes = [{each["hole"] for each in entry["holes"]} for entry in week["assignments"]]
    assert not holes[0] & holes[1]
    assert any(entry["seat"] != {"columns": 0, "rows": 0} for entry in week["assignments"])


def test_a_plan_stands_on_a_table_like_its_own_and_on_no_other() -> None:
    week = answered(week_question({}, tables=["T2", "T3"], jobs=[{"id": "j", "plan": plan_in_full(), "due": "2027-03-08"}]))
    assert week["assignments"][0]["table"] == "T2"
    only_its_own = answered(week_question({}, tables=["T2", "T3"]))  # its request names T1 alone
    assert only_its_own["left_over"][0]["because"][0]["code"] == "no_plan"


def test_tables_are_alike_in_every_number_and_bear_as_much() -> None:
    own = SHELF.tables["T1"]
    twin = replace(own, id="T9")
    assert stands_on(own, twin)
    assert stands_on(replace(own, blocked_holes=frozenset({(1, 1)})), twin)
    assert not stands_on(own, replace(twin, blocked_holes=frozenset({(1, 1)})))
    assert not stands_on(own, replace(twin, max_load_kg=200.0))
    assert not stands_on(own, replace(twin, thickness=15.0))


def test_requests_are_planned_first() -> None:
    asked = request_document(REQUEST)
    week = answered(week_question(jobs=[{"id": "r", "request": asked, "due": "2027-03-08"}]))
    assert week["plans"]["r"]["format"] == "holdwright.plan/1" and week["assignments"][0]["name"] == "bar"
    impossible = {**asked, "without": {"items": dict.fromkeys(SHELF.items, 12), "holes": []}}
    nothing = answered(week_question(jobs=[{"id": "r", "request": impossible, "due": "2027-03-08"}]))
    assert nothing["left_over"][0]["because"][0]["code"] == "no_plan"


def test_room_is_the_same_by_both_computations() -> None:
    tab = plan(b.request(b.tab_on_tube(), alternatives=1), b.plain_shelf(), deadline=Deadline.on(time.monotonic, 60))
    for alternative in (*bar_plan().alternatives, *tab.alternatives):
        room, recomputed = needed_room(alternative, RuleBook()), footprint(alternative, RuleBook())
        assert [room.left, room.low, room.right, room.high] == pytest.approx(recomputed.flatten().tolist(), abs=1e-6)


def _overused(week: dict[str, Any]) -> None:
    week["assignments"][1]["days"] = week["assignments"][1]["held"] = week["assignments"][0]["days"]
    week["assignments"][1]["stays_after"] = None


SPOILT: dict[str, Callable[[dict[str, Any]], object]] = {
    "week.jobs": lambda week: week["left_over"].append({"job": "job-1", "cents": 0}),
    "week.days": lambda week: week["assignments"][0]["days"].update({"from": "2027-03-06"}),
    "week.stays": lambda week: week["assignments"][1]["held"].update({"from": "2027-03-06"}),
    "week.table": lambda week: week["assignments"][0]["seat"].update(columns=-30),
    "week.apart": _overused,
    "week.price": lambda week: week["cost"].update(total_cents=week["cost"]["total_cents"] - 1),
    "week.bound": lambda week: week.update(cost_bound_cents=week["cost"]["total_cents"] + 1),
}


@pytest.mark.parametrize("code", SPOILT)
def test_the_check_notices(code: str) -> None:
    question = week_question({}, {"release": "2027-03-05"})
    week, plans = answered(question), {f"job-{k}": plan_in_full() for k in (1, 2)}
    assert check_week(question, plans, stock_by_day(), week).ok
    spoilt = copy.deepcopy(week)
    SPOILT[code](spoilt)
    assert code in {found.rule for found in check_week(question, plans, stock_by_day(), spoilt).failed}


def test_the_check_counts_pieces_and_loads() -> None:
    question = week_question({}, {}, days=["2027-03-04"])
    week, plans = answered(question), {f"job-{k}": plan_in_full() for k in (1, 2)}
    few = stock_by_day(replace(SHELF, lines={id: replace(line, count=1) for id, line in SHELF.lines.items()}), 1)
    assert "week.pieces" in {found.rule for found in check_week(question, plans, few, week).failed}
    weak = replace(SHELF, tables={id: replace(table, max_load_kg=0.5) for id, table in SHELF.tables.items()})
    assert "week.load" in {found.rule for found in check_week(question, plans, stock_by_day(weak, 1), week).failed}


FAULTS: list[tuple[dict[str, Any], str, str]] = [
    ({"jobs": [{"id": "j", "plan": "nothing", "due": "2027-03-08"}]}, "/jobs/0/plan", "there is no plan"),
    ({"jobs": [{"id": "j", "due": "2027-03-08"}]}, "/jobs/0", "neither a request nor a plan"),
    ({"jobs": [{"id": "j", "plan": "bar-plan", "due": "2027-03-01"}]}, "/jobs/0/due", "before its release"),
    ({"jobs": [{"id": "j", "plan": "bar-plan", "due": "2027-03-09", "release": "2027-03-09"}]}, "/jobs/0/release", "after the last"),
    ({"jobs": [{"id": "j", "plan": "bar-plan", "due": "2027-03-08", "days": 4}]}, "/jobs/0/days", "4 days in a row"),
    ({"jobs": []}, "/jobs", "0 jobs"),
    ({"days": []}, "/days", "0 days"),
    ({"days": ["2027-03-05", "2027-03-04"]}, "/days/1", "is not after"),
    ({"days": ["2027-03-01", "2027-08-04"]}, "/days", "157 calendar days"),
    ({"tables": ["T8"]}, "/tables/0", "there is no table"),
    ({"tables": ["T1", "T1"]}, "/tables/1", "T1"),
    ({"surprise": 1}, "/surprise", "surprise"),
    ({"jobs": [{"id": "j", "plan": {"format": "holdwright.plan/1"}, "due": "2027-03-08"}]}, "/jobs/0/plan/status", "missing"),
    ({"jobs": [{"id": "j", "request": {"quantity": 1}, "due": "2027-03-08"}]}, "/jobs/0/request/weldment", "missing"),
    ({"jobs": [{"id": "j", "request": {"needed": {}}, "due": "2027-03-08"}]}, "/jobs/0/request/needed", "the week says"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "pointer", "words"), FAULTS, ids=[f"{pointer} {words}" for _, pointer, words in FAULTS])
def test_faults_are_named(changes: dict[str, Any], pointer: str, words: str) -> None:
    with pytest.raises(InvalidDocument) as refused:
        in_hand(week_question({}, **changes))
    assert [fault for fault in refused.value.faults if fault.pointer == pointer and words in fault.wrong], refused.value.faults


def test_the_nearest_sound_week_is_taken() -> None:
    job = {"id": "j", "plan": "bar-plan", "due": "2027-03-08", "release": "2027-03-08", "days": 1, "late_cents_per_day": 0}
    assert answered(week_question(jobs=[job]))["assignments"][0]["days"]["from"] == "2027-03-08"
