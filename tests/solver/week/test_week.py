"""Weeks against every week there is, and what is promised of them one by one."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import timedelta

import pytest

from solver.deadline import Deadline
from solver.week.room import NeededRoom
from solver.week.shelf_days import ShelfDays
from solver.week.spells import Spell
from solver.week.values import Week, WeekAnswer
from solver.weeks import plan_week
from tests.solver.week.brute import cheapest
from tests.solver.week.weeks import MONDAY, full_week, job, kit, random_week, week

LEFT, RIGHT = NeededRoom(0, 0, 500, 900), NeededRoom(500, 0, 1000, 900)


def planned(asked: Week, seconds: float = 20.0, work: float | None = None) -> WeekAnswer:
    return plan_week(asked, Deadline.on(time.monotonic, seconds), work, {"stop": 100, "riser": 250})


def agrees_with_brute(seed: int) -> None:
    asked = random_week(seed)
    answer = planned(asked)
    assert (len(answer.left_over), answer.cost.total_cents) == cheapest(asked), seed
    assert answer.status == "optimal" and answer.bound_cents == answer.cost.total_cents


@pytest.mark.parametrize("seed", range(12))
def test_no_week_is_better(seed: int) -> None:
    agrees_with_brute(seed)


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, 200, 20))
def test_no_week_is_better_in_two_hundred(first: int) -> None:
    for seed in range(first, first + 20):
        agrees_with_brute(seed)


def test_one_table_holds_one_set_up_a_day() -> None:
    answer = planned(week(job("a", kit("a")), job("b", kit("b")), days=2))
    assert {each.first for each in answer.assignments} == {MONDAY, MONDAY + timedelta(days=1)}


def test_two_set_ups_that_are_apart_share_a_day() -> None:
    shared = week(job("a", kit("a", room=LEFT)), job("b", kit("b", room=RIGHT)), days=1)
    assert len(planned(shared).assignments) == 2
    meeting = week(job("a", kit("a", room=LEFT)), job("b", kit("b", room=replace(RIGHT, left=499.0))), days=1)
    assert len(planned(meeting).assignments) == 1


def test_a_table_carries_no_more_than_it_can() -> None:
    jobs = job("a", kit("a", room=LEFT, load=60)), job("b", kit("b", room=RIGHT, load=60))
    enough, little = (replace(week(*jobs, days=1), most_kg={"T1": most}) for most in (120.0, 119.0))
    assert (len(planned(enough).assignments), len(planned(little).assignments)) == (2, 1)
    unknown = replace(week(job("a", kit("a", room=LEFT)), job("b", kit("b", room=RIGHT, load=1)), days=1), most_kg={"T1": 500.0})
    assert len(planned(unknown).assignments) == 1  # what it weighs is not known


def test_a_set_up_that_stays_is_set_once_and_held_over_the_days_between() -> None:
    one = kit("same", setup=2000, a_day=100)
    far = job("b", one, release=3, days=1)
    answer = planned(week(job("a", one, due=0, late=5000), far))
    after = answer.assignments[1]
    assert (after.stays_after, after.from_day) == ("a", MONDAY + timedelta(days=1))
    assert answer.cost.setup_cents == 2000 and answer.cost.tie_up_cents == 400
    dear = kit("same", setup=2000, a_day=1500)
    again = planned(week(job("a", dear, due=0, late=5000), replace(far, choices=(dear,))))
    assert again.assignments[1].stays_after is None  # two days between would cost more than setting it again
    assert again.cost.setup_cents == 4000


def test_a_kit_is_hired_over_the_weekend() -> None:
    asked = week(job("a", kit(a_day=10), release=4, days=2), days=6)
    answer = planned(asked)
    assert answer.assignments[0].last == MONDAY + timedelta(days=7)
    assert answer.cost.tie_up_cents == 40


def test_a_job_waits_for_its_pieces_where_lateness_is_cheaper_than_another_kit() -> None:
    scarce, other = kit("scarce", pieces={"stop": 8}), kit("other", "T2", pieces={"riser": 2}, cycle=9000, rank=2)
    jobs = job("a", scarce, due=0, late=900), job("b", scarce, other, due=0, late=900)
    asked = week(*jobs, free={"stop": 8, "riser": 8}, tables=("T1", "T2"))
    assert planned(asked).cost.late_cents == 900
    hurried = tuple(replace(each, late_cents_per_day=5100) for each in asked.jobs)
    hasty = planned(replace(asked, jobs=hurried))
    assert hasty.cost.late_cents == 0 and {each.choice.rank for each in hasty.assignments} == {1, 2}


def test_as_few_as_possible_are_left_over_whatever_it_costs() -> None:
    long = job("long", kit("long", cycle=0), due=0, days=3, late=100_000)
    short = [job(f"s{k}", kit(f"s{k}", cycle=90_000)) for k in range(3)]
    answer = planned(week(long, *short, days=3))
    assert [each.job for each in answer.left_over] == ["long"]
    assert answer.fewest_left_over


def test_what_would_help_was_tried() -> None:
    asked = week(
        job("a", kit("a", pieces={"stop": 6})), job("b", kit("b", "T2", pieces={"stop": 6})), days=1, tables=("T1", "T2")
    )
    answer = planned(asked)
    (waiting,) = answer.left_over
    assert [why.code for why in waiting.because] == ["pieces"] and "stop (4 or more)" in waiting.because[0].text
    help = waiting.would_help[0]
    assert (help.do, dict(help.buy), help.price_cents) == ("buy", {"stop": 4}, 400)
    more = replace(asked, free={"stop": tuple(free + 4 for free in asked.free["stop"])})
    assert planned(more).left_over == ()


def test_a_full_table_asks_for_another_or_an_earlier_release() -> None:
    first, second = job("a", kit("a"), release=1), job("b", kit("b"), release=1)
    (waiting,) = planned(week(first, second, days=2)).left_over
    assert [why.code for why in waiting.because] == ["table"]
    assert sorted(help.do for help in waiting.would_help) == ["release", "table"]
    there = next(help for help in waiting.would_help if help.do == "release")
    assert there.release == MONDAY
    earlier = week(*(replace(each, release=MONDAY) for each in (first, second)), days=2)
    assert planned(earlier).left_over == ()


def test_a_job_longer_than_what_is_left_says_so() -> None:
    (waiting,) = planned(week(job("a", kit(), release=3, days=3))).left_over
    assert waiting.because[0].code == "days" and "takes 3 days, and 2" in waiting.because[0].text


def test_a_job_without_a_plan_is_left_over_and_says_so() -> None:
    answer = planned(week(job("a"), job("b", kit())))
    assert [each.because[0].code for each in answer.left_over] == ["no_plan"]
    assert answer.status == "optimal"


def test_the_same_week_gives_the_same_answer() -> None:
    asked = random_week(7)
    assert planned(asked) == planned(asked)
    hurried = planned(asked, work=0.001)
    assert hurried.bound_cents <= hurried.cost.total_cents and hurried == planned(asked, work=0.001)


def test_a_week_without_time_is_still_a_sound_one() -> None:
    for seed in range(6):
        asked = random_week(seed)
        answer = planned(asked, seconds=0.0)
        taken = ShelfDays(asked)
        for each in answer.assignments:
            spell = Spell(asked.number(each.from_day), asked.number(each.last))
            assert taken.fits(each.choice.set_up, spell)
            taken.take(each.choice.set_up, spell)
        assert answer.bound_cents <= answer.cost.total_cents


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(3))
def test_thirty_jobs_on_four_tables_in_a_minute(seed: int) -> None:
    asked = full_week(seed)
    answer = planned(asked, seconds=60.0)
    print(f"{len(answer.left_over)} left over, {answer.cost.total_cents} cents, gap {answer.gap:.1%}, {answer.stopped_by}")
    assert answer.bound_cents <= answer.cost.total_cents and answer.gap < 0.1
