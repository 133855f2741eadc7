"""Planned again with something missing: a new plan the hands can get to, or a refusal; nothing moves that need not."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import permutations

import pytest

from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from service.demo import job_document, job_names, stock_document
from service.documents import plan_document, read_request, read_stock
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import Alternative, Plan
from solver.request import Request, Without
from tests import builders as b
from tests.solver.answer.handed_over import faults, handed_over

POSSIBLE = [name for name in job_names() if name not in ("shut-pocket", "one-clamp-short")]


def planned(request: Request, stock: StockSnapshot) -> Plan:
    return plan(request, stock, deadline=Deadline(lambda: 600.0))


@cache
def tab() -> tuple[Request, StockSnapshot, Plan]:
    """A tab on a tube, from a modest shelf, and its plan."""
    request = b.request(b.tab_on_tube(), alternatives=3)
    stock = b.plain_shelf()
    return request, stock, planned(request, stock)


@cache
def job(name: str) -> tuple[Request, StockSnapshot, Plan]:
    """A demo job in the demo shop, and its plan."""
    stock = read_stock(stock_document())
    request = read_request(job_document(name), stock)[0]
    return request, stock, planned(request, stock)


def one_fewer(request: Request, stock: StockSnapshot, keep: Alternative) -> Iterator[tuple[str, Request]]:
    """Yield each item a fixture uses, and the request with one piece of it fewer than the fixture has."""
    for item, used in sorted(Counter(placement.item for placement in keep.placements).items()):
        out = Without({item: stock.free(item) - used + 1})
        yield item, replace(request, keep=keep, without=out, alternatives=1)


def again_or_refused(request: Request, stock: StockSnapshot) -> Plan:
    """Plan again; what comes of it is a plan that passes every check, its list of changes among them, or says why there is none."""
    answer = planned(request, stock)
    report = check(request, stock, plan_document(answer))
    assert report.ok, report.failed
    assert answer.alternatives or (answer.status == "infeasible" and answer.refused is not None and answer.refused.because)
    for again in answer.alternatives:
        assert request.keep is not None and again.changes is not None
        before, after = ({one.id: one for one in plan.placements} for plan in (request.keep, again))
        handled = {change.piece for change in again.changes}
        assert {id for id in before.keys() & after.keys() if before[id].hole != after[id].hole} <= handled
        assert (before.keys() ^ after.keys()) <= handled
    return answer


def test_without_any_one_piece_there_is_a_plan_or_a_refusal() -> None:
    request, stock, first = tab()
    for item, asked in one_fewer(request, stock, first.alternatives[0]):
        if item == "rest":  # no other piece carries the tab: the refusal and all that would help are looked for at length
            continue
        for again in again_or_refused(asked, stock).alternatives:
            changes = again.changes or ()
            assert any(change.item == item and change.why.startswith("missing") for change in changes)


def test_nothing_missing_is_nothing_to_do() -> None:
    request, stock, first = tab()
    for keep in first.alternatives[:1]:
        answer = again_or_refused(replace(request, keep=keep, alternatives=1), stock)
        assert [again.changes for again in answer.alternatives] == [()]
        assert [one.id for one in answer.alternatives[0].placements] == [one.id for one in keep.placements]


@pytest.mark.slow
def test_blocked_holes_are_left_and_broken_pieces_named() -> None:
    request, stock, first = tab()
    keep = first.alternatives[0]
    rng = random.Random(7)
    for _ in range(4):
        gone = rng.choice([placement for placement in keep.placements if placement.hole is not None])
        hole = parse_hole(gone.hole or "")
        item = rng.choice(keep.placements).item
        count = stock.free(item) - sum(placement.item == item for placement in keep.placements) + 1
        without = Without({item: count}, frozenset({(None, hole)}), {item: count})
        answer = again_or_refused(replace(request, keep=keep, without=without, alternatives=2), stock)
        for again in answer.alternatives:
            whys = [change.why for change in again.changes or () if change.piece == gone.id]
            assert whys and any(f"hole {gone.hole} is blocked" in why or "broken" in why for why in whys)


def test_each_alternative_can_be_made_of_each_other_by_hand() -> None:
    request, stock, first = tab()
    made_of_each_other(request, stock, first)


def made_of_each_other(request: Request, stock: StockSnapshot, answer: Plan) -> None:
    for keep, new in permutations(answer.alternatives, 2):
        again = handed_over(request, stock, keep, new)
        assert faults(request, stock, keep, again) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", POSSIBLE)
def test_a_job_without_any_one_piece(name: str) -> None:
    request, stock, first = job(name)
    for _, asked in one_fewer(request, stock, first.alternatives[0]):
        again_or_refused(asked, stock)


@pytest.mark.slow
@pytest.mark.parametrize("name", POSSIBLE)
def test_a_jobs_alternatives_can_be_made_of_each_other_by_hand(name: str) -> None:
    made_of_each_other(*job(name))
