"""How far rules may move: held against fine scans, against the checker, and against plans made on either side."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import pytest

from solver.cost import Bill, priced
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Cost, Plan
from solver.rescoring.limit_ranges import LIMITS, LimitEnd, limit_range
from solver.rescoring.price_breakpoints import PriceBreakpoint, price_range
from solver.rescoring.price_steps import OneRule, PriceSteps
from solver.rescoring.rescored import MONEY
from solver.rescoring.score import Score
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook
from tests.solver.rescoring.scored_jobs import ScoredJob, by_hand, hinge_lug, solved

BOOK = RuleBook()


def some_bill(draw: random.Random, quantity: int) -> Bill:
    pieces = draw.randint(4, 12)
    seconds = [Fraction(draw.randint(0, 4000), draw.choice((1, 2, 10))) for _ in range(3)]
    return Bill(
        quantity=quantity, days=1, parts=2, stations=1, set_before=True, pieces=pieces, stacked=draw.randint(0, 3),
        settings=draw.randint(0, 3), hands_s=seconds[0], clamps_s=seconds[1] / 100, pulled_s=seconds[2] / 200,
        day_cents=draw.randint(0, 900), bought_cents=0, free={draw.randint(1, 9): pieces}, moved=draw.randint(0, 2),
    )  # fmt: skip


def scores(draw: random.Random, many: int = 3) -> list[Score]:
    """Return alternatives drawn at random, by rank under the default rules."""
    quantity = draw.randint(1, 30)
    bills = [some_bill(draw, quantity) for _ in range(many)]
    ordered = sorted(bills, key=lambda bill: priced(bill, BOOK)[0].total_cents)
    return [Score(rank, "T1", "-z", {}, bill, *_listed(bill), measured={}) for rank, bill in enumerate(ordered, 1)]


def _listed(bill: Bill) -> tuple[Cost, int, int]:
    return priced(bill, BOOK)


def first_at(alternatives: list[Score], rule: str, number: Fraction) -> int:
    found = [(priced(each.bill, OneRule(BOOK, rule, number))[0].total_cents, each.rank) for each in alternatives]
    return min(found)[1]


@pytest.mark.parametrize("rule", MONEY)
def test_a_price_along_a_rule_is_the_price_under_that_rule(rule: str) -> None:
    draw = random.Random(rule)
    for _ in range(10):
        bill, value = some_bill(draw, draw.randint(1, 500)), VALUES[rule]
        steps = PriceSteps.of(bill, BOOK, rule)
        for _ in range(10):
            number = Fraction(str(round(draw.uniform(value.low, min(value.high, 5000)), 4)))
            assert steps.total(number) == priced(bill, OneRule(BOOK, rule, number))[0].total_cents


@pytest.mark.parametrize("rule", MONEY)
def test_breakpoints_are_those_of_a_fine_scan(rule: str) -> None:
    draw, here = random.Random(rule), Fraction(str(BOOK[rule]))
    for _ in range(5):
        alternatives = scores(draw)
        found = price_range(alternatives, BOOK, rule)
        for way, point in ((-1, found.low), (1, found.high)):
            end = Fraction(VALUES[rule].low if way < 0 else min(VALUES[rule].high, 3 * BOOK[rule] + 40))
            far = end if point is None else point.last
            for step in range(60):  # nothing changes up to there
                number = here + (far - here) * step / 60
                assert way * number > way * far or first_at(alternatives, rule, number) == 1, (rule, float(number))
            if point is not None:
                assert first_at(alternatives, rule, point.last) == 1
                assert Fraction(str(float(point.last))) == point.last and Fraction(str(float(point.beyond))) == point.beyond
                assert first_at(alternatives, rule, point.beyond) == point.first != 1
                assert (first_at(alternatives, rule, point.value) != 1) == point.reached
                close = point.value + way * Fraction(1, 10**12)  # and at once beyond it
                if not VALUES[rule].low <= close <= VALUES[rule].high:
                    continue
                assert point.reached or first_at(alternatives, rule, close) != 1


@pytest.mark.parametrize("rule", LIMITS)
def test_a_limit_ends_where_the_checker_refuses(rule: str) -> None:
    job = by_hand()
    found = limit_range(job.score.alternatives[0], RuleBook(dict(job.score.rules)), rule)
    for end in (found.low, found.high):
        if end is not None and end.value != found.number:
            assert job.under({rule: end.value}).allowed and not job.checked({rule: end.value})
        if end is not None and end.trespass.ground == "broken":
            assert {each.rule for each in job.checked({rule: end.beyond})} >= {end.trespass.rule}


def test_without_another_alternative_no_price_changes_the_ranking() -> None:
    job = by_hand()
    for rule in MONEY:
        found = price_range(job.score.alternatives, RuleBook(dict(job.score.rules)), rule)
        assert found.low is None is found.high


def planned(job: ScoredJob, rule: str, number: Fraction) -> Plan:
    asked = replace(job.request, rules=RuleBook({rule: float(number)}))
    return plan(asked, job.stock, deadline=Deadline(lambda: 600.0))


def ends(job: ScoredJob) -> list[tuple[str, PriceBreakpoint]]:
    book = RuleBook(dict(job.score.rules))
    ranges = [price_range(job.score.alternatives, book, rule) for rule in MONEY]
    return [(each.rule, point) for each in ranges for point in (each.low, each.high) if point is not None]


@pytest.mark.slow
@pytest.mark.parametrize("small_job", [solved, hinge_lug])
def test_plans_made_just_before_and_just_after_a_breakpoint_bear_it_out(small_job: Callable[[], ScoredJob]) -> None:
    job = small_job()
    found = ends(job)
    assert found
    for rule, point in found:
        before, after = planned(job, rule, point.last), planned(job, rule, point.beyond)
        assert before.alternatives[0].cost.total_cents == job.under({rule: float(point.last)}).cost.total_cents
        assert after.alternatives[0].cost.total_cents == job.under({rule: float(point.beyond)}, point.first).cost.total_cents
        assert after.alternatives[0].cost.total_cents < job.under({rule: float(point.beyond)}).cost.total_cents


@pytest.mark.slow
def test_a_plan_made_beyond_a_limits_end_is_another_one() -> None:
    job = solved()
    book = RuleBook(dict(job.score.rules))
    for rule in ("clear.body", "locate.side_spacing_ratio", "clamp.per_length"):
        found = limit_range(job.score.alternatives[0], book, rule)
        for end in (found.low, found.high):
            if isinstance(end, LimitEnd) and end.trespass.ground == "broken":
                kept = planned(job, rule, Fraction(str(end.value)))
                assert kept.alternatives[0].cost.total_cents <= job.score.alternatives[0].cost.total_cents
                other = planned(job, rule, Fraction(str(end.beyond)))
                placed = [(each.item, each.hole, each.turn, each.setting_mm) for each in job.alternatives[0].placements]
                for each in other.alternatives:
                    assert [(one.item, one.hole, one.turn, one.setting_mm) for one in each.placements] != placed
