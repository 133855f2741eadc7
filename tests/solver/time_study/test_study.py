"""The study: known rules are found again, what cannot be told keeps its value and says why, nothing depends on the order."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from solver.deadline import Deadline, DeadlinePassed
from solver.time_study.reports import MeasuredTime, agreement_of
from solver.time_study.study import time_study
from solver.time_study.work import SetupWork, planned_seconds
from tests.solver.time_study.floor import PRESENT, TRUTH, measured_floor


def test_known_rules_are_found_again_with_a_fifth_of_gross_errors() -> None:
    setup, cycle = time_study(measured_floor(3, 60, 25, gross=0.2), PRESENT)
    assert [each.rule for each in setup.fitted] == list(SetupWork.RULES) and len(cycle.fitted) == 3
    rules = (*setup.fitted, *cycle.fitted)
    assert sum(rule.low <= TRUTH[rule.rule] <= rule.high for rule in rules) >= 7, rules  # of eight at 95 %
    for rule in rules:
        assert abs(rule.value - TRUTH[rule.rule]) < 4 * rule.standard_error
        assert rule.low < rule.value < rule.high and 0 < rule.learnt < 1
    for fit in (setup, cycle):
        assert fit.worthwhile
        assert fit.before is not None and fit.after is not None and fit.left_out is not None
        assert fit.left_out.miss_share < 0.6 * fit.before.miss_share
        assert 5 < len(fit.outliers) < 20 and all(one.seconds > 1.2 * one.predicted_s for one in fit.outliers)


def test_intervals_hold_the_truth_about_as_often_as_they_say() -> None:
    found = [
        rule.low <= TRUTH[rule.rule] <= rule.high
        for seed in range(6)
        for fit in time_study(measured_floor(seed, 24, 10, gross=0.2), PRESENT)
        if not fit.kept
        for rule in fit.fitted
    ]
    assert len(found) > 30 and sum(found) / len(found) > 0.9


def test_rules_that_hold_already_are_left_nearly_as_they_are() -> None:
    exact = [replace(each, seconds=planned_seconds(each.work, PRESENT)) for each in measured_floor(1, 30, 12)]
    for fit in time_study(exact, PRESENT):
        assert fit.fitted and not fit.outliers and not fit.worthwhile
        for rule in fit.fitted:
            assert rule.value == pytest.approx(rule.present, abs=0.05) and not rule.differs


def test_nothing_is_fitted_to_few_reports_and_it_is_said_how_many_are_missing() -> None:
    setup, _ = time_study(measured_floor(1, 5, 4), PRESENT)
    assert not setup.fitted and {each.reason for each in setup.kept} == {"too_few_reports"}
    assert {each.missing for each in setup.kept} == {1} and "6 at least are needed" in setup.kept[0].text
    assert time_study(measured_floor(1, 6, 6), PRESENT)[0].fitted
    one_plan = time_study(measured_floor(1, 12, 1), PRESENT)[0]
    assert {each.reason for each in one_plan.kept} == {"too_few_plans"}
    nothing = time_study([], PRESENT)[1]
    assert nothing.before is None and not nothing.fitted


def test_what_no_report_has_to_do_with_keeps_its_value() -> None:
    setup, cycle = time_study(measured_floor(2, 40, 12, stations=False, stacks=False), PRESENT)
    assert [(each.rule, each.reason, each.value) for each in cycle.kept] == [("time.round_share", "not_met", 0.4)]
    assert ("time.stack_s", "not_met") in [(each.rule, each.reason) for each in setup.kept]


def test_what_always_goes_together_is_told_as_one() -> None:
    # Every weldment has two parts: walking once and checking both cannot be told apart.
    twins = [
        replace(each, work=replace(each.work, parts=2), seconds=planned_seconds(replace(each.work, parts=2), TRUTH))
        for each in measured_floor(2, 40, 12)
        if isinstance(each.work, SetupWork)
    ]
    setup = time_study(twins, PRESENT)[0]
    kept = next(each for each in setup.kept if each.reason == "not_told_apart")
    assert {kept.rule, *kept.others} == {"time.walk_s", "time.check_s"}
    assert setup.condition is not None and setup.condition <= 30


def test_a_study_is_the_same_in_any_order_and_whoever_asks_again() -> None:
    reports = measured_floor(5, 20, 8, gross=0.1)
    assert time_study(reports, PRESENT) == time_study(reports[::-1], PRESENT) == time_study(list(reports), PRESENT)


def test_a_study_ends_with_its_deadline() -> None:
    with Deadline(lambda: 0.0).in_force(), pytest.raises(DeadlinePassed):
        time_study(measured_floor(5, 20, 8), PRESENT)


def test_a_mean_of_many_counts_at_most_twice_a_single_one() -> None:
    one = MeasuredTime(1, "p", 1, SetupWork(4, 0, 2, 1, 140.0, False), 300.0)
    assert one.weight == 1 and replace(one, count=3).weight == 1.5 and 1.99 < replace(one, count=1000).weight < 2


def test_agreement_is_by_medians() -> None:
    found = agreement_of([(110, 100), (120, 100), (130, 100), (900, 100)])
    assert found is not None and found.ratio == 1.25 and found.miss_s == 25
    # Distances of the ratios from 1.25: 0.15, 0.05, 0.05, 7.75; their median 0.10, over 0.6745 (hand calculation).
    assert found.scatter == pytest.approx(0.10 / 0.67449, rel=1e-4)
    assert found.miss_share == pytest.approx((20 / 120 + 30 / 130) / 2) and agreement_of([]) is None
    assert math.isfinite(found.scatter)
